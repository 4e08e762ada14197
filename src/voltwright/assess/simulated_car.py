"""The car as the simulation sees it: every number of it a worked value, so that a band moves it and a reader can follow it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from voltwright.assess.at_once import at_once
from voltwright.assess.cabin import heater_power
from voltwright.assess.case import Case, celsius
from voltwright.assess.drive import Gears, gears_of
from voltwright.assess.motor_model import braking_torque, fastest_turning, motor_model, peak_power, peak_torque
from voltwright.assess.pack import Arrangement, arrangement, drive_current, highest_voltage, least_voltage, links_of
from voltwright.assess.resistance import Resistance, resistance_of
from voltwright.assess.road import grip_force, wet_braking_force
from voltwright.assess.sheet import CONDITION, Sheet, assumed, assumed_between, constant, nothing
from voltwright.build.brief import DutyTrip
from voltwright.kernels import car as kernel_car
from voltwright.kernels import gather
from voltwright.parts.drive import Inverter, Motor
from voltwright.physics import air, cell_dynamics, charging, consumption, mass, motor, motor_fit, road_load
from voltwright.quantity.work import Node, least, total, work

RELAXATION = 30.0  # s: the lag of the model; with it the resistance after 10 s is that of the table
MOST_GEARS = 6
WITH_THE_MASS = ("shaft_share", "grip_force", "regen_grip_force")


@dataclass(frozen=True)
class Simulated:
    """The car, the tables of its cells, and what is asked of it at full power; `kept` is what several questions start from."""

    car: Node
    cells: Node
    sprinter: Node
    rise: Node
    auxiliary: Node
    kerb: Node
    kept: dict[Any, Any] = field(default_factory=dict[Any, Any])


def assess_car(case: Case, sheet: Sheet) -> None:
    """Put the car together as the simulation sees it; no figure by itself."""
    sheet.simulated = simulated_car(case, sheet)


def simulated_car(case: Case, sheet: Sheet) -> Simulated | None:
    """The car for the simulation, or None where something of it is not known: the reason stands with `drive.power_peak`."""
    drive, inverter, gears, held = case.motor, case.inverter, gears_of(case)[0], resistance_of(case, sheet)
    if drive is None or inverter is None or gears is None or held is None or "drive.power_peak" not in sheet.nodes:
        return None
    made = arrangement(case)
    auxiliary = _auxiliary(case)
    given = {
        **_road(case, sheet, held, gears, drive),
        **_gears(case, gears, drive, inverter),
        **motor_model(case, drive, inverter),
        **_regeneration(case, drive),
        **_pack(case, sheet, made, inverter),
        "auxiliary": auxiliary,
    }
    made_car = work(gather.car_of, "The car as the simulation sees it", **given)
    return Simulated(
        made_car,
        _cells(case),
        _sprinter(case, made_car, drive),
        _rise(case, inverter),
        auxiliary,
        sheet.nodes["mass.kerb"],
    )


def _road(case: Case, sheet: Sheet, held: Resistance, gears: Gears, drive: Motor) -> dict[str, Node]:
    top = work(
        motor.road_speed,
        "Speed at which the motor turns no faster",
        turning=fastest_turning(case, drive),
        ratio=gears.highest,
        wheel_radius=held.radius,
    )
    return {
        "mass": held.mass,
        "wheel_share": held.wheel_share,
        "shaft_share": shaft_share(case, held, drive),
        "rolling": held.rolling,
        "linear": held.linear,
        "drag_area": held.drag_area,
        "density": held.density,
        "wind": held.wind,
        "gravity": held.gravity,
        "radius": held.radius,
        "grip_force": grip_force(case, sheet, held),
        "regen_grip_force": wet_braking_force(case, sheet, held),
        "speed_top": top,
    }


def shaft_share(case: Case, held: Resistance, drive: Motor) -> Node:
    """What the turning shaft adds to the moving mass at a ratio of one."""
    if drive.rotor_inertia is None:
        usual = "a usual share, as the datasheet names no moment of inertia; ask the maker of the motor"
        return assumed(
            "Share of the shaft in the moving mass", "1", usual, road_load.SHAFT_SHARE, road_load.SHAFT_SHARE_HALF
        )
    inertia = case.leaf(drive.rotor_inertia, "Moment of inertia of the rotor")
    label = "Share of the shaft in the moving mass"
    return work(motor_fit.shaft_share, label, inertia=inertia, mass=held.mass, wheel_radius=held.radius)


def _gears(case: Case, gears: Gears, drive: Motor, inverter: Inverter) -> dict[str, Node]:
    every = (*gears.every, *([gears.every[-1]] * MOST_GEARS))[:MOST_GEARS]
    ratios = {f"ratio_{number}": ratio for number, ratio in enumerate(every, 1)}
    return {**ratios, "shift_turning": _shift_turning(case, drive, inverter), "gear_efficiency": gears.efficiency}


def _shift_turning(case: Case, drive: Motor, inverter: Inverter) -> Node:
    """Where the driver changes up: above the base speed a lower gear gives no more power, only more noise and loss."""
    label, shift = "Motor speed at which the driver changes up", case.build.drive.gearing.shift_speed
    if shift is not None:
        return case.leaf(shift, label)
    power, torque = peak_power(case, drive), peak_torque(case, drive, inverter)
    base = work(motor.base_speed, "Base speed of the motor", power=power, torque=torque)
    reason = "above its base speed a lower gear gives no more power; read the habit off the rev counter"
    share = assumed_between(f"{label}, by its base speed", "1", reason, 1.0, 1.3)
    asked = work(motor.shift_speed, label, share=share, turning=base)
    return least(label, [asked, fastest_turning(case, drive)])


def _rise(case: Case, inverter: Inverter) -> Node:
    label = "Time in which the inverter lets the whole torque through"
    if inverter.torque_rise is not None:
        return case.leaf(inverter.torque_rise, label)
    return assumed(label, "s", "usual so that the drive line is not struck; read the setting", 0.2, 0.1)


def _regeneration(case: Case, drive: Motor) -> dict[str, Node]:
    asked = case.build.drive.regeneration
    return {
        "regen_share": case.leaf(asked.share, "Share of a braking that the motor takes", "%"),
        "regen_torque": braking_torque(case, drive, case.inverter),
        "regen_speed": case.leaf(asked.speed_min, "Speed below which nothing is given back"),
    }


def _auxiliary(case: Case) -> Node:
    """What everything but the drive takes from the traction side while the car is driven."""
    low = [
        assumed(
            "Controllers, contactors, instruments and pumps", "W", "usual; read the current of the DC-DC", 80.0, 40.0
        )
    ]
    low += _loads(case, "loads_12v")
    sum_low = total("Low-voltage loads while driving", low, "W")
    if case.dc_dc is not None:
        efficiency = case.leaf(case.dc_dc.efficiency, "Efficiency of the DC-DC", "%")
        sum_low = work(charging.power_from_wall, "Taken by the DC-DC", power=sum_low, efficiency=efficiency)
    high = _loads(case, "loads_traction") or [nothing("Loads on traction voltage", "W")]
    return total("Accessories", [sum_low, *high], "W")


def _loads(case: Case, which: str) -> list[Node]:
    loads = case.build.loads_12v if which == "loads_12v" else case.build.loads_traction
    return [
        work(
            consumption.mean_power,
            each.name,
            power=case.leaf(each.power, each.name),
            use=case.leaf(each.use, f"{each.name}, share of the time", "%"),
        )
        for each in loads
        if each.when in ("driving", "always")
    ]


def _pack(case: Case, sheet: Sheet, made: Arrangement, inverter: Inverter) -> dict[str, Node]:
    mild = constant(celsius(25), "°C", "Cell temperature", CONDITION, "T")
    full, used = case.build.pack.window.full, case.build.pack.window.empty
    capacity = _heat_capacity(case)
    reason = "usual for cells in a closed box under a moving car; log the cells while the car cools after a drive"
    hours = assumed("Time in which the pack cools to 37 % of the difference", "h", reason, 6 * 3600.0, 3 * 3600.0)
    return {
        "cells_series": made.cells_series,
        "cell_factor": work(
            cell_dynamics.cell_factor,
            "Resistance of the pack by that of a new cell",
            cells_series=made.cells_series,
            cells_parallel=made.cells_parallel,
            growth=made.growth,
        ),
        "links": links_of(made),
        "capacity": sheet.nodes["pack.capacity"],
        "current_max": drive_current(case, sheet, inverter),
        "current_regen": sheet.nodes["pack.current_regen"],
        "voltage_min": least_voltage(case, sheet),
        "voltage_max": highest_voltage(case, sheet, inverter),
        "relaxation": relaxation(),
        "charge": case.leaf(full, "Highest charge that is used", "%"),
        "charge_empty": case.leaf(used, "Lowest charge that is used", "%"),
        "temperature": mild,
        "surroundings": mild,
        "regen_coldest": case.leaf(case.cell.temperature_charge_min, "Coldest cell that may be charged", "°C"),
        "heat_capacity": capacity,
        "heat_loss": work(cell_dynamics.shed_in_time, "What the pack sheds", heat_capacity=capacity, time=hours),
    }


def relaxation() -> Node:
    """The time constant of the lag."""
    return constant(
        RELAXATION, "s", "Time constant of the lag", "of the model: 10 s values are those of the table", "τ"
    )


def _heat_capacity(case: Case) -> Node:
    count = constant(float(case.build.pack.module_count), "1", "Modules in all", "series × parallel", "n")
    each = case.leaf(case.module.mass, f"One module, {case.module.title}")
    modules = work(mass.mass_of_several, "Modules", count=count, mass_each=each)
    specific = case.leaf(case.cell.heat_capacity, "Specific heat of a cell")
    return work(cell_dynamics.heat_capacity_of, "Heat capacity of the pack", mass=modules, specific=specific)


def _cells(case: Case) -> Node:
    return work(
        kernel_car.tables_of, "Tables of the cells", rest=case.open_circuit, at_once=at_once(case),
        ten_seconds=case.resistance_10s, relaxation=relaxation(),
    )  # fmt: skip


def _sprinter(case: Case, car: Node, drive: Motor) -> Node:
    """The same car at 80 % charge and 25 °C, each gear used to the motor's highest speed."""
    return work(
        gather.at_full_power,
        "The car at full power",
        car=car,
        charge=constant(0.8, "%", "Charge", CONDITION, "s"),
        temperature=constant(celsius(25), "°C", "Cell temperature", CONDITION, "T"),
        shift_turning=fastest_turning(case, drive),
    )


def car_in_the_cold(case: Case, made: Simulated, name: str = "") -> Node:
    """The same car on the coldest design day: cells and air as cold as that, and the heater on; loaded as on that journey."""
    coldest = case.leaf(case.build.duty.climate.coldest, "Coldest design day", "°C")
    return _car_at(case, made, loaded_car(case, made, name), coldest)


def car_on_journey(case: Case, made: Simulated, name: str) -> Node:
    """The car on a journey of the duty: as it is, or with the payload, the wind and the temperature that the journey names."""
    asked, car = journey_named(case, name), loaded_car(case, made, name)
    if asked is None or asked.temperature is None:
        return car
    return _car_at(case, made, car, case.leaf(asked.temperature, f"Temperature on '{name}'", "°C"))


def journey_named(case: Case, name: str) -> DutyTrip | None:
    """The journey of the duty of that name."""
    return next((each for each in case.build.duty.trips if each.name == name), None)


def loaded_car(case: Case, made: Simulated, name: str) -> Node:
    """The car with the payload and in the wind of a journey of the duty, in place of those of the brief and the duty.

    What the tyres hold goes with the mass; where the weight lies between the axles stays as in the laden car.
    """
    asked = journey_named(case, name)
    if asked is None or (asked.payload is None and asked.wind is None):
        return made.car
    given = dict(made.car.inputs)
    if asked.payload is not None:
        people = case.leaf(asked.payload, f"People and luggage on '{asked.name}'", "kg")
        mass = total(f"Mass on '{asked.name}'", [made.kerb, people], "kg")
        given |= {"mass": mass} | {each: _at_mass(given[each], mass) for each in WITH_THE_MASS}
    if asked.wind is not None:
        given["wind"] = case.leaf(asked.wind, f"Wind on '{asked.name}'", "km/h")
    return work(gather.car_of, f"The car on '{asked.name}'", **given)


def _at_mass(node: Node, mass: Node) -> Node:
    """The same worked at another mass of the car, where it rests on that."""
    if node.law is None or "mass" not in node.inputs:
        return node
    return work(node.law.function, node.label, **{**node.inputs, "mass": mass})


def _car_at(case: Case, made: Simulated, car: Node, cold: Node) -> Node:
    """That car with cells, tyres and air of that temperature, and the heater on as far as the cabin asks."""
    warm_air = made.car.inputs["density"]
    air_cold = work(air.air_density, "Density of the cold air", **{**warm_air.inputs, "temperature": cold})
    heater = heater_power(case, cold, air_cold)
    terms = [made.auxiliary] if heater is None else [made.auxiliary, heater]
    return work(
        gather.in_the_cold,
        "The car at that temperature",
        car=car,
        temperature=cold,
        density=air_cold,
        rolling=work(
            road_load.rolling_at,
            "Rolling on cold tyres",
            coefficient=made.car.inputs["rolling"],
            temperature=cold,
            growth=constant(
                road_load.ROLLING_GROWTH, "1/K", "Rolling resistance, more for each kelvin colder", "UN GTR 15, annex 4"
            ),
            reference=constant(celsius(20), "°C", "Air for which it is known", "that of the road figures"),
        ),
        auxiliary=total("Accessories and heater", terms, "W"),
    )
