"""One value in place of another: what is read of it alone is what a reading of the whole text finds."""

from __future__ import annotations

from pathlib import Path
from typing import Any, cast

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from voltwright.quantity.document import LONGEST_LINE, exchanged, parse

ROOT = Path(__file__).parents[2]
STYLES = """\
voltwright: 1
'a b': "quoted"   # beside
b: {c: 5 kg, d: {e: [1, 2.5 mm, x], f: 'it''s'}, g: null}
c:
  - 5 kg
  - {d: plain words here, e: true}
  - - inner
d: [a, "b", 'c']  # the end
e: 12
"""
TEXTS = (STYLES, STYLES.replace("\n", "\r\n"), (ROOT / "examples" / "roadster.yaml").read_text(encoding="utf-8"))
DOCUMENTS = tuple(map(parse, TEXTS))
ODD = st.sampled_from(
    ["", " ", "-", "- a", "?", "? a", ":", "a: b", "a:b", "a #b", "#", "{", "}", "[1, 2]", "a, b", "'", '"', "it's", "&a", "*a", "!x",
     "%", "@", "`", "|", ">", "~", "null", "true", "yes", "0x10", "1_000", "1e3", "007", "+5", "5 kg", "260,5 kg", "é", "💡", "\\n",
     "a\\tb", "---", "...", " lead", "trail ", "=", "<<", "1:30", "2026-11-28", "x" * 300]
)  # fmt: skip
SCALARS = st.one_of(
    ODD,
    st.integers(-(10**15), 10**15),
    st.booleans(),
    st.floats(allow_nan=False, allow_infinity=False),
    st.text(st.characters(exclude_categories=["Cc", "Cs"]), max_size=12),
)
PLACES = st.sampled_from([(number, spot) for number, made in enumerate(DOCUMENTS) for spot in made.spots])


def told(value: Any) -> Any:
    """A value with its kind and its path, all the way down."""
    if isinstance(value, dict):
        return {key: told(each) for key, each in cast(dict[str, Any], value).items()}
    if isinstance(value, list):
        return [told(each) for each in cast(list[Any], value)]
    return type(value), value, getattr(value, "path", None)


@settings(max_examples=300, deadline=None)
@given(PLACES, SCALARS)
@example((0, ("b", "c")), "260,5 kg")
@example((0, ("d", "1")), "]")
def test_what_is_read_alone_is_what_the_whole_says(place: tuple[int, tuple[str, ...]], value: Any) -> None:
    number, spot = place
    made = exchanged(DOCUMENTS[number], spot, value)
    if made is None:
        return  # the whole is read
    whole = parse(made.text)
    assert told(made.root) == told(whole.root)
    assert made.lines == whole.lines
    assert made.spots == whole.spots


@pytest.mark.parametrize("value", ["5 kg", 12, "a: b", True, 2.5, "it's"])
def test_a_usual_value_is_read_alone(value: Any) -> None:
    for document in DOCUMENTS:
        for spot in document.spots:
            assert exchanged(document, spot, value) is not None


def test_where_no_scalar_stands_or_too_long_a_one_would_the_whole_is_read() -> None:
    assert exchanged(DOCUMENTS[0], ("b",), "5 kg") is None
    assert exchanged(DOCUMENTS[0], ("nowhere",), "5 kg") is None
    assert exchanged(DOCUMENTS[0], ("e",), {"value": "5 kg"}) is None
    assert exchanged(DOCUMENTS[0], ("e",), "x" * LONGEST_LINE) is None
    assert exchanged(parse("a: 'one\n  two'\n"), ("a",), "5 kg") is None


def test_the_document_before_stays_as_it_was() -> None:
    before = DOCUMENTS[0]
    after = exchanged(before, ("b", "d", "e", "1"), "7 mm")
    assert after is not None
    assert before.text == STYLES
    assert before.root["b"]["d"]["e"][1] == "2.5 mm"
    assert after.root["b"]["d"]["e"] == [1, "7 mm", "x"]
    assert after.text == STYLES.replace("2.5 mm", "7 mm")
