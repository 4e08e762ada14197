"""Places of the build file and what is written there, as people call them."""

from __future__ import annotations

from typing import Any

import pytest

from helpers import EXAMPLES
from voltwright.build.field_words import choices, fields
from voltwright.build.in_words import BETWEEN, InWords, place
from voltwright.build.paths import all_spots
from voltwright.build.reader import load
from voltwright.papers.named import named, paths_in


@pytest.fixture(scope="module")
def words() -> InWords:
    built = load(EXAMPLES / "coupe.yaml")
    return InWords(built.build, built.shelf)


@pytest.mark.parametrize(
    ("path", "said"),
    [
        ("pack.boxes.1.modules", "Boxes of the battery › tank › Modules in it"),
        ("pack.boxes.7", "Boxes of the battery › box 8"),
        ("donor.mass_kerb.value", "The car as it arrives › Kerb mass"),
        ("donor.mass_kerb.how", "The car as it arrives › Kerb mass › how it is known"),
        ("drive.motor.part", "Motor"),
        ("donor.drive_line.gearbox.ratios.2", "Gear ratios › gear 3"),
        ("variants.one-string.changes.pack.boxes.0.modules",
         "Variant one-string › Boxes of the battery › front › Modules in it"),
        ("costing.prices.motor/pm-90kw-350v",
         "Your own prices of parts › Permanent-magnet motor, 90 kW, 350 V class, liquid cooled"),
        ("variants.2.why", "Variants › 2 › What it is for"),
        (f"pack.boxes.{'9' * 5000}", f"Boxes of the battery › {'9' * 5000}"),
        ("pack.boxes.²", "Boxes of the battery › ²"),
        ("", "The whole text"),
        ("no.such.path", "no.such.path"),
    ],
)  # fmt: skip
def test_a_path_is_told_by_section_item_and_field(words: InWords, path: str, said: str) -> None:
    assert words.place(path) == said


def test_every_place_of_the_schema_has_words() -> None:
    for path in fields():
        some = path.removesuffix("{}").replace("[]", ".0").replace("{}", ".some")
        assert place(some) != some, path
        assert "_" not in place(some), path


@pytest.mark.parametrize(
    ("path", "value", "said"),
    [
        ("pack.boxes.2", {"name": "boot-box", "modules": 8, "x": "2.5 m"}, "boot-box"),
        ("drive.motor", {"part": "motor/pm-90kw-350v", "x": "1 m"},
         "Permanent-magnet motor, 90 kW, 350 V class, liquid cooled"),
        ("drive.motor.part", "motor/none-such", "motor/none-such"),
        ("donor.body", "saloon", "Saloon"),
        ("donor.mass_kerb", {"value": "480 lb", "how": "measured", "note": "four scales"}, "480 lb (measured, four scales)"),
        ("duty.lay_up", {"months": "4", "charge": "50 %"}, "Months laid up in winter: 4, Charge at which it is laid up: 50 %"),
        ("donor.drive_line.gearbox.ratios", [3.5, 2.1], "3.5, 2.1"),
        ("brief.reversible", False, "no"),
        ("pack.cooling", None, "taken out"),
    ],
)  # fmt: skip
def test_a_value_is_told_in_words_and_units(words: InWords, path: str, value: Any, said: str) -> None:
    assert words.value(path, value) == said


def test_what_comes_in_names_what_is_changed_in_it(words: InWords) -> None:
    changes = {"pack.boxes.2": {"name": "boot-box"}, "pack.boxes.2.mass": "14 kg"}
    assert [each.place.split(BETWEEN)[1] for each in words.changes(changes)] == ["boot-box", "boot-box"]


def test_an_item_is_told_by_its_number_where_another_is_taken_out(words: InWords) -> None:
    changes = {"pack.boxes.0": None, "pack.boxes.1.mass": "14 kg"}
    assert [each.place.split(BETWEEN)[1] for each in words.changes(changes)] == ["box 1", "box 2"]


def test_every_choice_of_the_schema_has_words() -> None:
    known = {path: list(values) for path, values in choices().items()}
    asked = {path: here.words.split(", ") for path, here in all_spots() if str(here.kind).startswith("typing.Literal")}
    asked.pop("voltwright")
    assert known == asked
    assert not any("_" in words for values in choices().values() for words in values.values())


def test_a_text_names_fields_by_their_labels() -> None:
    text = "Missing: donor.limits.front_axle (see pack.voltage_full), and half_shaft_torque; gov.uk"
    assert named(text) == (
        "Missing: “Permitted load of the front axle” (see “Voltage at full charge, at rest”), "
        "and “Torque that one half shaft bears”; gov.uk"
    )
    assert named("Set 15 N·m (drive.regeneration.torque).", beside=True) == (
        "Set 15 N·m (“Braking torque set in the inverter”: drive.regeneration.torque)."
    )
    assert paths_in(text) == ("donor.limits.front_axle", "half_shaft_torque")
    assert named(named(text)) == named(text)
