"""Weight on a car: moments about the front axle, axle loads, centre of gravity.

x is measured rearwards from the front axle, z upwards from the ground.
"""

from __future__ import annotations

from math import pi
from typing import Annotated

import numpy as np

from voltwright.quantity.formula import formula
from voltwright.quantity.source import Source
from voltwright.quantity.types import (
    Fraction,
    Hertz,
    Kilogram,
    KilogramMetre,
    Metre,
    MetrePerSecondSquared,
    NewtonPerMetre,
    Number,
    Radian,
)
from voltwright.quantity.units import Unit

Millimetre = Annotated[float, Unit("mm")]

STANDARD_GRAVITY = 9.80665  # m/s², 3rd General Conference on Weights and Measures, 1901


@formula(symbol="m", equation="count * mass_each")
def mass_of_several(count: Number, mass_each: Kilogram) -> Kilogram:
    """Mass of `count` equal things. [kg]"""
    return count * mass_each


@formula(symbol="m", equation="whole - taken")
def mass_left(whole: Kilogram, taken: Kilogram) -> Kilogram:
    """What is left of a mass. [kg]"""
    return whole - taken


@formula(symbol="M", equation="mass * arm")
def moment(mass: Kilogram, arm: Metre) -> KilogramMetre:
    """Moment of a mass about an axis. [kg·m]"""
    return mass * arm


@formula(symbol="M", equation="before - taken + added", source=Source("gillespie-1992", "ch. 1"))
def moment_after(before: KilogramMetre, taken: KilogramMetre, added: KilogramMetre) -> KilogramMetre:
    """Moment of the car after some things left it and others came in. [kg·m]"""
    return before - taken + added


@formula(symbol="m", equation="before - taken + added")
def mass_after(before: Kilogram, taken: Kilogram, added: Kilogram) -> Kilogram:
    """Mass of the car after some things left it and others came in. [kg]"""
    return before - taken + added


@formula(symbol="a", equation="moment / mass", source=Source("jazar-2008", "ch. 2"))
def centre(moment: KilogramMetre, mass: Kilogram) -> Metre:
    """Distance of the centre of gravity from the axis of the moment. [m]"""
    return moment / mass


@formula(symbol="a_1", equation="wheelbase * rear / (front + rear)", source=Source("jazar-2008", "ch. 2"))
def centre_from_axles(wheelbase: Metre, front: Kilogram, rear: Kilogram) -> Metre:
    """Distance of the centre of gravity behind the front axle, from what the axles carry. [m]"""
    return wheelbase * rear / (front + rear)


@formula(symbol="a_1", equation="wheelbase * (1 - front_share)", source=Source("jazar-2008", "ch. 2"))
def centre_from_share(wheelbase: Metre, front_share: Fraction) -> Metre:
    """Distance of the centre of gravity behind the front axle, from the share on it. [m]"""
    return wheelbase * (1.0 - front_share)


@formula(symbol="m_f", equation="mass * (wheelbase - behind_front) / wheelbase", source=Source("jazar-2008", "ch. 2"))
def front_axle_load(mass: Kilogram, behind_front: Metre, wheelbase: Metre) -> Kilogram:
    """What the front axle carries on level ground at rest. [kg]"""
    return mass * (wheelbase - behind_front) / wheelbase


@formula(symbol="m_r", equation="mass * behind_front / wheelbase", source=Source("jazar-2008", "ch. 2"))
def rear_axle_load(mass: Kilogram, behind_front: Metre, wheelbase: Metre) -> Kilogram:
    """What the rear axle carries on level ground at rest. [kg]"""
    return mass * behind_front / wheelbase


@formula(
    symbol="h",
    equation="wheel_radius + wheelbase * level_load_gain / (mass * tan(lift))",
    source=Source("gillespie-1992", "ch. 1; also standard weighing practice"),
    valid="the car rolls freely, the springs are blocked, the other axle is lifted",
)
def centre_height_from_lift(
    wheel_radius: Metre, wheelbase: Metre, level_load_gain: Kilogram, mass: Kilogram, lift: Radian
) -> Metre:
    """Height of the centre of gravity, from what the axle on the ground gains when the other is lifted. [m]"""
    return wheel_radius + wheelbase * level_load_gain / (mass * np.tan(lift))


@formula(symbol="m_s", equation="axle - unsprung")
def sprung_mass(axle: Kilogram, unsprung: Kilogram) -> Kilogram:
    """What the springs of an axle carry. [kg]"""
    return axle - unsprung


@formula(
    symbol="k_w",
    equation="(2 * pi * bounce)**2 * sprung / 2",
    source=Source("gillespie-1992", "ch. 5, undamped natural frequency"),
    valid="one axle by itself, without damping",
)
def wheel_rate_from_bounce(bounce: Hertz, sprung: Kilogram) -> NewtonPerMetre:
    """Rate at each of the two wheels of an axle, from how quickly the body bounces on it. [N/m]"""
    return (2.0 * pi * bounce) ** 2 * sprung / 2.0


@formula(
    symbol="Δz",
    equation="-(after - before) * gravity / (2 * wheel_rate)",
    source=Source("gillespie-1992", "ch. 5"),
    valid="springs of constant rate, tyres taken as stiff",
)
def ride_height_change(
    before: Kilogram, after: Kilogram, gravity: MetrePerSecondSquared, wheel_rate: NewtonPerMetre
) -> Metre:
    """How far the body rises (or, negative, sinks) over an axle of two equal springs. [m]"""
    return -(after - before) * gravity / (2.0 * wheel_rate)


@formula(
    symbol="z_b", equation="before + change", valid="measured at the wheel, springs of constant rate up to the stop"
)
def travel_left(before: Millimetre, change: Metre) -> Millimetre:
    """Way of a wheel to its bump stop, once the body has risen or, negative, sunk. [m]"""
    return before + change


@formula(symbol="f_k", equation="after / before", source=Source("gillespie-1992", "ch. 5"))
def spring_factor(before: Kilogram, after: Kilogram) -> Number:
    """By how much stiffer springs of the same free length must be for the old ride height. [1]"""
    return after / before


@formula(symbol="r", equation="1 - carried / allowed")
def reserve(carried: Kilogram, allowed: Kilogram) -> Fraction:
    """The share of a load limit that is left; negative where it is exceeded. [1]"""
    return 1.0 - carried / allowed


@formula(symbol="m", equation="2 * each")
def both_tyres(each: Kilogram) -> Kilogram:
    """What the two tyres of an axle carry together. [kg]"""
    return 2.0 * each
