"""Wang 2011: capacity of LFP cells that are cycled, with temperature and rate; a second opinion beside naumann_2020.

Measured on 26650 cells of 2.2 Ah, LiFePO4 with graphite, at 15 to 60 °C and C/2 to 10C. Throughput in Ah of that cell, discharge
alone: cycles times depth times capacity. The throughput of another cell is scaled by capacity first.

The factor is known at C/2, 2C, 6C and 10C; the cubic passes through these four points, and its shape between them is no data.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from voltwright.quantity.formula import formula
from voltwright.quantity.source import Source
from voltwright.quantity.types import Kelvin, Number

TEST_CAPACITY = 2.2  # Ah of the cell that was tested
CYCLE_EXPONENT = 0.55
KELVIN = 1.0  # the unit in which the constants stand
CYCLED = "15 to 60 °C, C/2 to 10C; outside the nearest rate holds"
PAPER = Source("wang-2011")


@formula(
    symbol="B_w",
    equation="-47.836 * Min(10, Max(0.5, rate))**3 + 1214.955 * Min(10, Max(0.5, rate))**2"
    " - 9418.914 * Min(10, Max(0.5, rate)) + 36041.6979",
    source=PAPER,
    valid=CYCLED,
)
def wang_factor(rate: Number) -> Number:
    """Factor of the law at a C-rate. [1]"""
    inside: Any = np.minimum(10.0, np.maximum(0.5, rate))
    return -47.836 * inside**3 + 1214.955 * inside**2 - 9418.914 * inside + 36041.6979


@formula(
    symbol="b_w",
    equation="0.01 * factor * exp((-31700 + 370.3 * rate) * kelvin / (8.314 * temperature))",
    source=PAPER,
    valid=CYCLED,
)
def wang_cycle_loss(factor: Number, rate: Number, temperature: Kelvin, kelvin: Kelvin) -> Number:
    """Capacity lost by cycling, over throughput (Ah of the tested cell) to the power 0.55. [1]"""
    result: Any = 0.01 * factor * np.exp((-31700.0 + 370.3 * rate) * kelvin / (8.314 * temperature))
    return result
