"""The loop of coolant and the air: pumps, plates, radiators and fans are sized, and each of them counts."""

from __future__ import annotations

import functools
from typing import Any

import pytest

from helpers import changed, dossier
from voltwright.assess.case import Case
from voltwright.assess.figures import answer, figure_of
from voltwright.assess.sheet import Sheet
from voltwright.physics import coolant
from voltwright.quantity.band import NO_SPREADS
from voltwright.quantity.work import Node
from voltwright.rules.finding import Finding

BOX_FAN = {"part": "fan/box-80mm", "x": "1 m", "z": "0.5 m"}
HOT_AND_BLOWN = {"pack.cooling": "air", "duty.climate.hottest": "45.7 °C", "fitted.3": BOX_FAN}
SMALL = {"fitted.1.part": "radiator/300x240"}


@functools.cache
def as_it_is(name: str) -> Sheet:
    return sheet_of(name)


def sheet_of(name: str = "coupe", /, **changes: Any) -> Sheet:
    built = changed(changes, name)
    sheet = Sheet(built.build.currency, only_trips=frozenset())
    answer(Case(built.build, built.shelf, built.beside), sheet, ("heat",))
    return sheet


def value(sheet: Sheet, key: str) -> float:
    """In the unit of the contract."""
    known = figure_of(sheet, key, NO_SPREADS).value
    assert known is not None, sheet.reasons[key]
    return known


def finding(key: str, changes: dict[str, Any]) -> Finding | None:
    return next((each for each in dossier(changes).findings if each.key == key), None)


def test_pump_and_loop_agree_where_their_pressures_are_alike() -> None:
    """By the nodes of the fitted flow: what the loop takes at 10 l/min, with the square of the flow, is what the pump gives."""
    flow = as_it_is("coupe").nodes["heat.coolant_flow_fitted"]
    lifts, takes = flow.inputs["curve"].value, flow.inputs["drop"].value
    place = flow.value / flow.inputs["at_flow"].value
    given: Any = [(x, y) for x, y in zip(lifts.x, lifts.y, strict=True) if x <= flow.value][-1]
    beyond: Any = next((x, y) for x, y in zip(lifts.x, lifts.y, strict=True) if x > flow.value)
    share = (flow.value - given[0]) / (beyond[0] - given[0])
    assert given[1] + share * (beyond[1] - given[1]) == pytest.approx(takes * place**2, rel=1e-6)


def test_pumps_in_a_row_lift_twice_as_much() -> None:
    one, two = sheet_of(), sheet_of(**{"fitted.0.count": 2})
    assert value(two, "heat.pump_head_fitted") == pytest.approx(2 * value(one, "heat.pump_head_fitted"))
    assert value(two, "heat.coolant_flow_fitted") > value(one, "heat.coolant_flow_fitted")
    assert value(two, "heat.pump_head") == pytest.approx(value(one, "heat.pump_head")), "the loop is the same"


def test_a_pump_that_is_too_small_says_which_pressure_is_needed() -> None:
    small = finding("heat.pump_small", {"fitted.0.part": "pump/coolant-12l"})
    assert small is not None
    assert "the loop takes" in small.detail
    assert "kPa" in small.detail
    assert finding("heat.pump_small", {"fitted.0.part": "pump/coolant-12l", "fitted.0.count": 2}) is None


def test_plates_make_the_loop_tighter() -> None:
    bare, plates = as_it_is("coupe"), sheet_of(**{"pack.cooling": "liquid"})
    assert value(plates, "heat.coolant_flow_fitted") < value(bare, "heat.coolant_flow_fitted")
    assert any(node.label == "Pressure that every plate takes" for node in plates.nodes["heat.pump_head"].walk())


def test_plates_take_more_where_more_flows() -> None:
    """Two of the van's pumps: the film below the modules lets more through, and the cells are cooler."""
    one, two = as_it_is("van"), sheet_of("van", **{"fitted.0.count": 2})

    def plate(sheet: Sheet) -> float:
        return next(
            node.value for node in sheet.nodes["heat.cell_peak.sun"].walk() if node.label == "Plate of the modules"
        )

    assert plate(two) > plate(one) > 50.0
    assert two.nodes["heat.cell_peak.sun"].value < one.nodes["heat.cell_peak.sun"].value


def test_the_film_in_the_channels_by_hand() -> None:
    """The van's plates at the needed flow: laminar, so the Nusselt number is that of the channel and of Hausen's entry."""
    nodes = {node.label: node for node in as_it_is("van").nodes["heat.radiator"].walk()}
    flow = as_it_is("van").nodes["heat.coolant_flow"].value
    mix = {"glycol": 0.5, "temperature": 313.15}
    bore, area = 2 * 10e-3 * 4e-3 / 14e-3, 5 * 40e-6
    dynamic, heat = coolant.mix_viscosity(**mix), coolant.mix_specific_heat(**mix)
    conducts = coolant.mix_conductivity(**mix)
    reynolds = flow / area * bore * coolant.mix_density(**mix) / dynamic
    assert reynolds < 2300.0
    number = reynolds * (dynamic * heat / conducts) * bore / nodes["Length of a module"].value
    a = 0.4
    developed = 8.235 * (1 - 2.0421 * a + 3.0853 * a**2 - 2.4765 * a**3 + 1.0578 * a**4 - 0.1861 * a**5)
    nusselt = developed + 0.0668 * number / (1 + 0.04 * number ** (2 / 3))
    assert nodes["Film coefficient in the channels"].value == pytest.approx(nusselt * conducts / bore, rel=1e-6)


def test_wind_and_fan_shed_more_than_the_fan_alone() -> None:
    assert value(as_it_is("coupe"), "heat.radiator_standing") < value(as_it_is("coupe"), "heat.radiator_fitted")
    bare = sheet_of(**{"fitted.2": None})
    assert value(bare, "heat.radiator_standing") < 0.1 * value(as_it_is("coupe"), "heat.radiator_standing")
    # At 80 km/h the wind blows more than this fan does freely; a crawling car needs the fan.
    assert value(bare, "heat.radiator_fitted") == pytest.approx(value(as_it_is("coupe"), "heat.radiator_fitted"))
    weak = {"drive.torque_limit": "25 N·m"}
    assert value(sheet_of(**weak, **{"fitted.2": None}), "heat.radiator_fitted") < value(
        sheet_of(**weak), "heat.radiator_fitted"
    )


def test_a_stronger_fan_sheds_more_while_the_car_stands() -> None:
    key = "heat.radiator_standing"
    found = [value(sheet_of(**{"fitted.2.part": f"fan/radiator-{size}mm"}), key) for size in (225, 280, 350)]
    assert found == sorted(found)
    assert found[2] > 1.05 * found[0]
    assert value(sheet_of(**{"fitted.2.count": 2}), key) > found[1]


def test_a_radiator_without_a_table_hangs_on_the_flow() -> None:
    """A weak pump moves less, and less is shed; never the figure of the datasheet whatever flows."""
    weak, strong = (
        value(sheet_of(**SMALL, **{"fitted.0.part": f"pump/coolant-{size}l"}), "heat.radiator_fitted")
        for size in (12, 30)
    )
    assert weak < strong
    labels = [node.label for node in sheet_of(**SMALL).nodes["heat.radiator_fitted"].walk()]
    assert any(each.startswith("Effectiveness of") and each.endswith("on the hill") for each in labels)


def test_as_its_datasheet_says_where_streams_are_as_there() -> None:
    """With 3 m/s of air in the core a radiator with a table sheds what the table says at that flow."""
    made = as_it_is("coupe").nodes["heat.radiator_fitted"]
    nodes = {node.label: node for node in made.walk()}
    table = next(node for node in made.walk() if node.label.endswith("at 3 m/s of air"))
    effect = next(
        node for label, node in nodes.items() if label.startswith("Effectiveness") and "by its datasheet" in label
    )
    assert effect.value * effect.inputs["least_stream"].value == pytest.approx(table.value)
    speed = next(node for node in made.walk() if node.label == "Speed of the air in the core")
    assert (made.value > table.value) is (speed.value > 3.0)


def test_a_second_radiator_sheds_more_but_not_twice_as_much() -> None:
    one, two = as_it_is("coupe"), sheet_of(**{"fitted.1.count": 2})
    assert 1.1 < value(two, "heat.radiator_fitted") / value(one, "heat.radiator_fitted") < 1.9


def test_the_air_that_is_needed_is_enough() -> None:
    """Cooled by fans that blow as much as is needed the hottest cell is at its limit on the worst duty."""
    sheet = sheet_of(**HOT_AND_BLOWN)
    needs, blows = value(sheet, "heat.air_flow"), value(sheet, "heat.air_flow_fitted")
    assert 0.0 < blows < needs
    enough = sheet_of(**HOT_AND_BLOWN, **{"fitted.3.count": round(needs / blows + 0.5)})
    peaks = [
        max(node.value for key, node in each.nodes.items() if key.startswith("heat.cell_peak.")) - 273.15
        for each in (sheet, enough)
    ]
    assert peaks[0] > 60.0
    assert peaks[1] == pytest.approx(60.0, abs=0.02)
    assert round(value(enough, "heat.verdict")) == 1


def test_air_is_reckoned_where_it_is_needed_or_planned() -> None:
    assert "no forced air" in as_it_is("coupe").reasons["heat.air_flow"]
    planned = sheet_of(**{"pack.cooling": "air"})
    assert value(planned, "heat.air_flow") == 0.0
    assert "no fan of a box" in planned.reasons["heat.air_flow_fitted"]
    never = sheet_of(**{"pack.cooling": "air", "duty.climate.hottest": "52 °C"})
    assert "not even 60" in never.reasons["heat.air_flow"]


def test_cooling_by_air_asks_for_fans() -> None:
    assert finding("heat.air_no_fan", {"pack.cooling": "air"}) is not None
    assert finding("heat.air_no_fan", {"pack.cooling": "air", "fitted.3": BOX_FAN}) is None


def test_bands_of_the_loop_hold_its_values() -> None:
    figures = dossier({"pack.cooling": "liquid"}, with_bands=True).figures
    for key in (
        "heat.coolant_flow",
        "heat.pump_head",
        "heat.radiator",
        "heat.radiator_fitted",
        "heat.radiator_standing",
    ):
        figure = figures[key]
        assert figure.value is not None
        assert figure.low is not None
        assert figure.high is not None
        assert figure.low < figure.value < figure.high, key


def depth(node: Node) -> int:
    deep: dict[int, int] = {}
    for each in node.walk():
        deep[id(each)] = 1 + max((deep[id(child)] for child in each.inputs.values()), default=0)
    return deep[id(node)]


def test_many_pumps_and_radiators_are_told_as_one_row() -> None:
    """A thousand of each: no working as deep as they are many."""
    case = dossier(name="coupe").case
    at = {
        kind: index
        for index, each in enumerate(case.build.fitted)
        for kind in ("pump", "radiator")
        if each.part.startswith(f"{kind}/")
    }
    made = dossier({f"fitted.{index}.count": 1000 for index in at.values()}, "coupe")
    for key in ("heat.pump_head_fitted", "heat.radiator_fitted"):
        node = made.figures[key].node
        assert node is not None
        assert depth(node) < 60
    two = dossier({f"fitted.{at['pump']}.count": 2}, "coupe").figures["heat.pump_head_fitted"].value
    one = dossier(name="coupe").figures["heat.pump_head_fitted"].value
    assert one is not None
    assert two is not None
    assert two == pytest.approx(2.0 * one), "at the flow that is needed their pressures add"
