"""Reads the coast-downs that a workshop drove: one CSV file with all runs, out and back."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

from voltwright.parts.columns import Column, Columns, read_columns
from voltwright.parts.trips import KM_PER_HOUR, MILE_PER_HOUR, MOST_SPEED
from voltwright.physics.coast_down import LEAST_PAIRS, Run
from voltwright.quantity.errors import BuildError, Problem

OUT, BACK = "out", "back"
LEAST_ROWS = 10
LEAST_FALL = 30.0  # km/h
LONGEST_STEP = 5.0  # s
MOST_RISE = 2.0  # km/h: what wind and logger may add from one row to the next


def read_coast_down(path: Path) -> tuple[Run, ...]:
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
