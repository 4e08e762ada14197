"""Words around names: the article, in findings and in errors."""

from __future__ import annotations

import pytest

from helpers import dossier
from voltwright.quantity.words import one


@pytest.mark.parametrize(
    ("name", "printed"),
    [
        ("inverter", "an inverter"), ("isolation monitor", "an isolation monitor"), ("alternator", "an alternator"),
        ("MSD", "an MSD"), ("msd", "an msd"), ("charger", "a charger"), ("DC-DC", "a DC-DC"), ("BMS", "a BMS"), ("unit", "a unit"),
    ],
)  # fmt: skip
def test_the_article_follows_the_sound(name: str, printed: str) -> None:
    assert one(name) == printed


def test_a_remedy_speaks_of_an_inverter() -> None:
    long = {"pack.series": 9, "pack.parallel": 1, "pack.boxes.0.modules": 9, "pack.boxes.1.modules": 0}
    said = next(each for each in dossier(long).findings if each.key == "pack.voltage_limit.inverter")
    assert said.remedy is not None
    assert "or an inverter for at least" in said.remedy
