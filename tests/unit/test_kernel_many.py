"""Many cars: told how far it is, stopped, the same on any number of threads, in memory that does not grow; and the cache."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import stat
import subprocess
import sys
import tracemalloc
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from kernel_cars import COUPE, VAN, cells, known, many
from voltwright.kernels import compiled, journey, lanes, trip
from voltwright.kernels.car import Car
from voltwright.kernels.journey import drive_many, drive_once, drive_until_empty, sprint

SOURCE = Path(__file__).parents[2] / "src"
TESTS = Path(__file__).parents[1]
COLUMNS = ("way", "time", "drawn", "pack", "chemistry")
# A small pack is soon empty.
SMALL = COUPE._replace(capacity=20e3, cell_factor=96.0)


def crowd(count: int) -> Car:
    return many(SMALL, mass=np.linspace(900.0, 2000.0, count))


def columns(driven: Any) -> Any:
    return np.array([getattr(driven, name) for name in COLUMNS])


@pytest.mark.parametrize("count", [1, 2, 31, 32, 33, 64, 65])
def test_any_number_of_cars(count: int) -> None:
    driven = drive_many(crowd(count), cells(), known("udds"))
    assert columns(driven).shape == (5, count)
    for at in {0, count // 2, count - 1}:
        masses: Any = crowd(count).mass
        mass = float(masses[at])
        alone = drive_until_empty(car=SMALL._replace(mass=mass), cells=cells(), asked=known("udds"))
        assert columns(driven)[:, at] == pytest.approx([getattr(alone, name) for name in COLUMNS], rel=1e-9)


def test_numbers_of_a_lane_are_those_of_a_car() -> None:
    assert len(Car._fields) == lanes.NUMBERS
    row = np.arange(lanes.NUMBERS * lanes.LANES, dtype=float)
    assert tuple(lanes.car_at(row, 3)) == tuple(range(3, lanes.NUMBERS * lanes.LANES, lanes.LANES))


@pytest.mark.parametrize("threads", [1, 2, 5])
def test_threads_change_nothing(monkeypatch: pytest.MonkeyPatch, threads: int) -> None:
    expected = columns(drive_many(crowd(100), cells(), known("udds")))
    with ThreadPoolExecutor(threads) as pool:
        monkeypatch.setattr(journey, "_pools", [pool])
        got = columns(drive_many(crowd(100), cells(), known("udds")))
        again = columns(drive_many(crowd(100), cells(), known("udds")))
    assert got.tobytes() == expected.tobytes() == again.tobytes()


def test_progress_counts_up_to_all() -> None:
    told: list[tuple[int, int]] = []
    drive_many(crowd(100), cells(), known("udds"), progress=lambda done, of: told.append((done, of)))
    assert told == [(32, 100), (64, 100), (96, 100), (100, 100)]


def test_stop(monkeypatch: pytest.MonkeyPatch) -> None:
    """Read between chunks: what was driven stays, the rest is nan, and no chunk is begun any more."""
    asked: list[int] = []

    def stopped() -> bool:
        asked.append(1)
        return len(asked) > 2

    with ThreadPoolExecutor(1) as pool:
        monkeypatch.setattr(journey, "_pools", [pool])
        told: list[int] = []
        driven = drive_many(
            crowd(160), cells(), known("udds"), stopped=stopped, progress=lambda done, of: told.append(done)
        )
    assert np.isfinite(driven.way[:64]).all()
    assert np.isnan(columns(driven)[:, 64:]).all()
    assert told[-1] == 64


def test_cars_that_cannot_do_the_trip() -> None:
    cars = many(SMALL, power_peak=[90e3, 5e3, 90e3], pull_out=[9e7, 5e6, 9e7], torque_peak=[260.0, 10.0, 260.0])
    driven = drive_many(cars, cells(), known("us06"))
    assert np.isnan(columns(driven)[:, 1]).all()
    assert np.isfinite(columns(driven)[:, [0, 2]]).all()
    once = drive_many(cars, cells(), known("us06"), once=True)
    assert np.isfinite(columns(once)).all(), "driven once it comes as far as it comes"


def peak_memory(count: int) -> int:
    cars = crowd(count)
    tracemalloc.start()
    drive_many(cars, cells(), known("steady-120"))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return peak


def test_memory_grows_with_numbers_and_results_alone() -> None:
    """Numbers stand twice while they are gathered (53 of 8 bytes each), results once; no course of any car is kept."""
    peak_memory(64)
    grown = (peak_memory(8000) - peak_memory(2000)) / 6000
    assert grown < 2.5 * 8 * (lanes.NUMBERS + len(lanes.RESULTS))


def test_arrays_of_cars_driven_once_keep_no_course() -> None:
    cars = many(VAN, mass=np.linspace(1000.0, 2000.0, 200))
    drive_once(car=VAN, cells=cells(), asked=known("wltc-3b"))  # compiled, and the trip read
    tracemalloc.start()
    drive_once(car=cars, cells=cells(), asked=known("wltc-3b"))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 200 * 1800 * 8, "less than one number for each step of each car"


# What the copy of the package is asked: the smallest loop that knows the road, where its cache is, what its sources hash to.
ASKED = """
import json
import numpy as np
from kernel_cars import COUPE, known
from voltwright.kernels import compiled, trip
import voltwright
asked = known("steady-100")
power, *others = (np.empty(len(asked.grade)) for _ in range(4))
trip.plan(COUPE, asked.speed, asked.grade, asked.head, asked.step, others[0], power, others[1], others[2])
loop = trip.plan
hits = sum(loop.stats.cache_hits.values())
print(json.dumps([power[5], compiled.source_hash(), loop._cache.cache_path, hits, voltwright.__file__]))
"""


def ask(copy: Path, cache: Path, first: str = "") -> tuple[float, str, Path, int]:
    there = {**os.environ, "VOLTWRIGHT_CACHE": str(cache), "PYTHONPATH": os.pathsep.join((str(copy), str(TESTS)))}
    there.pop("NUMBA_CACHE_DIR", None)
    run = subprocess.run(
        [sys.executable, "-c", first + ASKED], capture_output=True, text=True, env=there, check=False, cwd=cache.parent
    )
    assert run.returncode == 0, run.stderr[-2000:]
    power, digest, folder, hits, file = json.loads(run.stdout)
    assert Path(file).is_relative_to(copy)
    return power, digest, Path(folder), hits


@pytest.mark.parametrize("first", ["", "import numba\n"], ids=["alone", "numba loaded before"])
def test_the_cache_knows_its_sources(tmp_path: Path, first: str) -> None:
    copy, cache = tmp_path / "copy", tmp_path / "cache"
    shutil.copytree(SOURCE / "voltwright", copy / "voltwright", ignore=shutil.ignore_patterns("__pycache__", "*.nb?"))
    before, hash_before, folder, hits = ask(copy, cache, first)
    assert hits == 0
    assert folder.is_relative_to(cache)
    assert ask(copy, cache, first) == (before, hash_before, folder, 1), "the second time it is read from the cache"

    law = copy / "voltwright" / "physics" / "road_load.py"
    text = law.read_text(encoding="utf-8")
    whole = "density * drag_area * air_speed * abs(air_speed) / 2.0"
    assert text.count(whole) == 1
    law.write_text(text.replace(whole, whole.replace("2.0", "4.0")), encoding="utf-8")
    after, hash_after, elsewhere, hits = ask(copy, cache, first)
    assert hash_after != hash_before
    assert elsewhere != folder
    assert hits == 0
    assert after < 0.8 * before, "half the drag at 100 km/h"
    assert not list(copy.rglob("*.nb?")), "nothing is kept beside the sources"


def test_source_hash_is_that_of_the_files() -> None:
    digest = hashlib.sha256()
    for package in ("physics", "kernels"):
        for file in sorted((SOURCE / "voltwright" / package).glob("*.py")):
            digest.update(file.name.encode() + file.read_bytes())
    assert compiled.source_hash() == digest.hexdigest()[:16]


def test_a_folder_that_cannot_be_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Loops are then compiled for this process alone."""
    locked = tmp_path / "locked"
    locked.mkdir()
    locked.chmod(stat.S_IRUSR | stat.S_IXUSR)
    monkeypatch.setenv("VOLTWRIGHT_CACHE", str(locked))
    monkeypatch.setattr(os, "access", lambda *_: False)  # the superuser may write everywhere
    folder = compiled.cache_folder()
    assert not folder.is_relative_to(locked)
    assert folder.is_dir()
    folder.rmdir()
    file = tmp_path / "file"
    file.write_text("no folder")
    monkeypatch.setenv("VOLTWRIGHT_CACHE", str(file))
    folder = compiled.cache_folder()
    assert folder.is_dir()
    folder.rmdir()


def test_a_drive_without_a_place_for_the_cache(tmp_path: Path) -> None:
    copy, blocked = tmp_path / "copy", tmp_path / "no folder"
    shutil.copytree(SOURCE / "voltwright", copy / "voltwright", ignore=shutil.ignore_patterns("__pycache__", "*.nb?"))
    blocked.write_text("a file stands where the folder would be")
    power, _, folder, _ = ask(copy, blocked)
    course = drive_once(car=COUPE, cells=cells(), asked=known("steady-100")).course
    assert course is not None
    assert power == pytest.approx(course.power[5], rel=1e-12)
    assert not folder.is_relative_to(tmp_path)


def test_more_gears_are_never_slower() -> None:
    """A motor whose torque falls off early: with all gears the car gets as fast as in the best single one, or faster."""
    car = COUPE._replace(pull_out=3e7, shift_turning=1200.0, heating=1e9)
    ratios = (car.ratio_1, car.ratio_2, car.ratio_3, car.ratio_4)
    whole = sprint(car=car, cells=cells(), rise=0.2).top
    for ratio in ratios:
        locked = car._replace(**{f"ratio_{number}": ratio for number in range(1, 7)})
        locked = locked._replace(speed_top=min(60.0, 1200.0 * car.radius / ratio))
        assert whole >= sprint(car=locked, cells=cells(), rise=0.2).top - 1e-6


@pytest.mark.parametrize("many_cars", [False, True])
def test_a_road_that_only_falls_has_no_range(many_cars: bool) -> None:
    down = journey.journey("down", "downhill", np.full(61, 15.0), np.full(60, -0.07))
    car = COUPE._replace(charge=0.5)
    if many_cars:
        assert np.all(np.isnan(drive_many(many(car, mass=[1200.0, 1300.0, 1400.0]), cells(), down).way))
    else:
        driven = drive_until_empty(car=car, cells=cells(), asked=down)
        assert (driven.status, driven.trips) == (trip.GAINS, 1)


def test_a_full_pack_takes_nothing_back() -> None:
    down = journey.journey("down", "downhill", np.full(301, 15.0), np.full(300, -0.07))
    car = COUPE._replace(charge=1.0, voltage_max=1000.0)
    for step in (drive_once(car=car, cells=cells(), asked=down).course,):
        assert step is not None
        assert float(np.max(step.charge)) <= 1.0 + 1e-4


def test_lanes_leave_a_road_that_only_falls_after_one_trip() -> None:
    down = journey.journey("down", "downhill", np.full(61, 15.0), np.full(60, -0.07))
    numbers = np.repeat(np.array(COUPE._replace(charge=0.5), dtype=float)[:, None], lanes.LANES, axis=1).ravel()
    out = np.empty(len(lanes.RESULTS) * lanes.LANES)
    lanes.drive_lanes(
        numbers,
        cells().rest,
        cells().ohm,
        down.speed,
        down.grade,
        down.head,
        down.throttle,
        1.0,
        down.way,
        0.98,
        5.0,
        out,
    )
    time = out.reshape(len(lanes.RESULTS), lanes.LANES)[lanes.RESULTS.index(lanes.TIME)]
    assert list(time) == [60.0] * lanes.LANES


def test_a_pack_that_gives_out_when_nearly_empty_has_a_range_alone_and_beside_others() -> None:
    """Below about a fifth the pack no longer gives what the trip asks: that is the end of the range; half full it is none."""
    trip_asked = known("steady-100")
    low, early = COUPE._replace(voltage_min=314.0), COUPE._replace(voltage_min=345.0)
    alone = [drive_until_empty(car=car, cells=cells(), asked=trip_asked) for car in (low, early)]
    beside = drive_many(many(COUPE, voltage_min=[314.0, 345.0]), cells(), trip_asked)
    assert [each.status for each in alone] == [trip.EMPTY, trip.BEHIND]
    assert alone[0].way > 5 * trip_asked.way
    left = COUPE.charge - alone[0].drawn / COUPE.capacity
    assert COUPE.charge_empty + 0.02 < left < journey.LOW_CHARGE
    assert beside.way[0] == pytest.approx(alone[0].way, rel=1e-9)
    assert np.isnan(beside.way[1])
