"""Do motor, inverter and gears belong together at all?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from voltwright.parts.drive import Inverter, Motor
from voltwright.quantity.figure import fixed
from voltwright.rules.clause import arithmetic, maker
from voltwright.rules.finding import Assessed, Finding, Ladder, exceeds
from voltwright.rules.rule import rule
from voltwright.rules.ways import another_part, one_step


@rule("pack")
def motor_and_inverter(seen: Assessed) -> Iterator[Finding]:
    """Does the inverter make the kind of current that the motor runs on?"""
    motor, inverter = seen.case.motor, seen.case.inverter
    if motor is None or inverter is None or inverter.feeds(motor):
        return
    runs, makes = "alternating current of three phases", "direct current"
    if motor.principle == "series-wound":
        runs, makes = "direct current, through brushes", "alternating current of three phases"
    yield Finding(
        key="drive.motor_inverter",
        severity="stop",
        title="The inverter does not make the current that the motor runs on",
        detail=f"{motor.title} ({motor.id}) runs on {runs}; {inverter.title} ({inverter.id}) makes {makes}. The motor does not run, "
        "and either may be destroyed. Every figure of the drive is worked as if the two suited each other.",
        limit=runs,
        value=makes,
        clause=maker("the datasheets of motor (principle) and inverter (motor_current)"),
        ladders=(_inverter_for(seen, motor), _motor_for(seen, motor, inverter)),
    )


def _inverter_for(seen: Assessed, motor: Motor) -> Ladder:
    """Inverters for this motor and pack: the smallest that gives its phase current, larger ones, then those that give less;
    last those that cut off before the pack is empty."""
    full, empty = seen.si("pack.voltage_full") or 0.0, seen.si("pack.voltage_empty") or 0.0
    nominal = seen.si("pack.voltage_nominal") or 0.0
    asked = motor.current_phase_peak.value if motor.current_phase_peak else 0.0

    def suits(part: Inverter) -> bool:
        covers = not exceeds(full, part.voltage_max.value) and not exceeds(part.voltage_min.value, nominal)
        return covers and part.feeds(motor)

    def beyond(part: Inverter) -> float:
        given = part.current_phase_peak.value
        later = 1e9 if exceeds(part.voltage_min.value, empty) else 0.0
        return later + (given if given >= asked else 1e6 - given)

    return another_part(seen, "drive.inverter.part", "inverter", suits, beyond)


def _motor_for(seen: Assessed, motor: Motor, inverter: Inverter | None, *, geared: bool | None = None) -> Ladder:
    """Motors for this inverter and pack, the nearest in power first. `geared`: with a reduction of their own, or without;
    as the motor of now where nothing is said."""
    full = seen.si("pack.voltage_full") or 0.0
    reduced = motor.built_in_ratio is not None if geared is None else geared

    def suits(part: Motor) -> bool:
        fed = inverter is None or inverter.feeds(part)
        covers = part.voltage_nominal.value <= full <= part.voltage_max.value
        return fed and covers and (part.built_in_ratio is not None) == reduced

    def apart(part: Motor) -> float:
        return abs(part.power_peak.value - motor.power_peak.value)

    return another_part(seen, "drive.motor.part", "motor", suits, apart)


_BEHIND = {"gearbox-kept": "the old gearbox", "gear-unit": "the gear unit", "direct": "the old final drive"}


@rule("pack", "drive")
def two_reductions(seen: Assessed) -> Iterator[Finding]:
    """Does no second reduction follow a motor that has one of its own?"""
    motor, way = seen.case.motor, seen.case.build.drive.gearing.way
    if motor is None or motor.built_in_ratio is None or way not in _BEHIND:
        return
    ratio, behind = motor.built_in_ratio.value, _BEHIND[way]
    rated, used = _rated(seen), motor.torque_peak.value * ratio
    known = f"it bears {seen.torque(rated)}" if rated is not None else "what it bears is not known"
    yield Finding(
        key="drive.two_reductions",
        severity="stop",
        title=f"The motor has a reduction of its own, and {behind} is a second one",
        detail=f"{motor.title} multiplies its torque by {fixed(ratio, 1)}: up to {seen.torque(used)} would go into {behind}; {known}. "
        "The car would be very slow besides. Every figure is worked without the motor's own reduction.",
        limit=seen.torque(rated) if rated is not None else "one reduction",
        value=seen.torque(used) if rated is not None else "two in a row",
        margin=seen.torque(rated - used) if rated is not None else None,
        clause=arithmetic("the motor's peak torque times its built-in ratio, against what comes behind it"),
        remedy="A motor whose own reduction is low, and which has no differential, is entered as a motor without it and a gear unit "
        "with its ratio (drive.gearing.way: gear-unit).",
        ladders=(_unit_alone(seen), _motor_for(seen, motor, seen.case.inverter, geared=False)),
    )


def _rated(seen: Assessed) -> float | None:
    """Torque that what comes behind the motor bears, where that is known. [N·m]"""
    used = seen.sheet.nodes.get("drive.gearbox_torque_used")
    if used is not None:
        return float(used.inputs["rated"].value)
    final = seen.case.build.donor.drive_line.final_drive_torque
    return final.value if final is not None and seen.case.build.drive.gearing.way == "direct" else None


def _unit_alone(seen: Assessed) -> Ladder:
    """The unit at the axle, and nothing behind it; the motor reverses, as no gear is left that does."""
    says = "Take the gears out behind it and let the unit drive the axle by itself (drive.gearing.way: axle-drive)"
    changes: dict[str, Any] = {"drive.gearing.way": "axle-drive"}
    if seen.case.build.drive.gearing.reverse != "motor":
        says, changes = f"{says}, and reverse by the motor", changes | {"drive.gearing.reverse": "motor"}
    return one_step(says, changes)
