"""Trips by name, and what the car of a build does on one: consumption, range, where the energy went, second by second."""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from voltwright.assess.case import Case
from voltwright.assess.figures import figures_of, work_out
from voltwright.assess.simulated_car import car_on_journey
from voltwright.assess.trips import FAMILIES, journey_of, own_journey
from voltwright.build.reader import BuildFile, load
from voltwright.kernels import trip as endings
from voltwright.kernels.journey import Driven, Journey, drive_once, journey
from voltwright.parts.trips import Trip, trip, trip_names
from voltwright.quantity.band import spreads
from voltwright.quantity.document import write_whole
from voltwright.quantity.errors import BuildError, OutputError, Problem
from voltwright.quantity.figure import Figure, fixed

HEAD = "second,km_per_hour_wanted,km_per_hour,kilowatt,ampere,volt,charge_percent,celsius"
ZERO_CELSIUS = 273.15
NAMES = {
    "air": "air", "tyres": "tyres and what else rolls", "climb": "height won", "brakes": "friction brakes",
    "gears": "gears", "motor": "motor", "inverter": "inverter", "accessories": "accessories", "cells": "cells",
    "kinetic": "speed at the end, and changes of gear",
}  # fmt: skip
ENDED = {endings.EMPTY: "the pack is empty before its end", endings.STUCK: "the car comes to a standstill",
         endings.FLAT: "the pack cannot give what is asked"}  # fmt: skip


@dataclass(frozen=True, eq=False)
class OnTrip:
    """A trip as the car of a build drives it: until empty as figures, and once from the highest used charge."""

    name: str
    known: Trip
    figures: tuple[Figure, ...]
    asked: Journey | None
    once: Driven | None


def listed() -> Iterator[tuple[str, str, str]]:
    """Name, title and numbers, source of every trip that can be named."""
    for name in trip_names():
        known = trip(name)
        yield name, _described(known), known.source


def _described(known: Trip) -> str:
    top = 3.6 * max(known.speed)
    return f"{known.title}: {known.duration:.0f} s, {known.distance / 1000:.2f} km, up to {top:.0f} km/h"


def on_trip(path: Path, name: str) -> OnTrip:
    """Drive the car of a build file over a trip. Raises BuildError naming the nearest for an unknown one."""
    return on_trip_of(load(path), name)


def on_trip_of(built: BuildFile, name: str) -> OnTrip:
    """The same of a build that was read."""
    case = Case(built.build, built.shelf, built.beside)
    driven_as, known = _trip_of(case, name)
    sheet = work_out(case)
    figures = figures_of(sheet, spreads(sheet.nodes))
    shown = tuple(figures[f"{family}.{driven_as}"] for family in FAMILIES)
    if sheet.simulated is None:
        return OnTrip(driven_as, known, shown, None, None)
    second_by_second = own_journey(case, driven_as) if driven_as in case.traces else journey_of(known, driven_as)
    if second_by_second.step != 1.0:
        second_by_second = journey(driven_as, known.title, known.speed, known.grade)
    car = sheet.simulated
    as_driven = car_on_journey(case, car, driven_as)
    once = drive_once(as_driven.value, car.cells.value, second_by_second)
    return OnTrip(driven_as, known, shown, second_by_second, once)


def _trip_of(case: Case, name: str) -> tuple[str, Trip]:
    """The name under which a trip is driven, and the trip: one of the duty's journeys, or one of law."""
    journeys = {each.name: each for each in case.build.duty.trips}
    if name in case.traces:
        return name, case.traces[name]
    asked = journeys[name].driven_as if name in journeys else name
    if asked in trip_names():
        return asked, trip(asked)
    known = (*journeys, *trip_names())
    near = difflib.get_close_matches(name, [each for each in known if each != name], n=2, cutoff=0.4)
    what = f"the journey '{name}' names no known trip" if name in journeys else f"no trip has the name '{name[:40]}'"
    mend = f"write {' or '.join(near)}" if near else "see 'voltwright trips list'"
    raise BuildError(Problem(what, ", ".join(known), mend))


def told(found: OnTrip) -> Iterator[str]:
    """What the car does on the trip, in lines for a terminal."""
    yield f"{found.name}: {_described(found.known)}"
    for figure in found.figures:
        band = figure.printed_band()
        yield f"  {figure.label:<50} {figure.printed():>10}{f'  ({band})' if band else ''}"
    for reason in dict.fromkeys(figure.reason for figure in found.figures if figure.reason):
        yield f"  {reason[0].upper()}{reason[1:]}."
    if found.once is None or found.asked is None:
        return
    yield ""
    yield from _once(found.asked, found.once)


def _once(asked: Journey, once: Driven) -> Iterator[str]:
    yield f"Driven once, from the highest charge that is used: {once.way / 1000:.2f} km in {once.time:.0f} s"
    if once.status in ENDED:
        yield f"  Ended early: {ENDED[once.status]}."
    elif once.held and once.way < asked.way:
        yield f"  Behind the trip by {(asked.way - once.way) / 1000:.2f} km."
    for limit, seconds in sorted(once.held.items(), key=lambda each: -each[1]):
        yield f"  Held back by {limit} for {seconds:.0f} s."
    whole = once.chemistry
    if once.way <= 0.0 or whole <= 0.0:
        return
    yield ""
    yield f"  {'Where the energy of the cells went':<38} {'Wh':>9} {'Wh/km':>7} {'share':>6}"
    for part, label in NAMES.items():
        joule = once.ledger[part]
        if part in ("climb", "kinetic") and abs(joule) < 1e-6 * whole:
            continue
        yield f"  {label:<38} {_energy(joule, once.way)} {fixed(100 * joule / whole, 1):>5}%"
    yield f"  {'in all':<38} {_energy(whole, once.way)} {'100.0':>5}%"


def _energy(joule: float, way: float) -> str:
    return f"{fixed(joule / 3600, 1):>9} {fixed(joule / 3.6 / way, 1):>7}"


def as_csv(found: OnTrip) -> str:
    """The trip driven once, a row for each second at its end. Numbers alone: nothing in it can act in a spreadsheet.

    Raises BuildError where the car is not known.
    """
    if found.once is None or found.asked is None or found.once.course is None:
        reason = found.figures[0].reason
        raise BuildError(
            Problem(f"the car cannot be driven: {reason}", "a build with its whole drive", "enter what is missing")
        )
    course, rows = found.once.course, [HEAD]
    for at in range(len(course.power)):
        values = (
            ((at + 1) * found.asked.step, 0),
            (3.6 * found.asked.speed[at + 1], 2),
            (3.6 * course.speed[at + 1], 2),
            (course.power[at] / 1000, 3),
            (course.current[at], 2),
            (course.voltage[at], 2),
            (100 * course.charge[at], 4),
            (course.temperature[at] - ZERO_CELSIUS, 2),
        )
        rows.append(",".join(f"{value:.{digits}f}" for value, digits in values))
    return "\n".join(rows) + "\n"


def write_csv(found: OnTrip, path: Path) -> None:
    """Write those rows into a new file, whole or not at all. Raises OutputError."""
    if path.exists():
        what = f"there is a file {path.name} already"
        raise OutputError(Problem(what, "a file that does not exist yet", "give another name, or move the file away"))
    write_whole(path, as_csv(found).encode())
