"""Use cases of parts: the shelf with the workshop's own parts, what fits a build, and own parts from a datasheet."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from voltwright.build.field_words import field_words
from voltwright.parts.base import Frozen, Part
from voltwright.parts.datasheet import datasheet_of
from voltwright.parts.field_words import words_of
from voltwright.parts.kinds import KINDS, TITLES
from voltwright.parts.unlocks import unlocks
from voltwright.quantity.errors import EntryError, PartError, Problem
from voltwright.quantity.figure import money
from voltwright.quantity.frozen import ReadOnly
from voltwright.quantity.source import reference, references
from voltwright.quantity.units import Unit
from voltwright.rules.dossier import fingerprint_of
from voltwright.services.actor import Actor, use_case
from voltwright.services.cases import part_rows
from voltwright.services.fitting import Place, fitting_of, no_kind
from voltwright.services.jobs import Progress
from voltwright.services.shared import Shared, Which
from voltwright.services.shown import finding_view, job_view
from voltwright.services.views import FitView, JobView, OwnPart, PartField, PartRow, PartTable, PartView, PlaceView


@dataclass(frozen=True)
class Parts:
    """The shipped catalogue with the own parts in front of it."""

    _shared: Shared

    @use_case("parts.list")
    def list(self, actor: Actor, kind: str | None = None) -> tuple[PartRow, ...]:
        """The parts on the shelf, or those of a kind. Raises PartError where there is no such kind."""
        if kind is not None and kind not in KINDS:
            raise no_kind(kind, sorted(KINDS))
        shelf, own = self._shared.stocked().shelf, self._own()
        return tuple(part_row(shelf.any(each), own) for each in shelf.ids(kind))

    @use_case("parts.show")
    def show(self, actor: Actor, part: str) -> PartView:
        """A datasheet with the source and grade of each value. Raises PartError naming the nearest id."""
        return _view(self._shared.stocked().shelf.any(part), self._own())

    @use_case("parts.fitting")
    def fitting(self, actor: Actor, which: Which, kind: str) -> JobView:
        """Begin to try every part of a kind in its places; the job makes a tuple of PlaceView.

        Raises AbsentError, BuildError, PartError.
        """
        shared = self._shared
        built = shared.built(which)
        if kind not in KINDS:
            raise no_kind(kind, sorted(KINDS))
        key = ("fitting", kind, built.shelf.fingerprint_of_all, fingerprint_of(built))

        def work(progress: Progress) -> tuple[PlaceView, ...]:
            return shared.cache.get(key, lambda: tuple(map(_place, fitting_of(built, kind, progress))))

        return job_view(shared.jobs.begin(actor.name, f"Each {kind} tried in {built.build.title}", work, key=key))

    @use_case("parts.log")
    def log(self, actor: Actor, part: str) -> tuple[OwnPart, ...]:
        """Every datasheet that an own part has had, oldest first."""
        return self._shared.records.own_parts.log(part)

    @use_case("parts.put")
    def put(self, actor: Actor, datasheet: Mapping[str, Any], *, since: int = 0) -> PartView:
        """Put a part on the shelf from its datasheet; of one that is there it becomes the newer one.

        `since` is the number of the datasheet that the person saw, 0 for a new part.
        Raises PartError listing all that is wrong with it, and ConflictError where somebody saved another one meanwhile.
        """
        shared = self._shared
        sheet = datasheet_of(datasheet, shared.stocked().shelf)
        if sheet.part is None:
            raise PartError(sheet.problems)
        shared.records.own_parts.put(sheet.raw, since=since, who=actor.name, at=shared.clock())
        return _view(sheet.part, self._own())

    @use_case("parts.take_off")
    def take_off(self, actor: Actor, part: str) -> OwnPart:
        """Take an own part off the shelf. Raises AbsentError, and EntryError while a build of a car on the list names it."""
        shared = self._shared
        using = tuple(stands_in(shared, part)) if part in self._own() and not _shipped(part) else ()
        if using:
            what = f"'{part}' stands in {', '.join(using[:5])}{' and others' if len(using) > 5 else ''}"
            raise EntryError(Problem(what, "a part that no build names", "put another part there first"))
        return shared.records.own_parts.take_off(part, who=actor.name, at=shared.clock())

    def _own(self) -> Mapping[str, Any]:
        return self._shared.records.own_parts.shelved()


def stands_in(shared: Shared, part: str) -> Iterator[str]:
    """Builds and own modules in whose documents the id stands as a word."""
    word = re.compile(rf"(?<![\w./-]){re.escape(part)}(?![\w/-]|\.\w)")
    records = shared.records
    for car in records.cars.list():
        for build in records.cars.open(car.id).builds:
            if word.search(records.drafts.now(build.id).text):
                yield f"{car.name}: {build.name}"
    for other, sheet in records.own_parts.shelved().items():
        if other != part and sheet.get("cell") == part:
            yield other


def _shipped(part: str) -> bool:
    """Whether the catalogue has a part of that id, which would stand in its place."""
    from voltwright.parts.shelf import catalogue

    return part in catalogue()


def part_row(part: Part, own: Mapping[str, Any]) -> PartRow:
    """A part as it stands in a list of the shelf."""
    price = part.price
    shown = money(float(price.exact), price.unit) if price else "no price"
    return PartRow(part.id, part.kind, TITLES[part.kind], part.title, shown, part.id in own)


def _view(part: Part, own: Mapping[str, Any]) -> PartView:
    fields = tuple(
        PartField(words_of(part.kind, name).label, value, known)
        for name, value, known in part_rows(part)
        if not isinstance(getattr(part, name), Frozen)
    )
    return PartView(
        part_row(part, own),
        part.remarks,
        fields,
        tuple(unlocks(part)),
        tuple(_tables(part)),
        str(reference(part.source)) if part.source in references() else part.source,
        part.grade == "invented",
    )


def _tables(part: Part) -> Iterator[PartTable]:
    """Tables of a datasheet; of one that is a grid the second column gives the heads of all that follow."""
    for name in type(part).model_fields:
        value = getattr(part, name)
        if not isinstance(value, Frozen):
            continue
        title, (first, *others) = words_of(part.kind, name).label, value.model_dump().items()
        heads = [words_of(part.kind, f"{name}.{each}").label for each, _ in (first, *others)]
        rows: list[tuple[Any, ...]]
        if isinstance(others[-1][1][0], tuple):
            heads = [heads[0], *(f"{heads[2]} · {heads[1]}: {_number(each)}" for each in others[0][1])]
            rows = [(key, *row) for key, row in zip(first[1], others[1][1], strict=True)]
        else:
            rows = list(zip(first[1], *(each for _, each in others), strict=True))
        yield PartTable(title, tuple(heads), tuple(tuple(map(_number, row)) for row in rows))


def _number(value: float) -> str:
    return f"{value:g}"


def _place(place: Place) -> PlaceView:
    fits = tuple(
        FitView(
            each.id,
            each.title,
            "no price" if each.price is None else money(float(each.price), Unit(place.currency)),
            each.now,
            each.suits,
            tuple(map(finding_view, each.reasons)),
            each.broken,
            ReadOnly({place.path: each.id, **each.also}),
        )
        for each in place.fits
    )
    return PlaceView(
        place.path, field_words(place.path).label, place.kind, fits, tuple(map(finding_view, place.whatever))
    )
