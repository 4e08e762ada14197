"""How often must the car be plugged in, and for how long: a week of the yearly distance against the customer's habit."""

from __future__ import annotations

from dataclasses import dataclass

from voltwright.assess.case import Case
from voltwright.assess.charge_bank import Bank, stored
from voltwright.assess.sheet import Sheet, assumed_between, constant
from voltwright.assess.trips import main_trip
from voltwright.build.brief import DutyTrip
from voltwright.parts.trips import trip_title
from voltwright.physics import charging as charging_law
from voltwright.physics import habit as law
from voltwright.quantity.provenance import Origin
from voltwright.quantity.work import Node, leaf, least, total, work

WEEK = 7 * 24 * 3600.0  # s
PLUG_INS, WEEKLY, EACH = "charge.plug_ins_per_week", "charge.hours_per_week", "charge.hours_each_time"


def assess_habit(case: Case, sheet: Sheet, bank: Bank) -> None:
    """Enter the figures of a week of charging."""
    needed = _plug_ins(case, sheet, bank)
    if isinstance(needed, str):
        for key in (PLUG_INS, WEEKLY, EACH):
            sheet.lack(key, needed)
        return
    charges = sheet.add(PLUG_INS, needed)
    why = _hours(case, sheet, bank, charges)
    if why:
        for key in (WEEKLY, EACH):
            sheet.lack(key, why)


def _limit(case: Case, bank: Bank) -> Node:
    """The charge at which the customer stops: the limit of the habit, or the highest charge that is used."""
    return least(
        "Charge at the end",
        [case.leaf(case.build.duty.habit.limit, "Limit at which the customer stops", "%"), bank.full],
    )


def _plug_ins(case: Case, sheet: Sheet, bank: Bank) -> Node | str:
    duty, limit = case.build.duty, _limit(case, bank)
    if limit.value <= bank.empty.value:
        return "the customer stops charging below the lowest charge that is used (duty.habit.limit)"
    if duty.lay_up.months >= 12:
        return "the car rests all year (duty.lay_up.months)"
    mix = mix_of(case, sheet)
    if isinstance(mix, str):
        return mix
    months = leaf(duty.lay_up.months, "1", "Months of rest", Origin("entered", where="duty.lay_up.months"), symbol="n")
    year = constant(12.0, "1", "Months of a year", "by the calendar", "n")
    return work(
        law.charges_in_week, "Charges a week", distance=case.leaf(duty.distance, "Distance of a year"),
        week=constant(WEEK, "h", "A week", "by the calendar", "t"), consumption=mix.consumption,
        energy=stored(case, bank, bank.empty, limit),
        driven=work(law.driven_share, "Share of the year in which the car is driven", rest=months, year=year),
    )  # fmt: skip


@dataclass(frozen=True)
class Part:
    """One kind of journey: its trip, and its share of the distance."""

    name: str
    journey: DutyTrip | None
    share: Node
    consumption: Node


@dataclass(frozen=True)
class Mix:
    """The journeys of the duty, or where it names none the trip by which the customer judges the range; what they take together."""

    parts: tuple[Part, ...]
    shares: Node
    consumption: Node


def mix_of(case: Case, sheet: Sheet) -> Mix | str:
    """What is driven over a year, or why its consumption is not known."""
    parts: list[Part] = []
    for journey in case.build.duty.trips or (None,):
        name = journey.driven_as if journey else main_trip(case)
        taken = sheet.nodes.get(f"road.consumption.{name}")
        if taken is None:
            why = sheet.reasons.get(f"road.consumption.{name}", "")
            return f"the consumption of the trip '{trip_title(name)}' is not known" + (f": {why}" if why else "")
        parts.append(Part(name, journey, _share(case, journey), taken))
    shares = total("Shares of the distance, together", [each.share for each in parts], "%")
    if not shares.value:
        return "no trip of the duty has a share of the distance (duty.trips)"
    terms = [
        work(law.part_of_consumption, f"Part of trip '{each.name}'", share=each.share, consumption=each.consumption)
        for each in parts
    ]
    whole = total("Parts", terms, "Wh/km")
    return Mix(tuple(parts), shares, work(law.mean_consumption, "Mean consumption", parts=whole, shares=shares))


def _share(case: Case, journey: DutyTrip | None) -> Node:
    if journey is None:
        return constant(1.0, "%", "Share of the distance", "the duty names no trip: the one of the brief", "s")
    return case.leaf(journey.share, f"Share of the distance, '{journey.name}'", "%")


def _hours(case: Case, sheet: Sheet, bank: Bank, charges: Node) -> str:
    """Enter the hours at the first supply of alternating current; why not, where there are none."""
    name = next((each.name for each in case.build.supplies if each.kind == "ac"), "")
    time = sheet.nodes.get(f"charge.time_full.{name}")
    if time is None:
        return sheet.reasons.get(f"charge.time_full.{name}", "the build names no supply of alternating current")
    end = least("Charge at the end", [time.inputs["end"], _limit(case, bank)])
    each = work(charging_law.charging_time, "Time of one charge", **{**time.inputs, "end": end})
    habit = case.build.duty.habit
    fast = case.leaf(habit.fast_share, "Share that is charged fast", "%")
    weekly = sheet.add(WEEKLY, work(law.hours_on_plug, "Hours on the plug", charges=charges, time=each, fast=fast))
    if habit.times_per_week <= 0:
        sheet.lack(EACH, "the customer never plugs in (duty.habit.times_per_week)")
        return ""
    hours = work(
        law.hours_each_time, "Hours that the week's distance asks each time", hours=weekly, times=times_a_week(case)
    )
    sheet.add(EACH, least("Hours each time", [hours, each]))  # fuller than full it does not become
    return ""


def was_asked(case: Case) -> bool:
    """Whether somebody wrote down how often the customer plugs in."""
    return "times_per_week" in case.build.duty.habit.model_fields_set


def times_a_week(case: Case) -> Node:
    """How often the customer plugs in: as the build says, or as is assumed until somebody asks."""
    label, where, times = (
        "Times a week that the car is plugged in",
        "duty.habit.times_per_week",
        case.build.duty.habit.times_per_week,
    )
    if was_asked(case):
        return leaf(float(times), "1", label, Origin("entered", where=where), symbol="n")
    reason = "a guess for a car that is no daily one; ask the customer"
    return assumed_between(label, "1", reason, times / 2.0, times * 1.5, where)
