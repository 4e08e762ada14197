"""The tables of a dossier as rows of numbers and texts, the heads first, for whatever writes them."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence

from voltwright.papers.parts_used import parts_table
from voltwright.papers.pictures import Picture
from voltwright.quantity.figure import GAP, unit_name
from voltwright.rules.dossier import Dossier, rounded

Cell = str | float | int | None
Row = Sequence[Cell]
_COUNT = re.compile(r"\d{1,9}")
_PRICE = re.compile(r"(\d{1,12}(?:\.\d+)?) ([A-Z]{3})")


def figure_rows(dossier: Dossier) -> Iterator[Row]:
    """Every figure in the unit of the contract, with its band, and the reason where there is none."""
    yield "key", "label", "value", "unit", "low", "high", "reason", "source"
    for key, each in dossier.figures.items():
        value, low, high = (rounded(number) for number in (each.value, each.low, each.high))
        yield key, each.label, value, unit_name(each.unit), low, high, each.reason, each.source


def finding_rows(dossier: Dossier) -> Iterator[Row]:
    """Every finding, the worst first."""
    names = ("severity", "key", "title", "detail", "limit", "value", "margin", "clause", "remedy", "likelihood")
    yield names
    for each in dossier.findings:
        data = each.as_data()
        yield [data[name] for name in names]


def part_rows(dossier: Dossier) -> Iterator[Row]:
    """Every part that the build names: how many, how well known, at what price."""
    made = parts_table(dossier)
    yield [*(each.title for each in made.columns), "Currency"]
    for title, number, grade, source, price in made.rows:
        count = int(number) if _COUNT.fullmatch(number) else number
        priced = _PRICE.fullmatch(price.replace(GAP, ""))
        yield title, count, grade, source, float(priced[1]) if priced else price, priced[2] if priced else ""


def assumption_rows(dossier: Dossier) -> Iterator[Row]:
    """What nobody measured, that first which matters most."""
    yield "path", "what", "taken as", "why", "source", "how to find out", "worth", "figures that it moves"
    for each in dossier.assumptions:
        yield (
            each.path,
            each.label,
            each.value,
            each.reason,
            each.source,
            each.measure,
            each.worth,
            ", ".join(each.moves),
        )


def picture_rows(picture: Picture, system: str) -> Iterator[Row]:
    """The numbers of a picture in the reader's units."""
    made = picture.plot.shown(system).table()
    yield made.heads
    for row in made.rows:
        yield [rounded(each) if isinstance(each, float) else each for each in row]


TABLES: Mapping[str, Callable[[Dossier], Iterator[Row]]] = {
    "figures": figure_rows,
    "findings": finding_rows,
    "parts": part_rows,
    "assumptions": assumption_rows,
}
