"""Naumann 2020: capacity and resistance of LFP cells that are cycled.

The same 26650 cells of 3 Ah as in naumann_2018, cycled at 40 °C, mostly at 0.2C to 1C, depths of 5 to 100 %. Throughput in full equivalent
cycles, so that no cell size enters. What standing took during the test is not in it: the two laws add up.

Trap: the law of resistance turns negative above 1.05C; it is held at nothing there.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from voltwright.quantity.formula import formula
from voltwright.quantity.source import Source
from voltwright.quantity.types import Fraction, Number

CYCLE_EXPONENT = 0.5
CYCLED = "cycled at 40 °C, 0.2C to 1C, depth 5 to 100 %"
PAPER = Source("naumann-2020")


@formula(
    symbol="b_c",
    equation="0.01 * (0.0630 * rate + 0.0971) * (4.0253 * (depth - 0.6)**3 + 1.0923)",
    source=PAPER,
    valid=CYCLED,
)
def naumann_cycle_loss(rate: Number, depth: Fraction) -> Number:
    """Capacity lost by cycling at a C-rate, over the square root of full equivalent cycles. [1]"""
    return 0.01 * (0.0630 * rate + 0.0971) * (4.0253 * (depth - 0.6) ** 3 + 1.0923)


@formula(
    symbol="b_r",
    equation="0.01 * Max(0, -0.0020 * rate + 0.0021) * (6.8477 * (depth - 0.5)**3 + 0.9182)",
    source=PAPER,
    valid=f"{CYCLED}; above 1.05C taken as no growth",
)
def naumann_cycle_growth(rate: Number, depth: Fraction) -> Number:
    """Resistance gained by cycling at a C-rate, as a share of new, over full equivalent cycles. [1]"""
    result: Any = 0.01 * np.maximum(0.0, -0.0020 * rate + 0.0021) * (6.8477 * (depth - 0.5) ** 3 + 0.9182)
    return result
