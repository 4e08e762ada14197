"""How fast: top speed and slopes. Laden as in the brief, on a dry level road, in air of 20 °C.

Altitude and wind are those of the duty. With a trailer in the brief, top speed and slopes are worked with it too.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from voltwright.assess.case import Case, origin_of
from voltwright.assess.drive import Gears, gears_of
from voltwright.assess.grip import wet_grip
from voltwright.assess.motor_model import continuous_torque, fastest_turning
from voltwright.assess.resistance import Resistance, resistance_of, why_none, with_trailer
from voltwright.assess.sheet import CONDITION, Sheet, assumed, constant
from voltwright.parts.drive import Motor
from voltwright.physics import motor, pace, road_load
from voltwright.quantity.work import Node, greatest, leaf, least, total, work

KEYS = ("road.top_speed", "road.top_speed_sustained", "road.gradient_start", "road.gradient_start_wet", "road.gradient_at_50",
        "road.gradient_sustained", "drive.motor_speed_max_used", "drive.frequency_max", "drive.back_emf_peak")  # fmt: skip
CANNOT_MOVE = "in its lowest gear the motor's torque does not move the laden car"
TOWING = ("road.top_speed_towing", "road.gradient_start_towing", "road.gradient_at_50_towing")


@dataclass(frozen=True)
class Road:
    """What holds the laden car back, what its tyres hold, and what pushes it; `trailer` where the brief names one."""

    resistance: Resistance
    gears: Gears
    push: Node
    trailer: Node | None = None

    @property
    def suffix(self) -> str:
        return "_towing" if self.trailer else ""


def assess_road(case: Case, sheet: Sheet) -> None:
    """Enter every figure of the question `road` that needs no trip."""
    gears, why = gears_of(case)
    why = why_none(case, sheet) or sheet.reasons.get("drive.power_peak", why)
    alone = resistance_of(case, sheet)
    if alone is None or gears is None or case.motor is None or "drive.power_peak" not in sheet.nodes:
        for key in (*KEYS, *(TOWING if case.build.brief.tow else ())):
            sheet.lack(key, why)
        return
    push = work(
        pace.force_of_torque,
        "Force of the torque",
        torque=sheet.nodes["drive.wheel_torque_peak"],
        wheel_radius=alone.radius,
    )
    road = Road(alone, gears, push)
    if push.value <= alone.rolling.value * alone.mass.value * alone.gravity.value + _air(alone, alone.wind).value:
        for key in (*KEYS, *(TOWING if case.build.brief.tow else ())):
            sheet.lack(key, CANNOT_MOVE)
        return
    _top_speeds(case, sheet, road, case.motor)
    _slopes(case, sheet, road)
    _towing(case, sheet, road, case.motor)


def _towing(case: Case, sheet: Sheet, road: Road, drive: Motor) -> None:
    together, tow = with_trailer(case, road.resistance), case.build.brief.tow
    if together is None or tow is None:
        return
    train = Road(together, road.gears, road.push, case.leaf(tow, "Trailer of the brief"))
    _top_speeds(case, sheet, train, drive)
    _slopes(case, sheet, train)


def _top_speeds(case: Case, sheet: Sheet, road: Road, drive: Motor) -> None:
    geared = work(
        motor.road_speed,
        "Speed at which the motor turns no faster",
        turning=fastest_turning(case, drive),
        ratio=road.gears.highest,
        wheel_radius=road.resistance.radius,
    )
    alone = {"road.top_speed_sustained": "continuous"}
    for key, power in ({"road.top_speed_towing": "peak"} if road.trailer else alone).items():
        by_power = work(
            pace.speed_for_power,
            f"Speed for the {power} power",
            power=sheet.nodes[f"drive.power_{power}"],
            **road.resistance.level,
        )
        sheet.add(key, least("Top speed", [by_power, geared]))


def _slopes(case: Case, sheet: Sheet, road: Road) -> None:
    held = road.resistance
    steep = {"mass": held.mass, "gravity": held.gravity, "rolling": held.rolling}
    standing = work(pace.force_left, "Force left", force=road.push, drag=_air(held, held.wind))
    by_torque = work(pace.grade_climbed, "Slope by torque", "%", force=standing, **steep)
    sheet.add(f"road.gradient_start{road.suffix}", least("Slope", [by_torque, _slope_by_grip(case, sheet, road)]))
    if road.trailer is None:
        wet = replace(road, resistance=replace(held, grip=wet_grip()))
        sheet.add("road.gradient_start_wet", least("Slope in the wet", [by_torque, _slope_by_grip(case, sheet, wet)]))
    fifty = constant(50 / 3.6, "km/h", "Speed", CONDITION, "v")
    force = work(
        pace.force_of_power, "Force of the peak power at 50 km/h", power=sheet.nodes["drive.power_peak"], speed=fifty
    )
    meets = work(road_load.air_speed, "Speed through the air", speed=fifty, wind=held.wind)
    bearings = work(road_load.linear_resistance, "What grows with the speed alone", linear=held.linear, speed=fifty)
    taken = total("Air and what grows with the speed alone", [_air(held, meets), bearings])
    left = work(pace.force_left, "Force left", force=least("Force at 50 km/h", [force, road.push]), drag=taken)
    at_50 = work(pace.grade_climbed, "Slope at 50 km/h by force", "%", force=left, **steep)
    by_grip = _slope_by_grip(case, sheet, road)
    sheet.add(f"road.gradient_at_50{road.suffix}", least("Slope at 50 km/h", [at_50, by_grip]))
    if road.trailer is None:
        _sustained_slope(case, sheet, road, steep)


def _sustained_slope(case: Case, sheet: Sheet, road: Road, steep: dict[str, Node]) -> None:
    """What the motor climbs continuously in the lowest gear, so slowly that air and power do not count."""
    assert case.motor is not None
    assert case.inverter is not None
    torque = work(
        motor.wheel_torque,
        "Continuous torque at the wheels",
        torque=continuous_torque(case, case.motor, case.inverter),
        ratio=road.gears.lowest,
        efficiency=road.gears.efficiency,
    )
    push = work(pace.force_of_torque, "Force of that torque", torque=torque, wheel_radius=road.resistance.radius)
    climbed = work(pace.grade_climbed, "Slope by continuous torque", "%", force=push, **steep)
    sheet.add("road.gradient_sustained", least("Slope", [climbed, _slope_by_grip(case, sheet, road)]))


def _air(held: Resistance, speed: Node) -> Node:
    return work(
        road_load.aerodynamic_drag,
        "Drag of the air",
        density=held.density,
        drag_area=held.drag_area,
        air_speed=speed,
    )


def _where(case: Case, sheet: Sheet) -> dict[str, Node]:
    wheelbase = case.leaf(case.build.donor.size.wheelbase, "Wheelbase", "m")
    return {
        "behind_front": sheet.nodes["mass.cg_x_laden"],
        "height": sheet.nodes["mass.cg_height_laden"],
        "wheelbase": wheelbase,
    }


def _slope_by_grip(case: Case, sheet: Sheet, road: Road) -> Node:
    driven, grip = case.build.donor.drive_line.driven_axle, road.resistance.grip
    if road.trailer is not None:
        return _slope_by_grip_towing(case, sheet, grip, road.trailer)
    if driven == "both":
        return grip
    law = pace.grade_by_grip_front if driven == "front" else pace.grade_by_grip_rear
    return work(law, "Slope by grip", "%", grip=grip, **_where(case, sheet))


def _slope_by_grip_towing(case: Case, sheet: Sheet, grip: Node, trailer: Node) -> Node:
    driven = case.build.donor.drive_line.driven_axle
    masses = {"grip": grip, "mass": sheet.nodes["mass.laden"], "trailer": trailer}
    if driven == "both":
        return work(pace.grade_by_grip_all_towing, "Slope by grip", "%", **masses)
    law = pace.grade_by_grip_front_towing if driven == "front" else pace.grade_by_grip_rear_towing
    ball = assumed("Height of the coupling", "m", "usual for a ball, laden, no source; measure it", 0.39, 0.03)
    return work(law, "Slope by grip", "%", **masses, **_where(case, sheet), coupling_height=ball)


def wet_braking_force(case: Case, sheet: Sheet, held: Resistance) -> Node:
    """What the driven wheels brake by the motor alone on a wet road before they lock. [N]"""
    driven = case.build.donor.drive_line.driven_axle
    inputs = {"grip": wet_grip(), "mass": held.mass, "gravity": held.gravity}
    if driven == "both":
        return work(road_load.braking_limit_all, "What the wet tyres hold", **inputs)
    law = road_load.braking_limit_front if driven == "front" else road_load.braking_limit_rear
    return work(law, "What the wet tyres hold", **inputs, **_where(case, sheet))


def grip_force(case: Case, sheet: Sheet, held: Resistance) -> Node:
    """What the driven tyres hold on the level, with the load that moves between the axles. [N]"""
    driven = case.build.donor.drive_line.driven_axle
    level = constant(0.0, "%", "Slope", CONDITION, "G")
    inputs = {"grip": held.grip, "mass": held.mass, "gravity": held.gravity, "grade": level}
    if driven == "both":
        return work(road_load.traction_limit_all, "What the tyres hold", **inputs)
    law = road_load.traction_limit_front if driven == "front" else road_load.traction_limit_rear
    return work(law, "What the tyres hold", **inputs, **_where(case, sheet))


def assess_motor_used(case: Case, sheet: Sheet, drive: Motor, gears: Gears, held: Resistance) -> None:
    """How fast the motor turns at most, once the top speed is known, and what follows from it.

    With several gears it turns as fast as motor and gears bear: a driver who does not shift, or shifts down, gets there.
    """
    at_top = work(
        motor.motor_speed,
        "Motor speed at top speed",
        speed=sheet.nodes["road.top_speed"],
        ratio=gears.highest,
        wheel_radius=held.radius,
    )
    lower = [fastest_turning(case, drive)] if len(gears.every) > 1 else []
    turning = greatest("Motor speed", [at_top, *lower]) if lower else at_top
    sheet.add("drive.motor_speed_max_used", turning)
    if drive.pole_pairs is None:
        sheet.lack("drive.frequency_max", "the motor's datasheet names no pole pairs")
    else:
        pairs = leaf(
            float(drive.pole_pairs), "1", "Pole pairs of the motor", origin_of(drive, "pole_pairs"), symbol="p"
        )
        sheet.add("drive.frequency_max", work(motor.electrical_frequency, "Frequency", pole_pairs=pairs, speed=turning))
    if drive.back_emf is None:
        sheet.lack("drive.back_emf_peak", "the motor's datasheet names no back-EMF")
        return
    rms = case.leaf(drive.back_emf, "Back-EMF, line to line (rms), by speed")
    sheet.add("drive.back_emf_peak", work(motor.back_emf, "Back-EMF", emf_constant=rms, speed=turning))
