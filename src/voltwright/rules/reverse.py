"""How the car drives backwards: by a gear or by the motor, how fast, and whether the inverter can."""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.assess.reversing import backwards_by_motor, has_reverse_gear
from voltwright.parts.drive import Inverter
from voltwright.quantity.units import Unit
from voltwright.rules.clause import maker, practice
from voltwright.rules.finding import Assessed, Finding, Ladder, apart, exceeds
from voltwright.rules.rule import GEARBOX_KEPT, rule
from voltwright.rules.shafts import ONE_WAY
from voltwright.rules.ways import another_part, downwards, less_backwards, one_step, reverse_by_gear, settings

_MUST = practice("a road car must be able to reverse")
BACKWARDS = 30 / 3.6  # m/s; common practice: faster backwards a car with its steering axle behind swings round


@rule()
def reverse(seen: Assessed) -> Iterator[Finding]:
    """How does the car drive backwards?"""
    gearing, has_gear = seen.case.build.drive.gearing, has_reverse_gear(seen.case)
    if gearing.reverse == "gear" and not has_gear:
        yield Finding(
            key="drive.reverse_gear",
            severity="stop",
            title="There is no reverse gear",
            detail="The build says that the car reverses by a gear, and between this motor and the axle there is none.",
            limit="a reverse gear",
            value="none",
            clause=_MUST,
            remedy="Or choose a gear unit with reverse.",
            ladders=(_backwards(),),
        )
    elif not _can(seen):
        yield _cannot(seen)
    elif gearing.reverse is None and not has_gear:
        yield Finding(
            key="drive.reverse_unsaid",
            severity="caution",
            title="Nothing says how the car reverses",
            detail="The old reverse gear is not used, and between this motor and the axle there is no other.",
            limit="a way to reverse",
            value="none named",
            clause=_MUST,
            remedy="Write drive.gearing.reverse: motor, and see that the inverter does it, limits the speed backwards, "
            "and switches the reversing lamp.",
            ladders=(_backwards(),),
        )


def _can(seen: Assessed) -> bool:
    """Whether the inverter turns the motor backwards, where that is asked of it."""
    inverter = seen.case.inverter
    return inverter is None or inverter.turns_back or not backwards_by_motor(seen.case)


def _cannot(seen: Assessed) -> Finding:
    inverter, motor = seen.case.inverter, seen.case.motor
    assert inverter is not None
    now = inverter.voltage_max.value

    def suits(part: Inverter) -> bool:
        return part.turns_back and (motor is None or part.feeds(motor)) and part.voltage_max.value >= now

    return Finding(
        key="drive.reverse_inverter",
        severity="stop",
        title="The car cannot reverse: the inverter does not turn the motor backwards",
        detail=f"{inverter.title} drives the motor one way, and no gear that is used turns the wheels the other way.",
        limit="a way to reverse",
        value="none",
        clause=maker("the inverter maker's datasheet (reverses); a chopper needs reversing contactors for it"),
        remedy="Keep the old gearbox with all its gears; or fit reversing contactors that cannot change over under current, and "
        "enter the chopper with them as a part of your own (reverses: true). A motor whose brushes are set for one direction "
        "sparks in the other: ask its maker.",
        ladders=(reverse_by_gear(seen), another_part(seen, "drive.inverter.part", "inverter", suits)),
    )


def _backwards() -> Ladder:
    says = "Let the motor turn backwards (drive.gearing.reverse: motor)"
    return one_step(says, {"drive.gearing.reverse": "motor"})


@rule("drive_line", when=GEARBOX_KEPT)
def gearbox_backwards(seen: Assessed) -> Iterator[Finding]:
    """Does the old gearbox bear the motor that turns it backwards?"""
    used = seen.si("drive.gearbox_torque_used_reverse")
    if used is None or not exceeds(used, 1.0):
        return
    inputs = seen.sheet.nodes["drive.gearbox_torque_used_reverse"].inputs
    torque, bears = float(inputs["torque"].value), float(inputs["rated"].value)
    said = apart(seen.torque, torque, bears)
    yield Finding(
        key="drive.gearbox_coast_reverse",
        severity="caution",
        title="The old gearbox may not bear the motor that turns it backwards",
        detail=f"Up to {said.value} run through it backwards: on the coast flanks of its teeth, with the thrust on the other "
        f"bearings. So driven it is taken to bear {said.limit}; a gear may also jump out.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=ONE_WAY,
        remedy="Let the torque backwards rise slowly, and try on a slope that no gear jumps out. An overdrive or freewheel must be locked "
        "out whenever the motor turns backwards; driven so, its one-way clutch breaks.",
        ladders=(less_backwards(seen, 1 / used), reverse_by_gear(seen)),
    )


@rule("drive_line")
def reverse_speed(seen: Assessed) -> Iterator[Finding]:
    """How fast does the car go backwards by its motor?"""
    reached = seen.si("drive.reverse_speed")
    if reached is None or not backwards_by_motor(seen.case) or not exceeds(reached, BACKWARDS):
        return
    set_now, kmh = seen.case.build.drive.gearing.reverse_speed, Unit("km/h")
    yield Finding(
        key="drive.reverse_speed",
        severity="caution",
        title="The car goes backwards too fast",
        detail=f"The motor turns backwards as willingly as forwards: the car reverses at up to {seen.text('drive.reverse_speed')}"
        + (", as it is set." if set_now else "; the build names no limit."),
        limit=seen.speed(BACKWARDS),
        value=seen.text("drive.reverse_speed"),
        margin=seen.speed(BACKWARDS - reached),
        clause=practice("20 to 30 km/h at most; the steered wheels trail then, and the car swings round"),
        remedy="Let the inverter change direction only at a standstill with the foot on the brake, and try that it does.",
        ladders=(
            settings(
                "drive.gearing.reverse_speed",
                "Set the inverter's speed backwards to",
                downwards(min(kmh.from_si(reached), 60.0), 5.0, 5.0),
                "km/h",
            ),
        ),
    )
