"""From a file to a validated Build, or to a list of everything that is wrong with it."""

from __future__ import annotations

import difflib
import functools
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from importlib.resources import files
from itertools import islice
from pathlib import Path
from typing import Any, cast

from pydantic import ValidationError

from voltwright.build.beside import Beside, Folder, Home
from voltwright.build.complaints import MOST, problems_of
from voltwright.build.document import FORMAT, Build
from voltwright.build.variants import apply_variant, check_variants
from voltwright.parts.battery import Cell
from voltwright.parts.shelf import Shelf, catalogue, shelf_beside
from voltwright.parts.trips import Trip
from voltwright.quantity.document import Document, copied, parse, read_text
from voltwright.quantity.entry import Written
from voltwright.quantity.errors import BuildError, FormatError, PartError, Problem
from voltwright.quantity.refused import shown
from voltwright.quantity.words import one


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
    """A build with the document it was read from, the parts that it may use, and what the files beside it hold."""

    build: Build
    document: Document
    shelf: Shelf
    beside: Beside = field(default_factory=Beside)
    folder: Home | None = None

    @functools.cached_property
    def canonical(self) -> str:
        """The document in one spelling, whatever the order and the layout of the file."""
        return json.dumps(self.document.root, sort_keys=True, default=str)

    @property
    def traces(self) -> Mapping[str, Trip]:
        """The speed traces by the name of their journey in `duty.trips`."""
        return self.beside.traces


def load(path: str | Path) -> BuildFile:
    """Read a build file. Raises FileError, BuildError or FormatError listing every problem."""
    where = Path(path)
    return loads(read_text(where), file=where.name, shelf=shelf_beside(where), folder=where.parent)


def loads(text: str, file: str = "build.yaml", shelf: Shelf | None = None, folder: Home | None = None) -> BuildFile:
    """The same from a text; without a `folder`, or kept files in its stead, it may name no files beside it."""
    return from_document(parse(text, file), shelf or catalogue(), folder)


def from_document(document: Document, shelf: Shelf, folder: Home | None = None) -> BuildFile:
    """Validate a parsed document, its variants and the files that they name included. Raises as `load` does."""
    _must_be_our_format(document)
    build = make(document.root, document)
    _parts_must_exist(build, document, shelf)
    check_variants(build, document)
    files = Folder(folder)
    beside = files.read(build, document)
    for name in build.variants:
        _variant_must_be_valid(name, build, document, shelf, files)
    return BuildFile(build, document, shelf, beside, folder)


def variant_of(built: BuildFile, name: str) -> BuildFile:
    """The build with the changes of one of its variants, read anew. Raises BuildError naming the nearest where there is none."""
    known = list(built.build.variants)
    if name not in known:
        near = difflib.get_close_matches(name, known, n=1)
        what = f"the build has no variant '{name[:40]}'" if known else "the build has no variants"
        mend = f"write {near[0]}" if near else "add it to 'variants' in the build file"
        allowed = ", ".join(known) or "a name that stands under 'variants'"
        raise BuildError(
            Problem(what, allowed, mend, "variants", built.document.line_of("variants"), built.document.file)
        )
    root = apply_variant(built.document.root, built.build, name)
    build = make(root, built.document)
    beside = Folder(built.folder).read(build, built.document)
    return BuildFile(build, replace(built.document, root=root), built.shelf, beside, built.folder)


def make(root: Mapping[str, Any], document: Document) -> Build:
    """Plain data to a Build; what is not said is assumed, with its reason."""
    try:
        return Build.model_validate(with_defaults(root))
    except ValidationError as error:
        raise BuildError(problems_of(error.errors(), document)) from None


def with_defaults(root: Mapping[str, Any]) -> dict[str, Any]:
    """A copy in which every absent value that has a default stands as an assumption."""
    filled: dict[str, Any] = copied(root)
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
    version, line = document.root.get("voltwright"), document.line_of("voltwright")
    allowed, mend = f"voltwright: {FORMAT}", f"write a first line 'voltwright: {FORMAT}'"
    if version is None:
        what = "the file does not say for which format it was written"
    elif not isinstance(version, int) or isinstance(version, bool) or version < 1:
        what = f"{shown(version)} is not a format"
    elif version > FORMAT:
        what = f"the file is of format {version}; this Voltwright reads up to {FORMAT}"
        mend = "open it with a newer Voltwright"
    else:
        return
    raise FormatError(Problem(what, allowed, mend, "voltwright", line, document.file))


def _parts_must_exist(build: Build, document: Document, shelf: Shelf) -> None:
    problems = [replace(each, line=document.line_of(each.path), file=document.file) for each in _absent(build, shelf)]
    if problems:
        raise BuildError(problems)


def _absent(build: Build, shelf: Shelf) -> list[Problem]:
    """What is wrong with the parts that a build names, each once."""
    named = dict(build.part_ids()) | {f"costing.prices.{part_id}": part_id for part_id in build.costing.prices}
    found = (replace(each, path=path) for path, part_id in named.items() for each in _missing(shelf, path, part_id))
    return list(islice(found, MOST))


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
    "precharge_contactor": "contactor",
    "msd": "msd",
    "isolation_monitor": "isolation-monitor",
    "main_cable": "cable",
}


def kind_at(path: str) -> str:
    """The kind of part whose id a path must name; empty where it names none, or any."""
    is_price = path.startswith("costing.")
    return "" if is_price else _KIND_AT.get(path.removesuffix(".part").rpartition(".")[2], "")


def _missing(shelf: Shelf, path: str, part_id: str) -> Iterator[Problem]:
    wanted = kind_at(path)
    kind = part_id.split("/")[0]
    if wanted and kind != wanted:
        known = shelf.ids(wanted)
        near = difflib.get_close_matches(part_id, known, n=1, cutoff=0.1) or list(known[:1])
        yield Problem(f"'{part_id}' is {one(kind)} where {one(wanted)} is asked", ", ".join(known), f"write {near[0]}")
        return
    try:
        part = shelf.any(part_id)
        if part.kind == "module":
            shelf.take(str(getattr(part, "cell", "")), Cell)
    except PartError as error:
        allowed = "an id that 'voltwright parts list' shows"
        for each in error.problems:
            what = f"{each.path}: {each.what}" if each.path else each.what
            yield Problem(what, each.allowed or allowed, each.mend or "mend its datasheet and import it again")


def _variant_must_be_valid(name: str, build: Build, document: Document, shelf: Shelf, files: Folder) -> None:
    try:
        changed = make(apply_variant(document.root, build, name), document)
        problems = _absent(changed, shelf)
        _ = problems or files.read(changed, document)
    except BuildError as error:
        problems = error.problems
    if problems:
        raise BuildError([_in_variant(each, name, document) for each in problems])


def _in_variant(problem: Problem, name: str, document: Document) -> Problem:
    if problem.file not in ("", document.file):
        return replace(problem, what=f"{problem.what}, with the changes of variant {name}")
    path = f"variants.{name}.changes"
    here = f"{path}.{problem.path}"
    while here != path and here not in document.lines:
        here = here.rpartition(".")[0]
    what = f"with this variant's changes, {problem.path or 'the build'}: {problem.what}"
    at = here if here != path else f"variants.{name}"
    return replace(problem, what=what, path=at, line=document.line_of(here), file=document.file)
