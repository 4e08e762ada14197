"""Schmalstieg 2014: capacity and resistance of NMC cells, by calendar and by throughput.

Measured on 18650 cells of 2.05 Ah, LiNi1/3Mn1/3Co1/3O2 with graphite: stored at 35 to 50 °C (for the temperature) and at 20 to 95 % charge,
cycled at 35 °C and 1C. Time in days, throughput in Ah of that cell, charge and discharge both counted: the throughput of another
cell is scaled by capacity first.

Traps: one copy that spread has 7.542 for 7.543, another +1.521e-5 for -1.521e-5; the mean voltage of a cycle is the quadratic one;
below 3.149 V the calendar law would turn negative.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from voltwright.quantity.formula import formula
from voltwright.quantity.source import Source
from voltwright.quantity.types import Coulomb, Fraction, Kelvin, Number, Volt

TEST_CAPACITY = 2.05  # Ah of the cell that was tested
CALENDAR_EXPONENT = 0.75
CYCLE_EXPONENT = 0.5
VOLT, KELVIN = 1.0, 1.0  # the units in which the constants stand
STORED = "stored at 35 to 50 °C and 20 to 95 % charge; below 3.149 V taken as no loss"
CYCLED = "1C at 35 °C; depth 5 to 100 %"
PAPER = Source("schmalstieg-2014")


@formula(
    symbol="α_c",
    equation="Max(0, 7.543 * voltage / volt - 23.75) * 1e6 * exp(-6976 * kelvin / temperature)",
    source=PAPER,
    valid=STORED,
)
def schmalstieg_calendar_loss(voltage: Volt, temperature: Kelvin, volt: Volt, kelvin: Kelvin) -> Number:
    """Capacity lost by standing, over days to the power 0.75. [1]"""
    result: Any = np.maximum(0.0, 7.543 * voltage / volt - 23.75) * 1e6 * np.exp(-6976.0 * kelvin / temperature)
    return result


@formula(
    symbol="α_r",
    equation="Max(0, 5.270 * voltage / volt - 16.32) * 1e5 * exp(-5986 * kelvin / temperature)",
    source=PAPER,
    valid=STORED,
)
def schmalstieg_calendar_growth(voltage: Volt, temperature: Kelvin, volt: Volt, kelvin: Kelvin) -> Number:
    """Resistance gained by standing, as a share of new, over days to the power 0.75. [1]"""
    result: Any = np.maximum(0.0, 5.270 * voltage / volt - 16.32) * 1e5 * np.exp(-5986.0 * kelvin / temperature)
    return result


@formula(
    symbol="β_c",
    equation="7.348e-3 * (voltage / volt - 3.667)**2 + 7.6e-4 + 4.081e-3 * depth",
    source=PAPER,
    valid=CYCLED,
)
def schmalstieg_cycle_loss(voltage: Volt, depth: Fraction, volt: Volt) -> Number:
    """Capacity lost by cycling, over the square root of throughput (Ah of the tested cell). [1]

    `voltage` is the quadratic mean over the cycle.
    """
    return 7.348e-3 * (voltage / volt - 3.667) ** 2 + 7.6e-4 + 4.081e-3 * depth


@formula(
    symbol="β_r",
    equation="Max(1.5e-5, 2.153e-4 * (voltage / volt - 3.725)**2 - 1.521e-5 + 2.798e-4 * depth)",
    source=PAPER,
    valid=CYCLED,
)
def schmalstieg_cycle_growth(voltage: Volt, depth: Fraction, volt: Volt) -> Number:
    """Resistance gained by cycling, as a share of new, over throughput (Ah of the tested cell). [1]"""
    result: Any = np.maximum(1.5e-5, 2.153e-4 * (voltage / volt - 3.725) ** 2 - 1.521e-5 + 2.798e-4 * depth)
    return result


@formula(
    symbol="Q_t",
    equation="2.05 * throughput / capacity",
    source=PAPER,
    valid="a cell of another size wears as the tested one that turns over the same share of its capacity",
)
def schmalstieg_throughput(throughput: Coulomb, capacity: Coulomb) -> Number:
    """Throughput, charge and discharge both, as Ah of the cell that was tested. [1]"""
    return 2.05 * throughput / capacity
