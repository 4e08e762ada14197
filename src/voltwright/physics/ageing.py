"""Ageing of cells, what every model of it shares: loss that goes on by a power law, and what the year does to a parked car.

The models are one file each, named after its paper: schmalstieg_2014, naumann_2018, naumann_2020, wang_2011, xu_2016.
"""

from __future__ import annotations

from typing import Annotated, Any

import numpy as np

from voltwright.physics.consumption import JoulePerMetre
from voltwright.quantity.formula import formula
from voltwright.quantity.source import Source
from voltwright.quantity.types import (
    Ampere,
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

KelvinMore = Annotated[float, Unit("K")]
Kilometre = Annotated[float, Unit("km")]
Year = Annotated[float, Unit("year")]
Hour = Annotated[float, Unit("h")]

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


@formula(symbol="C_0", equation="capacity / health")
def rated_capacity(capacity: Coulomb, health: Fraction) -> Coulomb:
    """Capacity of the pack when its cells were new. [C]"""
    return capacity / health


@formula(symbol="n_m", equation="share / shares * way / length")
def trips_in(share: Fraction, shares: Fraction, way: Kilometre, length: Metre) -> Number:
    """How many trips of one kind a distance holds, by its share of the distance. [1]"""
    return share / shares * way / length


@formula(symbol="t_m", equation="share / shares * way / speed")
def time_in(share: Fraction, shares: Fraction, way: Kilometre, speed: MetrePerSecond) -> Hour:
    """How long one kind of trip takes in a distance, by its share of the distance. [s]"""
    return share / shares * way / speed


@formula(
    symbol="d_m", equation="way / trips", valid="distance over number: the mean of the trips, not of the kilometres"
)
def mean_length(way: Kilometre, trips: Number) -> Kilometre:
    """Mean length of a trip. [m]"""
    return way / trips


@formula(symbol="v_m", equation="way / time")
def mean_speed(way: Kilometre, time: Hour) -> MetrePerSecond:
    """Mean speed of several kinds of trips: distance over time. [m/s]"""
    return way / time


@formula(symbol="t_l", equation="length / speed")
def lasts(length: Metre, speed: MetrePerSecond) -> Hour:
    """How long a trip lasts. [s]"""
    return length / speed


@formula(
    symbol="t_k",
    equation="2 * constant",
    valid="what cools with one time constant; same area, and same area of its square, as the fall",
)
def cooling_block(constant: Second) -> Hour:
    """Time of a steady warmth, half of that at the start, which stands for a fall with a time constant. [s]"""
    return 2.0 * constant


@formula(symbol="t_w", equation="lasts + cooling")
def warm_time(lasts: Hour, cooling: Second) -> Hour:
    """How long a trip keeps the cells warm. [s]"""
    return lasts + cooling


@formula(symbol="ΔT_t", equation="(driven * lasts + end / 2 * cooling) / (lasts + cooling)")
def rise_of_trip(driven: KelvinMore, end: KelvinMore, lasts: Hour, cooling: Hour) -> KelvinMore:
    """How much warmer a trip makes the cells, on the mean of the time in which they are warm. [K]

    `driven`: on the mean of the trip; `end`: at its end, half of which stands for the `cooling` after it.
    """
    return (driven * lasts + end / 2.0 * cooling) / (lasts + cooling)


@formula(symbol="t_W", equation="trips * warm")
def warm_time_in(trips: Number, warm: Hour) -> Hour:
    """Warm time of one kind of trip in a distance. [s]"""
    return trips * warm


@formula(symbol="t_w", equation="time / trips")
def warm_time_each(time: Hour, trips: Number) -> Hour:
    """Mean of the time for which a trip keeps the cells warm. [s]"""
    return time / trips


@formula(symbol="ΔT_m", equation="time / times * rise")
def part_of_rise(time: Hour, times: Hour, rise: KelvinMore) -> KelvinMore:
    """What one kind of trip adds to the mean rise, by shares of the warm time. [K]"""
    return time / times * rise


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


@formula(symbol="x_I", equation="current * hour / capacity")
def rate_of_current(current: Ampere, capacity: Coulomb, hour: Second) -> Number:
    """C-rate of a current. [1]"""
    return current * hour / capacity


@formula(symbol="P_m", equation="consumption * speed")
def power_of_driving(consumption: JoulePerMetre, speed: MetrePerSecond) -> Watt:
    """Mean power at the battery while the car moves. [W]"""
    return consumption * speed


@formula(symbol="x_C", equation="(1 - fast) * (first + slow) / 2 + fast * (first + quick) / 2")
def mean_rate(first: Number, slow: Number, quick: Number, fast: Fraction) -> Number:
    """C-rate of discharge and charge together, half of the throughput each; a share `fast` is charged at `quick`. [1]"""
    return (1.0 - fast) * (first + slow) / 2.0 + fast * (first + quick) / 2.0


@formula(
    symbol="d_10",
    equation="way * capacity / health * (taken + lost) / (taken + lost * aged / growth)",
    valid="range goes with capacity; loss in the cells goes with their resistance, links counted with them; no power limit is met",
)
def range_when_aged(
    way: Metre, capacity: Fraction, health: Fraction, taken: JoulePerMetre, lost: JoulePerMetre, aged: Number, growth: Number
) -> Kilometre:  # fmt: skip
    """Range once less capacity is left than the `health`, and more resistance than the `growth`, with which `way` was worked. [m]

    `taken` is what the car takes from the terminals, `lost` what the cells lose on the way, both as they are now; `aged` and
    `growth` are resistance as a multiple of new.
    """
    return way * capacity / health * (taken + lost) / (taken + lost * aged / growth)


@formula(symbol="h_b", equation="health * wanted / way", valid="range goes with capacity; resistance left out")
def capacity_for_range(health: Fraction, wanted: Metre, way: Metre) -> Fraction:
    """Capacity as a share of rated at which a range is left. [1]"""
    return health * wanted / way


@formula(symbol="d_80", equation="speed * time")
def distance_in(speed: MetrePerSecond, time: Year) -> Kilometre:
    """Distance of so many years. [m]"""
    return speed * time


@formula(
    symbol="n_r",
    equation="cycles * (0.2 / (1 - left))**2",
    source=Source("typical-practice", "loss goes with the square root of cycles, as in Naumann 2020"),
)
def cycles_to_end(cycles: Number, left: Fraction) -> Number:
    """Rated cycles until 80 % are left, where they are rated until another capacity is `left`. [1]"""
    return cycles * (0.2 / (1.0 - left)) ** 2


@formula(symbol="P_o", equation="energy * lost / time")
def self_discharge_power(energy: Joule, lost: Fraction, time: Second) -> Watt:
    """Self-discharge of a pack, as if a load drew it. [W]"""
    return energy * lost / time


@formula(symbol="d_r", equation="cycles * way")
def distance_of_cycles(cycles: Number, way: Metre) -> Kilometre:
    """The rule of thumb: rated cycles times the range of one charge. [m]"""
    return cycles * way


@formula(symbol="t_r", equation="distance / speed")
def years_of(distance: Metre, speed: MetrePerSecond) -> Year:
    """How long a distance lasts. [s]"""
    return distance / speed


@formula(symbol="t_Δ", equation="capacity * away / current", source=Source("typical-practice", "charge over current"))
def balancing_time(capacity: Coulomb, away: Fraction, current: Ampere) -> Second:
    """Time in which a balancing current brings back a group that is `away` from the others. [s]"""
    return capacity * away / current
