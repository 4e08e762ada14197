"""A traction motor with its inverter and gears: what reaches the wheels, what is lost, how fast it turns, what voltage it makes.

Torque and power are positive where the motor drives and negative where it brakes.
"""

from __future__ import annotations

from typing import Annotated, Any

import numpy as np

from voltwright.quantity.formula import formula
from voltwright.quantity.source import Source
from voltwright.quantity.types import (
    Ampere,
    Fraction,
    Hertz,
    Metre,
    MetrePerSecond,
    Newton,
    NewtonMetre,
    Number,
    RadianPerSecond,
    Second,
    Volt,
    Watt,
)
from voltwright.quantity.units import Unit

Kilowatt = Annotated[float, Unit("kW")]
EmfConstant = Annotated[float, Unit("V·s/rad")]
CopperConstant = Annotated[float, Unit("W/(N·m)²")]
IronConstant = Annotated[float, Unit("W·s/rad")]
WindageConstant = Annotated[float, Unit("W·s³/rad³")]
PullOut = Annotated[float, Unit("N·m·rad²/s²")]

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


@formula(
    symbol="f_e",
    equation="pole_pairs * speed / (2 * pi)",
    source=EHSANI,
    valid="a synchronous motor; an induction motor slips a little",
)
def electrical_frequency(pole_pairs: Number, speed: RadianPerSecond) -> Hertz:
    """Frequency of the current in the windings. [Hz]"""
    return pole_pairs * speed / (2.0 * np.pi)


@formula(symbol="v", equation="turning * wheel_radius / ratio", source=EHSANI)
def road_speed(turning: RadianPerSecond, ratio: Number, wheel_radius: Metre) -> MetrePerSecond:
    """Road speed at which the motor turns so fast. [m/s]"""
    return turning * wheel_radius / ratio


@formula(symbol="ω_s", equation="share * turning")
def shift_speed(share: Fraction, turning: RadianPerSecond) -> RadianPerSecond:
    """Motor speed at which the driver changes up. [rad/s]"""
    return share * turning


@formula(symbol="T_x", equation="share * torque")
def part_of_torque(share: Fraction, torque: NewtonMetre) -> NewtonMetre:
    """A share of a torque. [N·m]"""
    return share * torque


@formula(symbol="ω_b", equation="power / torque", source=EHSANI)
def base_speed(power: Watt, torque: NewtonMetre) -> RadianPerSecond:
    """Speed up to which the motor gives its whole torque. [rad/s]"""
    return power / torque


@formula(
    symbol="K", equation="power * turning", source=EHSANI, valid="a curve that keeps its power to the highest speed"
)
def pull_out_beyond(power: Watt, turning: RadianPerSecond) -> PullOut:
    """A pull-out torque that limits only above the highest speed. [N·m·(rad/s)²]"""
    return power * turning


@formula(symbol="x_P", equation="power / rated")
def share_of_power(power: Watt, rated: Watt) -> Fraction:
    """Power as a share of another. [1]"""
    return power / rated


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


@formula(
    symbol="u",
    equation="Min(1, voltage / voltage_nominal)",
    source=EHSANI,
    valid="more voltage than nominal gives no more: the datasheet's power is also a matter of heat",
)
def voltage_share(voltage: Volt, voltage_nominal: Volt) -> Fraction:
    """Direct voltage as a share of that of the datasheet. [1]"""
    result: Any = np.minimum(1.0, voltage / voltage_nominal)
    return result


@formula(
    symbol="T_max",
    equation="Min(torque, power * voltage_share / speed, pull_out * voltage_share**2 / speed**2)",
    source=EHSANI,
    valid="a turning motor: constant torque, constant power, and beyond it torque that falls with the square of speed",
)
def torque_limit(
    torque: NewtonMetre, power: Watt, pull_out: PullOut, voltage_share: Fraction, speed: RadianPerSecond
) -> NewtonMetre:
    """The most torque at a speed and a voltage. [N·m]"""
    flux = voltage_share / speed
    result: Any = np.minimum(torque, np.minimum(power * flux, pull_out * flux * flux))
    return result


@formula(
    symbol="P_0", equation="iron * speed + windage * speed**3 + constant", source=Source("larminie-lowry-2012", "ch. 7")
)
def idle_loss(iron: IronConstant, windage: WindageConstant, constant: Watt, speed: RadianPerSecond) -> Watt:
    """What a turning motor takes without load: iron, windage and bearings, and what is always there. [W]"""
    return iron * speed + windage * speed**3 + constant


@formula(
    symbol="P_e", equation="torque * speed + copper * torque**2 + idle", source=Source("larminie-lowry-2012", "ch. 7")
)
def motor_input(torque: NewtonMetre, speed: RadianPerSecond, copper: CopperConstant, idle: Watt) -> Watt:
    """Electrical power of the motor. [W]"""
    return torque * speed + copper * torque**2 + idle


@formula(
    symbol="T_P",
    equation="2 * (power - idle) / (speed + sqrt(Max(0, speed**2 + 4 * copper * (power - idle))))",
    source=Source("larminie-lowry-2012", "ch. 7; the loss model solved for torque, the root that is zero without load"),
    valid="power at least idle - speed² / (4 · copper): no motor gives back more",
)
def torque_for_power(power: Watt, speed: RadianPerSecond, copper: CopperConstant, idle: Watt) -> NewtonMetre:
    """Torque of a motor that is given so much electrical power. [N·m]"""
    net = power - idle
    inside = np.maximum(0.0 * speed**2, speed**2 + 4.0 * copper * net)
    result: Any = 2.0 * net / (speed + np.sqrt(inside))
    return result


@formula(
    symbol="P_i",
    equation="Max(power / efficiency, power * efficiency) + idle",
    source=LARMINIE,
    valid="one efficiency at every load; what it takes without load besides",
)
def inverter_input(power: Watt, efficiency: Fraction, idle: Watt) -> Watt:
    """Direct-current power of the inverter for an electrical power of the motor. [W]"""
    result: Any = np.maximum(power / efficiency, power * efficiency) + idle
    return result


@formula(
    symbol="P_e",
    equation="Min((power - idle) * efficiency, (power - idle) / efficiency)",
    source=LARMINIE,
    valid="one efficiency at every load; what it takes without load besides",
)
def inverter_output(power: Watt, efficiency: Fraction, idle: Watt) -> Watt:
    """Electrical power of the motor for a direct-current power of the inverter. [W]"""
    net = power - idle
    result: Any = np.minimum(net * efficiency, net / efficiency)
    return result


@formula(
    symbol="T_m",
    equation="Max(force / efficiency, force * efficiency) * wheel_radius / ratio",
    source=EHSANI,
    valid="gears lose a share of what passes through them, either way",
)
def torque_for_force(force: Newton, wheel_radius: Metre, ratio: Number, efficiency: Fraction) -> NewtonMetre:
    """Torque of the motor for a force at the tread of the wheels. [N·m]"""
    result: Any = np.maximum(force / efficiency, force * efficiency) * wheel_radius / ratio
    return result


@formula(
    symbol="F_m",
    equation="Min(torque * efficiency, torque / efficiency) * ratio / wheel_radius",
    source=EHSANI,
    valid="gears lose a share of what passes through them, either way",
)
def force_for_torque(torque: NewtonMetre, wheel_radius: Metre, ratio: Number, efficiency: Fraction) -> Newton:
    """Force at the tread of the wheels for a torque of the motor. [N]"""
    result: Any = np.minimum(torque * efficiency, torque / efficiency) * ratio / wheel_radius
    return result


@formula(
    symbol="q_m",
    equation="(torque * Max(1 / torque_continuous, speed / power_continuous))**2",
    source=Source("iec-60034-1", "duty types; heat of the windings with the square of the load"),
    valid="windings alone; 1 is what the motor bears continuously",
)
def winding_heat(
    torque: NewtonMetre, speed: RadianPerSecond, torque_continuous: NewtonMetre, power_continuous: Watt
) -> Fraction:
    """Heat of the windings as a share of what they bear continuously. [1]"""
    result: Any = (torque * np.maximum(1.0 / torque_continuous, speed / power_continuous)) ** 2
    return result


@formula(
    symbol="ϑ",
    equation="warmth * kept + heat * (1 - kept)",
    source=Source("iec-60034-1", "one thermal time constant"),
    valid="one body; heat steady over the step",
)
def warmth_after(warmth: Fraction, heat: Fraction, kept: Fraction) -> Fraction:
    """How warm the windings are after a step, as a share of what they bear continuously. [1]"""
    return warmth * kept + heat * (1.0 - kept)


@formula(symbol="P_s", equation="torque * speed", source=LARMINIE)
def power_of_torque(torque: NewtonMetre, speed: RadianPerSecond) -> Kilowatt:
    """Power at the shaft. [W]"""
    return torque * speed


@formula(symbol="I_x", equation="share * current")
def part_of_current(share: Fraction, current: Ampere) -> Ampere:
    """A share of a current. [A]"""
    return share * current


@formula(
    symbol="t_p",
    equation="heating * log((1 / share**2 - before**2) / (1 / share**2 - 1))",
    source=Source("iec-60034-1", "one thermal time constant, heat with the square of the load"),
    valid="share below 1; the load before lasted long enough for the windings to have settled",
)
def time_at_peak(heating: Second, share: Fraction, before: Fraction) -> Second:
    """Time that peak power lasts; `share` is continuous by peak power, `before` the load before by the continuous. [s]"""
    heat = 1.0 / share**2
    result: Any = heating * np.log((heat - before**2) / (heat - 1.0))
    return result


@formula(symbol="P_r", equation="Max(0, -power)")
def power_given_back(power: Watt) -> Kilowatt:
    """What a braking drive gives back, as a positive power. [W]"""
    result: Any = np.maximum(0.0 * power, -power)
    return result
