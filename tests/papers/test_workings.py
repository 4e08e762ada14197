"""The printed workings: whole, said once, and good enough to work each figure again."""

from __future__ import annotations

import functools
import re

import pytest

from helpers import dossier
from voltwright.papers.nodes import WorkingRow, WorkingTree
from voltwright.papers.working import Workings, number
from voltwright.quantity.work import Node
from voltwright.rules.dossier import Dossier

PLAIN = str.maketrans({"−": "-", "\u00a0": " "})


@functools.cache
def example() -> Dossier:
    return dossier()


@functools.cache
def trees() -> dict[str, WorkingTree]:
    workings = Workings(example().figures, "metric")
    made = {key: workings.tree(figure) for key, figure in example().figures.items()}
    return {key: tree for key, tree in made.items() if tree is not None}


def node_of(key: str) -> Node:
    node = example().figures[key].node
    assert node is not None
    return node


def test_every_figure_with_a_value_has_its_working() -> None:
    assert set(trees()) == {key for key, figure in example().figures.items() if figure.value is not None}


def test_every_law_stands_as_written() -> None:
    for key, tree in trees().items():
        law = node_of(key).law
        if law is not None and not tree.how.startswith("the same as"):
            assert law.written in tree.how
            assert law.source is None or law.source.short in tree.how


def test_references_lead_to_a_figure_that_holds_the_value() -> None:
    seen = 0
    for tree in trees().values():
        for row in tree.rows:
            for key in re.findall(r"\bsee (\S+?)(?=[,)]|$)", row.how):
                seen += 1
                assert key in trees(), row
                alone = row.how == f"see {key}"
                if alone:
                    assert value_stands_in(row.value, trees()[key]), row
    assert seen > 50


def value_stands_in(value: str, tree: WorkingTree) -> bool:
    """As the result, as a row, or as what a row was `before` it was wrapped."""
    before = f"{value} before"
    return f"= {value}" in tree.how or any(value == row.value or before in row.how for row in tree.rows)


def test_as_above_is_above() -> None:
    for tree in trees().values():
        for index, row in enumerate(tree.rows):
            if row.how == "as above":
                assert any(row.value == before.value and row.label == before.label for before in tree.rows[:index]), row


def test_every_leaf_says_where_it_came_from() -> None:
    for tree in trees().values():
        assert [row for row in tree.rows if not row.how] == []


def test_sums_can_be_worked_again_from_their_terms() -> None:
    checked = 0
    for key, tree in trees().items():
        node = node_of(key)
        if node.total == "sum":
            terms = [row for row in tree.rows if row.depth == 1]
            assert sum(map(amount, terms)) == pytest.approx(float(node.shown), rel=1e-6), key
            checked += 1
    assert checked >= 4


def test_products_can_be_worked_again_from_their_factors() -> None:
    checked = 0
    for row in (row for tree in trees().values() for row in tree.rows):
        factors = re.match(r"(?:M = mass · arm: )?mass (\S+) kg .*, arm (\S+) m ", row.how.translate(PLAIN))
        if factors:
            assert amount(row) == pytest.approx(float(factors[1]) * float(factors[2]), rel=1e-6, abs=1e-9), row
            checked += 1
    assert checked > 30


def amount(row: WorkingRow) -> float:
    parted = re.sub(r"(?<=\d)\u00a0(?=\d{3})", "", row.value)  # between thousands of money
    return float(parted.translate(PLAIN).split()[0])


def test_terms_of_nothing_are_told_together() -> None:
    told = [row for row in trees()["mass.cg_y"].rows if "terms of 0" in row.label]
    assert told
    for row in told:
        assert int(row.label.split()[0]) == len(row.how.split("; "))
        assert amount(row) == 0.0


def test_no_tree_is_written_twice() -> None:
    """The same law on the same inputs, each with a place of its own, stands once in the whole paper."""
    whole: list[tuple[str, tuple[WorkingRow, ...]]] = [
        (tree.how, tree.rows) for tree in trees().values() if len(tree.rows) > 3
    ]
    assert len(whole) == len(set(whole))
    kerb = trees()["mass.kerb"]
    assert [row.how for row in kerb.rows[1:]] == ["see mass.removed", "see mass.added"]


def test_numbers_carry_eight_digits_and_a_true_minus() -> None:
    node = node_of("mass.cg_x")
    assert re.fullmatch(r"\d\.\d{7}\u00a0m", number(node)), number(node)
    below = node_of("mass.ride_height_rear")
    assert number(below).startswith("−")
