"""The examples: three cars, each with two variants; among them a stop, a salvaged pack, and one below 60 V."""

from __future__ import annotations

from dataclasses import replace

import pytest

from helpers import example
from voltwright.build.reader import from_document
from voltwright.build.variants import apply_variant
from voltwright.papers.pictures import pictures_of
from voltwright.rules.dossier import Dossier, assess

CARS = ("coupe", "van", "roadster")


def _variant(car: str, name: str) -> Dossier:
    built = example(car)
    root = apply_variant(built.document.root, built.build, name)
    return assess(from_document(replace(built.document, root=root), built.shelf, built.folder), with_bands=False)


ALL = [(car, name) for car in CARS for name in example(car).build.variants]


def test_each_car_has_two_variants_that_say_why() -> None:
    for car in CARS:
        variants = example(car).build.variants
        assert len(variants) >= 2, car
        assert all(each.why for each in variants.values()), car


def test_one_variant_may_not_be_built_and_says_by_how_much() -> None:
    stopped = {(car, name): made for car, name in ALL if (made := _variant(car, name)).has_stop}
    assert ("van", "longer-string") in stopped
    stops = [each for each in stopped["van", "longer-string"].findings if each.severity == "stop"]
    assert all(each.limit and each.value and each.margin and each.remedies for each in stops)


@pytest.mark.parametrize("car", CARS)
def test_no_base_car_has_a_stop(car: str) -> None:
    assert not assess(example(car), with_bands=False).has_stop


def test_one_has_a_salvaged_pack_and_one_stays_below_60_volts() -> None:
    van, roadster = (assess(example(car), with_bands=False, search=False) for car in ("van", "roadster"))
    assert van.case.module.stock == "salvaged"
    assert van.build.pack.condition is not None
    assert van.build.pack.condition.health.origin.how == "measured"
    full = roadster.figures["pack.voltage_full"].value
    assert full is not None
    assert full < 60


def test_the_roadster_drives_by_the_sea() -> None:
    """Recorded with noise, in a wind: what the customer asks of a road is answered."""
    made = assess(example("roadster"), with_bands=False, search=False)
    for family in ("range", "consumption", "arrival_charge", "cell_warmest", "climb", "climb_removed"):
        assert made.figures[f"road.{family}.promenade"].value is not None, family
    profile = made.case.traces["promenade"].profile
    assert profile is not None
    assert profile.has_times
    assert profile.climb == pytest.approx(77.0, abs=8.0), (
        "two hills of 58 m and 14 m, and a little of what is not noise"
    )
    assert (profile.climb_removed or 0.0) > 50.0
    assert made.figures["road.energy.air"].value
    assert [each.key for each in pictures_of(made, "road") if each.key in ("road.trip", "road.energy")]
