"""Braking and holding: who carries what, who brakes how much, when an axle locks, how hot the brakes get, what holds on a slope.

A braking is a share of gravity: 0.5 is a slowing of 4.9 m/s². Loads are shares of the whole car, straight ahead, on the level,
springs and tyres taken as stiff, both wheels of an axle alike. The lift of the air is left out.
"""

from __future__ import annotations

from typing import Annotated, Any

import numpy as np

from voltwright.quantity.formula import formula, procedure
from voltwright.quantity.source import Source
from voltwright.quantity.types import (
    Fraction,
    Joule,
    Kelvin,
    Kilogram,
    Metre,
    MetrePerSecond,
    MetrePerSecondSquared,
    Newton,
    NewtonMetre,
    Number,
    Second,
)
from voltwright.quantity.units import Unit

Pascal = Annotated[float, Unit("kPa")]
JoulePerKelvin = Annotated[float, Unit("J/K")]
JoulePerKilogramKelvin = Annotated[float, Unit("J/(kg·K)")]
Power = Annotated[float, Unit("kW")]

# UN R13-H annex 5: from here to there the front axle must lock before the rear.
LEAST_BRAKING, MOST_BRAKING = 0.15, 0.8
NEVER = 0.001  # in place of nothing or less than nothing below a line: the axle does not lock

_GILLESPIE = Source("gillespie-1992", "ch. 3, braking performance")
_ANNEX = Source("un-r13-h", "annex 5, symbols and curves of adhesion")
_SLOPE = Source("jazar-2008", "ch. 2, parked car on an inclined road, equations 2.44 to 2.71")


@formula(symbol="ψ_1", equation="(wheelbase - behind_front) / wheelbase", source=_GILLESPIE)
def front_load(wheelbase: Metre, behind_front: Metre) -> Fraction:
    """Share of the car on its front axle at rest. [1]"""
    return (wheelbase - behind_front) / wheelbase


@formula(symbol="ψ_2", equation="behind_front / wheelbase", source=_GILLESPIE)
def rear_load(wheelbase: Metre, behind_front: Metre) -> Fraction:
    """Share of the car on its rear axle at rest. [1]"""
    return behind_front / wheelbase


@formula(symbol="χ_1", equation="height / wheelbase", source=_GILLESPIE)
def load_moved(height: Metre, wheelbase: Metre) -> Number:
    """Share of the car that moves to the front axle for a braking of 1. [1]"""
    return height / wheelbase


@formula(symbol="χ_2", equation="-height / wheelbase", source=_GILLESPIE)
def load_lost(height: Metre, wheelbase: Metre) -> Number:
    """The same for the rear axle, which loses it. [1]"""
    return -height / wheelbase


@formula(symbol="ψ_z", equation="load + braking * moved", source=_ANNEX)
def load_under_braking(load: Fraction, braking: Number, moved: Number) -> Fraction:
    """Share of the car on an axle while it brakes; for the front axle also the share of the brakes that suits it best. [1]"""
    return load + braking * moved


@formula(symbol="Δφ", equation="after - before")
def shift(after: Fraction, before: Fraction) -> Fraction:
    """How far a share moved. [1]"""
    return after - before


@formula(symbol="z_2", equation="(1 - front_share) * braking", source=_GILLESPIE)
def rear_braking(front_share: Fraction, braking: Number) -> Number:
    """What the rear brakes do of a braking, shared as the brakes are. [1]"""
    return (1.0 - front_share) * braking


@formula(
    symbol="z_v",
    equation="(1 - front_share) * knee * before / mass",
    source=Source("limpert-1992", "pressure limiting valves"),
)
def valve_limit(front_share: Fraction, knee: Number, before: Kilogram, mass: Kilogram) -> Number:
    """The most that the rear brakes do behind a limiting valve that closes at the braking `knee` of a car of mass `before`. [1]"""
    return (1.0 - front_share) * knee * before / mass


@formula(symbol="z_1", equation="braking - rear")
def front_braking(braking: Number, rear: Number) -> Number:
    """What the front brakes do of a braking. [1]"""
    return braking - rear


@formula(symbol="k", equation="braking / Max(0.001, load)", source=_ANNEX, valid="the axle stays on the road")
def adhesion_used(braking: Number, load: Fraction) -> Number:
    """Grip that an axle needs for what it brakes under what it carries. [1]"""
    result: Any = braking / np.maximum(NEVER, load)
    return result


@formula(symbol="z_c", equation="Max(0, (front_share - load) / moved)", source=_GILLESPIE)
def equal_adhesion(front_share: Fraction, load: Fraction, moved: Number) -> Number:
    """The braking at which both axles use the same grip; `load` is that of the front axle. Above it the rear locks first. [1]"""
    result: Any = np.maximum(0.0, (front_share - load) / moved)
    return result


@procedure(
    symbol="z_c",
    words="the braking from which the rear axle uses more grip than the front. Up to the knee of the valve as without one, "
    "(front_share − load) / moved; beyond it the rear brakes do no more than `most`, and the rear axle, which loses load all the "
    "time, comes to use more where most = z · (1 − load − z · moved), at the greater of the two roots",
    source=Source("limpert-1992", "pressure limiting valves"),
)
def equal_adhesion_with_valve(front_share: Fraction, load: Fraction, moved: Number, most: Number) -> Number:
    """The same behind a limiting valve that lets the rear brakes do no more than `most`. [1]"""
    free: Any = np.maximum(0.0, (front_share - load) / moved)
    rear = 1.0 - load
    root: Any = np.sqrt(np.maximum(0.0, rear * rear - 4.0 * moved * most))
    choose: Any = np.where
    result: Any = choose((1.0 - front_share) * free < most, free, (rear + root) / (2.0 * moved))
    return result


@formula(
    symbol="z_f",
    equation="grip * load / Max(0.001, share - grip * moved)",
    source=_GILLESPIE,
    valid="the share of the brakes is fixed",
)
def lock_by_friction(grip: Number, load: Fraction, moved: Number, share: Fraction) -> Number:
    """Braking at which an axle locks that does a `share` of it; `moved` is negative at the rear. [1]"""
    result: Any = grip * load / np.maximum(NEVER, share - grip * moved)
    return result


_WITH_MOTOR = Source("gillespie-1992", "ch. 3; with the motor's part of the braking added to its axle")


@formula(
    symbol="z_m",
    equation="Max(grip * load / Max(0.001, share + (to_axle - share) * motor_share - grip * moved),"
    " (grip * load - (to_axle - share) * motor_most) / Max(0.001, share - grip * moved), 0)",
    source=_WITH_MOTOR,
    valid="the motor does more of its part on this axle than the brakes do of theirs",
)
def lock_where_motor_brakes(
    grip: Number, load: Fraction, moved: Number, share: Fraction, to_axle: Fraction, motor_share: Fraction, motor_most: Number
) -> Number:  # fmt: skip
    """Braking at which the axle locks that the motor brakes: it takes `motor_share` of a braking, up to `motor_most`. [1]"""
    extra = to_axle - share
    below = grip * load / np.maximum(NEVER, share + extra * motor_share - grip * moved)
    above = (grip * load - extra * motor_most) / np.maximum(NEVER, share - grip * moved)
    result: Any = np.maximum(np.maximum(below, above), 0.0)
    return result


@formula(
    symbol="z_o",
    equation="Min(grip * load / Max(0.001, share + (to_axle - share) * motor_share - grip * moved),"
    " (grip * load - (to_axle - share) * motor_most) / Max(0.001, share - grip * moved))",
    source=_WITH_MOTOR,
    valid="the motor does less of its part on this axle than the brakes do of theirs",
)
def lock_where_motor_spares(
    grip: Number, load: Fraction, moved: Number, share: Fraction, to_axle: Fraction, motor_share: Fraction, motor_most: Number
) -> Number:  # fmt: skip
    """Braking at which the other axle locks, whose brakes do less while the motor brakes too. [1]"""
    extra = to_axle - share
    below = grip * load / np.maximum(NEVER, share + extra * motor_share - grip * moved)
    above = (grip * load - extra * motor_most) / np.maximum(NEVER, share - grip * moved)
    result: Any = np.minimum(below, above)
    return result


@formula(
    symbol="z_k",
    equation="0.1 + 0.7 * (grip - 0.2)",
    source=Source("un-r13-h", "annex 5, 3.1 (A)"),
    valid="grip from 0.2 to 0.8",
)
def least_braking(grip: Number) -> Number:
    """What a car must at least brake, before an axle locks, on a road of a grip. [1]"""
    return 0.1 + 0.7 * (grip - 0.2)


@formula(
    symbol="k_z",
    equation="0.2 + (braking - 0.1) / 0.7",
    source=Source("un-r13-h", "annex 5, 3.1 (A), solved for the grip"),
    valid="grip from 0.2 to 0.8",
)
def most_adhesion(braking: Number) -> Number:
    """The most grip that an axle may need for a braking, so that the car still brakes as much as it must. [1]"""
    return 0.2 + (braking - 0.1) / 0.7


@formula(symbol="a_b", equation="braking * gravity")
def slowing(braking: Number, gravity: MetrePerSecondSquared) -> MetrePerSecondSquared:
    """A braking as speed lost in a second. [m/s²]"""
    return braking * gravity


@formula(
    symbol="s_st",
    equation="speed * delay + speed**2 / (2 * slowing)",
    source=Source("fmvss-135", "S7.5: 0.10 V + 0.0060 V², V in km/h"),
)
def stopping_distance(speed: MetrePerSecond, delay: Second, slowing: MetrePerSecondSquared) -> Metre:
    """Way to a stop; `delay` is the time in which the brakes come on. [m]"""
    return speed * delay + speed**2 / (2.0 * slowing)


@formula(
    symbol="F_rg",
    equation="torque * ratio / (efficiency * wheel_radius)",
    source=Source("gillespie-1992", "ch. 2; backwards, what the gears lose brakes too"),
)
def regeneration_force(torque: NewtonMetre, ratio: Number, efficiency: Fraction, wheel_radius: Metre) -> Newton:
    """What a braking torque of the motor is worth at the tread. [N]"""
    return torque * ratio / (efficiency * wheel_radius)


@formula(symbol="F_pk", equation="power / (efficiency * speed)")
def force_of_power(power: Power, efficiency: Fraction, speed: MetrePerSecond) -> Newton:
    """Force at the tread behind which a power comes into the pack. [N]"""
    return power / (efficiency * speed)


@formula(symbol="z_r", equation="force / (mass * gravity)")
def braking_of_force(force: Newton, mass: Kilogram, gravity: MetrePerSecondSquared) -> Number:
    """A force against the car as a braking. [1]"""
    return force / (mass * gravity)


@formula(symbol="F_h", equation="Max(0, slope - tyres - air - linear)", source=Source("gillespie-1992", "ch. 4"))
def descent_force(slope: Newton, tyres: Newton, air: Newton, linear: Newton) -> Newton:
    """What must hold the car back on the way down beside tyres and air. [N]"""
    result: Any = np.maximum(0.0 * slope, slope - tyres - air - linear)
    return result


@formula(symbol="E_h", equation="force * length")
def energy_of_descent(force: Newton, length: Metre) -> Joule:
    """What the brakes turn into heat on the way down. [J]"""
    return force * length


@formula(symbol="t_h", equation="length / speed")
def time_of_descent(length: Metre, speed: MetrePerSecond) -> Second:
    """How long the way down takes. [s]"""
    return length / speed


@formula(symbol="P_ax", equation="power * share")
def part_of_heat(power: Power, share: Fraction) -> Power:
    """What the brakes of one axle turn into heat. [W]"""
    return power * share


@formula(symbol="C_d", equation="mass * specific_heat", source=Source("limpert-1992", "lumped temperature of a rotor"))
def heat_capacity(mass: Kilogram, specific_heat: JoulePerKilogramKelvin) -> JoulePerKelvin:
    """Heat that the discs or drums of an axle take for each kelvin. [J/K]"""
    return mass * specific_heat


@formula(
    symbol="T_d",
    equation="air + power * cooling_time / heat_capacity * (1 - exp(-time / cooling_time))",
    source=Source("limpert-1992", "continued braking, lumped temperature with cooling"),
    valid="the whole disc or drum alike, all heat in the iron",
)
def brake_temperature(
    air: Kelvin, power: Power, heat_capacity: JoulePerKelvin, cooling_time: Second, time: Second
) -> Kelvin:
    """Temperature of discs or drums after a steady braking. `cooling_time`: they cool to 37 % of the difference. [K]"""
    result: Any = air + power * cooling_time / heat_capacity * (1.0 - np.exp(-time / cooling_time))
    return result


@formula(
    symbol="G_d",
    equation="grip * load / Max(0.001, 1 - grip * moved)",
    source=_SLOPE,
    valid="the locked axle is the lower one; the car does not tip",
)
def held_by_lower_axle(grip: Number, load: Fraction, moved: Number) -> Fraction:
    """Slope on which an axle holds the car that the slope loads. [1]"""
    result: Any = grip * load / np.maximum(NEVER, 1.0 - grip * moved)
    return result


@formula(
    symbol="G_u", equation="grip * load / (1 + grip * moved)", source=_SLOPE, valid="the locked axle is the upper one"
)
def held_by_upper_axle(grip: Number, load: Fraction, moved: Number) -> Fraction:
    """Slope on which an axle holds the car that the slope unloads. [1]"""
    return grip * load / (1.0 + grip * moved)


@formula(
    symbol="G_p",
    equation="Min(0.999, force / (mass * gravity)) / sqrt(1 - Min(0.999, force / (mass * gravity))**2)",
    source=Source("jazar-2008", "ch. 2"),
)
def held_by_force(force: Newton, mass: Kilogram, gravity: MetrePerSecondSquared) -> Fraction:
    """Slope on which a force along the road holds the car. [1]"""
    sine = np.minimum(0.999, force / (mass * gravity))
    result: Any = sine / np.sqrt(1.0 - sine**2)
    return result


@formula(symbol="f_p", equation="boost * mass / before", source=Source("limpert-1992", "vacuum assist"))
def pedal_factor(boost: Number, mass: Kilogram, before: Kilogram) -> Number:
    """How much harder the pedal is to press without help, for the stop that the donor made with it. [1]"""
    return boost * mass / before


@formula(
    symbol="p_s",
    equation="vacuum * (boost * mass / before - 1) / (boost - 1)",
    source=Source("limpert-1992", "vacuum assist, below its run-out"),
    valid="the servo helps in proportion to its vacuum; the same pedal, cylinders and linings",
)
def vacuum_needed(vacuum: Pascal, boost: Number, mass: Kilogram, before: Kilogram) -> Pascal:
    """Vacuum with which the car of a new mass stops as the donor did, with the same foot. [Pa]"""
    return vacuum * (boost * mass / before - 1.0) / (boost - 1.0)
