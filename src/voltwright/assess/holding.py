"""Does it hold: hot brakes on a long way down without the motor, the servo without an engine, and a slope without a gear?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from voltwright.assess.case import Case
from voltwright.assess.grip import dry_grip
from voltwright.assess.resistance import resistance_of, standard_gravity, why_none
from voltwright.assess.sheet import Sheet, assumed, assumed_between, constant
from voltwright.physics import brakes as law
from voltwright.physics import road_load
from voltwright.quantity.work import Node, least, work

if TYPE_CHECKING:
    from voltwright.assess.brakes import Stance

# kg of both discs or drums of an axle, and s in which they cool to 37 % of the difference at 50 km/h: usual, no source
IRON = {"disc": (8.0, 14.0), "drum": (10.0, 18.0)}
COOLS = {"disc": (180.0, 480.0), "drum": (480.0, 1200.0)}
OLD_LAW = (0.16, 0.20)  # slopes that parking brakes were made to hold laden


def assess_holding(case: Case, sheet: Sheet, share: Node, donor_laden: Node, car: Stance) -> None:
    """Enter the figures of descent, servo and parking brake."""
    _descent(case, sheet, share)
    _servo(case, sheet, donor_laden, car.mass)
    _parking(case, sheet, donor_laden, car)


def _descent(case: Case, sheet: Sheet, share: Node) -> None:
    """The way down with the friction brakes alone: no engine, and a pack that takes nothing."""
    held, way = resistance_of(case, sheet), case.build.duty.descent
    if held is None:
        for key in ("descent_power", "descent_energy", "descent_temperature_front", "descent_temperature_rear"):
            sheet.lack(f"brakes.{key}", why_none(case, sheet))
        return
    grade = case.leaf(way.gradient, "Slope of the descent", "%")
    speed, length = (
        case.leaf(way.speed, "Speed on the descent", "km/h"),
        case.leaf(way.length, "Length of the descent", "km"),
    )
    weight = {"mass": held.mass, "gravity": held.gravity, "grade": grade}
    force = work(
        law.descent_force,
        "What the brakes hold back",
        slope=work(road_load.grade_force, "What the slope pushes", **weight),
        tyres=work(road_load.rolling_resistance, "What the tyres hold", coefficient=held.rolling, **weight),
        air=work(
            road_load.aerodynamic_drag,
            "What the air holds",
            density=held.density,
            drag_area=held.drag_area,
            air_speed=speed,
        ),
        linear=work(road_load.linear_resistance, "What grows with the speed", linear=held.linear, speed=speed),
    )
    power = sheet.add(
        "brakes.descent_power", work(road_load.wheel_power, "Heat of the brakes", force=force, speed=speed)
    )
    sheet.add(
        "brakes.descent_energy", work(law.energy_of_descent, "Heat of the descent", "kWh", force=force, length=length)
    )
    time = work(law.time_of_descent, "Time on the way down", length=length, speed=speed)
    one = constant(1.0, "1", "Braking", "a braking of 1, for the share", "z")
    rear = work(law.rear_braking, "Rear share of the brakes", "%", front_share=share, braking=one)
    for axle, part in (("front", share), ("rear", rear)):
        heat = work(law.part_of_heat, f"Heat of the {axle} brakes", power=power, share=part)
        sheet.add(f"brakes.descent_temperature_{axle}", _temperature(case, axle, heat, time))


def _temperature(case: Case, axle: str, heat: Node, time: Node) -> Node:
    brakes = case.build.donor.brakes
    kind, entered = (brakes.front, brakes.front_mass) if axle == "front" else (brakes.rear, brakes.rear_mass)
    label = f"Both {axle} {kind}s"
    weigh = f"usual for both {kind}s of an axle, no source; weigh one and double it"
    iron = (
        case.leaf(entered, label)
        if entered
        else assumed_between(label, "kg", weigh, *IRON[kind], f"donor.brakes.{axle}_mass")
    )
    specific = assumed("Specific heat of cast iron", "J/(kg·K)", "handbooks, from memory", 500.0, 40.0)
    log = (
        f"usual for {kind}s on a moving car, no source; drive on after the hill and read an infrared thermometer twice"
    )
    cools = assumed_between(f"Time in which the {axle} {kind}s cool to 37 %", "s", log, *COOLS[kind])
    return work(
        law.brake_temperature,
        f"The {axle} {kind}s",
        air=case.leaf(case.build.duty.climate.hottest, "Hottest design day", "°C"),
        power=heat,
        heat_capacity=work(law.heat_capacity, "Heat for each kelvin", mass=iron, specific_heat=specific),
        cooling_time=cools,
        time=time,
    )


def _servo(case: Case, sheet: Sheet, before: Node, mass: Node) -> None:
    """How hard the foot must press without help, and with which vacuum it presses as in the donor."""
    was = case.build.donor.brakes.servo
    if was == "none":
        boost = constant(1.0, "1", "Help of the servo", "donor.brakes.servo: none")
    else:
        reason = "usual for a servo of that time, no source; press the pedal for the same stop with it dead and alive"
        boost = assumed_between("Pedal force without the servo over that with it", "1", reason, 2.0, 3.5)
    sheet.add(
        "brakes.pedal_factor", work(law.pedal_factor, "Pedal without help", boost=boost, mass=mass, before=before)
    )
    if was != "vacuum" or case.build.servo != "vacuum":
        sheet.lack("brakes.vacuum_needed", "no vacuum servo helps the foot")
        return
    reason = "usual for an engine that is not pulling, no source; read a gauge in the servo's hose before the engine comes out"
    vacuum = assumed_between("Vacuum that the engine gave the servo", "kPa", reason, 60e3, 75e3)
    needed = work(law.vacuum_needed, "Vacuum for the same foot", vacuum=vacuum, boost=boost, mass=mass, before=before)
    sheet.add("brakes.vacuum_needed", needed)


def parking_axle(case: Case) -> str | None:
    """Which wheels the parking brake holds: `front`, `rear`, `both`; None where there is none, or it left with its gearbox."""
    build = case.build
    parking, driven = build.donor.brakes.parking, build.donor.drive_line.driven_axle
    if parking == "transmission":
        return driven if build.drive.gearing.way == "gearbox-kept" else None
    return {"rear-cable": "rear", "front-cable": "front"}.get(parking)


def _parking(case: Case, sheet: Sheet, before: Node, car: Stance) -> None:
    axle = parking_axle(case)
    if axle is None:
        sheet.lack("brakes.hold_gradient", "no parking brake is left")
        return
    force = _parking_force(case, before)
    by_force = work(
        law.held_by_force,
        "By the force of the parking brake",
        "%",
        force=force,
        mass=car.mass,
        gravity=standard_gravity(),
    )
    facing = [_by_grip(axle, car, facing_up=up) for up in (True, False)]
    sheet.add("brakes.hold_gradient", least("Slope that it holds", [*facing, by_force], "%"))


def _by_grip(axle: str, car: Stance, *, facing_up: bool) -> Node:
    """What the tyres of the locked wheels hold before they slide."""
    if axle == "both":
        return dry_grip().named("By the grip of all four tyres", "%")
    lower = (axle == "rear") == facing_up
    label = f"By the grip of the {axle} tyres, facing {'up' if facing_up else 'down'}"
    load = car.front if axle == "front" else car.rear
    return work(
        law.held_by_lower_axle if lower else law.held_by_upper_axle,
        label,
        "%",
        grip=dry_grip(),
        load=load,
        moved=car.moved,
    )


def _parking_force(case: Case, before: Node) -> Node:
    """Measured, or what the donor's maker had to provide for its permitted mass."""
    donor, label = case.build.donor, "Force of the parking brake at the tread"
    if donor.brakes.parking_force is not None:
        return case.leaf(donor.brakes.parking_force, label)
    reason = "what laws asked of laden cars then, from memory; pull it on a roller brake tester and enter donor.brakes.parking_force"
    slope = assumed_between(
        "Slope for which the parking brake was made", "%", reason, *OLD_LAW, "donor.brakes.parking_force"
    )
    mass = case.leaf(donor.limits.gross, "Permitted gross mass") if donor.limits.gross else before
    return work(road_load.grade_force, label, mass=mass, gravity=standard_gravity(), grade=slope)
