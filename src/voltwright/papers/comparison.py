"""The comparison paper: a build and its variants side by side, and what each variant does."""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.papers.cautions import FOOT, MARK_WORDS, SHORT
from voltwright.papers.design import finding_callout
from voltwright.papers.nodes import Callout, Column, FindingLines, Heading, Node, Paper, Prose, Table
from voltwright.papers.side_by_side import (
    AS_IT_IS,
    NEITHER,
    NEW,
    WORSENED,
    certainty,
    changes_in_words,
    findings_by_fate,
    headline_rows,
    told,
)
from voltwright.papers.summary import SHOWN_DIGITS, title_block
from voltwright.rules.comparison import Beside, Comparison, Moved

ABREAST = 4  # variants side by side
_CHANGES = (Column("What is changed", 1.8), Column("To what", 1.4), Column("Path in the build file", 1.2))
_MOVED = (
    Column("Figure", 2.6),
    Column("As it is", 1.0, right=True),
    Column("Variant", 1.0, right=True),
    Column("Difference", 1.0, right=True),
    Column("Band of the difference", 1.5, right=True),
)
_NO_CHANGE = "This variant changes no figure and no finding."


def comparison_paper(made: Comparison, *, date: str | None = None, system: str = "metric") -> Paper:
    """The whole paper. `date` is printed as it comes; `system` chooses the units of figures."""
    base = made.base
    dossiers = (base, *(each.dossier for each in made.variants))
    mark = MARK_WORDS if any(each.not_for_building for each in dossiers) else ""
    nodes = (
        title_block(base, date),
        Heading(1, "Side by side"),
        Prose(
            f"“{AS_IT_IS.capitalize()}” is the build without its variants. Each variant is worked anew with all that it changes.",
            small=True,
        ),
        *_abreast(made, system),
        *(node for each in made.variants for node in _variant(each, system)),
        Callout("caution", "Before you touch anything", lines=SHORT),
    )
    return Paper(
        f"Variants: {base.build.title}", base.build.workshop or "", base.fingerprint[:SHOWN_DIGITS], mark, FOOT, nodes
    )


def _abreast(made: Comparison, system: str) -> Iterator[Node]:
    rows = tuple(headline_rows(made, system))
    names = [each.name for each in made.variants]
    for first in range(0, len(names), ABREAST):
        here = slice(first, first + ABREAST)
        columns = (Column(name, 1.0, right=True) for name in (AS_IT_IS.capitalize(), *names[here]))
        yield Table((Column("", 1.3), *columns), tuple((label, base, *others[here]) for label, base, *others in rows))


def _variant(made: Beside, system: str) -> Iterator[Node]:
    yield Heading(1, made.name)
    if made.why:
        yield Prose(made.why[0].upper() + made.why[1:].rstrip(".") + ".")
    if made.rests_on:
        yield Prose(f"It rests on “{made.rests_on}”, whose changes stand here too.", small=True)
    changes = changes_in_words(made.changes, made.dossier)
    yield Table(_CHANGES, tuple((each.place, each.value, each.path) for each in changes))
    if made.changes_nothing:
        yield Prose(_NO_CHANGE)
    for title, found in findings_by_fate(made):
        if found:
            yield Heading(2, title)
            if title in (NEW, WORSENED):
                yield from (finding_callout(each) for each in found)
            else:
                yield FindingLines(tuple((each.severity, each.title, "") for each in found))
    for title, moved in (("Better", made.better), ("Worse", made.worse), (NEITHER, made.otherwise)):
        shown, more = told(made, moved)
        if shown:
            yield Heading(2, title)
            yield Table(_MOVED, tuple(_row(each, system) for each in shown))
        if more:
            yield Prose(f"And {more} more of trips that the customer does not drive.", small=True)
    if any(each.low is not None for each in made.moved):
        yield Prose(
            "Band of the difference: 5 to 95 % of what is likely, all that both have in common being the same in both. “Not sure”: the "
            "likely cases do not agree which way it goes.",
            small=True,
        )


def _row(each: Moved, system: str) -> tuple[str, ...]:
    band = ", ".join(text for text in (each.printed_band(system), certainty(each)) if text)
    return each.after.label, each.before.printed(system), each.after.printed(system), each.printed(system), band
