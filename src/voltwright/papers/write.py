"""Writes the papers of a build into a folder, each whole or not at all."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from voltwright.papers.car_sheet import on_its_own
from voltwright.papers.design import design_paper
from voltwright.papers.nodes import Drawing
from voltwright.papers.svg import svg
from voltwright.papers.typst_render import pdf
from voltwright.quantity.document import write_whole
from voltwright.rules.dossier import Dossier
from voltwright.rules.elsewhere import Effect


def write_papers(
    dossier: Dossier,
    out: Path,
    *,
    date: str | None = None,
    system: str = "metric",
    record: Dossier | None = None,
    effects: Iterable[Effect] = (),
) -> list[Path]:
    """Write design.pdf, side-view.svg and dossier.json. Raises OutputError. The rest as of `papers_of`."""
    contents = papers_of(dossier, date=date, system=system, record=record, effects=effects)
    for name, content in contents.items():
        write_whole(out / name, content)
    return [out / name for name in contents]


def papers_of(
    dossier: Dossier,
    *,
    date: str | None = None,
    system: str = "metric",
    record: Dossier | None = None,
    effects: Iterable[Effect] = (),
) -> dict[str, bytes]:
    """design.pdf, side-view.svg and dossier.json by name. `date` is printed as it comes.

    `record` is the same dossier with its words in metric units, for the data, which do not depend on the reader's units;
    `effects`: what the remedies do elsewhere.
    """
    record = record or dossier
    paper = design_paper(dossier, date=date, system=system, effects=effects)
    view = next(node.picture for node in paper.nodes if isinstance(node, Drawing))  # laid out once for both
    return {
        "design.pdf": pdf(paper),
        "side-view.svg": svg(on_its_own(view, dossier)).encode(),
        "dossier.json": (record.as_json() + "\n").encode(),
    }
