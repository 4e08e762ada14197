"""Naumann 2018: capacity and resistance of LFP cells that stand.

Measured on 26650 cells of 3 Ah, LiFePO4 with graphite, stored for 885 days at 0 to 60 °C and 0 to 100 % charge. Time in seconds.
Capacity is lost with the square root of time, resistance grows with time itself.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from voltwright.quantity.formula import formula
from voltwright.quantity.source import Source
from voltwright.quantity.types import Fraction, Kelvin, Number

CALENDAR_EXPONENT = 0.5
KELVIN = 1.0  # the unit in which the constants stand
STORED = "stored at 0 to 60 °C, 0 to 100 % charge, 2.4 years"
PAPER = Source("naumann-2018")


@formula(
    symbol="a_c",
    equation="1.2571e-5 * exp(-17126 / 8.3144598 * (kelvin / temperature - 1 / 298.15)) * (2.8575 * (charge - 0.5)**3 + 0.60225)",
    source=PAPER,
    valid=STORED,
)
def naumann_calendar_loss(charge: Fraction, temperature: Kelvin, kelvin: Kelvin) -> Number:
    """Capacity lost by standing, over the square root of seconds. [1]"""
    by_temperature: Any = 1.2571e-5 * np.exp(-17126.0 / 8.3144598 * (kelvin / temperature - 1.0 / 298.15))
    result: Any = by_temperature * (2.8575 * (charge - 0.5) ** 3 + 0.60225)
    return result


@formula(
    symbol="a_r",
    equation="3.4194e-10 * exp(-71827 / 8.3144598 * (kelvin / temperature - 1 / 298.15)) * (-3.3903 * (charge - 0.5)**2 + 1.5604)",
    source=PAPER,
    valid=STORED,
)
def naumann_calendar_growth(charge: Fraction, temperature: Kelvin, kelvin: Kelvin) -> Number:
    """Resistance gained by standing, as a share of new, over seconds. [1]"""
    by_temperature: Any = 3.4194e-10 * np.exp(-71827.0 / 8.3144598 * (kelvin / temperature - 1.0 / 298.15))
    result: Any = by_temperature * (-3.3903 * (charge - 0.5) ** 2 + 1.5604)
    return result
