"""Label arithmetic of 40 CFR 600.210-12, worked with exact fractions and against the sample calculation of appendix II."""

from __future__ import annotations

from fractions import Fraction

import pytest

from voltwright.physics import label as law

RULE = "40 CFR 600.210-12, read; worked here with exact fractions"


@pytest.mark.parametrize(("city", "highway"), [("4.2", "3.6"), ("3.1", "3.9"), ("5.0", "5.0")])
def test_combined_economy_is_a_harmonic_mean(published, city: str, highway: str) -> None:
    """0.55 of the miles in the city and 0.45 outside: the energy for 100 miles, turned over."""
    energy = 55 / Fraction(city) + 45 / Fraction(highway)
    got = law.combined_economy(city=float(city), highway=float(highway), city_share=law.CITY_SHARE)
    published.check(
        source=RULE, law="combined_economy", asked=f"city {city}, highway {highway} [mi/kWh]",
        expected=float(100 / energy), got=got, rel=1e-12, why="exact arithmetic",
        keys=("road.consumption.udds", "road.consumption.hwfet"),
    )  # fmt: skip
    published.check(
        source=RULE, law="rounded_economy", asked=f"city {city}, highway {highway} [mi/kWh]",
        expected=float(round(100 / energy, 3)), got=law.rounded_economy(economy=got), absolute=1e-12,
        why="the rule rounds to 0.001",
    )  # fmt: skip


def test_sample_calculation(published) -> None:
    """40 CFR part 600 appendix II (a): 27.7 in the city and 36.9 on the highway."""
    published.check(
        source="40 CFR part 600 appendix II (a): inputs read, result from memory", law="combined_economy",
        asked="27.7 and 36.9 together", expected=31.2,
        got=law.combined_economy(city=27.7, highway=36.9, city_share=law.CITY_SHARE), absolute=0.05,
        why="printed to 0.1; the same mean for miles per gallon",
    )  # fmt: skip


@pytest.mark.parametrize("miles", [100.0, 143.0])
def test_adjustment_of_range_and_economy(published, miles: float) -> None:
    published.check(
        source=RULE, law="label_range", asked=f"range {miles:g} mi [mi]", expected=float(Fraction(7, 10)) * miles,
        got=law.label_range(distance=miles * 1609.344, adjustment=law.ADJUSTMENT) / 1609.344, rel=1e-12, why="exact",
    )  # fmt: skip
    published.check(
        source=RULE, law="label_economy", asked="4.5 mi/kWh", expected=3.15,
        got=law.label_economy(economy=4.5, adjustment=law.ADJUSTMENT), rel=1e-12, why="exact",
    )  # fmt: skip


@pytest.mark.parametrize(("economy", "expected"), [(3.75849, 3.758), (3.7585, 3.758), (3.7595, 3.76), (3.75751, 3.758)])
def test_rounding(published, economy: float, expected: float) -> None:
    published.check(
        source="40 CFR 1065.20(e), rounding of a half to the even digit, from memory", law="rounded_economy",
        asked=f"{economy}", expected=expected, got=law.rounded_economy(economy=economy), absolute=1e-12, why="exact",
    )  # fmt: skip
