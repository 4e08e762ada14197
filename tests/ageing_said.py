"""What the checks of ageing share: the keys that rest on it, sources that both name, and a loss in per cent."""

from __future__ import annotations

from voltwright.physics import ageing

YEARS = ("life.years_to_80", "life.capacity_at_10_years", "life.calendar_share")
RESISTANCE = ("life.resistance_at_10_years",)
SCHMALSTIEG = (
    "Schmalstieg 2014, J. Power Sources 257, 325; constants as in four copies that agree, points computed from them"
)
NAUMANN_18 = "Naumann 2018, J. Energy Storage 17, 153; constants as in a copy, points computed from them"
YEAR = 365.25 * 86400.0  # s


def celsius(value: float) -> float:
    return value + 273.15


def percent(rate: float, amount: float, exponent: float) -> float:
    """Loss of a new cell at one stress. [%]"""
    wear = ageing.wear_after(wear=0.0, rate=rate, amount=amount, exponent=exponent)
    return 100.0 * ageing.loss_of_wear(wear=wear, exponent=exponent)
