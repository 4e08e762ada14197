"""Finds remedies: one thing changed at a time, as little as takes the finding away. Only what the rule needs is worked out."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from voltwright.assess.case import Case
from voltwright.assess.figures import PointFigures, work_out
from voltwright.build.altered import altered
from voltwright.rules.finding import ORDER, Assessed, Finding, Ladder, Remedy, Rung
from voltwright.rules.rule import Rule

MOST_REMEDIES = 3
NO_STEP = "No single step that was tried puts it right by itself."


def remedied(rule: Rule, found: Sequence[Finding], seen: Assessed) -> Iterator[Finding]:
    """What a rule found, each with the steps that put it right; unchanged where nothing may be tried."""
    known = {each.key for each in found}
    for finding in found:
        mends = Mending(rule, finding, known, seen)
        ways = (smallest(ladder, mends) for ladder in finding.ladders)
        remedies = tuple(islice((each for each in ways if each is not None), MOST_REMEDIES))
        if remedies:
            yield replace(finding, remedies=remedies)
        else:
            yield replace(finding, remedy=f"{finding.remedy or ''} {NO_STEP}".strip()) if finding.ladders else finding


@dataclass(frozen=True)
class Mending:
    """Whether a step takes a finding away, and puts nothing as bad of the same rule in its place."""

    rule: Rule
    finding: Finding
    known: set[str]
    seen: Assessed

    def __call__(self, rung: Rung) -> bool:
        build = altered(self.seen.case.build, rung.changes)
        if build is None:
            return False
        case = Case(build, self.seen.case.shelf, self.seen.case.beside)
        sheet = work_out(case, self.rule.needs, self.rule.trips and self.rule.trips(case))
        left = self.rule(Assessed(case, sheet, PointFigures(sheet), self.seen.system, today=self.seen.today))
        return not any(each.key == self.finding.key or self._is_new_and_as_bad(each) for each in left)

    def _is_new_and_as_bad(self, other: Finding) -> bool:
        return other.key not in self.known and ORDER[other.severity] <= ORDER[self.finding.severity]


def smallest(ladder: Ladder, mends: Callable[[Rung], bool]) -> Remedy | None:
    """The lowest rung that mends, or None where none does."""
    rungs = ladder.rungs()
    if ladder.rising:
        at = _by_halving(len(rungs), ladder.near, lambda number: mends(rungs[number]))
    else:
        at = next((number for number, rung in enumerate(rungs) if mends(rung)), None)
    if at is None:
        return None
    return Remedy(rungs[at].says, rungs[at].changes, rungs[at - 1].changes if at else None)


def _by_halving(count: int, near: int, mends: Callable[[int], bool]) -> int | None:
    """From a rung by steps of 1, 2, 4 and so on, down while they mend, or up until one does; then by halving to the lowest."""
    if not count:
        return None
    start = min(near, count - 1)
    low, high, step = start - 1, start, 1
    if mends(start):
        while low >= 0 and mends(low):
            low, high, step = max(low - step, -1), low, 2 * step
    else:
        while True:
            low, high, step = high, min(high + step, count - 1), 2 * step
            if high == low:
                return None
            if mends(high):
                break
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if mends(middle) else (middle, high)
    return high
