"""A dossier as plain text: the summary that a terminal shows, and a working as a tree."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping

from voltwright.assess.keys import QUESTIONS, question_of
from voltwright.papers.asked_first import TITLE, asked_first
from voltwright.papers.cautions import NOT_JUDGED
from voltwright.papers.inert import inert
from voltwright.papers.named import named
from voltwright.quantity.figure import Figure, Working
from voltwright.rules.dossier import Assumption, Dossier
from voltwright.rules.finding import Finding

WIDTH = 110
WORTH_TELLING = 3  # the assumptions that come first
MARKS = {"stop": "■ STOP", "caution": "▲ CAUTION", "note": "• NOTE"}
CARE = (
    "Voltwright is a design aid. High voltage kills, packs burn, cars fall and roll: it defers to local codes, to the instructions "
    "of device makers and to licensed practice."
)


def summary(dossier: Dossier, system: str = "metric") -> str:
    """Figures by question, then findings, then what was assumed."""
    return "\n".join(inert(line) for line in _lines(dossier, system))


def _lines(dossier: Dossier, system: str) -> Iterator[str]:
    yield dossier.build.title
    yield "=" * min(WIDTH, len(dossier.build.title))
    if dossier.not_for_building:
        yield from wrapped(f"NOT FOR BUILDING: {'; '.join(dossier.not_for_building)}", "")
    first = [key for key, _ in asked_first(dossier)]
    for title, keys in ((TITLE, first), *((words, _of(dossier, question)) for question, words in QUESTIONS.items())):
        if keys:
            yield ""
            yield title
            yield from _figures({key: dossier.figures[key] for key in keys}, system)
    yield ""
    yield f"Findings ({len(dossier.findings)})"
    for finding in dossier.findings:
        yield from _finding(finding)
    yield from _not_judged(dossier)
    yield ""
    yield from _assumptions(dossier.assumptions)
    yield ""
    yield from wrapped(CARE, "")


def _not_judged(dossier: Dossier) -> Iterator[str]:
    """What a reader might take for judged, and is not."""
    if dossier.not_judged:
        yield ""
        yield NOT_JUDGED
        for each in dossier.not_judged:
            yield from wrapped(each, "  ")


def _assumptions(assumptions: tuple[Assumption, ...]) -> Iterator[str]:
    yield f"Assumed, not measured ({len(assumptions)}); those first that make most of the spread"
    for number, each in enumerate(assumptions):
        if each.moves:
            worth = f" {each.worth}" if number < WORTH_TELLING else ""
            moves = f"moves {len(each.moves)} figure{'s' if len(each.moves) > 1 else ''}"
            yield from wrapped(
                f"{each.label}: {each.value} — {each.reason}; {moves}. To find out: {each.measure or 'measure it'}.{worth}",
                "  ",
            )
    idle = [f"{each.label} ({each.value})" for each in assumptions if not each.moves]
    if idle:
        yield from wrapped(f"Assumed too, but no figure uses it yet: {', '.join(idle)}.", "  ")


def _of(dossier: Dossier, question: str) -> list[str]:
    return [key for key in dossier.figures if question_of(key) == question]


def _figures(figures: Mapping[str, Figure], system: str) -> Iterator[str]:
    """Those of one question. All that have no value for the same reason stand together, and the reason once below them."""
    told: set[str] = set()
    for key, figure in figures.items():
        if key in told:
            continue
        alike = [key]
        if figure.value is None:
            alike = [each for each, other in figures.items() if other.value is None and other.reason == figure.reason]
        told.update(alike)
        for each in alike:
            yield from _figure(each, figures[each], system)
        if figure.reason:
            yield f"      {figure.reason}"


def _figure(key: str, figure: Figure, system: str) -> Iterator[str]:
    band = figure.printed_band(system)
    value = f"{figure.printed(system):>16}" + (f"  ({band})" if band else "")
    if len(figure.label) > 82:
        yield f"  {figure.label}"
    yield f"  {figure.label if len(figure.label) <= 82 else '':<82} {value}  {key}"


def _finding(finding: Finding) -> Iterator[str]:
    yield f"  {MARKS[finding.severity]}  {finding.title}  [{finding.key}]"
    yield from wrapped(named(finding.detail, beside=True), "      ")
    parts = (("limit", finding.limit), ("here", finding.value), ("margin", finding.margin))
    parts += (("likely", finding.likelihood), ("clause", finding.clause and str(finding.clause)))
    known = [f"{name}: {text}" for name, text in parts if text]
    if known:
        yield from wrapped(named("; ".join(known), beside=True), "      ")
    if finding.remedy_in_words:
        yield from wrapped(f"Remedy: {named(finding.remedy_in_words, beside=True)}", "      ")


def wrapped(text: str, indent: str) -> list[str]:
    """Lines of the width of the summary, all but the first two blanks further in."""
    return textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent + ("  " if indent else ""))


def tree(working: Working, depth: int = 0) -> str:
    """The working as an indented tree: each value with its law, each leaf with its origin."""
    return "\n".join(inert(line) for line in _branches(working, depth, set()))


def _branches(node: Working, depth: int, seen: set[str]) -> Iterator[str]:
    pad = "  " * depth
    name = f"{node['name']}: " if node.get("name") and node["name"] != node["label"] else ""
    value = f"{node['printed']} {node['unit']}".strip()
    yield f"{pad}{name}{node['label']} = {value}"
    if "from" in node:
        yield f"{pad}    from: {node['from']}"
        return
    if "equation" not in node:
        return
    mark = f"{node['label']}|{value}|{node['equation']}"
    if mark in seen:
        yield f"{pad}    as above"
        return
    seen.add(mark)
    symbol = f"{node['symbol']} = " if node.get("symbol") else ""
    yield f"{pad}    {symbol}{node['equation']}"
    for field, word in (("source", "source"), ("valid", "holds where")):
        if node.get(field):
            yield f"{pad}    {word}: {node[field]}"
    for child in node["inputs"]:
        yield from _branches(child, depth + 1, seen)
