"""A part of a whole is read in per cent; programs get the fraction of the contract."""

from __future__ import annotations

import json

import pytest

from helpers import dossier
from voltwright.assess.keys import KEYS
from voltwright.quantity.figure import Figure, difference
from voltwright.quantity.units import Unit

ONE = Unit("1")


def test_a_share_is_printed_in_per_cent_with_as_many_digits_as_the_fraction_has() -> None:
    share = Figure("k", "Share", ONE, 2, 0.2049, low=0.195, high=1.234, share=True)
    assert share.printed() == share.printed("us") == "20 %"
    assert share.printed_band() == "20 to 123"
    assert Figure("k", "Share", ONE, 3, 0.2049, share=True).printed() == "20.5 %"
    assert Figure("k", "Factor", ONE, 2, 0.2049).printed() == "0.20"
    assert difference(-0.051, ONE, 2, "metric", share=True) == "−5 percentage points"


def test_labels_that_speak_of_a_fraction_are_those_of_shares() -> None:
    assert {key for key, each in KEYS.items() if each.share} == {
        key for key, each in KEYS.items() if "fraction of" in each.label
    }


def test_programs_get_the_fraction() -> None:
    made = dossier()
    data = json.loads(made.as_json())["figures"]["pack.full_power_lost_below"]
    assert data["unit"] == ""
    assert data["value"] == pytest.approx(made.figures["pack.full_power_lost_below"].value)
    assert 0 < data["value"] < 1
    assert made.figures["pack.full_power_lost_below"].printed() == "20 %"
