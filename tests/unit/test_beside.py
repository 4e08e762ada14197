"""Files beside a build: coast-downs and speed traces are read from its folder and from nowhere else."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from voltwright.build.beside import LARGEST
from voltwright.build.reader import BuildFile, load, loads
from voltwright.build.variants import apply_variant
from voltwright.build.writer import changed
from voltwright.quantity.errors import BuildError, Problem
from voltwright.rules.dossier import assess

GOLDEN = Path(__file__).parent / "golden"
TEXT = (GOLDEN / "format-1-files.yaml").read_text(encoding="utf-8")
PLAIN = TEXT.partition("variants:\n")[0]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder inside another one, with a build and its files."""
    home = tmp_path / "cars" / "van"
    for each in ("traces", "routes"):
        (home / each).mkdir(parents=True)
    for name in ("coast-down.csv", "traces/market.csv", "routes/hill.gpx"):
        shutil.copy(GOLDEN / name, home / name)
    (home / "car.yaml").write_text(PLAIN, encoding="utf-8")
    return home


def read(folder: Path, old: str = "", new: str = "", text: str = PLAIN) -> BuildFile:
    assert not old or text.count(old) == 1
    return loads(text.replace(old, new) if old else text, "car.yaml", folder=folder)


def refused(folder: Path | None, old: str = "", new: str = "", text: str = PLAIN) -> Problem:
    with pytest.raises(BuildError) as caught:
        loads(text.replace(old, new) if old else text, "car.yaml", folder=folder)
    (problem,) = caught.value.problems
    assert problem.file
    assert problem.what
    assert problem.allowed
    assert problem.mend
    return problem


def test_runs_become_coefficients_with_a_spread(folder: Path) -> None:
    load_ = read(folder).beside.coast_down
    assert load_ is not None
    assert load_.b is None
    for entry, least, most in ((load_.a, 140, 170), (load_.c, 0.6, 0.85)):
        assert least < entry.value < most
        assert entry.spread.kind == "normal"
        assert entry.origin.how == "measured"
        assert "3 pairs of runs in coast-down.csv" in entry.origin.reason


def halved(made: BuildFile) -> tuple[float, float]:
    load_ = made.beside.coast_down
    assert load_ is not None
    return load_.a.spread.high - load_.a.value, load_.c.spread.high - load_.c.value


@pytest.mark.parametrize(
    ("old", "new", "a_widens"),
    [("1135 kg ± 6 kg", "1135 kg ± 60 kg", False), ("14 °C ± 1 K", "14 °C ± 10 K", False)],
)
def test_scales_and_thermometer_widen_the_drag(folder: Path, old: str, new: str, a_widens: bool) -> None:
    before, after = halved(read(folder)), halved(read(folder, old, new))
    assert after[1] > 1.05 * before[1]
    assert (after[0] > 1.05 * before[0]) == a_widens


def test_wheels_that_turn_are_in_the_spread(folder: Path) -> None:
    """The share of the wheels, 0.04 ± 0.01, makes each coefficient unsure by at least a hundredth."""
    load_ = read(folder).beside.coast_down
    assert load_ is not None
    assert halved(read(folder))[0] > 0.009 * load_.a.value


def test_altitude_stands_for_a_barometer(folder: Path) -> None:
    """ISO 2533, from memory: at 988 m the pressure is 90 kPa; there C in reference air is larger than it was on the road."""
    by_height = read(folder, "pressure: 99.4 .. 99.8 kPa", "altitude: 988 m").beside.coast_down
    by_pressure = read(folder, "pressure: 99.4 .. 99.8 kPa", "pressure: 90.0 kPa").beside.coast_down
    assert by_height is not None
    assert by_pressure is not None
    assert by_height.c.value == pytest.approx(by_pressure.c.value, rel=1e-3)
    assert by_height.a.value == pytest.approx(by_pressure.a.value)


def test_traces_come_by_the_name_of_their_journey(folder: Path) -> None:
    made = read(folder)
    assert list(made.traces) == ["market"]
    assert made.traces["market"].name == "market"
    assert made.traces["market"].grade
    assert dict(assess(made, with_bands=False).case.traces) == dict(made.traces)


# What is refused, and where it is said.


def outside(folder: Path) -> None:
    shutil.copy(folder / "traces" / "market.csv", folder.parent / "market.csv")
    (folder / "link.csv").symlink_to(folder.parent / "market.csv")


def inside(folder: Path) -> None:
    (folder / "link.csv").symlink_to(folder / "traces" / "market.csv")


def loop(folder: Path) -> None:
    (folder / "link.csv").symlink_to(folder / "link.csv")


def large(folder: Path) -> None:
    (folder / "link.csv").write_text("second,km_per_hour\n" + "0,0\n" * (LARGEST // 4), encoding="utf-8")


def pipe(folder: Path) -> None:
    os.mkfifo(folder / "link.csv")


@pytest.mark.parametrize(
    "name", ["../market.csv", "traces/../../market.csv", "/etc/hostname", "a//b.csv", ".", "..\\\\x.csv", "c:x.csv", "~/../x"]
)  # fmt: skip
def test_a_name_that_climbs_out_is_refused(folder: Path, name: str) -> None:
    outside(folder)
    problem = refused(folder, "traces/market.csv", f'"{name}"')
    assert (problem.path, problem.file) == ("duty.trips.1.trace", "car.yaml")
    assert "leads out of the folder" in problem.what
    assert problem.line == PLAIN[: PLAIN.index("traces/market")].count("\n") + 1


@pytest.mark.parametrize(
    ("make", "what"),
    [
        (outside, "leads out of the folder"),
        (loop, "cannot be read"),
        (large, "larger than 2 MB"),
        (pipe, "there is no file 'link.csv'"),
        (lambda folder: None, "there is no file 'link.csv'"),
        (lambda folder: (folder / "link.csv").mkdir(), "there is no file 'link.csv'"),
    ],
)
@pytest.mark.parametrize(
    ("old", "path"), [("traces/market.csv", "duty.trips.1.trace"), ("file: coast-down.csv", "donor.coast_down.file")]
)
def test_files_that_are_refused(folder: Path, make: Callable[[Path], Any], what: str, old: str, path: str) -> None:
    make(folder)
    problem = refused(folder, old, "file: link.csv" if "file:" in old else "link.csv")
    assert what in problem.what
    assert (problem.path, problem.file) == (path, "car.yaml")
    assert problem.line


def test_a_link_inside_the_folder_is_followed(folder: Path) -> None:
    inside(folder)
    assert read(folder, "traces/market.csv", "link.csv").traces["market"].duration > 50


def test_a_text_without_a_folder_may_name_no_files() -> None:
    problem = refused(None, "coast_down: {file: coast-down.csv", "cg_left: 0 m\n  #")
    assert "read without its folder" in problem.what
    assert problem.path == "duty.trips.1.trace"


def test_all_that_is_wrong_is_said_at_once(folder: Path) -> None:
    (folder / "coast-down.csv").unlink()
    (folder / "traces" / "market.csv").unlink()
    with pytest.raises(BuildError) as caught:
        read(folder)
    assert [each.path for each in caught.value.problems] == ["duty.trips.1.trace", "donor.coast_down.file"]


def test_a_row_is_named_where_it_stands(folder: Path) -> None:
    (folder / "traces" / "market.csv").write_text("second,km_per_hour\n0,0\n1,fast\n", encoding="utf-8")
    problem = refused(folder)
    assert (problem.file, problem.line) == ("market.csv", 3)
    assert "duty.trips.1.trace" in problem.what


def test_wrong_columns_are_named(folder: Path) -> None:
    (folder / "coast-down.csv").write_text("run,second,km_per_hour\n1,0,100\n", encoding="utf-8")
    problem = refused(folder)
    assert "'direction' is missing" in problem.what
    assert problem.file == "coast-down.csv"


def swapped(folder: Path, force: Callable[[float], float]) -> None:
    """Runs of a car that is held back by another force."""
    rows = ["run,direction,second,km_per_hour"]
    for number in (1, 2, 3):
        for way in ("out", "back"):
            speed, second = 30.0 + number / 10, 0
            while speed > 8 and second < 200:
                rows.append(f"{number},{way},{second},{speed * 3.6:.3f}")
                for _ in range(50):
                    speed -= force(speed) / 1180 / 50
                second += 1
    (folder / "coast-down.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")


@pytest.mark.parametrize(
    ("force", "name"), [(lambda v: 700 - 0.3 * v * v, "C"), (lambda v: -40 + 0.9 * v * v, "A")], ids=["C", "A"]
)
def test_runs_that_give_a_push_are_refused(folder: Path, force: Callable[[float], float], name: str) -> None:
    swapped(folder, force)
    problem = refused(folder)
    assert f"the runs give a {name} of" in problem.what
    assert "nothing or less" in problem.what
    assert problem.path == "donor.coast_down.file"


TYPED = "coast_down: {file: coast-down.csv, mass: 1135 kg ± 6 kg, temperature: 14 °C ± 1 K, pressure: 99.4 .. 99.8 kPa}"
WRONG = {
    "both": ("{file: coast-down.csv, a: 150 N, c: 0.7 N/(m/s)², mass: 1 t, temperature: 5 °C, altitude: 0 m}", "a does not"),
    "neither": ("{mass: 1135 kg}", "a is missing"),
    "no drag": ("{a: 150 N, mass: 1135 kg}", "c is missing"),
    "no mass": ("{file: coast-down.csv, temperature: 14 °C, altitude: 0 m}", "mass is missing"),
    "no temperature": ("{file: coast-down.csv, mass: 1135 kg, altitude: 0 m}", "temperature is missing"),
    "no pressure": ("{file: coast-down.csv, mass: 1135 kg, temperature: 14 °C}", "pressure is missing"),
    "two pressures": ("{file: coast-down.csv, mass: 1 t, temperature: 5 °C, altitude: 0 m, pressure: 100 kPa}", "altitude does not"),
    "air of what": ("{a: 150 N, c: 0.7 N/(m/s)², temperature: 14 °C}", "temperature does not"),
    "push of the air": ("{a: 150 N, c: -0.7 N/(m/s)²}", "outside what makes sense"),
    "push of the tyres": ("{a: 0 N, c: 0.7 N/(m/s)²}", "outside what makes sense"),
    "push in between": ("{a: 150 N, b: -30 N/(m/s), c: 0.7 N/(m/s)²}", "would push itself"),
}  # fmt: skip


@pytest.mark.parametrize("name", WRONG)
def test_a_coast_down_that_is_not_whole_is_refused(folder: Path, name: str) -> None:
    written, what = WRONG[name]
    problem = refused(folder, TYPED, f"coast_down: {written}")
    assert what in problem.what
    assert problem.path.startswith("donor.coast_down")
    assert problem.line


def test_a_typed_coast_down_needs_no_more_than_its_mass(folder: Path) -> None:
    for written in ("{a: 150 N, c: 0.7 N/(m/s)²}", "{a: 150 N, b: -0.5 N/(m/s), c: 0.7 N/(m/s)², mass: 1135 kg}"):
        made = read(folder, TYPED, f"coast_down: {written}")
        assert made.beside.coast_down is None
        assert assess(made, with_bands=False).case.road_load is not None


def test_a_journey_has_a_trip_or_a_trace(folder: Path) -> None:
    problem = refused(folder, "trace: traces/market.csv", "trip: udds, trace: traces/market.csv")
    assert problem.path == "duty.trips.1.trace"


# Variants, changes, and the hash.


def test_variants_are_read_with_their_files(folder: Path) -> None:
    made = read(folder, text=TEXT)
    for name in made.build.variants:
        document = replace(made.document, root=apply_variant(made.document.root, made.build, name))
        assert document.root["donor"]["coast_down"]
    started = "      donor.coast_down: {file: coast-down.csv"
    problem = refused(folder, started, started.replace("coast-down.csv", "none.csv"), text=TEXT)
    assert "there is no file 'none.csv'" in problem.what
    assert problem.path == "variants.without-a-barometer.changes.donor.coast_down.file"


def test_a_wrong_row_is_named_for_a_variant_too(folder: Path) -> None:
    (folder / "bad.csv").write_text("second,km_per_hour\n0,0\n1,fast\n", encoding="utf-8")
    problem = refused(folder, text=PLAIN + "variants:\n  a:\n    changes: {duty.trips.1.trace: bad.csv}\n")
    assert (problem.file, problem.line) == ("bad.csv", 3)
    assert "variant a" in problem.what


def test_a_change_keeps_the_folder(folder: Path) -> None:
    made = changed(load(folder / "car.yaml"), "brief.seats", 1)
    assert list(made.traces) == ["market"]
    assert made.folder == folder


@pytest.mark.parametrize("name", ["coast-down.csv", "traces/market.csv"])
def test_what_a_file_holds_is_in_the_hash(folder: Path, name: str) -> None:
    before = assess(read(folder), with_bands=False).fingerprint
    assert assess(read(folder), with_bands=False).fingerprint == before
    lines = (folder / name).read_text(encoding="utf-8").splitlines()
    cells = lines[5].split(",")
    cells[-1] = f"{float(cells[-1]) + 0.1:.2f}"
    lines[5] = ",".join(cells)
    (folder / name).write_text("\n".join(lines) + "\n", encoding="utf-8")
    assert assess(read(folder), with_bands=False).fingerprint != before


def test_a_trace_may_not_take_the_name_of_a_known_trip(tmp_path: Path) -> None:
    for name in ("van.yaml", "bakery-round.csv", "coast-down.csv"):
        shutil.copy(Path(__file__).parents[2] / "examples" / name, tmp_path)
    text = (tmp_path / "van.yaml").read_text(encoding="utf-8")
    (tmp_path / "van.yaml").write_text(text.replace("{name: town,", "{name: wltc-3b,"), encoding="utf-8")
    with pytest.raises(BuildError, match="the name of a trip that is known already"):
        load(tmp_path / "van.yaml")
