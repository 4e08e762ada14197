"""A car after its conversion against the same car before it."""

from __future__ import annotations

from voltwright.quantity.formula import formula
from voltwright.quantity.types import Fraction, Kilogram, Number, Watt


@formula(symbol="r_P", equation="power / before")
def power_share(power: Watt, before: Watt) -> Fraction:
    """Power of the new motor over that of the old engine. [%]"""
    return power / before


@formula(symbol="r_m", equation="mass / before")
def mass_share(mass: Kilogram, before: Kilogram) -> Fraction:
    """Mass of the converted car over that of the donor. [%]"""
    return mass / before


@formula(symbol="P", equation="count * power_each")
def power_of_several(count: Number, power_each: Watt) -> Watt:
    """Power of several equal motors. [W]"""
    return count * power_each
