"""Finds parts by id: the workshop's own first, then the shipped catalogue; a datasheet is read when it is asked for."""

from __future__ import annotations

import difflib
import functools
import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping
from importlib.resources import files
from pathlib import Path
from typing import Any, TypeVar, cast, get_args

from pydantic import ValidationError
from pydantic.fields import FieldInfo

from voltwright.parts.base import Frozen, Part
from voltwright.parts.fields import expected, nearest, table_of, wanted
from voltwright.parts.kinds import KINDS, kind_of
from voltwright.quantity.entry import Written
from voltwright.quantity.errors import PartError, Problem, QuantityError, SourceError
from voltwright.quantity.provenance import Grade
from voltwright.quantity.source import Source, references
from voltwright.quantity.words import one

AnyPart = TypeVar("AnyPart", bound=Part)
MOST_PRINTS = 1000  # sets of parts whose hashes are kept


class Shelf:
    """Parts by id, raw until somebody takes one."""

    def __init__(self, raw: Mapping[str, Mapping[str, Any]]) -> None:
        self._raw = dict(raw)
        self._made: dict[str, Part] = {}
        self._prints: dict[frozenset[str], str] = {}

    def ids(self, kind: str | None = None) -> tuple[str, ...]:
        return tuple(sorted(each for each in self._raw if kind is None or each.split("/")[0] == kind))

    def __contains__(self, part_id: object) -> bool:
        return part_id in self._raw

    def take(self, part_id: str, want: type[AnyPart]) -> AnyPart:
        """The part of that id and kind. Raises PartError naming the nearest id, or what its datasheet lacks."""
        kind = next((name for name, made in KINDS.items() if made is want), "")
        if part_id not in self._raw:
            raise PartError(self._unknown(part_id, kind))
        part = self.any(part_id)
        if not isinstance(part, want):
            raise PartError(
                Problem(f"{part_id} is {one(part.kind)}, not {one(kind)}", allowed=", ".join(self.ids(kind)[:6]))
            )
        return part

    def any(self, part_id: str) -> Part:
        """The part of that id, whatever its kind."""
        if part_id not in self._raw:
            raise PartError(self._unknown(part_id, part_id.split("/")[0]))
        if part_id not in self._made:
            self._made[part_id] = make_part(self._raw[part_id])
        return self._made[part_id]

    def fingerprint(self, ids: Iterable[str]) -> str:
        """A hash of the datasheets of these parts."""
        chosen = frozenset(ids)
        if chosen not in self._prints:  # of one build it is asked for at every turn
            if len(self._prints) >= MOST_PRINTS:
                self._prints.clear()
            raw = {each: self._raw[each] for each in sorted(chosen)}
            self._prints[chosen] = hashlib.sha256(json.dumps(raw, sort_keys=True).encode()).hexdigest()
        return self._prints[chosen]

    @functools.cached_property
    def fingerprint_of_all(self) -> str:
        """A hash of every datasheet."""
        return self.fingerprint(self._raw)

    def with_own(self, raw: Mapping[str, Mapping[str, Any]]) -> Shelf:
        """This shelf with the workshop's own parts in front."""
        return Shelf({**self._raw, **raw})

    def _unknown(self, part_id: str, kind: str) -> Problem:
        near = difflib.get_close_matches(part_id, self._raw, n=3, cutoff=0.4) or list(self.ids(kind)[:3])
        mend = f"write {' or '.join(near)}" if near else "see 'voltwright parts list'"
        return Problem(f"no part has the id '{part_id[:80]}'", mend=mend)


def make_part(raw: Mapping[str, Any]) -> Part:
    """Validate one datasheet; every value gets its source and grade. Raises PartError listing all that is wrong."""
    name = str(raw.get("id", "part"))[:80]
    kind = kind_of(raw)
    if kind is None:
        raise PartError(Problem(f"{name} is of no known kind", allowed=", ".join(KINDS), path="kind"))
    problems = _unknown_origins(raw, name)
    try:
        made = kind.model_validate(_with_sources(raw, name, kind))
    except ValidationError as error:
        problems += [_problem(name, kind, cast(dict[str, Any], each)) for each in error.errors()]
        raise PartError(problems) from None
    if problems:
        raise PartError(problems)
    return made


def _unknown_origins(raw: Mapping[str, Any], name: str) -> list[Problem]:
    """Every source that the references do not hold, and every grade beside a value that is none."""
    exceptions = raw.get("fields")
    holders = [("", raw), ("fields.", exceptions if isinstance(exceptions, Mapping) else {})]
    named = {"": raw} | {
        f"{place}{field}.": each for place, holder in holders for field, each in holder.items() if _is_mapping(each)
    }
    problems: list[Problem] = []
    for path, each in named.items():
        grade = each.get("grade")
        if path and "value" in each and grade is not None and grade not in get_args(Grade):
            problems.append(Problem(f"'{grade}' is no grade", ", ".join(get_args(Grade)), path=f"{name}: {path}grade"))
        try:
            _ = Source(str(each["source"])) if each.get("source") else None
        except SourceError as error:
            problems += [Problem(e.what, e.allowed, e.mend, path=f"{name}: {path}source") for e in error.problems]
    return problems


def _is_mapping(raw: Any) -> bool:
    return isinstance(raw, Mapping)


def _with_sources(raw: Mapping[str, Any], name: str, kind: type[Part]) -> dict[str, Any]:
    """Each quantity as a mapping that says where it stands and how it is known; the rest as it is."""
    exceptions = raw.get("fields")
    result = dict(raw)
    for field, info in kind.model_fields.items():
        value = raw.get(field)
        if value is None or not expected(info):
            continue
        known = exceptions.get(field) if isinstance(exceptions, Mapping) else None
        known = known if isinstance(known, Mapping) else raw
        written = value if isinstance(value, Mapping) else {"value": value}
        defaults = {"how": "datasheet", "source": known.get("source"), "grade": known.get("grade")}
        if written.get("how") == "measured":
            defaults |= {"grade": "measured"}
        result[field] = defaults | dict(written)
        if "value" in written:
            result[field]["value"] = Written.at(str(written["value"]), f"{name}: {field}")
        if str(result[field]["source"]) not in references():
            result[field]["source"] = None
    return result


def _problem(name: str, kind: type[Part], error: dict[str, Any]) -> Problem:
    """One complaint of the schema in the workshop's words."""
    place = tuple(str(part) for part in error["loc"])
    path = f"{name}: {'.'.join(place)}".rstrip(": ")
    cause = error.get("ctx", {}).get("error")
    if isinstance(cause, QuantityError):
        first = cause.problems[0]
        return Problem(first.what, first.allowed, first.mend, path=path)
    model, info = _around(kind, place)
    allowed = wanted(place[-1], info) if info else "a number" if place and place[-1].isdigit() else ""
    if error["type"] == "missing":
        return Problem("is missing from the datasheet", allowed, f"add a line '{place[-1]}'", path)
    if error["type"] == "extra_forbidden":
        near = nearest(place[-1], model)
        whole = "this table" if len(place) > 1 else one(kind.model_fields["kind"].default)
        return Problem(f"is not known in {whole}", mend=f"write {near}" if near else "leave it out", path=path)
    if error["type"] == "value_error":
        return Problem(str(error["msg"]).removeprefix("Value error, "), path=path)
    return Problem(f"'{str(error['input'])[:40]}' is not what is asked here", allowed or str(error["msg"]), path=path)


def _around(kind: type[Frozen], place: tuple[str, ...]) -> tuple[type[Frozen], FieldInfo | None]:
    """The schema in which a place stands, and its field there."""
    model = kind
    for each in place[:-1]:
        info = model.model_fields.get(each)
        model = (table_of(info) if info else None) or model
    return model, model.model_fields.get(place[-1]) if place else None


@functools.cache
def catalogue() -> Shelf:
    """The shipped catalogue of invented generic parts."""
    folder = files("voltwright.parts").joinpath("catalogue")
    raw: dict[str, Mapping[str, Any]] = {}
    for entry in sorted(folder.iterdir(), key=lambda each: each.name):
        if entry.name.endswith(".json"):
            raw |= {each["id"]: each for each in json.loads(entry.read_text(encoding="utf-8"))}
        elif entry.name == "cells":
            sheets = (
                json.loads(each.read_text(encoding="utf-8")) for each in entry.iterdir() if each.name.endswith(".json")
            )
            raw |= {each["id"]: each for each in sheets}
    return Shelf(raw)


def shelf_beside(build_file: Path) -> Shelf:
    """The catalogue with the workshop's own parts in the folder `parts` beside a build file in front of it."""
    return shelf_with(build_file.parent / "parts")


def shelf_with(folder: Path) -> Shelf:
    """The catalogue with the workshop's own parts in a folder in front of it."""
    if not folder.is_dir():
        return catalogue()
    own: dict[str, Mapping[str, Any]] = {}
    for path in sorted(folder.glob("*.json")):
        raw = own_part(path)
        part_id = raw.get("id")
        if not isinstance(part_id, str) or "/" not in part_id:
            raise PartError(
                Problem(
                    f"{path.name} names no part",
                    "an id such as fuse/own-200a",
                    "import the datasheet again",
                    file=path.name,
                )
            )
        own[part_id] = raw
    return catalogue().with_own(own)


def own_part(path: Path) -> dict[str, Any]:
    """One stored datasheet. Raises PartError."""
    from voltwright.quantity.document import odd_character, read_text

    try:
        raw = json.loads(read_text(path, error=PartError))
    except (ValueError, RecursionError) as cause:
        raise PartError(
            Problem(f"{path.name} is not JSON: {cause}", mend="import the datasheet again", file=path.name)
        ) from None
    if not isinstance(raw, dict):
        raise PartError(Problem(f"{path.name} does not hold one part", file=path.name))
    for text in _texts(raw):
        odd = odd_character(text)
        if odd is not None:
            raise PartError(
                Problem(f"{path.name}: {odd.what}", odd.allowed, "import the datasheet again", file=path.name)
            )
    return cast(dict[str, Any], raw)


def _texts(value: Any) -> Iterator[str]:
    """Every text inside a JSON value, names included."""
    left: list[Any] = [value]
    while left:
        each = left.pop()
        if isinstance(each, str):
            yield each
        elif isinstance(each, list):
            left += cast(list[Any], each)
        elif isinstance(each, dict):
            left += [part for pair in cast(dict[str, Any], each).items() for part in pair]
