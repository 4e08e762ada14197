"""What a workshop calls each field of the build file, why it is asked, and how it finds it out.

The words stand in fields.json. Where a value is assumed, defaults.json already says how to find it out.
"""

from __future__ import annotations

import functools
import json
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from typing import Any, cast, get_origin

from voltwright.build.paths import ROOT, Spot
from voltwright.build.reader import defaults


@dataclass(frozen=True)
class FieldWords:
    """Of one value: its name, what in the result rests on it (a sentence), and how to find it out.

    `measure` is written as in defaults.json: a clause that begins with a small letter and has no full stop.
    """

    label: str
    why: str
    measure: str


@dataclass(frozen=True)
class GroupWords:
    """Of a section, a list or a map: its heading and, of the latter two, what one item is called."""

    title: str
    one: str = ""


def field_words(path: str) -> FieldWords:
    """The words of a value, by its path in the schema or in a build. Raises LookupError where no value can stand there."""
    known = fields()
    return known[path if path in known else marked(path)]


def group_words(path: str) -> GroupWords:
    """The words of a section, list or map, or of the one that an item belongs to; '' is the build. Raises LookupError."""
    known = groups()
    return known[path if path in known else marked(path)]


@functools.cache
def fields() -> Mapping[str, FieldWords]:
    """The words of every value, by its path with lists as `[]` and maps as `{}`, in the order of the schema."""
    assumed = {default.path: default.measure for default in defaults()}
    said = _catalogue()["fields"].items()
    return {path: FieldWords(each["label"], each["why"], each.get("measure") or assumed[path]) for path, each in said}


@functools.cache
def groups() -> Mapping[str, GroupWords]:
    """The words of every section, list and map, by its path."""
    return {path: GroupWords(**said) for path, said in _catalogue()["groups"].items()}


def choice_words(path: str) -> Mapping[str, str]:
    """What people call each value that can be chosen at a path, in the order of the schema; empty where nothing is chosen."""
    known = choices()
    if path in known:
        return known[path]
    try:
        return known.get(marked(path), {})
    except LookupError:
        return {}


@functools.cache
def choices() -> Mapping[str, Mapping[str, str]]:
    """The words of every choice, by its path."""
    return _catalogue()["choices"]


@functools.cache
def _catalogue() -> dict[str, dict[str, Any]]:
    return json.loads(files("voltwright.build").joinpath("fields.json").read_text(encoding="utf-8"))


@functools.lru_cache(4096)  # as the forms of several builds ask
def marked(path: str) -> str:
    """A path of a build as the schema has it: `pack.boxes.0.mass` is `pack.boxes[].mass`. Raises LookupError."""
    here, found, rest = ROOT, "", path.split(".")
    while rest:
        name = rest.pop(0)
        child = here.child(name)
        if child is None or not here.model:
            raise LookupError(f"the build file has no path '{path}'")
        here, found = child, f"{found}.{name}" if found else name
        while get_origin(here.kind) in (tuple, dict):
            is_map = get_origin(here.kind) is dict
            here, found = cast(Spot, here.child(0)), found + ("{}" if is_map else "[]")
            if is_map and not here.model:  # a name may hold dots itself: the id of a part, the path of a change
                return found
            if rest and not is_map and not (rest[0].isascii() and rest[0].isdigit()):
                raise LookupError(f"the build file has no path '{path}'")
            rest = rest[1:]
    return found
