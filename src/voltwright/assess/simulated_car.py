"""The car as the simulation sees it: every number of it a worked value, so that a band moves it and a reader can follow it."""

from __future__ import annotations

from dataclasses import dataclass

from voltwright.assess.case import Case, celsius, origin_of
from voltwright.assess.drive import Gears, gears_of
from voltwright.assess.pack import Arrangement, arrangement, drive_current, least_voltage
from voltwright.assess.resistance import Resistance, resistance_of
from voltwright.assess.road import grip_force
from voltwright.assess.sheet import Sheet, assumed, assumed_between, constant, nothing
from voltwright.kernels import car as kernel_car
from voltwright.kernels import gather
from voltwright.parts.drive import Inverter, Motor
from voltwright.physics import cell, cell_dynamics, consumption, mass, motor, motor_fit, road_load
from voltwright.quantity.entry import Entry
from voltwright.quantity.provenance import Origin
from voltwright.quantity.table import Grid
from voltwright.quantity.work import Node, leaf, least, total, work

RELAXATION = 30.0  # s: the lag of the model; with it the resistance after 10 s is that of the table
AT_ONCE_SHARE = 0.6  # of the 10 s resistance, where the cell's table of milliseconds is missing
MOST_GEARS = 6


@dataclass(frozen=True)
class Simulated:
    """The car, the tables of its cells, and what is asked of it at full power."""

    car: Node
    cells: Node
    sprinter: Node
    rise: Node
    auxiliary: Node


def simulated_car(case: Case, sheet: Sheet) -> Simulated | None:
    """The car for the simulation, or None where something of it is not known: the reason stands with `drive.power_peak`."""
    drive, inverter, gears, held = case.motor, case.inverter, gears_of(case)[0], resistance_of(case, sheet)
    if drive is None or inverter is None or gears is None or held is None or "drive.power_peak" not in sheet.nodes:
        return None
    made = arrangement(case)
    auxiliary = _auxiliary(case)
    given = {
        **_road(case, sheet, held, gears, drive),
        **_gears(case, gears, drive),
        **_motor(case, drive, inverter),
        **_regeneration(case, drive),
        **_pack(case, sheet, made, inverter),
        "auxiliary": auxiliary,
    }
    made_car = work(gather.car_of, "The car as the simulation sees it", **given)
    return Simulated(made_car, _cells(case), _sprinter(case, made_car, drive), _rise(case, inverter), auxiliary)


def _road(case: Case, sheet: Sheet, held: Resistance, gears: Gears, drive: Motor) -> dict[str, Node]:
    fastest = case.leaf(drive.speed_max, "Highest speed of the motor")
    top = work(
        motor.road_speed,
        "Speed at which the motor turns no faster",
        turning=fastest,
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
        "speed_top": top,
    }


def shaft_share(case: Case, held: Resistance, drive: Motor) -> Node:
    """What the turning shaft adds to the moving mass at a ratio of one."""
    if drive.rotor_inertia is None:
        usual = "a usual share; the datasheet names no moment of inertia"
        return assumed(
            "Share of the shaft in the moving mass", "1", usual, road_load.SHAFT_SHARE, road_load.SHAFT_SHARE_HALF
        )
    inertia = case.leaf(drive.rotor_inertia, "Moment of inertia of the rotor")
    label = "Share of the shaft in the moving mass"
    return work(motor_fit.shaft_share, label, inertia=inertia, mass=held.mass, wheel_radius=held.radius)


def _gears(case: Case, gears: Gears, drive: Motor) -> dict[str, Node]:
    every = (*gears.every, *([gears.every[-1]] * MOST_GEARS))[:MOST_GEARS]
    shift = case.build.drive.gearing.shift_speed
    if shift is not None:
        turning = case.leaf(shift, "Motor speed at which the driver changes up")
    else:
        reason = "nobody shifts an electric car as late as its motor would bear; read the habit off the rev counter"
        share = assumed_between("Motor speed at which the driver changes up, of the highest", "1", reason, 0.50, 0.70)
        fastest = case.leaf(drive.speed_max, "Highest speed of the motor")
        turning = work(motor.shift_speed, "Motor speed at which the driver changes up", share=share, turning=fastest)
    ratios = {f"ratio_{number}": ratio for number, ratio in enumerate(every, 1)}
    return {**ratios, "shift_turning": turning, "gear_efficiency": gears.efficiency}


def _motor(case: Case, drive: Motor, inverter: Inverter) -> dict[str, Node]:
    power = case.leaf(drive.power_peak, "The motor's peak power")
    continuous = case.leaf(drive.power_continuous, "The motor's continuous power")
    fastest = case.leaf(drive.speed_max, "Highest speed of the motor")
    if drive.torque_curve_peak is not None:
        table = drive.torque_curve_peak.curve("peak torque over speed")
        curve = leaf(table, "N·m", str(table), origin_of(drive, "torque_curve_peak"))
        reached = work(motor_fit.power_of_curve, "Peak power of the curve", curve=curve, power=power)
        pull_out = work(motor_fit.pull_out_of_curve, "Pull-out of the curve", curve=curve, power=reached)
    else:
        reached = power
        pull_out = work(motor.pull_out_beyond, "Pull-out: none below the highest speed", power=power, turning=fastest)
    share = work(motor.share_of_power, "Continuous power as a share of peak", power=continuous, rated=power)
    lasts = case.leaf(drive.power_peak_time, "Time for which the motor bears its peak power")
    efficiency = case.leaf(inverter.efficiency, "Efficiency of the inverter", "%")
    return {
        "torque_peak": peak_torque(case, drive, inverter),
        "power_peak": reached,
        "pull_out": pull_out,
        "torque_continuous": continuous_torque(case, drive, inverter),
        "power_continuous": continuous,
        "heating": work(motor_fit.heating_time, "Time constant of the windings", peak_time=lasts, share=share),
        "voltage_motor": case.leaf(drive.voltage_nominal, "Nominal voltage of the motor"),
        **losses(case, drive),
        "inverter_efficiency": efficiency,
        "inverter_idle": _idle(case, inverter),
    }


def peak_torque(case: Case, drive: Motor, inverter: Inverter) -> Node:
    """Peak torque of the motor, or what the inverter's current makes if that is less."""
    torque = case.leaf(drive.torque_peak, "Peak torque of the motor")
    return _by_current(
        case, drive, torque, drive.current_phase_peak, inverter.current_phase_peak, "Inverter, phase current, short"
    )


def continuous_torque(case: Case, drive: Motor, inverter: Inverter) -> Node:
    """The same for ever."""
    torque = case.leaf(drive.torque_continuous, "Continuous torque of the motor")
    return _by_current(
        case, drive, torque, drive.current_phase_continuous, inverter.current_phase_continuous,
        "Inverter, phase current, for ever",
    )  # fmt: skip


def _by_current(case: Case, drive: Motor, torque: Node, taken: Entry | None, given: Entry, label: str) -> Node:
    name = "Torque for each ampere"
    if taken is not None:
        current = case.leaf(taken, "Phase current of the motor at that torque")
        each = work(motor_fit.torque_per_current, name, torque=torque, current=current)
    elif drive.back_emf is not None:
        emf = case.leaf(drive.back_emf, "Back-EMF, line to line (rms), by speed")
        each = work(motor_fit.torque_constant, name, emf_constant=emf)
    else:
        return torque
    current = case.leaf(given, label)
    made = work(
        motor_fit.torque_of_current, "Torque of the inverter's current", torque_constant=each, current=current
    )
    return least("Torque", [torque, made])


def losses(case: Case, drive: Motor) -> dict[str, Node]:
    """Copper, iron, windage and constant losses of the motor: fitted to its points, or shared out of its best efficiency."""
    points = drive.losses
    if points is not None:
        field = "efficiency_points" if drive.efficiency_points else "efficiency_map"
        table = leaf(points, "1", str(points), origin_of(drive, field))
        return {
            "copper": work(motor_fit.copper_of_points, "Copper loss", points=table),
            "iron": work(motor_fit.iron_of_points, "Iron loss", points=table),
            "windage": work(motor_fit.windage_of_points, "Windage loss", points=table),
            "constant": work(motor_fit.constant_of_points, "Constant loss", points=table),
        }
    best = case.leaf(drive.efficiency_best, "Best efficiency of the motor", "%")
    half = constant(0.5, "1", "Share of the peak torque at the best efficiency", "usual; no points are given", "x")
    peak = case.leaf(drive.torque_peak, "Peak torque of the motor")
    torque = work(motor.part_of_torque, "Torque at the best efficiency", share=half, torque=peak)
    power = case.leaf(drive.power_peak, "The motor's peak power")
    speed = work(motor.base_speed, "Speed at the best efficiency", power=power, torque=peak)
    at = {"efficiency": best, "torque": torque}
    usual = "usual shares of the loss at the best point; no points of efficiency are given"
    iron = assumed_between("Share of iron in the loss at the best point", "1", usual, 0.20, 0.40)
    windage = assumed_between("Share of windage in the loss at the best point", "1", usual, 0.05, 0.15)
    fixed = assumed_between("Share that is always there in the loss at the best point", "1", usual, 0.05, 0.15)
    return {
        "copper": work(motor_fit.copper_from_best, "Copper loss", speed=speed, **at),
        "iron": work(motor_fit.iron_from_best, "Iron loss", share=iron, **at),
        "windage": work(motor_fit.windage_from_best, "Windage loss", speed=speed, share=windage, **at),
        "constant": work(motor_fit.constant_from_best, "Constant loss", speed=speed, share=fixed, **at),
    }


def _idle(case: Case, inverter: Inverter) -> Node:
    label = "What the inverter takes without load"
    if inverter.idle_power is not None:
        return case.leaf(inverter.idle_power, label)
    return assumed(label, "W", "usual for its gate drives and logic; the datasheet names none", 40.0, 20.0)


def _rise(case: Case, inverter: Inverter) -> Node:
    label = "Time in which the inverter lets the whole torque through"
    if inverter.torque_rise is not None:
        return case.leaf(inverter.torque_rise, label)
    return assumed(label, "s", "usual so that the drive line is not struck; read the setting", 0.2, 0.1)


def _regeneration(case: Case, drive: Motor) -> dict[str, Node]:
    asked = case.build.drive.regeneration
    torque = case.leaf(drive.torque_peak, "Peak torque of the motor")
    if asked.torque is not None:
        limits = [torque, case.leaf(asked.torque, "Torque of regeneration set in the inverter")]
        torque = least("Torque of regeneration", limits)
    return {
        "regen_share": case.leaf(asked.share, "Share of a braking that the motor takes", "%"),
        "regen_torque": torque,
        "regen_speed": case.leaf(asked.speed_min, "Speed below which nothing is given back"),
    }


def _auxiliary(case: Case) -> Node:
    """What everything but the drive takes from the traction side while the car is driven."""
    low = [
        assumed("Controllers, contactors, instruments and pumps", "W", "usual; read the current of the DC-DC", 80.0, 40.0)
    ]
    low += _loads(case, "loads_12v")
    sum_low = total("Low-voltage loads while driving", low, "W")
    if case.dc_dc is not None:
        efficiency = case.leaf(case.dc_dc.efficiency, "Efficiency of the DC-DC", "%")
        sum_low = work(consumption.supplied_power, "Taken by the DC-DC", power=sum_low, efficiency=efficiency)
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
    mild = constant(celsius(25), "°C", "Cell temperature", "the condition for which the figure is given", "T")
    full, used = case.build.pack.window.full, case.build.pack.window.empty
    capacity = _heat_capacity(case)
    reason = "usual for cells in a closed box under a moving car"
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
        "links": work(
            cell.pack_links,
            "Links of the pack",
            modules_series=made.modules_series,
            strings=made.strings,
            links=made.links,
        ),
        "capacity": sheet.nodes["pack.capacity"],
        "current_max": drive_current(case, sheet, inverter),
        "current_regen": sheet.nodes["pack.current_regen"],
        "voltage_min": least_voltage(case, sheet),
        "voltage_max": _highest_voltage(case, sheet, inverter),
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
    return constant(RELAXATION, "s", "Time constant of the lag", "of the model: 10 s values are those of the table", "τ")


def _heat_capacity(case: Case) -> Node:
    count = constant(float(case.build.pack.module_count), "1", "Modules in all", "series × parallel", "n")
    each = case.leaf(case.module.mass, f"One module, {case.module.title}")
    modules = work(mass.mass_of_several, "Modules", count=count, mass_each=each)
    specific = case.leaf(case.cell.heat_capacity, "Specific heat of a cell")
    return work(cell_dynamics.heat_capacity_of, "Heat capacity of the pack", mass=modules, specific=specific)


def _highest_voltage(case: Case, sheet: Sheet, inverter: Inverter) -> Node:
    limits = [sheet.nodes["pack.voltage_full"], case.leaf(inverter.voltage_max, "Highest voltage of the inverter")]
    limit = case.build.pack.voltage_limit_full
    if limit is not None:
        limits.append(case.leaf(limit, "Voltage to which the pack is charged"))
    return least("Highest voltage under regeneration", limits)


def _cells(case: Case) -> Node:
    ten = case.resistance_10s
    known = case.cell.resistance_ms
    if known is not None:
        table = known.grid("resistance of a cell over charge and temperature, milliseconds")
        at_once = leaf(table, "mΩ", str(table), origin_of(case.cell, "resistance_ms"))
    else:
        grid: Grid = ten.value
        rows = tuple(tuple(AT_ONCE_SHARE * each for each in row) for row in grid.z)
        usual = "a usual share of the 10 s resistance: the cell has no table of milliseconds"
        at_once = constant_table(Grid(grid.x, grid.y, rows, "resistance of a cell, milliseconds"), usual)
    return work(
        kernel_car.tables_of, "Tables of the cells", rest=case.open_circuit, at_once=at_once, ten_seconds=ten,
        relaxation=relaxation(),
    )  # fmt: skip


def constant_table(table: Grid, reason: str) -> Node:
    """A table that was made up, with its reason; it is listed among the assumptions."""
    return leaf(table, "mΩ", str(table), Origin("assumed", reason=reason))


def _sprinter(case: Case, car: Node, drive: Motor) -> Node:
    """The same car at 80 % charge and 25 °C, each gear used to the motor's highest speed."""
    condition = "the condition for which the figure is given"
    return work(
        gather.at_full_power,
        "The car at full power",
        car=car,
        charge=constant(0.8, "%", "Charge", condition, "s"),
        temperature=constant(celsius(25), "°C", "Cell temperature", condition, "T"),
        shift_turning=case.leaf(drive.speed_max, "Highest speed of the motor"),
    )
