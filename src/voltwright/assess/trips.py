"""How far, how much, how quick: every trip driven by simulation until the pack is empty, and the sprint at full power.

Laden, in air of 20 °C and with cells of 25 °C at the start unless a journey names its own; altitude is that of the duty, and so are
wind and payload unless a journey names its own.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from voltwright.assess.case import Case
from voltwright.assess.drive import gears_of
from voltwright.assess.resistance import resistance_of
from voltwright.assess.road import assess_motor_used
from voltwright.assess.routes import assess_routes
from voltwright.assess.sheet import CONDITION, Sheet, assumed, constant
from voltwright.assess.simulated_car import Simulated, car_in_the_cold, car_on_journey, journey_named
from voltwright.build.compass import radians_of
from voltwright.kernels import journey as run
from voltwright.kernels import trip as endings
from voltwright.parts.trips import STEADY, Trip, trip, trip_names
from voltwright.physics import consumption, pace, road_load
from voltwright.quantity.provenance import Origin
from voltwright.quantity.work import Node, leaf, work

FAMILIES = ("road.consumption", "road.consumption_wall", "road.range")  # at the wall: with the question of charging
TIMES = {"road.time_0_50": (0.0, 50.0), "road.time_0_100": (0.0, 100.0), "road.time_80_120": (80.0, 120.0)}
USUAL_TRIP = "wltc-3b"  # where the brief names none
STEADY_STEP = 10  # s: a steady speed asks for no finer one
_STEADY_NAMES = {f"steady-{speed}" for speed in STEADY}
PARTS = tuple(name for name in run.PARTS if name != "kinetic")


def assess_trips(case: Case, sheet: Sheet) -> None:
    """Enter every figure of the question `road` that a simulation answers."""
    known = journeys(case, sheet.only_trips)
    made = sheet.simulated
    if made is None:
        why = sheet.reasons.get("road.top_speed") or sheet.reasons.get("drive.power_peak", "the car is not known")
        keys = [f"{family}.{name}" for name in known for family in FAMILIES]
        for key in (*TIMES, *keys, *(f"road.energy.{part}" for part in PARTS), "road.range_cold"):
            sheet.lack(key, why)
        assess_routes(case, sheet, None, known)
        return
    _sprint(case, sheet, made)
    for name, asked in known.items():
        _trip(case, sheet, made, name, asked)
    assess_routes(case, sheet, made, known)
    _energy(case, sheet, made, known)
    _cold(case, sheet, made, known)


def journeys(case: Case, only: frozenset[str] | None = None) -> dict[str, run.Journey]:
    """Every trip that is driven: those of law, steady speeds, and the duty's own traces under the names of its trips."""
    lawful = [name for name in trip_names() if only is None or name in only]
    own = {name: trace for name, trace in case.traces.items() if only is None or name in only}
    return {name: journey_of(trip(name)) for name in lawful} | {name: own_journey(case, name) for name in own}


def own_journey(case: Case, name: str) -> run.Journey:
    """A route or trace of the duty as the simulation takes it: with the share of its wind that meets the car in each section."""
    asked, known = journey_named(case, name), case.traces[name]
    if asked is None or asked.wind_from is None:
        return journey_of(known, name)
    heading: Any = np.array(known.heading)
    head = road_load.head_share(wind_from=radians_of(asked.wind_from), heading=(heading[1:] + heading[:-1]) / 2)
    return run.journey(name, known.title, known.speed, known.grade, head=head)


def journey_of(known: Trip, name: str = "") -> run.Journey:
    """A trip as the simulation takes it, the wind straight against the car."""
    if known.name in _STEADY_NAMES and not known.grade and len(set(known.speed)) == 1:
        speeds = known.speed[::STEADY_STEP]
        return run.journey(name or known.name, known.title, speeds, step=float(STEADY_STEP))
    return run.journey(name or known.name, known.title, known.speed, known.grade)


def main_trip(case: Case) -> str:
    """The trip by which the customer judges the range."""
    wish = case.build.brief.range_trip
    by_duty = {each.name: each.driven_as for each in case.build.duty.trips}
    return by_duty.get(wish, wish) if wish else USUAL_TRIP


def _trip(case: Case, sheet: Sheet, made: Simulated, name: str, asked: run.Journey) -> None:
    origin = Origin("by definition", where=f"trip {name}", reason="described in docs/reference/trips.md")
    way = leaf(asked, "1", asked.title, origin)
    car = car_on_journey(case, made, name)
    if car.inputs.get("temperature", car).value < case.cell.temperature_discharge_min.value:
        for family in FAMILIES:
            sheet.lack(
                f"{family}.{name}", "the journey is colder than the temperature at which the cells may be discharged"
            )
        return
    driven = work(run.drive_until_empty, f"Driven until empty: {asked.title}", car=car, cells=made.cells, asked=way)
    sheet.driven[name] = driven
    outcome: run.Driven = driven.value
    if outcome.status != endings.EMPTY:
        for family in FAMILIES:
            sheet.lack(f"{family}.{name}", why_not(asked, outcome))
        return
    far = work(run.way_of, "Way driven", "km", driven=driven)
    sheet.add(f"road.range.{name}", far)
    energy = work(run.energy_of, "Energy at the battery", "kWh", driven=driven)
    sheet.add(f"road.consumption.{name}", work(consumption.energy_by_way, "Consumption", energy=energy, way=far))


def why_not(asked: run.Journey, outcome: run.Driven) -> str:
    """Why a car cannot do a trip, in words."""
    if outcome.status == endings.FLAT:
        return f"the pack cannot give what '{asked.title}' asks{_when(outcome)}"
    if outcome.status == endings.GAINS:
        return f"'{asked.title}' gives back as much as it takes: there is no end to it"
    limit = max(outcome.held, key=lambda name: outcome.held[name], default="")
    if outcome.status == endings.STUCK or not limit:
        return f"the car comes to a standstill on '{asked.title}'{_when(outcome)}"
    return (
        f"the car falls behind on '{asked.title}'{_when(outcome)}: "
        f"{limit} holds it back for {outcome.held[limit]:.0f} s of {outcome.time:.0f} s"
    )


def _when(outcome: run.Driven) -> str:
    return f" when it is driven for the {_th(outcome.trips)} time" if outcome.trips > 1 else ""


def _th(number: int) -> str:
    ends = {1: "st", 2: "nd", 3: "rd"}
    return f"{number}{'th' if number % 100 in (11, 12, 13) else ends.get(number % 10, 'th')}"


def _energy(case: Case, sheet: Sheet, made: Simulated, known: dict[str, run.Journey]) -> None:
    """Where the energy of the customer's trip went."""
    name = main_trip(case)
    if f"road.range.{name}" not in sheet.nodes:
        why = sheet.reasons.get(f"road.range.{name}", f"there is no trip '{name}'")
        for part in PARTS:
            sheet.lack(f"road.energy.{part}", why)
        return
    asked = known[name]
    origin = Origin("by definition", where=f"trip {name}", reason="described in docs/reference/trips.md")
    once = work(
        run.drive_once, f"Driven once: {asked.title}", car=car_on_journey(case, made, name), cells=made.cells,
        asked=leaf(asked, "1", asked.title, origin),
    )  # fmt: skip
    sheet.driven_once = once
    far = work(run.way_of, "Way driven", "km", driven=once)
    for part in PARTS:
        which = leaf(part, "1", f"Part: {part}", Origin("by definition", reason="the part that is asked for"))
        energy = work(run.part_of, f"Energy for {part}", "kWh", driven=once, part=which)
        sheet.add(f"road.energy.{part}", work(consumption.energy_by_way, "By the way", energy=energy, way=far))


def _sprint(case: Case, sheet: Sheet, made: Simulated) -> None:
    """Pace and top speed at full power, and how fast the motor then turns."""
    drive, gears, held = case.motor, gears_of(case)[0], resistance_of(case, sheet)
    assert drive is not None
    assert gears is not None
    assert held is not None
    if "road.top_speed" in sheet.reasons:  # the car does not move
        for key in TIMES:
            sheet.lack(key, sheet.reasons["road.top_speed"])
        return
    sprint = work(run.sprint, "Sprint at full power", car=made.sprinter, cells=made.cells, rise=made.rise)
    sheet.add("road.top_speed", work(run.top_of, "Top speed", sprint=sprint))
    assess_motor_used(case, sheet, drive, gears, held)
    for key, ends in TIMES.items():
        enter_time(case, sheet, key, sprint, *ends)


def enter_time(case: Case, sheet: Sheet, key: str, sprint: Node, slow: float, fast: float) -> None:
    """Enter the time from one speed to another [km/h] of a sprint, or why the car does not get there."""
    reached: run.Sprint = sprint.value
    time = reached.times[fast / 3.6]
    if time != time:
        sheet.lack(key, f"the car does not reach {fast:.0f} km/h before its peak power ends")
        return
    ends = {
        "slow": constant(slow / 3.6, "km/h", "From", CONDITION, "v_1"),
        "fast": constant(fast / 3.6, "km/h", "To", CONDITION, "v_2"),
    }
    rolled = work(run.time_between_of, "Time in gear", sprint=sprint, **ends)
    shifts = work(run.shifts_between_of, "Changes of gear", sprint=sprint, **ends)
    sheet.add(key, work(pace.time_with_shifts, "Time", time=rolled, shifts=shifts, shift_time=_shift_time(case)))


def _shift_time(case: Case) -> Node:
    """How long a change of gear takes."""
    label, entered = "Time of a change of gear", case.build.drive.gearing.shift_time
    if entered is not None:
        return case.leaf(entered, label)
    reason = "usual for an old synchromesh behind a motor without a clutch; time ten of them"
    return assumed(label, "s", reason, 1.2, 0.5)


def _cold(case: Case, sheet: Sheet, made: Simulated, known: dict[str, run.Journey]) -> None:
    """How far on the coldest design day, on the customer's trip."""
    key, name = "road.range_cold", main_trip(case)
    coldest = case.build.duty.climate.coldest
    if coldest.value < case.cell.temperature_discharge_min.value:
        sheet.lack(key, "the coldest design day is below the temperature at which the cells may be discharged")
        return
    if name not in known:
        sheet.lack(key, f"there is no trip '{name}'")
        return
    asked = known[name]
    origin = Origin("by definition", where=f"trip {name}", reason="described in docs/reference/trips.md")
    driven = work(
        run.drive_until_empty,
        f"Driven until empty in the cold: {asked.title}",
        car=car_in_the_cold(case, made, name),
        cells=made.cells,
        asked=leaf(asked, "1", asked.title, origin),
    )
    outcome: run.Driven = driven.value
    if outcome.status != endings.EMPTY:
        sheet.lack(key, why_not(asked, outcome))
        return
    sheet.add(key, work(run.way_of, "Way driven", "km", driven=driven))
