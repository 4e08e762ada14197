"""Forces on a car that drives straight ahead: air, tyres, slope, coast-down coefficients, and how much grip there is.

A slope is a grade: height won over distance along the map, so that 100 % is 45°. Speeds and forces point forwards.
"""

from __future__ import annotations

from typing import Annotated, Any

import numpy as np

from voltwright.quantity.formula import formula
from voltwright.quantity.source import Source
from voltwright.quantity.types import (
    Fraction,
    Kelvin,
    Kilogram,
    KilogramPerCubicMetre,
    Metre,
    MetrePerSecond,
    MetrePerSecondSquared,
    Newton,
    Number,
    Radian,
    SquareMetre,
)
from voltwright.quantity.units import Unit

PerKelvin = Annotated[float, Unit("1/K")]
ROLLING_GROWTH = 8.6e-3  # 1/K; un-gtr-15, annex 4: K0
NewtonSecondPerMetre = Annotated[float, Unit("N/(m/s)")]
NewtonSecondSquaredPerMetreSquared = Annotated[float, Unit("N/(m/s)²")]

# Usual share of the turning wheels in the moving mass, and half the width of its 5 to 95 % range; ehsani-2018, ch. 2.
WHEEL_SHARE = 0.04
WHEEL_SHARE_HALF = 0.01
SHAFT_SHARE = 0.0025 / 4  # of an electric motor, at a ratio of one
SHAFT_SHARE_HALF = 0.0003

_STRAIGHT = "driving straight ahead, springs and tyres taken as stiff, both wheels of an axle alike"


@formula(
    symbol="F_d",
    equation="density * drag_area * air_speed * Abs(air_speed) / 2",
    source=Source("gillespie-1992", "ch. 4"),
    valid="wind from straight ahead or behind",
)
def aerodynamic_drag(density: KilogramPerCubicMetre, drag_area: SquareMetre, air_speed: MetrePerSecond) -> Newton:
    """Drag of the air; `air_speed` is that of the car plus that of the wind against it, and a tail wind pushes. [N]"""
    return density * drag_area * air_speed * abs(air_speed) / 2.0


@formula(
    symbol="f_r",
    equation="coefficient * (1 + growth * (reference - temperature))",
    source=Source("un-gtr-15", "annex 4: correction of rolling resistance by temperature"),
    valid="made for 5 to 35 °C and carried on below; oil of a gearbox in the cold is not in it",
)
def rolling_at(coefficient: Number, temperature: Kelvin, growth: PerKelvin, reference: Kelvin) -> Number:
    """Rolling coefficient in other air than that for which it is known: so much more for each kelvin colder. [1]"""
    return coefficient * (1.0 + growth * (reference - temperature))


@formula(
    symbol="F_r",
    equation="coefficient * mass * gravity / sqrt(1 + grade**2)",
    source=Source("gillespie-1992", "ch. 4"),
    valid="the car rolls forwards; the coefficient is taken as the same at every speed",
)
def rolling_resistance(coefficient: Number, mass: Kilogram, gravity: MetrePerSecondSquared, grade: Fraction) -> Newton:
    """What the tyres hold the car back with; on a slope they carry a little less. [N]"""
    result: Any = coefficient * mass * gravity / np.sqrt(1.0 + grade**2)
    return result


@formula(
    symbol="F_g",
    equation="mass * gravity * grade / sqrt(1 + grade**2)",
    source=Source("gillespie-1992", "ch. 4"),
)
def grade_force(mass: Kilogram, gravity: MetrePerSecondSquared, grade: Fraction) -> Newton:
    """What a slope holds the car back with; negative downhill. [N]"""
    result: Any = mass * gravity * grade / np.sqrt(1.0 + grade**2)
    return result


@formula(
    symbol="F_c",
    equation="A + B * speed + C * speed**2",
    source=Source("cfr-40-1066", "1066.210"),
    valid="level road, still air, inside the speeds of the coast-down",
)
def coast_down_force(
    A: Newton, B: NewtonSecondPerMetre, C: NewtonSecondSquaredPerMetreSquared, speed: MetrePerSecond
) -> Newton:
    """What a coast-down says holds the car back: air, tyres, bearings and brake drag together. [N]"""
    return A + B * speed + C * speed**2


@formula(
    symbol="f_r",
    equation="A / (mass * gravity)",
    source=Source("gillespie-1992", "ch. 4; what does not depend on speed is taken as the tyres'"),
    valid="level road; bearings and brake drag count as tyres",
)
def rolling_from_coast_down(A: Newton, mass: Kilogram, gravity: MetrePerSecondSquared) -> Number:
    """Rolling resistance of a car that coasted, from A and its mass at that time. [1]"""
    return A / (mass * gravity)


@formula(
    symbol="A_d",
    equation="2 * C / density",
    source=Source("sae-j1263", "the part of the force that grows with the square of the speed is the air's"),
    valid="C in air of that density",
)
def drag_area_from_coast_down(C: NewtonSecondSquaredPerMetreSquared, density: KilogramPerCubicMetre) -> SquareMetre:
    """Drag coefficient times frontal area, from a coast-down. [m²]"""
    return 2.0 * C / density


@formula(symbol="F_b", equation="linear * speed", source=Source("cfr-40-1066", "1066.210"))
def linear_resistance(linear: NewtonSecondPerMetre, speed: MetrePerSecond) -> Newton:
    """What grows with the speed alone: the B of a coast-down, oil and bearings. [N]"""
    return linear * speed


@formula(symbol="v_a", equation="speed + wind")
def air_speed(speed: MetrePerSecond, wind: MetrePerSecond) -> MetrePerSecond:
    """Speed through the air; the wind counts against the car. [m/s]"""
    return speed + wind


@formula(
    symbol="h",
    equation="cos(wind_from - heading)",
    valid="level ground; what blows from the side is left out",
)
def head_share(wind_from: Radian, heading: Radian) -> Fraction:
    """Share of the wind that blows against a car: 1 from ahead, -1 from behind; both angles clockwise from north. [1]"""
    result: Any = np.cos(wind_from - heading)
    return result


@formula(symbol="w", equation="wind * share")
def head_wind(wind: MetrePerSecond, share: Fraction) -> MetrePerSecond:
    """What of the wind blows against the car. [m/s]"""
    return wind * share


@formula(symbol="P_w", equation="force * speed")
def wheel_power(force: Newton, speed: MetrePerSecond) -> Annotated[float, Unit("kW")]:
    """Power that a force at the tread of the wheels takes. [W]"""
    return force * speed


@formula(
    symbol="λ",
    equation="1 + wheel_share + shaft_share * ratio**2",
    source=Source("ehsani-2018", "ch. 2; usual shares 0.04 and 0.0025"),
    valid="an estimate where the moments of inertia are not known",
)
def mass_factor(wheel_share: Number, shaft_share: Number, ratio: Number) -> Number:
    """By how much turning parts make the car sluggish; `ratio` is motor turns for one turn of the wheels. [1]"""
    return 1.0 + wheel_share + shaft_share * ratio**2


@formula(symbol="m_e", equation="mass * factor", source=Source("gillespie-1992", "ch. 2"))
def effective_mass(mass: Kilogram, factor: Number) -> Kilogram:
    """Mass that a force has to speed up, turning parts included. [kg]"""
    return mass * factor


@formula(symbol="a_x", equation="(traction - resistance) / effective_mass", source=Source("gillespie-1992", "ch. 2"))
def acceleration(traction: Newton, resistance: Newton, effective_mass: Kilogram) -> MetrePerSecondSquared:
    """How quickly the car gains speed. [m/s²]"""
    return (traction - resistance) / effective_mass


@formula(
    symbol="F_z1",
    equation="mass * (gravity * (wheelbase - behind_front) / sqrt(1 + grade**2)"
    " - gravity * height * grade / sqrt(1 + grade**2) - height * acceleration) / wheelbase",
    source=Source("jazar-2008", "ch. 2"),
    valid=_STRAIGHT,
)
def front_axle_force(
    mass: Kilogram, gravity: MetrePerSecondSquared, grade: Fraction, behind_front: Metre, height: Metre, wheelbase: Metre,
    acceleration: MetrePerSecondSquared,
) -> Newton:  # fmt: skip
    """What presses the front wheels on the road, uphill and under acceleration less than at rest. [N]"""
    flat: Any = np.sqrt(1.0 + grade**2)
    down = gravity * (wheelbase - behind_front) / flat
    return mass * (down - gravity * height * grade / flat - height * acceleration) / wheelbase


@formula(
    symbol="F_z2",
    equation="mass * (gravity * behind_front / sqrt(1 + grade**2)"
    " + gravity * height * grade / sqrt(1 + grade**2) + height * acceleration) / wheelbase",
    source=Source("jazar-2008", "ch. 2"),
    valid=_STRAIGHT,
)
def rear_axle_force(
    mass: Kilogram, gravity: MetrePerSecondSquared, grade: Fraction, behind_front: Metre, height: Metre, wheelbase: Metre,
    acceleration: MetrePerSecondSquared,
) -> Newton:  # fmt: skip
    """What presses the rear wheels on the road, uphill and under acceleration more than at rest. [N]"""
    flat: Any = np.sqrt(1.0 + grade**2)
    down = gravity * behind_front / flat
    return mass * (down + gravity * height * grade / flat + height * acceleration) / wheelbase


@formula(
    symbol="F_x",
    equation="grip * mass * gravity * behind_front / (sqrt(1 + grade**2) * (wheelbase - grip * height))",
    source=Source(
        "gillespie-1992", "ch. 2; traction-limited acceleration, with the load that moves to the driven axle"
    ),
    valid=f"{_STRAIGHT}; grip · height below wheelbase, front wheels on the ground",
)
def traction_limit_rear(
    grip: Number, mass: Kilogram, gravity: MetrePerSecondSquared, grade: Fraction, behind_front: Metre, height: Metre,
    wheelbase: Metre,
) -> Newton:  # fmt: skip
    """The most that driven rear wheels can push before they spin. [N]"""
    result: Any = grip * mass * gravity * behind_front / (np.sqrt(1.0 + grade**2) * (wheelbase - grip * height))
    return result


@formula(
    symbol="F_x",
    equation="grip * mass * gravity * (wheelbase - behind_front) / (sqrt(1 + grade**2) * (wheelbase + grip * height))",
    source=Source("gillespie-1992", "ch. 2; traction-limited acceleration, with the load that leaves the driven axle"),
    valid=_STRAIGHT,
)
def traction_limit_front(
    grip: Number, mass: Kilogram, gravity: MetrePerSecondSquared, grade: Fraction, behind_front: Metre, height: Metre,
    wheelbase: Metre,
) -> Newton:  # fmt: skip
    """The most that driven front wheels can pull before they spin. [N]"""
    ahead = wheelbase - behind_front
    result: Any = grip * mass * gravity * ahead / (np.sqrt(1.0 + grade**2) * (wheelbase + grip * height))
    return result


@formula(
    symbol="F_x",
    equation="grip * mass * gravity / sqrt(1 + grade**2)",
    source=Source("jazar-2008", "ch. 2"),
    valid=f"{_STRAIGHT}; the drive shared as the axles are loaded",
)
def traction_limit_all(grip: Number, mass: Kilogram, gravity: MetrePerSecondSquared, grade: Fraction) -> Newton:
    """The most that four driven wheels can do before they spin. [N]"""
    result: Any = grip * mass * gravity / np.sqrt(1.0 + grade**2)
    return result


@formula(
    symbol="F_b",
    equation="grip * mass * gravity * behind_front / (wheelbase + grip * height)",
    source=Source("gillespie-1992", "ch. 3; braking with the rear axle alone, which the braking unloads"),
    valid=_STRAIGHT,
)
def braking_limit_rear(
    grip: Number, mass: Kilogram, gravity: MetrePerSecondSquared, behind_front: Metre, height: Metre, wheelbase: Metre
) -> Newton:
    """The most that rear wheels brake before they lock. [N]"""
    return grip * mass * gravity * behind_front / (wheelbase + grip * height)


@formula(
    symbol="F_b",
    equation="grip * mass * gravity * (wheelbase - behind_front) / (wheelbase - grip * height)",
    source=Source("gillespie-1992", "ch. 3; braking with the front axle alone, which the braking loads"),
    valid=f"{_STRAIGHT}; grip · height below wheelbase",
)
def braking_limit_front(
    grip: Number, mass: Kilogram, gravity: MetrePerSecondSquared, behind_front: Metre, height: Metre, wheelbase: Metre
) -> Newton:
    """The most that front wheels brake before they lock. [N]"""
    return grip * mass * gravity * (wheelbase - behind_front) / (wheelbase - grip * height)


@formula(symbol="F_b", equation="grip * mass * gravity", source=Source("jazar-2008", "ch. 2"), valid=_STRAIGHT)
def braking_limit_all(grip: Number, mass: Kilogram, gravity: MetrePerSecondSquared) -> Newton:
    """The most that four wheels brake before they lock. [N]"""
    return grip * mass * gravity
