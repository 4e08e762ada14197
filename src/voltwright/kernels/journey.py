"""What the loops are asked, and what they answer: a journey, one car or many, and how far they came."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from typing import Annotated, Any

import numpy as np

from voltwright.kernels import lanes, trip
from voltwright.kernels.car import Car, Tables
from voltwright.kernels.step import LIMITS
from voltwright.quantity.formula import procedure
from voltwright.quantity.types import Fraction, Joule, Kelvin, Metre, MetrePerSecond, Number, Second
from voltwright.quantity.units import Unit

LEAST_SHARE = 0.98  # of the way of a trip: a car that falls further behind cannot do it
LOW_CHARGE = (
    0.3  # with no more than this left, falling behind is the end of the range and not a trip that cannot be done
)
MOST_TRIPS = 10_000
ROUNDING = 1e-9  # of the energy from the pack: less of it in a part of the ledger is what sums leave over
PARTS = {
    "air": trip.AIR,
    "tyres": trip.TYRES,
    "climb": trip.CLIMB,
    "brakes": trip.BRAKES,
    "gears": trip.GEARS,
    "motor": trip.MOTOR,
    "inverter": trip.INVERTER,
    "accessories": trip.ACCESSORIES,
    "cells": trip.CELLS,
    "kinetic": trip.KINETIC,
}


@dataclass(frozen=True, eq=False)
class Journey:
    """Speed [m/s] at even steps [s], one more than there are grades [1]; `way` [m] is that of a car that keeps up.

    `head` [1] is the share of the wind that blows against the car in each step.
    """

    name: str
    title: str
    speed: Any
    grade: Any
    head: Any
    step: float
    way: float
    throttle: Any

    def __str__(self) -> str:
        return f"trip of {len(self.grade)} steps of {self.step:g} s, {self.title}"


def journey(name: str, title: str, speed: Any, grade: Any = (), step: float = 1.0, head: Any = ()) -> Journey:
    """A journey from speeds at even steps; the level road where no grade is given, and the wind straight against the car."""
    speeds = np.asarray(speed, dtype=float)
    steps = len(speeds) - 1
    grades = np.asarray(grade, dtype=float)[:steps] if len(grade) else np.zeros(steps)
    heads = np.asarray(head, dtype=float)[:steps] if len(head) else np.ones(steps)
    way = float(np.sum(speeds[1:] + speeds[:-1]) / 2 * step)
    return Journey(name, title, speeds, grades, heads, step, way, np.ones(steps))


def finer(known: Journey, parts: int) -> Journey:
    """The same journey in steps of a fraction of the length."""
    count = len(known.grade)
    at = np.arange(count * parts + 1) / parts
    speed = np.interp(at, np.arange(count + 1), known.speed)
    return journey(
        known.name, known.title, speed, np.repeat(known.grade, parts), known.step / parts, np.repeat(known.head, parts)
    )


@dataclass(frozen=True, eq=False)
class Course:
    """What one car did at every step: speed has one more than the others. m/s, N·m, W, A, 1, K, V"""

    speed: Any
    torque: Any
    power: Any
    current: Any
    charge: Any
    temperature: Any
    voltage: Any


@dataclass(frozen=True, eq=False)
class Driven:
    """How far one car (floats) or many (arrays) came: way [m], time [s], charge drawn [C], energy [J] of pack and chemistry.

    `ledger` [J by part], `held` [s by limit] and `status` are known of one car, `course` if it drove once; `warmest` cells [K]
    are those of a car or of many that drove once.
    """

    way: Any
    time: Any
    drawn: Any
    pack: Any
    chemistry: Any
    status: int = trip.WHOLE
    trips: int = 1
    ledger: Mapping[str, Any] = field(default_factory=dict[str, Any])
    held: Mapping[str, float] = field(default_factory=dict[str, float])
    course: Course | None = None
    warmest: Any = None

    def __str__(self) -> str:
        if np.ndim(self.way):
            return f"{len(self.way)} cars driven"
        return f"{self.way / 1000:.2f} km in {self.time / 3600:.2f} h, {self.trips} times, {self.pack / 3.6e6:.3f} kWh"


@procedure(
    symbol="D_1",
    words="simulated step by step over the trip once, every loss booked; described in docs/theory/trips.md",
)
def drive_once(car: Car, cells: Tables, asked: Journey) -> Annotated[Driven, Unit("1")]:
    """One car over the journey once; arrays in the car are many cars, each driven by itself so that its ledger is kept."""
    if not any(np.ndim(each) for each in car):
        return _drive(Car(*(float(each) for each in car)), cells, asked, once=True)
    columns = np.broadcast_arrays(*(np.asarray(each, dtype=float) for each in car))
    cars = [Car(*(float(each) for each in row)) for row in zip(*columns, strict=True)]
    runs: list[Driven] = [Driven(0.0, 0.0, 0.0, 0.0, 0.0)] * len(cars)

    def run(at: int) -> int:
        # What each did at every step is let go of at once: it would fill the memory.
        runs[at] = replace(_drive(cars[at], cells, asked, once=True), course=None)
        return 1

    list(on_pool(run, range(len(cars))))
    ledger: dict[str, Any] = {name: np.array([run.ledger[name] for run in runs]) for name in PARTS}
    way, time, drawn, pack, chemistry, warmest = (
        np.array([getattr(run, name) for run in runs])
        for name in ("way", "time", "drawn", "pack", "chemistry", "warmest")
    )
    return Driven(way, time, drawn, pack, chemistry, ledger=ledger, warmest=warmest)


def course_of(car: Car, cells: Tables, asked: Journey) -> Course:
    """What one car does at every step of the journey."""
    driven = _drive(Car(*(float(each) for each in car)), cells, asked, once=True)
    assert driven.course is not None
    return driven.course


@procedure(symbol="E_b", words="the pack's power added up over the drive")
def energy_of(driven: Driven) -> Joule:
    """Energy at the terminals of the pack. [J]"""
    return driven.pack


@procedure(symbol="E_ch", words="the current times the voltage at rest added up over the drive")
def chemistry_of(driven: Driven) -> Joule:
    """Energy that left the cells' chemistry. [J]"""
    return driven.chemistry


@procedure(symbol="d", words="the speed added up over the drive")
def way_of(driven: Driven) -> Metre:
    """How far it went. [m]"""
    return driven.way


@procedure(symbol="E_p", words="this part of the ledger of the drive; what is only left over by rounding is none")
def part_of(driven: Driven, part: str) -> Joule:
    """Where some of the energy went. [J]"""
    booked = driven.ledger[part]
    kept: Any = np.where(np.abs(booked) > ROUNDING * np.abs(driven.pack), booked, 0.0)
    return kept if np.ndim(kept) else float(kept)


@procedure(symbol="s_a", words="the charge at the start, less what was drawn by the capacity")
def charge_left_of(driven: Driven, car: Car) -> Fraction:
    """Charge at the end of the drive. [1]"""
    return car.charge - driven.drawn / car.capacity


@procedure(symbol="T_w", words="the highest temperature of the cells at any step of the drive")
def warmest_of(driven: Driven) -> Kelvin:
    """How warm the cells became. [K]"""
    return driven.warmest


def _drive(car: Car, cells: Tables, asked: Journey, *, once: bool) -> Driven:
    count = len(asked.grade)
    state, held, book = np.zeros(trip.STATE), np.zeros(len(LIMITS)), np.zeros(trip.LEDGER)
    planned = tuple(np.empty(count) for _ in range(4))
    done = (np.empty(count + 1), *(np.empty(count) for _ in range(6)))
    trip.start(car, cells.rest, cells.ohm, asked.speed[0], state)
    way = (car, cells.rest, cells.ohm, asked.speed, asked.grade, asked.head, asked.throttle, asked.step)
    if once:
        status, steps, pack = trip.whole_trip(*way, state, planned, done, held, book)
        trips = 1
    else:
        steps = 0
        status, trips, pack = trip.until_empty(
            *way, asked.way, LEAST_SHARE, MOST_TRIPS, state, planned, done, held, book
        )
    if status != trip.WHOLE and state[trip.CHARGE] <= LOW_CHARGE:
        status = trip.EMPTY  # the pack no longer gives what the trip asks: to the driver it is empty
    course = Course(done[0][: steps + 1], *(each[:steps] for each in done[1:])) if once else None
    return Driven(
        float(book[trip.WAY]),
        float(book[trip.TIME]),
        float(book[trip.DRAWN]),
        float(pack),
        float(book[trip.CHEMISTRY]),
        int(status),
        int(trips),
        {name: float(book[row]) for name, row in PARTS.items()},
        {name: float(each) for name, each in zip(LIMITS, held, strict=True) if each > 0.0},
        course,
        float(np.max(course.temperature, initial=car.temperature)) if course is not None else None,
    )


@procedure(
    symbol="D",
    words="simulated step by step, the trip again and again until the lowest charge that is used; described in docs/theory/trips.md",
    valid="2 % of a trip's way may be lost to a limit; beyond that the range ends, or with more than 30 % left the trip cannot be done",
)
def drive_until_empty(car: Car, cells: Tables, asked: Journey) -> Annotated[Driven, Unit("1")]:
    """Drive the journey again and again until the pack is empty. Arrays in the car are many cars, driven side by side."""
    if not any(np.ndim(each) for each in car):
        return _drive(Car(*(float(each) for each in car)), cells, asked, once=False)
    return drive_many(car, cells, asked)


def drive_many(
    car: Car,
    cells: Tables,
    asked: Journey,
    *,
    once: bool = False,
    progress: Callable[[int, int], None] | None = None,
    stopped: Callable[[], bool] | None = None,
) -> Driven:
    """Many cars side by side, in chunks on a pool of threads. `progress` is told cars done and cars in all.

    A run that is `stopped` leaves the cars that were not driven as nan.
    """
    numbers, count = numbers_of(car)
    most = 1.0 if once else float(MOST_TRIPS)
    results = np.full((len(lanes.RESULTS), numbers.shape[1]), np.nan)

    def run(first: int) -> int:
        if stopped is not None and stopped():
            return 0
        chunk = np.ascontiguousarray(numbers[:, first : first + lanes.LANES]).ravel()
        out = np.empty(len(lanes.RESULTS) * lanes.LANES)
        lanes.drive_lanes(
            chunk, cells.rest, cells.ohm, asked.speed, asked.grade, asked.head, asked.throttle, asked.step,
            asked.way, 0.0 if once else LEAST_SHARE, most, out,
        )  # fmt: skip
        results[:, first : first + lanes.LANES] = out.reshape(len(lanes.RESULTS), lanes.LANES)
        return lanes.LANES

    done = 0
    for cars in on_pool(run, range(0, numbers.shape[1], lanes.LANES)):
        done += cars
        if progress is not None:
            progress(min(done, count), count)
    way, time, drawn, pack, chemistry, emptied = (row[:count] for row in results)
    if not once:
        # Fallen behind with charge left: how far the car came till then is no range.
        left = car.charge - drawn / car.capacity
        cannot = (emptied == 0.0) & (left > LOW_CHARGE)
        way, time, drawn, pack, chemistry = (
            np.where(cannot, np.nan, row) for row in (way, time, drawn, pack, chemistry)
        )
    return Driven(way, time, drawn, pack, chemistry)


def numbers_of(car: Car) -> tuple[Any, int]:
    """The cars as rows of fields, filled up to whole chunks with the last; and how many there are."""
    columns = np.array(np.broadcast_arrays(*(np.asarray(each, dtype=float) for each in car)))
    count = columns.shape[1]
    return np.pad(columns, ((0, 0), (0, -count % lanes.LANES)), mode="edge"), count


_pools: list[ThreadPoolExecutor] = []


THREADS = max(1, min(8, os.cpu_count() or 1))
MOST_AT_ONCE = 8


def on_pool(run: Callable[[int], int], pieces: range) -> Iterator[int]:
    """Run each piece on the one pool of the process, and say how much was done after every few.

    They are handed over some at a time, for that costs as much as a short drive. The result does not depend on how many
    threads there are.
    """
    if len(pieces) == 1:  # nothing to share out
        return iter((run(pieces[0]),))
    if not _pools:
        _pools.append(ThreadPoolExecutor(THREADS, thread_name_prefix="kernel"))
    some = max(1, min(MOST_AT_ONCE, len(pieces) // (4 * THREADS)))
    starts = range(0, len(pieces), some)
    return _pools[0].map(lambda start: sum(run(each) for each in pieces[start : start + some]), starts)


@dataclass(frozen=True, eq=False)
class Sprint:
    """When a car, or each of many, passes speeds at full power, and how fast it becomes.

    Time [s] and changes of gear by speed [m/s], nan where it never gets there; `top` [m/s] within SPRINT_SECONDS, the motor's
    heat included.
    """

    times: Mapping[float, Any]
    shifts: Mapping[float, Any]
    top: Any

    def __str__(self) -> str:
        first = {speed: float(np.ravel(time)[0]) for speed, time in self.times.items()}
        passed = [f"{speed * 3.6:.0f} km/h after {time:.1f} s" for speed, time in first.items() if np.isfinite(time)]
        return ", ".join(["full power", *passed, f"up to {float(np.ravel(self.top)[0]) * 3.6:.0f} km/h"])


SPRINT_STEP = 0.05  # s
SPRINT_SECONDS = 150.0
MARKS = tuple(speed / 3.6 for speed in (50.0, 80.0, 100.0, 120.0))
BEYOND = 100.0  # m/s: more than any car of this kind reaches


@procedure(
    symbol="D_f",
    words="simulated in steps of 0.05 s from a standstill at full power; described in docs/theory/trips.md",
    valid="level road; always the gear that pushes hardest, changes of gear taking no time",
)
def sprint(car: Car, cells: Tables, rise: Annotated[float, Unit("s")]) -> Annotated[Sprint, Unit("1")]:
    """Drive off at full power; arrays in the car are many cars."""
    many: Any = np.broadcast_arrays(*(np.atleast_1d(np.asarray(each, dtype=float)) for each in (*car, rise)))
    numbers, count = numbers_of(Car(*many[:-1]))
    rises = np.pad(many[-1], (0, numbers.shape[1] - count), mode="edge")
    size = (len(MARKS), numbers.shape[1])
    times, shifts, tops = np.full(size, np.nan), np.full(size, np.nan), np.zeros(size[1])

    def run(first: int) -> int:
        here = slice(first, first + lanes.LANES)
        chunk, rise_of = np.ascontiguousarray(numbers[:, here]).ravel(), np.ascontiguousarray(rises[here])
        time, changes = (np.full(len(MARKS) * lanes.LANES, np.nan) for _ in range(2))
        steps = int(SPRINT_SECONDS / SPRINT_STEP)
        lanes.full_power(
            chunk,
            cells.rest,
            cells.ohm,
            SPRINT_STEP,
            steps,
            BEYOND,
            rise_of,
            np.array(MARKS),
            time,
            changes,
            tops[here],
            min(lanes.LANES, count - first),
        )
        times[:, here], shifts[:, here] = time.reshape(-1, lanes.LANES), changes.reshape(-1, lanes.LANES)
        return lanes.LANES

    list(on_pool(run, range(0, numbers.shape[1], lanes.LANES)))
    single = not any(np.ndim(each) for each in (*car, rise))

    def by_mark(found: Any) -> dict[float, Any]:
        return {mark: float(row[0]) if single else row[:count] for mark, row in zip(MARKS, found, strict=True)}

    return Sprint(by_mark(times), by_mark(shifts), float(tops[0]) if single else tops[:count])


@procedure(symbol="t", words="the time at which the second speed is passed, less that of the first")
def time_between_of(sprint: Sprint, slow: MetrePerSecond, fast: MetrePerSecond) -> Second:
    """Time from one of the marked speeds to another; nan where the car never gets there. [s]"""
    begun = sprint.times[slow] if slow > 0.0 else 0.0
    return sprint.times[fast] - begun


@procedure(symbol="v_max", words="the highest speed of the sprint")
def top_of(sprint: Sprint) -> MetrePerSecond:
    """How fast the car becomes at full power. [m/s]"""
    return sprint.top


@procedure(symbol="n_g", words="counted in the sprint between the two speeds")
def shifts_between_of(sprint: Sprint, slow: MetrePerSecond, fast: MetrePerSecond) -> Number:
    """Changes of gear on the way from one of the marked speeds to another. [1]"""
    begun = sprint.shifts[slow] if slow > 0.0 else 0.0
    return sprint.shifts[fast] - begun
