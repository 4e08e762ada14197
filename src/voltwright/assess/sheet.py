"""Collects figures: a key of the contract, the tree that gives it, or the reason why there is none."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from voltwright.assess.keys import in_order, key_of
from voltwright.physics.low_voltage import power_of_several
from voltwright.quantity.provenance import Origin
from voltwright.quantity.spread import EXACT, Spread, between, normal
from voltwright.quantity.work import Node, leaf, work

if TYPE_CHECKING:
    from voltwright.assess.simulated_car import Simulated


@dataclass
class Sheet:
    """Trees by key, and reasons by key for those that cannot be worked; `entered` in which order, `answers` to which question.

    Of the simulation it keeps the car, by trip the drive until empty, and the customer's trip driven once; where
    `only_trips` names some, no other is driven.
    """

    currency: str
    nodes: dict[str, Node] = field(default_factory=dict[str, Node])
    reasons: dict[str, str] = field(default_factory=dict[str, str])
    entered: list[str] = field(default_factory=list[str])
    answers: dict[str, list[str]] = field(default_factory=dict[str, list[str]])
    simulated: Simulated | None = None
    driven: dict[str, Node] = field(default_factory=dict[str, Node])
    driven_once: Node | None = None
    only_trips: frozenset[str] | None = None

    def unit_of(self, key: str) -> str:
        unit = key_of(key).unit
        return self.currency if unit == "currency" else unit

    def add(self, key: str, node: Node) -> Node:
        """Enter a figure under its public label and unit; the node comes back for further working."""
        made = node.named(key_of(key).label, self.unit_of(key))
        self.nodes[key] = made
        self.entered.append(key)
        return made

    def lack(self, key: str, reason: str) -> None:
        """Say why there is no such figure."""
        self.reasons[key] = reason
        self.entered.append(key)

    def take_over(self, other: Sheet, question: str) -> None:
        """Enter what another sheet answers to a question."""
        keys = other.answers[question]
        for mine, theirs in ((self.nodes, other.nodes), (self.reasons, other.reasons)):
            mine |= {key: theirs[key] for key in keys if key in theirs}
        self.entered.extend(keys)
        self.answers[question] = keys
        # What is simulated for one question serves those that start from it.
        if question == "car":
            self.simulated = other.simulated
        elif question == "trips":
            self.driven, self.driven_once = dict(other.driven), other.driven_once

    def copy(self) -> Sheet:
        """The same answers, to which more can be added."""
        return replace(
            self, nodes=dict(self.nodes), reasons=dict(self.reasons), entered=list(self.entered),
            answers=dict(self.answers), driven=dict(self.driven),
        )  # fmt: skip

    @property
    def keys(self) -> list[str]:
        """Every key with a tree or a reason, in the order of the contract."""
        return in_order(dict.fromkeys((*self.entered, *self.nodes, *self.reasons)))


CONDITION = "the condition for which the figure is given"


def counted(value: int, label: str, where: str) -> Node:
    """A whole number of the build, or of the datasheet of a part where the place is `part: field`."""
    how = "datasheet" if ": " in where else "entered"
    return leaf(float(value), "1", label, Origin(how, where=where), symbol="n")


def of_several(count: int, each: Node, where: str) -> Node:
    """What devices alike draw or give together; `where` their number stands."""
    if count == 1:
        return each
    return work(power_of_several, f"{each.label}, together", count=counted(count, "How many", where), power=each)


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
