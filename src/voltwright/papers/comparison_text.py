"""A comparison as plain text for a terminal."""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.papers.inert import inert, shortened
from voltwright.papers.side_by_side import (
    AS_IT_IS,
    NEITHER,
    certainty,
    changes_in_words,
    findings_by_fate,
    headline_rows,
    told,
)
from voltwright.papers.text import CARE, MARKS, wrapped
from voltwright.rules.comparison import Beside, Comparison, Moved

LABEL, WIDE, ABREAST = 24, 20, 4  # characters of a label and of a column, variants side by side


def comparison_text(made: Comparison, system: str = "metric") -> str:
    """The builds side by side, then each variant: what gets better, what worse, what is found and no longer found."""
    return "\n".join(inert(line) for line in _lines(made, system))


def _lines(made: Comparison, system: str) -> Iterator[str]:
    title = made.base.build.title
    yield title
    yield "=" * len(title)
    names = (AS_IT_IS, *(each.name for each in made.variants))
    rows = (("", *names), *headline_rows(made, system))
    for first in range(1, len(names), ABREAST):
        yield ""
        for label, before, *after in rows:
            cells = (before, *after[first - 1 : first - 1 + ABREAST])
            if len(label) > LABEL:
                yield from wrapped(label, "  ")
                label = ""
            yield f"  {label:<{LABEL}}" + "".join(f"{shortened(each, WIDE - 1):>{WIDE}}" for each in cells)
    for each in made.variants:
        yield ""
        yield from _variant(each, system)
    yield ""
    yield from wrapped(CARE, "")


def _variant(made: Beside, system: str) -> Iterator[str]:
    yield from wrapped(f"{made.name}{f': {made.why}' if made.why else ''}", "")
    if made.rests_on:
        yield f"  rests on {made.rests_on}"
    for each in changes_in_words(made.changes, made.dossier):
        yield from wrapped(f"{each.place}: {each.value}  [{each.path}]", "  ")
    if made.changes_nothing:
        yield "  It changes no figure and no finding."
    for title, moved in (("Better", made.better), ("Worse", made.worse), (NEITHER, made.otherwise)):
        shown, more = told(made, moved)
        if moved:
            yield f"  {title} ({len(moved)})"
            yield from (line for each in shown for line in _moved(each, system))
        if more:
            yield f"    and {more} more of other trips (--json shows them)"
    for title, found in findings_by_fate(made):
        if found:
            yield f"  {title} ({len(found)})"
            yield from (f"    {MARKS[each.severity]}  {each.title}  [{each.key}]" for each in found)


def _moved(each: Moved, system: str) -> Iterator[str]:
    way = f"{each.before.printed(system)} → {each.after.printed(system)}"
    band = each.printed_band(system)
    by = f"{each.printed(system)}{f' ({band})' if band else ''}"
    said = "; ".join(text for text in (way, by, certainty(each)) if text)
    yield from wrapped(f"{each.after.label}: {said}  {each.key}", "    ")
