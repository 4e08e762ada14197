"""A week of charging: does the customer's habit carry it, is a night enough, and is there a station for what is charged fast?"""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.assess.case import Case
from voltwright.assess.habit import was_asked
from voltwright.assess.trips import main_trip
from voltwright.quantity.figure import fixed
from voltwright.rules.clause import arithmetic, practice
from voltwright.rules.finding import Assessed, Finding, apart, exceeds, percent, whole_up
from voltwright.rules.rule import rule
from voltwright.rules.ways import counts, more_strings, settings, upwards

NIGHT = 12 * 3600.0  # s; common practice: home by eight, away by eight
DAYS = 7
STEP = 5.0  # %


def _hours(value: float, more: int = 0) -> str:
    return f"{fixed(value / 3600, 1 + more)} h"


def _times(value: float, more: int = 0) -> str:
    return fixed(value, 1 + more)


def _journeys(case: Case) -> frozenset[str]:
    """The trips of which the week is made, and by which the range is judged."""
    return frozenset((main_trip(case), *(each.driven_as for each in case.build.duty.trips)))


@rule("charge", trips=_journeys)
def carries_week(seen: Assessed) -> Iterator[Finding]:
    """Does the customer plug in as often as the yearly distance needs?"""
    needed, habit = seen.si("charge.plug_ins_per_week"), seen.case.build.duty.habit
    if needed is None or not exceeds(needed, habit.times_per_week):
        return
    said = apart(_times, needed, habit.times_per_week)
    daily, limit = exceeds(needed, DAYS), min(habit.limit.value, seen.case.build.pack.window.full.value)
    yield Finding(
        key="charge.habit",
        severity="caution",
        title="Not even a charge every day carries the week"
        if daily
        else "The customer plugs in too seldom for the week"
        if was_asked(seen.case)
        else "Nobody wrote down how often the customer plugs in, and the week needs more than is assumed",
        detail=f"The distance of a week needs {said.value} charges from the lowest used charge to {percent(limit)}; "
        + (
            f"the customer plugs in {said.limit} times. By the end of the week the car stands empty."
            if was_asked(seen.case)
            else f"taken are {said.limit}, as nobody wrote down how often the customer plugs in."
        ),
        limit=f"{said.limit} times a week",
        value=f"{said.value} times a week",
        margin=f"{said.margin} times a week",
        clause=arithmetic("the yearly distance over the weeks in which the car is driven, and what a charge holds"),
        remedy="Ask the customer how often the car can be plugged in, and tell them what it takes.",
        ladders=(
            counts("duty.habit.times_per_week", "Plug in {number} times a week", whole_up(needed), 2 * DAYS),
            settings("duty.habit.limit", "Charge up to", upwards(100 * habit.limit.value, STEP, 100.0), "%"),
            more_strings(seen),
        ),
    )


@rule("charge", trips=_journeys)
def night_each_time(seen: Assessed) -> Iterator[Finding]:
    """Is a night at the first supply enough for what is driven between two charges?"""
    each = seen.si("charge.hours_each_time")
    if each is None or not exceeds(each, NIGHT):
        return
    said = apart(_hours, each, NIGHT)
    yield Finding(
        key="charge.habit_night",
        severity="caution",
        title="A night does not put back what is driven between two charges",
        detail=f"As often as the customer plugs in, the car must hang on the first supply for {said.value} each time.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=practice("twelve hours at home"),
        remedy="Plug in more often, where a night is then enough; else a stronger supply and charger.",
    )


@rule("charge", trips=_journeys)
def cold_night(seen: Assessed) -> Iterator[Finding]:
    """Is a night enough on the coldest design day too?"""
    for supply in seen.case.build.supplies:
        cold, mild = (seen.si(f"charge.{each}.{supply.name}") for each in ("time_full_cold", "time_full"))
        if supply.kind != "ac" or cold is None or mild is None or exceeds(mild, NIGHT) or not exceeds(cold, NIGHT):
            continue
        said = apart(_hours, cold, NIGHT)
        yield Finding(
            key=f"charge.cold_night.{supply.name}",
            severity="note",
            title=f"On the coldest day a night at the supply “{supply.name}” does not fill the pack",
            detail=f"With what the cold costs a whole charge takes {said.value}; on a mild day {_hours(mild)}.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            clause=practice("twelve hours at home"),
            remedy="Plug in as soon as the car comes home, while the cells are warm; or a stronger pack heater.",
        )


@rule("charge", trips=_journeys)
def fast_share(seen: Assessed) -> Iterator[Finding]:
    """Is there a station for what the customer wants to charge fast?"""
    share, possible = seen.case.build.duty.habit.fast_share, seen.si("charge.dc_possible")
    if share.value <= 0 or possible:
        return
    yield Finding(
        key="charge.fast_share",
        severity="caution",
        title="The customer counts on fast charging, and the car cannot do it",
        detail=f"{percent(share.value)} of the energy is to come from stations of direct current, and no station can charge this pack.",
        limit="a station that suits pack and inlet",
        value="none",
        clause=arithmetic("pins of the inlet, and voltages of pack, station and inlet"),
        remedy="Tell the customer that all charging is by the on-board charger, or make the pack and its inlet suit a station.",
        ladders=(settings("duty.habit.fast_share", "Count on a fast share of", [0.0], "%"),),
    )
