"""Worked values: each node knows its value, its law and its inputs, so that the program is its own working."""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

import numpy as np

from voltwright.quantity.formula import Formula, formula_of
from voltwright.quantity.provenance import Origin
from voltwright.quantity.spread import EXACT, Spread
from voltwright.quantity.units import Unit, unit_of


@dataclass(eq=False, slots=True)
class Node:
    """One value of a working tree. `value` is in SI (a float), exact money (a Decimal), a table, or a record of results.

    A leaf has an origin; a worked node has a law and the inputs it was worked from. Never changed once it is made: it is not frozen,
    since thousands are made for each build that is tried, and that would take four times as long.
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
        return self.shown_of(self.value)

    def shown_of(self, value: Any) -> float:
        """Another value of this node, such as an end of its spread, in its own unit; money is kept in it."""
        return float(value) if isinstance(self.value, Decimal) else self.unit.from_si(value)

    def walk(self) -> list[Node]:
        """Every node of the tree once, inputs before what is worked from them."""
        return in_order((self,))

    def named(self, label: str, unit: str | None = None) -> Node:
        """The same node under another label or shown in another unit of the same dimension."""
        return Node(
            self.value,
            unit_of(unit) if unit else self.unit,
            label,
            self.symbol,
            self.law,
            self.inputs,
            self.origin,
            self.spread,
            self.total,
        )


def in_order(nodes: Iterable[Node]) -> list[Node]:
    """Every node of several trees once, however many share it, inputs before what is worked from them."""
    seen: set[int] = set()
    order: list[Node] = []
    for root in nodes:
        path = [] if id(root) in seen else [(root, iter(root.inputs.values()))]
        seen.add(id(root))
        while path:
            node, children = path[-1]
            child = next((each for each in children if id(each) not in seen), None)
            if child is None:
                path.pop()
                order.append(node)
            else:
                seen.add(id(child))
                path.append((child, iter(child.inputs.values())))
    return order


def marks_below(order: Iterable[Node], marks: Mapping[int, int]) -> dict[int, int]:
    """For each node of `order` the marks (bits, by id) of itself and of all that it is worked from."""
    below: dict[int, int] = {}
    for node in order:
        found = marks.get(id(node), 0)
        for child in node.inputs.values():
            found |= below[id(child)]
        below[id(node)] = found
    return below


def leaf(value: Any, unit: str, label: str, origin: Origin, spread: Spread = EXACT, symbol: str = "") -> Node:
    """A value that nothing computes."""
    return Node(value, unit_of(unit), label, symbol, origin=origin, spread=spread)


def work(law: Callable[..., Any], label: str, unit: str | None = None, /, **inputs: Node) -> Node:
    """Work a registered law on nodes; the inputs are kept as the working.

    Money laws get exact decimals in the units of their annotations, all others get SI floats. What is neither a
    number nor an array (a record of many results) passes as it is.
    """
    known = formula_of(law)
    value = _call(known, {name: node.value for name, node in inputs.items()})
    shown = unit_of(unit) if unit else known.unit
    return Node(value, shown, label, known.symbol, law=known, inputs=inputs)


def _call(law: Formula, values: dict[str, Any]) -> Any:
    if law.exact:
        units = {parameter.name: parameter.unit for parameter in law.parameters}
        return law.function(**{name: exact(value, units[name]) for name, value in values.items()})
    result = law.function(**values)
    is_number = isinstance(result, (int, float)) or getattr(result, "ndim", None) == 0
    return float(result) if is_number else result


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


def binding(node: Node) -> Node:
    """Of a value worked from the least of several limits, the limit that binds; the node itself where it is worked from none."""
    found = next((each for each in reversed(node.walk()) if each.total == "least"), None)
    return node if found is None else min(found.inputs.values(), key=lambda each: each.value)


def greatest(label: str, terms: Sequence[Node], unit: str | None = None) -> Node:
    """The largest of several demands; the working shows which one binds."""
    return _gather("greatest", label, terms, unit, max(term.value for term in terms))


def _gather(total_kind: str, label: str, terms: Sequence[Node], unit: str | None, value: Any) -> Node:
    shown = unit_of(unit) if unit else terms[0].unit
    inputs = {f"{number}": term for number, term in enumerate(terms, 1)}
    return Node(value, shown, label, inputs=inputs, total=total_kind)


def evaluate_all(nodes: Mapping[str, Node], draws: Mapping[int, Any]) -> dict[str, Any]:
    """Rework many trees with other values for their leaves: `draws` maps id(leaf) to an array of samples (SI).

    Only what depends on a drawn leaf is worked again, and once: trees share nodes, and a law on the same inputs gives
    the same result under any label. Functions are the same as at a point; money becomes plain floats.
    """
    done: dict[int, Any] = {}
    moved: set[int] = set()
    worked: dict[object, Any] = {}
    for each in in_order(nodes.values()):
        if id(each) in draws:
            moved.add(id(each))
            done[id(each)] = draws[id(each)]
        elif any(id(child) in moved for child in each.inputs.values()):
            moved.add(id(each))
            same = (id(each.law), each.total, *((name, id(done[id(child)])) for name, child in each.inputs.items()))
            if same not in worked:
                worked[same] = _reworked(each, done)
            done[id(each)] = worked[same]
        else:
            done[id(each)] = float(each.value) if isinstance(each.value, Decimal) else each.value
    return {key: done[id(node)] for key, node in nodes.items()}


def _reworked(node: Node, done: Mapping[int, Any]) -> Any:
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
