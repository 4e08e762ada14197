"""Pace: how fast a car gathers speed, its top speed, and the slope that it climbs.

The drive is a torque up to a speed and a power beyond; the road is tyres, bearings, air, wind and slope; grip limits what
the tyres push.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from voltwright.physics.road_load import NewtonSecondPerMetre
from voltwright.quantity.formula import formula, procedure
from voltwright.quantity.source import Source
from voltwright.quantity.types import (
    Fraction,
    Kilogram,
    KilogramPerCubicMetre,
    Metre,
    MetrePerSecond,
    MetrePerSecondSquared,
    Newton,
    NewtonMetre,
    Number,
    Second,
    SquareMetre,
    Watt,
)

GILLESPIE = Source("gillespie-1992", "ch. 2")
_FASTEST = 120.0  # m/s, beyond any car of this kind


@formula(symbol="A_d", equation="coefficient * area", source=Source("gillespie-1992", "ch. 4"))
def drag_area(coefficient: Number, area: SquareMetre) -> SquareMetre:
    """Drag coefficient times frontal area. [m²]"""
    return coefficient * area


@formula(symbol="F_T", equation="torque / wheel_radius", source=GILLESPIE)
def force_of_torque(torque: NewtonMetre, wheel_radius: Metre) -> Newton:
    """Force of a wheel torque at the road. [N]"""
    return torque / wheel_radius


@formula(symbol="F_P", equation="power / speed", source=GILLESPIE)
def force_of_power(power: Watt, speed: MetrePerSecond) -> Newton:
    """Force of a wheel power at a speed. [N]"""
    return power / speed


@formula(symbol="F_s", equation="Max(0, force - drag)", source=GILLESPIE)
def force_left(force: Newton, drag: Newton) -> Newton:
    """Force that is left for the slope and the tyres. [N]"""
    result: Any = np.maximum(0.0 * force, force - drag)
    return result


@formula(
    symbol="G",
    equation="tan(Max(0, asin(Min(1, force / (mass * gravity * sqrt(1 + rolling**2)))) - atan(rolling)))",
    source=Source("gillespie-1992", "ch. 4; force = m g (sin + c cos), solved for the slope"),
)
def grade_climbed(force: Newton, mass: Kilogram, gravity: MetrePerSecondSquared, rolling: Number) -> Fraction:
    """Slope (rise over run) that a steady force climbs. [1]"""
    share = np.minimum(1.0, force / (mass * gravity * np.sqrt(1.0 + rolling**2)))
    result: Any = np.tan(np.maximum(0.0, np.arcsin(share) - np.arctan(rolling)))
    return result


@formula(
    symbol="G_μ",
    equation="grip * behind_front / (wheelbase - grip * height)",
    source=Source("gillespie-1992", "ch. 2; weight on the rear axle of a climbing car"),
    valid="rear axle driven, rolling resistance left out",
)
def grade_by_grip_rear(grip: Number, behind_front: Metre, wheelbase: Metre, height: Metre) -> Fraction:
    """Slope at which driven rear tyres slip. [1]"""
    return grip * behind_front / (wheelbase - grip * height)


@formula(
    symbol="G_μ",
    equation="grip * (wheelbase - behind_front) / (wheelbase + grip * height)",
    source=Source("gillespie-1992", "ch. 2; weight on the front axle of a climbing car"),
    valid="front axle driven, rolling resistance left out",
)
def grade_by_grip_front(grip: Number, behind_front: Metre, wheelbase: Metre, height: Metre) -> Fraction:
    """Slope at which driven front tyres slip. [1]"""
    return grip * (wheelbase - behind_front) / (wheelbase + grip * height)


_NO_NOSE_WEIGHT = "rolling resistance left out; the coupling carries no weight, and pulls at the height of a ball"


@formula(
    symbol="G_μ",
    equation="grip * mass * behind_front"
    " / (wheelbase * (mass + trailer) - grip * (mass * height + trailer * coupling_height))",
    source=Source("gillespie-1992", "ch. 2; weight on the rear axle of a climbing car that pulls a trailer"),
    valid=f"rear axle driven; {_NO_NOSE_WEIGHT}",
)
def grade_by_grip_rear_towing(
    grip: Number, mass: Kilogram, trailer: Kilogram, behind_front: Metre, wheelbase: Metre, height: Metre,
    coupling_height: Metre,
) -> Fraction:  # fmt: skip
    """Slope at which driven rear tyres slip with a trailer behind; the pull at the coupling presses them down. [1]"""
    moved = grip * (mass * height + trailer * coupling_height)
    return grip * mass * behind_front / (wheelbase * (mass + trailer) - moved)


@formula(
    symbol="G_μ",
    equation="grip * mass * (wheelbase - behind_front)"
    " / (wheelbase * (mass + trailer) + grip * (mass * height + trailer * coupling_height))",
    source=Source("gillespie-1992", "ch. 2; weight on the front axle of a climbing car that pulls a trailer"),
    valid=f"front axle driven; {_NO_NOSE_WEIGHT}",
)
def grade_by_grip_front_towing(
    grip: Number, mass: Kilogram, trailer: Kilogram, behind_front: Metre, wheelbase: Metre, height: Metre,
    coupling_height: Metre,
) -> Fraction:  # fmt: skip
    """Slope at which driven front tyres slip with a trailer behind; the pull at the coupling lifts them. [1]"""
    moved = grip * (mass * height + trailer * coupling_height)
    return grip * mass * (wheelbase - behind_front) / (wheelbase * (mass + trailer) + moved)


@formula(
    symbol="G_μ",
    equation="grip * mass / (mass + trailer)",
    source=Source("gillespie-1992", "ch. 2; four driven wheels carry the whole car"),
    valid=f"both axles driven, shared as they are loaded; {_NO_NOSE_WEIGHT}",
)
def grade_by_grip_all_towing(grip: Number, mass: Kilogram, trailer: Kilogram) -> Fraction:
    """Slope at which four driven tyres slip with a trailer behind. [1]"""
    return grip * mass / (mass + trailer)


def _resistance(
    speed: Any, mass: Any, gravity: Any, rolling: Any, linear: Any, density: Any, drag_area: Any, wind: Any
) -> Any:
    through = speed + wind
    return rolling * mass * gravity + linear * speed + density * drag_area * through * abs(through) / 2.0


@procedure(
    symbol="v_P",
    words="speed, searched by halving, at which tyres, bearings, air and wind on the level take the whole power",
    source=Source("gillespie-1992", "ch. 4"),
)
def speed_for_power(
    power: Watt,
    mass: Kilogram,
    gravity: MetrePerSecondSquared,
    rolling: Number,
    linear: NewtonSecondPerMetre,
    density: KilogramPerCubicMetre,
    drag_area: SquareMetre,
    wind: MetrePerSecond,
) -> MetrePerSecond:
    """Top speed of a power on the level. [m/s]"""
    choose: Any = np.where
    low: Any = 0.0 * power
    high: Any = low + _FASTEST
    for _ in range(60):
        middle: Any = (low + high) / 2.0
        holds = _resistance(middle, mass, gravity, rolling, linear, density, drag_area, wind)
        faster: Any = power > middle * holds
        low, high = choose(faster, middle, low), choose(faster, high, middle)
    return (low + high) / 2.0


@formula(symbol="t", equation="time + shifts * shift_time", valid="the car keeps its speed while the gear is changed")
def time_with_shifts(time: Second, shifts: Number, shift_time: Second) -> Second:
    """Time of a sprint with its changes of gear. [s]"""
    return time + shifts * shift_time
