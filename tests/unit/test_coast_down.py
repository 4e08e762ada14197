"""Coast-downs from a file: what is read, and what is refused in which words."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path

import pytest

from voltwright.build.coast_down import read_coast_down
from voltwright.physics.coast_down import evaluate
from voltwright.quantity.errors import BuildError, FileError

HEAD = "run,direction,second,km_per_hour"
TYRES, AIR, MASS = 130.0, 0.42, 1200.0  # N, N/(m/s)², kg


def rows(number: int, direction: str, step: float = 1.0, unit: float = 3.6) -> Iterator[str]:
    """A car whose force is constant and v² that rolls from 100 km/h to about 20: tan of a time, in closed form."""
    root, pull = math.sqrt(TYRES / AIR), math.sqrt(TYRES * AIR) / MASS
    begin = math.atan(100 / 3.6 / root)
    for row in range(int(80 / step)):
        yield f"{number},{direction},{row * step:g},{root * math.tan(begin - pull * row * step) * unit:.4f}"


def file(folder: Path, lines: list[str], head: str = HEAD) -> Path:
    path = folder / "coast-down.csv"
    path.write_text("\n".join([head, *lines]) + "\n", encoding="utf-8")
    return path


def whole(pairs: int = 3) -> list[str]:
    return [row for number in range(1, pairs + 1) for way in ("out", "back") for row in rows(number, way)]


def test_runs_are_read_and_give_the_car(tmp_path: Path) -> None:
    runs = read_coast_down(file(tmp_path, whole()))
    assert [(run.number, run.out) for run in runs] == [(n, out) for n in (1, 2, 3) for out in (True, False)]
    assert runs[0].speed[0] == pytest.approx(100 / 3.6, abs=1e-4)
    found = evaluate(runs, MASS, 1.2, 1.2, linear=False)
    assert pytest.approx((TYRES, AIR), rel=2e-3) == (found.A, found.C)


def test_miles_and_words_in_capitals(tmp_path: Path) -> None:
    lines = [row for number in (1, 2, 3) for way in ("Out", "BACK") for row in rows(number, way, unit=1 / 0.44704)]
    runs = read_coast_down(file(tmp_path, lines, "run,direction,second,mph"))
    assert runs[0].speed[0] == pytest.approx(100 / 3.6, abs=1e-4)


def replaced(line: int, text: str) -> list[str]:
    lines = whole()
    lines[line - 2] = text
    return lines


def without(begin: int, end: int) -> list[str]:
    """All runs, but for some seconds of the first."""
    return [*FIRST[:begin], *FIRST[end:], *whole()[len(FIRST) :]]


FIRST = list(rows(1, "out"))
REFUSED = {
    "two pairs": (whole(2), 1, "2 whole pairs"),
    "nothing": ([], 1, "0 whole pairs"),
    "one way only": ([*whole(), *rows(4, "out")], None, "run 4 was driven in one direction only"),
    "direction": (replaced(3, "1,north,1,99"), 3, "'north'"),
    "half a run": (replaced(3, "1.5,out,1,99"), 3, "1.5 is no number of a run"),
    "twice": ([*whole(), *FIRST], 482, "run 1 out began further up"),
    "too few rows": ([*whole(), "4,out,0,100", "4,out,1,60"], 482, "run 4 out has 2 rows"),
    "time falls": (replaced(4, "1,out,0.5,99"), 4, "from 1 s to 0.5 s"),
    "gap": (without(10, 15), 12, "6 s are missing"),
    "speed rises": (replaced(30, "1,out,28,95"), 30, "the speed rises"),
    "hardly slower": ([*whole(), *(f"4,out,{second},{100 - second}" for second in range(20))], 482, "slows down by 19 km/h"),
    "speed of an aircraft": (replaced(2, "1,out,0,300"), 2, "outside"),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_refused(tmp_path: Path, name: str) -> None:
    lines, line, what = REFUSED[name]
    with pytest.raises(BuildError) as refused:
        read_coast_down(file(tmp_path, lines))
    problem = refused.value.problems[0]
    assert what in problem.what
    assert (problem.file, problem.line) == ("coast-down.csv", line)
    assert problem.allowed
    assert problem.mend


def test_missing_column_and_file(tmp_path: Path) -> None:
    with pytest.raises(BuildError, match="'direction' is missing"):
        read_coast_down(file(tmp_path, ["1,0,100"], "run,second,km_per_hour"))
    with pytest.raises(FileError):
        read_coast_down(tmp_path / "none.csv")
