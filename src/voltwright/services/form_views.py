"""Views of forms: what may be written, what stands there, and what is assumed. `views` hands them on by name."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

FieldKind = Literal["quantity", "number", "text", "choice", "yes-no", "part", "several", "whole"]
Choices = tuple[tuple[str, str], ...]  # each value, and the words for it


@dataclass(frozen=True)
class FieldView:
    """One place of the document. `typed` is what somebody wrote there; `shown` the same in the reader's units, or what is assumed.

    `at` is where the value itself is written: below the place where more is said of it than the value.
    `how` says how the value is known, `note` why; `required`: the document cannot be without it. `means`: what the value is,
    where the label does not say it; `otherwise`: a variant changes it. A `whole` item is told in words, and not written in a field.
    """

    path: str
    at: str
    label: str
    why: str
    measure: str
    allowed: str
    kind: FieldKind
    choices: Choices
    typed: str
    shown: str
    how: str
    note: str
    required: bool
    means: str = ""
    otherwise: bool = False


@dataclass(frozen=True)
class FormView:
    """A section of the document: its fields, and the sections or items below it.

    `one` is what an item is called where this is a list or a map (`is_map`: its items have names), `new` an empty item to be filled.
    `together`: the section is not there yet, and what it needs goes in at once. `optional`: it is there, and may be taken out whole.
    `names`: the only names that items can have, and how people call them.
    """

    path: str
    title: str
    one: str
    fields: tuple[FieldView, ...] = ()
    groups: tuple[FormView, ...] = ()
    new: FormView | None = None
    together: bool = False
    is_map: bool = False
    removable: bool = False
    optional: bool = False
    names: Choices = ()

    def all_fields(self) -> Iterator[FieldView]:
        """Every field, those of items and of sections below too."""
        yield from self.fields
        for each in self.groups:
            yield from each.all_fields()
