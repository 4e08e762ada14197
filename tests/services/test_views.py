"""Views are plain: they go out as JSON as they are, and nobody who was given one can change it for others."""

from __future__ import annotations

import dataclasses
import json
from typing import Any

import pytest
from pydantic import TypeAdapter

from staff import BEN, CAT, at_its_end
from voltwright.quantity.errors import BuildError
from voltwright.services import views
from voltwright.services.shared import POINTS
from voltwright.services.views import BuildRow, ErrorView, Which
from voltwright.services.workshop import Workshop


def as_json(view: Any) -> Any:
    """What an interface sends out: the fields of the type, and nothing in them that JSON has no word for."""
    return json.loads(TypeAdapter(type(view)).dump_json(view))


def test_all_names_are_there() -> None:
    assert [name for name in views.__all__ if not hasattr(views, name)] == []


@pytest.mark.parametrize("name", [each for each in views.__all__ if each.endswith("View")])
def test_views_are_frozen(name: str) -> None:
    kind = getattr(views, name)
    assert dataclasses.is_dataclass(kind)
    assert kind.__dataclass_params__.frozen  # pyright: ignore[reportAttributeAccessIssue]


def test_views_go_out_as_json(shop: Workshop, coupe: BuildRow) -> None:
    which = Which(coupe.id)
    variant = next(iter(shop._shared.built(which).build.variants))
    shop.revisions.save(BEN, coupe.id, "quoted", since=1)
    dossier = shop.figures.assess(CAT, which)
    key = next(each.key for each in dossier.findings if each.remedies)
    fitting = shop.parts.fitting(CAT, which, "fuse")
    job = at_its_end(shop, CAT, fitting.id)
    given = (
        dossier, job, *shop.jobs.result(CAT, fitting.id), *shop.mending.effects(CAT, which, key),
        shop.figures.explain(CAT, which, "mass.kerb"), shop.figures.trip(CAT, which, "nedc"),
        shop.comparing.compare(CAT, which, (Which(coupe.id, variant=variant),)), *shop.revisions.list(CAT, coupe.id),
        shop.parts.show(CAT, shop.parts.list(CAT, "fuse")[0].id), shop.cars.open(CAT, coupe.car),
        *shop.builds.log(CAT, coupe.id), *shop.figures.pictures(CAT, which), *shop.figures.drawings(CAT, which),
    )  # fmt: skip
    for view in given:
        assert as_json(view).keys() == {each.name for each in dataclasses.fields(view)}


def test_an_error_goes_out_as_json(shop: Workshop, coupe: BuildRow) -> None:
    with pytest.raises(BuildError) as caught:
        shop.edits.change(BEN, coupe.id, {"brief.load": "heavy"}, since=1)
    told = as_json(ErrorView.of(caught.value))
    assert (told["code"], told["problems"][0]["path"]) == ("VW202", "brief.load")


def test_nobody_changes_for_others_what_is_shared(shop: Workshop, coupe: BuildRow) -> None:
    finding = next(each for each in shop.figures.assess(CAT, Which(coupe.id)).findings if each.remedies)
    changes: Any = finding.remedies[0].changes
    with pytest.raises(TypeError, match="cannot be changed"):
        changes["donor.year"] = 1900


def test_findings_tell_what_they_concern(shop: Workshop, coupe: BuildRow) -> None:
    """So that a page can show those of its subject: by the figures that were judged, and by the name where none was."""
    found = {each.key: set(each.questions) for each in shop.figures.assess(BEN, Which(coupe.id), POINTS).findings}
    assert found["brief.price"] == {"cost"}
    assert found["pack.regeneration_voltage"] == {"drive", "pack"}
    assert found["charge.electrician"] == {"charge"}
    assert found["protection.data"] == found["electrics.instruments"] == {"wiring"}
    assert found["country.from_memory"] == {"works"}


def test_figures_of_a_trip_stand_together_those_of_the_customer_first(shop: Workshop, coupe: BuildRow) -> None:
    group = next(each for each in shop.figures.assess(BEN, Which(coupe.id), views.POINTS).questions if each.trips)
    assert group.trip_heads == ("At the battery", "At the wall", "Range")
    assert [(each.name, each.title) for each in group.trips if each.asked] == [
        ("wltc-3b", "WLTC class 3b"), ("steady-80", "steady 80 km/h"),
    ]  # fmt: skip
    assert [each.asked for each in group.trips] == sorted((each.asked for each in group.trips), reverse=True)
    for trip in group.trips:
        assert [each.key.rpartition(".")[2] for each in trip.figures] == [trip.name] * 3
        assert all(trip.title in each.label for each in trip.figures)
    of_trips = [each for trip in group.trips for each in trip.figures]
    assert len(of_trips) + len(group.plain) == len(group.figures)


def test_the_bill_is_what_the_parts_cost(shop: Workshop, coupe: BuildRow) -> None:
    """Line by line number times price, and all lines the figure; where a price is missing the rest still stands."""
    which = Which(coupe.id)
    seen = shop.figures.assess(BEN, which, views.POINTS)
    (group,) = (each for each in seen.questions if each.bill)
    assert group.title == "What does it cost?"

    def number(text: str) -> float:
        return float(text.replace("\u00a0", "").split()[0])

    assert len(group.bill) > 20
    for line in group.bill:
        assert number(line.many) * number(line.each) == pytest.approx(number(line.comes_to), abs=0.006), line
    assert sum(number(line.comes_to) for line in group.bill) == pytest.approx(seen.figures["cost.parts"].value)
    assert sum(number(line.comes_to) for line in group.bill) == pytest.approx(number(group.bill_sum)), "to the cent"
    assert {line.known for line in group.bill} == {"datasheet, invented", "the build file"}
    shop.edits.change(BEN, coupe.id, {"costing.purchases.0.price": "700.00 USD"}, since=1)
    (group,) = (each for each in shop.figures.assess(BEN, which, views.POINTS).questions if each.bill)
    assert [line.title for line in group.bill if line.each == "no price"] == ["sheet, angle and fasteners"]
    assert not group.bill_sum


def test_a_drawing_on_the_screen_says_nothing_that_holds_on_paper_alone(shop: Workshop, coupe: BuildRow) -> None:
    for drawing in shop.figures.drawings(BEN, Which(coupe.id)):
        assert "scale 1:" not in drawing.svg
        assert "revision" not in drawing.svg
        assert ">1 m<" in drawing.svg, "the bar is there"


def test_advice_stands_beside_the_steps(shop: Workshop, coupe: BuildRow) -> None:
    """Among it that another finding asks more of the same setting: steps alone would not say so."""
    found = [each for each in shop.figures.assess(BEN, Which(coupe.id)).findings if each.remedies and each.advice]
    assert found
    for each in found:
        assert each.remedy is not None
        assert each.remedy.endswith(str(each.advice))
        assert each.remedy != each.advice
    assert any("Another finding asks for" in str(each.advice) for each in found)
