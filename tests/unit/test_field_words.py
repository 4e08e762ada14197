"""The words of the fields: one entry for each path of the schema, in the words of a workshop."""

from __future__ import annotations

import json
import re
from collections import Counter
from importlib.resources import files
from typing import cast, get_origin

import pytest

from voltwright.build.document import Build
from voltwright.build.field_words import FieldWords, field_words, fields, group_words, groups
from voltwright.build.paths import Spot, all_spots
from voltwright.build.reader import defaults

FIELDS, GROUPS = fields(), groups()
# `string` is a word of the trade in the battery alone.
JARGON = re.compile(
    r"\b(null|none type|boolean|bool|string|integer|float|list of|dictionary|key-value|enum|yaml|json)\b"
)
A_PATH = re.compile(r"[a-z0-9]_[a-z0-9]|[a-z\]}]\.[a-z]|\[\]|\{\}|`")


def places(here: Spot, path: str) -> list[tuple[str, Spot]]:
    """Every section, list and map of the schema, in its order, with its path."""
    found = [(path, here)] if here.model else []
    if get_origin(here.kind) in (tuple, dict):
        marked = path + ("[]" if get_origin(here.kind) is tuple else "{}")
        below = places(cast(Spot, here.child(0)), marked)
        return below if below else [(marked, here)]
    for name in here.names:
        found += places(cast(Spot, here.child(name)), f"{path}.{name}".strip("."))
    return found


def test_every_path_of_the_schema_has_an_entry_and_nothing_else_does() -> None:
    assert list(FIELDS) == [path for path, _ in all_spots()]


def test_every_section_list_and_map_has_a_heading_and_nothing_else_does() -> None:
    assert set(GROUPS) == {path for path, _ in places(Spot(Build), "")}
    assert len(GROUPS) > 60  # so that an empty walk cannot pass
    for path, words in GROUPS.items():
        assert bool(words.one) == path.endswith(("[]", "{}")), path


@pytest.mark.parametrize("path", FIELDS)
def test_words_are_short_and_well_formed(path: str) -> None:
    words = FIELDS[path]
    assert 0 < len(words.label) <= 44
    assert words.label[0].isupper()
    assert not words.label.endswith(".")
    assert 0 < len(words.why) <= 140
    assert words.why[0].isupper()
    assert words.why.endswith(".")
    assert 0 < len(words.measure) <= 160
    assert not words.measure[0].isupper()
    assert not words.measure.endswith(".")


def test_headings_are_short_and_well_formed() -> None:
    for words in GROUPS.values():
        assert 0 < len(words.title) <= 44
        assert words.title[0].isupper()
        assert words.one == words.one.strip().lower()


def test_labels_differ_within_their_section() -> None:
    seen = Counter((path.rpartition(".")[0], words.label.casefold()) for path, words in FIELDS.items())
    assert [each for each, count in seen.items() if count > 1] == []


def test_headings_differ() -> None:
    assert len({words.title.casefold() for words in GROUPS.values()}) == len(GROUPS)


@pytest.mark.parametrize("path", [*FIELDS, *GROUPS])
def test_no_words_of_programmers(path: str) -> None:
    words = FIELDS.get(path) or GROUPS[path]
    for text in vars(words).values():
        found = set(JARGON.findall(text.casefold())) - ({"string"} if path.startswith("pack.") else set())
        assert not found, text
        assert not A_PATH.search(text), text


@pytest.mark.parametrize(
    "text", ["the mass_kerb", "see donor.size", "boxes[]", "a list of names", "null", "write `x`", "a Boolean"]
)
def test_words_of_programmers_would_be_found(text: str) -> None:
    assert JARGON.search(text.casefold()) or A_PATH.search(text)


def test_no_label_holds_the_unit_of_its_value() -> None:
    for path, here in all_spots():
        if here.expect and here.expect.unit not in ("1", "currency", "currency/h"):
            assert here.expect.unit not in re.split(r"[ ,()]+", FIELDS[path].label), path
        assert "(" not in FIELDS[path].label, path


def test_how_to_find_out_is_said_once() -> None:
    """By the default where a value is assumed, else by the catalogue."""
    raw = files("voltwright.build").joinpath("fields.json").read_text(encoding="utf-8")
    written: dict[str, dict[str, str]] = json.loads(raw)["fields"]
    assumed = {default.path: default.measure for default in defaults()}
    assert {path for path, said in written.items() if "measure" not in said} == set(assumed)
    for path, measure in assumed.items():
        assert field_words(path).measure == measure


@pytest.mark.parametrize(
    ("path", "schema"),
    [
        ("title", "title"),
        ("donor.mass_kerb", "donor.mass_kerb"),
        ("pack.boxes.0.mass", "pack.boxes[].mass"),
        ("pack.boxes[].mass", "pack.boxes[].mass"),
        ("pack.condition.strings.11.module", "pack.condition.strings[].module"),
        ("brief.keep.2", "brief.keep[]"),
        ("donor.drive_line.gearbox.ratios.3", "donor.drive_line.gearbox.ratios[]"),
        ("variants.cheaper.of", "variants{}.of"),
        ("variants.cheaper.changes.pack.boxes.0.mass", "variants{}.changes{}"),
        ("costing.prices.module/nmc-12s-50ah", "costing.prices{}"),
        ("costing.prices.gear-unit/single-speed-2.1", "costing.prices{}"),
        ("costing.exchange.GBP", "costing.exchange{}"),
    ],
)
def test_path_of_a_build_leads_to_its_words(path: str, schema: str) -> None:
    assert field_words(path) is FIELDS[schema]


@pytest.mark.parametrize(
    ("path", "schema"),
    [
        ("", ""),
        ("donor.size", "donor.size"),
        ("pack.boxes", "pack.boxes[]"),
        ("pack.boxes.3", "pack.boxes[]"),
        ("pack.boxes[]", "pack.boxes[]"),
        ("brief.keep", "brief.keep[]"),
        ("variants", "variants{}"),
        ("variants.cheaper", "variants{}"),
        ("variants.cheaper.changes", "variants{}.changes{}"),
        ("costing.prices", "costing.prices{}"),
    ],
)
def test_section_of_a_build_leads_to_its_heading(path: str, schema: str) -> None:
    assert group_words(path) is GROUPS[schema]


@pytest.mark.parametrize(
    "path", ["", "donor", "donor.mass", "pack.boxes.x.mass", "pack.boxes.0.colour", "title.0", "pack..mass"]
)
def test_where_no_value_can_stand_there_are_no_words(path: str) -> None:
    with pytest.raises(LookupError):
        field_words(path)


@pytest.mark.parametrize("path", ["title", "donor.mass_kerb", "pack.box", "pack.boxes.first"])
def test_where_no_section_stands_there_is_no_heading(path: str) -> None:
    with pytest.raises(LookupError):
        group_words(path)


def test_one_of_each_by_hand() -> None:
    assert field_words("donor.cg_height") == FieldWords(
        "Height of the centre of gravity",
        "Grip, braking and the height of the converted car's weight rest on it.",
        "weigh one axle with the other lifted by 300 mm or more",
    )
    assert group_words("pack.boxes.0").one == "box"
