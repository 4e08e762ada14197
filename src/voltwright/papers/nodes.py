"""What a paper is made of, whoever renders it: plain frozen nodes that hold text, never markup."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from voltwright.papers.drawing import Drawing as Picture
from voltwright.quantity.plot import Plot as Shown
from voltwright.rules.finding import Severity


@dataclass(frozen=True)
class Heading:
    """Level 1 is numbered and stands in the bookmarks; 2 and 3 lie below it."""

    level: Literal[1, 2, 3]
    text: str


@dataclass(frozen=True)
class Prose:
    """A paragraph; `small` is for remarks."""

    text: str
    small: bool = False


@dataclass(frozen=True)
class Column:
    """A column of a table; `share` is its part of the width, 0 as narrow as its text."""

    title: str
    share: float = 1.0
    right: bool = False


@dataclass(frozen=True)
class Table:
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class TitleBlock:
    """What the paper is about: title, and fields of name and content."""

    title: str
    fields: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class FigureRow:
    """One figure as printed; `reason` says why there is no value."""

    key: str
    label: str
    value: str
    unit: str
    band: str = ""
    reason: str = ""


@dataclass(frozen=True)
class FigureRows:
    rows: tuple[FigureRow, ...]


@dataclass(frozen=True)
class Headline:
    """Groups of figures side by side, without their keys."""

    groups: tuple[tuple[str, tuple[FigureRow, ...]], ...]


@dataclass(frozen=True)
class Callout:
    """Something that must be seen: a finding in full, with its measures side by side and its facts below; or lines in a frame."""

    severity: Severity
    title: str
    detail: str = ""
    measures: tuple[tuple[str, str], ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    lines: tuple[str, ...] = ()
    key: str = ""


@dataclass(frozen=True)
class FindingLines:
    """Findings in one line each: severity, title, and value against limit."""

    lines: tuple[tuple[Severity, str, str], ...]


@dataclass(frozen=True)
class WorkingRow:
    """One node of a working: how deep, its name in the law above, its label, its value, and how it came about."""

    depth: int
    name: str
    label: str
    value: str
    how: str


@dataclass(frozen=True)
class WorkingTree:
    """The working of one figure: its law, and what went in."""

    key: str
    label: str
    value: str
    how: str
    rows: tuple[WorkingRow, ...] = ()


@dataclass(frozen=True)
class Drawing:
    picture: Picture
    caption: str


@dataclass(frozen=True)
class Plot:
    """Lines, a map or bars, under its title."""

    picture: Shown


@dataclass(frozen=True)
class PageBreak:
    pass


Node = (
    Heading
    | Prose
    | Table
    | TitleBlock
    | FigureRows
    | Headline
    | Callout
    | FindingLines
    | WorkingTree
    | Drawing
    | Plot
    | PageBreak
)


@dataclass(frozen=True)
class Paper:
    """A whole paper. `mark` stands across every page, `foot` below it."""

    title: str
    author: str
    revision: str
    mark: str
    foot: str
    nodes: tuple[Node, ...] = field(default=())
