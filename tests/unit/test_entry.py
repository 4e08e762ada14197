"""One value with its unit, spread and origin: from a text, a number or a mapping; ranges; and what is refused."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from voltwright.quantity import entry as entries
from voltwright.quantity.entry import Entry, Expect, Written, WrittenInt
from voltwright.quantity.errors import Problem, QuantityError
from voltwright.quantity.units import Unit

MASS = Expect("kg", above=0, most=20000)
SHARE = Expect("%", least=0, most=100)
STEP = Expect("K", least=0, most=50, difference=True)


def refused(expect: Expect, raw: Any) -> Problem:
    with pytest.raises(QuantityError) as caught:
        expect.read(raw)
    (problem,) = caught.value.problems
    assert problem.what
    assert problem.allowed
    assert problem.mend
    return problem


def test_a_text_remembers_where_it_stood() -> None:
    made = MASS.read(Written.at("1012 kg ± 5 kg", "donor.mass_kerb"))
    assert (made.value, made.text, made.origin.how, made.origin.where) == (
        1012.0,
        "1012 kg ± 5 kg",
        "entered",
        "donor.mass_kerb",
    )
    assert (made.spread.low, made.spread.high) == (1007.0, 1017.0)


def test_a_mapping_says_how_the_value_is_known() -> None:
    raw = {
        "value": Written.at("480 lb", "x.mass.value"),
        "how": "measured",
        "note": "crane scale",
        "source": "own-datasheet",
        "grade": "measured",
    }
    made = MASS.read(raw)
    assert made.value == pytest.approx(480 * 0.45359237)
    assert made.unit == Unit("lb")
    assert (made.origin.how, made.origin.where, made.origin.reason, made.origin.grade) == (
        "measured",
        "x.mass",
        "crane scale",
        "measured",
    )
    assert made.origin.source is not None
    assert made.origin.source.key == "own-datasheet"


def test_a_mapping_with_a_value_alone_is_entered() -> None:
    assert MASS.read({"value": "5 kg"}).origin.how == "entered"


def test_an_assumption_says_why() -> None:
    made = MASS.read({"value": "5 kg", "how": "assumed", "note": "usual"})
    assert made.is_assumed
    assert "reason" in refused(MASS, {"value": "5 kg", "how": "assumed"}).what
    assert "reason" in refused(MASS, {"value": "5 kg", "how": "assumed", "note": ""}).what


def test_a_plain_number_needs_a_unit_where_there_is_one() -> None:
    assert Expect("1", above=0).read(WrittenInt.at(3, "p")).value == 3.0
    assert "has no unit" in refused(MASS, 5).what


def test_an_entry_passes_as_it_is() -> None:
    made = MASS.read("5 kg")
    assert MASS.read(made) is made


@pytest.mark.parametrize(
    ("raw", "what", "mend"),
    [
        ({"value": "5 kg", "hwo": "measured"}, "'hwo' is not known beside a value", "write how"),
        ({"value": "5 kg", "colour": "red"}, "'colour' is not known beside a value", "take it out"),
        ({"how": "measured"}, "the value itself is missing", "value: ..."),
        ({}, "the value itself is missing", "value: ..."),
        ({"value": "5 kg", "how": "guessed"}, "does not say how", "how: "),
        ({"value": "5 kg", "how": ["measured"]}, "does not say how", "how: measured"),
        ({"value": "5 kg", "how": True}, "does not say how", "how: entered"),
        ({"value": "5 kg", "grade": "mesured"}, "is not a grade", "grade: measured"),
        ({"value": "5 kg", "grade": {"a": "b"}}, "is not a grade", "grade: "),
        ({"value": "5 kg", "note": ["a"]}, "is not a short text", "plain words"),
        ({"value": "5 kg", "note": "x" * 501}, "is not a short text", "plain words"),
        ({"value": "5 kg", "source": "own-datashet"}, "is not in the references", "write own-datasheet"),
        ({"value": "5 kg", "source": {"a": "b"}}, "is not a short text", "plain words"),
        ({"value": None}, "nothing is written here", "one number"),
        ({"value": ["5 kg"]}, "is not a quantity", "one number"),
        (None, "nothing is written here", "one number"),
        (True, "True is not a quantity", "one number"),
        (["5 kg"], "is not a quantity", "one number"),
    ],
)
def test_what_is_no_value_is_refused(raw: Any, what: str, mend: str) -> None:
    problem = refused(MASS, raw)
    assert what in problem.what
    assert mend in problem.mend


@pytest.mark.parametrize(
    ("expect", "text"),
    [
        (MASS, "0 kg"),
        (MASS, "-5 kg"),
        (MASS, "20001 kg"),
        (MASS, "-1 .. 5 kg"),
        (MASS, "5 .. 20001 kg"),
        (MASS, "5 kg ± 5 kg"),
        (MASS, "19999 kg ± 2 kg"),
        (MASS, "50000 lb"),
        (SHARE, "-1 %"),
        (SHARE, "101 %"),
        (SHARE, "40"),
        (SHARE, "95 % ± 6 %"),
        (STEP, "51 K"),
        (STEP, "91 Δ°F"),
    ],
)
def test_a_range_holds_for_the_value_and_its_spread(expect: Expect, text: str) -> None:
    problem = refused(expect, text)
    assert "outside what makes sense here" in problem.what
    assert text in problem.what
    assert problem.allowed == expect.allowed


@pytest.mark.parametrize(
    ("expect", "text"),
    [(MASS, "20000 kg"), (MASS, "0.001 kg"), (SHARE, "0 %"), (SHARE, "1"), (SHARE, "95 % ± 5 %"), (STEP, "90 Δ°F")],
)
def test_the_edges_are_inside(expect: Expect, text: str) -> None:
    assert expect.read(text).text == text


def test_a_range_in_words() -> None:
    assert MASS.allowed == "above 0 kg and at most 20000 kg"
    assert Expect("1", above=0, most=10).allowed == "above 0 and at most 10"
    assert Expect("currency", least=0, most=1e8).allowed == "at least 0 and at most 100000000"
    assert Expect("V").allowed == "a voltage such as 350 V"


def test_a_leaf_of_a_working() -> None:
    mass, price = MASS.read("12.5 kg ± 0.5 kg"), Expect("currency").read("19.90 EUR ± 1.00 EUR")
    leaf = mass.node("Motor")
    assert (leaf.value, str(leaf.unit), leaf.label, leaf.spread.high) == (12.5, "kg", "Motor", 13.0)
    assert mass.node("Motor", "lb").shown == pytest.approx(12.5 / 0.45359237)
    money = price.node("Price")
    assert money.value == Decimal("19.90")
    assert money.spread.high == pytest.approx(20.90)


def test_every_field_type_reads_its_own_example() -> None:
    """The example that a message offers is inside the range of every field that offers it."""
    for name, annotation in vars(entries).items():
        expect = next((mark for mark in getattr(annotation, "__metadata__", ()) if isinstance(mark, Expect)), None)
        if expect is not None:
            words = refused(expect, "").allowed
            example = words.partition("such as ")[2].split(" or ")[0].split(", ")[0]
            if name != "CellVoltage":  # narrower than the example of its unit
                assert isinstance(expect.read(example), Entry), name
