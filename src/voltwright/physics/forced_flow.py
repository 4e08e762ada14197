"""Heat that moving air carries off: along a plate, such as the wall of a box under way or a module in the stream of a fan."""

from __future__ import annotations

from typing import Any

import numpy as np

from voltwright.physics.air import SquareMetrePerSecond
from voltwright.quantity.formula import formula
from voltwright.quantity.source import Source
from voltwright.quantity.types import Metre, MetrePerSecond, Number


@formula(symbol="Re", equation="speed * length / viscosity", source=Source("incropera-2007", "ch. 6"))
def reynolds(speed: MetrePerSecond, length: Metre, viscosity: SquareMetrePerSecond) -> Number:
    """Reynolds number of a flow. [1]"""
    return speed * length / viscosity


@formula(
    symbol="Nu",
    equation="Max(0.664 * sqrt(reynolds), 0.037 * reynolds**(4/5) - 871) * prandtl**(1/3)",
    source=Source("incropera-2007", "ch. 7, plate in a stream, laminar and mixed"),
    valid="Reynolds number up to 1e8, Prandtl number 0.6 to 60; turbulent from 5e5 on, earlier where the stream is rough",
)
def nusselt_flat_plate(reynolds: Number, prandtl: Number) -> Number:
    """Mean Nusselt number of a plate along a stream, by its length. [1]"""
    result: Any = np.maximum(0.664 * np.sqrt(reynolds), 0.037 * reynolds**0.8 - 871.0) * prandtl ** (1.0 / 3.0)
    return result
