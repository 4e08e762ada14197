"""What each field of a datasheet wants, in words: for messages, for the import, and for the reference page."""

from __future__ import annotations

import difflib
from types import NoneType
from typing import Annotated, Any, Literal, get_args, get_origin

from pydantic.fields import FieldInfo

from voltwright.parts.base import Frozen, Part
from voltwright.quantity.entry import Expect
from voltwright.quantity.grammar import example_of
from voltwright.quantity.units import Unit

_PLAIN = {
    "id": "the kind, a slash and a plain description, such as module/nmc-13s-50ah",
    "source": "a key of the references; own-datasheet for the workshop's own copy of the maker's datasheet",
    "fields": "for each field that differs: source and grade",
}


def bare(info: FieldInfo) -> tuple[Any, tuple[Any, ...]]:
    """The type of a field without `| None`, and every mark on it."""
    kind, marks = info.annotation, tuple(info.metadata)
    inner = [each for each in get_args(kind) if each is not NoneType]
    if NoneType in get_args(kind) and len(inner) == 1:
        kind = inner[0]
    if get_origin(kind) is Annotated:
        kind, *more = get_args(kind)
        marks += tuple(more)
    return kind, marks


def expected(info: FieldInfo) -> Expect | None:
    """The mark of a quantity, or None where the field is none."""
    return next((mark for mark in bare(info)[1] if isinstance(mark, Expect)), None)


def table_of(info: FieldInfo) -> type[Frozen] | None:
    """The columns of a field that is a table."""
    kind = bare(info)[0]
    return kind if isinstance(kind, type) and issubclass(kind, Frozen) else None


def is_list(info: FieldInfo) -> bool:
    return get_origin(bare(info)[0]) is tuple


def wanted(field: str, info: FieldInfo) -> str:
    """What may be written in a field."""
    quantity, columns, kind = expected(info), table_of(info), bare(info)[0]
    if quantity:
        return example_of(Unit(quantity.unit))
    if columns:
        return "a table with the columns " + ", ".join(columns.model_fields)
    if is_list(info):
        item = get_args(kind)[0]
        return "one or more of " + ", ".join(get_args(item)) if get_origin(item) is Literal else "a list of numbers"
    if get_origin(kind) is Literal:
        return " or ".join(get_args(kind))
    return _PLAIN.get(field) or {bool: "true or false", int: "a whole number", float: "a number"}.get(kind, "a text")


def nearest(name: str, model: type[Frozen]) -> str:
    """The known field whose name is nearest, or nothing."""
    near = difflib.get_close_matches(name, model.model_fields, n=1, cutoff=0.5)
    return near[0] if near else ""


def own_fields(kind: type[Part]) -> dict[str, FieldInfo]:
    """The fields of a kind of part that not every part has."""
    return {name: info for name, info in kind.model_fields.items() if name not in Part.model_fields}
