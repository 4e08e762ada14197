"""The design paper: everything that a dossier says of a build, as neutral nodes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from voltwright.assess.keys import QUESTIONS, family_of, question_of
from voltwright.assess.trips import main_trip
from voltwright.papers.cautions import FOOT, FULL, MARK_WORDS
from voltwright.papers.named import named
from voltwright.papers.nodes import (
    Callout,
    Column,
    Drawing,
    FigureRows,
    Heading,
    Node,
    PageBreak,
    Paper,
    Plot,
    Prose,
    Table,
)
from voltwright.papers.parts_used import parts_table, short_source, sources_table
from voltwright.papers.pictures import pictures_of
from voltwright.papers.plan_view import plan_view
from voltwright.papers.side_by_side import effect
from voltwright.papers.summary import SHOWN_DIGITS, figure_row, summary
from voltwright.papers.trips_table import of_a_trip, trips_table
from voltwright.papers.working import Workings
from voltwright.papers.works import works_section
from voltwright.rules.dossier import Assumption, Dossier
from voltwright.rules.elsewhere import Effect
from voltwright.rules.finding import Finding


def design_paper(
    dossier: Dossier, *, date: str | None = None, system: str = "metric", effects: Iterable[Effect] = ()
) -> Paper:
    """The whole paper. `date` is printed as it comes; `system` chooses the units of figures; `effects`: what remedies do elsewhere."""
    nodes = (
        *summary(dossier, date, system),
        PageBreak(),
        *_findings(dossier, tuple(effects), system),
        *works_section(dossier),
        *_figures(dossier, system),
        *_assumptions(dossier),
        Heading(1, "Parts used"),
        parts_table(dossier),
        Heading(1, "Sources"),
        *sources_table(dossier),
        *_cautions(),
    )
    mark = MARK_WORDS if dossier.not_for_building else ""
    build = dossier.build
    return Paper(build.title, build.workshop or "", dossier.fingerprint[:SHOWN_DIGITS], mark, FOOT, nodes)


def _findings(dossier: Dossier, effects: tuple[Effect, ...], system: str) -> Iterator[Node]:
    yield Heading(1, "Findings")
    if not dossier.findings:
        yield Prose("No check found anything to say.")
        return
    yield Prose(
        "Stop: must not be built so. Caution: allowed, know what you do. Note: good to know. The margin is what is left to the limit. "
        "A remedy is the smallest single step that takes the finding away; what else it does stands below it.",
        small=True,
    )
    yield from (finding_callout(each, effects, system) for each in dossier.findings)


def finding_callout(finding: Finding, effects: tuple[Effect, ...] = (), system: str = "metric") -> Callout:
    """A finding in full; with its remedies one by one where it is known what they do elsewhere."""
    measures = (
        ("Limit", finding.limit),
        ("Value", finding.value),
        ("Margin", finding.margin),
        ("Likely", finding.likelihood),
    )
    facts = (("Clause", finding.clause and str(finding.clause)), *_remedies(finding, effects, system))
    detail = named(finding.detail)
    return Callout(finding.severity, finding.title, detail, _said(measures), _said(facts), key=finding.key)


def _remedies(finding: Finding, effects: tuple[Effect, ...], system: str) -> tuple[tuple[str, str | None], ...]:
    own = [each for each in effects if each.finding.key == finding.key]
    if not own:
        return (("Remedy", finding.remedy_in_words),)
    told = (pair for each in own for pair in (("Remedy", f"{each.remedy.says}."), ("Effect", effect(each, system))))
    return *told, ("Advice", finding.remedy)


def _said(pairs: tuple[tuple[str, str | None], ...]) -> tuple[tuple[str, str], ...]:
    return tuple((name, named(text)) for name, text in pairs if text)


def _figures(dossier: Dossier, system: str) -> Iterator[Node]:
    yield Heading(1, "Figures and their workings")
    yield Prose(
        "Band: 5 to 95 % of what is likely, given how sure each value is; no band means that nobody said how "
        "unsure what goes in is. A working shows the law, then what went into it, with enough digits to work it again; it is in the "
        "units of the law. A bare path is a value entered there in the build file. What was worked before is "
        "named by the key of its figure.",
        small=True,
    )
    workings = Workings(dossier.figures, system)
    for question, words in QUESTIONS.items():
        figures = [figure for key, figure in dossier.figures.items() if question_of(key) == question]
        if figures:
            yield Heading(2, words)
            yield FigureRows(tuple(figure_row(each, system) for each in figures if not of_a_trip(each.key)))
            yield from trips_table(dossier.figures, system) if question == "road" else ()
            yield from (Drawing(plan_view(dossier, system), ""),) if question == "mass" else ()
            yield from (Plot(each.plot.shown(system)) for each in pictures_of(dossier, question))
            yield Heading(3, "Workings")
            told = [
                each for each in figures if not of_a_trip(each.key) or each.key.endswith(f".{main_trip(dossier.case)}")
            ]
            yield from (tree for tree in map(workings.tree, told) if tree is not None)


MOST_MOVED = 8  # figures named beside an assumption
_ASSUMED = (
    Column("What", 1.9),
    Column("Taken as", 1.7),
    Column("Why", 1.8),
    Column("How to find out", 2.0),
    Column("Figures that it moves", 2.2),
)


def _assumptions(dossier: Dossier) -> Iterator[Node]:
    yield Heading(1, "Assumptions")
    if not dossier.assumptions:
        yield Prose("Nothing was assumed.")
        return
    yield Prose(
        "Nobody measured these. Those come first that make most of the spread: find them out first. Common practice is that of the "
        "trade, without a published source.",
        small=True,
    )
    yield Table(_ASSUMED, tuple(_assumption(each) for each in dossier.assumptions))


def _assumption(each: Assumption) -> tuple[str, ...]:
    what = each.label if each.label == each.path else f"{each.label} ({each.path})"
    why = f"{each.reason} ({short_source(each.source)})" if each.source else each.reason
    return (
        what,
        " ".join(each.value.split()),
        why,
        f"{each.measure or 'not said'}. {each.worth}".removesuffix(". "),
        _moved(each.moves) or "none of this paper",
    )


def _moved(keys: tuple[str, ...]) -> str:
    """Those that it moves most; how many others."""
    more = len(keys) - MOST_MOVED
    return _by_question(keys[:MOST_MOVED]) + (f"; and {more} more" if more > 0 else "")


def _by_question(keys: tuple[str, ...]) -> str:
    """`mass: kerb, laden; road: range (14)`: keys without saying question and family again and again."""
    grouped: dict[str, dict[str, int]] = {}
    for key in keys:
        question, _, name = key.partition(".")
        family = family_of(key).partition(".")[2]
        names = grouped.setdefault(question, {})
        names[family or name] = names.get(family or name, 0) + 1
    return "; ".join(
        f"{question}: {', '.join(_times(*each) for each in names.items())}" for question, names in grouped.items()
    )


def _times(name: str, count: int) -> str:
    return f"{name} ({count})" if count > 1 else name


def _cautions() -> Iterator[Node]:
    yield Heading(1, "Cautions")
    for title, text in FULL:
        yield Callout("caution", title, text)
