"""Stopping: which axle locks first, what the motor adds in the wet and to the lamps, and how hot the brakes get without it."""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.assess.brakes import STATED
from voltwright.physics import brakes as law
from voltwright.quantity.figure import fixed
from voltwright.quantity.units import Unit
from voltwright.rules.clause import copied, from_memory, practice
from voltwright.rules.finding import Assessed, Finding, Ladder, Rung, apart, exceeds, likely
from voltwright.rules.rule import rule
from voltwright.rules.ways import downwards, less_braking, less_load, moved_boxes, one_step, settings, upwards

STATES = {"empty": "with the driver alone", "laden": "laden as in the brief"}
IN_THE_WET = 0.4  # below this the rear locks first even on a wet road
# UN R13-H 5.2.22.4: brake lamps under regeneration with the foot off both pedals, m/s²
LAMPS_NEVER, LAMPS_ALWAYS = 0.7, 1.3
FADES = {"disc": 400.0, "drum": 300.0}  # °C of the iron: linings of the time lose grip from about here on
_ANNEX_5 = from_memory("UN R13-H annex 5, 3.1: from 0.15 to 0.8 g the front axle uses more grip than the rear")
_LAMPS = copied("UN R13-H 5.2.22.4: none up to 0.7 m/s², may light up to 1.3 m/s², must light above")
_SHARE = "donor.brakes.front_share"


def of_gravity(value: float, more: int = 0) -> str:
    return f"{fixed(value, 2 + more)} g"


def slowing(value: float) -> str:
    return f"{fixed(value, 1)} m/s²"


@rule("brakes")
def rear_locks_first(seen: Assessed) -> Iterator[Finding]:
    """Do the front wheels lock before the rear ones, empty and laden?"""
    before = seen.si("brakes.rear_first_above_before")
    for state, words in STATES.items():
        key = f"brakes.rear_first_above_{state}"
        turns = seen.si(key)
        if turns is None or before is None:
            continue
        fails = seen.failing(key, law.MOST_BRAKING, f"the front wheels lock first, {words}", least=True)
        if not exceeds(law.MOST_BRAKING, turns):
            continue
        said = apart(of_gravity, turns, law.MOST_BRAKING)
        yield Finding(
            key=f"brakes.rear_first_{state}",
            severity="stop" if turns < IN_THE_WET else "caution",
            title=f"The rear wheels lock first, {words}",
            detail=f"From a braking of {said.value} on the rear wheels lock first, and the car turns round"
            + (", even on a wet road" if turns < IN_THE_WET else "")
            + f". The donor with its driver did so from {of_gravity(before)} on. The front brakes do {seen.text('brakes.front_share')}.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            likelihood=likely(fails),
            clause=_ANNEX_5,
            remedy="Read each wheel on a roller brake tester first; a change of the brakes needs somebody whose trade it is.",
            ladders=(_more_in_front(seen), _limiting_valve(seen), *moved_boxes(seen, rearwards=True)[:1]),
        )


def _percent(share: float) -> float:
    return Unit("%").from_si(share)


def _more_in_front(seen: Assessed) -> Ladder:
    """A greater part of the front brakes, by 1 %."""
    values = upwards(_percent(seen.si("brakes.front_share") or 0.0), 1.0, 95.0)
    return settings(
        _SHARE, "Fit front linings, rear cylinders or an adjustable valve so that the front brakes do", values, "%"
    )


def _limiting_valve(seen: Assessed) -> Ladder:
    fitted = seen.case.build.donor.brakes.limiting_valve
    path = "donor.brakes.limiting_valve"
    rung = Rung(f"Fit a limiting valve in the line to the rear brakes ({path})", {path: True})
    return Ladder(lambda: () if fitted else (rung,))


@rule("brakes")
def front_locks_early(seen: Assessed) -> Iterator[Finding]:
    """Do the rear brakes do their part before the front wheels lock?"""
    most = float(law.most_adhesion(braking=STATED))
    for state, words in STATES.items():
        key = f"brakes.adhesion_front_{state}"
        used = seen.si(key)
        fails = seen.failing(key, most, f"the front wheels do not lock too early, {words}")
        if used is None or not exceeds(used, most):
            continue
        values = downwards(_percent(seen.si("brakes.front_share") or 0.0), 1.0, 40.0)
        yield Finding(
            key=f"brakes.front_early_{state}",
            severity="caution",
            title=f"The front wheels lock early, {words}",
            detail=f"A stop of {of_gravity(STATED)} asks a grip of {fixed(used, 2)} of the front tyres, while the rear ones need "
            f"{seen.text(f'brakes.adhesion_rear_{state}')}: the car slides straight on, and stops later than it could.",
            limit=fixed(most, 2),
            value=fixed(used, 2),
            margin=fixed(most - used, 2),
            likelihood=likely(fails),
            clause=from_memory("UN R13-H annex 5, 3.1 (A): z at least 0.1 + 0.7 (k − 0.2)"),
            remedy="The front has become lighter, or the rear brakes do too little. Read each wheel on a roller brake tester.",
            ladders=(settings(_SHARE, "Let the front brakes do", values, "%"), *moved_boxes(seen, rearwards=False)[:1]),
        )


@rule("brakes")
def regeneration_in_the_wet(seen: Assessed) -> Iterator[Finding]:
    """Do the front wheels still lock first on a wet road when the motor brakes too, and late enough?"""
    names = ("lock_front_wet", "lock_rear_wet", "lock_front_wet_regen", "lock_rear_wet_regen")
    front_alone, rear_alone, front, rear = (seen.si(f"brakes.{name}") for name in names)
    if front is None or rear is None or front_alone is None or rear_alone is None:
        return
    grip = float(seen.sheet.nodes["brakes.lock_front_wet"].inputs["grip"].value)
    least = float(law.least_braking(grip=grip))
    turned = rear < min(front, rear_alone)
    early = min(front, rear) < min(least, front_alone, rear_alone)
    if not turned and not early:
        return
    axle, lock = ("rear", rear) if rear < front else ("front", front)
    limit = least if early else front
    say = "the wheels that the motor brakes hold on a wet road"
    fails = seen.failing(f"brakes.lock_{axle}_wet_regen", least, say, least=True)
    share = seen.case.build.drive.regeneration.share
    part = _part_that_does(front_alone, rear_alone, front, rear)
    yield Finding(
        key="brakes.wet_regeneration",
        severity="stop" if early else "caution",
        title=f"With regeneration the {axle} wheels lock first on a wet road",
        detail=f"The motor takes up to {share.text} of a braking on the {seen.case.build.donor.drive_line.driven_axle} axle. In the lowest "
        f"gear at 50 km/h the {axle} wheels then lock from {of_gravity(lock)} on, the others from {of_gravity(max(front, rear))}; "
        f"by the brakes alone the front would lock at {of_gravity(front_alone)} and the rear at {of_gravity(rear_alone)}."
        + (" Locked rear wheels turn the car round." if axle == "rear" else ""),
        limit=of_gravity(limit),
        value=of_gravity(lock),
        margin=of_gravity(lock - limit),
        likelihood=likely(fails) if early else None,
        clause=from_memory(
            f"UN R13-H annex 5: front first, and at least {of_gravity(least)} on a grip of {fixed(grip, 1)}"
        ),
        remedy="Let the driver lower regeneration in the wet, by a switch within reach, and try it on a wet empty place.",
        ladders=(_smaller_share(share.value, part), less_braking(seen, part)),
    )


def _part_that_does(front_alone: float, rear_alone: float, front: float, rear: float) -> float:
    """Nearly the part of the motor's braking with which both axles lock at once: what an axle uses grows with it in a line."""
    if min(front_alone, rear_alone, front, rear) <= 0.0:  # an axle that carries nothing locks at once
        return 0.0
    apart, grows = 1 / front_alone - 1 / rear_alone, (1 / rear - 1 / rear_alone) - (1 / front - 1 / front_alone)
    return min(1.0, apart / grows) if apart > 0 and grows > 0 else 0.0


def _smaller_share(share: float, part: float) -> Ladder:
    values, near = downwards(_percent(share), 1.0, 0.0), _percent(share * part)
    return settings("drive.regeneration.share", "Limit the motor's share of the braking to", values, "%", near=near)


@rule("brakes")
def brake_lamps(seen: Assessed) -> Iterator[Finding]:
    """Do the brake lamps light when the motor slows the car, and only then?"""
    slows, braking = seen.si("brakes.regeneration_braking"), seen.case.build.braking
    if slows is None or not exceeds(slows, LAMPS_NEVER):
        return
    lit_from = braking.lamps_from.value if braking.lamps_from else None
    if braking.lamps == "pedal" and exceeds(slows, LAMPS_ALWAYS):
        yield Finding(
            key="brakes.lamps",
            severity="caution",
            title="The motor slows the car, and no brake lamp lights",
            detail=f"With the foot off the pedal regeneration may slow the car by {seen.text('brakes.regeneration_braking')}; they are "
            "lit by the brake pedal alone (braking.lamps). Who drives behind sees nothing.",
            limit=slowing(LAMPS_ALWAYS),
            value=slowing(slows),
            margin=slowing(LAMPS_ALWAYS - slows),
            clause=_LAMPS,
            remedy="An output of the inverter or a switch that feels deceleration lights them.",
            ladders=(
                one_step("Let regeneration light the brake lamps (braking.lamps)", {"braking.lamps": "regeneration"}),
                less_braking(seen, LAMPS_ALWAYS / slows),
            ),
        )
    if braking.lamps == "regeneration" and lit_from is not None:
        yield from _lit_wrongly(lit_from, slows)


def _lit_wrongly(lit_from: float, slows: float) -> Iterator[Finding]:
    late = exceeds(lit_from, LAMPS_ALWAYS) and exceeds(slows, LAMPS_ALWAYS)
    if not late and lit_from >= LAMPS_NEVER:
        return
    limit = LAMPS_ALWAYS if late else LAMPS_NEVER
    yield Finding(
        key="brakes.lamps_late" if late else "brakes.lamps_early",
        severity="caution",
        title="The brake lamps light too late under regeneration" if late else "The brake lamps light too early",
        detail=f"They are set to light from {slowing(lit_from)} on (braking.lamps_from). "
        + ("Up to there a driver behind sees nothing." if late else "Lamps that light all the time are not heeded."),
        limit=slowing(limit),
        value=slowing(lit_from),
        margin=slowing(limit - lit_from if late else lit_from - limit),
        clause=_LAMPS,
        ladders=(one_step("Let them light from 1.0 m/s² on (braking.lamps_from)", {"braking.lamps_from": "1.0 m/s²"}),),
    )


@rule("brakes")
def fade(seen: Assessed) -> Iterator[Finding]:
    """Do the brakes stay cool enough on the worst way down when the motor takes nothing?"""
    brakes, way = seen.case.build.donor.brakes, seen.case.build.duty.descent
    for axle, kind in (("front", brakes.front), ("rear", brakes.rear)):
        key = f"brakes.descent_temperature_{axle}"
        hot, most = seen.si(key), Unit("°C").to_si(FADES[kind])
        fails = seen.failing(key, most, f"the {axle} brakes stay cool on the descent")
        if hot is None or not exceeds(hot, most):
            continue
        path = f"donor.brakes.{axle}"
        discs = (one_step(f"Fit discs at the {axle} ({path})", {path: "disc"}),) if kind == "drum" else ()
        yield Finding(
            key=f"brakes.fade_{axle}",
            severity="caution",
            title=f"The {axle} brakes get too hot on the way down",
            detail=f"Down {way.gradient.text} over {way.length.text} at {way.speed.text}, laden, with a pack that takes nothing, the "
            f"brakes turn {seen.text('brakes.descent_power')} into heat; the {axle} {kind}s come to {seen.degrees(hot)}. The old "
            "engine held the car on such a hill; a motor does so only while the pack takes what it gives.",
            limit=seen.degrees(most),
            value=seen.degrees(hot),
            margin=f"{fixed(most - hot, 0)} K",
            likelihood=likely(fails),
            clause=practice("linings of the time fade about there; fluid boils before, if it is old"),
            remedy="Do not charge to full on top of a hill: leave room for the way down. New fluid, linings for heat, and stops to cool.",
            ladders=(*discs, less_load(seen), _slower(way.speed.value)),
        )


def _slower(speed: float) -> Ladder:
    values = downwards(Unit("km/h").from_si(speed), 5.0, 15.0)
    return settings("duty.descent.speed", "Go down at", values, "km/h")
