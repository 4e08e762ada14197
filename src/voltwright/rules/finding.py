"""A finding: the outcome of one check, with limit, margin, clause and remedy; and what a check looks at."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any, Literal, NamedTuple, Protocol

import numpy as np

from voltwright.assess.case import Case
from voltwright.assess.sheet import Sheet
from voltwright.quantity.band import NO_SPREADS, Spreads
from voltwright.quantity.figure import Figure, amount, fixed
from voltwright.quantity.units import Unit
from voltwright.rules.clause import Clause

Severity = Literal["stop", "caution", "note"]
MOST_MORE = 3  # decimals more than usual
ORDER: dict[str, int] = {"stop": 0, "caution": 1, "note": 2}


@dataclass(frozen=True)
class Rung:
    """One step of a ladder: what to do, in words ("Fit 7 modules in each string"), and what changes in the build file."""

    says: str
    changes: Mapping[str, Any]


@dataclass(frozen=True)
class Ladder:
    """One thing that can be changed, in steps that can be bought or set, the smallest change first.

    `rising`: once a rung takes the finding away, so does every one above it, whatever else those do; then not every rung has to
    be tried. `near`: the number of the rung that should be the lowest to mend, where that can be told beforehand; a search starts
    there. `narrow`: one value that is set, which no other rule stops; of every other step the other rules are asked. `falls`:
    whether that value falls from rung to rung, or rises; None where there is but one rung, or none that is set.
    """

    rungs: Callable[[], tuple[Rung, ...]]
    rising: bool = True
    near: int = 0
    narrow: bool = False
    falls: bool | None = None


@dataclass(frozen=True)
class Remedy:
    """The smallest step on one ladder that takes a finding away; with the next smaller one, which does not, where there is one.

    `falls`: of a value that is set, whether less of it is stricter.
    """

    says: str
    changes: Mapping[str, Any]
    smaller: Mapping[str, Any] | None = None
    falls: bool | None = None


@dataclass(frozen=True)
class Finding:
    """`stop`: must not be built so; `caution`: allowed, know what you do; `note`. Quantities are printed with units.

    `remedy` is advice in words. `ladders` are what a search may try; what it finds stands in `remedies`. `likelihood` says
    in how many of the likely cases the limit is not kept. `questions`: those of the dossier that it concerns.
    """

    key: str
    severity: Severity
    title: str
    detail: str
    limit: str | None = None
    value: str | None = None
    margin: str | None = None
    clause: Clause | None = None
    remedy: str | None = None
    likelihood: str | None = None
    ladders: tuple[Ladder, ...] = field(default=(), compare=False)
    remedies: tuple[Remedy, ...] = ()
    questions: tuple[str, ...] = field(default=(), compare=False)

    def as_data(self) -> dict[str, Any]:
        """The finding as plain data, ready for JSON."""
        names = ("key", "severity", "title", "detail", "limit", "value", "margin")
        clause = {"clause": self.clause and str(self.clause), "clause_seen": self.clause and self.clause.how_seen}
        remedies = [{"says": each.says, "changes": dict(each.changes)} for each in self.remedies]
        return {name: getattr(self, name) for name in names} | clause | {
            "remedy": self.remedy_in_words, "likelihood": self.likelihood, "remedies": remedies,
        }  # fmt: skip

    @property
    def remedy_in_words(self) -> str | None:
        """What was found to put it right, each by itself; then the advice."""
        if not self.remedies:
            return self.remedy
        ways = "; or ".join(
            each.says[0].lower() + each.says[1:] if number else each.says for number, each in enumerate(self.remedies)
        )
        return f"{ways}. {self.remedy}" if self.remedy else f"{ways}."


@dataclass(frozen=True)
class Verdict:
    """How a figure stands against a limit (SI): in which share of the likely cases it is not kept, and what it is about."""

    key: str
    limit: float
    least: bool
    fails: float
    says: str


@dataclass(frozen=True, eq=False)
class Assessed:
    """What a rule looks at. `judged` collects each verdict that hangs on what is not sure; `today` judges how old data are."""

    case: Case
    sheet: Sheet
    figures: Mapping[str, Figure]
    system: str = "metric"
    spreads: Spreads = NO_SPREADS
    judged: list[Verdict] = field(default_factory=list[Verdict])
    today: date | None = None

    def si(self, key: str) -> float | None:
        """The value of a figure in SI, or None where there is none."""
        node = self.sheet.nodes.get(key)
        return None if node is None else float(node.value)

    def text(self, key: str, beside: str = "") -> str:
        """The figure as printed; with more decimals where it would read as what stands `beside` it."""
        figure = self.figures[key]
        tries = (replace(figure, decimals=figure.decimals + more).printed(self.system) for more in range(MOST_MORE + 1))
        return next((each for each in tries if each != beside), figure.printed(self.system))

    def failing(self, key: str, limit: float, says: str, *, least: bool = False) -> float | None:
        """The share of the likely cases in which a figure is above a limit (SI), or below it where it is the `least` allowed.

        A case without such a value counts as failing. None where the figure has no band. `says` names the verdict, such as
        "the rear axle bears the load".
        """
        cases = self.spreads.cases.get(key)
        if cases is None:
            return None
        slack = SAME * abs(limit)
        kept = cases >= limit - slack if least else cases <= limit + slack
        share = 1.0 - float(np.count_nonzero(kept)) / len(cases)
        if 0.0 < share < 1.0:
            self.judged.append(Verdict(key, limit, least, share, says))
        return share

    def kg(self, value: float, more: int = 0) -> str:
        return amount(value, Unit("kg"), more, self.system)

    def metres(self, value: float, more: int = 0) -> str:
        return amount(value, Unit("m"), 2 + more, self.system)

    def millimetres(self, value: float, more: int = 0) -> str:
        """A length in m, as mm."""
        return amount(value * 1000, Unit("mm"), more, self.system)

    def torque(self, value: float, more: int = 0) -> str:
        return amount(value, Unit("N·m"), more, self.system)

    def speed(self, value: float, more: int = 0) -> str:
        """A speed in m/s, as km/h."""
        return amount(Unit("km/h").from_si(value), Unit("km/h"), more, self.system)

    def degrees(self, value: float, more: int = 0) -> str:
        """A temperature in K, as °C."""
        return amount(Unit("°C").from_si(value), Unit("°C"), more, self.system)


PERHAPS = 0.05  # of the likely cases: fewer are beyond the band that is printed


def likely(fails: float | None) -> str | None:
    """`fails in 8 % of the likely cases`; nothing where no case or every case fails, or where nothing is unsure."""
    if fails is None or not 0.0 < fails < 1.0:
        return None
    return f"fails in {max(1, min(99, round(100 * fails)))} % of the likely cases"


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


class Printer(Protocol):
    """Prints a value (SI) with its unit, with more decimals than usual where that is asked."""

    def __call__(self, value: float, more: int = 0) -> str: ...


class Apart(NamedTuple):
    """A value, its limit, and by how much the limit is missed, as printed."""

    value: str
    limit: str
    margin: str


def apart(printer: Printer, value: float, limit: float) -> Apart:
    """With as many more decimals than usual as it takes to tell value and limit apart: `660.3 kg` and `660.0 kg`."""
    differs = (each for each in range(MOST_MORE + 1) if printer(value, each) != printer(limit, each))
    more = next(differs, 0)
    return Apart(printer(value, more), printer(limit, more), printer(-abs(value - limit), more))


def percent(value: float, more: int = 0) -> str:
    return f"{fixed(100 * value, more)} %"


def volts(value: float, more: int = 0) -> str:
    return f"{fixed(value, 1 + more)} V"


def amperes(value: float, more: int = 0) -> str:
    return f"{fixed(value, more)} A"


def kilowatts(value: float, more: int = 0) -> str:
    return f"{fixed(value / 1000, 1 + more)} kW"
