"""Trips: the speed traces of published law, steady speeds, and the duty's own traces from a CSV file."""

from __future__ import annotations

import difflib
import functools
import json
import math
from collections.abc import Sequence
from dataclasses import dataclass
from importlib.resources import files
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

from voltwright.parts.columns import Column, Columns, Held, read_columns
from voltwright.parts.profile import Profile
from voltwright.quantity.errors import BuildError, Problem
from voltwright.quantity.source import Source

KM_PER_HOUR = 1 / 3.6
MILE_PER_HOUR = 1609.344 / 3600
STEADY = tuple(range(50, 130, 10))  # km/h
STEADY_SECONDS = 600
LONGEST_GAP = 60.0  # s
MOST_CHANGE = 12.0  # m/s²: no car on road tyres does more
LEAST_STEP = 0.2  # s: over shorter steps the rounding of a logger looks like a jump
MOST_SPEED = 250.0  # km/h
LEAST_SPEED = 0.1  # m/s: a trace that never goes faster is that of a standing car
MOST_GRADE = 40.0  # %
MOST_SECONDS = 200_000  # of a trip at 1 Hz: two days and a bit


@dataclass(frozen=True)
class Trip:
    """Speed over time at 1 Hz, straight between the seconds: `seconds` [s], `speed` [m/s], `grade` [1] where it is known.

    `phases` names the parts of a published trip with the second at which each ends; `profile` is that of a route, and `heading`
    where it leads at each second [rad, clockwise from north].
    """

    name: str
    title: str
    seconds: tuple[float, ...]
    speed: tuple[float, ...]
    source: str
    grade: tuple[float, ...] = ()
    phases: tuple[tuple[str, int], ...] = ()
    remark: str = ""
    profile: Profile | None = None
    heading: tuple[float, ...] = ()

    @property
    def duration(self) -> float:
        """[s]"""
        return self.seconds[-1] - self.seconds[0]

    @functools.cached_property
    def distance(self) -> float:
        """[m]"""
        return math.fsum((a + b) / 2 for a, b in pairwise(self.speed))


def trip_names() -> tuple[str, ...]:
    """Every trip that can be named: those of law first, then the steady speeds."""
    return (*_index(), *(f"steady-{speed}" for speed in STEADY))


@functools.cache
def trip(name: str) -> Trip:
    """The trip of that name. Raises BuildError naming the nearest for an unknown one."""
    if name in _index():
        return _published(name)
    if name in trip_names():
        return _steady(int(name.removeprefix("steady-")))
    near = difflib.get_close_matches(name, trip_names(), n=2, cutoff=0.4)
    mend = f"write {' or '.join(near)}" if near else "write one of those names, or give a speed trace of your own"
    raise BuildError(Problem(f"no trip has the name '{name[:40]}'", ", ".join(trip_names()), mend))


def trip_title(name: str) -> str:
    """What people call a trip; a name that is none of these as it is, since the workshop chose it."""
    return str(_index()[name]["title"]) if name in _index() else _title(name)


def _title(name: str) -> str:
    speed = name.removeprefix("steady-")
    return f"steady {speed} km/h" if name in trip_names() else name


@functools.cache
def _index() -> dict[str, dict[str, Any]]:
    return json.loads(_folder().joinpath("index.json").read_text(encoding="utf-8"))


def _folder() -> Any:
    return files("voltwright.parts").joinpath("standards").joinpath("trips")


def _published(name: str) -> Trip:
    known = _index()[name]
    rows = _folder().joinpath(f"{name}.csv").read_text(encoding="utf-8").splitlines()[1:]
    speed = tuple(float(row.partition(",")[2]) / 3.6 for row in rows)
    phases = tuple((str(phase), int(end)) for phase, end in known["phases"])
    source = f"{Source(known['source'], known['place'])}; {known['seen']}"
    return Trip(name, known["title"], _whole(len(speed)), speed, source, phases=phases, remark=known["remark"])


def _steady(speed: int) -> Trip:
    title, source = _title(f"steady-{speed}"), "by definition: at speed from the first second to the last, level"
    count = STEADY_SECONDS + 1
    return Trip(f"steady-{speed}", title, _whole(count), (speed / 3.6,) * count, source)


def _whole(count: int) -> tuple[float, ...]:
    return tuple(float(second) for second in range(count))


def read_trace(path: Path | Held, name: str = "") -> Trip:
    """A speed trace of the workshop: CSV with `second` and `km_per_hour` or `mph`, and `grade_percent` where it is known.

    Time may begin anywhere; another step than one second is resampled by straight lines, the grade likewise.
    Raises FileError or BuildError.
    """
    columns = read_columns(path, _columns)
    unit, scale = ("mph", MILE_PER_HOUR) if "mph" in columns.numbers else ("km_per_hour", KM_PER_HOUR)
    seconds = columns.numbers["second"]
    speed = tuple(value * scale for value in columns.numbers[unit])
    _must_be_driven(columns, seconds, speed, unit)
    begun = [second - seconds[0] for second in seconds]
    count = math.ceil(round(begun[-1], 6)) + 1
    if count > MOST_SECONDS:
        what = f"the trip lasts {begun[-1] / 3600:.0f} hours"
        allowed = f"up to {MOST_SECONDS} s"
        raise columns.refuse(-1, what, allowed, "cut it into single trips, and check the unit of the times", "second")
    if max(speed) < LEAST_SPEED:
        what, mend = "the car stands from the first row to the last", "give a drive, and check the unit of the speeds"
        raise columns.refuse(-1, what, "a trace on which the car moves", mend, unit)
    grade = columns.numbers.get("grade_percent", ())
    slopes = _each_second(begun, [value / 100 for value in grade], count) if grade else ()
    title = f"speed trace {path.name}"
    return Trip(
        name or path.stem, title, _whole(count), _each_second(begun, speed, count), f"measured, {path.name}", slopes
    )


def _columns(head: Sequence[str]) -> tuple[Column, ...]:
    speed = Column("mph", 0.0, 155.0) if "mph" in head else Column("km_per_hour", 0.0, MOST_SPEED)
    grade = Column("grade_percent", -MOST_GRADE, MOST_GRADE, optional=True)
    return Column("second", -1e10, 1e10), speed, grade


def _must_be_driven(columns: Columns, seconds: Sequence[float], speed: Sequence[float], unit: str) -> None:
    """Times that rise without long gaps, and speeds that a car can follow."""
    if len(seconds) < 2:
        what = "there are too few rows below the head"
        allowed, mend = "at least 2 rows", "write one row for each second of the trip"
        raise BuildError(Problem(what, allowed, mend, line=1, file=columns.file))
    for row, ((t0, t1), (v0, v1)) in enumerate(zip(pairwise(seconds), pairwise(speed), strict=True), 1):
        step = t1 - t0
        if step <= 0:
            what, allowed = f"the time goes from {t0:g} s to {t1:g} s", "times that rise from row to row"
            raise columns.refuse(row, what, allowed, "put the rows in order, and take doubled ones out", "second")
        if step > LONGEST_GAP:
            what, allowed = f"the trace has a gap of {step:g} s before this row", f"gaps of up to {LONGEST_GAP:g} s"
            mend = "fill in what was driven, or cut the trace into two trips"
            raise columns.refuse(row, what, allowed, mend, "second")
        if abs(v1 - v0) > MOST_CHANGE * max(step, LEAST_STEP):
            what = f"the speed jumps by {abs(v1 - v0) * 3.6:.0f} km/h in {step:g} s"
            mend = "take the wrong reading out, and check the units of time and speed"
            raise columns.refuse(row, what, f"changes of up to {MOST_CHANGE:g} m/s²", mend, unit)


def _each_second(begun: Sequence[float], values: Sequence[float], count: int) -> tuple[float, ...]:
    """The values at every whole second, straight between the rows; the last part of a second holds the last value."""
    return tuple(float(value) for value in np.interp(np.arange(count), begun, values))
