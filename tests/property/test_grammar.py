"""Quantities: what is printed is read back, and whatever is typed is read or refused in words."""

from __future__ import annotations

import functools
import math
from collections.abc import Callable
from typing import Any

from hypothesis import assume, example, given
from hypothesis import strategies as st

from voltwright.quantity.entry import Expect
from voltwright.quantity.errors import Problem, QuantityError
from voltwright.quantity.grammar import LARGEST, SMALLEST, example_of, read
from voltwright.quantity.units import CURRENCIES, Unit, all_units, measures_the_same

UNITS = [Unit(name) for name in all_units()]
POINTS = ("°C", "°F")
NUMBERS = st.floats(-1e9, 1e9).filter(lambda number: number == 0 or abs(number) > 1e-3)


def wanted_for(unit: Unit) -> tuple[Unit, bool]:
    """Where a unit may be typed, and whether a difference is asked there."""
    return unit, unit.is_temperature_step


def outcome(reads: Callable[[], Any]) -> tuple[Any, tuple[Problem, ...]]:
    """What was read, or the words in which it was refused."""
    try:
        return reads(), ()
    except QuantityError as error:
        return None, error.problems


def in_words(problems: tuple[Problem, ...]) -> bool:
    return bool(problems) and all(problem.what and problem.allowed and problem.mend for problem in problems)


def typed(unit: Unit) -> str:
    """A unit as it is typed: a plain number has none."""
    return "" if unit.spelling == "1" else unit.spelling


def in_reach(*values: float) -> bool:
    return all(value == 0 or SMALLEST <= abs(value) <= LARGEST for value in values)


@given(st.sampled_from(UNITS), NUMBERS)
def test_one_number(unit: Unit, number: float) -> None:
    wanted, difference = wanted_for(unit)
    expected = unit.difference_to_si(number) if difference else unit.to_si(number)
    assume(in_reach(expected))
    reading = read(f"{number!r} {typed(unit)}", wanted, difference=difference)
    assert reading.unit == unit
    assert float(reading.exact) == number
    assert reading.spread.is_exact
    assert reading.value == expected
    back = unit.difference_from_si(reading.value) if difference else unit.from_si(reading.value)
    assert math.isclose(back, number, rel_tol=1e-12, abs_tol=1e-9)


@given(st.sampled_from(UNITS), NUMBERS, st.floats(0.001, 1e6))
def test_a_number_and_its_spread(unit: Unit, number: float, half: float) -> None:
    wanted, difference = wanted_for(unit)
    assume(unit.spelling != "%" or not 0 < number <= 1)  # refused: `0.5 ± 5 %` could mean a share
    name = typed(unit)
    texts = [f"{number!r} {name} ± {half!r} {name}", f"{number!r} ± {half!r} {name}", f"{number!r} {name} +/- {half!r}"]
    expected = unit.difference_to_si(number) if difference else unit.to_si(number)
    width = unit.difference_to_si(half)
    assume(in_reach(expected, width))
    for text in texts:
        spread = read(text, wanted, difference=difference).spread
        assert spread.kind == "normal"
        assert math.isclose(spread.high - spread.low, 2 * width, rel_tol=1e-6, abs_tol=1e-5 * abs(expected))
        assert math.isclose((spread.high + spread.low) / 2, expected, rel_tol=1e-9, abs_tol=1e-9 * width)


@given(st.sampled_from(UNITS), NUMBERS, NUMBERS)
def test_anything_between(unit: Unit, one: float, other: float) -> None:
    wanted, difference = wanted_for(unit)
    low, high = sorted((one, other))
    ends = [unit.difference_to_si(each) if difference else unit.to_si(each) for each in (low, high)]
    assume(in_reach(*ends) and ends[0] < ends[1])
    for text in (f"{low!r} .. {high!r} {typed(unit)}", f"{low!r} {typed(unit)} … {high!r} {typed(unit)}"):
        reading = read(text, wanted, difference=difference)
        assert [reading.spread.low, reading.spread.high] == ends
        assert reading.spread.kind == "between"
        assert ends[0] <= reading.value <= ends[1]


@given(st.integers(0, 30), st.integers(0, 11), st.integers(1, 63), st.sampled_from("+- "))
def test_feet_and_inches(feet: int, inches: int, parts: int, sign: str) -> None:
    length = 0.3048 * feet + 0.0254 * (inches + parts / 64)  # international foot and inch, exact since 1959
    for text in (
        f"{feet}' {inches} {parts}/64\"",
        f"{feet} ft {inches} {parts}/64 in",
        f"{feet}'{inches + parts / 64}\"",
    ):
        value = read(f"{sign.strip()}{text}", Unit("m")).value
        assert math.isclose(value, -length if sign == "-" else length, rel_tol=1e-12)


@given(st.sampled_from(UNITS), st.sampled_from(UNITS), NUMBERS)
def test_a_unit_stands_only_where_it_measures(unit: Unit, wanted: Unit, number: float) -> None:
    reading, problems = outcome(lambda: read(f"{number!r} {typed(unit)}", wanted))
    assert measures_the_same(unit, wanted) if reading else in_words(problems)


SIGNS = st.sampled_from(
    [
        *"0123456789",
        *".,±+-−–eE '’\"/…∞½%°·²Δ\u00a0\t\n",
        "..",
        " kg",
        " m",
        " °C",
        "nan",
        "inf",
        " ft ",
        " in",
        " EUR",
        " .. ",
        "+/-",
    ]
)


@given(
    st.one_of(st.text(max_size=150), st.lists(SIGNS, max_size=14).map("".join)), st.sampled_from(UNITS), st.booleans()
)
@example("1'000", Unit("m"), False)
@example("9" * 119, Unit("kg"), False)
@example("1e999 .. -1e999", Unit("1"), False)
@example("-1/0''", Unit("m"), False)
@example("٣ kg", Unit("kg"), False)
def test_any_text_is_read_or_refused_in_words(text: str, wanted: Unit, difference: bool) -> None:
    reading, problems = outcome(lambda: read(text, wanted, difference=difference))
    if reading is None:
        assert in_words(problems)
    else:
        values = (reading.value, reading.spread.low, reading.spread.high, float(reading.exact))
        assert all(math.isfinite(value) for value in values)


@given(
    st.one_of(
        st.none(),
        st.booleans(),
        st.floats(),
        st.integers(),
        st.text(max_size=30),
        st.binary(max_size=5),
        st.lists(st.integers(), max_size=2),
    ),
    st.sampled_from(["kg", "1", "%", "°C", "currency"]),
)
def test_any_value_is_read_or_refused_in_words(raw: object, unit: str) -> None:
    expect = Expect(unit, least=-50, most=500)
    for written in (
        raw,
        {"value": raw},
        {"value": "5", "how": raw},
        {"value": f"5 {unit}", "note": raw, "source": raw},
    ):
        entry, problems = outcome(functools.partial(expect.read, written))
        assert math.isfinite(entry.value) if entry else in_words(problems)


@given(st.sampled_from([*UNITS, *(Unit(code) for code in sorted(CURRENCIES))]))
def test_every_example_can_be_read(unit: Unit) -> None:
    """What a message offers as an example is itself accepted."""
    offered = example_of(unit)
    first = offered.partition("such as ")[2].split(" or ")[0].split(", ")[0]
    assert read(first, unit, difference=unit.spelling in ("K", "Δ°C", "Δ°F")).unit is not None
