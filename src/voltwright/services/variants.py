"""Use cases of variants: a build beside what it might be, on the screen and on paper."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from pathlib import Path

from voltwright.build.reader import load
from voltwright.papers.comparison_text import comparison_text
from voltwright.quantity.document import write_whole
from voltwright.rules.comparison import Comparison, compare
from voltwright.rules.dossier import as_json

__all__ = ["PAPER", "as_text", "compare_file", "comparison_text", "write_paper"]

PAPER = "comparison.pdf"


def compare_file(
    path: Path,
    names: Sequence[str] = (),
    *,
    with_bands: bool = True,
    system: str = "metric",
    today: datetime.date | None = None,
) -> Comparison:
    """Read one build file and put its variants beside it: those that are named, or all."""
    return compare(load(path), names, with_bands=with_bands, system=system, today=today)


def as_text(made: Comparison) -> str:
    """The comparison as JSON."""
    return as_json(made.as_data())


def write_paper(made: Comparison, out: Path, *, date: str | None, system: str) -> Path:
    """Write comparison.pdf into a folder. Raises OutputError."""
    from voltwright.papers.comparison import comparison_paper
    from voltwright.papers.typst_render import pdf

    write_whole(out / PAPER, pdf(comparison_paper(made, date=date, system=system)))
    return out / PAPER
