"""Verdicts that hang on a guess: they hold only while something that nobody measured is as assumed."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping

import numpy as np

from voltwright.quantity.band import place_of
from voltwright.quantity.figure import fixed, unit_name
from voltwright.quantity.work import Node, evaluate_all
from voltwright.rules.clause import arithmetic
from voltwright.rules.finding import Assessed, Finding, Verdict, likely
from voltwright.rules.rule import rule

LEAST_SHARE = 0.1  # of the variance: what moves a figure less decides nothing
POINTS = 33  # over the band of a guess


@rule(last=True)
def decided_by_a_guess(seen: Assessed) -> Iterator[Finding]:
    """Does a verdict hold only while a guess holds?"""
    decided: dict[str, tuple[Node, list[str]]] = {}
    for verdict in sorted(
        seen.judged, key=lambda each: (each.key, each.limit, each.says)
    ):  # not in the order of the rules
        for place, guess in _guesses(seen, verdict).items():
            words = _only_while(seen.sheet.nodes[verdict.key], place, guess, verdict)
            if words is not None:
                decided.setdefault(place, (guess, []))[1].append(words)
    for place, (guess, verdicts) in decided.items():
        yield Finding(
            key=f"data.guess.{_as_key(place)}",
            severity="caution",
            title=f"A verdict hangs on a guess: {guess.label}",
            detail=f"Nobody measured it; it is taken as {_shown(guess, guess.value)} "
            f"({_shown(guess, guess.spread.low)} to {_shown(guess, guess.spread.high)}). {' '.join(dict.fromkeys(verdicts))}",
            value=_shown(guess, guess.value),
            clause=arithmetic("the figure worked again over the band of this one value, all else as it is"),
            remedy="Measure it before you promise; the list of assumptions says how.",
        )


def _guesses(seen: Assessed, verdict: Verdict) -> Mapping[str, Node]:
    """The assumed values that move a figure much, by their place."""
    shares = seen.figures[verdict.key].shares
    return {
        place_of(node): node
        for node in seen.sheet.nodes[verdict.key].walk()
        if node.is_leaf
        and node.origin is not None
        and node.origin.how == "assumed"
        and not node.spread.is_exact
        and shares.get(place_of(node), 0.0) >= LEAST_SHARE
    }


def _only_while(figure: Node, place: str, guess: Node, verdict: Verdict) -> str | None:
    """Between which values of a guess a verdict holds, or None where it does not turn within its band."""
    tried = np.linspace(guess.spread.low, guess.spread.high, POINTS)
    draws = {id(node): tried for node in figure.walk() if node.is_leaf and place_of(node) == place}
    with np.errstate(divide="ignore", invalid="ignore"):
        values = np.broadcast_to(evaluate_all({"it": figure}, draws)["it"], POINTS)
    kept = values >= verdict.limit if verdict.least else values <= verdict.limit
    if kept.all() or not kept.any() or kept[0] == kept[-1]:
        return None
    turn = int(np.argmax(kept != kept[0]))
    way, edge = ("up to", turn - 1) if kept[0] else ("from", turn)
    turns_at = _shown(guess, float(tried[edge]))
    return f"Only {way} {turns_at} {verdict.says}; with all that is unsure it {likely(verdict.fails)}."


def _as_key(place: str) -> str:
    return re.sub(r"[^a-z0-9.]+", "_", place.lower())


def _shown(node: Node, value: float) -> str:
    """Three digits that count, in the unit of the node."""
    shown = node.shown_of(value)
    decimals = 2 - math.floor(math.log10(abs(shown))) if shown else 0
    return f"{fixed(round(shown, decimals), max(0, decimals))} {unit_name(node.unit)}".strip()
