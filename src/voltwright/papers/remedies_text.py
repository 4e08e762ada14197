"""Findings with their remedies, and what each remedy does elsewhere, as plain text for a terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from voltwright.papers.inert import inert
from voltwright.papers.named import named
from voltwright.papers.side_by_side import changes_in_words, effect
from voltwright.papers.text import CARE, MARKS, wrapped
from voltwright.rules.elsewhere import Effect
from voltwright.rules.finding import Finding


def remedies_text(told: Sequence[tuple[Finding, tuple[Effect, ...]]], system: str = "metric") -> str:
    """Those findings that a single step puts right; then by name those that none does."""
    return "\n".join(inert(line) for line in _lines(told, system))


def _lines(told: Sequence[tuple[Finding, tuple[Effect, ...]]], system: str) -> Iterator[str]:
    without = [finding for finding, effects in told if not effects]
    for finding, effects in told:
        if effects:
            yield f"{MARKS[finding.severity]}  {finding.title}  [{finding.key}]"
            yield from wrapped(named(finding.detail, beside=True), "    ")
            for number, each in enumerate(effects, 1):
                yield from wrapped(f"{number}. {named(each.remedy.says)}", "  ")
                for one in changes_in_words(each.remedy.changes, each.made.dossier):
                    yield from wrapped(f"{one.place}: {one.value}  [{one.path}]", "       ")
                yield from wrapped(f"Elsewhere: {effect(each, system)}", "     ")
            yield ""
    if without:
        yield "No single step was found for"
        for finding in without:
            yield f"  {MARKS[finding.severity]}  {finding.title}  [{finding.key}]"
            if finding.remedy:
                yield from wrapped(named(finding.remedy, beside=True), "      ")
        yield ""
    if not told:
        yield "No check found anything to say."
        yield ""
    yield from wrapped(CARE, "")
