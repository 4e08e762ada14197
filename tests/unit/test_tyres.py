"""The forms of a tyre marking, and what is known of a text that is none."""

import re

import pytest

from helpers import changed
from voltwright.parts.tyres import index_for, marking_or_none, read_marking
from voltwright.quantity.errors import BuildError, QuantityError
from voltwright.quantity.source import reference

# marking, width in mm, rim in mm, load in kg, speed in km/h
FORMS = [
    ("165/80R14 85S", 165, 355.6, 515, 180),
    ("165/80 R 14 85 S", 165, 355.6, 515, 180),
    ("p165/80r14", 165, 355.6, None, None),
    ("165 R 14", 165, 355.6, None, None),
    ("165 SR 14", 165, 355.6, None, 180),
    ("125 R 12 62S", 125, 304.8, 265, 180),
    ("185 R 14 C 8PR 102/100 Q", 185, 355.6, 850, 160),
    ("175/65R14C 90/88T", 175, 355.6, 600, 190),
    ("7.00 R 16 C 117/116 L", 177.8, 406.4, 1285, 120),
    ("7.00R16C", 177.8, 406.4, None, None),
    ("5.60-13", 142.24, 330.2, None, None),
    ("6.00-16 6PR", 152.4, 406.4, None, None),
    ("6.40/7.00-13", 162.56, 330.2, None, None),
    ("6.40 / 7.00 - 13", 162.56, 330.2, None, None),
    ("155-400", 155, 400.0, None, None),
    ("165 x 400", 165, 400.0, None, None),
    ("165 HR 400", 165, 400.0, None, 210),
    ("190/65 HR 390", 190, 390.0, None, 210),
    ("155/80-13 40K", 155, 330.2, 140, 110),
]


@pytest.mark.parametrize(("text", "width", "rim", "load", "speed"), FORMS, ids=[form[0] for form in FORMS])
def test_form_is_read(text: str, width: float, rim: float, load: int | None, speed: int | None) -> None:
    marking = read_marking(text)
    assert marking.text == text
    assert marking.width * 1000 == pytest.approx(width)
    assert marking.rim * 1000 == pytest.approx(rim)
    assert marking.load == load
    assert (marking.speed and marking.speed * 3.6) == (speed and pytest.approx(speed))


@pytest.mark.parametrize(
    ("text", "diameter"),
    [
        ("155-400", 654),  # 82 % of 155 mm twice on 400 mm
        ("6.40/7.00-13", 639),  # of the first width
        ("7.00 R 16 C", 762),
    ],
)
def test_diameter_follows_from_the_first_width_and_the_rim(text: str, diameter: float) -> None:
    assert read_marking(text).diameter * 1000 == pytest.approx(diameter, abs=0.5)


NONE = ["round", "", "165", "165 R", "165R148", "165 R 600", "165R14 85", "5-13", "5.60", "165/80R14 85S and more"]


@pytest.mark.parametrize("text", NONE)
def test_other_texts_are_no_markings(text: str) -> None:
    assert marking_or_none(text) is None
    with pytest.raises(QuantityError, match=r"not a tyre marking.*side wall"):
        read_marking(text)


@pytest.mark.parametrize(
    ("text", "what"), [("165R14 39S", "load index 39"), ("165R14 131S", "load index 131"), ("165R14 85I", "symbol I")]
)
def test_what_the_tables_lack_is_said_with_what_they_hold(text: str, what: str) -> None:
    assert marking_or_none(text) is None
    with pytest.raises(QuantityError, match=re.escape(what)) as caught:
        read_marking(text)
    assert caught.value.problems[0].allowed in (
        "40 to 130",
        "B, C, D, E, F, G, J, K, L, M, N, P, Q, R, S, T, U, H, V, W, Y",
    )


def test_known_marking_is_read_either_way() -> None:
    assert marking_or_none("165/80R14 85S") == read_marking("165/80R14 85S")


@pytest.mark.parametrize(
    ("index", "seen"), [(69, "from memory"), (70, "read in a copy"), (100, "read in a copy"), (101, "from memory")]
)
def test_working_says_how_far_the_row_was_seen(index: int, seen: str) -> None:
    node = read_marking(f"165/80R14 {index}S").load_node("Load")
    assert node.origin is not None
    assert node.origin.source is not None
    assert reference(node.origin.source.key).seen == seen
    assert f"load index {index}" in node.origin.where


def test_index_is_the_least_that_carries() -> None:
    assert [index_for(load) for load in (1, 140, 140.5, 335, 336, 800.5, 1900, 1901)] == [
        40,
        40,
        41,
        70,
        71,
        101,
        130,
        None,
    ]


def test_text_that_is_no_marking_stands_where_the_load_is_entered() -> None:
    odd = {"donor.tyres.front": "vintage, no marking", "donor.tyres.front_load_each": "420 kg"}
    assert changed(odd).build.donor.tyres.front == "vintage, no marking"
    with pytest.raises(BuildError, match="'vintage, no marking' is not a tyre marking"):
        changed({"donor.tyres.front": "vintage, no marking", "donor.tyres.rear_load_each": "420 kg"})


def test_wrong_load_is_the_only_complaint() -> None:
    with pytest.raises(BuildError) as caught:
        changed({"donor.tyres.front": "vintage", "donor.tyres.front_load_each": "420"})
    assert [each.path for each in caught.value.problems] == ["donor.tyres.front_load_each"]
