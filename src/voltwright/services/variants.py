"""Use cases of variants: a build beside what it might be, on the screen and on paper."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from pathlib import Path

from voltwright.assess.case import Case
from voltwright.build.reader import from_document, load
from voltwright.build.writer import rewritten
from voltwright.papers.comparison_text import comparison_text
from voltwright.quantity.document import write_whole
from voltwright.rules.comparison import Comparison, compare
from voltwright.rules.dossier import as_json
from voltwright.rules.second_pack import second_pack

__all__ = ["PAPER", "add_second_pack", "as_text", "compare_file", "comparison_text", "write_paper"]

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


def add_second_pack(path: Path) -> str:
    """Write a variant with a second pack in the load space into a build file; its name. Raises BuildError, OutputError."""
    built = load(path)
    name, variant = second_pack(Case(built.build, built.shelf, built.beside))
    after = rewritten(built.document, {f"variants.{name}": variant})
    from_document(after, built.shelf, built.folder)
    write_whole(path, after.text.encode())
    return name


def as_text(made: Comparison) -> str:
    """The comparison as JSON."""
    return as_json(made.as_data())


def write_paper(made: Comparison, out: Path, *, date: str | None, system: str) -> Path:
    """Write comparison.pdf into a folder. Raises OutputError."""
    from voltwright.papers.comparison import comparison_paper
    from voltwright.papers.typst_render import pdf

    write_whole(out / PAPER, pdf(comparison_paper(made, date=date, system=system)))
    return out / PAPER
