"""Numbers as people read them: gaps between thousands, money without needless cents, few digits in a working.

The gap: SI Brochure, 9th edition, 5.4.4, from memory: groups of three, parted by a small space; four digits need none.
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from voltwright.quantity.figure import Figure, few, fixed, money, working
from voltwright.quantity.grammar import read
from voltwright.quantity.provenance import Origin
from voltwright.quantity.units import Unit
from voltwright.quantity.work import Node, leaf

EUR = Unit("EUR")


@pytest.mark.parametrize(
    ("value", "decimals", "printed"),
    [
        (9999.4, 0, "9999"),
        (9999.5, 0, "10\u00a0000"),
        (-1234567.891, 2, "−1\u00a0234\u00a0567.89"),
        (0.123456, 6, "0.123456"),
    ],
)
def test_thousands_are_parted_from_five_digits_on(value: float, decimals: int, printed: str) -> None:
    assert fixed(value, decimals) == printed
    assert read(f"{printed} kg", Unit("kg")).value == float(printed.replace("\u00a0", "").replace("−", "-"))


def test_what_is_printed_is_read_again_and_other_gaps_are_refused() -> None:
    assert read("12\u00a0500 km", Unit("km")).value == 12_500_000
    for text in ("12\u00a05 km", "1 000 km"):
        with pytest.raises(Exception, match="gap inside a number"):
            read(text, Unit("km"))


@pytest.mark.parametrize(
    ("value", "unit", "printed"),
    [
        (999.5, "EUR", "999.50 EUR"),
        (1000.0, "EUR", "1000 EUR"),
        (57125.16, "EUR", "57\u00a0125 EUR"),
        (1234.5, "JPY", "1235 JPY"),
    ],
)
def test_money_from_a_thousand_up_has_no_cents(value: float, unit: str, printed: str) -> None:
    assert money(value, Unit(unit)) == printed


def test_cents_of_a_price_that_nobody_knows_so_well_are_left_out() -> None:
    assert Figure("cost.parts", "Parts", EUR, 2, 400.25, low=399.0, high=402.0).printed() == "400.25 EUR"
    assert Figure("cost.parts", "Parts", EUR, 2, 400.25, low=380.0, high=420.0).printed() == "400 EUR"


@pytest.mark.parametrize(
    ("value", "printed"),
    [(1234.5678, "1235"), (12345.678, "12\u00a0346"), (0.00123456, "0.001235"), (-3.14159, "−3.142"), (96.0, "96"), (0.0, "0"),
     (1.23456e-9, "1.235e−09")],
)  # fmt: skip
def test_a_working_shows_four_digits_and_every_whole_one(value: float, printed: str) -> None:
    assert few(value) == printed


def test_what_is_exact_stands_in_full_in_a_working() -> None:
    by_law = leaf(9.80665, "m/s²", "Standard gravity", Origin("by definition"))
    entered = leaf(9.80665, "m/s²", "As weighed", Origin("entered"))
    assert [working(each)["printed"] for each in (by_law, entered)] == ["9.80665", "9.807"]
    assert working(entered)["value"] == "9.80665"
    price = Node(Decimal("640.25"), EUR, "Price", origin=Origin("entered"))
    assert working(price)["printed"] == "640.25"
