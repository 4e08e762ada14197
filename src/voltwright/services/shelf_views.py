"""Views of the shelf: a part, its datasheet, and the form with which a car begins. `views` hands them on by name."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from voltwright.quantity.errors import Problem
from voltwright.services.form_views import FormView


@dataclass(frozen=True)
class PartRow:
    """One part on the shelf; `called` is what its kind is called."""

    id: str
    kind: str
    called: str
    title: str
    price: str
    own: bool


@dataclass(frozen=True)
class ChoiceView:
    """What may be answered, its name for people, and in few words what it is; of a part, its row on the shelf."""

    value: str
    label: str
    facts: str = ""
    part: PartRow | None = None


@dataclass(frozen=True)
class QuestionView:
    """A field of the form with which a car begins. `answer` says to which of the five it belongs.

    Where it has choices and is `open`, something else may be answered too. A yes or no has the choices `true` and `false`.
    `why` it is asked, and how to find it out.
    """

    name: str
    answer: Literal["donor", "wishes", "motor", "modules", "where"]
    label: str
    allowed: str
    example: str
    choices: tuple[ChoiceView, ...] = ()
    open: bool = False
    why: str = ""
    measure: str = ""


@dataclass(frozen=True)
class PartField:
    """One value of a datasheet, with its grade and source."""

    name: str
    value: str
    known: str


@dataclass(frozen=True)
class PartTable:
    """A table of a datasheet: its title, the heads of its columns, and its rows."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class PartView:
    """A datasheet. `worth_adding`: what further values would make possible; `invented`: no maker stands behind the figures."""

    row: PartRow
    remarks: str
    fields: tuple[PartField, ...]
    worth_adding: tuple[str, ...] = ()
    tables: tuple[PartTable, ...] = ()
    source: str = ""
    invented: bool = False


@dataclass(frozen=True)
class Cell:
    """One value of a part in a table: as printed, nothing where the datasheet has none, and by what it is sorted."""

    printed: str
    key: float | str | None


@dataclass(frozen=True)
class ShelfRow:
    """A part in a list of its kind: how its figures are known, and its main values in the order of the columns."""

    part: PartRow
    grade: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class ShelfView:
    """The parts of a kind that were asked for, of `of` that there are; `columns` are names and heads of the main values.

    `place` is where in a build one of them is to stand, and `label` what that is called; `kinds` is every kind with its title, and
    `filters` a form of what can be asked.
    """

    kind: str
    kinds: tuple[tuple[str, str], ...]
    place: str
    label: str
    columns: tuple[tuple[str, str], ...]
    rows: tuple[ShelfRow, ...]
    of: int
    filters: FormView


@dataclass(frozen=True)
class Line:
    """One field of several datasheets beside each other; a cell without text is not in that datasheet."""

    label: str
    cells: tuple[str, ...]
    differs: bool


@dataclass(frozen=True)
class BesideView:
    """Parts of one kind beside each other, field by field."""

    parts: tuple[PartRow, ...]
    lines: tuple[Line, ...]


@dataclass(frozen=True)
class SheetView:
    """A datasheet that is being written. `raw` is what was written, `whole` the same with what is taken where nothing is.

    `problems` are those of what is written, `missing` what is not there yet; without either the part can go on the shelf.
    `new`: its id is still open. `worth_adding`: what further values would make possible. `number`: of the datasheet with which
    the writing began, 0 for a new part.
    """

    kind: str
    title: str
    new: bool
    raw: Mapping[str, Any]
    whole: Mapping[str, Any]
    forms: tuple[FormView, ...]
    problems: tuple[Problem, ...]
    missing: tuple[Problem, ...]
    worth_adding: tuple[str, ...]
    number: int = 0


@dataclass(frozen=True)
class AwayRow:
    """An own part that was put away: its last title, when, and by whom."""

    id: str
    title: str
    at: datetime
    who: str
