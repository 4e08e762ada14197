"""A place of the build file, and what is written there, as people call them: `Boxes of the battery › tank › Modules in it`.

`root` is always the document or the build in which the place is: it knows what the items of lists are called.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, cast, get_origin

from pydantic import BaseModel

from voltwright.build.field_words import choice_words, field_words, group_words
from voltwright.build.paths import ROOT, Spot
from voltwright.build.variants import changed_path, list_of, number_of, steps
from voltwright.parts.shelf import Shelf
from voltwright.quantity.entry import Entry
from voltwright.quantity.errors import PartError

BETWEEN = " › "
_BESIDE_A_VALUE = ("value", "how", "note", "source", "grade")
_SAID_OF = {"how": "how it is known", "note": "the note", "source": "the source", "grade": "the grade"}
MOST_LETTERS = 300


def place(path: str) -> str:
    """Section and field at a path of any build; the path itself where the build file has no such place."""
    return InWords(None, None).place(path)


@dataclass(frozen=True)
class Change:
    """What is written anew at one place: `path` in the build file, and the place and the value as people read them."""

    path: str
    place: str
    value: str


@dataclass(frozen=True)
class InWords:
    """Puts paths and values of one document into words.

    `shelf` knows the titles of parts. Items of the lists in `numbered` are told by their numbers: what stands there now may be
    another than what stood there then.
    """

    root: Any
    shelf: Shelf | None
    numbered: frozenset[str] = field(default=frozenset())

    def changes(self, changes: Mapping[str, Any]) -> Iterator[Change]:
        """Each change of a variant or a remedy. What comes in by one names the places of the next."""
        gone = {around for path, value in changes.items() if value is None and (around := list_of(path))}
        known = replace(self, numbered=self.numbered | gone)
        for path, value in changes.items():
            yield Change(path, known.place(path, changes), known.value(path, value))

    def place(self, path: str, new: Mapping[str, Any] | None = None) -> str:
        """Section, item and field at a path; the path itself where the build file has no such place."""
        if not path:
            return "The whole text"
        try:
            return BETWEEN.join(self._steps(steps(path), new or {}))
        except LookupError:
            return path

    def _steps(self, names: list[str], new: Mapping[str, Any]) -> Iterator[str]:
        here, said, path, value = ROOT, list[str](), "", self.root
        if names[0] == "variants" and len(names) == 4 and names[2] == "changes":
            yield f"{group_words('variants').one.capitalize()} {names[1]}"
            yield from self._steps(steps(names[3]), {})
            return
        while names:
            name = names.pop(0)
            if here.expect and name in _SAID_OF:
                said.append(_SAID_OF[name])
                break
            if here.expect and name == "value":
                break
            child = here.child(name)
            if child is None:
                raise LookupError(path)
            kind = get_origin(here.kind)
            around, path = path, f"{path}.{name}" if path else name
            here, value = child, new.get(path, below(value, name))
            if kind is dict:
                said.append(self.part(name))
            elif kind is tuple:
                said.append(self._item(name, value, around))
            elif here.model or get_origin(here.kind) in (tuple, dict):
                title = _title(path, here)
                said = [title] if _holds_items(here) else [*(said[-1:] if is_in_item(path) else []), title]
            else:
                said.append(field_words(path).label)
        yield from (each for at, each in enumerate(said) if at == 0 or each != said[at - 1])

    def _item(self, name: str, value: Any, around: str) -> str:
        """An item by its name; where it has none, by what it is and its number."""
        number = number_of(name)
        called = "" if around in self.numbered else self.called(value)
        return called or (name if number is None else f"{_one(around)} {number + 1}")

    def called(self, item: Any) -> str:
        """What an item is called: its name, or the part that it is."""
        name = below(item, "name")
        return str(name) if name else self.part(str(below(item, "part") or ""))

    def part(self, part_id: str) -> str:
        """The title of a part; its id where the shelf does not have it."""
        try:
            return self.shelf.any(part_id).title if part_id and self.shelf else part_id
        except PartError:
            return part_id

    def value(self, path: str, value: Any) -> str:
        """What is written at a path, in words and units, as short as a line has room for."""
        here = _spot_at(path)
        said = " ".join(self._said(here, path, value).split())
        return said if len(said) <= MOST_LETTERS else f"{said[: MOST_LETTERS - 1]}…"

    def _said(self, here: Spot | None, path: str, value: Any) -> str:
        if value is None:
            return "taken out"
        if isinstance(value, bool):
            return "yes" if value else "no"
        if isinstance(value, Entry):
            return value.text
        if isinstance(value, BaseModel):
            return self._several_fields(here, path, {name: each for name, each in value if each is not None})
        if isinstance(value, Mapping):
            return self._mapping(here, path, cast(Mapping[str, Any], value))
        if isinstance(value, (list, tuple)):
            items = cast(Sequence[Any], value)
            inner = here.child(0) if here else None
            return ", ".join(self._said(inner, f"{path}.{at}", each) for at, each in enumerate(items)) or "none"
        return self._scalar(path, str(cast(object, value)))

    def _scalar(self, path: str, text: str) -> str:
        words = choice_words(path).get(text)
        if words:
            return words
        return self.part(text) if "/" in text and " " not in text else text

    def _mapping(self, here: Spot | None, path: str, value: Mapping[str, Any]) -> str:
        """A quantity with how it is known; an item by its name; of anything else each field with its label."""
        if here is not None and here.expect is not None and "value" in value:
            known = ", ".join(str(value[name]) for name in ("how", "note") if value.get(name))
            return f"{value['value']} ({known})" if known else str(value["value"])
        return self.called(value) or self._several_fields(here, path, value)

    def _several_fields(self, here: Spot | None, path: str, value: Mapping[str, Any]) -> str:
        said: list[str] = []
        for name, each in value.items():
            below = f"{path}.{name}"
            at = changed_path(below)  # among the changes of a variant stand paths of the build
            child = _spot_at(at) if at != below else here.child(name) if here else None
            words = self.place(at, {at: each}).rpartition(BETWEEN)[2] if child else str(name)
            said.append(f"{words}: {self._said(child, at, each)}")
        return ", ".join(said) or "with nothing in it yet"


def is_in_item(path: str) -> bool:
    """Whether a section stands inside an item of a list."""
    return any(number_of(each) is not None for each in path.split("."))


def _holds_items(here: Spot) -> bool:
    return get_origin(here.kind) in (tuple, dict)


def _title(path: str, here: Spot) -> str:
    try:
        return group_words(path).title
    except LookupError:
        return field_words(path).label


def _one(path: str) -> str:
    try:
        return group_words(path).one or "no."
    except LookupError:
        return "no."


def below(value: Any, name: str) -> Any:
    """What stands under a name or number in a document or a build, or nothing."""
    if isinstance(value, BaseModel):
        return getattr(value, name, None)
    if isinstance(value, Mapping):
        return cast(Mapping[str, Any], value).get(name)
    if isinstance(value, (list, tuple)) and (number := number_of(name)) is not None:
        items = cast(Sequence[Any], value)
        return items[number] if number < len(items) else None
    return None


def _spot_at(path: str) -> Spot | None:
    here: Spot | None = ROOT
    for name in steps(path):
        if here is not None and here.expect:
            break
        here = here.child(name) if here else None
    return here
