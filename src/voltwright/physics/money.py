"""Money is exact: decimals, each line rounded to 0.01 whatever the currency, halves upwards."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from typing import Annotated, Any

from voltwright.quantity.formula import formula, procedure
from voltwright.quantity.types import Count, Hours, Money, MoneyPerHour, Share
from voltwright.quantity.units import Unit

Years = Annotated[Decimal, Unit("year")]
Kilometres = Annotated[Decimal, Unit("km")]

CENT = Decimal("0.01")


@procedure(symbol="p", words="rounded to 0.01, halves upwards")
def to_the_cent(amount: Money) -> Money:
    """An amount that can be paid. [currency]"""
    loose: Any = amount  # samples of a band are arrays, which nobody pays
    return loose.quantize(CENT, rounding=ROUND_HALF_UP) if isinstance(loose, Decimal) else loose


@formula(symbol="p", equation="count * price")
def line_price(count: Count, price: Money) -> Money:
    """Price of several equal things. [currency]"""
    return count * price


@formula(symbol="p", equation="hours * rate")
def labour_price(hours: Hours, rate: MoneyPerHour) -> Money:
    """Price of hours. [currency]"""
    return hours * rate


@formula(symbol="p", equation="price * rate")
def exchanged(price: Money, rate: Count) -> Money:
    """A price in the currency of the build; `rate` is how much of it one unit of the other buys. [currency]"""
    return price * rate


@formula(symbol="p", equation="amount * (1 + share)")
def with_share(amount: Money, share: Share) -> Money:
    """An amount with a share of itself on top: a margin, or tax. [currency]"""
    return amount * (1 + share)


@formula(symbol="p_y", equation="amount * year / years")
def price_by_year(amount: Money, year: Years, years: Years) -> Money:
    """What a thing costs for each year that it lasts; `year` is one. [currency]"""
    return amount * year / years


@formula(symbol="p_d", equation="amount * kilometre / distance")
def price_by_kilometre(amount: Money, kilometre: Kilometres, distance: Kilometres) -> Money:
    """What a thing costs for each kilometre that it lasts; `kilometre` is one. [currency]"""
    return amount * kilometre / distance
