"""How fast: pace, top speed and slopes. Laden as in the brief, on a dry level road, in still air at 20 °C at sea level."""

from __future__ import annotations

from dataclasses import dataclass

from voltwright.assess.case import Case, celsius
from voltwright.assess.drive import Gears, gears_of, wheel_radius
from voltwright.assess.sheet import Sheet, assumed, constant
from voltwright.parts.drive import Motor
from voltwright.physics import air, motor, pace, road_load
from voltwright.physics.mass import STANDARD_GRAVITY
from voltwright.quantity.provenance import Origin
from voltwright.quantity.source import Source
from voltwright.quantity.work import Node, leaf, least, work

TIMES = {"road.time_0_50": (0.0, 50.0), "road.time_0_100": (0.0, 100.0), "road.time_80_120": (80.0, 120.0)}
KEYS = (*TIMES, "road.top_speed", "road.top_speed_sustained", "road.gradient_start", "road.gradient_at_50",
        "drive.motor_speed_max_used", "drive.back_emf_peak")  # fmt: skip


@dataclass(frozen=True)
class Road:
    """What holds the laden car back, and what its tyres hold."""

    mass: Node
    gravity: Node
    rolling: Node
    density: Node
    drag_area: Node
    grip: Node
    factor: Node
    radius: Node
    gears: Gears

    @property
    def level(self) -> dict[str, Node]:
        return {name: getattr(self, name) for name in ("mass", "gravity", "rolling", "density", "drag_area")}


def assess_road(case: Case, sheet: Sheet) -> None:
    """Enter every figure of the question `road` that needs no trip."""
    gears, why = gears_of(case)
    radius = wheel_radius(case)
    if radius is None:
        why = "the marking of the driven tyres says no size"
    if "drive.power_peak" not in sheet.nodes:
        why = sheet.reasons["drive.power_peak"]
    if "mass.laden" not in sheet.nodes:
        why = "nothing is left of the car"
    if (
        "mass.laden" not in sheet.nodes
        or gears is None
        or radius is None
        or case.motor is None
        or "drive.power_peak" not in sheet.nodes
    ):
        for key in KEYS:
            sheet.lack(key, why)
        return
    road = _road(case, sheet, gears, radius)
    tops = _top_speeds(case, sheet, road, case.motor)
    _slopes(case, sheet, road)
    _times(case, sheet, road, tops)
    _motor(case, sheet, road, case.motor)


def _road(case: Case, sheet: Sheet, gears: Gears, radius: Node) -> Road:
    donor = case.build.donor
    coefficient = case.leaf(donor.air.drag_coefficient, "Drag coefficient")
    area = case.leaf(donor.air.frontal_area, "Frontal area", "m²")
    atmosphere = Origin("by definition", reason="standard atmosphere at sea level", source=Source("iso-2533"))
    density = work(
        air.air_density,
        "Density of the air",
        pressure=leaf(101325.0, "kPa", "Pressure of the air", atmosphere, symbol="p"),
        temperature=constant(
            celsius(20), "°C", "Temperature of the air", "the condition for which the figure is given", "T"
        ),
        gas_constant=leaf(287.05287, "J/(kg·K)", "Gas constant of dry air", atmosphere, symbol="R_a"),
    )
    shares = "a usual share; turning parts are not weighed"
    factor = work(
        road_load.mass_factor,
        "Mass with what turns, as a multiple",
        wheel_share=assumed("Share of the wheels in the moving mass", "1", shares, 0.04, 0.01),
        shaft_share=assumed("Share of the shaft in the moving mass", "1", shares, 0.0025 / 4, 0.0003),
        ratio=gears.lowest,
    )
    return Road(
        sheet.nodes["mass.laden"],
        constant(
            STANDARD_GRAVITY, "m/s²", "Standard gravity", "3rd General Conference on Weights and Measures, 1901", "g"
        ),
        case.leaf(donor.tyres.rolling_resistance, "Rolling resistance of the tyres"),
        density,
        work(pace.drag_area, "Drag area", coefficient=coefficient, area=area),
        assumed("Grip of the tyres", "1", "usual on dry asphalt", 0.8, 0.1),
        factor,
        radius,
        gears,
    )


def _top_speeds(case: Case, sheet: Sheet, road: Road, drive: Motor) -> Node:
    turning = case.leaf(drive.speed_max, "Highest speed of the motor")
    geared = work(
        motor.road_speed,
        "Speed at which the motor turns no faster",
        turning=turning,
        ratio=road.gears.highest,
        wheel_radius=road.radius,
    )
    for name, power in (("top_speed", "peak"), ("top_speed_sustained", "continuous")):
        by_power = work(
            pace.speed_for_power,
            f"Speed for the {power} power",
            power=sheet.nodes[f"drive.power_{power}"],
            **road.level,
        )
        sheet.add(f"road.{name}", least("Top speed", [by_power, geared]))
    return sheet.nodes["road.top_speed"]


def _slopes(case: Case, sheet: Sheet, road: Road) -> None:
    push = work(
        pace.force_of_torque,
        "Force of the torque",
        torque=sheet.nodes["drive.wheel_torque_peak"],
        wheel_radius=road.radius,
    )
    steep = {"mass": road.mass, "gravity": road.gravity, "rolling": road.rolling}
    by_torque = work(pace.grade_climbed, "Slope by torque", "%", force=push, **steep)
    sheet.add("road.gradient_start", least("Slope", [by_torque, _slope_by_grip(case, sheet, road)]))
    fifty = constant(50 / 3.6, "km/h", "Speed", "the condition for which the figure is given", "v")
    force = work(
        pace.force_of_power, "Force of the peak power at 50 km/h", power=sheet.nodes["drive.power_peak"], speed=fifty
    )
    drag = work(
        road_load.aerodynamic_drag, "Drag of the air", density=road.density, drag_area=road.drag_area, air_speed=fifty
    )
    left = work(pace.force_left, "Force left", force=least("Force at 50 km/h", [force, push]), drag=drag)
    sheet.add("road.gradient_at_50", work(pace.grade_climbed, "Slope at 50 km/h", "%", force=left, **steep))


def _where(case: Case, sheet: Sheet) -> dict[str, Node]:
    wheelbase = case.leaf(case.build.donor.size.wheelbase, "Wheelbase", "m")
    return {
        "behind_front": sheet.nodes["mass.cg_x_laden"],
        "height": sheet.nodes["mass.cg_height_laden"],
        "wheelbase": wheelbase,
    }


def _slope_by_grip(case: Case, sheet: Sheet, road: Road) -> Node:
    driven = case.build.donor.drive_line.driven_axle
    if driven == "both":
        return road.grip
    law = pace.grade_by_grip_front if driven == "front" else pace.grade_by_grip_rear
    return work(law, "Slope by grip", "%", grip=road.grip, **_where(case, sheet))


def _grip_force(case: Case, sheet: Sheet, road: Road) -> Node:
    driven = case.build.donor.drive_line.driven_axle
    level = constant(0.0, "%", "Slope", "the condition for which the figure is given", "G")
    inputs = {"grip": road.grip, "mass": road.mass, "gravity": road.gravity, "grade": level}
    if driven == "both":
        return work(road_load.traction_limit_all, "What the tyres hold", **inputs)
    law = road_load.traction_limit_front if driven == "front" else road_load.traction_limit_rear
    return work(law, "What the tyres hold", **inputs, **_where(case, sheet))


def _times(case: Case, sheet: Sheet, road: Road, top: Node) -> None:
    push = work(
        pace.force_of_torque,
        "Force of the torque",
        torque=sheet.nodes["drive.wheel_torque_peak"],
        wheel_radius=road.radius,
    )
    holds = _grip_force(case, sheet, road)
    for key, (slow, fast) in TIMES.items():
        if fast / 3.6 >= top.value:
            sheet.lack(key, f"the car does not reach {fast:.0f} km/h")
            continue
        condition = "the condition for which the figure is given"
        time = work(
            pace.time_between,
            "Time",
            slow=constant(slow / 3.6, "km/h", "From", condition, "v_1"),
            fast=constant(fast / 3.6, "km/h", "To", condition, "v_2"),
            torque_force=push,
            power=sheet.nodes["drive.power_peak"],
            grip_force=holds,
            factor=road.factor,
            **road.level,
        )
        sheet.add(key, time)


def _motor(case: Case, sheet: Sheet, road: Road, drive: Motor) -> None:
    turning = work(
        motor.motor_speed,
        "Motor speed",
        speed=sheet.nodes["road.top_speed"],
        ratio=road.gears.highest,
        wheel_radius=road.radius,
    )
    sheet.add("drive.motor_speed_max_used", turning)
    if drive.back_emf is None:
        sheet.lack("drive.back_emf_peak", "the motor's datasheet names no back-EMF")
        return
    rms = case.leaf(drive.back_emf, "Back-EMF, line to line (rms), by speed")
    sheet.add("drive.back_emf_peak", work(motor.back_emf, "Back-EMF", emf_constant=rms, speed=turning))
