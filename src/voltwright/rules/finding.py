"""A finding: the outcome of one check, with limit, margin, clause and remedy."""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from voltwright.assess.case import Case
from voltwright.assess.sheet import Sheet
from voltwright.quantity.figure import Figure, amount, fixed
from voltwright.quantity.units import Unit

Severity = Literal["stop", "caution", "note"]
ORDER: dict[str, int] = {"stop": 0, "caution": 1, "note": 2}


@dataclass(frozen=True)
class Finding:
    """`stop`: must not be built so; `caution`: allowed, know what you do; `note`. Quantities are printed with units."""

    key: str
    severity: Severity
    title: str
    detail: str
    limit: str | None = None
    value: str | None = None
    margin: str | None = None
    clause: str | None = None
    remedy: str | None = None


@dataclass(frozen=True, eq=False)
class Assessed:
    """What a rule looks at."""

    case: Case
    sheet: Sheet
    figures: Mapping[str, Figure]
    system: str = "metric"

    def si(self, key: str) -> float | None:
        """The value of a figure in SI, or None where there is none."""
        node = self.sheet.nodes.get(key)
        return None if node is None else float(node.value)

    def text(self, key: str) -> str:
        """The figure as printed."""
        return self.figures[key].printed(self.system)

    def kg(self, value: float) -> str:
        return amount(value, Unit("kg"), 0, self.system)

    def metres(self, value: float) -> str:
        return amount(value, Unit("m"), 2, self.system)

    def millimetres(self, value: float) -> str:
        """A length in m, as mm."""
        return amount(value * 1000, Unit("mm"), 0, self.system)

    def torque(self, value: float) -> str:
        return amount(value, Unit("N·m"), 0, self.system)

    def speed(self, value: float) -> str:
        """A speed in m/s, as km/h."""
        return amount(Unit("km/h").from_si(value), Unit("km/h"), 0, self.system)

    def degrees(self, value: float) -> str:
        """A temperature in K, as °C."""
        return amount(Unit("°C").from_si(value), Unit("°C"), 0, self.system)


Rule = Callable[[Assessed], Iterator[Finding]]


@functools.cache
def _rules() -> list[Rule]:
    return []


def rule(function: Rule) -> Rule:
    """Register a check; its name and docstring say what it asks."""
    _rules().append(function)
    return function


def all_rules() -> tuple[Rule, ...]:
    return tuple(_rules())


SAME = 1e-9  # relative; products such as 96 · 4.2 miss a limit by rounding alone


def exceeds(value: float, limit: float) -> bool:
    """Whether a value lies above a limit by more than rounding."""
    return value > limit + SAME * abs(limit)


def whole_down(value: float) -> int:
    """So many at most; rounding alone does not cost one."""
    return math.floor(value * (1 + SAME))


def whole_up(value: float) -> int:
    """So many at least; rounding alone does not ask for one more."""
    return math.ceil(value * (1 - SAME))


def volts(value: float) -> str:
    return f"{fixed(value, 1)} V"


def amperes(value: float) -> str:
    return f"{fixed(value, 0)} A"


def kilowatts(value: float) -> str:
    return f"{fixed(value / 1000, 1)} kW"
