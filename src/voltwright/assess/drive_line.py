"""How fast each gear turns the motor, forwards and backwards."""

from __future__ import annotations

from voltwright.assess.case import Case
from voltwright.assess.drive import Gears, gears_of
from voltwright.assess.motor_model import fastest_turning
from voltwright.assess.resistance import Resistance, resistance_of, why_none
from voltwright.assess.reversing import backwards_by_motor
from voltwright.assess.shafts import assess_mounts, assess_shafts
from voltwright.assess.sheet import Sheet
from voltwright.assess.wheelspin import assess_wheelspin
from voltwright.parts.drive import Motor
from voltwright.physics import motor
from voltwright.quantity.provenance import Origin
from voltwright.quantity.work import Node, leaf, least, work

KEYS = ("drive.reverse_speed",)


def assess_drive_line(case: Case, sheet: Sheet) -> None:
    """Enter every figure of the drive line: speeds in the gears, and what its parts bear."""
    assess_speeds(case, sheet)
    assess_shafts(case, sheet)
    assess_mounts(case, sheet)
    assess_wheelspin(case, sheet)


def assess_speeds(case: Case, sheet: Sheet) -> None:
    """Road speeds at which motor and gears turn as fast as they may."""
    gears, why = gears_of(case)
    held = resistance_of(case, sheet)
    if case.motor is None or gears is None or held is None:
        why = "the build names no motor" if case.motor is None else why or why_none(case, sheet)
        for key in KEYS:
            sheet.lack(key, why)
        return
    for number, ratio in numbered(case, gears):
        sheet.add(f"drive.speed_in_gear.{number}", _speed(case, case.motor, held, ratio))
    _reverse(case, sheet, case.motor, gears, held)


def numbered(case: Case, gears: Gears) -> list[tuple[int, Node]]:
    """Each gear that is used with its number, the lowest first, and its turns of the motor for one of the wheels."""
    first = case.build.drive.gearing.fixed_gear or 1
    return list(enumerate(gears.every, first))


def _speed(case: Case, drive: Motor, held: Resistance, ratio: Node) -> Node:
    turning = fastest_turning(case, drive)
    return work(motor.road_speed, "Road speed", turning=turning, ratio=ratio, wheel_radius=held.radius)


def _reverse(case: Case, sheet: Sheet, drive: Motor, gears: Gears, held: Resistance) -> None:
    """By the motor every gear goes backwards as fast as forwards, unless a speed is set."""
    key, gearing = "drive.reverse_speed", case.build.drive.gearing
    if backwards_by_motor(case):
        speed, limit = _speed(case, drive, held, gears.highest), gearing.reverse_speed
        if limit is not None:
            speed = least("Speed backwards", [speed, case.leaf(limit, "Speed backwards that is set in the inverter")])
        sheet.add(key, speed)
        return
    line = case.build.donor.drive_line
    if gearing.way != "gearbox-kept" or line.gearbox.reverse_ratio is None or line.final_drive is None:
        sheet.lack(key, "the ratio of the reverse gear is not known (donor.drive_line.gearbox.reverse_ratio)")
        return
    ratio = work(
        motor.total_ratio,
        "Turns of the motor for one of the wheels, backwards",
        gear=leaf(line.gearbox.reverse_ratio, "1", "Ratio of the reverse gear",
                  Origin("entered", where="donor.drive_line.gearbox.reverse_ratio"), symbol="i_g"),
        final=leaf(line.final_drive, "1", "Final drive",
                   Origin("entered", where="donor.drive_line.final_drive"), symbol="i_f"),
    )  # fmt: skip
    sheet.add(key, _speed(case, drive, held, ratio))
