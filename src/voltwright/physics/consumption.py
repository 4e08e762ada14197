"""What a journey took: energy by the kilometre at the battery and at the wall, and what low-voltage loads ask of the pack."""

from __future__ import annotations

from typing import Annotated

from voltwright.quantity.formula import formula
from voltwright.quantity.source import Source
from voltwright.quantity.types import Ampere, Fraction, Joule, Metre, Ohm, Volt, Watt
from voltwright.quantity.units import Unit

JoulePerMetre = Annotated[float, Unit("Wh/km")]


@formula(symbol="e", equation="energy / way", source=Source("guzzella-2013", "ch. 2"))
def energy_by_way(energy: Joule, way: Metre) -> JoulePerMetre:
    """Energy by the way that was driven with it. [J/m]"""
    return energy / way


@formula(
    symbol="η_ch",
    equation="rest_voltage / (rest_voltage + resistance * current)",
    source=Source("plett-2015", "ch. 2"),
    valid="charge is not lost: every ampere hour that goes in comes out",
)
def charging_efficiency(rest_voltage: Volt, resistance: Ohm, current: Ampere) -> Fraction:
    """Share of what the charger gives that the cells keep. [1]"""
    return rest_voltage / (rest_voltage + resistance * current)


@formula(symbol="E_w", equation="chemistry / (cell_efficiency * charger_efficiency)")
def wall_energy(chemistry: Joule, cell_efficiency: Fraction, charger_efficiency: Fraction) -> Joule:
    """What the socket gives to put back what left the cells. [J]"""
    return chemistry / (cell_efficiency * charger_efficiency)


@formula(symbol="P", equation="power * use")
def mean_power(power: Watt, use: Fraction) -> Watt:
    """Mean power of what is on for a share of the time. [W]"""
    return power * use


@formula(symbol="P_in", equation="power / efficiency")
def supplied_power(power: Watt, efficiency: Fraction) -> Watt:
    """What a converter takes for what it gives. [W]"""
    return power / efficiency


@formula(symbol="I_ch", equation="power / voltage")
def current_of_power(power: Watt, voltage: Volt) -> Ampere:
    """Current of a power at a voltage. [A]"""
    return power / voltage
