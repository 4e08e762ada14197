"""Gathers the numbers of a car, each of them a worked value, into what the loops are given."""

from __future__ import annotations

from typing import Annotated

from voltwright.kernels.car import Car
from voltwright.physics.cell_dynamics import JoulePerKelvin, WattPerKelvin
from voltwright.physics.motor import CopperConstant, IronConstant, PullOut, WindageConstant
from voltwright.physics.road_load import NewtonSecondPerMetre
from voltwright.quantity.formula import procedure
from voltwright.quantity.types import (
    Ampere,
    Coulomb,
    Kelvin,
    Kilogram,
    KilogramPerCubicMetre,
    Metre,
    MetrePerSecond,
    MetrePerSecondSquared,
    Newton,
    NewtonMetre,
    Number,
    Ohm,
    RadianPerSecond,
    Second,
    SquareMetre,
    Volt,
    Watt,
)  # fmt: skip
from voltwright.quantity.units import Unit


@procedure(symbol="", words="all that the simulation asks of a car")
def car_of(
    mass: Kilogram, wheel_share: Number, shaft_share: Number, rolling: Number, linear: NewtonSecondPerMetre,
    drag_area: SquareMetre, density: KilogramPerCubicMetre, wind: MetrePerSecond, gravity: MetrePerSecondSquared,
    radius: Metre, grip_force: Newton, speed_top: MetrePerSecond, ratio_1: Number, ratio_2: Number, ratio_3: Number,
    ratio_4: Number, ratio_5: Number, ratio_6: Number, shift_turning: RadianPerSecond, gear_efficiency: Number,
    torque_peak: NewtonMetre, power_peak: Watt, pull_out: PullOut, torque_continuous: NewtonMetre,
    power_continuous: Watt, heating: Second, voltage_motor: Volt, copper: CopperConstant, iron: IronConstant,
    windage: WindageConstant, constant: Watt, inverter_efficiency: Number, inverter_idle: Watt, regen_share: Number,
    regen_torque: NewtonMetre, regen_speed: MetrePerSecond, regen_grip_force: Newton, auxiliary: Watt, cells_series: Number,
    cell_factor: Number, links: Ohm, capacity: Coulomb, current_max: Ampere, current_regen: Ampere, voltage_min: Volt,
    voltage_max: Volt, relaxation: Second, charge: Number, charge_empty: Number, temperature: Kelvin,
    surroundings: Kelvin, regen_coldest: Kelvin, heat_capacity: JoulePerKelvin, heat_loss: WattPerKelvin,
) -> Annotated[Car, Unit("1")]:  # fmt: skip
    """One car, or many where some are arrays. All in SI units."""
    return Car(
        mass, wheel_share, shaft_share, rolling, linear, drag_area, density, wind, gravity, radius, grip_force,
        speed_top, ratio_1, ratio_2, ratio_3, ratio_4, ratio_5, ratio_6, shift_turning, gear_efficiency, torque_peak,
        power_peak, pull_out, torque_continuous, power_continuous, heating, voltage_motor, copper, iron, windage,
        constant, inverter_efficiency, inverter_idle, regen_share, regen_torque, regen_speed, regen_grip_force, auxiliary, cells_series,
        cell_factor, links, capacity, current_max, current_regen, voltage_min, voltage_max, relaxation, charge,
        charge_empty, temperature, surroundings, regen_coldest, heat_capacity, heat_loss,
    )  # fmt: skip


@procedure(symbol="", words="the same car in another state: charge, temperature, and where the driver changes up")
def at_full_power(
    car: Car, charge: Number, temperature: Kelvin, shift_turning: RadianPerSecond
) -> Annotated[Car, Unit("1")]:
    """The car for a sprint. [SI]"""
    return car._replace(charge=charge, temperature=temperature, surroundings=temperature, shift_turning=shift_turning)


@procedure(symbol="", words="the same car in cold air, on cold tyres, with cold cells, and with what heats the cabin")
def in_the_cold(
    car: Car, temperature: Kelvin, density: KilogramPerCubicMetre, rolling: Number, auxiliary: Watt
) -> Annotated[Car, Unit("1")]:
    """The car on a cold day. [SI]"""
    air = {"temperature": temperature, "surroundings": temperature, "density": density}
    return car._replace(**air, rolling=rolling, auxiliary=auxiliary)


@procedure(symbol="", words="the same car with other cells' resistance: worn ones have more")
def with_worn_cells(car: Car, cell_factor: Number) -> Annotated[Car, Unit("1")]:
    """The car after years. [SI]"""
    return car._replace(cell_factor=cell_factor)
