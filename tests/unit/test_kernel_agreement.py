"""The compiled loops against the same loops in plain Python, and many cars side by side against each by itself."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from kernel_cars import COUPE, LIMITED, VAN, cells, hilly, known, many, windy
from voltwright.kernels.car import Car
from voltwright.kernels.journey import Journey, drive_many, drive_once, drive_until_empty, journey, sprint
from voltwright.kernels.trip import EMPTY

SAME = 1e-9
TESTS = Path(__file__).parents[1]
COLUMNS = ("way", "time", "drawn", "pack", "chemistry")
SMALL = COUPE._replace(capacity=9e3, cell_factor=96.0)  # empty after a few kilometres
STRANGE = {
    "ordinary": COUPE,
    "van": VAN,
    "gale": COUPE._replace(wind=17.0),
    "small pack": SMALL,
    "cold": COUPE._replace(temperature=265.0, surroundings=265.0),
    "warm and sagging": COUPE._replace(
        torque_continuous=60.0, power_continuous=20e3, heating=15.0, power_peak=40e3, voltage_motor=450.0
    ),
    "strong pack, weak motor": COUPE._replace(power_peak=25e3, pull_out=25e3 * 900.0, voltage_motor=300.0),
    **LIMITED,
}


def short(asked: Journey, steps: int) -> Journey:
    return journey(
        asked.name, asked.title, asked.speed[: steps + 1], asked.grade[:steps], asked.step, asked.head[:steps]
    )


def answers() -> dict[str, list[float]]:
    """What both ways of running must agree on: two cars in every respect, and a chunk of lanes."""
    found: dict[str, list[float]] = {}
    for name, car, asked in (
        ("fast path", COUPE, short(known("wltc-3b"), 600)),
        ("limits", VAN._replace(power_peak=40e3, torque_continuous=60.0, heating=20.0), short(windy(), 500)),
        ("cold and full", COUPE._replace(temperature=270.0, charge=1.0, voltage_max=388.0), short(known("udds"), 200)),
    ):
        driven = drive_once(car=car, cells=cells(), asked=asked)
        assert driven.course is not None
        course = driven.course
        sums = [float(np.sum(each)) for each in (course.speed, course.torque, course.current, course.voltage)]
        found[name] = [*(getattr(driven, each) for each in COLUMNS), *driven.ledger.values(), *sums]
        assert bool(driven.held) == (name != "fast path" and name != "cold and full")
    empty = drive_until_empty(car=SMALL, cells=cells(), asked=short(known("us06"), 130))
    found["until empty"] = [*(getattr(empty, each) for each in COLUMNS), float(empty.trips)]
    side = drive_many(lanes(), cells(), short(known("us06"), 60), once=True)
    found["lanes"] = [float(each) for name in COLUMNS for each in getattr(side, name)]
    return found


def lanes() -> Car:
    return stacked(list(STRANGE.values()))


def stacked(cars: list[Car]) -> Car:
    rows: Any = [np.array(each) for each in zip(*cars, strict=True)]
    return Car(*rows)


def test_compiled_loops_do_what_the_readable_ones_do(tmp_path: Path) -> None:
    paths = os.pathsep.join(str(each) for each in (TESTS, TESTS / "unit", TESTS.parent / "src"))
    there = {**os.environ, "NUMBA_DISABLE_JIT": "1", "VOLTWRIGHT_CACHE": str(tmp_path), "PYTHONPATH": paths}
    code = (
        "import json, numba, test_kernel_agreement as t;assert numba.config.DISABLE_JIT; print(json.dumps(t.answers()))"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, env=there, check=False)
    assert run.returncode == 0, run.stderr[-2000:]
    plain = json.loads(run.stdout)
    compiled = answers()
    assert set(plain) == set(compiled)
    for name, expected in plain.items():
        assert compiled[name] == pytest.approx(expected, rel=SAME, abs=1e-6), name


@pytest.mark.parametrize("name", STRANGE)
@pytest.mark.parametrize("asked", ["us06", "windy", "steady-110"])
def test_side_by_side_is_as_alone(asked: str, name: str) -> None:
    """One car alone, and as one of several in a chunk of cars that limits hold back in other steps."""
    trip = windy() if asked == "windy" else known(asked)
    alone = drive_until_empty(car=STRANGE[name], cells=cells(), asked=trip)
    at = list(STRANGE).index(name)
    beside = drive_many(lanes(), cells(), trip)
    for column in COLUMNS:
        got = float(getattr(beside, column)[at])
        if np.isnan(got):
            assert alone.status != EMPTY, "the car empties its pack, or runs low"
        else:
            assert got == pytest.approx(getattr(alone, column), rel=SAME), column


def test_neighbours_change_nothing() -> None:
    """A chunk of one car 32 times, and the same car among cars that are held back at other times."""
    for name, car in STRANGE.items():
        by_itself = drive_many(stacked([car] * 3), cells(), known("us06"), once=True)
        among = drive_many(stacked([car, *STRANGE.values()]), cells(), known("us06"), once=True)
        for column in COLUMNS:
            alone = float(getattr(by_itself, column)[0])
            assert getattr(among, column)[0] == pytest.approx(alone, rel=SAME), (name, column)


def test_a_pack_that_is_empty_before_a_long_trip_ends_has_a_range_all_the_same() -> None:
    long = journey("long", "a long way", np.full(20_001, 20.0))
    alone = drive_until_empty(car=SMALL, cells=cells(), asked=long)
    beside = drive_many(stacked([SMALL, COUPE]), cells(), long)
    assert 0.0 < alone.way < 0.5 * long.way
    assert float(beside.way[0]) == pytest.approx(alone.way, rel=SAME)


def test_a_trip_that_begins_too_fast_gives_nothing_for_free() -> None:
    """A car of 119 km/h at a steady 120 km/h begins at its own top speed: it has no speed to brake off."""
    slow = COUPE._replace(speed_top=119.0 / 3.6)
    alone = drive_once(car=slow, cells=cells(), asked=known("steady-120"))
    assert alone.course is not None
    assert alone.course.current.min() > 0.0
    beside = drive_many(stacked([slow, slow]), cells(), known("steady-120"), once=True)
    assert float(beside.pack[1]) == pytest.approx(alone.pack, rel=SAME)


def test_arrays_of_cars_keep_a_ledger_each() -> None:
    cars = many(COUPE, mass=[1200.0, 1600.0])
    both: Any = drive_once(car=cars, cells=cells(), asked=known("udds"))
    for at, mass in enumerate((1200.0, 1600.0)):
        one = drive_once(car=COUPE._replace(mass=mass), cells=cells(), asked=known("udds"))
        assert both.pack[at] == one.pack
        assert {name: each[at] for name, each in both.ledger.items()} == one.ledger


def test_a_sprint_of_many_is_that_of_each() -> None:
    rises: Any = np.array([0.0, 0.2, 1.0])
    cars = many(COUPE, mass=[1200.0, 1330.0, 2000.0])
    together: Any = sprint(car=cars, cells=cells(), rise=rises)
    for at, (mass, rise) in enumerate(zip((1200.0, 1330.0, 2000.0), rises, strict=True)):
        alone = sprint(car=COUPE._replace(mass=mass), cells=cells(), rise=float(rise))
        for mark, time in alone.times.items():
            assert float(together.times[mark][at]) == pytest.approx(time, rel=SAME)


def test_a_finer_trip_is_the_same_trip() -> None:
    from voltwright.kernels.journey import finer

    asked = replace(hilly())
    split = finer(asked, 4)
    assert split.way == pytest.approx(asked.way, rel=1e-12)
    assert split.step * len(split.grade) == asked.step * len(asked.grade)
    at: Any = np.arange(0, len(split.speed), 4)
    assert split.speed[at] == pytest.approx(asked.speed)
    assert split.grade[::4] == pytest.approx(asked.grade)
