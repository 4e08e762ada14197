"""Xu 2016: life of a cell from the cycles that it was given and from the time that it stood.

Stress of each cycle by depth, mean charge and temperature, and of time by charge and temperature, add up to one measure of wear;
a part of the capacity is lost early, with the film on the anode, the rest in proportion to what is left. Constants are those of the
paper's LMO example. Three of them were read in a copy, the rest are from memory: a second opinion, no ground for a promise.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from voltwright.quantity.formula import formula
from voltwright.quantity.source import Source
from voltwright.quantity.types import Fraction, Kelvin, Number, Second

REFERENCE = 298.15  # K
KELVIN, SECOND = 1.0, 1.0  # the units in which the constants stand
PAPER = Source("xu-2016", "constants of the LMO example, mostly from memory")
FITTED = "LMO cells of the example; depth above 2 %, near 25 °C"


@formula(symbol="S_d", equation="1 / (1.4e5 * depth**-0.501 - 1.23e5)", source=PAPER, valid=FITTED)
def xu_depth_stress(depth: Fraction) -> Number:
    """Wear of one cycle of a depth. [1]"""
    return 1.0 / (1.4e5 * depth**-0.501 - 1.23e5)


@formula(symbol="S_s", equation="exp(1.04 * (charge - 0.5))", source=PAPER, valid=FITTED)
def xu_charge_stress(charge: Fraction) -> Number:
    """How much faster a cell wears at a mean charge than at half. [1]"""
    result: Any = np.exp(1.04 * (charge - 0.5))
    return result


@formula(
    symbol="S_T",
    equation="exp(0.0693 * (temperature - reference) / kelvin * reference / temperature)",
    source=PAPER,
    valid=f"{FITTED}; above 15 °C",
)
def xu_temperature_stress(temperature: Kelvin, reference: Kelvin, kelvin: Kelvin) -> Number:
    """How much faster a cell wears at a temperature than at the reference of 25 °C. [1]"""
    result: Any = np.exp(0.0693 * (temperature - reference) / kelvin * reference / temperature)
    return result


@formula(symbol="S_t", equation="4.14e-10 * time / second", source=PAPER, valid=FITTED)
def xu_time_stress(time: Second, second: Second) -> Number:
    """Wear of time at half charge and the reference temperature. [1]"""
    return 4.14e-10 * time / second


@formula(
    symbol="L_x",
    equation="1 - 0.0575 * exp(-121 * wear) - (1 - 0.0575) * exp(-wear)",
    source=PAPER,
    valid=FITTED,
)
def xu_loss(wear: Number) -> Fraction:
    """Capacity lost after so much wear. [1]"""
    result: Any = 1.0 - 0.0575 * np.exp(-121.0 * wear) - (1.0 - 0.0575) * np.exp(-wear)
    return result
