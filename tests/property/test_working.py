"""The working is the program: every figure of every example can be recomputed from its printed working alone."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import sympy
from sympy.parsing.sympy_parser import parse_expr

from voltwright.build.reader import load
from voltwright.quantity.figure import fixed, working
from voltwright.quantity.formula import unpretty
from voltwright.quantity.units import Unit
from voltwright.rules.dossier import Dossier, assess

EXAMPLES = sorted(Path(__file__).parents[2].joinpath("examples").glob("*.yaml"))
FUNCTIONS = {
    name: getattr(sympy, name)
    for name in ("sqrt", "log", "exp", "tan", "asin", "atan", "Abs", "Min", "Max", "pi", "Integer", "Float")
}
_DOSSIERS: dict[Path, Dossier] = {}


def dossier_of(path: Path) -> Dossier:
    if path not in _DOSSIERS:
        _DOSSIERS[path] = assess(load(path))
    return _DOSSIERS[path]


GATHERED = {"sum": sum, "least": min, "greatest": max}


def recomputed(node: dict[str, Any]) -> float:
    """The value (SI, or money in its unit) that follows from the printed leaves and the printed equations.

    What a procedure found (read from a table, searched) is taken as printed; each has a published check of its own.
    """
    if node["kind"] in ("leaf", "procedure"):
        return _si(float(node["value"]), node["unit"])
    values = [_input(child, node) for child in node["inputs"]]
    if node["kind"] in GATHERED:
        return GATHERED[node["kind"]](values)
    names = {child["name"]: sympy.Symbol(child["name"]) for child in node["inputs"]}
    law = parse_expr(unpretty(node["equation"]), local_dict=names, global_dict=dict(FUNCTIONS))
    return float(law.subs(dict(zip(names.values(), values, strict=True))))


def _input(child: dict[str, Any], parent: dict[str, Any]) -> float:
    if Unit(parent["unit"] or "1").is_money and child["unit"] in ("h",):
        return float(child["value"])  # money is worked in hours
    return recomputed(child)


def _si(value: float, unit: str) -> float:
    known = Unit(unit or "1")
    return value if known.is_money else known.to_si(value)


CASES = [
    (path, key) for path in EXAMPLES for key, figure in dossier_of(path).figures.items() if figure.node is not None
]


def test_there_are_examples_with_figures() -> None:
    assert len(CASES) > 40


@pytest.mark.parametrize(("path", "key"), CASES, ids=[f"{path.stem}-{key}" for path, key in CASES])
def test_a_figure_follows_from_its_printed_working(path: Path, key: str) -> None:
    figure = dossier_of(path).figures[key]
    assert figure.node is not None
    assert figure.value is not None
    value = recomputed(working(figure.node))
    shown = value if figure.unit.is_money else figure.unit.from_si(value)
    close = abs(shown - figure.value) <= 1e-6 * max(1.0, abs(figure.value))
    assert fixed(shown, figure.decimals) == fixed(figure.value, figure.decimals) or close, (shown, figure.value)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_leaf_says_where_it_came_from(path: Path) -> None:
    for figure in dossier_of(path).figures.values():
        for node in figure.node.walk() if figure.node else ():
            if node.is_leaf:
                assert node.origin is not None, node.label
                assert node.origin.where or node.origin.reason, node.label
                if node.origin.how == "assumed":
                    assert node.origin.reason, node.label


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_the_band_holds_the_value(path: Path) -> None:
    for key, figure in dossier_of(path).figures.items():
        if figure.low is not None and figure.high is not None and figure.value is not None:
            assert figure.low <= figure.value + 1e-9, key
            assert figure.value - 1e-9 <= figure.high, key


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_same_input_same_output(path: Path) -> None:
    assert assess(load(path)).as_data() == dossier_of(path).as_data()
