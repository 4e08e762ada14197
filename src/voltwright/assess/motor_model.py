"""Motor and inverter as a model: envelope, losses, heat and current, each worked from the datasheets."""

from __future__ import annotations

import math

from voltwright.assess.case import Case, origin_of
from voltwright.assess.sheet import Sheet, assumed, assumed_between, constant
from voltwright.parts.drive import GearUnit, Inverter, Motor
from voltwright.parts.tables import TorqueTable
from voltwright.physics import motor, motor_fit
from voltwright.quantity.entry import Entry
from voltwright.quantity.work import Node, leaf, least, work

RPM = math.pi / 30  # rad/s


def motor_model(case: Case, drive: Motor, inverter: Inverter) -> dict[str, Node]:
    """What motor and inverter can and lose, by the names of the simulation."""
    reached, continuous = peak_power(case, drive), continuous_power(case, drive)
    share = work(motor.share_of_power, "Continuous power as a share of peak", power=continuous, rated=reached)
    lasts = case.leaf(drive.power_peak_time, "Time for which the motor bears its peak power")
    efficiency = case.leaf(inverter.efficiency, "Efficiency of the inverter", "%")
    return {
        "torque_peak": peak_torque(case, drive, inverter),
        "power_peak": reached,
        "pull_out": _pull_out(case, drive, reached),
        "torque_continuous": continuous_torque(case, drive, inverter),
        "power_continuous": continuous,
        "heating": work(motor_fit.heating_time, "Time constant of the windings", peak_time=lasts, share=share),
        "voltage_motor": case.leaf(drive.voltage_nominal, "Nominal voltage of the motor"),
        **losses(case, drive),
        "inverter_efficiency": efficiency,
        "inverter_idle": idle_power(case, inverter),
    }


def fastest_turning(case: Case, drive: Motor) -> Node:
    """How fast the motor may turn: itself, and the gearbox or gear unit that it drives."""
    limits = [case.leaf(drive.speed_max, "Highest speed of the motor")]
    gearing, line = case.build.drive.gearing, case.build.donor.drive_line
    if gearing.way == "gearbox-kept":
        known, label = line.gearbox.speed_max, "Highest speed of the old gearbox, clutch and flywheel"
        if known is not None:
            limits.append(case.leaf(known, label))
        else:
            reason = (
                "usual for an engine of that time; read the red line in its papers (donor.drive_line.gearbox.speed_max)"
            )
            limits.append(assumed_between(label, "rpm", reason, 5500 * RPM, 6500 * RPM))
    elif gearing.way == "gear-unit" and gearing.gear_unit is not None:
        unit = case.shelf.take(gearing.gear_unit.part, GearUnit)
        limits.append(case.leaf(unit.speed_in_max, "Highest speed of the gear unit"))
    return least("Highest speed of motor and gears", limits)


def peak_power(case: Case, drive: Motor) -> Node:
    """Peak power of the motor: what its curve reaches where there is one."""
    power = case.leaf(drive.power_peak, "The motor's peak power")
    curve = _curve(drive, "torque_curve_peak")
    return work(motor_fit.power_of_curve, "Peak power of the curve", curve=curve, power=power) if curve else power


def continuous_power(case: Case, drive: Motor) -> Node:
    """The same, continuous."""
    power = case.leaf(drive.power_continuous, "The motor's continuous power")
    curve = _curve(drive, "torque_curve_continuous")
    return work(motor_fit.power_of_curve, "Continuous power of the curve", curve=curve, power=power) if curve else power


def continuous_here(case: Case, sheet: Sheet, drive: Motor) -> Node:
    """The same at the pack's voltage: a motor made for more gives less."""
    return work(
        motor.power_at_voltage, "What the motor can at the pack's voltage", power=continuous_power(case, drive),
        voltage=sheet.nodes["pack.voltage_nominal"],
        voltage_nominal=case.leaf(drive.voltage_nominal, "Nominal voltage of the motor"),
    )  # fmt: skip


def _curve(drive: Motor, field: str) -> Node | None:
    table: TorqueTable | None = getattr(drive, field)
    if table is None:
        return None
    curve = table.curve(f"{field.removeprefix('torque_curve_')} torque over speed")
    return leaf(curve, "N·m", str(curve), origin_of(drive, field))


def _pull_out(case: Case, drive: Motor, power: Node) -> Node:
    curve = _curve(drive, "torque_curve_peak")
    if curve:
        return work(motor_fit.pull_out_of_curve, "Pull-out of the curve", curve=curve, power=power)
    fastest = case.leaf(drive.speed_max, "Highest speed of the motor")
    return work(motor.pull_out_beyond, "Pull-out: none below the highest speed", power=power, turning=fastest)


def peak_torque(case: Case, drive: Motor, inverter: Inverter) -> Node:
    """Peak torque of the motor, or what the inverter's current makes or its setting allows if that is less."""
    label = "Inverter, phase current, short"
    by = _by_current(case, drive, drive.current_phase_peak, inverter.current_phase_peak, drive.torque_peak, label)
    return _least_torque(case, case.leaf(drive.torque_peak, "Peak torque of the motor"), by)


def continuous_torque(case: Case, drive: Motor, inverter: Inverter) -> Node:
    """The same, continuous."""
    given, label = inverter.current_phase_continuous, "Inverter, phase current, continuous"
    by = _by_current(case, drive, drive.current_phase_continuous, given, drive.torque_continuous, label)
    return _least_torque(case, case.leaf(drive.torque_continuous, "Continuous torque of the motor"), by)


def _least_torque(case: Case, torque: Node, by_current: Node | None) -> Node:
    limits, limit = [torque, *([by_current] if by_current else [])], case.build.drive.torque_limit
    if limit is not None:
        limits.append(case.leaf(limit, "Torque set in the inverter"))
    return least("Torque", limits) if len(limits) > 1 else torque


def braking_torque(case: Case, drive: Motor, inverter: Inverter | None) -> Node:
    """Torque of regeneration: the motor's peak, what the inverter's current makes, or what is set for braking if that is less.

    The limit that is set for driving does not hold it.
    """
    limits, limit = [case.leaf(drive.torque_peak, "Peak torque of the motor")], case.build.drive.regeneration.torque
    if inverter is not None:
        given, label = inverter.current_phase_peak, "Inverter, phase current, short"
        by = _by_current(case, drive, drive.current_phase_peak, given, drive.torque_peak, label)
        limits += [by] if by else []
    if limit is not None:
        limits.append(case.leaf(limit, "Torque of regeneration set in the inverter"))
    return least("Torque of regeneration", limits) if len(limits) > 1 else limits[0]


def _by_current(case: Case, drive: Motor, taken: Entry | None, given: Entry, torque: Entry, label: str) -> Node | None:
    """Torque of the inverter's current; None where neither current nor back-EMF of the motor is known."""
    name = "Torque for each ampere"
    if taken is not None:
        current = case.leaf(taken, "Phase current of the motor at that torque")
        made = case.leaf(torque, "Torque of the motor at that current")
        each = work(motor_fit.torque_per_current, name, torque=made, current=current)
    elif drive.back_emf is not None:
        emf = case.leaf(drive.back_emf, "Back-EMF, line to line (rms), by speed")
        each = work(motor_fit.torque_constant, name, emf_constant=emf)
    else:
        return None
    current = case.leaf(given, label)
    return work(motor_fit.torque_of_current, "Torque of the inverter's current", torque_constant=each, current=current)


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
    half = constant(0.5, "1", "Share of the peak torque at the best efficiency", "usual; no points are given", "x_T")
    peak = case.leaf(drive.torque_peak, "Peak torque of the motor")
    torque = work(motor.part_of_torque, "Torque at the best efficiency", share=half, torque=peak)
    power = case.leaf(drive.power_peak, "The motor's peak power")
    speed = work(motor.base_speed, "Speed at the best efficiency", power=power, torque=peak)
    at = {"efficiency": best, "torque": torque}
    usual = "usual shares of the loss at the best point, as no points of efficiency are given; ask the maker for a map"
    iron = assumed_between("Share of iron in the loss at the best point", "1", usual, 0.20, 0.40)
    windage = assumed_between("Share of windage in the loss at the best point", "1", usual, 0.05, 0.15)
    fixed = assumed_between("Share that is always there in the loss at the best point", "1", usual, 0.05, 0.15)
    return {
        "copper": work(motor_fit.copper_from_best, "Copper loss", speed=speed, **at),
        "iron": work(motor_fit.iron_from_best, "Iron loss", share=iron, **at),
        "windage": work(motor_fit.windage_from_best, "Windage loss", speed=speed, share=windage, **at),
        "constant": work(motor_fit.constant_from_best, "Constant loss", speed=speed, share=fixed, **at),
    }


def idle_power(case: Case, inverter: Inverter) -> Node:
    """What the inverter takes while it is on."""
    label = "What the inverter takes without load"
    if inverter.idle_power is not None:
        return case.leaf(inverter.idle_power, label)
    return assumed(
        label, "W", "usual for its gate drives and logic; measure its current with the motor at rest", 40.0, 20.0
    )
