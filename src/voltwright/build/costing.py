"""Prices, hours and margins. Money is exact; one currency holds for the whole build."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, Field

from voltwright.build.base import Count, Frozen, PartId, Says, Text
from voltwright.quantity.entry import Entry, Expect, MoneyAmount, MoneyRate, Share, WorkTime
from voltwright.quantity.frozen import ReadOnly

CurrencyCode = Annotated[
    str,
    Field(pattern=r"^[A-Z]{3}$"),
    Says("a currency code of ISO 4217, such as USD; its value says what one is worth"),
]
Rate = Annotated[Entry, Expect("1", above=0, most=10000)]


class Task(Frozen):
    """One piece of work; `rate` where it differs from the workshop's."""

    name: Text
    hours: WorkTime
    rate: MoneyRate | None = None


class Purchase(Frozen):
    """Something bought that is on no shelf."""

    name: Text
    price: MoneyAmount | None = None
    count: Count = 1


class Costing(Frozen):
    """What turns parts and hours into a price."""

    labour_rate: MoneyRate | None = None
    margin_parts: Share
    margin_labour: Share
    tax: Share
    tasks: tuple[Task, ...] = ()
    purchases: tuple[Purchase, ...] = ()
    prices: Annotated[dict[PartId, MoneyAmount], AfterValidator(ReadOnly)] = ReadOnly()
    exchange: Annotated[dict[CurrencyCode, Rate], AfterValidator(ReadOnly)] = ReadOnly()
