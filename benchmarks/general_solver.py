"""The same car by a general solver of differential equations: scipy's LSODA, with the same laws in plain Python."""

from __future__ import annotations

from typing import Any

import numpy as np
from scipy.integrate import solve_ivp

from voltwright.kernels.car import COLUMN_LOW, COLUMN_STEP, COLUMN_STEPS, ROW_STEPS, Car, Tables
from voltwright.kernels.journey import Journey
from voltwright.physics import cell, cell_dynamics, motor, road_load


def drive(car: Car, cells: Tables, asked: Journey) -> float:
    """Energy from the pack over a trip on which nothing holds the car back. [J]"""
    begun = [car.charge, car.temperature, 0.0, 0.0]
    speeds, step = asked.speed.tolist(), asked.step
    span = (0.0, len(asked.grade) * step)

    def slope(time: float, state: Any) -> list[float]:
        k = min(int(time / step), len(speeds) - 2)
        gain = (speeds[k + 1] - speeds[k]) / step
        power = _power(car, speeds[k] + gain * (time - k * step), gain, _ratio(car, speeds[k]))
        return _change(car, cells, state, power)

    solved = solve_ivp(slope, span, begun, method="LSODA", max_step=step, rtol=1e-6, atol=1e-8)
    return float(solved.y[3, -1])


def _ratio(car: Car, speed: float) -> float:
    """The first gear in which the motor turns no faster than where the driver shifts."""
    gears = (car.ratio_1, car.ratio_2, car.ratio_3, car.ratio_4, car.ratio_5)
    return next((gear for gear in gears if speed * gear <= car.shift_turning * car.radius), car.ratio_6)


def _power(car: Car, speed: float, gain: float, ratio: float) -> float:
    """Power of the pack at a speed and an acceleration. [W]"""
    force = 0.0
    if speed > 0.0:
        factor = road_load.mass_factor(car.wheel_share, car.shaft_share, ratio)
        force = road_load.effective_mass(car.mass, factor) * gain + car.linear * speed
        force += road_load.aerodynamic_drag(car.density, car.drag_area, speed + car.wind)
        force += road_load.rolling_resistance(car.rolling, car.mass, car.gravity, 0.0)
    if force < 0.0:
        force *= car.regen_share if speed > car.regen_speed else 0.0
    turning = max(motor.motor_speed(speed, ratio, car.radius), 1e-3)
    torque = motor.torque_for_force(force, car.radius, ratio, car.gear_efficiency)
    most = motor.torque_limit(car.torque_peak, car.power_peak, car.pull_out, 1.0, turning)
    torque = max(torque, -min(most, car.regen_torque))
    idle = motor.idle_loss(car.iron, car.windage, car.constant, turning)
    electric = motor.motor_input(torque, turning, car.copper, idle)
    return motor.inverter_input(electric, car.inverter_efficiency, car.inverter_idle) + car.auxiliary


def _change(car: Car, cells: Tables, state: Any, power: float) -> list[float]:
    """Slopes of charge, temperature and lag, and the power itself."""
    charge, temperature, lag, _ = state
    rest, sooner, later = looked_up(cells, charge, temperature)
    behind, ohm = car.cells_series * rest - lag, car.cell_factor * sooner + car.links
    current = cell.current_for_power(behind, ohm, power)
    heat = cell_dynamics.cell_loss(ohm, current, lag, 1.0)
    warms = (heat - car.heat_loss * (temperature - car.surroundings)) / car.heat_capacity
    return [-current / car.capacity, warms, (car.cell_factor * later * current - lag) / car.relaxation, power]


def looked_up(cells: Tables, charge: float, temperature: float) -> tuple[float, float, float]:
    """Voltage at rest and both resistances of a cell. [V, Ω, Ω]"""
    pieces = len(cells.rest) // 2
    fine = min(max(charge, 0.0), 0.999999) * pieces
    rest = cells.rest[2 * int(fine)] + cells.rest[2 * int(fine) + 1] * (fine - int(fine))
    row = fine / pieces * ROW_STEPS
    column = min(max((temperature - COLUMN_LOW) / COLUMN_STEP, 0.0), COLUMN_STEPS - 1e-6)
    x, y = row - int(row), column - int(column)
    at = 8 * (int(row) * COLUMN_STEPS + int(column))
    weights = np.array([1.0, x, y, x * y])
    return rest, float(cells.ohm[at : at + 4] @ weights), float(cells.ohm[at + 4 : at + 8] @ weights)
