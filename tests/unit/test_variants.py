"""Variants: named sets of changes, checked with the build, and applied without touching it."""

from __future__ import annotations

import copy
from pathlib import Path
from typing import Any

import pytest

from voltwright.build.document import MOST_VARIANTS
from voltwright.build.reader import BuildFile, loads, make
from voltwright.build.variants import apply_variant, put, steps
from voltwright.quantity.errors import BuildError, Problem

TEXT = (Path(__file__).parent / "golden" / "format-1.yaml").read_text(encoding="utf-8").partition("variants:\n")[0]


def read(variants: str) -> BuildFile:
    return loads(f"{TEXT}variants:\n{variants}", "car.yaml")


def refused(variants: str) -> Problem:
    with pytest.raises(BuildError) as caught:
        read(variants)
    problem = caught.value.problems[0]
    assert problem.file == "car.yaml"
    assert problem.path.startswith("variants")
    assert problem.line is not None
    assert problem.line > TEXT.count("\n")
    assert problem.what
    assert problem.allowed
    assert problem.mend
    return problem


def test_a_variant_changes_what_it_names() -> None:
    made = read("  a:\n    changes: {pack.series: 4, donor.brakes.servo: electric, pack.boxes.0.mass: 20 kg}\n")
    build = make(apply_variant(made.document.root, made.build, "a"), made.document)
    assert (build.pack.series, build.donor.brakes.servo, build.pack.boxes[0].mass.value) == (4, "electric", 20.0)
    assert made.build.pack.series == 5


def test_a_variant_may_rest_on_another() -> None:
    made = read("  a:\n    changes: {pack.series: 4, title: A}\n  b:\n    of: a\n    changes: {title: B}\n")
    build = make(apply_variant(made.document.root, made.build, "b"), made.document)
    assert (build.pack.series, build.title) == (4, "B")


def test_a_variant_may_price_a_part_whose_id_holds_dots() -> None:
    made = read("  a:\n    changes: {costing.prices.charger/3.3kw-1ph-120v: 99 GBP}\n")
    build = make(apply_variant(made.document.root, made.build, "a"), made.document)
    assert build.costing.prices["charger/3.3kw-1ph-120v"].value == 99.0
    assert steps("costing.prices.charger/3.3kw") == ["costing", "prices", "charger/3.3kw"]
    assert steps("pack.boxes.0.mass") == ["pack", "boxes", "0", "mass"]


def test_a_variant_may_add_an_item() -> None:
    box = "{name: third, modules: 1, mass: 5 kg, x: 1 m, z: 0.4 m, length: 1 m, width: 1 m, height: 0.2 m}"
    pump = "      fitted.1.part: pump/coolant-20l\n      fitted.1.x: 0 m\n      fitted.1.z: 0 m\n"
    made = read(f"  a:\n    changes:\n      pack.boxes.2: {box}\n{pump}")
    build = make(apply_variant(made.document.root, made.build, "a"), made.document)
    assert [box.name for box in build.pack.boxes] == ["under-floor", "tank", "third"]
    assert build.fitted[1].part == "pump/coolant-20l"


def test_applying_leaves_the_document_alone() -> None:
    """A change of a change must not reach back into the first one's values."""
    made = read(
        "  a:\n    changes: {pack.bms: {part: bms/16ch-200v, boards: 2}}\n  b:\n    of: a\n    changes: {pack.bms.boards: 9}\n"
    )
    before = copy.deepcopy(made.document.root)
    assert make(apply_variant(made.document.root, made.build, "b"), made.document).pack.bms.boards == 9
    assert make(apply_variant(made.document.root, made.build, "a"), made.document).pack.bms.boards == 2
    assert made.document.root == before


@pytest.mark.parametrize(
    ("variants", "what", "mend"),
    [
        ("  a:\n    of: nowhere\n    changes: {}\n", "rests on 'nowhere', which does not exist", "take it out"),
        ("  alpha:\n    changes: {}\n  b:\n    of: alpah\n    changes: {}\n", "rests on 'alpah'", "write alpha"),
        ("  a:\n    of: a\n    changes: {}\n", "a circle: a → a", "rest on the build itself"),
        (
            "  a:\n    of: b\n    changes: {}\n  b:\n    of: a\n    changes: {}\n",
            "a circle: a → b → a",
            "rest on the build itself",
        ),
        ("  a:\n    changes: {pack.seris: 3}\n", "pack.seris: 'seris' is not known here", "write series"),
        ("  a:\n    changes: {pack.series: 0}\n", "pack.series: '0' is outside", "check the number"),
        ("  a:\n    changes: {pack.module: module/none}\n", "no part has the id 'module/none'", "write module/"),
        ("  a:\n    changes: {costing.prices.fan/none: 5 GBP}\n", "no part has the id 'fan/none'", "write fan/"),
        ("  a:\n    changes: {title.x: 3}\n", "title.x: the path leads into a single value", "end the path"),
        ("  a:\n    changes: {title.x.y: 3}\n", "title.x.y: the path leads into a single value", "end the path"),
        ("  a:\n    changes: {pack.boxes.9.mass: 3 kg}\n", "'9' names no place in a list of 2", "count from 0"),
        ("  a:\n    changes: {pack.boxes.-1.mass: 3 kg}\n", "'-1' names no place", "count from 0"),
        ("  a:\n    changes: {pack.boxes.x: 3 kg}\n", "'x' names no place", "count from 0"),
        ("  a:\n    changes: {pack.boxes.².mass: 3 kg}\n", "'²' names no place", "count from 0"),
        ("  a:\n    changes: {pack.boxes.٠.mass: 3 kg}\n", "'٠' names no place", "count from 0"),
        ("  a:\n    changes: {pack..series: 3}\n", "'' is not known here", "take it out"),
        ("  a:\n    changes: {variants.b: 3}\n", "variants.b: '3' is not a set of names and values", "indented"),
        ("  a:\n    changes: {voltwright: 2}\n", "voltwright: '2' is not one of the words", "write 1"),
        ("  a:\n    changes: 5\n", "'5' is not a set of names and values", "indented"),
        ("  a: 5\n", "'5' is not a set of names and values", "indented"),
        ("  A b:\n    changes: {}\n", "is not written as it must be", "write a-b"),
        ("  a:\n    chnages: {}\n", "'chnages' is not known here", "write changes"),
    ],
)
def test_a_variant_that_cannot_be_is_refused(variants: str, what: str, mend: str) -> None:
    problem = refused(variants)
    assert what in problem.what
    assert mend in problem.mend


def test_the_line_is_that_of_the_change() -> None:
    problem = refused("  a:\n    why: because\n    changes:\n      title: x\n      pack.series: 0\n")
    assert problem.line == TEXT.count("\n") + 6
    assert problem.path == "variants.a.changes.pack.series"


def test_there_may_be_so_many() -> None:
    many = "".join(f"  v{index}: {{changes: {{title: V{index}}}}}\n" for index in range(MOST_VARIANTS + 1))
    assert "too many items" in refused(many).what


@pytest.mark.parametrize(
    ("path", "expected"),
    [
        ("a", {"a": 1, "b": {"c": [{"d": 2}]}}),
        ("b.x.y", {"a": 0, "b": {"c": [{"d": 2}], "x": {"y": 1}}}),
        ("b.c.0.d", {"a": 0, "b": {"c": [{"d": 1}]}}),
        ("b.c.1", {"a": 0, "b": {"c": [{"d": 2}, 1]}}),
        ("b.c.1.e", {"a": 0, "b": {"c": [{"d": 2}, {"e": 1}]}}),
    ],
)
def test_putting(path: str, expected: dict[str, Any]) -> None:
    root: dict[str, Any] = {"a": 0, "b": {"c": [{"d": 2}]}}
    put(root, path, 1)
    assert root == expected
