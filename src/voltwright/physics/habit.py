"""A week of charging: how often the car must be plugged in for the distance that it drives, and how long it hangs there."""

from __future__ import annotations

from typing import Annotated

from voltwright.quantity.formula import formula
from voltwright.quantity.types import Fraction, Joule, MetrePerSecond, Number, Second
from voltwright.quantity.units import Unit

Consumption = Annotated[float, Unit("Wh/km")]


@formula(symbol="e", equation="share * consumption")
def part_of_consumption(share: Fraction, consumption: Consumption) -> Consumption:
    """What one kind of journey adds to the mean consumption. [J/m]"""
    return share * consumption


@formula(symbol="e", equation="parts / shares")
def mean_consumption(parts: Consumption, shares: Number) -> Consumption:
    """Mean consumption of all journeys, whose shares may not sum up to the whole. [J/m]"""
    return parts / shares


@formula(symbol="x_y", equation="1 - rest / year")
def driven_share(rest: Number, year: Number) -> Fraction:
    """Share of the year in which the car is driven; `rest` and `year` in months. [1]"""
    return 1.0 - rest / year


@formula(
    symbol="n_w",
    equation="distance * week * consumption / (energy * driven)",
    valid="weeks alike but for the winter rest; each charge from the lowest charge that is used up to the customer's limit",
)
def charges_in_week(
    distance: MetrePerSecond,
    week: Annotated[float, Unit("h")],
    consumption: Consumption,
    energy: Joule,
    driven: Fraction,
) -> Number:
    """Charges that a week of driving needs; `distance` is that of a year, as a speed. [1]"""
    return distance * week * consumption / (energy * driven)


@formula(symbol="t_u", equation="charges * time * (1 - fast)")
def hours_on_plug(charges: Number, time: Second, fast: Fraction) -> Annotated[float, Unit("h")]:
    """Time at the plug in a week, where a share of the energy is charged fast elsewhere. [s]"""
    return charges * time * (1.0 - fast)


@formula(symbol="t_u", equation="hours / times")
def hours_each_time(hours: Second, times: Number) -> Annotated[float, Unit("h")]:
    """Time at the plug each time. [s]"""
    return hours / times
