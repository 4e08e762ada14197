"""A car after its conversion against the same car before it."""

from __future__ import annotations

from voltwright.quantity.formula import formula
from voltwright.quantity.types import Fraction, Kilogram


@formula(symbol="r_m", equation="mass / before")
def mass_share(mass: Kilogram, before: Kilogram) -> Fraction:
    """Mass of the converted car over that of the donor. [%]"""
    return mass / before
