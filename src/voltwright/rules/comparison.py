"""Two builds side by side: which figures move and by how much, and which findings come, go, or change their weight."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any, Literal

import numpy as np

from voltwright.assess.keys import family_of, in_order, question_of
from voltwright.build.document import Build
from voltwright.build.reader import BuildFile, variant_of
from voltwright.build.variants import changes_of
from voltwright.quantity.band import Spreads
from voltwright.quantity.figure import Figure, difference, fixed, unit_name
from voltwright.quantity.sensitivity import Floats
from voltwright.rules.directions import LESS_IS_BETTER, MORE_IS_BETTER
from voltwright.rules.dossier import Dossier, assess, rounded
from voltwright.rules.finding import ORDER, Finding

Verdict = Literal["better", "worse", ""]

CAN = ("road", "charge")  # questions in which a figure that is not there says that the car cannot do it


@dataclass(frozen=True)
class Moved:
    """A figure that differs in the other build by as much as is printed.

    `by`, `low`, `high`: the difference, in the unit of the figure, and the 5 and 95 % points of it, over cases in which all that
    both builds have in common is the same. None where a build has no such figure, and where nothing is unsure.
    """

    before: Figure
    after: Figure
    by: float | None
    low: float | None = None
    high: float | None = None

    @property
    def key(self) -> str:
        return self.after.key

    @property
    def verdict(self) -> Verdict:
        """Whether that is good, by itself."""
        name = family_of(self.key) or self.key
        sign = (name in MORE_IS_BETTER) - (name in LESS_IS_BETTER)
        if self.by is None:  # what the car cannot do is worse than whatever it can; what is not known is neither
            known = question_of(self.key) in CAN
            rises = known * sign * sign * ((self.after.value is not None) - (self.before.value is not None))
        else:
            rises = sign * float(np.sign(self.by))
        return "better" if rises > 0 else "worse" if rises < 0 else ""

    @property
    def sure(self) -> bool:
        """Whether it moves that way in all likely cases."""
        return self.low is None or self.high is None or self.low * self.high > 0

    def as_data(self) -> dict[str, Any]:
        """Plain data, ready for JSON; numbers in the unit of the figure."""
        numbers = {
            "before": self.before.value, "after": self.after.value, "difference": self.by, "low": self.low, "high": self.high,
        }  # fmt: skip
        return {"label": self.after.label, "unit": unit_name(self.after.unit), "verdict": self.verdict or None} | {
            name: rounded(value) for name, value in numbers.items()
        }

    def printed(self, system: str = "metric") -> str:
        """`+12 kg`, or nothing where there is no difference to print."""
        return (
            ""
            if self.by is None or self.after.answer
            else difference(self.by, self.after.unit, self.after.decimals, system, self.after.share)
        )

    def printed_band(self, system: str = "metric") -> str:
        """`+10 to +14 kg`, or nothing where the difference is exact."""
        if self.low is None or self.high is None or self.after.answer:
            return ""
        low, high = (
            difference(each, self.after.unit, self.after.decimals, system, self.after.share)
            for each in (self.low, self.high)
        )
        return f"{low.partition(' ')[0]} to {high}" if low != high else ""


@dataclass(frozen=True)
class Beside:
    """Another build beside the one: figures that moved, in the order of the contract, and findings, the worst first.

    `appears`, `goes`: found only in the other, or only in the one. `heavier`, `lighter`: found in both, in the other as something
    worse, or as something milder. A variant has a name, and `changes` with those of what it rests on.
    """

    dossier: Dossier
    moved: tuple[Moved, ...]
    appears: tuple[Finding, ...]
    goes: tuple[Finding, ...]
    heavier: tuple[Finding, ...]
    lighter: tuple[Finding, ...]
    name: str = ""
    why: str = ""
    rests_on: str = ""
    changes: Mapping[str, Any] = field(default_factory=dict[str, Any])

    @property
    def better(self) -> tuple[Moved, ...]:
        return tuple(each for each in self.moved if each.verdict == "better")

    @property
    def worse(self) -> tuple[Moved, ...]:
        return tuple(each for each in self.moved if each.verdict == "worse")

    @property
    def otherwise(self) -> tuple[Moved, ...]:
        """Neither better nor worse by itself."""
        return tuple(each for each in self.moved if not each.verdict)

    @property
    def changes_nothing(self) -> bool:
        return not (self.moved or self.appears or self.goes or self.heavier or self.lighter)

    def as_data(self) -> dict[str, Any]:
        """Plain data, ready for JSON."""
        found = {name: getattr(self, name) for name in ("appears", "heavier", "lighter", "goes")}
        return {
            "why": self.why or None,
            "rests_on": self.rests_on or None,
            "changes": dict(self.changes),
            "fingerprint": self.dossier.fingerprint,
            "figures": {each.key: each.as_data() for each in self.moved},
            "findings": {name: [each.as_data() for each in findings] for name, findings in found.items()},
        }


@dataclass(frozen=True)
class Comparison:
    """A build and its variants, each beside the build itself."""

    base: Dossier
    variants: tuple[Beside, ...]

    @property
    def has_stop(self) -> bool:
        return self.base.has_stop or any(each.dossier.has_stop for each in self.variants)

    def as_data(self) -> dict[str, Any]:
        """Plain data, ready for JSON."""
        return {
            "title": self.base.build.title,
            "fingerprint": self.base.fingerprint,
            "variants": {each.name: each.as_data() for each in self.variants},
        }


def beside(base: Dossier, other: Dossier) -> Beside:
    """What is otherwise in another build."""
    before, after = ({each.key: each for each in made.findings} for made in (base, other))
    both = [key for key in after if key in before]
    return Beside(
        other,
        tuple(_moved(base, other)),
        tuple(each for key, each in after.items() if key not in before),
        tuple(each for key, each in before.items() if key not in after),
        tuple(after[key] for key in both if ORDER[after[key].severity] < ORDER[before[key].severity]),
        tuple(after[key] for key in both if ORDER[after[key].severity] > ORDER[before[key].severity]),
    )


def compare(
    built: BuildFile,
    names: Sequence[str] = (),
    *,
    with_bands: bool = True,
    system: str = "metric",
    today: date | None = None,
) -> Comparison:
    """The build beside those of its variants that are named; beside all of them where none is. Nothing is searched for.

    Raises BuildError where it has no such variant, or none at all.
    """
    wanted = tuple(dict.fromkeys(names)) or tuple(built.build.variants) or ("",)  # the last is refused in words
    changed = [variant_of(built, name) for name in wanted]
    base = assess(built, with_bands=with_bands, system=system, today=today, search=False)
    others = (
        assess(each, with_bands=with_bands, system=system, today=today, search=False, beside=base) for each in changed
    )
    return Comparison(
        base, tuple(named(beside(base, other), name, built.build) for name, other in zip(wanted, others, strict=True))
    )


def named(made: Beside, name: str, build: Build) -> Beside:
    """What is otherwise in a variant, with its name, its reason and its changes."""
    own = build.variants[name]
    return replace(made, name=name, why=own.why or "", rests_on=own.of or "", changes=changes_of(build, name))


def _moved(base: Dossier, other: Dossier) -> Iterator[Moved]:
    for key in in_order({**base.figures, **other.figures}):
        known = base.figures.get(key) or other.figures[key]
        before, after = (made.figures.get(key) or _absent(known) for made in (base, other))
        if before.unit.spelling != after.unit.spelling:  # prices in two currencies have no difference
            yield Moved(before, after, None)
        elif before.value is not None and after.value is not None:
            by = after.value - before.value
            if _is_seen(before.value, after.value, known.decimals):
                yield Moved(before, after, by, *_band(before, after, base.spreads, other.spreads))
        elif (before.value is None) != (after.value is None):
            yield Moved(before, after, None)


def _is_seen(before: float, after: float, decimals: int) -> bool:
    """Whether two values print otherwise, and differ by more than rounding: 12.4 and 12.6 are 12 and 13, 12.6 and 13.3 both 13."""
    one, other, by, nothing = (fixed(each, decimals) for each in (before, after, after - before, 0.0))
    return one != other and by != nothing


def _absent(like: Figure) -> Figure:
    """A figure that a build does not have at all, such as the time on a plug that is not in it."""
    return Figure(
        like.key, like.label, like.unit, like.decimals, None, reason="it is not in this build", share=like.share,
        answer=like.answer,
    )  # fmt: skip


def _band(before: Figure, after: Figure, one: Spreads, other: Spreads) -> tuple[float, float] | tuple[None, None]:
    cases = _cases(after, other.cases) - _cases(before, one.cases)
    if cases.ndim == 0:
        return None, None
    nowhere = np.isnan(cases)  # counted as the worst on either side, as in the band of a figure
    with np.errstate(invalid="ignore"):
        low = np.percentile(np.where(nowhere, -np.inf, cases), 5)
        high = np.percentile(np.where(nowhere, np.inf, cases), 95)
    if not (np.isfinite(low) and np.isfinite(high)):
        return None, None
    return after.unit.difference_from_si(float(low)), after.unit.difference_from_si(float(high))


def _cases(figure: Figure, known: Mapping[str, Floats]) -> Floats:
    assert figure.value is not None
    return known.get(figure.key, np.asarray(figure.unit.to_si(figure.value)))
