"""Views of the shelf: a part, its datasheet, and the form with which a car begins. `views` hands them on by name."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class PartRow:
    """One part on the shelf."""

    id: str
    kind: str
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
    """

    name: str
    answer: Literal["donor", "wishes", "motor", "modules", "where"]
    label: str
    allowed: str
    example: str
    choices: tuple[ChoiceView, ...] = ()
    open: bool = False


@dataclass(frozen=True)
class PartField:
    """One value of a datasheet, with its grade and source."""

    name: str
    value: str
    known: str


@dataclass(frozen=True)
class PartView:
    """A datasheet. `worth_adding`: what further values would make possible."""

    row: PartRow
    remarks: str
    fields: tuple[PartField, ...]
    worth_adding: tuple[str, ...] = ()
