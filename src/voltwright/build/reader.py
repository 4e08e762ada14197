"""From a file to a validated Build, or to a list of everything that is wrong with it."""

from __future__ import annotations

import copy
import difflib
import functools
import json
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Any, cast

from pydantic import ValidationError

from voltwright.build.document import FORMAT, Build
from voltwright.build.paths import fields_at
from voltwright.build.variants import apply_variant, check_variants
from voltwright.parts.shelf import Shelf, catalogue, shelf_beside
from voltwright.quantity.document import Document, parse, read_text
from voltwright.quantity.entry import Written
from voltwright.quantity.errors import BuildError, FormatError, PartError, Problem, QuantityError, SourceError


@dataclass(frozen=True)
class Default:
    """What is assumed where the document says nothing; `measure` tells how the workshop finds out."""

    path: str
    note: str
    source: str
    measure: str
    value: str = ""
    by_body: Mapping[str, str] | None = None

    def text(self, body: str) -> str:
        return self.by_body.get(body, self.by_body["other"]) if self.by_body else self.value


@functools.cache
def defaults() -> tuple[Default, ...]:
    raw = json.loads(files("voltwright.build").joinpath("defaults.json").read_text(encoding="utf-8"))
    return tuple(Default(**each) for each in raw)


@dataclass(frozen=True)
class BuildFile:
    """A build with the document it was read from and the parts that it may use."""

    build: Build
    document: Document
    shelf: Shelf


def load(path: str | Path) -> BuildFile:
    """Read a build file. Raises FileError, BuildError or FormatError listing every problem."""
    where = Path(path)
    return loads(read_text(where), file=where.name, shelf=shelf_beside(where))


def loads(text: str, file: str = "build.yaml", shelf: Shelf | None = None) -> BuildFile:
    """The same from a text."""
    document = parse(text, file)
    _must_be_our_format(document)
    return from_document(document, shelf or catalogue())


def from_document(document: Document, shelf: Shelf) -> BuildFile:
    """Validate a parsed document, its variants included."""
    build = make(document.root, document)
    _parts_must_exist(build, document, shelf)
    check_variants(build, document)
    for name in build.variants:
        _variant_must_be_valid(name, build, document)
    return BuildFile(build, document, shelf)


def make(root: Mapping[str, Any], document: Document) -> Build:
    """Plain data to a Build; what is not said is assumed, with its reason."""
    filled = with_defaults(root)
    try:
        return Build.model_validate(filled)
    except ValidationError as error:
        raise BuildError([_problem(cast(dict[str, Any], each), document, filled) for each in error.errors()]) from None
    except SourceError as error:
        raise BuildError(
            [Problem(each.what, each.allowed, each.mend, file=document.file) for each in error.problems]
        ) from None


def with_defaults(root: Mapping[str, Any]) -> dict[str, Any]:
    """A copy in which every absent value that has a default stands as an assumption."""
    filled = copy.deepcopy(dict(root))
    donor = filled.get("donor")
    body = str(cast(dict[str, Any], donor).get("body", "other")) if isinstance(donor, dict) else "other"
    for default in defaults():
        _fill(filled, default, body)
    return filled


def _fill(filled: dict[str, Any], default: Default, body: str) -> None:
    *parents, name = default.path.split(".")
    place = filled
    for parent in parents:
        child = place.setdefault(parent, {})
        if child is None:
            child = place[parent] = {}
        if not isinstance(child, dict):
            return
        place = cast(dict[str, Any], child)
    if place.get(name) is None:
        text = Written.at(default.text(body), default.path)
        place[name] = {"value": text, "how": "assumed", "note": default.note, "source": default.source}


def _must_be_our_format(document: Document) -> None:
    version = document.root.get("voltwright")
    line = document.line_of("voltwright") if "voltwright" in document.root else None
    if version is None:
        raise FormatError(
            Problem(
                "the file does not say for which format it was written",
                mend="add a first line 'voltwright: 1'",
                file=document.file,
            )
        )
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        raise FormatError(
            Problem(f"'{str(version)[:40]}' is not a format", allowed="voltwright: 1", file=document.file, line=line)
        )
    if version > FORMAT:
        raise FormatError(
            Problem(
                f"the file is of format {version}; this Voltwright reads up to {FORMAT}",
                mend="open it with a newer Voltwright",
                file=document.file,
                line=line,
            )
        )


def _parts_must_exist(build: Build, document: Document, shelf: Shelf) -> None:
    problems = [
        Problem(each.what, each.allowed, each.mend, path, document.line_of(path), document.file)
        for path, part_id in build.part_ids()
        for each in _missing(shelf, path, part_id)
    ]
    problems += [
        Problem(
            f"no part has the id '{part_id}'",
            path=f"costing.prices.{part_id}",
            line=document.line_of("costing.prices"),
            file=document.file,
        )
        for part_id in build.costing.prices
        if part_id not in shelf
    ]
    if problems:
        raise BuildError(problems)


_KIND_AT = {
    "module": "module",
    "motor": "motor",
    "inverter": "inverter",
    "gear_unit": "gear-unit",
    "charger": "charger",
    "dc_dc": "dc-dc",
    "battery": "battery-12v",
    "cabin_heater": "heater",
    "pack_heater": "heater",
    "bms": "bms",
    "inlet": "inlet",
    "fuse": "fuse",
    "contactor": "contactor",
    "msd": "msd",
    "isolation_monitor": "isolation-monitor",
    "main_cable": "cable",
}


def _missing(shelf: Shelf, path: str, part_id: str) -> tuple[Problem, ...]:
    wanted = _KIND_AT.get(path.removesuffix(".part").rpartition(".")[2])
    kind = part_id.split("/")[0]
    if wanted and kind != wanted:
        near = ", ".join(shelf.ids(wanted)[:4])
        return (Problem(f"'{part_id}' is a {kind} where a {wanted} is asked", allowed=near),)
    try:
        part = shelf.any(part_id)
        if part.kind == "module":
            shelf.any(str(getattr(part, "cell", "")))
    except PartError as error:
        return error.problems
    return ()


def _variant_must_be_valid(name: str, build: Build, document: Document) -> None:
    changed = apply_variant(document.root, build, name)
    try:
        make(changed, document)
    except BuildError as error:
        line = document.line_of(f"variants.{name}")
        raise BuildError(
            [
                Problem(
                    f"with its changes, {each.path or 'the build'}: {each.what}",
                    each.allowed,
                    each.mend,
                    f"variants.{name}",
                    line,
                    document.file,
                )
                for each in error.problems
            ]
        ) from None


_WORDS = {
    "missing": ("is missing", "", "add it"),
    "extra_forbidden": ("is not known here", "", ""),
    "string_type": ("should be a text", "a text", ""),
    "int_parsing": ("should be a whole number", "a whole number such as 8", ""),
    "int_type": ("should be a whole number", "a whole number such as 8", ""),
    "bool_type": ("should be true or false", "true, false", ""),
}


def _problem(error: dict[str, Any], document: Document, filled: Mapping[str, Any]) -> Problem:
    loc = tuple(error["loc"])
    path = ".".join(str(part) for part in loc if part != "[key]")
    line = document.line_of(path)
    value = error.get("input")
    cause = error.get("ctx", {}).get("error")
    if isinstance(cause, QuantityError):
        first = cause.problems[0]
        return Problem(first.what, first.allowed, first.mend, path, line, document.file)
    kind = error["type"]
    if kind == "extra_forbidden":
        return Problem(f"'{loc[-1]}' is not known here", *_near(loc), path, line, document.file)
    if kind == "missing":
        return Problem("this is missing", "", f"add '{loc[-1]}: ...'", path, line, document.file)
    what, allowed, mend = _WORDS.get(kind, (str(error["msg"]).removeprefix("Value error, "), "", ""))
    shown = f"{_short(value)} " if value is not None and not isinstance(value, (dict, list)) else ""
    if kind == "literal_error":
        what, allowed = "is not one of the words allowed here", str(error["ctx"]["expected"]).replace("'", "")
    return Problem(f"{shown}{what}".strip(), allowed, mend, path, line, document.file)


def _near(loc: tuple[Any, ...]) -> tuple[str, str]:
    known = fields_at(loc[:-1])
    near = difflib.get_close_matches(str(loc[-1]), known, n=2, cutoff=0.5)
    mend = f"write {' or '.join(near)}" if near else "take it out, or see the reference of the build file"
    return ", ".join(known[:12]), mend


def _short(raw: Any) -> str:
    text = f"'{raw}'"
    return text if len(text) <= 60 else text[:58] + "…'"
