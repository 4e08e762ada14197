"""A rule: one check with its question, the figures that it needs, and when it applies."""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from voltwright.assess.case import Case
from voltwright.assess.keys import QUESTIONS, question_of
from voltwright.rules.finding import Assessed, Finding, exceeds

Check = Callable[[Assessed], Iterator[Finding]]
Trips = Callable[[Case], frozenset[str]]
DC_LIMIT, AC_LIMIT = 60.0, 30.0  # V; above either, high voltage


@dataclass(frozen=True)
class When:
    """When a rule applies, in words, and the test of it."""

    words: str
    holds: Callable[[Assessed], bool]


ALWAYS = When("always", lambda seen: True)


def high_direct(seen: Assessed) -> bool:
    """Whether the pack is high voltage at full charge."""
    return exceeds(seen.si("pack.voltage_full") or 0.0, DC_LIMIT)


def high_alternating(seen: Assessed) -> bool:
    """Whether an inverter makes high voltage for the motor. One that makes direct current has no such side."""
    inverter = seen.case.inverter
    makes = inverter is not None and inverter.motor_current == "alternating"
    return makes and exceeds(seen.si("pack.voltage_ac") or 0.0, AC_LIMIT)


HIGH_VOLTAGE = When(
    "where the pack has more than 60 V DC at full charge, or the motor's side more than 30 V AC (rms)",
    lambda seen: high_direct(seen) or high_alternating(seen),
)
GEARBOX_KEPT = When("where the old gearbox stays", lambda seen: seen.case.build.drive.gearing.way == "gearbox-kept")


def no_trips(case: Case) -> frozenset[str]:
    """For a rule that reads the sprint at full power and no trip."""
    del case
    return frozenset()


def in_country(*codes: str) -> When:
    """A rule of the law of some countries (ISO 3166)."""
    return When(f"in {', '.join(codes)}", lambda seen: seen.case.build.country in codes)


@dataclass(frozen=True)
class Rule:
    """One check.

    `needs`: the questions (assess/figures.py) whose figures it reads, and no others. `trips`: the names of the trips that
    it reads, where not all of them. `last`: it looks at what the others judged.
    """

    check: Check
    needs: tuple[str, ...]
    when: When
    trips: Trips | None = None
    last: bool = False

    @property
    def name(self) -> str:
        return self.check.__name__

    @property
    def asks(self) -> str:
        """What it asks, in one sentence."""
        return (self.check.__doc__ or "").strip()

    @property
    def home(self) -> str:
        """The file that holds it."""
        return self.check.__module__.rpartition(".")[2]

    def __call__(self, seen: Assessed) -> Iterator[Finding]:
        if self.when.holds(seen):
            answered = {question_of(key) for need in self.needs for key in seen.sheet.answers[need]}
            for each in self.check(seen):
                yield replace(each, questions=tuple(sorted(answered | _subject(each.key))))


def _subject(key: str) -> frozenset[str]:
    """The question to which a finding belongs by its name, also where it rests on no figure."""
    subject = question_of(key)
    subject = {"electrics": "wiring", "protection": "wiring", "country": "works"}.get(subject, subject)
    return frozenset({subject} & set(QUESTIONS))


@functools.cache
def _rules() -> list[Rule]:
    return []


def rule(*needs: str, when: When = ALWAYS, trips: Trips | None = None, last: bool = False) -> Callable[[Check], Check]:
    """Register a check; its name and docstring say what it asks."""

    def register(check: Check) -> Check:
        _rules().append(Rule(check, needs, when, trips, last))
        return check

    return register


def all_rules() -> tuple[Rule, ...]:
    """Every rule; those that look at what others judged come last."""
    return tuple(sorted(_rules(), key=lambda each: each.last))
