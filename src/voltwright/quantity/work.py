"""Worked values: each node knows its value, its law and its inputs, so that the program is its own working."""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

import numpy as np

from voltwright.quantity.formula import Formula, formula_of
from voltwright.quantity.provenance import Origin
from voltwright.quantity.spread import EXACT, Spread
from voltwright.quantity.units import Unit


@dataclass(frozen=True, eq=False)
class Node:
    """One value of a working tree. `value` is in SI (a float), exact money (a Decimal), or a table.

    A leaf has an origin; a worked node has a law and the inputs it was worked from.
    """

    value: Any
    unit: Unit
    label: str
    symbol: str = ""
    law: Formula | None = None
    inputs: dict[str, Node] = field(default_factory=dict[str, "Node"])
    origin: Origin | None = None
    spread: Spread = EXACT
    total: str = ""

    @property
    def is_leaf(self) -> bool:
        return self.law is None and not self.total

    @property
    def shown(self) -> float:
        """The value in its own unit."""
        return float(self.value) if isinstance(self.value, Decimal) else self.unit.from_si(self.value)

    def walk(self) -> Iterator[Node]:
        """Every node of the tree once, inputs before what is worked from them."""
        seen: set[int] = set()
        yield from _walk(self, seen)

    def named(self, label: str, unit: str | None = None) -> Node:
        """The same node under another label or shown in another unit of the same dimension."""
        return Node(
            self.value,
            Unit(unit) if unit else self.unit,
            label,
            self.symbol,
            self.law,
            self.inputs,
            self.origin,
            self.spread,
            self.total,
        )


def _walk(node: Node, seen: set[int]) -> Iterator[Node]:
    if id(node) in seen:
        return
    seen.add(id(node))
    for child in node.inputs.values():
        yield from _walk(child, seen)
    yield node


def leaf(value: Any, unit: str, label: str, origin: Origin, spread: Spread = EXACT, symbol: str = "") -> Node:
    """A value that nothing computes."""
    return Node(value, Unit(unit), label, symbol, origin=origin, spread=spread)


def work(law: Callable[..., Any], label: str, unit: str | None = None, /, **inputs: Node) -> Node:
    """Work a registered law on nodes; the inputs are kept as the working.

    Money laws get exact decimals in the units of their annotations, all others get SI floats.
    """
    known = formula_of(law)
    value = _call(known, {name: node.value for name, node in inputs.items()})
    shown = Unit(unit) if unit else known.unit
    return Node(value, shown, label, known.symbol, law=known, inputs=inputs)


def _call(law: Formula, values: dict[str, Any]) -> Any:
    if law.exact:
        units = {parameter.name: parameter.unit for parameter in law.parameters}
        return law.function(**{name: exact(value, units[name]) for name, value in values.items()})
    result = law.function(**values)
    return float(result) if getattr(result, "ndim", 0) == 0 else result


def exact(value: Any, unit: Unit | None) -> Any:
    """An SI float as a decimal in `unit`; decimals and tables as they are."""
    if isinstance(value, (int, float)) and unit is not None:
        return Decimal(repr(round(unit.from_si(float(value)), 9)))
    return value


def total(label: str, terms: Sequence[Node], unit: str | None = None) -> Node:
    """The sum of any number of nodes of one dimension. An empty sum is refused: nothing has no unit."""
    return _gather("sum", label, terms, unit, sum(term.value for term in terms))


def least(label: str, terms: Sequence[Node], unit: str | None = None) -> Node:
    """The smallest of several limits; the working shows which one binds."""
    return _gather("least", label, terms, unit, min(term.value for term in terms))


def greatest(label: str, terms: Sequence[Node], unit: str | None = None) -> Node:
    """The largest of several demands; the working shows which one binds."""
    return _gather("greatest", label, terms, unit, max(term.value for term in terms))


def _gather(total_kind: str, label: str, terms: Sequence[Node], unit: str | None, value: Any) -> Node:
    shown = Unit(unit) if unit else terms[0].unit
    inputs = {f"{number}": term for number, term in enumerate(terms, 1)}
    return Node(value, shown, label, inputs=inputs, total=total_kind)


def evaluate(node: Node, draws: dict[int, Any]) -> Any:
    """Rework the tree with other values for its leaves: `draws` maps id(leaf) to an array of samples (SI).

    Functions are the same as at a point; money becomes plain floats.
    """
    done: dict[int, Any] = {}
    for each in node.walk():
        done[id(each)] = _reworked(each, done, draws)
    return done[id(node)]


def _reworked(node: Node, done: dict[int, Any], draws: dict[int, Any]) -> Any:
    if id(node) in draws:
        return draws[id(node)]
    if node.is_leaf:
        return float(node.value) if isinstance(node.value, Decimal) else node.value
    values = {name: done[id(child)] for name, child in node.inputs.items()}
    if node.law is None:
        terms = list(values.values())
        if node.total == "sum":
            return functools.reduce(lambda a, b: a + b, terms)
        return functools.reduce(np.minimum if node.total == "least" else np.maximum, terms)
    if node.law.exact:
        units = {parameter.name: parameter.unit for parameter in node.law.parameters}
        values = {name: _loose(value, node.inputs[name].value, units[name]) for name, value in values.items()}
    return node.law.function(**values)


def _loose(value: Any, point: Any, unit: Unit | None) -> Any:
    """Money laws over samples: SI floats and arrays in the unit of the annotation, amounts as they are."""
    if isinstance(point, Decimal) or unit is None:
        return value
    return unit.from_si(value)
