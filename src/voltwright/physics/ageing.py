"""Ageing of cells, what every model of it shares: loss that goes on by a power law, and what the year does to a parked car.

The models are one file each, named after its paper: schmalstieg_2014, naumann_2018, naumann_2020, wang_2011, xu_2016.
"""

from __future__ import annotations

from typing import Annotated, Any

import numpy as np

from voltwright.physics.cell import CellVolt
from voltwright.physics.consumption import JoulePerMetre
from voltwright.quantity.formula import formula, procedure
from voltwright.quantity.source import Source
from voltwright.quantity.table import Curve
from voltwright.quantity.types import (
    Coulomb,
    Fraction,
    Joule,
    Kelvin,
    Metre,
    MetrePerSecond,
    Number,
    Second,
    Volt,
    Watt,
)
from voltwright.quantity.units import Unit

# numpy types this for arrays alone.
_interpolate: Any = np.interp

KelvinMore = Annotated[float, Unit("K")]
Kilometre = Annotated[float, Unit("km")]
Year = Annotated[float, Unit("year")]

EQUIVALENT_TIME = Source(
    "typical-practice", "equivalent time: the age at which the present stress would have taken as much"
)


@formula(
    symbol="W_a",
    equation="wear + rate**(1 / exponent) * amount",
    source=EQUIVALENT_TIME,
    valid="loss = rate · amount^exponent at one stress; the exponent is that of the law",
)
def wear_after(wear: Number, rate: Number, amount: Number, exponent: Number) -> Number:
    """Wear after `amount` more of time or throughput at a stress: loss to the power 1/exponent, which grows evenly. [1]

    A power law goes on from the loss that is there, it never begins anew: from the equivalent amount (loss / rate)^(1 / exponent)
    to the loss rate · (equivalent + amount)^exponent. Multiplied out, wear adds up, and nothing is divided by a rate that may be 0.
    """
    return wear + rate ** (1.0 / exponent) * amount


@formula(symbol="q_a", equation="wear**exponent", source=EQUIVALENT_TIME)
def loss_of_wear(wear: Number, exponent: Number) -> Fraction:
    """What is lost after so much wear. [1]"""
    return wear**exponent


@formula(symbol="W_a", equation="loss**(1 / exponent)", source=EQUIVALENT_TIME)
def wear_of_loss(loss: Fraction, exponent: Number) -> Number:
    """The wear of a cell of which so much is lost. [1]"""
    return loss ** (1.0 / exponent)


@formula(symbol="T_mo", equation="mean + swing * sin(2 * pi * part)", valid="mean temperatures of months")
def seasonal_temperature(mean: Kelvin, swing: KelvinMore, part: Fraction) -> Kelvin:
    """Temperature of the air at a part of the year after it passed its mean in spring. [K]"""
    result: Any = mean + swing * np.sin(2.0 * np.pi * part)
    return result


@formula(symbol="ΔT_mo", equation="share * (hottest - coldest) / 2")
def swing_of_months(share: Fraction, hottest: Kelvin, coldest: Kelvin) -> KelvinMore:
    """How far the warmest month lies above the mean of the year; `share` is that of the swing between design days. [K]"""
    return share * (hottest - coldest) / 2.0


@formula(symbol="T_p", equation="Max(least, air + warmer)")
def parked_temperature(air: Kelvin, warmer: KelvinMore, least: Kelvin) -> Kelvin:
    """Temperature of the cells of a parked car; `least` is what a heated place keeps. [K]"""
    result: Any = np.maximum(least, air + warmer)
    return result


@formula(symbol="d_f", equation="voltage * capacity / consumption")
def way_of_full_charge(voltage: Volt, capacity: Coulomb, consumption: JoulePerMetre) -> Kilometre:
    """How far the whole capacity would carry the car. [m]"""
    return voltage * capacity / consumption


@formula(symbol="n_y", equation="speed * time * (1 + again) / way")
def full_cycles(speed: MetrePerSecond, time: Second, again: Fraction, way: Metre) -> Number:
    """Equivalent full cycles in a time: charge that goes through over capacity. [1]

    `speed` is distance by time, `again` what regeneration passes through once more, `way` that of one full charge.
    """
    return speed * time * (1.0 + again) / way


@formula(symbol="x_C", equation="power * hour / energy")
def rate_of_power(power: Watt, energy: Joule, hour: Second) -> Number:
    """C-rate of a power: 1 empties a capacity of that energy in an hour. [1]"""
    return power * hour / energy


@formula(symbol="P_m", equation="consumption * speed")
def power_of_driving(consumption: JoulePerMetre, speed: MetrePerSecond) -> Watt:
    """Mean power at the battery while the car moves. [W]"""
    return consumption * speed


@formula(symbol="x_C", equation="(1 - fast) * (first + slow) / 2 + fast * (first + quick) / 2")
def mean_rate(first: Number, slow: Number, quick: Number, fast: Fraction) -> Number:
    """C-rate of discharge and charge together, half of the throughput each; a share `fast` is charged at `quick`. [1]"""
    return (1.0 - fast) * (first + slow) / 2.0 + fast * (first + quick) / 2.0


@procedure(
    symbol="Ū_q",
    words="root of the mean square of the open-circuit voltage, straight between its rows, over charges from one to the other "
    "in 64 steps",
    source=Source("schmalstieg-2014", "the mean voltage of its cycle law is the quadratic one"),
)
def quadratic_mean_voltage(empty: Fraction, full: Fraction, table: Curve) -> CellVolt:
    """Quadratic mean of the voltage of a rested cell between two charges. [V]"""
    x, y = table.arrays
    along = (np.arange(64) + 0.5)[:, None] / 64.0
    volts = _interpolate(np.asarray(empty) + (np.asarray(full) - np.asarray(empty)) * along, x, y)
    result: Any = np.sqrt(np.mean(volts**2, axis=0))
    return result if np.size(result) > 1 else float(np.squeeze(result))


@formula(symbol="d_10", equation="way * capacity / health", valid="range goes with capacity; resistance left out")
def range_when_aged(way: Metre, capacity: Fraction, health: Fraction) -> Kilometre:
    """Range once less capacity is left than the `health` with which `way` was worked. [m]"""
    return way * capacity / health


@formula(symbol="h_b", equation="health * wanted / way", valid="range goes with capacity; resistance left out")
def capacity_for_range(health: Fraction, wanted: Metre, way: Metre) -> Fraction:
    """Capacity as a share of rated at which a range is left. [1]"""
    return health * wanted / way


@formula(symbol="d_80", equation="speed * time")
def distance_in(speed: MetrePerSecond, time: Year) -> Kilometre:
    """Distance of so many years. [m]"""
    return speed * time


@formula(symbol="d_r", equation="cycles * way")
def distance_of_cycles(cycles: Number, way: Metre) -> Kilometre:
    """The rule of thumb: rated cycles times the range of one charge. [m]"""
    return cycles * way


@formula(symbol="t_r", equation="distance / speed")
def years_of(distance: Metre, speed: MetrePerSecond) -> Year:
    """How long a distance lasts. [s]"""
    return distance / speed


@formula(symbol="t_Δ", equation="capacity * away / current", source=Source("typical-practice", "charge over current"))
def balancing_time(capacity: Coulomb, away: Fraction, current: Annotated[float, Unit("A")]) -> Second:
    """Time in which a balancing current brings back a group that is `away` from the others. [s]"""
    return capacity * away / current
