"""The tables of a dossier and the numbers of its pictures as one workbook. Texts are texts there, whatever they begin with."""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator
from datetime import datetime
from typing import Any

from voltwright.papers.cautions import FOOT, MARK_WORDS, SHORT
from voltwright.papers.inert import inert, shortened
from voltwright.papers.pictures import pictures_of
from voltwright.papers.tables import TABLES, Cell, Row, picture_rows
from voltwright.rules.dossier import VERSION, Dossier

LONGEST_TEXT = (
    32_767  # of a cell; ECMA-376 leaves it to the program, and this is what the common ones bear; from memory
)
WIDEST, NARROWEST = 60, 8  # letters of a column
NO_TIME = datetime(1980, 1, 1)
_SAFE = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}


def workbook(dossier: Dossier, system: str = "metric") -> bytes:
    """Cautions, figures, findings, parts, assumptions, and each picture's numbers in the reader's units, a sheet for each.

    The same dossier gives the same bytes.
    """
    import xlsxwriter

    stream = io.BytesIO()
    with xlsxwriter.Workbook(stream, _SAFE) as book:
        book.set_properties({"created": NO_TIME})
        bold = book.add_format({"bold": True, "bottom": 1})
        for name, rows in _sheets(dossier, system):
            _fill(book.add_worksheet(name), rows, bold)
    return stream.getvalue()


def _sheets(dossier: Dossier, system: str) -> Iterator[tuple[str, Iterable[Row]]]:
    yield "read first", _first(dossier)
    yield from ((name, rows(dossier)) for name, rows in TABLES.items())
    yield from ((each.key, picture_rows(each, system)) for each in pictures_of(dossier))


def _first(dossier: Dossier) -> Iterator[Row]:
    build = dossier.build
    yield (build.title,)
    yield "workshop", build.workshop or "not named"
    yield "revision", dossier.fingerprint[:12]
    yield "worked by", f"Voltwright {VERSION}"
    if dossier.not_for_building:
        yield MARK_WORDS, ". ".join(dossier.not_for_building)
    yield from (("caution", each) for each in (*SHORT, FOOT))


def _fill(sheet: Any, rows: Iterable[Row], head: Any) -> None:
    """Numbers as numbers and texts as texts; the heads stay in view, and columns are as wide as what is in them."""
    widths: dict[int, int] = {}
    for number, row in enumerate(rows):
        for column, cell in enumerate(row):
            widths[column] = max(
                widths.get(column, NARROWEST), _write(sheet, number, column, cell, None if number else head)
            )
    sheet.freeze_panes(1, 0)
    for column, wide in widths.items():
        sheet.set_column(column, column, min(WIDEST, wide + 1))


def _write(sheet: Any, row: int, column: int, cell: Cell, style: Any) -> int:
    """How many letters it takes."""
    if cell is None:
        return 0
    if isinstance(cell, str):
        text = shortened(inert(cell), LONGEST_TEXT)
        sheet.write_string(row, column, text, style)
        return len(text)
    sheet.write_number(row, column, cell, style)
    return len(f"{cell:.10g}")
