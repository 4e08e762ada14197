"""Tables of a dossier as CSV for a spreadsheet. Nothing in a cell can act there, whoever wrote it."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence

from voltwright.papers.inert import inert
from voltwright.papers.parts_used import parts_table
from voltwright.quantity.figure import unit_name
from voltwright.rules.dossier import Dossier, rounded

# A cell that begins so is taken for a formula, or cut off, by one spreadsheet or another; the last are wide twins of the first.
_ACTS = re.compile(r"\s*[=+\-@|\t\r\n＝＋－＠]")
_NUMBER = re.compile(r"[+-]?\d+(\.\d+)?(e[+-]?\d+)?", re.I)


def safe_cell(value: object) -> str:
    """A cell that a spreadsheet shows and does not run: numbers as they are, an apostrophe before what would act."""
    text = "" if value is None else inert(str(value))
    return f"'{text}" if _ACTS.match(text) and not _NUMBER.fullmatch(text) else text


def table(rows: Iterable[Sequence[object]]) -> str:
    """Rows as CSV (RFC 4180)."""
    stream = io.StringIO()
    csv.writer(stream).writerows([safe_cell(each) for each in row] for row in rows)
    return stream.getvalue()


def figures_csv(dossier: Dossier) -> str:
    """Every figure in the unit of the contract, with its band, and the reason where there is none."""
    return table(_figures(dossier))


def _figures(dossier: Dossier) -> Iterator[Sequence[object]]:
    yield "key", "label", "value", "unit", "low", "high", "reason", "source"
    for key, each in dossier.figures.items():
        numbers = (rounded(each.value), rounded(each.low), rounded(each.high))
        value, low, high = ("" if number is None else f"{number:.10g}" for number in numbers)
        yield key, each.label, value, unit_name(each.unit), low, high, each.reason, each.source


def findings_csv(dossier: Dossier) -> str:
    """Every finding, the worst first."""
    names = ("severity", "key", "title", "detail", "limit", "value", "margin", "clause", "remedy", "likelihood")
    return table((names, *([each.as_data()[name] for name in names] for each in dossier.findings)))


def parts_csv(dossier: Dossier) -> str:
    """Every part that the build names: how many, how well known, at what price."""
    made = parts_table(dossier)
    return table(([each.title for each in made.columns], *made.rows))


TABLES = {"figures.csv": figures_csv, "findings.csv": findings_csv, "parts.csv": parts_csv}
