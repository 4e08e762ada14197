"""Looking through the shelf: filters, datasheets beside each other, and what a part would change before it is put in."""

from __future__ import annotations

import pytest

from staff import BEN
from voltwright.parts.kinds import KINDS, TITLES
from voltwright.quantity.errors import BuildError, PartError
from voltwright.services.shelf_values import MAIN
from voltwright.services.views import BuildRow, ShelfView, System, Which
from voltwright.services.workshop import Workshop


def looked(shop: Workshop, kind: str, **asked: str) -> ShelfView:
    return shop.choosing.shelf(BEN, kind, asked={name.replace("__", "."): text for name, text in asked.items()})


def ids(view: ShelfView) -> set[str]:
    return {each.part.id for each in view.rows}


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_has_its_main_values(shop: Workshop, kind: str) -> None:
    view = looked(shop, kind)
    assert [name for name, _ in view.columns] == [*MAIN[kind], "mass", "price"]
    assert len(view.rows) == view.of > 0
    for name, _ in view.columns:
        at = [each for each, _ in view.columns].index(name)
        stated = any(row.cells[at].printed for row in view.rows)
        assert stated or (kind, name) == ("cell", "price"), "cells come in modules; else every column holds something"


def test_a_range_is_asked_in_any_unit(shop: Workshop) -> None:
    every = looked(shop, "motor")
    at = [name for name, _ in every.columns].index("power_peak")
    strong = {
        row.part.id for row in every.rows if float(row.cells[at].key or 0) >= 100 * 745.69987
    }  # 1 hp, NIST SP 811
    assert 0 < len(strong) < every.of
    assert ids(looked(shop, "motor", power_peak__least="100 hp")) == strong
    assert ids(looked(shop, "motor", power_peak__most="100 hp")) == ids(every) - strong
    assert ids(looked(shop, "motor", mass__most="60 kg")) == ids(looked(shop, "motor", mass__most="132.277 lb"))


def test_a_limit_that_is_met_exactly_is_inside(shop: Workshop) -> None:
    assert "motor/pm-90kw-350v" in ids(looked(shop, "motor", power_peak__least="90 kW", power_peak__most="90000 W"))


def test_words_are_looked_for_in_any_order(shop: Workshop) -> None:
    titles = {each.part.id: each.part.title.lower() for each in looked(shop, "cable").rows}
    found = ids(looked(shop, "cable", text="UNSHIELDED copper"))
    assert found == {each for each, title in titles.items() if "unshielded" in title and "copper" in title}
    assert 0 < len(found) < len(titles)


def test_a_modules_voltage_comes_from_its_cells(shop: Workshop) -> None:
    view = looked(shop, "module", voltage_nominal__least="50 V")
    assert "module/lfp-16s-46ah" in ids(view)  # 16 cells of 3.2 V
    assert "module/lfp-12s-46ah" not in ids(view)
    assert view.of > len(view.rows)


def test_a_modules_energy_is_that_of_all_its_cells(shop: Workshop) -> None:
    """16 groups in series of 20 cells of 3.2 V and 2.303 Ah: 51.2 V, 46.06 Ah and 2.358 kWh, by plain arithmetic."""
    view = looked(shop, "module")
    row = next(each for each in view.rows if each.part.id == "module/lfp-16s-46ah")
    cells = {name: cell.printed for (name, _), cell in zip(view.columns, row.cells, strict=True)}
    assert (cells["voltage_nominal"], cells["capacity"], cells["energy"]) == ("51.2 V", "46.06 Ah", "2.358 kWh")


def test_a_price_is_the_same_in_the_list_and_beside(shop: Workshop) -> None:
    view = looked(shop, "motor")
    row = next(each for each in view.rows if each.part.id == "motor/pm-90kw-350v")
    listed = row.cells[[name for name, _ in view.columns].index("price")].printed
    found = shop.choosing.beside(BEN, ["motor/pm-90kw-350v"])
    assert listed == next(each.cells[0] for each in found.lines if each.label == "Price") == "2600 EUR"


@pytest.mark.parametrize(
    ("asked", "path"), [({"mass.most": "heavy"}, "mass.most"), ({"mass.most": "3 V"}, "mass.most"), ({"colour.least": "1"}, "colour.least")]
)  # fmt: skip
def test_a_filter_that_cannot_be_read_is_refused_at_its_place(shop: Workshop, asked: dict[str, str], path: str) -> None:
    with pytest.raises(PartError) as refused:
        shop.choosing.shelf(BEN, "motor", asked=asked)
    assert [each.path for each in refused.value.problems] == [path]


def test_a_place_says_which_kind_stands_there(shop: Workshop) -> None:
    assert shop.choosing.shelf(BEN, place="drive.motor.part").kind == "motor"
    assert shop.choosing.shelf(BEN, place="pack.protection.fuse").kind == "fuse"
    for wrong in ("donor.mass_kerb", "nowhere"):
        with pytest.raises(PartError):
            shop.choosing.shelf(BEN, place=wrong)


def test_what_one_datasheet_does_not_say_is_left_open(shop: Workshop) -> None:
    found = shop.choosing.beside(BEN, ["motor/pm-90kw-350v", "motor/induction-18kw-48v"])
    lines = {each.label: each for each in found.lines}
    assert lines["Peak power"].cells == ("90 kW", "18 kW")
    assert lines["Peak power"].differs
    assert any("" in each.cells for each in found.lines)
    assert all(each.differs for each in found.lines if "" in each.cells)
    assert all(any(each.cells) for each in found.lines)


def test_units_alone_are_no_difference(shop: Workshop) -> None:
    raw = dict(shop._shared.stocked().shelf._raw["fuse/1000v-200a"])
    shop.parts.put(BEN, raw | {"id": "fuse/own", "voltage_max": "1 kV"})
    found = shop.choosing.beside(BEN, ["fuse/1000v-200a", "fuse/own"])
    assert [each.label for each in found.lines if each.differs] == []


@pytest.mark.parametrize(
    "parts", [[], ["motor/pm-90kw-350v", "fuse/1000v-200a"], ["motor/none"], [f"fuse/{each}" for each in "abcde"]]
)
def test_what_cannot_be_compared_is_refused(shop: Workshop, parts: list[str]) -> None:
    with pytest.raises(PartError):
        shop.choosing.beside(BEN, parts)


def test_a_part_is_tried_without_being_put_in(shop: Workshop, coupe: BuildRow) -> None:
    text = shop.builds.read(BEN, Which(coupe.id)).text
    found = shop.choosing.tried(BEN, Which(coupe.id), {"drive.motor.part": "motor/induction-18kw-48v"})
    moved = {each.key: each for each in found.moved}
    assert moved["mass.kerb"].verdict == "better"
    assert any(each.severity == "stop" for each in found.appears)
    assert shop.builds.read(BEN, Which(coupe.id)).text == text
    with pytest.raises(BuildError):
        shop.choosing.tried(BEN, Which(coupe.id), {"drive.motor.part": "motor/none"})


def test_a_datasheet_opens_in_full(shop: Workshop) -> None:
    view = shop.parts.show(BEN, "cell/lfp-cylindrical-2.3ah")
    tables = {each.title: each for each in view.tables}
    curve, grid = tables["Open-circuit voltage"], tables["Resistance, ten seconds"]
    assert curve.heads == ("Charge, %", "Voltage of a cell, V")
    assert curve.rows[0][0] == "0"
    assert curve.rows[-1][0] == "100"
    assert all(len(row) == len(grid.heads) > 2 for row in grid.rows)
    assert view.source
    assert shop.parts.show(BEN, "motor/pm-90kw-350v").invented


@pytest.mark.parametrize(
    ("system", "shown"), [("metric", ("4 m", "2.5 m", "850 kg")), ("us", ("150 in", "95 in", "2000 lb"))]
)
def test_examples_of_answers_are_round_in_the_units_of_the_reader(
    shop: Workshop, system: System, shown: tuple[str, ...]
) -> None:
    asked = {each.name: each.example for each in shop.builds.questions(BEN, system=system)}
    assert tuple(asked[each] for each in ("length", "wheelbase", "mass_kerb")) == shown


def test_every_kind_has_a_title_for_people() -> None:
    assert list(TITLES) == list(KINDS)
    assert [each for each in TITLES.values() if each in KINDS] == []
