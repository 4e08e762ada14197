"""Tables as CSV for a spreadsheet. Nothing in a cell can act there, whoever wrote it."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence

from voltwright.papers.inert import inert

# A cell that begins so is taken for a formula, or cut off, by one spreadsheet or another; the last are wide twins of the first.
_ACTS = re.compile(r"\s*[=+\-@|\t\r\n＝＋－＠]")
_NUMBER = re.compile(r"[+-]?\d+(\.\d+)?(e[+-]?\d+)?", re.I)


def safe_cell(value: object) -> str:
    """A cell that a spreadsheet shows and does not run: numbers as they are, an apostrophe before what would act."""
    text = "" if value is None else f"{value:.10g}" if isinstance(value, float) else inert(str(value))
    return f"'{text}" if _ACTS.match(text) and not _NUMBER.fullmatch(text) else text


def table(rows: Iterable[Sequence[object]]) -> str:
    """Rows as CSV (RFC 4180)."""
    stream = io.StringIO()
    csv.writer(stream).writerows([safe_cell(each) for each in row] for row in rows)
    return stream.getvalue()
