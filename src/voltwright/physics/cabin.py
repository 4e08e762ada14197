"""The cabin in the cold: what it loses through its skin and with the air that keeps its windows clear, and who makes it up.

Steady state, once everything in the cabin is warm; the heat of damp air is left out (in the cold it is small).
"""

from __future__ import annotations

from typing import Annotated, Any

import numpy as np

from voltwright.quantity.formula import formula
from voltwright.quantity.source import Source
from voltwright.quantity.types import Kelvin, KilogramPerCubicMetre, Number, Watt
from voltwright.quantity.units import Unit

WattPerKelvin = Annotated[float, Unit("W/K")]
CubicMetrePerSecond = Annotated[float, Unit("m³/h")]
JoulePerKilogramKelvin = Annotated[float, Unit("J/(kg·K)")]

AIR_HEAT = 1006.0  # J/(kg·K): dry air between -30 and 40 °C
LEAST_LIFT = 5.0  # K: a heat pump works over no less

_INCROPERA = Source("incropera-2007", "ch. 1 and table A.4")


@formula(symbol="Q_s", equation="conductance * (inside - outside)", source=_INCROPERA, valid="steady state")
def heat_through_skin(conductance: WattPerKelvin, inside: Kelvin, outside: Kelvin) -> Watt:
    """Heat that leaves through glass, roof, doors and floor. [W]"""
    return conductance * (inside - outside)


@formula(
    symbol="Q_v",
    equation="density * flow * specific_heat * (inside - outside)",
    source=_INCROPERA,
    valid="dry air; `density` is that of the outside air, where the flow is measured",
)
def heat_with_air(
    density: KilogramPerCubicMetre,
    flow: CubicMetrePerSecond,
    specific_heat: JoulePerKilogramKelvin,
    inside: Kelvin,
    outside: Kelvin,
) -> Watt:
    """Heat that fresh air takes from the outside temperature to that of the cabin. [W]"""
    return density * flow * specific_heat * (inside - outside)


@formula(symbol="Q_p", equation="count * each")
def heat_of_people(count: Number, each: Watt) -> Watt:
    """Heat of those who sit in the car. [W]"""
    return count * each


@formula(symbol="P_h", equation="Min(power, Max(0, loss - gain) / performance)", valid="power as the heater takes it")
def heater_power(loss: Watt, gain: Watt, performance: Number, power: Watt) -> Watt:
    """What the heater draws to keep the cabin warm, as far as it can; `gain` comes from people and sun. [W]"""
    result: Any = np.minimum(power, np.maximum(0.0, loss - gain) / performance)
    return result


@formula(
    symbol="ε",
    equation="Max(1, share * warm / Max(least_lift, warm - cold))",
    source=Source("incropera-2007", "the limit of Carnot; the share of it is common practice, no source"),
    valid="never below 1: then it heats as a resistor does",
)
def heat_pump_performance(share: Number, warm: Kelvin, cold: Kelvin, least_lift: Annotated[float, Unit("K")]) -> Number:
    """Heat that a heat pump gives for each unit of electricity, as a share of the ideal between two temperatures. [1]"""
    result: Any = np.maximum(1.0, share * warm / np.maximum(least_lift, warm - cold))
    return result
