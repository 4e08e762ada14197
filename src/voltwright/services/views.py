"""What pages and the interface for programs are given: plain frozen values, rounded and worded as the house prints them.

No engineering is done here. What the records hand out is as plain, and stands here by name too.
"""

from __future__ import annotations

import shutil
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any, Literal

from voltwright.build.beginning import Answers
from voltwright.build.in_words import Change as ChangeView
from voltwright.quantity.errors import ConflictError, Newer, Problem, VoltwrightError
from voltwright.quantity.plot import Plot
from voltwright.records.cars import CarFile
from voltwright.records.rows import (
    Attachment,
    BuildRow,
    Car,
    Draft,
    Entry,
    OwnPart,
    Person,
    RefusedEdit,
    Revision,
    Role,
)
from voltwright.services.actor import LOCAL_OWNER, MAY, Actor
from voltwright.services.bill import BillLine
from voltwright.services.edit_views import EditLine, EditView
from voltwright.services.figure_views import FigureView, Group, TripFigures
from voltwright.services.fitting import Suits
from voltwright.services.form_views import Choices, FieldKind, FieldView, FormView
from voltwright.services.garage_views import BuildLine, BuildNow, CarLine, CarsPage, TakenIn
from voltwright.services.shared import POINTS, Asked, System, Which
from voltwright.services.shelf_views import (
    AwayRow,
    BesideView,
    Cell,
    ChoiceView,
    Line,
    PartField,
    PartRow,
    PartTable,
    PartView,
    QuestionView,
    SheetView,
    ShelfRow,
    ShelfView,
)

__all__ = [
    "LOCAL_OWNER",
    "MAY",
    "POINTS",
    "Actor",
    "Answers",
    "Asked",
    "AssumptionView",
    "Attachment",
    "AwayRow",
    "BesideView",
    "BillLine",
    "BuildLine",
    "BuildNow",
    "BuildRow",
    "Car",
    "CarFile",
    "CarLine",
    "CarsPage",
    "Cell",
    "ChangeView",
    "ChoiceView",
    "Choices",
    "ComparisonView",
    "DossierView",
    "Draft",
    "DrawingView",
    "EditLine",
    "EditView",
    "EffectView",
    "Entry",
    "ErrorView",
    "FieldKind",
    "FieldView",
    "FigureView",
    "FindingView",
    "FitView",
    "FormView",
    "Group",
    "JobView",
    "Line",
    "MovedView",
    "Newer",
    "OtherView",
    "OwnPart",
    "PaperFile",
    "PartField",
    "PartRow",
    "PartTable",
    "PartView",
    "PassingFile",
    "Person",
    "PictureView",
    "PlaceView",
    "Problem",
    "QuestionView",
    "RefusedEdit",
    "RemedyView",
    "Revision",
    "RevisionView",
    "Role",
    "Severity",
    "SheetView",
    "ShelfRow",
    "ShelfView",
    "Suits",
    "System",
    "TakenIn",
    "TripFigures",
    "TripRow",
    "TripView",
    "Which",
    "WorkingView",
]

Severity = Literal["stop", "caution", "note"]


@dataclass(frozen=True)
class PictureView:
    """A plot of a question in the reader's units; `alt` says in one sentence what is seen, `plot.table()` has the numbers."""

    key: str
    title: str
    alt: str
    question: str
    plot: Plot = field(repr=False)


@dataclass(frozen=True)
class DrawingView:
    """A drawing to scale as SVG, black on what lies behind it, with title, caution and mark; `alt` says in short what is seen."""

    key: str
    title: str
    alt: str
    svg: str = field(repr=False)


@dataclass(frozen=True)
class RemedyView:
    """A step that was found to put a finding right: what to do, and what changes in the document."""

    says: str
    changes: Mapping[str, Any]


@dataclass(frozen=True)
class FindingView:
    """The outcome of one check; `clause_seen` says how far the text of the clause was seen, `questions` what it concerns.

    `remedy` has the steps in words and the `advice`; `paths` are the places in the build file that its words name by their labels.
    """

    key: str
    severity: Severity
    title: str
    detail: str
    limit: str | None
    value: str | None
    margin: str | None
    clause: str | None
    clause_seen: str | None
    remedy: str | None
    likelihood: str | None
    advice: str | None
    remedies: tuple[RemedyView, ...]
    questions: tuple[str, ...]
    paths: tuple[str, ...]


@dataclass(frozen=True)
class AssumptionView:
    """What nobody measured: why it was taken, how to find out, the keys that it moves, and what knowing it would be worth."""

    path: str
    label: str
    value: str
    reason: str
    source: str
    measure: str
    moves: tuple[str, ...]
    worth: str


@dataclass(frozen=True)
class DossierView:
    """Everything that Voltwright has to say of one build. `asked` says whether bands and remedies are in it.

    `cautions` must stand wherever the figures do.
    """

    title: str
    fingerprint: str
    asked: Asked
    headline: tuple[Group, ...]
    questions: tuple[Group, ...]
    findings: tuple[FindingView, ...]
    assumptions: tuple[AssumptionView, ...]
    not_for_building: tuple[str, ...]
    not_judged: tuple[str, ...]
    cautions: tuple[str, ...]

    @property
    def figures(self) -> dict[str, FigureView]:
        """Every figure by its key."""
        return {each.key: each for group in self.questions for each in group.figures}

    def count(self, severity: Severity) -> int:
        return sum(each.severity == severity for each in self.findings)


@dataclass(frozen=True)
class WorkingView:
    """A figure and how it was worked out: the tree as plain data, and as lines of text."""

    figure: FigureView
    tree: Mapping[str, Any] | None
    text: str


@dataclass(frozen=True)
class TripRow:
    """A trip that can be named: its numbers in words, and where it comes from."""

    name: str
    says: str
    source: str


@dataclass(frozen=True)
class TripView:
    """A trip as the car of a build drives it: its figures, what held the car back and where the energy went, in lines.

    `seconds` is the trip driven once, second by second, as CSV; nothing where the car is not known.
    """

    name: str
    figures: tuple[FigureView, ...]
    lines: tuple[str, ...]
    seconds: str = field(repr=False)


@dataclass(frozen=True)
class RevisionView:
    """A revision, whether it would be worked out with the same parts, files and Voltwright today, and its figures then."""

    kept: Revision
    same_parts: bool
    same_version: bool
    headline: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class MovedView:
    """A figure that differs: as printed before and after, by how much, between which bounds, and whether that is good and sure."""

    key: str
    label: str
    before: str
    after: str
    by: str
    band: str
    verdict: Literal["better", "worse", ""]
    sure: bool


@dataclass(frozen=True)
class OtherView:
    """One build beside the first one of a comparison."""

    name: str
    why: str
    changes: tuple[ChangeView, ...]
    moved: tuple[MovedView, ...]
    appears: tuple[FindingView, ...]
    goes: tuple[FindingView, ...]
    heavier: tuple[FindingView, ...]
    lighter: tuple[FindingView, ...]
    not_for_building: tuple[str, ...]


@dataclass(frozen=True)
class ComparisonView:
    """A build beside others: `rows` hold a label and one printed figure for each of `names`, the build itself first."""

    names: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    others: tuple[OtherView, ...]


@dataclass(frozen=True)
class EffectView:
    """A remedy of a finding, what it does to the rest of the car in one line, and figure by figure."""

    remedy: RemedyView
    in_short: str
    other: OtherView


@dataclass(frozen=True)
class FitView:
    """A part in a place: its price in the currency of the build, what speaks against it, and what must change with it.

    `suits`: `fits`; or it fits and `misses` the brief, or `burdens` the car, or does `not` fit by voltage, current, space or
    mechanics. `changes` is the edit that puts it there.
    """

    id: str
    title: str
    price: str
    now: bool
    suits: Suits
    reasons: tuple[FindingView, ...]
    broken: str
    changes: Mapping[str, Any]

    @property
    def fits(self) -> bool:
        """Whether it goes in; it may miss the brief all the same."""
        return self.suits != "not"


@dataclass(frozen=True)
class PlaceView:
    """A place of the build, what may stand there, the cheapest that fits first, and the stops that stand whatever does."""

    path: str
    label: str
    kind: str
    fits: tuple[FitView, ...]
    whatever: tuple[FindingView, ...]


@dataclass(frozen=True)
class PaperFile:
    """A file for the reader: `name` is safe on any system; `media_type` as of RFC 6838."""

    name: str
    media_type: str
    content: bytes = field(repr=False)


@dataclass(frozen=True)
class PassingFile:
    """A file that may be large: it lies alone in a temporary folder until whoever asked for it has passed it on and removes it."""

    path: Path
    media_type: str

    def remove(self) -> None:
        """Take it off the disk, with its folder."""
        shutil.rmtree(self.path.parent, ignore_errors=True)


@dataclass(frozen=True)
class ErrorView:
    """What went wrong, for people. A refused edit comes with who saved what since, and both differences."""

    code: str
    title: str
    problems: tuple[Problem, ...]
    newer: tuple[Newer, ...] = ()
    theirs: str = ""
    yours: str = ""
    kept: int | None = None

    @classmethod
    def of(cls, error: VoltwrightError) -> ErrorView:
        """What a page says of an error of the house."""
        if isinstance(error, ConflictError):
            return cls(error.code, error.title, error.problems, error.newer, error.theirs, error.yours, error.kept)
        return cls(error.code, error.title, error.problems)


@dataclass(frozen=True)
class JobView:
    """Long work as it stands: `done` of `of` pieces, `of` being 0 where nobody knows; `error` says why it failed."""

    id: str
    who: str
    title: str
    state: Literal["waiting", "running", "done", "failed", "stopped"]
    done: int
    of: int
    says: str
    begun: datetime
    ended: datetime | None
    error: ErrorView | None

    @property
    def is_over(self) -> bool:
        return self.ended is not None
