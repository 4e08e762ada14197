"""Money: an invoice added up by hand, and the rounding rule."""

from __future__ import annotations

from decimal import Decimal

import pytest

from voltwright.physics import money as law


@pytest.mark.parametrize(
    ("amount", "rounded"),
    [("2.344", "2.34"), ("2.345", "2.35"), ("2.355", "2.36"), ("0.005", "0.01"), ("19.9949", "19.99")],
)
def test_halves_go_up(published, amount: str, rounded: str) -> None:
    """Commercial rounding (DIN 1333: halves away from zero), worked by hand; binary floats would give 2.35 -> 2.34 here and there."""
    published.check(
        source="DIN 1333 commercial rounding, from memory; by hand",
        law="to_the_cent",
        asked=amount,
        expected=float(rounded),
        got=float(law.to_the_cent(amount=Decimal(amount))),
        absolute=0.0,
        why="exact",
        keys=("cost.parts",),
    )
    assert law.to_the_cent(amount=Decimal(amount)) == Decimal(rounded)


def test_an_invoice_by_hand(published) -> None:
    """16 modules at 412.35, 7.5 h at 62.10 and 23 % tax: 6597.60 + 465.75 = 7063.35; tax 1624.5705; 8687.92. By hand."""
    modules = law.to_the_cent(amount=law.line_price(count=Decimal(16), price=Decimal("412.35")))
    labour = law.to_the_cent(amount=law.labour_price(hours=Decimal("7.5"), rate=Decimal("62.10")))
    whole = law.to_the_cent(amount=law.with_share(amount=modules + labour, share=Decimal("0.23")))
    assert (modules, labour, whole) == (Decimal("6597.60"), Decimal("465.75"), Decimal("8687.92"))
    published.check(
        source="an invoice added up by hand",
        law="line_price, labour_price, with_share",
        asked="with tax",
        expected=8687.92,
        got=float(whole),
        absolute=0.0,
        why="exact",
        keys=("cost.total", "cost.price", "cost.price_with_tax", "cost.labour"),
    )


def test_another_currency_by_hand(published) -> None:
    """1250.00 EUR at 0.8734 GBP for one EUR are 1091.75 GBP. By hand."""
    got = law.to_the_cent(amount=law.exchanged(price=Decimal("1250.00"), rate=Decimal("0.8734")))
    published.check(
        source="by hand",
        law="exchanged",
        asked="1250 EUR in GBP",
        expected=1091.75,
        got=float(got),
        absolute=0.0,
        why="exact",
    )
