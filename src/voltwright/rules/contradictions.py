"""Entries that are each possible and cannot all be true."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from voltwright.quantity.entry import Entry
from voltwright.quantity.figure import fixed
from voltwright.rules.clause import arithmetic, maker, practice
from voltwright.rules.finding import Assessed, Finding, Ladder, apart, exceeds
from voltwright.rules.rule import rule
from voltwright.rules.ways import downwards, one_step, settings, upwards

LEAST_OUT = 0.05  # of the kerb mass; common practice: engine, tank and exhaust of a car are 15 to 25 % of it
SHARES = 0.02  # common practice: shares that are guessed add up to 100 % within 2 %
ROLLED = 0.10  # common practice: a car with two people is at most a sixth heavier than without


@rule()
def plate(seen: Assessed) -> Iterator[Finding]:
    """Do the limits on the plate agree with each other and with the car as it was weighed?"""
    donor = seen.case.build.donor
    limits, kerb = donor.limits, donor.mass_kerb.value
    if limits.gross is not None and not exceeds(limits.gross.value, kerb):
        said = apart(seen.kg, kerb, limits.gross.value)
        yield Finding(
            key="data.plate_gross",
            severity="stop",
            title="The permitted gross mass is not above the mass of the donor",
            detail=f"The donor as it came has {said.value}; the plate is entered with {said.limit}. Nobody "
            "could sit in it.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            clause=maker("the donor's plate or papers"),
            remedy="Read the plate again: it may state the payload, or pounds.",
        )
    front, rear = limits.front_axle, limits.rear_axle
    if limits.gross is None or front is None or rear is None:
        return
    axles = front.value + rear.value
    if exceeds(limits.gross.value, axles):
        said = apart(seen.kg, axles, limits.gross.value)
        yield Finding(
            key="data.plate_axles",
            severity="caution",
            title="The axles together may carry less than the car may weigh",
            detail=f"Front and rear axle may carry {said.value} together; the gross mass is {said.limit}. "
            "Makers state "
            "axle limits that add up to the gross mass or more.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            clause=practice("axle limits add up to the gross mass or more"),
            remedy="Read the plate again.",
        )


@rule("mass")
def little_comes_out(seen: Assessed) -> Iterator[Finding]:
    """Does an engine come out?"""
    out, kerb = seen.si("mass.removed"), seen.case.build.donor.mass_kerb.value
    if out is None or out >= LEAST_OUT * kerb or seen.case.build.drive.motor is None:
        return
    said = apart(seen.kg, out, LEAST_OUT * kerb)
    yield Finding(
        key="data.little_removed",
        severity="caution",
        title="Less comes out than an engine weighs",
        detail=f"{said.value} come out of a car of {seen.kg(kerb)}. Engine, tank and exhaust are 15 to 25 % of one.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=practice("15 to 25 % of a car come out"),
        remedy="List what comes out under donor.removed, or weigh the car without it and say so in its note.",
    )


@rule()
def sizes(seen: Assessed) -> Iterator[Finding]:
    """Do the outside measures of the donor fit into each other?"""
    donor = seen.case.build.donor
    size = donor.size
    pairs = (
        ("wheelbase", "Wheelbase and front overhang", size.wheelbase.value + size.front_overhang.value, "length", size.length.value),
        ("track_front", "The front track", size.track_front.value, "width", size.width.value),
        ("track_rear", "The rear track", size.track_rear.value, "width", size.width.value),
        ("cg_height", "The centre of gravity", donor.cg_height.value, "height", size.height.value),
    )  # fmt: skip
    for name, what, value, whole, limit in pairs:
        if exceeds(limit, value):
            continue
        said = apart(seen.metres, value, limit)
        yield Finding(
            key=f"data.size_{name}",
            severity="stop",
            title=f"{what} cannot lie within the car's {whole}",
            detail=f"{what}: {said.value}; {whole} of the car: {said.limit}.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            clause=arithmetic("a part is smaller than the whole"),
            remedy="Measure again, and check the units under donor.size.",
        )


@rule()
def wishes(seen: Assessed) -> Iterator[Finding]:
    """Can the wishes of the brief all be true?"""
    brief = seen.case.build.brief
    if brief.time_0_50 and brief.time_0_100 and brief.time_0_50.value >= brief.time_0_100.value:
        yield _against(
            "data.wish_pace",
            "The wish to reach 50 km/h is slower than that to reach 100 km/h",
            brief.time_0_50,
            brief.time_0_100,
        )
    if brief.cruise_speed and brief.top_speed and exceeds(brief.cruise_speed.value, brief.top_speed.value):
        yield _against(
            "data.wish_speed", "The car is to cruise faster than its top speed", brief.cruise_speed, brief.top_speed
        )


def _against(key: str, title: str, one: Entry, other: Entry) -> Finding:
    return Finding(
        key=key,
        severity="caution",
        title=title,
        detail=f"The brief says {one.text} and {other.text}.",
        limit=other.text,
        value=one.text,
        clause=arithmetic("one of the two wishes holds the other"),
        remedy="Ask the customer which of the two matters.",
    )


@rule()
def climate(seen: Assessed) -> Iterator[Finding]:
    """Do the temperatures of the place agree?"""
    known = seen.case.build.duty.climate
    low, high = known.coldest.value, known.hottest.value
    months = known.monthly or ()
    beyond = [each for each in (known.mean, *months) if not low <= each.value <= high]
    if beyond:
        yield Finding(
            key="data.climate",
            severity="caution",
            title="A mean temperature is beyond the coldest or the hottest day",
            detail=f"Entered: {', '.join(each.text for each in beyond)}; the days go from {known.coldest.text} to {known.hottest.text}.",
            limit=f"{known.coldest.text} to {known.hottest.text}",
            value=beyond[0].text,
            clause=arithmetic("a mean lies between least and most"),
            remedy="Check signs and units under duty.climate.",
        )


@rule()
def duty_adds_up(seen: Assessed) -> Iterator[Finding]:
    """Do the journeys of the duty make the year?"""
    duty = seen.case.build.duty
    if not duty.trips:
        return
    total = sum(each.share.value for each in duty.trips)
    if abs(total - 1) > SHARES:
        yield Finding(
            key="data.duty_shares",
            severity="caution",
            title="The shares of the journeys do not make the whole year",
            detail=f"They add up to {total:.0%}.".replace("%", " %"),
            limit="100 %",
            value=f"{100 * total:.0f} %",
            clause=arithmetic("shares of a whole"),
            remedy="Mend duty.trips[].share.",
        )
    year = duty.distance.value * YEAR
    for each in duty.trips:
        if each.distance is not None and each.share.value > 0 and exceeds(each.distance.value, year * each.share.value):
            yield Finding(
                key=f"data.duty_trip.{each.name}",
                severity="caution",
                title=f"The journey {each.name} is longer than all its journeys of a year",
                detail=f"It has {each.distance.text}; {each.share.text} of {duty.distance.text} are less than that.",
                limit=f"{fixed(year * each.share.value / 1000, 0)} km",
                value=each.distance.text,
                clause=arithmetic("share of the yearly distance"),
                remedy="Check the distance of the journey, its share, and the yearly distance.",
            )


YEAR = 365.25 * 86400.0  # s; a yearly distance is kept as a speed


@rule()
def charges(seen: Assessed) -> Iterator[Finding]:
    """Do the charges at which the car is charged, parked and laid up lie in the used window?"""
    build = seen.case.build
    window, duty = build.pack.window, build.duty
    named = (("duty.habit.limit", "charges it", duty.habit.limit), ("duty.parking.charge", "parks it", duty.parking.charge),
             ("duty.lay_up.charge", "lays it up", duty.lay_up.charge))  # fmt: skip
    for path, what, charge in named:
        if charge is None or charge.is_assumed:
            continue
        high, low = exceeds(charge.value, window.full.value), exceeds(window.empty.value, charge.value)
        if high or low:
            limit = window.full if high else window.empty
            yield Finding(
                key=f"data.charge_outside.{path.replace('duty.', '').replace('.', '_')}",
                severity="caution",
                title=f"The customer {what} outside the charge that the pack uses",
                detail=f"{path} is {charge.text}; the pack is used from {window.empty.text} to {window.full.text}. The BMS stops there.",
                limit=limit.text,
                value=charge.text,
                clause=arithmetic("the used window"),
                ladders=(_into_window(seen, path, charge.value, down=high),),
            )


def _into_window(seen: Assessed, path: str, charge: float, *, down: bool) -> Ladder:
    window = seen.case.build.pack.window
    low, high, now = (100 * each for each in (window.empty.value, window.full.value, charge))
    return settings(path, "Agree on", downwards(now, 1.0, low) if down else upwards(now, 1.0, high), "%")


@rule()
def drive_settings(seen: Assessed) -> Iterator[Finding]:
    """Are gears and torque limits such as the drive can have?"""
    build, motor = seen.case.build, seen.case.motor
    ratios = build.donor.drive_line.gearbox.ratios
    if any(one <= other for one, other in itertools.pairwise(ratios)):
        turned = tuple(sorted(set(ratios), reverse=True))
        yield Finding(
            key="data.gear_ratios",
            severity="stop",
            title="The ratios of the gearbox do not fall from first gear up",
            detail=f"Entered: {', '.join(f'{each:g}' for each in ratios)}. A gear's ratio is turns of the input for one of the output.",
            limit="falling",
            value=", ".join(f"{each:g}" for each in ratios),
            clause=arithmetic("first gear has the greatest ratio"),
            ladders=(_ratios(turned),),
        )
    held = build.drive.torque_limit
    if motor is not None and held is not None and exceeds(held.value, motor.torque_peak.value):
        said = apart(seen.torque, held.value, motor.torque_peak.value)
        yield Finding(
            key="data.torque_limit",
            severity="note",
            title="The torque limit is above what the motor gives",
            detail=f"drive.torque_limit is {held.text}; {motor.title} gives {said.limit}. The limit holds nothing.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            clause=maker("the motor maker's peak torque"),
            ladders=(settings("drive.torque_limit", "Set the torque limit to", [motor.torque_peak.value], "N·m"),),
        )


def _ratios(turned: tuple[float, ...]) -> Ladder:
    says = f"Enter {', '.join(f'{each:g}' for each in turned)} (donor.drive_line.gearbox.ratios)"
    return one_step(says, {"donor.drive_line.gearbox.ratios": turned})


@rule()
def rolled_mass(seen: Assessed) -> Iterator[Finding]:
    """Is the mass at the coast-down that of this car?"""
    donor = seen.case.build.donor
    rolled = donor.coast_down.mass if donor.coast_down else None
    if rolled is None:
        return
    kerb = donor.mass_kerb.value
    if (1 - ROLLED) * kerb <= rolled.value <= (1 + 2 * ROLLED) * kerb + 2 * seen.case.build.person_mass.value:
        return
    said = apart(seen.kg, rolled.value, kerb)
    yield Finding(
        key="data.coast_down_mass",
        severity="caution",
        title="The car of the coast-down has another mass than the donor",
        detail=f"It rolled with {said.value}; the donor has {said.limit}. The measured forces scale with that mass.",
        limit=said.limit,
        value=said.value,
        clause=practice("the car with its driver and a passenger"),
        remedy="Enter donor.coast_down.mass as the car rolled, people included.",
    )
