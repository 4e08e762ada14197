"""Reads the coast-downs that a workshop drove: one CSV file with all runs, out and back; and what they say of the car."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from math import hypot, sqrt
from pathlib import Path

from voltwright.build.donor import CoastDown
from voltwright.parts.columns import Column, Columns, Held, read_columns
from voltwright.parts.trips import KM_PER_HOUR, MILE_PER_HOUR, MOST_SPEED
from voltwright.physics import air, road_load
from voltwright.physics.coast_down import LEAST_PAIRS, REFERENCE_PRESSURE, REFERENCE_TEMPERATURE, Run, evaluate
from voltwright.quantity.entry import Entry
from voltwright.quantity.errors import BuildError, Problem
from voltwright.quantity.provenance import Origin
from voltwright.quantity.spread import HALF_WIDTH_IN_SIGMA, normal
from voltwright.quantity.units import Unit

OUT, BACK = "out", "back"
LEAST_ROWS = 10
LEAST_FALL = 30.0  # km/h
LONGEST_STEP = 5.0  # s
MOST_RISE = 2.0  # km/h: what wind and logger may add from one row to the next


@dataclass(frozen=True)
class RoadLoad:
    """Force A + B v + C v², with C in air of 20 °C and 98.21 kPa. Without `b` it has no part that grows with v alone."""

    a: Entry
    b: Entry | None
    c: Entry


def road_load_of(runs: Sequence[Run], known: CoastDown, file: str) -> RoadLoad:
    """A and C of the runs, in reference air, with what pairs, scales, thermometer and turning wheels leave unsure.

    B is left out, as SAE J1263 does: a road's speeds hardly part it from A and C, and without it those two depend less on
    each other, so that drawing each by itself is nearly right. The mass's own spread enters A's share of the weight when A
    is divided by the mass. Raises BuildError where the pairs do not tell A or C from nothing.
    """
    assert known.mass is not None
    assert known.temperature is not None
    effective = road_load.effective_mass(mass=known.mass.value, factor=1.0 + road_load.WHEEL_SHARE)
    found = evaluate(runs, effective, _density(known), reference_density(), linear=False)
    turning = road_load.WHEEL_SHARE_HALF / HALF_WIDTH_IN_SIGMA / (1.0 + road_load.WHEEL_SHARE)
    weather = [_unsure(each) for each in (known.temperature, known.pressure) if each is not None]
    unsure_a = hypot(found.uncertainty[0], turning * found.A)
    unsure_c = hypot(found.uncertainty[2], *(each * found.C for each in (turning, _unsure(known.mass), *weather)))
    reason = f"{found.pairs} pairs of runs in {file}"
    a, c = _entry("A", found.A, unsure_a, "N", reason), _entry("C", found.C, unsure_c, "N/(m/s)²", reason)
    return RoadLoad(a, None, c)


def reference_density() -> float:
    """Density of the air to which C is referred, 40 CFR 1066.305(a). [kg/m³]"""
    return air.air_density(
        pressure=REFERENCE_PRESSURE, temperature=REFERENCE_TEMPERATURE, gas_constant=air.GAS_CONSTANT
    )


def _density(known: CoastDown) -> float:
    """Density of the air of the day. [kg/m³]"""
    assert known.temperature is not None
    pressure = known.pressure.value if known.pressure else air.air_pressure(
        altitude=known.altitude.value if known.altitude else 0.0,
        sea_pressure=air.SEA_PRESSURE,
        lapse_height=air.LAPSE_HEIGHT,
        exponent=air.PRESSURE_EXPONENT,
    )  # fmt: skip
    return air.air_density(pressure=pressure, temperature=known.temperature.value, gas_constant=air.GAS_CONSTANT)


def _unsure(entry: Entry) -> float:
    """Standard uncertainty as a share of the value."""
    spread = entry.spread
    parts = {"exact": 0.0, "normal": 0.5 / HALF_WIDTH_IN_SIGMA, "between": 1 / sqrt(12)}
    return (spread.high - spread.low) * parts[spread.kind] / entry.value


def _entry(name: str, value: float, unsure: float, unit: str, reason: str) -> Entry:
    """A coefficient as a measured value. Its whole spread must lie above nothing."""
    half = unsure * HALF_WIDTH_IN_SIGMA
    text = f"{value:.4g} ± {half:.2g} {unit}"
    if value <= half:
        what = f"the runs give a {name} of {text}, which may be nothing or less"
        mend = "drive more pairs on a calm day over a wide range of speeds, and look whether out and back are mixed up"
        raise BuildError(Problem(what, f"runs that tell {name} from 0", mend))
    origin = Origin("measured", where="donor.coast_down.file", reason=reason)
    return Entry(value, Unit(unit), text, Decimal(repr(value)), normal(value, half), origin)


def read_coast_down(path: Path | Held) -> tuple[Run, ...]:
    """The runs of a file with the columns run, direction (out or back), second, and km_per_hour or mph.

    Runs with the same number are a pair. Raises FileError or BuildError.
    """
    columns = read_columns(path, _columns)
    unit, scale = ("mph", MILE_PER_HOUR) if "mph" in columns.numbers else ("km_per_hour", KM_PER_HOUR)
    runs = tuple(_run(columns, rows, unit, scale) for rows in _apart(columns))
    named = [(run.number, run.out) for run in runs]
    numbers = sorted({number for number, _ in named})
    whole = [number for number in numbers if (number, True) in named and (number, False) in named]
    if len(whole) < LEAST_PAIRS:
        what = f"the file holds {len(whole)} whole {'pair' if len(whole) == 1 else 'pairs'} of runs"
        allowed = f"at least {LEAST_PAIRS} pairs, each a run out and a run back with the same number"
        raise BuildError(Problem(what, allowed, "drive more runs, in both directions", line=1, file=path.name))
    alone = [number for number in numbers if number not in whole]
    if alone:
        what = f"run {alone[0]} was driven in one direction only"
        mend = "add the run in the other direction, or take this one out"
        raise BuildError(Problem(what, "a run out and a run back with the same number", mend, "run", file=path.name))
    return runs


def _columns(head: Sequence[str]) -> tuple[Column, ...]:
    speed = Column("mph", 0.0, 155.0) if "mph" in head else Column("km_per_hour", 0.0, MOST_SPEED)
    return Column("run", 0.0, 1000.0), Column("direction", words=(OUT, BACK)), Column("second", -1e10, 1e10), speed


def _apart(columns: Columns) -> list[list[int]]:
    """The rows of each run; a run stands in one piece."""
    groups: list[list[int]] = []
    seen: set[tuple[float, str]] = set()
    before: tuple[float, str] | None = None
    for row, name in enumerate(zip(columns.numbers["run"], columns.words["direction"], strict=True)):
        if name[0] % 1:
            raise columns.refuse(row, f"{name[0]:g} is no number of a run", "whole numbers", "count the runs", "run")
        if name != before:
            if name in seen:
                what = f"run {name[0]:.0f} {name[1]} began further up already"
                mend = "keep its rows together, and give each run its own number"
                raise columns.refuse(row, what, "the rows of a run one after another", mend, "run")
            seen.add(name)
            groups.append([])
        groups[-1].append(row)
        before = name
    return groups


def _run(columns: Columns, rows: Sequence[int], unit: str, scale: float) -> Run:
    number, direction = columns.numbers["run"][rows[0]], columns.words["direction"][rows[0]]
    name = f"run {number:.0f} {direction}"
    seconds = tuple(columns.numbers["second"][row] for row in rows)
    speed = tuple(columns.numbers[unit][row] * scale for row in rows)
    if len(rows) < LEAST_ROWS:
        mend = "log the speed at least once a second"
        raise columns.refuse(rows[0], f"{name} has {len(rows)} rows", f"at least {LEAST_ROWS} rows", mend, "run")
    _must_roll_out(columns, rows, seconds, speed, unit)
    fall = (speed[0] - speed[-1]) / KM_PER_HOUR
    if fall < LEAST_FALL:
        what, allowed = f"{name} slows down by {fall:.0f} km/h", f"at least {LEAST_FALL:g} km/h"
        raise columns.refuse(rows[0], what, allowed, "let the car roll from a higher speed to a lower one", unit)
    return Run(int(number), direction == OUT, seconds, speed)


def _must_roll_out(
    columns: Columns, rows: Sequence[int], seconds: Sequence[float], speed: Sequence[float], unit: str
) -> None:
    """Times that rise without gaps, speeds that fall."""
    for row, (t0, t1), (v0, v1) in zip(rows[1:], pairwise(seconds), pairwise(speed), strict=True):
        if t1 <= t0:
            what, allowed = f"the time goes from {t0:g} s to {t1:g} s", "times that rise from row to row"
            raise columns.refuse(row, what, allowed, "put the rows in order, and take doubled ones out", "second")
        if t1 - t0 > LONGEST_STEP:
            what, allowed = f"{t1 - t0:g} s are missing before this row", f"steps of up to {LONGEST_STEP:g} s"
            raise columns.refuse(row, what, allowed, "log the speed at least once a second", "second")
        if (v1 - v0) / KM_PER_HOUR > MOST_RISE:
            what = f"the speed rises by {(v1 - v0) / KM_PER_HOUR:.1f} km/h"
            mend = "cut the run to the part where the car rolls freely, and take wrong readings out"
            raise columns.refuse(row, what, f"rises of up to {MOST_RISE:g} km/h from row to row", mend, unit)
