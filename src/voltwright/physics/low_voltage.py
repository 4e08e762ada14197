"""The low-voltage side: what its loads draw, what the DC-DC must give, how long the small battery lasts, driving and parked."""

from __future__ import annotations

from typing import Annotated, Any

import numpy as np

from voltwright.quantity.formula import formula
from voltwright.quantity.source import Source
from voltwright.quantity.types import Ampere, Coulomb, Fraction, Joule, Metre, Number, Second, Volt, Watt
from voltwright.quantity.units import Unit

MilliAmpere = Annotated[float, Unit("mA")]
Hour = Annotated[float, Unit("h")]
Day = Annotated[float, Unit("d")]
OhmPerMetre = Annotated[float, Unit("mΩ/m")]
PEUKERT = Source("peukert-1897", "I^k · t is the same at every current")


@formula(symbol="I_w", equation="power / voltage")
def load_current(power: Watt, voltage: Volt) -> Ampere:
    """What a load draws, or a converter gives, at a voltage. [A]"""
    return power / voltage


@formula(symbol="P_n", equation="count * power")
def power_of_several(count: Number, power: Watt) -> Watt:
    """What several devices alike draw or give together. [W]"""
    return count * power


@formula(symbol="y_r", equation="(rating - needed) / rating")
def reserve(rating: Watt, needed: Watt) -> Fraction:
    """The share of a rating that is left over; negative where it is too small. [1]"""
    return (rating - needed) / rating


@formula(symbol="P_b", equation="Max(0, needed - rating)")
def from_battery(needed: Watt, rating: Watt) -> Watt:
    """What the battery must give because the converter cannot. [W]"""
    result: Any = np.maximum(0.0 * needed, needed - rating)
    return result


@formula(symbol="V_w", equation="current * resistance * length")
def feed_drop(current: Ampere, resistance: OhmPerMetre, length: Metre) -> Volt:
    """Voltage that is lost along a cable of so much resistance a metre. [V]"""
    return current * resistance * length


@formula(
    symbol="P_f",
    equation="capacity * voltage / time",
    source=Source("typical-practice", "a tenth of the capacity in an hour"),
)
def recharging_power(capacity: Coulomb, voltage: Volt, time: Second) -> Watt:
    """What it takes to fill a low-voltage battery in a time, beside the loads. [W]"""
    return capacity * voltage / time


@formula(symbol="C_a", equation="count * capacity * health")
def aged_capacity(count: Number, capacity: Coulomb, health: Fraction) -> Coulomb:
    """Capacity of so many batteries side by side when they are no longer new. [C]"""
    return count * capacity * health


@formula(
    symbol="t_b",
    equation="usable * hours * (capacity / (current * hours))**exponent",
    source=PEUKERT,
    valid="a steady current at about 25 °C; less in the cold",
)
def battery_time(usable: Fraction, hours: Second, capacity: Coulomb, current: Ampere, exponent: Number) -> Hour:
    """Time for which a battery gives a current. `capacity` is what it gives when it is emptied in `hours`. [s]"""
    return usable * hours * (capacity / (current * hours)) ** exponent


@formula(symbol="s_b", equation="start - end")
def usable_share(start: Fraction, end: Fraction) -> Fraction:
    """The part of a battery's capacity between two charges. [1]"""
    return start - end


@formula(symbol="C_n", equation="power * time / (voltage * usable)")
def capacity_needed(power: Watt, time: Second, voltage: Volt, usable: Fraction) -> Coulomb:
    """Capacity of which the usable share carries a load for a time. [C]"""
    return power * time / (voltage * usable)


@formula(symbol="I_s", equation="capacity * lost / time", valid="a cool place; about twice as much for each 10 K more")
def self_discharge(capacity: Coulomb, lost: Fraction, time: Second) -> MilliAmpere:
    """Self-discharge of a battery, as if a load drew it. [A]"""
    return capacity * lost / time


@formula(
    symbol="t_s",
    equation="capacity * Max(0, start - end) / (current + loss)",
    valid="a small steady current: the whole capacity is there",
)
def standing_time(capacity: Coulomb, start: Fraction, end: Fraction, current: Ampere, loss: Ampere) -> Day:
    """Time in which a parked car draws its battery down from one charge to another; `loss` is self-discharge. [s]"""
    fall: Any = np.maximum(0.0 * start, start - end)
    return capacity * fall / (current + loss)


@formula(symbol="P_u", equation="power / efficiency + own")
def standing_power(power: Watt, efficiency: Fraction, own: Watt) -> Watt:
    """What the pack gives while a parked car's loads are fed through the DC-DC, with what the DC-DC itself takes. [W]"""
    return power / efficiency + own


@formula(symbol="t_d", equation="energy * Max(0, charge - empty) / power")
def pack_standing_time(energy: Joule, charge: Fraction, empty: Fraction, power: Watt) -> Day:
    """Time in which a parked car draws its pack down from one charge to another. [s]"""
    fall: Any = np.maximum(0.0 * charge, charge - empty)
    return energy * fall / power
