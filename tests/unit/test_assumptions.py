"""What it is worth to know an assumption: which band narrows, how far, and that it is said once for one measurement."""

from __future__ import annotations

import math

import pytest
from tests.helpers import changed, example

from voltwright.quantity.figure import Figure
from voltwright.quantity.provenance import Origin
from voltwright.quantity.spread import normal
from voltwright.quantity.units import Unit
from voltwright.quantity.work import Node, leaf, total
from voltwright.rules.assumptions import Assumption, assumptions_of

DRAG, ROLLING, PERSON = "donor.air.drag_coefficient", "donor.tyres.rolling_resistance", "person_mass"


def assumed(label: str, path: str) -> Node:
    return leaf(1.0, "1", label, Origin("assumed", where=path, reason="a test"), normal(1.0, 0.1))


LEAVES = {DRAG: assumed("Drag", DRAG), ROLLING: assumed("Rolling", ROLLING), PERSON: assumed("Person", PERSON)}


def figure(key: str, label: str, shares: dict[str, float], *, unit: str = "km/h") -> Figure:
    tree = total(label, list(LEAVES.values()))
    return Figure(key, label, Unit(unit), 0, 160.0, tree, 140.0, 190.0, shares=shares)


def test_money_for_an_hour_and_its_spread_are_in_the_same_unit() -> None:
    guess = {"value": "50 EUR/h ± 20 %", "how": "assumed", "note": "a usual rate; ask the workshop"}
    found = assumptions_of(changed({"costing.labour_rate": guess}).build, {})
    assert next(each.value for each in found if each.path == "costing.labour_rate") == "50 EUR/h (40 to 60)"


def listed(*figures: Figure, system: str = "metric") -> dict[str, Assumption]:
    found = assumptions_of(example().build, {each.key: each for each in figures}, system)
    return {each.path: each for each in found if each.path in LEAVES}


def test_one_that_is_known_narrows_the_band_by_the_root_of_what_is_left() -> None:
    person = listed(figure("road.top_speed", "Top speed", {PERSON: 0.75}))[PERSON]
    assert math.sqrt(1 - 0.75) == 0.5
    assert person.worth == (
        "If it were known, the band of “Top speed” would narrow from 140 to 190 km/h down to 150 to 175 km/h."
    )
    assert person.weight == 0.75


def test_two_that_one_measurement_finds_are_said_once() -> None:
    found = listed(figure("road.top_speed", "Top speed", {DRAG: 0.5, ROLLING: 0.25, PERSON: 0.1}))
    assert found[DRAG].worth == (
        "If it were known together with “Rolling”, the band of “Top speed” would narrow from 140 to 190 km/h down to "
        "150 to 175 km/h."
    )
    assert found[ROLLING].worth == "It is found out together with “Drag”: see there."


def test_a_headline_comes_before_a_figure_that_it_moves_more() -> None:
    headline = figure("road.range.steady-80", "Range", {PERSON: 0.3})
    other = figure("mass.cg_y", "Sideways", {PERSON: 0.9})
    person = listed(other, headline)[PERSON]
    assert "“Range”" in person.worth
    assert person.moves == ("mass.cg_y", "road.range.steady-80")
    assert person.weight == pytest.approx(1.2)
    assert "“Sideways”" in listed(other)[PERSON].worth


def test_range_comes_before_consumption_that_moves_about_as_much() -> None:
    consumption = figure("road.consumption.steady-80", "Consumption", {PERSON: 0.52}, unit="Wh/km")
    distance = figure("road.range.steady-80", "Range", {PERSON: 0.48}, unit="km")
    assert "“Range”" in listed(consumption, distance)[PERSON].worth


def test_a_small_share_narrows_nothing_much() -> None:
    found = listed(figure("road.top_speed", "Top speed", {PERSON: 0.09}))
    assert found[PERSON].worth == "If it were known, no band would narrow much."
    assert found[DRAG].worth == ""


def test_the_words_are_in_the_units_of_the_reader() -> None:
    person = listed(figure("road.top_speed", "Top speed", {PERSON: 0.75}), system="uk")[PERSON]
    assert "from 87 to 118 mph down to 93 to 109 mph" in person.worth


def test_without_bands_nothing_is_said_of_worth() -> None:
    assert {each.worth for each in listed(figure("road.top_speed", "Top speed", {})).values()} == {""}
