"""What has no price, what rests on invented prices, and what the customer wished to pay."""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.assess.cost import missing_prices, priced_parts
from voltwright.quantity.figure import money
from voltwright.rules.finding import Assessed, Finding, likely
from voltwright.rules.rule import rule
from voltwright.rules.ways import fewer_in_series, fewer_strings


@rule()
def prices(seen: Assessed) -> Iterator[Finding]:
    """Has everything that is bought a price?"""
    missing = missing_prices(seen.case)
    if missing:
        currency = seen.case.build.currency
        yield Finding(
            key="cost.price_missing",
            severity="caution",
            title="A price is missing",
            detail=f"No price in {currency}: {'; '.join(missing)}. The sum is not given.",
            limit="every price",
            value=f"{len(missing)} missing",
            remedy=f"Enter it under costing.prices in {currency}, or the exchange rate under costing.exchange.",
        )


@rule("cost")
def tasks_named(seen: Assessed) -> Iterator[Finding]:
    """Are the hours of work named?"""
    if "cost.labour" not in seen.sheet.nodes:
        yield Finding(
            key="cost.labour_missing",
            severity="caution",
            title="The work has no price",
            detail=f"Labour and price are not given: {seen.sheet.reasons['cost.labour']}.",
            remedy="Name the hourly rate under costing.labour_rate, and each piece of work with its hours under costing.tasks.",
        )


@rule("cost")
def price_wished(seen: Assessed) -> Iterator[Finding]:
    """Does the price stay within the brief?"""
    wish, price = seen.case.build.brief.price, seen.sheet.nodes.get("cost.price_with_tax")
    if wish is None or price is None or wish.unit.spelling != seen.case.build.currency or price.value <= wish.exact:
        return
    asked, costs, over = (money(float(each), wish.unit) for each in (wish.exact, price.value, price.value - wish.exact))
    yield Finding(
        key="brief.price",
        severity="caution",
        title="The price is above the brief",
        detail=f"With tax the conversion costs {costs}; the brief allows {asked}.",
        limit=asked,
        value=costs,
        margin=f"−{over}",
        likelihood=likely(seen.failing("cost.price_with_tax", float(wish.exact), "the price stays within the brief")),
        remedy=f"Save {over} with tax, or agree on another price.",
        ladders=(fewer_strings(seen), fewer_in_series(seen)),
    )


@rule()
def invented_prices(seen: Assessed) -> Iterator[Finding]:
    """Does the price rest on real prices?"""
    own = seen.case.build.costing.prices
    shelf = [seen.case.shelf.any(part_id) for part_id in priced_parts(seen.case) if part_id not in own]
    invented = [
        part for part in shelf if part.price is not None and part.grade_of("price") in ("invented", "estimated")
    ]
    if invented:
        yield Finding(
            key="cost.invented_prices",
            severity="caution",
            title="The price rests on invented prices",
            detail=f"{len(invented)} of {len(shelf) + len(own)} kinds of parts are priced by the shipped catalogue, which is invented. "
            "The band of the price holds only what the build says is unsure, such as hours.",
            limit="a supplier's price",
            value=f"{len(invented)} invented",
            remedy="Ask the suppliers, and enter their prices under costing.prices.",
        )
