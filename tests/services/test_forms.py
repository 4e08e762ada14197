"""Every place of the document that may be written has a field on a page, and what is typed there is what stands there."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from staff import ANN, BEN, CAT
from voltwright.build.field_words import marked
from voltwright.build.paths import all_spots
from voltwright.services.views import BuildRow, FieldView, FormView, Which
from voltwright.services.workshop import Workshop
from voltwright.web.pages.leaves import contents

PATHS = tuple(path for _, leaves in contents() for leaf in leaves for path in leaf.paths)


def below(form: FormView) -> Iterator[FieldView]:
    """Every field, also those of an item that is not there yet."""
    yield from form.fields
    for each in (*form.groups, *([form.new] if form.new else [])):
        yield from below(each)


def field_of(shop: Workshop, build: int, path: str, system: str = "metric") -> FieldView:
    top = path.split(".")[0]
    forms = shop.forms.show(CAT, Which(build), [top], system=system)  # pyright: ignore[reportArgumentType]
    return next(each for form in forms for each in below(form) if each.path == path)


def test_every_path_of_the_schema_has_a_field(shop: Workshop, coupe: BuildRow) -> None:
    found = {marked(each.path) for form in shop.forms.show(CAT, Which(coupe.id), PATHS) for each in below(form)}
    lists = {f"{each}[]" for each in found}  # a short list of single values is one field
    wanted = {path for path, _ in all_spots()} - {"voltwright"}  # the format is not for people
    missing = {each for each in wanted if each not in found | lists and "{}" not in each}
    assert missing == set()
    maps = {each.partition("{}")[0] for each in wanted if "{}" in each}
    forms = [each for form in shop.forms.show(CAT, Which(coupe.id), PATHS) for each in (form, *form.groups)]
    assert {each.path for each in forms if each.is_map and each.one} == maps, (
        "what has names of its own can be added to"
    )


def test_every_field_says_what_is_allowed_and_how_to_find_it_out(shop: Workshop, coupe: BuildRow) -> None:
    for form in shop.forms.show(CAT, Which(coupe.id), PATHS):
        for each in below(form):
            assert each.label, each.path
            assert each.allowed, each.path
            assert each.why, each.path
            assert each.measure, each.path


@pytest.mark.parametrize(
    ("path", "how", "typed"),
    [
        ("donor.mass_kerb", "measured", re.compile("kg")),
        ("donor.air.frontal_area", "assumed", re.compile("^$")),
        ("pack.series", "entered", re.compile("^8$")),
        ("donor.drive_line.gearbox.ratios", "entered", re.compile(r"^\d.*; .*\d$")),
    ],
)
def test_how_a_value_is_known(shop: Workshop, coupe: BuildRow, path: str, how: str, typed: re.Pattern[str]) -> None:
    found = field_of(shop, coupe.id, path)
    assert found.how == how
    assert typed.search(found.typed)


def test_what_is_typed_in_other_units_is_shown_in_the_readers(shop: Workshop, coupe: BuildRow) -> None:
    shop.edits.change(BEN, coupe.id, {"donor.size.length": "13'2\""}, since=1)
    assert field_of(shop, coupe.id, "donor.size.length").shown == "4.013 m"  # 158 in of 25.4 mm
    assert field_of(shop, coupe.id, "donor.size.length", "us").shown == ""
    assert field_of(shop, coupe.id, "donor.size.width", "us").shown.endswith(" in")


def test_what_is_assumed_is_shown_in_the_readers_units(shop: Workshop, coupe: BuildRow) -> None:
    assert field_of(shop, coupe.id, "person_mass").shown == "75 kg"
    assert field_of(shop, coupe.id, "person_mass", "us").shown == "165.3 lb"  # 75 / 0.45359237


def test_a_short_list_and_yes_and_no_are_typed_in_one_field(shop: Workshop, coupe: BuildRow) -> None:
    changes = {"donor.drive_line.gearbox.ratios": "3.5; 2.0;1.4 ; 1", "brief.reversible": "no"}
    text = shop.edits.change(BEN, coupe.id, changes, since=1).text
    assert re.search(r"ratios: *\[3\.5, 2\.0, 1\.4, '?1'?\]", text) or re.search(r"ratios:\n\s+- 3\.5", text)
    assert re.search(r"reversible: false", text)
    assert field_of(shop, coupe.id, "donor.drive_line.gearbox.ratios").typed == "3.5; 2.0; 1.4; 1"
    assert field_of(shop, coupe.id, "brief.reversible").typed == "no"


def test_a_section_that_needs_more_than_one_value_goes_in_at_once(shop: Workshop, coupe: BuildRow) -> None:
    (form,) = shop.forms.show(ANN, Which(coupe.id), ["pack"])
    boxes = next(each for each in form.groups if each.path == "pack.boxes")
    assert boxes.one
    assert boxes.new is not None
    assert boxes.new.path == f"pack.boxes.{len(boxes.groups)}"
    assert [each.title for each in boxes.groups] == ["front", "tank"]
