"""Walks the schema of the document: what may stand at each path, and in which words a person is told so."""

from __future__ import annotations

import functools
import types
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Any, Literal, Union, cast, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from voltwright.build.base import Says
from voltwright.build.document import Build
from voltwright.quantity.entry import Entry, Expect
from voltwright.quantity.grammar import example_of
from voltwright.quantity.units import Unit

KEY = "[key]"  # how pydantic marks the name in a map, as against its value


@dataclass(frozen=True)
class Spot:
    """What the schema says of one place: its bare type, the marks on it, and its field."""

    kind: Any
    marks: tuple[Any, ...] = ()
    info: FieldInfo | None = None

    @property
    def model(self) -> type[BaseModel] | None:
        return self.kind if isinstance(self.kind, type) and issubclass(self.kind, BaseModel) else None

    @property
    def expect(self) -> Expect | None:
        return next((mark for mark in self.marks if isinstance(mark, Expect)), None)

    @property
    def names(self) -> list[str]:
        """The names that are known here."""
        return list(self.model.model_fields) if self.model else []

    def bound(self, name: str) -> Any:
        """A bound of the field, such as `ge` or `max_length`, or None."""
        return next((getattr(mark, name) for mark in self.marks if getattr(mark, name, None) is not None), None)

    def child(self, part: Any) -> Spot | None:
        """The place below this one: a field, an item, a value of a map or, for KEY, a name of it."""
        if self.model:
            return self._fields.get(str(part))
        return self._inside[0 if part == KEY else -1] if self._inside else None

    # A form asks for thousands of places, and the schema stays as it is: each is made once.

    @functools.cached_property
    def _fields(self) -> dict[str, Spot]:
        fields = self.model.model_fields if self.model else {}
        return {name: spot(info.annotation, tuple(info.metadata), info) for name, info in fields.items()}

    @functools.cached_property
    def _inside(self) -> tuple[Spot, ...]:
        """Of a list or a map."""
        inner = get_args(self.kind) if get_origin(self.kind) in (tuple, dict) else ()
        return tuple(spot(each) for each in inner if each is not Ellipsis)

    @functools.cached_property
    def words(self) -> str:
        """What may be written here."""
        said = next((mark.words for mark in self.marks if isinstance(mark, Says)), "")
        if said:
            return said
        if self.expect:
            return f"{example_of(Unit(self.expect.unit))}; {self.expect.allowed}"
        if get_origin(self.kind) is Literal:
            return ", ".join(str(each) for each in get_args(self.kind))
        if self.model:
            return f"names and values: {', '.join(self.names)}"
        if get_origin(self.kind) is tuple:
            return f"a list{self.length}, each line beginning with '- '"
        if get_origin(self.kind) is dict:
            return f"names and values{self.length}"
        return self._scalar_words()

    def _scalar_words(self) -> str:
        if self.kind is bool:
            return "true or false"
        if self.kind in (int, float):
            number = "a whole number" if self.kind is int else "a number"
            bounds = (("above", "gt"), ("at least", "ge"), ("below", "lt"), ("at most", "le"))
            known = [f"{word} {self.bound(name):g}" for word, name in bounds if self.bound(name) is not None]
            return " ".join([number, " and ".join(known)]).strip()
        return (
            f"a text of up to {self.bound('max_length') or 2000} characters"
            if self.kind is str
            else "whatever may stand at that path"
        )

    @property
    def length(self) -> str:
        """How many items a list or map may hold, in words."""
        least, most = self.bound("min_length"), self.bound("max_length")
        if get_origin(self.kind) not in (tuple, dict) or (least is None and most is None):
            return ""
        if least == most:
            return f" of {least}"
        return " of " + " and ".join([f"at least {least}"] * bool(least) + [f"at most {most}"] * bool(most))


def spot(annotation: Any, marks: tuple[Any, ...] = (), info: FieldInfo | None = None) -> Spot:
    """The place of an annotation, without `| None` and `Annotated`."""
    if get_origin(annotation) is Annotated:
        inner, *more = get_args(annotation)
        return spot(inner, (*marks, *more), info)
    if get_origin(annotation) in (Union, types.UnionType):
        inner = [each for each in get_args(annotation) if each is not type(None)]
        return spot(inner[0], marks, info)
    flat = [each for mark in marks for each in (mark.metadata if isinstance(mark, FieldInfo) else [mark])]
    return Spot(annotation, tuple(flat), info)


ROOT = Spot(Build)


def spot_at(path: tuple[Any, ...]) -> Spot | None:
    """What may stand at a path, given in steps; None where the schema knows no such path."""
    here: Spot | None = ROOT
    for part in path[:-2] + path[-1:] if path[-1:] == (KEY,) else path:
        here = here.child(part) if here else None
    return here


def all_spots() -> Iterator[tuple[str, Spot]]:
    """Every path of the schema at which a value stands; lists as `[]`, maps as `{}`."""
    yield from _spots(ROOT, "")


def _spots(here: Spot, path: str) -> Iterator[tuple[str, Spot]]:
    for name in here.names:
        yield from _spots(cast(Spot, here.child(name)), f"{path}.{name}" if path else name)
    if get_origin(here.kind) in (tuple, dict):
        sign = "[]" if get_origin(here.kind) is tuple else "{}"
        yield from _spots(cast(Spot, here.child(0)), f"{path}{sign}")
    elif not here.model:
        yield path, here


def all_paths() -> Iterator[tuple[str, Any]]:
    """Every path of the schema with the type that stands there; lists as `[]`, maps as `{}`."""
    for path, here in all_spots():
        yield path, Entry if here.expect else here.kind
