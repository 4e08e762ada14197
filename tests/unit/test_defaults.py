"""What is assumed where the workshop says nothing: each default stands in the schema, can be read, and says why."""

from __future__ import annotations

import typing
from pathlib import Path

import pytest

from voltwright.build.donor import Donor
from voltwright.build.paths import spot_at
from voltwright.build.reader import BuildFile, Default, defaults, load, loads, with_defaults
from voltwright.quantity.source import references

GOLDEN = Path(__file__).parent / "golden" / "format-1.yaml"
COUPE = Path(__file__).parents[2] / "examples" / "coupe.yaml"
BODIES = typing.get_args(Donor.model_fields["body"].annotation)
EACH = pytest.mark.parametrize("default", defaults(), ids=lambda default: default.path)


@EACH
def test_a_default_is_a_value_of_its_field(default: Default) -> None:
    here = spot_at(tuple(default.path.split(".")))
    assert here is not None
    assert here.expect is not None
    for body in BODIES:
        raw = {"value": default.text(body), "how": "assumed", "note": default.note, "source": default.source}
        entry = here.expect.read(raw)
        assert entry.is_assumed
        assert entry.text == default.text(body)


@EACH
def test_a_default_says_why_from_where_and_how_to_find_out(default: Default) -> None:
    assert default.note
    assert default.measure
    assert default.source in references()


def test_no_default_stands_twice() -> None:
    paths = [default.path for default in defaults()]
    assert len(paths) == len(set(paths))


def test_a_default_of_each_body_knows_every_body() -> None:
    for default in defaults():
        assert bool(default.value) != bool(default.by_body)
        assert set(default.by_body or BODIES) == set(BODIES), default.path


def test_a_default_has_a_spread_unless_it_is_a_choice() -> None:
    """What is not known is said: a guess without a width would claim to be a measurement."""
    exact = {
        default.path
        for default in defaults()
        for here in [spot_at(tuple(default.path.split(".")))]
        if here is not None and here.expect is not None and here.expect.read(default.text("other")).spread.is_exact
    }
    assert exact == {
        "brief.load", "costing.margin_labour", "costing.margin_parts", "costing.tax", "donor.electrics.voltage", "duty.climate.coldest",
        "duty.climate.hottest", "duty.descent.gradient", "duty.descent.length", "duty.descent.speed", "duty.habit.fast_share",
        "duty.habit.limit", "pack.window.full",
    }  # fmt: skip


def bare() -> BuildFile:
    """The coupé with every value left out for which there is a default."""
    lines = COUPE.read_text(encoding="utf-8").splitlines()
    kept = [
        line
        for line in lines
        if line.strip().split(":")[0]
        not in ("load", "track_front", "window", "full", "empty", "limit", "parking", "charge")
    ]
    return loads("\n".join(kept).replace("    place: garage\n", ""))


def test_what_is_left_out_is_assumed_and_listed() -> None:
    made = bare()
    assumed = {path: entry for path, entry in made.build.entries() if entry.is_assumed}
    assert {
        "brief.load",
        "donor.size.track_front",
        "pack.window.full",
        "pack.window.empty",
        "duty.parking.charge",
        "duty.habit.limit",
    } <= set(assumed)
    assert all(
        entry.origin.where == path and entry.origin.reason and entry.origin.source for path, entry in assumed.items()
    )


def test_what_is_written_is_never_assumed() -> None:
    build = load(GOLDEN).build
    assert [path for path, entry in build.entries() if entry.is_assumed] == []


@pytest.mark.parametrize("body", BODIES)
def test_the_body_decides(body: str) -> None:
    height = next(default for default in defaults() if default.path == "donor.size.height")
    filled = with_defaults({"donor": {"body": body, "size": {}}})
    assert filled["donor"]["size"]["height"]["value"] == height.text(body)


@pytest.mark.parametrize(
    "root", [{}, {"donor": None}, {"donor": 5}, {"donor": {"size": []}}, {"donor": {"body": ["x"]}}, {"brief": "x"}]
)
def test_filling_takes_any_document(root: dict[str, object]) -> None:
    before = repr(root)
    assert with_defaults(root)["person_mass"]["how"] == "assumed"
    assert repr(root) == before
