"""What stands beside the form on each page of a build: figures, findings, and the other things that one can do there."""

from __future__ import annotations

from typing import TYPE_CHECKING

from voltwright.web.pages.assumptions_side import AssumptionsSide
from voltwright.web.pages.drives_side import DrivesSide
from voltwright.web.pages.figures_side import QuestionSide, SummarySide
from voltwright.web.pages.file_sides import PapersSide, RevisionsSide
from voltwright.web.pages.findings_side import FindingsSide
from voltwright.web.pages.shelf_side import ShelfSide
from voltwright.web.pages.side import Side
from voltwright.web.pages.text_side import TextSide
from voltwright.web.pages.variants_side import VariantsSide

if TYPE_CHECKING:
    from voltwright.web.pages.build_page import Desk

_OWN: dict[str, type[Side]] = {
    "summary": SummarySide,
    "duty": DrivesSide,
    "findings": FindingsSide,
    "assumptions": AssumptionsSide,
    "variants": VariantsSide,
    "shelf": ShelfSide,
    "papers": PapersSide,
    "revisions": RevisionsSide,
    "text": TextSide,
}


def of(desk: Desk) -> Side:
    """The one that belongs to the page."""
    return _OWN.get(desk.leaf.name, QuestionSide)(desk)
