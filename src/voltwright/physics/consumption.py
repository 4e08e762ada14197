"""What a journey took: energy by the kilometre at the battery and at the wall, and what loads ask while it lasts."""

from __future__ import annotations

from typing import Annotated

from voltwright.quantity.formula import formula
from voltwright.quantity.source import Source
from voltwright.quantity.types import Fraction, Joule, Metre, Watt
from voltwright.quantity.units import Unit

JoulePerMetre = Annotated[float, Unit("Wh/km")]


@formula(symbol="e", equation="energy / way", source=Source("guzzella-2013", "ch. 2"))
def energy_by_way(energy: Joule, way: Metre) -> JoulePerMetre:
    """Energy by the way that was driven with it. [J/m]"""
    return energy / way


@formula(
    symbol="E_w",
    equation="chemistry * wall / stored",
    valid="put back as in a whole charge: charge is not lost, every ampere hour that goes in comes out",
)
def put_back(chemistry: Joule, wall: Joule, stored: Joule) -> Joule:
    """What the socket gives to put back what left the cells, when it gives `wall` to put back `stored`. [J]"""
    return chemistry * wall / stored


@formula(symbol="P", equation="power * use")
def mean_power(power: Watt, use: Fraction) -> Watt:
    """Mean power of what is on for a share of the time. [W]"""
    return power * use
