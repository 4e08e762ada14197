"""Charging cells that are cold or hot: how much current they take, and what warming them first costs."""

from __future__ import annotations

from typing import Annotated, Any

import numpy as np

from voltwright.physics.cell_dynamics import JoulePerKelvin, WattPerKelvin
from voltwright.quantity.formula import formula
from voltwright.quantity.source import Source
from voltwright.quantity.types import Ampere, Fraction, Joule, Kelvin, Number, Second, Watt
from voltwright.quantity.units import Unit

LUMPED = Source("incropera-2007", "ch. 5, lumped capacitance")
TAPER = Source(
    "typical-practice", "monitors lower the charging current over some kelvin inside both limits of temperature"
)


@formula(
    symbol="x_w",
    equation="Max(0, Min(1, (temperature - coldest) / cold_ramp, (hottest - temperature) / hot_ramp))",
    source=TAPER,
)
def warmth_share(
    temperature: Kelvin, coldest: Kelvin, cold_ramp: Kelvin, hottest: Kelvin, hot_ramp: Kelvin
) -> Fraction:
    """Share of their charging current that cells of a temperature may take. [1]"""
    cold, hot = (temperature - coldest) / cold_ramp, (hottest - temperature) / hot_ramp
    result: Any = np.maximum(0.0, np.minimum(1.0, np.minimum(cold, hot)))
    return result


@formula(symbol="I", equation="current * share", source=TAPER)
def current_at_temperature(current: Ampere, share: Fraction) -> Ampere:
    """What cells may be charged with at their temperature. [A]"""
    return current * share


@formula(symbol="T", equation="coldest + ramp", source=TAPER)
def whole_from(coldest: Kelvin, ramp: Kelvin) -> Kelvin:
    """Temperature from which on the whole charging current is allowed. [K]"""
    return coldest + ramp


@formula(symbol="P", equation="count * power * share")
def heat_to_cells(count: Number, power: Watt, share: Fraction) -> Annotated[float, Unit("kW")]:
    """What of the heaters' power reaches the cells. [W]"""
    return count * power * share


@formula(
    symbol="t_v",
    equation="heat_capacity / shed * log((power - shed * (start - surroundings)) / (power - shed * (target - surroundings)))",
    source=LUMPED,
    valid="one temperature for all cells; more power than the warm pack sheds; target above start",
)
def heating_time(
    heat_capacity: JoulePerKelvin, shed: WattPerKelvin, power: Watt, start: Kelvin, target: Kelvin, surroundings: Kelvin
) -> Annotated[float, Unit("h")]:
    """Time in which a steady heat warms the pack from one temperature to another. [s]"""
    before, after = power - shed * (start - surroundings), power - shed * (target - surroundings)
    result: Any = heat_capacity / shed * np.log(before / after)
    return result


@formula(symbol="E_q", equation="power * time")
def heating_energy(power: Watt, time: Second) -> Annotated[float, Unit("kWh")]:
    """What a heater takes in a time. [J]"""
    return power * time


@formula(symbol="E", equation="heat / share")
def energy_for_heat(heat: Joule, share: Fraction) -> Annotated[float, Unit("kWh")]:
    """Electrical energy behind a heat of which only a share reaches the cells. [J]"""
    return heat / share
