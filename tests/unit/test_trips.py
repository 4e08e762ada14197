"""Trips by name, and speed traces from a file: what is read, and what is refused in which words."""

from __future__ import annotations

import dataclasses
import json
import math
from importlib.resources import files
from itertools import pairwise
from pathlib import Path

import pytest

from voltwright.parts.columns import MOST_BYTES, MOST_ROWS
from voltwright.parts.trips import STEADY, read_trace, trip, trip_names
from voltwright.quantity.errors import BuildError, FileError, VoltwrightError
from voltwright.quantity.source import references

FOLDER = files("voltwright.parts").joinpath("standards").joinpath("trips")


def written(folder: Path, text: str) -> Path:
    path = folder / "trace.csv"
    path.write_bytes(text.encode())
    return path


def test_names() -> None:
    assert trip_names() == (
        "wltc-3b", "wltc-2", "udds", "hwfet", "us06", "nedc", "steady-50", "steady-60", "steady-70", "steady-80",
        "steady-90", "steady-100", "steady-110", "steady-120",
    )  # fmt: skip


@pytest.mark.parametrize("name", trip_names())
def test_every_trip_is_whole(name: str) -> None:
    known = trip(name)
    assert known is trip(name), "cached"
    assert known.name == name
    assert known.seconds == tuple(float(second) for second in range(len(known.speed)))
    assert all(math.isfinite(speed) and 0 <= speed < 40 for speed in known.speed)
    assert all(abs(b - a) < 5 for a, b in pairwise(known.speed))
    assert known.source
    assert known.title
    if not name.startswith("steady"):
        assert known.speed[0] == known.speed[-1] == 0
        assert known.phases[-1][1] == known.duration
        ends = [end for _, end in known.phases]
        assert ends == sorted(set(ends))
    with pytest.raises(dataclasses.FrozenInstanceError):
        known.name = "other"  # type: ignore[misc]


def test_index_names_its_files_and_sources() -> None:
    index = json.loads(FOLDER.joinpath("index.json").read_text(encoding="utf-8"))
    there = {entry.name.removesuffix(".csv") for entry in FOLDER.iterdir() if entry.name.endswith(".csv")}
    assert there == set(index)
    assert {each["source"] for each in index.values()} <= set(references())
    assert all(each["seen"] and each["remark"] for each in index.values())


@pytest.mark.parametrize("speed", STEADY)
def test_steady_trip(speed: int) -> None:
    known = trip(f"steady-{speed}")
    assert set(known.speed) == {speed / 3.6}
    assert known.distance == pytest.approx(speed / 3.6 * known.duration)


@pytest.mark.parametrize(("typed", "near"), [("wltc3b", "wltc-3b"), ("UDDS", ""), ("steady-85", "steady-80"), ("", "")])
def test_unknown_name(typed: str, near: str) -> None:
    with pytest.raises(BuildError) as refused:
        trip(typed)
    problem = refused.value.problems[0]
    assert near in problem.mend
    assert "steady-120" in problem.allowed


def test_trace_at_one_hertz(tmp_path: Path) -> None:
    known = read_trace(written(tmp_path, "second,km_per_hour\n0,0\n1,3.6\n2,7.2\n3,7.2\n4,0\n"))
    assert known.name == "trace"
    assert known.speed == pytest.approx((0, 1, 2, 2, 0))
    assert known.distance == pytest.approx(5.0)
    assert known.grade == ()
    assert "trace.csv" in known.source


def test_trace_of_another_step_is_resampled(tmp_path: Path) -> None:
    """Clock times that begin anywhere, half seconds and gaps, miles, grades; straight lines between."""
    text = "\ufeffSecond , MPH, grade_percent\r\n\r\n1700000010.5,0,0\r\n1700000012.5,10,4\r\n1700000020,10,-2\r\n"
    known = read_trace(written(tmp_path, text), name="to-the-mill")
    assert known.name == "to-the-mill"
    assert known.seconds == tuple(float(second) for second in range(11))
    assert known.speed[:3] == pytest.approx((0, 5 * 0.44704, 10 * 0.44704))
    assert known.speed[-1] == pytest.approx(10 * 0.44704)
    assert known.grade[:3] == pytest.approx((0, 0.02, 0.04))
    assert known.grade[-1] == pytest.approx(-0.02)
    assert len(known.grade) == len(known.speed)


def test_fast_logger_with_coarse_readings(tmp_path: Path) -> None:
    """A hundred rows a second, rounded to a whole km/h: steps of the rounding are no jumps."""
    rows = "".join(f"{row / 100},{round(row / 100 * 5)}\n" for row in range(2000))
    known = read_trace(written(tmp_path, f"second,km_per_hour\n{rows}"))
    assert known.duration == 20
    assert known.speed[10] * 3.6 == pytest.approx(50, abs=0.6)


HEAD = "second,km_per_hour\n"
REFUSED = {
    "empty": ("", 1, "empty"),
    "head only": (HEAD, 1, "too few rows"),
    "one row": (HEAD + "0,0\n", 1, "too few rows"),
    "no head": ("0,0\n1,1\n", 1, "not known"),
    "no speed": ("second\n0\n1\n", 1, "'km_per_hour' is missing"),
    "unknown column": ("second,km_per_hour,rpm\n0,0,0\n", 1, "'rpm' is not known"),
    "misspelt column": ("second,kmh_per_hour\n0,0\n", 1, "not known"),
    "both units": ("second,km_per_hour,mph\n0,0,0\n", 1, "'km_per_hour' is not known"),
    "column twice": ("second,second,km_per_hour\n0,0,0\n", 1, "twice"),
    "semicolons": ("second;km_per_hour\n0;0\n", 1, "semicolons"),
    "decimal comma": (HEAD + "0,0\n1,3,5\n", 3, "3 cells"),
    "short row": (HEAD + "0,0\n1\n", 3, "1 cells"),
    "no number": (HEAD + "0,0\n1,\n", 3, "no number"),
    "words": (HEAD + "0,0\n1,fast\n", 3, "'fast' is not a number"),
    "nan": (HEAD + "0,0\n1,nan\n", 3, "'nan' is not a number"),
    "infinity": (HEAD + "0,0\n1,inf\n", 3, "'inf' is not a number"),
    "beyond floats": (HEAD + "0,0\n1,1e999\n", 3, "not a number"),
    "underscore": (HEAD + "0,0\n1,1_0\n", 3, "not a number"),
    "negative speed": (HEAD + "0,0\n1,-1\n", 3, "outside"),
    "speed of an aircraft": (HEAD + "0,240\n1,251\n", 3, "outside"),
    "steep as a wall": ("second,km_per_hour,grade_percent\n0,0,0\n1,1,41\n", 3, "outside"),
    "time stands": (HEAD + "0,0\n0,1\n", 3, "from 0 s to 0 s"),
    "time falls": (HEAD + "0,0\n2,1\n\n1,1\n", 5, "from 2 s to 1 s"),
    "gap": (HEAD + "0,0\n1,1\n62,1\n", 4, "gap of 61 s"),
    "jump": (HEAD + "0,0\n1,10\n2,60\n", 4, "jumps by 50 km/h in 1 s"),
    "sudden stop": (HEAD + "0,100\n1,50\n", 3, "jumps by 50 km/h"),
    "broken quotes": (HEAD + '0,0\n1,"1\n', 3, "not CSV"),
    "endless cell": (HEAD + "0,0\n1," + "1" * 140_000 + "\n", 3, "not CSV"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_refused_trace(tmp_path: Path, name: str) -> None:
    text, line, what = REFUSED[name]
    with pytest.raises(BuildError) as refused:
        read_trace(written(tmp_path, text))
    problem = refused.value.problems[0]
    assert problem.file == "trace.csv"
    assert problem.line == line
    assert what in problem.what
    assert problem.allowed
    assert problem.mend
    assert len(str(refused.value)) < 500


def test_long_gap_and_steep_start_are_allowed(tmp_path: Path) -> None:
    assert read_trace(written(tmp_path, HEAD + "0,0\n60,0\n61,43\n")).duration == 61


def test_a_million_rows(tmp_path: Path) -> None:
    path = written(tmp_path, HEAD + "".join(f"{row},0\n" for row in range(1_000_000)))
    with pytest.raises(BuildError, match=f"more than {MOST_ROWS} rows"):
        read_trace(path)


def test_most_rows(tmp_path: Path) -> None:
    path = written(tmp_path, HEAD + "".join(f"{row / 10},36\n" for row in range(MOST_ROWS)))
    assert read_trace(path).distance == pytest.approx(MOST_ROWS)
    with pytest.raises(BuildError, match="more than"):
        read_trace(written(tmp_path, path.read_text() + "20000,36\n20000.1,36\n"))


def test_too_many_bytes(tmp_path: Path) -> None:
    with pytest.raises(BuildError, match="MB"):
        read_trace(written(tmp_path, HEAD + "0,0\n" + " " * (MOST_BYTES + 1)))


def test_a_trip_of_months(tmp_path: Path) -> None:
    with pytest.raises(BuildError, match="hours"):
        read_trace(written(tmp_path, HEAD + "".join(f"{row * 60},0\n" for row in range(4000))))


@pytest.mark.parametrize("content", [b"second,km_per_hour\n0,0\n1,\xff\n", b"\xff\xfes\x00e\x00"])
def test_not_utf8(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "trace.csv"
    path.write_bytes(content)
    with pytest.raises(FileError) as refused:
        read_trace(path)
    assert refused.value.problems[0].line


def test_files_that_are_none(tmp_path: Path) -> None:
    for path in (tmp_path, tmp_path / "none.csv", tmp_path / "x\0y"):
        with pytest.raises(FileError) as refused:
            read_trace(path)
        assert refused.value.problems[0].mend


@pytest.mark.parametrize("content", [b"\0\0\0", b"second,km_per_hour\n0,\0\n1,1\n", b"\n\n\n", b",,,\n,,,\n"])
def test_rubbish_ends_in_words(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "trace.csv"
    path.write_bytes(content)
    with pytest.raises(VoltwrightError) as refused:
        read_trace(path)
    assert refused.value.problems[0].mend
