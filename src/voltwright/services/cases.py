"""Use cases of one build file, without records: what the command line does with the path that somebody names."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, cast

from voltwright.build.reader import load
from voltwright.papers.text import summary, tree
from voltwright.parts.base import Part
from voltwright.parts.datasheet import read_datasheet, store
from voltwright.parts.shelf import Shelf, catalogue, shelf_beside, shelf_with
from voltwright.quantity.document import read_text
from voltwright.quantity.errors import Problem
from voltwright.quantity.figure import Working, working
from voltwright.rules.dossier import Dossier, assess
from voltwright.rules.elsewhere import elsewhere

__all__ = ["assess_file", "explain", "import_datasheet", "make_papers", "part_rows", "shelf_for", "summary", "tree"]


def assess_file(
    path: Path,
    *,
    with_bands: bool = True,
    system: str = "metric",
    today: datetime.date | None = None,
    search: bool = True,
) -> Dossier:
    """Read, work out and judge one build file.

    `system` sets the units of the words, `today` judges how old rule data are; without `search` no remedies are looked for.
    """
    return assess(load(path), with_bands=with_bands, system=system, today=today, search=search)


def explain(path: Path, key: str) -> tuple[Dossier, Working | None]:
    """The dossier and the whole working of one figure."""
    dossier = assess_file(path, with_bands=False, search=False)
    figure = dossier.figure(key)
    return dossier, working(figure.node) if figure.node else None


def make_papers(
    path: Path, out: Path, *, date: str | None, system: str, today: datetime.date | None = None
) -> tuple[Dossier, list[Path]]:
    """Assess a build and write its papers into a folder. `date` is printed on them as it comes."""
    from voltwright.papers.write import write_papers

    built = load(path)
    dossier = assess(built, system=system, today=today)
    record = dossier if system == "metric" else assess(built, today=today)
    effects = elsewhere(built, dossier, system, today)
    return dossier, write_papers(dossier, out, date=date, system=system, record=record, effects=effects)


_OF_THE_SHEET = ("id", "kind", "title", "source", "grade", "remarks", "fields")


def shelf_for(build_file: Path | None) -> Shelf:
    """The catalogue, with the workshop's own parts where a build file is named. Raises FileError where it is none."""
    if build_file is None:
        return catalogue()
    read_text(build_file)
    return shelf_beside(build_file)


@dataclass(frozen=True)
class Imported:
    """What an import found: the stored file, or why it was not stored, and what would make the sheet better."""

    part: Part | None
    stored: Path | None
    problems: tuple[Problem, ...]
    hints: tuple[str, ...]


def import_datasheet(path: Path, folder: Path, *, overwrite: bool = False) -> Imported:
    """Read a maker's datasheet and, where nothing is wrong, store it among the workshop's own parts."""
    sheet = read_datasheet(path, shelf_with(folder))
    stored = store(sheet.raw, folder, overwrite=overwrite) if sheet.part else None
    return Imported(sheet.part, stored, sheet.problems, sheet.unlocks)


def part_rows(part: Part) -> Iterator[tuple[str, str, str]]:
    """Field, value and provenance of a datasheet, for people."""
    for name in own_names(part):
        yield name, text_of(getattr(part, name)), provenance(part, name)


def own_names(part: Part) -> Iterator[str]:
    """The fields of a datasheet that hold something, but for those that say what it is and whence."""
    for name in type(part).model_fields:
        if getattr(part, name) is not None and name not in _OF_THE_SHEET:
            yield name


def provenance(part: Part, name: str) -> str:
    """How one figure of a datasheet is known."""
    known = part.fields.get(name)
    return f"{known.grade}, {known.source}" if known else f"{part.grade}, {part.source}"


def text_of(value: Any) -> str:
    """A value of a datasheet in a line."""
    return value.text if hasattr(value, "text") else _plain(value)


def _plain(value: Any) -> str:
    if hasattr(value, "model_dump"):
        rows = next(iter(value.model_dump().values()))
        return f"table of {len(rows)} rows"
    if isinstance(value, tuple):
        return ", ".join(map(str, cast(tuple[object, ...], value)))
    return {True: "yes", False: "no"}.get(value, str(value)) if isinstance(value, bool) else str(value)
