"""A decimal comma inside brackets: YAML takes it for the end of the value, and the reader says so."""

from pathlib import Path

import pytest

from voltwright.build.complaints import problems_of
from voltwright.build.reader import loads
from voltwright.quantity.document import parse
from voltwright.quantity.errors import BuildError, Problem
from voltwright.quantity.grammar import is_behind_comma

COUPE = (Path(__file__).parents[2] / "examples" / "coupe.yaml").read_text(encoding="utf-8")


def refused(text: str) -> tuple[Problem, ...]:
    with pytest.raises(BuildError) as caught:
        parse(text)
    return caught.value.problems


@pytest.mark.parametrize(
    ("text", "path", "written", "right"),
    [
        ("a: {mass: 260,5 kg, x: 1 m}\n", "a.mass", "260,5 kg", "260.5 kg"),
        ("a: {drag: 0,44, x: 1 m}\n", "a.drag", "0,44", "0.44"),
        ("a: {x: 0,05}\n", "a.x", "0,05", "0.05"),
        ("a:\n  - {x: -0,38 m}\n", "a.0.x", "-0,38 m", "-0.38 m"),
        ("a: {mass: {value: 731,5 kg, how: measured}}\n", "a.mass.value", "731,5 kg", "731.5 kg"),
        ("a: {mass: 12 kg ± 0,5 kg}\n", "a.mass", "12 kg ± 0,5 kg", "12 kg ± 0.5 kg"),
        ("a: {hours: 4 .. 5,5 h}\n", "a.hours", "4 .. 5,5 h", "4 .. 5.5 h"),
        ("a: {hours: 4,5 .. 6 h}\n", "a.hours", "4,5 .. 6 h", "4.5 .. 6 h"),
        ("a: {price: 610,50 EUR}\n", "a.price", "610,50 EUR", "610.50 EUR"),
    ],
)
def test_the_whole_value_is_said_and_how_to_write_it(text: str, path: str, written: str, right: str) -> None:
    (problem,) = refused(text)
    assert problem.path == path
    assert problem.what.startswith(f"'{written}' has a comma")
    assert problem.mend.endswith(f"decimal point as '.': {right}")


def test_every_comma_is_said_at_once_with_its_line() -> None:
    assert [(each.path, each.line) for each in refused("a: {b: 0,05, c: 1}\nd: {e: 2,5 kg}\n")] == [
        ("a.b", 1),
        ("d.e", 2),
    ]


def test_the_same_digits_twice_are_known_for_commas_too() -> None:
    (problem,) = refused("a: {length: 0,5 m, width: 0,5 m}\n")
    assert problem.what == "'5 m' stands here twice"
    assert "write the decimal point as '.'" in problem.mend


@pytest.mark.parametrize(
    "text", ["a: {b: 1, c: }\n", "a: {b: 12, 12v: x}\n", "a: {b: 1, 5 doors}\n", "a: {b: 1.5,c: 2}\n"]
)
def test_other_names_are_left_alone(text: str) -> None:
    assert parse(text).root["a"]["b"]


@pytest.mark.parametrize("name", ["5 kg", "5", "05", "5kg", "5 °C", "50 EUR/h", "5 kg ± 3 kg", "5 .. 8 kg", "5 N·m"])
def test_what_may_stand_behind_a_comma(name: str) -> None:
    assert is_behind_comma(name)


@pytest.mark.parametrize("name", ["mass", "2nd", "12v", "5 doors", "kg 5", "-5", "", "1-2"])
def test_what_may_not(name: str) -> None:
    assert not is_behind_comma(name)


def test_a_build_with_a_comma_says_nothing_else() -> None:
    old = "mass: 14 kg, x: -0.38 m"
    assert COUPE.count(old) == 1
    with pytest.raises(BuildError) as caught:
        loads(COUPE.replace(old, "mass: 14,5 kg, x: -0,38 m"), "car.yaml")
    assert [each.what.split(" has")[0] for each in caught.value.problems] == ["'14,5 kg'", "'-0,38 m'"]
    assert str(caught.value.problems[0]).startswith("car.yaml:")


def test_an_unknown_name_that_is_a_number_is_known_for_a_comma() -> None:
    """Where nothing before it ends in a digit, the schema's complaint says what was meant."""
    error = {"type": "extra_forbidden", "loc": ("donor", "5 kg"), "input": None, "msg": ""}
    (problem,) = problems_of([error], parse("donor: {5 kg}\n"))
    assert problem.what == "'5 kg' stands here as a name"
    assert "decimal comma" in problem.mend
    assert "write the decimal point as '.'" in problem.mend
