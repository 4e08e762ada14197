"""Heat exchangers by effectiveness and number of transfer units: radiator, cold plate, air over modules."""

from __future__ import annotations

from typing import Any

import numpy as np

from voltwright.physics.cell_dynamics import WattPerKelvin
from voltwright.physics.free_convection import KelvinStep
from voltwright.physics.heat_paths import CubicMetrePerSecond
from voltwright.quantity.formula import formula, procedure
from voltwright.quantity.source import Source
from voltwright.quantity.table import Curve
from voltwright.quantity.types import Fraction, Number, Watt

INCROPERA = Source("incropera-2007", "ch. 11")


@formula(symbol="NTU", equation="conductance / least_stream", source=INCROPERA)
def transfer_units(conductance: WattPerKelvin, least_stream: WattPerKelvin) -> Number:
    """How large an exchanger is for its streams. [1]"""
    return conductance / least_stream


@formula(
    symbol="ε",
    equation="1 - exp(units**0.22 / ratio * (exp(-ratio * units**0.78) - 1))",
    source=INCROPERA,
    valid="both streams unmixed, across each other; ratio above 0",
)
def effectiveness_crossflow(units: Number, ratio: Number) -> Fraction:
    """Share of the greatest possible heat that a radiator exchanges. [1]"""
    result: Any = 1.0 - np.exp(units**0.22 / ratio * (np.exp(-ratio * units**0.78) - 1.0))
    return result


@formula(symbol="ε", equation="1 - exp(-units)", source=INCROPERA, valid="the other side has one temperature")
def effectiveness_at_a_wall(units: Number) -> Fraction:
    """Share of the greatest possible heat that a stream takes from a wall of one temperature. [1]"""
    result: Any = 1.0 - np.exp(-units)
    return result


_choose: Any = np.where


@formula(
    symbol="G", equation="heat / difference", source=INCROPERA, valid="difference above 0; elsewhere there is none"
)
def conductance_needed(heat: Watt, difference: KelvinStep) -> WattPerKelvin:
    """Conductance that lets a heat through at a difference. [W/K]"""
    return heat / _choose(difference > 0.0, difference, np.nan)


_interpolate: Any = np.interp


@procedure(symbol="G", words="read from the table at this flow, straight between its rows")
def radiator_at(flow: CubicMetrePerSecond, curve: Curve) -> WattPerKelvin:
    """What a radiator sheds for each kelvin at a flow of coolant. [W/K]"""
    x, y = curve.arrays
    return _interpolate(flow, x, y)
