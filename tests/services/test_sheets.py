"""Own parts from a datasheet: every place of every schema has a field, and what is typed there is what stands there."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, get_origin

import pytest

from staff import ANN, BEN
from voltwright.build.paths import Spot, spot
from voltwright.parts.kinds import KINDS
from voltwright.quantity.errors import AbsentError, ConflictError, PartError
from voltwright.services.views import POINTS, BuildRow, FieldView, FormView, SheetView, Which
from voltwright.services.workshop import Workshop

# An invented motor, as a workshop would copy it: units as the maker prints them.
MOTOR = {
    "title": "Motor from the barn", "mass": "112 lb", "length": "12.5 in", "diameter": "230 mm", "voltage_nominal": "350 V",
    "voltage_max": "420 V", "power_peak": "125 hp", "power_peak_time": "30 s", "power_continuous": "45 kW",
    "torque_peak": "170 lbf*ft", "torque_continuous": "120 N·m", "speed_max": "9000 rpm", "efficiency_best": "94 %",
    "principle": "permanent-magnet", "cooling": "liquid",
}  # fmt: skip


def fields(forms: tuple[FormView, ...]) -> Iterator[FieldView]:
    """Every field, also those of an item that is not there yet."""
    for form in forms:
        yield from form.fields
        yield from fields(form.groups)
        yield from fields((form.new,) if form.new else ())


def places(here: Spot, path: str = "") -> Iterator[str]:
    """Every place of a schema at which a value is written; the name of an item of a map is left open."""
    if get_origin(here.kind) is dict:
        child = here.child("x")
        assert child is not None
        yield from places(child, f"{path}.")
    elif here.model:
        for name, info in here.model.model_fields.items():
            yield from places(spot(info.annotation, tuple(info.metadata), info), f"{path}.{name}" if path else name)
    else:
        yield path


@pytest.mark.parametrize("kind", KINDS)
def test_every_place_of_every_kind_of_part_has_a_field(shop: Workshop, kind: str) -> None:
    found = {each.path for each in fields(shop.sheets.fill(BEN, kind, {}).forms)}
    wanted = set(places(Spot(KINDS[kind]))) - {"kind"}
    assert {each.replace("..", ".") for each in found} == {each.replace("..", ".") for each in wanted}


@pytest.mark.parametrize("kind", KINDS)
def test_every_field_says_what_it_is_and_what_is_allowed(shop: Workshop, kind: str) -> None:
    for each in fields(shop.sheets.fill(BEN, kind, {}).forms):
        assert each.label, each.path
        assert each.means, each.path
        assert "`" not in each.means, each.path
        assert each.allowed, each.path
        assert "- '" not in each.allowed, "words of a file, not of a form"


@pytest.mark.parametrize("kind", KINDS)
def test_the_catalogue_can_be_entered_field_by_field(shop: Workshop, kind: str) -> None:
    """What a page shows of a datasheet, typed in again, is the same datasheet."""
    shelf = shop._shared.stocked().shelf
    for part in shelf.ids(kind):
        raw = shelf._raw[part]
        shown = shop.sheets.fill(BEN, kind, raw, new=False)
        assert (shown.problems, shown.missing) == ((), ()), part
        typed = {each.path: each.typed for each in fields(shown.forms) if each.typed and ".." not in each.path}
        again = shop.sheets.fill(BEN, kind, {"id": part}, changes=typed, new=False)
        assert again.problems == again.missing == (), part
        assert shelf_of(again) == shelf_of(shown), part


def shelf_of(view: SheetView) -> Any:
    from voltwright.parts.shelf import make_part

    return make_part(view.whole)


def filled(shop: Workshop, changes: dict[str, str], kind: str = "motor") -> SheetView:
    return shop.sheets.fill(BEN, kind, {}, changes=changes)


def test_a_whole_datasheet_goes_on_the_shelf_and_into_a_build(shop: Workshop, coupe: BuildRow) -> None:
    view = filled(shop, MOTOR)
    assert view.problems == view.missing == ()
    assert view.whole["id"] == "motor/own-motor-from-the-barn"
    kept = shop.parts.put(BEN, view.whole)
    assert kept.row.own
    assert not kept.invented
    shop.edits.change(BEN, coupe.id, {"drive.motor.part": kept.row.id}, since=1)
    figures, before = (
        shop.figures.assess(BEN, Which(coupe.id, edit=each), POINTS).figures["road.time_0_100"].value for each in (2, 1)
    )
    assert figures != before
    assert shop.sheets.stands_in(BEN, kept.row.id) == ("Coupé of 1968 for a country doctor: coupe",)


def test_what_is_shown_is_in_the_readers_units(shop: Workshop) -> None:
    by_path = {each.path: each for each in fields(filled(shop, MOTOR).forms)}
    assert by_path["mass"].typed == "112 lb"
    assert by_path["mass"].shown == "50.8 kg"  # 112 * 0.45359237
    assert by_path["voltage_max"].shown == ""


def test_what_is_wrong_is_told_at_its_field_and_kept(shop: Workshop) -> None:
    view = filled(shop, MOTOR | {"mass": "heavy", "voltage_max": "300 V", "efficiency_best": "940 %"})
    assert {each.path for each in view.problems} == {"mass", "voltage_max", "efficiency_best"}
    assert view.missing == ()
    assert view.raw["mass"] == "heavy"
    with pytest.raises(PartError):
        shop.parts.put(BEN, view.whole)


def test_what_is_missing_is_no_mistake_yet(shop: Workshop) -> None:
    view = filled(shop, {"title": "Half a motor", "mass": "40 kg"})
    assert view.problems == ()
    assert {each.path for each in view.missing} >= {"power_peak", "cooling"}
    assert all("line" not in each.mend for each in view.missing), "there are no lines in a form"


def test_a_table_is_typed_in_columns_and_taken_out_whole(shop: Workshop) -> None:
    table = {"torque_curve_peak.rpm": "0 3000; 9000", "torque_curve_peak.newton_metre": "230 230 90"}
    view = filled(shop, MOTOR | table)
    assert view.problems == ()
    assert view.raw["torque_curve_peak"] == {"rpm": ["0", "3000", "9000"], "newton_metre": ["230", "230", "90"]}
    again = shop.sheets.fill(BEN, "motor", view.raw, without="torque_curve_peak")
    assert "torque_curve_peak" not in again.raw


def test_an_id_that_is_taken_is_refused_and_a_free_one_is_proposed(shop: Workshop) -> None:
    taken = filled(shop, MOTOR | {"id": "motor/pm-90kw-350v"})
    assert [each.path for each in taken.problems] == ["id"]
    shop.parts.put(BEN, filled(shop, MOTOR).whole)
    assert filled(shop, MOTOR).whole["id"] == "motor/own-motor-from-the-barn-2"


def test_a_changed_datasheet_is_a_further_one_and_the_build_follows_it(shop: Workshop, coupe: BuildRow) -> None:
    part = shop.parts.put(BEN, filled(shop, MOTOR).whole).row.id
    shop.edits.change(BEN, coupe.id, {"drive.motor.part": part}, since=1)
    before = shop.figures.assess(BEN, Which(coupe.id), POINTS).figures["mass.kerb"].value
    opened = shop.sheets.open(BEN, part)
    assert not opened.new
    changed = shop.sheets.fill(BEN, "motor", opened.raw, changes={"mass": "60.8 kg"}, new=False)
    assert changed.problems == ()
    with pytest.raises(ConflictError):
        shop.parts.put(BEN, changed.whole)
    shop.parts.put(BEN, changed.whole, since=opened.number)
    after = shop.figures.assess(BEN, Which(coupe.id), POINTS).figures["mass.kerb"].value
    assert before is not None
    assert after == pytest.approx(before + 10.0, abs=0.01)  # 60.8 - 112 lb
    assert len(shop.parts.log(BEN, part)) == 2


def test_a_part_that_was_put_away_can_be_brought_back(shop: Workshop) -> None:
    part = shop.parts.put(BEN, filled(shop, MOTOR).whole).row.id
    assert shop.sheets.away(BEN) == ()
    shop.parts.take_off(BEN, part)
    (row,) = shop.sheets.away(BEN)
    assert (row.id, row.title, row.who) == (part, "Motor from the barn", "Ben")
    last = shop.sheets.open(BEN, part)
    shop.parts.put(BEN, last.whole, since=last.number)
    assert shop.sheets.away(BEN) == ()
    with pytest.raises(AbsentError):
        shop.sheets.open(BEN, "motor/pm-90kw-350v")


FUSE = """\
id: fuse/own-160a
title: Main fuse, 160 A
voltage_max: 500 V
time_constant: 2 ms
current_rated: 160 A
current_break_max: 20 kA
current_break_min: 320 A
utilisation: full-range
"""


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("fuse.yaml", FUSE.encode()),
        ("C:\\parts\\fuse.YML", b"\xef\xbb\xbf" + FUSE.encode()),
        ("fuse.json", b'{"id": "fuse/own-160a", "title": "Main fuse, 160 A", "voltage_max": "500 V", "time_constant": "2 ms",'
                      b'"current_rated": "160 A", "current_break_max": "20 kA", "current_break_min": "320 A",'
                      b'"utilisation": "full-range"}'),
        ("fuse.csv", ("field,value\n" + FUSE.replace(": Main fuse, 160 A", ': "Main fuse, 160 A"').replace(": ", ",")).encode()),
    ],
)  # fmt: skip
def test_a_file_is_read_into_the_form(shop: Workshop, name: str, content: bytes) -> None:
    view = shop.sheets.read(ANN, name, content)
    assert (view.kind, view.problems, view.missing) == ("fuse", (), ())
    assert view.whole["title"] == "Main fuse, 160 A"
    assert shop.parts.put(ANN, view.whole).row.id == "fuse/own-160a"


@pytest.mark.parametrize(
    ("name", "content", "said"),
    [
        ("fuse.pdf", b"%PDF-1.7", "neither YAML, JSON nor CSV"),
        ("fuse.yaml", b"\xff\xfe\x00", "UTF-8"),
        ("fuse.yaml", b"title: Fuse\n", "of which kind"),
        ("fuse.json", b'{"title": ', ""),
        ("fuse.yaml", b"a: &a [1]\nb: *a\n", ""),
        ("fuse.yaml", b"x" * 1_000_001, "larger than 1 MB"),
        ("fuse.csv", b"", "empty"),
    ],
)
def test_a_file_that_is_none_is_refused_in_words(shop: Workshop, name: str, content: bytes, said: str) -> None:
    with pytest.raises(PartError) as refused:
        shop.sheets.read(ANN, name, content)
    assert said in " ".join(map(str, refused.value.problems))


def test_a_file_with_mistakes_is_shown_with_them(shop: Workshop) -> None:
    view = shop.sheets.read(ANN, "fuse.yaml", FUSE.replace("500 V", "500 kg").replace("2 ms", "<b>2</b>").encode())
    assert {each.path for each in view.problems} == {"voltage_max", "time_constant"}
    assert next(each for each in fields(view.forms) if each.path == "voltage_max").typed == "500 kg"
