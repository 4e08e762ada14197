"""The drive and the brief: gearbox, back-EMF, and what the customer wished of pace."""

from __future__ import annotations

import math
from collections.abc import Iterator

from voltwright.assess.drive import gears_of
from voltwright.parts.drive import GearUnit, Motor
from voltwright.physics.motor import back_emf as crest_of
from voltwright.physics.motor import motor_speed
from voltwright.quantity.entry import Entry
from voltwright.quantity.figure import amount
from voltwright.quantity.units import Unit
from voltwright.rules.clause import maker
from voltwright.rules.finding import Assessed, Finding, Ladder, apart, exceeds, likely, volts
from voltwright.rules.rule import no_trips, rule
from voltwright.rules.ways import another_part, downwards, less_torque, settings, upwards


@rule("drive")
def gearbox_torque(seen: Assessed) -> Iterator[Finding]:
    """Does the gearbox bear the motor's torque?"""
    used = seen.si("drive.gearbox_torque_used")
    if used is None or not exceeds(used, 1.0):
        return
    inputs = seen.sheet.nodes["drive.gearbox_torque_used"].inputs
    torque, bears, known = inputs["torque"].value, inputs["rated"].value, inputs["rated"].origin
    guessed = known is None or known.how == "assumed"
    said = apart(seen.torque, torque, bears)
    yield Finding(
        key="drive.gearbox_torque",
        severity="caution" if guessed else "stop",
        title="The motor gives more torque than the gearbox bears",
        detail=f"The motor gives {said.value} at a standstill already; the gearbox bears {said.limit}"
        + (", which is a guess." if guessed else ". Teeth, shafts or casing break."),
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=maker("the gearbox maker's rating, or what the donor's engine gave"),
        remedy=f"Set the inverter's torque limit to {said.limit} or less in every gear, braking torque included.",
        ladders=(less_torque(seen, bears / torque),),
    )


@rule()
def gear_unit_speed(seen: Assessed) -> Iterator[Finding]:
    """Does the gear unit bear the highest speed of the motor?"""
    gearing, motor, rpm = seen.case.build.drive.gearing, seen.case.motor, Unit("rpm")
    if gearing.way != "gear-unit" or gearing.gear_unit is None or motor is None:
        return
    unit = seen.case.shelf.take(gearing.gear_unit.part, GearUnit)
    turns, bears = motor.speed_max, unit.speed_in_max
    if not exceeds(turns.value, bears.value):
        return
    yield Finding(
        key="drive.gear_unit_speed",
        severity="caution",
        title="The motor can turn faster than the gear unit bears",
        detail=f"{motor.title} turns at up to {turns.text}; {unit.title} bears {bears.text}. Every figure is worked with the lower.",
        limit=bears.text,
        value=turns.text,
        margin=amount(rpm.from_si(bears.value - turns.value), rpm, 0, seen.system),
        clause=maker("the gear maker's rating"),
        remedy=f"Set the inverter's speed limit to {bears.text} or less, backwards too.",
    )


@rule("trips", trips=no_trips)
def back_emf(seen: Assessed) -> Iterator[Finding]:
    """Does the inverter bear what the motor makes by itself at the highest speed that is used?"""
    crest, inverter = seen.si("drive.back_emf_peak"), seen.case.inverter
    turning = seen.si("drive.motor_speed_max_used")
    if crest is None or turning is None or inverter is None or not exceeds(crest, inverter.voltage_max.value):
        return
    may, rpm = inverter.voltage_max.value, Unit("rpm")
    most = math.floor(rpm.from_si(turning * may / crest) / 10) * 10.0
    said = apart(volts, crest, may)
    yield Finding(
        key="drive.back_emf",
        severity="stop",
        title="Turning fast, the motor makes more voltage than the inverter bears",
        detail=f"When the inverter lets go at {seen.text('drive.motor_speed_max_used')} the motor makes {said.value}; "
        f"{inverter.title} bears {said.limit}.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=maker("the inverter maker's absolute limit"),
        remedy=f"Let the motor turn at {amount(most, rpm, 0, seen.system)} at most in any gear, the lower ones included, or choose "
        "a motor of lower back-EMF or an inverter for more voltage.",
        ladders=(
            *([_slower(rpm.from_si(turning))] if seen.case.build.drive.gearing.way == "gearbox-kept" else []),
            another_part(seen, "drive.inverter.part", "inverter", lambda part: part.voltage_max.value >= crest),
        ),
    )


def _slower(rpm: float) -> Ladder:
    """A lower highest speed of the old gearbox's input, by 50 rpm."""
    path = "donor.drive_line.gearbox.speed_max"
    return settings(path, "Let the motor turn at no more than", downwards(rpm, 50.0, 50.0), "rpm")


TOWED = 80 / 3.6  # m/s; common practice: a recovery truck on a main road


@rule("road")
def towed(seen: Assessed) -> Iterator[Finding]:
    """What happens when the car is towed with its driven wheels down?"""
    motor, inverter = seen.case.motor, seen.case.inverter
    gears, held = gears_of(seen.case)[0], seen.case.resistance
    if motor is None or inverter is None or gears is None or held is None or motor.principle != "permanent-magnet":
        return
    gearing = seen.case.build.drive.gearing
    neutral = gearing.way == "gearbox-kept" and gearing.fixed_gear is None
    if motor.back_emf is None:
        yield Finding(
            key="drive.back_emf_unknown",
            severity="caution",
            title="Nobody knows what voltage the turning motor makes",
            detail=f"{motor.title} has magnets, and its datasheet names no back-EMF, so nothing was judged at speed or in towing.",
            limit=volts(inverter.voltage_max.value),
            clause=maker("the inverter maker's absolute limit"),
            remedy="Ask the maker, or turn the motor with a drill and measure the voltage between two phases: back_emf.",
        )
        return
    easy, hard = (
        crest_of(
            emf_constant=motor.back_emf.value,
            speed=motor_speed(speed=TOWED, ratio=gear.value, wheel_radius=held.radius.value),
        )
        for gear in (gears.highest, gears.lowest)
    )
    may = inverter.voltage_max.value
    too_much = exceeds(hard, may)
    passed = (
        f" From {seen.speed(TOWED * may / hard)} on{' in that gear' if neutral else ''} it is more than that."
        if too_much
        else ""
    )
    other = f" in the highest gear, {volts(hard)} in the lowest" if neutral else ""
    said = apart(volts, hard, may)
    yield Finding(
        key="drive.towing",
        severity="caution" if too_much else "note",
        title="Tow the car in neutral only" if neutral else "Do not tow the car on its driven wheels",
        detail=f"The motor has magnets and makes voltage whenever it turns: {volts(easy)} (crest) at {seen.speed(TOWED)}{other}. "
        f"The inverter bears {said.limit}.{passed} Nothing can switch that off, and the motor's cables are live while the car rolls.",
        limit=said.limit,
        value=said.value,
        margin=volts(may - hard),
        clause=maker("the inverter maker's absolute limit"),
        remedy="Write it on the rescue sheet and beside the towing eye: "
        + ("gear lever in neutral." if neutral else "driven wheels off the ground, or on a trailer."),
    )


# What is wished: the path in the brief, the figure, whether more is better.
_WISHES = (
    ("time_0_50", "road.time_0_50", False, "The car is slower to 50 km/h than the brief asks"),
    ("time_0_100", "road.time_0_100", False, "The car is slower to 100 km/h than the brief asks"),
    ("top_speed", "road.top_speed", True, "The car does not reach the speed of the brief"),
    ("cruise_speed", "road.top_speed_sustained", True, "The car does not hold the speed of the brief"),
    ("start_gradient", "road.gradient_start", True, "The car does not start on the slope of the brief"),
)


@rule("trips", trips=no_trips)
def pace_wished(seen: Assessed) -> Iterator[Finding]:
    """Are the brief's wishes for pace, speed and slope met?"""
    for field, key, more, title in _WISHES:
        wish: Entry | None = getattr(seen.case.build.brief, field)
        figure = seen.figures.get(key)
        if wish is None or figure is None or (figure.value is None and "reach" not in figure.reason):
            continue
        wanted = figure.unit.from_si(wish.value)
        fails = seen.failing(key, wish.value, f"the wish of the brief is met: {figure.label.lower()}", least=more)
        if figure.value is not None and (figure.value >= wanted if more else figure.value <= wanted):
            continue
        band = figure.printed_band(seen.system)
        yield Finding(
            key=f"brief.{field}",
            severity="caution",
            title=title,
            detail=f"The brief asks {wish.text}; "
            + (f"the car gives {seen.text(key, wish.text)}" if figure.value is not None else figure.reason)
            + (f" ({band})." if band else "."),
            limit=wish.text,
            value=seen.text(key, wish.text),
            likelihood=likely(fails),
            remedy="Agree on what the drive gives, or find what binds (explain "
            f"{key}): pack, inverter, motor, gears or mass.",
            ladders=(_stronger_motor(seen), *_agreed(field, more, wanted, figure.unit)),
        )


_STEPS = {"s": 0.5, "km/h": 5.0, "%": 1.0}  # in which a promise is agreed on


def _agreed(field: str, more: bool, wanted: float, unit: Unit) -> list[Ladder]:
    """Another promise, nearer to what the car gives."""
    step = _STEPS.get(unit.spelling)
    if step is None:
        return []
    values = downwards(wanted, step, step) if more else upwards(wanted, step, 3.0 * wanted)
    return [settings(f"brief.{field}", "Agree with the customer on", values, unit.spelling, 1 if step < 1 else 0)]


def _stronger_motor(seen: Assessed) -> Ladder:
    """Motors of more power for the same voltage, the weakest first."""
    motor, full = seen.case.motor, seen.si("pack.voltage_full") or 0.0

    def suits(part: Motor) -> bool:
        if motor is None or exceeds(full, part.voltage_max.value) or part.voltage_nominal.value > full:
            return False
        return part.power_peak.value > motor.power_peak.value and bool(part.built_in_ratio) == bool(
            motor.built_in_ratio
        )

    return another_part(seen, "drive.motor.part", "motor", suits, lambda part: part.power_peak.value)
