"""Finds remedies: one thing changed at a time, as little as takes the finding away and stops nothing else.

For each try only what the rule needs is worked out; what is found is then judged by all rules that need no simulation.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from voltwright.assess.case import Case
from voltwright.assess.figures import QUESTIONS, PointFigures, answer, left_alone, questions_for
from voltwright.assess.sheet import Sheet
from voltwright.build.altered import altered
from voltwright.build.document import Build
from voltwright.rules.finding import ORDER, Assessed, Finding, Ladder, Remedy, Rung
from voltwright.rules.rule import Rule, Trips, all_rules, no_trips

MOST_REMEDIES = 3
NO_STEP = "No single step that was tried puts it right by itself."
QUICK = tuple(name for name in QUESTIONS if "charge" not in questions_for((name,)))  # charging is simulated


def searched(heard: Iterable[tuple[Rule, Sequence[Finding]]], seen: Assessed) -> Iterator[Finding]:
    """What rules found, each with the steps that put it right and stop nothing else; unchanged where nothing may be tried.

    Steps that leave the pack as large as it is come first, then those that change the fewest modules.
    """
    yield from with_strictest(tuple(_mended(tuple(heard), seen)))


def _mended(heard: tuple[tuple[Rule, Sequence[Finding]], ...], seen: Assessed) -> Iterator[Finding]:
    trials, pack = Trials(seen), seen.case.build.pack

    def modules(remedy: Remedy) -> int:
        series, parallel = (
            int(remedy.changes.get(f"pack.{name}", now))
            for name, now in (("series", pack.series), ("parallel", pack.parallel))
        )
        return abs(series * parallel - pack.series * pack.parallel)

    harms = Harms(frozenset(each.key for _, found in heard for each in found if each.severity == "stop"), trials)
    for rule, found in heard:
        known = {each.key for each in found}
        for finding in found:
            step = Mending(rule, finding, known, trials)
            ways = (
                smallest(ladder, step.mends, step.or_else(_none if ladder.narrow else harms))
                for ladder in finding.ladders
            )
            remedies = tuple(sorted((each for each in ways if each is not None), key=modules)[:MOST_REMEDIES])
            if finding.ladders and not remedies:
                yield replace(finding, remedy=f"{finding.remedy or ''} {NO_STEP}".strip())
            else:
                yield replace(finding, remedies=remedies) if remedies else finding


def with_strictest(found: Sequence[Finding]) -> Iterator[Finding]:
    """Findings that ask for different values of one setting name the strictest, since one value has to do for all."""
    strictest: dict[tuple[str, bool], tuple[float, str, str]] = {}
    for finding in found:
        for key, value, text in _set_to(finding):
            least = min if key[1] else max
            strictest[key] = least(
                strictest.get(key, (value, text, finding.title)), (value, text, finding.title), key=lambda each: each[0]
            )
    for finding in found:
        stricter = [
            f"Another finding asks for {most[1]} there ({key[0]}): “{most[2]}”."
            for key, value, _ in _set_to(finding)
            for most in (strictest[key],)
            if (most[0] < value if key[1] else most[0] > value)
        ]
        yield replace(finding, remedy=" ".join((finding.remedy or "", *stricter)).strip()) if stricter else finding


def _set_to(finding: Finding) -> Iterator[tuple[tuple[str, bool], float, str]]:
    """Path and direction, the number, and the text of each value that a remedy of a finding sets."""
    for remedy in finding.remedies:
        if remedy.falls is not None:
            for path, text in remedy.changes.items():
                yield (path, remedy.falls), float(text.partition(" ")[0]), text


class Trial:
    """Another build, worked out as far as it has been asked. What a change does not move is that of the build as it is."""

    def __init__(self, seen: Assessed, build: Build, paths: Iterable[str]) -> None:
        now = seen.case
        self._seen, self._case = seen, Case(build, now.shelf, now.beside)
        self._case.leaves.update(now.leaves)
        self._sheet, self._with_trips = Sheet(build.currency), dict[frozenset[str] | None, Sheet]()
        for question in left_alone(paths):
            self._sheet.take_over(seen.sheet, question)
        if "pack" in self._sheet.answers:
            self._case.worked.update(now.worked)

    def asked(self, needs: Sequence[str], trips: Trips | None) -> Assessed:
        """The build with the figures of some questions, perhaps of more."""
        sheet, asked = self._sheet, questions_for(tuple(needs))
        if "trips" in asked:
            only = trips and trips(self._case)
            if only not in self._with_trips:
                self._with_trips[only] = replace(self._sheet.copy(), only_trips=only)
            sheet = self._with_trips[only]
        answer(self._case, sheet, asked)
        return Assessed(self._case, sheet, PointFigures(sheet), self._seen.system, today=self._seen.today)


class Trials:
    """Every build that is tried, each made once however many findings it might mend."""

    def __init__(self, seen: Assessed) -> None:
        self._seen, self._made = seen, dict[str, Trial | None]()

    def of(self, rung: Rung) -> Trial | None:
        """The build with a step taken, or None where that is no valid build."""
        step = json.dumps(dict(rung.changes), sort_keys=True, default=str)
        if step not in self._made:
            build = altered(self._seen.case.build, rung.changes)
            self._made[step] = None if build is None else Trial(self._seen, build, rung.changes)
        return self._made[step]


@dataclass(frozen=True)
class Mending:
    """What a step does to a finding, by the rule that found it."""

    rule: Rule
    finding: Finding
    known: set[str]
    trials: Trials

    def mends(self, rung: Rung) -> bool:
        """Whether it takes the finding away."""
        left = self._left(rung)
        return left is not None and all(each.key != self.finding.key for each in left)

    def swaps(self, rung: Rung) -> bool:
        """Whether it puts something new and as bad of the same rule in its place."""
        return any(
            each.key not in self.known and ORDER[each.severity] <= ORDER[self.finding.severity]
            for each in self._left(rung) or ()
        )

    def or_else(self, harms: Callable[[Rung], bool]) -> Callable[[Rung], bool]:
        """Whether it swaps one finding for another, or does some other harm."""
        return lambda rung: self.swaps(rung) or harms(rung)

    def _left(self, rung: Rung) -> tuple[Finding, ...] | None:
        """What the rule still finds; None where the step makes no valid build."""
        trial = self.trials.of(rung)
        return None if trial is None else tuple(self.rule(trial.asked(self.rule.needs, self.rule.trips)))


@dataclass(frozen=True)
class Harms:
    """Whether a step brings a stop that did not stand before, by all rules that need neither a trip nor a charge simulated."""

    stops: frozenset[str]
    trials: Trials
    known: dict[int, bool] = field(default_factory=dict[int, bool])

    def __call__(self, rung: Rung) -> bool:
        trial = self.trials.of(rung)
        assert trial is not None, "a step that mends is a valid build"
        if id(trial) not in self.known:
            self.known[id(trial)] = self._brings_a_stop(trial.asked(QUICK, no_trips))
        return self.known[id(trial)]

    def _brings_a_stop(self, after: Assessed) -> bool:
        return any(
            each.severity == "stop" and each.key not in self.stops
            for rule in all_rules()
            if _is_quick(rule)
            for each in rule(after)
        )


def _is_quick(rule: Rule) -> bool:
    asked = questions_for(rule.needs)
    return not rule.last and "charge" not in asked and ("trips" not in asked or rule.trips is no_trips)


def _none(rung: Rung) -> bool:
    """Of a step that cannot harm."""
    del rung
    return False


def smallest(ladder: Ladder, mends: Callable[[Rung], bool], harms: Callable[[Rung], bool] = _none) -> Remedy | None:
    """The lowest rung that mends and harms nothing, or None where there is none.

    Where a ladder rises, what is above the lowest that mends is more of the same: it is not tried when that one harms.
    """
    rungs = ladder.rungs()
    if ladder.rising:
        at = _by_halving(len(rungs), ladder.near, lambda number: mends(rungs[number]))
        if at is None or harms(rungs[at]):
            return None
        return Remedy(rungs[at].says, rungs[at].changes, rungs[at - 1].changes if at else None, ladder.falls)
    short: Rung | None = None
    for rung in rungs:
        if not mends(rung):
            short = rung
        elif not harms(rung):
            return Remedy(rung.says, rung.changes, short and short.changes)
    return None


def _by_halving(count: int, near: int, mends: Callable[[int], bool]) -> int | None:
    """From a rung by steps of 1, 2, 4 and so on, down while they mend, or up until one does; then by halving to the lowest.

    Only for a ladder that rises: rungs that mend with others above that do not could be stepped over.
    """
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
