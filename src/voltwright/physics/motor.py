"""A traction motor with its inverter and gears: what reaches the wheels, how fast it turns, what voltage it makes."""

from __future__ import annotations

from typing import Annotated, Any

import numpy as np

from voltwright.quantity.formula import formula
from voltwright.quantity.source import Source
from voltwright.quantity.types import (
    Fraction,
    Metre,
    MetrePerSecond,
    NewtonMetre,
    Number,
    RadianPerSecond,
    Volt,
    Watt,
)
from voltwright.quantity.units import Unit

Kilowatt = Annotated[float, Unit("kW")]
EmfConstant = Annotated[float, Unit("V·s/rad")]

LARMINIE = Source("larminie-lowry-2012", "ch. 6 and 7")
EHSANI = Source("ehsani-2018", "ch. 4 and 6")


@formula(
    symbol="P_U",
    equation="Min(power, power * voltage / voltage_nominal)",
    source=EHSANI,
    valid="power in field weakening follows the voltage; more voltage than nominal gives no more power",
)
def power_at_voltage(power: Watt, voltage: Volt, voltage_nominal: Volt) -> Kilowatt:
    """Motor power at a direct voltage. [W]"""
    result: Any = np.minimum(power, power * voltage / voltage_nominal)
    return result


@formula(symbol="P_s", equation="power * inverter_efficiency * motor_efficiency", source=LARMINIE)
def shaft_power(power: Watt, inverter_efficiency: Fraction, motor_efficiency: Fraction) -> Kilowatt:
    """Power at the motor's shaft for a power from the pack. [W]"""
    return power * inverter_efficiency * motor_efficiency


@formula(symbol="P_w", equation="power * efficiency", source=EHSANI)
def power_at_wheels(power: Watt, efficiency: Fraction) -> Kilowatt:
    """What the gears leave of a shaft power. [W]"""
    return power * efficiency


@formula(symbol="i", equation="gear * final", source=EHSANI)
def total_ratio(gear: Number, final: Number) -> Number:
    """Turns of the motor for one of the wheels. [1]"""
    return gear * final


@formula(symbol="T_w", equation="torque * ratio * efficiency", source=EHSANI)
def wheel_torque(torque: NewtonMetre, ratio: Number, efficiency: Fraction) -> NewtonMetre:
    """Torque at the driven wheels together. [N·m]"""
    return torque * ratio * efficiency


@formula(
    symbol="r_d", equation="share * diameter / 2", source=Source("typical-practice", "0.96 to 0.98 of the free radius")
)
def rolling_radius(share: Number, diameter: Metre) -> Metre:
    """Radius at which a loaded tyre rolls. [m]"""
    return share * diameter / 2.0


@formula(symbol="ω", equation="speed * ratio / wheel_radius", source=EHSANI)
def motor_speed(speed: MetrePerSecond, ratio: Number, wheel_radius: Metre) -> RadianPerSecond:
    """How fast the motor turns at a road speed. [rad/s]"""
    return speed * ratio / wheel_radius


@formula(symbol="v", equation="turning * wheel_radius / ratio", source=EHSANI)
def road_speed(turning: RadianPerSecond, ratio: Number, wheel_radius: Metre) -> MetrePerSecond:
    """Road speed at which the motor turns so fast. [m/s]"""
    return turning * wheel_radius / ratio


@formula(symbol="x_T", equation="torque / rated")
def share_of_rating(torque: NewtonMetre, rated: NewtonMetre) -> Fraction:
    """Torque as a share of what a part is rated for. [1]"""
    return torque / rated


@formula(
    symbol="U_i", equation="sqrt(2) * emf_constant * speed", source=LARMINIE, valid="a sine wave; no field weakening"
)
def back_emf(emf_constant: EmfConstant, speed: RadianPerSecond) -> Volt:
    """Crest of the voltage that a turning permanent-magnet motor makes, line to line; its constant is in V rms. [V]"""
    result: Any = np.sqrt(2.0) * emf_constant * speed
    return result
