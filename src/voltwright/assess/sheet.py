"""Collects figures: a key of the contract, the tree that gives it, or the reason why there is none."""

from __future__ import annotations

from dataclasses import dataclass, field

from voltwright.assess.keys import KEYS
from voltwright.quantity.provenance import Origin
from voltwright.quantity.spread import EXACT, Spread, between, normal
from voltwright.quantity.work import Node, leaf


@dataclass
class Sheet:
    """Trees by key, and reasons by key for those that cannot be worked."""

    currency: str
    nodes: dict[str, Node] = field(default_factory=dict[str, Node])
    reasons: dict[str, str] = field(default_factory=dict[str, str])

    def unit_of(self, key: str) -> str:
        unit = KEYS[key].unit
        return self.currency if unit == "currency" else unit

    def add(self, key: str, node: Node) -> Node:
        """Enter a figure under its public label and unit; the node comes back for further working."""
        made = node.named(KEYS[key].label, self.unit_of(key))
        self.nodes[key] = made
        return made

    def lack(self, key: str, reason: str) -> None:
        """Say why there is no such figure."""
        self.reasons[key] = reason


def nothing(label: str, unit: str) -> Node:
    """An empty sum."""
    return leaf(0.0, unit, label, Origin("entered", reason="none named"))


def constant(value: float, unit: str, label: str, reason: str, symbol: str = "") -> Node:
    """A value (SI) that follows from what the figure is, or from how the build is counted."""
    return leaf(value, unit, label, Origin("by definition", reason=reason), symbol=symbol)


def assumed(label: str, unit: str, reason: str, value: float, half: float = 0.0) -> Node:
    """A value (SI) that nobody entered, with its reason; it is listed among the assumptions."""
    spread: Spread = normal(value, half) if half else EXACT
    return leaf(value, unit, label, Origin("assumed", reason=reason), spread)


def assumed_between(label: str, unit: str, reason: str, low: float, high: float, where: str = "") -> Node:
    """The same for anything from low to high (SI)."""
    return leaf((low + high) / 2, unit, label, Origin("assumed", where=where, reason=reason), between(low, high))
