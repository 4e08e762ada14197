"""Use cases of editing: one place or many, or the whole text; nothing is saved that the reader refuses."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, get_origin

from voltwright.assess.case import Case
from voltwright.build.in_words import below
from voltwright.build.paths import Spot, spot_at
from voltwright.build.variants import changed_path, steps
from voltwright.build.writer import rewritten, shortened
from voltwright.quantity.document import Document, parse
from voltwright.quantity.errors import BuildError, Problem, VoltwrightError
from voltwright.records.drafts import WHOLE, Change
from voltwright.rules.second_pack import second_pack
from voltwright.services.actor import Actor, use_case
from voltwright.services.shared import Shared
from voltwright.services.views import Draft

MOST_CHANGES = 200  # in one edit
BETWEEN = "; "  # what stands between the items of a short list in one field of a form


@dataclass(frozen=True)
class Edits:
    """`since` is the number of the edit that the person saw. Where somebody saved in the meantime, each raises ConflictError."""

    _shared: Shared

    @use_case("edits.change")
    def change(self, actor: Actor, build: int, changes: Mapping[str, Any], *, since: int) -> Draft:
        """Set what stands at one path or more, each value as one would write it in the file, in any unit: `480 lb`.

        Raises BuildError saying where, what, what is allowed and how to mend it, and ConflictError.
        """
        return changed(self._shared, actor, build, changes, since)

    @use_case("edits.take_out")
    def take_out(self, actor: Actor, build: int, path: str, *, since: int) -> Draft:
        """Take out what stands at a path: a box, a trip, a variant. Raises BuildError, ConflictError."""
        before = _document(self._shared, build, since)
        after = shortened(before, path)
        change = Change(path, _at(before, path), None)
        return _saved(self._shared, actor, build, after.text, since, change, after)

    @use_case("edits.second_pack")
    def second_pack(self, actor: Actor, build: int, *, since: int) -> Draft:
        """Write a variant with a second pack in the load space: one more string, its box, monitors, fuses and cables.

        What it sets is assumed until it is measured. Raises BuildError, ConflictError.
        """
        shared = self._shared
        row = shared.records.cars.build(build)
        built = shared.read(shared.records.drafts.at(build, min(since, row.number)).text, row.car, row.name)
        name, variant = second_pack(Case(built.build, built.shelf, built.beside))
        return changed(shared, actor, build, {f"variants.{name}": variant}, since)

    @use_case("edits.write")
    def write(self, actor: Actor, build: int, text: str, *, since: int) -> Draft:
        """Put another text in place of the whole. Raises BuildError listing all that is wrong, ConflictError."""
        return _saved(self._shared, actor, build, text, since, WHOLE)

    @use_case("edits.undo")
    def undo(self, actor: Actor, build: int, *, since: int) -> Draft:
        """Take back the last edit that stands. Raises EntryError where none does, ConflictError."""
        shared = self._shared
        return shared.records.drafts.undo(build, since=since, who=actor.name, at=shared.clock())

    @use_case("edits.redo")
    def redo(self, actor: Actor, build: int, *, since: int) -> Draft:
        """Bring back what was taken back last. Raises EntryError where nothing was, ConflictError."""
        shared = self._shared
        return shared.records.drafts.redo(build, since=since, who=actor.name, at=shared.clock())


def changed(shared: Shared, actor: Actor, build: int, changes: Mapping[str, Any], since: int) -> Draft:
    """An edit of some paths, for whoever was allowed it already."""
    if not 1 <= len(changes) <= MOST_CHANGES:
        what = f"{len(changes)} changes in one edit"
        raise BuildError(Problem(what, f"1 to {MOST_CHANGES}", "write the whole text, or change less at once"))
    typed = as_typed(changes)
    before = _document(shared, build, since)
    after = rewritten(before, typed)
    return _saved(shared, actor, build, after.text, since, _told(before, typed), after)


def _saved(
    shared: Shared, actor: Actor, build: int, text: str, since: int, change: Change, document: Document | None = None
) -> Draft:
    """`document`: the text as it was parsed, where it was."""
    with shared.editing:
        row = shared.records.cars.build(build)
        if row.number == since:  # else it is refused and kept, right or wrong
            shared.read(text, row.car, row.name, document)
        return shared.records.drafts.save(build, text, since=since, who=actor.name, at=shared.clock(), change=change)


def _document(shared: Shared, build: int, since: int) -> Document:
    """The document from which an edit starts. Whoever saved it had it read, so that most often it is known.

    A number above the newest is that of a page which stood open over the return to a backup: the newest is the nearest to what
    its reader saw, and what is made of it is refused and kept.
    """
    row = shared.records.cars.build(build)
    text = shared.records.drafts.at(build, min(since, row.number)).text
    try:
        return shared.read(text, row.car, row.name).document
    except VoltwrightError:  # as when a part that it names was taken off the shelf; the edit may mend it
        return parse(text, row.name)


def as_typed(changes: Mapping[str, Any]) -> dict[str, Any]:
    """What a form hands over for paths of the build file, as it is written there."""
    return {path: as_written(spot_at(tuple(steps(changed_path(path)))), value) for path, value in changes.items()}


def as_written(here: Spot | None, value: Any) -> Any:
    """A form hands over texts. Where a list, a whole number, or true and false is wanted, that is what is written."""
    if here is None or not isinstance(value, str):
        return value
    text = value.strip()
    if get_origin(here.kind) is tuple:
        return _several(here, text)
    if here.kind is int and re.fullmatch(r"[-+]?[0-9]{1,15}", text):
        return int(text)
    if here.kind is bool and text in ("true", "false", "yes", "no"):
        return text in ("true", "yes")
    return value


def _several(here: Spot, text: str) -> list[Any]:
    """Items are parted by semicolons; plain numbers by spaces too, but for those of a table, whose rows are parted so."""
    inner = here.child(0)
    rows = [each.strip() for each in text.split(BETWEEN.strip()) if each.strip()]
    if inner is not None and get_origin(inner.kind) is tuple:
        return [each.split() for each in rows]
    return [word for each in rows for word in each.split()] if inner is not None and inner.kind is float else rows


def _told(before: Document, changes: Mapping[str, Any]) -> Change:
    """What the log says. Of several places it names as many as a line holds, and all values by their paths."""
    if len(changes) == 1:
        ((path, value),) = changes.items()
        return Change(path, _at(before, path), value)
    paths = ", ".join(changes)
    short = paths if len(paths) <= 200 else paths[:199] + "…"
    return Change(short, {path: _at(before, path) for path in changes}, dict(changes))


def _at(document: Document, path: str) -> Any:
    """What stands at a path of a document, or nothing."""
    here: Any = document.root
    for step in steps(path):
        here = below(here, step)
    return here
