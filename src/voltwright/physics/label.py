"""Arithmetic of the United States label for electric cars: what two schedules give, made into the figures on the window.

An economy is a distance for an energy, in miles for a kilowatt-hour.
"""

from __future__ import annotations

from typing import Annotated, Any

import numpy as np

from voltwright.quantity.formula import formula, procedure
from voltwright.quantity.source import Source
from voltwright.quantity.types import Fraction, Number
from voltwright.quantity.units import Unit

ADJUSTMENT = 0.7  # 40 CFR 600.210-12(d)(3)(ii)
CITY_SHARE = 0.55  # 40 CFR 600.210-12(c)(1)(iii)

Distance = Annotated[float, Unit("km")]


@formula(symbol="e_l", equation="economy * adjustment", source=Source("cfr-40-600-210", "(d)(3)(ii)"))
def label_economy(economy: Number, adjustment: Number) -> Number:
    """Economy for the label, from that on a schedule. [mi/kWh]"""
    return economy * adjustment


@formula(symbol="s_l", equation="distance * adjustment", source=Source("cfr-40-600-210", "(d)(3)(ii)"))
def label_range(distance: Distance, adjustment: Number) -> Distance:
    """Range for the label, from that on a schedule. [m]"""
    return distance * adjustment


@formula(
    symbol="e_c",
    equation="1 / (city_share / city + (1 - city_share) / highway)",
    source=Source("cfr-40-600-210", "(c)(1)(iii)"),
)
def combined_economy(city: Number, highway: Number, city_share: Fraction) -> Number:
    """City and highway together: energies for a distance add up, so the mean is harmonic. [mi/kWh]"""
    return 1.0 / (city_share / city + (1.0 - city_share) / highway)


@procedure(
    symbol="e_c",
    words="rounded to 0.001, a half to the even digit",
    source=Source("cfr-40-600-210", "(c)(1)(iii)"),
)
def rounded_economy(economy: Number) -> Number:
    """An economy as it is written down. [mi/kWh]"""
    result: Any = np.round(economy, 3)
    return result
