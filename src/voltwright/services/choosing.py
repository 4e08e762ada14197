"""Use cases of choosing a part: looking through the shelf, datasheets beside each other, and what a part would change."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from voltwright.build.field_words import field_words
from voltwright.build.paths import spot
from voltwright.build.reader import kind_at
from voltwright.build.writer import rewritten
from voltwright.parts.base import Part
from voltwright.parts.field_words import words_of
from voltwright.parts.kinds import KINDS, TITLES
from voltwright.parts.shelf import Shelf
from voltwright.quantity.entry import Entry, Expect
from voltwright.quantity.errors import PartError, Problem, QuantityError
from voltwright.quantity.figure import money
from voltwright.rules.comparison import beside
from voltwright.services.actor import Actor, use_case
from voltwright.services.cases import own_names, text_of
from voltwright.services.editing import as_typed
from voltwright.services.fitting import no_kind
from voltwright.services.form_walk import in_units, is_foreign, printed
from voltwright.services.shared import POINTS, Asked, Shared, System, Which
from voltwright.services.shelf_values import Column, columns_of, value_of
from voltwright.services.shown import other_view
from voltwright.services.stocking import part_row
from voltwright.services.views import (
    BesideView,
    Cell,
    FieldView,
    FormView,
    Line,
    OtherView,
    ShelfRow,
    ShelfView,
)

MOST_BESIDE = 4
TEXT = "text"


@dataclass(frozen=True)
class Choosing:
    """The shelf as one looks through it. Nothing is changed here."""

    _shared: Shared

    @use_case("choosing.shelf")
    def shelf(
        self,
        actor: Actor,
        kind: str = "",
        *,
        place: str = "",
        asked: Mapping[str, str] | None = None,
        system: System = "metric",
    ) -> ShelfView:
        """The parts of a kind, or of the kind that stands at a place of the build file.

        `asked`: `text` for words in title, id or remarks, and for a main value such as `mass` the ends `mass.least`, `mass.most`
        in any unit. Raises PartError where there is no such kind or place, or a filter is nonsense: the problem names it.
        """
        kind = kind_at(place) or kind
        if not kind and place:
            what = f"no part stands at '{place[:80]}'"
            raise PartError(Problem(what, "the path of a part in the build file", "choose a kind of part instead"))
        if kind and kind not in KINDS:
            raise no_kind(kind, sorted(KINDS))
        columns = columns_of(kind) if kind else ()
        known = {name: text.strip() for name, text in (asked or {}).items() if text.strip()}
        shelf, own = self._shared.stocked().shelf, self._shared.records.own_parts.shelved()
        parts = [shelf.any(each) for each in shelf.ids(kind)] if kind else []
        wanted = _wanted(columns, known, shelf)
        rows = tuple(_row(part, columns, shelf, own, system) for part in parts if all(each(part) for each in wanted))
        heads = tuple((each.name, each.label) for each in columns)
        label = field_words(place).label if place else ""
        return ShelfView(kind, tuple(TITLES.items()), place, label, heads, rows, len(parts), _filters(columns, known))

    @use_case("choosing.beside")
    def beside(self, actor: Actor, parts: Sequence[str], *, system: System = "metric") -> BesideView:
        """Datasheets of up to four parts of one kind, field by field. Raises PartError."""
        if not 1 <= len(set(parts)) <= MOST_BESIDE:
            what = f"{len(set(parts))} parts to put beside each other"
            raise PartError(Problem(what, f"1 to {MOST_BESIDE}", "choose those between which you have to decide"))
        shelf, own = self._shared.stocked().shelf, self._shared.records.own_parts.shelved()
        made = [shelf.any(each) for each in dict.fromkeys(parts)]
        if len({each.kind for each in made}) > 1:
            what = f"parts of different kinds: {', '.join(sorted({TITLES[each.kind] for each in made}))}"
            raise PartError(Problem(what, "parts of one kind", "compare one kind at a time"))
        return BesideView(tuple(part_row(each, own) for each in made), tuple(_lines(made, shelf, system)))

    @use_case("choosing.tried")
    def tried(self, actor: Actor, which: Which, changes: Mapping[str, Any], *, system: System = "metric") -> OtherView:
        """What would be otherwise with some changes, before anything is saved. Raises AbsentError, BuildError."""
        shared = self._shared
        built = shared.built(which)
        row = shared.records.cars.build(which.build)
        document = rewritten(built.document, as_typed(changes))
        changed = shared.read(document.text, row.car, row.name, document)
        asked = Asked(POINTS.bands, POINTS.search, system)
        return other_view(beside(shared.dossier(built, asked), shared.dossier(changed, asked)), system, changes)


Wanted = Callable[[Part], bool]


def _wanted(columns: Sequence[Column], asked: Mapping[str, str], shelf: Shelf) -> list[Wanted]:
    """A test for each filter. Raises PartError naming the filters that cannot be read."""
    known = {each.name: each for each in columns}
    problems, wanted = list[Problem](), list[Wanted]()
    for name, text in asked.items():
        column = known.get(name.rpartition(".")[0])
        if name == TEXT:
            wanted.append(_says(text))
        elif column is None or name.rpartition(".")[2] not in ("least", "most"):
            problems.append(Problem("is no filter of this kind of part", ", ".join(known), "take it out", name[:80]))
        else:
            try:
                wanted.append(_ranges(column, column.expect.read(text), name.endswith(".least"), shelf))
            except QuantityError as error:
                problems += [Problem(each.what, each.allowed, each.mend, name) for each in error.problems]
    if problems:
        raise PartError(problems)
    return wanted


def _says(text: str) -> Wanted:
    words = text.casefold().split()
    return lambda part: all(word in f"{part.title} {part.id} {part.remarks}".casefold() for word in words)


def _ranges(column: Column, end: Entry, least: bool, shelf: Shelf) -> Wanted:
    """A part that does not state the value is in no range of it, nor is a price in other money."""

    def inside(part: Part) -> bool:
        value, stated = value_of(part, column.name, shelf), getattr(part, column.name, None)
        if value is None or (end.unit.is_money and isinstance(stated, Entry) and stated.unit != end.unit):
            return False
        slack = 1e-9 * abs(value)
        return value >= end.value - slack if least else value <= end.value + slack

    return inside


def _filters(columns: Sequence[Column], asked: Mapping[str, str]) -> FormView:
    """A form of what can be asked: words, then both ends of each main value."""
    allowed = "words of the title, the id or the remarks; all of them must be there"
    fields = [_filter(TEXT, "Words", allowed, asked)]
    for each in columns:
        own = "; a price in other money is in no range" if each.name == "price" else ""
        words = f"{each.expect.allowed}{own}"
        for end, says in (("least", "at least"), ("most", "at most")):
            fields.append(_filter(f"{each.name}.{end}", f"{each.label}, {says}", words, asked))
    return FormView("", "Only those with", "", tuple(fields))


def _filter(name: str, label: str, allowed: str, asked: Mapping[str, str]) -> FieldView:
    typed = asked.get(name, "")
    return FieldView(name, name, label, "", "", allowed, "text", (), typed, "", "", "", required=False)


def _row(part: Part, columns: Iterable[Column], shelf: Shelf, own: Mapping[str, Any], system: System) -> ShelfRow:
    cells = tuple(_cell(part, each, shelf, system) for each in columns)
    return ShelfRow(part_row(part, own), part.grade, cells)


def _cell(part: Part, column: Column, shelf: Shelf, system: System) -> Cell:
    stated, value = getattr(part, column.name, None), value_of(part, column.name, shelf)
    if isinstance(stated, Entry):
        return Cell(_entry(stated, column.expect, system), float(stated.exact) if stated.unit.is_money else value)
    if value is None:
        return Cell("", None)
    return Cell(f"{value:g}" if column.expect.unit == "1" else printed(value, column.expect, system), value)


def _entry(entry: Entry, expect: Expect, system: System) -> str:
    if entry.unit.is_money:
        return money(float(entry.exact), entry.unit)
    return in_units(entry, expect, system) if is_foreign(entry, expect, system) else entry.text


def _lines(parts: Sequence[Part], shelf: Shelf, system: System) -> Iterator[Line]:
    """Price and every field that one of them states; what a module takes from its cell stands there too."""
    kind = parts[0].kind
    named = {name for part in parts for name in own_names(part)}
    computed = [each for each in columns_of(kind) if each.name not in named]
    for name, info in KINDS[kind].model_fields.items():
        if name in named:
            here = spot(info.annotation, tuple(info.metadata), info)
            cells = tuple(_text(part, name, here.expect, system) for part in parts)
            yield _line(words_of(kind, name).label, cells, [_compared(getattr(part, name)) for part in parts])
    for column in computed:
        found = [_cell(part, column, shelf, system) for part in parts]
        if any(each.printed for each in found):
            yield _line(column.label, tuple(each.printed for each in found), [each.key for each in found])
    grades = tuple(part.grade for part in parts)
    yield _line(words_of(kind, "grade").label, grades, list(grades))


def _line(label: str, cells: tuple[str, ...], values: Sequence[object]) -> Line:
    return Line(label, cells, any(each != values[0] for each in values))


def _compared(value: Any) -> object:
    """By what two values are the same: a quantity in SI, so that units do not differ."""
    if not isinstance(value, Entry):
        return value
    if value.unit.is_money:
        return value.exact, value.unit.spelling
    return tuple(map(_nine_digits, (value.value, value.spread.low, value.spread.high)))


def _nine_digits(value: float) -> float:
    """What two units make of one value differs in the last digits."""
    return float(f"{value:.9g}")


def _text(part: Part, name: str, expect: Expect | None, system: System) -> str:
    value = getattr(part, name)
    if value is None:
        return ""
    return _entry(value, expect, system) if isinstance(value, Entry) and expect else text_of(value)
