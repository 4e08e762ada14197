"""Use cases of own datasheets: a form for each kind of part, a file that is read into it, and what became of a part."""

from __future__ import annotations

import copy
import re
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, cast, get_origin

from pydantic.fields import FieldInfo

from voltwright.build.paths import Spot, spot
from voltwright.build.variants import put, take_out
from voltwright.parts.base import Part
from voltwright.parts.datasheet import Datasheet, datasheet_in, datasheet_of
from voltwright.parts.field_words import field_words, words_of
from voltwright.parts.fields import own_fields
from voltwright.parts.kinds import KINDS, kind_of
from voltwright.parts.shelf import Shelf
from voltwright.quantity.entry import Entry
from voltwright.quantity.errors import AbsentError, PartError, Problem, QuantityError
from voltwright.quantity.frozen import ReadOnly
from voltwright.services.actor import Actor, use_case
from voltwright.services.editing import BETWEEN, as_written
from voltwright.services.fitting import no_kind
from voltwright.services.form_walk import Walk, Words
from voltwright.services.shared import Shared, System
from voltwright.services.stocking import stands_in
from voltwright.services.views import AwayRow, FieldView, FormView, SheetView

OWN = "own-datasheet"
_LONGEST_ID = 80
_ABOUT = ("source", "grade", "remarks", "fields")


@dataclass(frozen=True)
class Sheets:
    """Nothing is on the shelf before it is put there (`parts.put`)."""

    _shared: Shared

    @use_case("sheets.fill")
    def fill(
        self,
        actor: Actor,
        kind: str,
        raw: Mapping[str, Any],
        *,
        changes: Mapping[str, Any] | None = None,
        without: str = "",
        new: bool = True,
        system: System = "metric",
    ) -> SheetView:
        """A datasheet that is being written, with some changes by their paths, or without what stands at one.

        Raises PartError where there is no such kind, and BuildError where a path cannot be.
        """
        if kind not in KINDS:
            raise no_kind(kind, sorted(KINDS))
        root, here = copy.deepcopy(dict(raw)), Spot(KINDS[kind])
        for path, value in (changes or {}).items():
            put(root, path, as_written(_below(here, path), value))
        if without and _stands(root, without):
            take_out(root, without)
        return _view(kind, root, self._shared.stocked().shelf, new, system)

    @use_case("sheets.open")
    def open(self, actor: Actor, part: str, *, system: System = "metric") -> SheetView:
        """The datasheet of an own part as it stands, also of one that was put away. Raises AbsentError."""
        log = self._shared.records.own_parts.log(part)
        sheet = next((each.document for each in reversed(log) if each.document), None)
        if sheet is None:
            raise AbsentError(Problem(f"'{part[:80]}' is no own part", "a part that was entered here", "enter it"))
        view = _view(str(sheet["kind"]), dict(sheet), self._shared.stocked().shelf, False, system)
        return replace(view, number=log[-1].number)

    @use_case("sheets.read")
    def read(self, actor: Actor, name: str, content: bytes, *, system: System = "metric") -> SheetView:
        """A datasheet from a file (YAML, JSON or CSV), for the form: what is wrong in it stands beside the fields.

        Raises PartError where the file cannot be read, or names no kind of part.
        """
        shelf = self._shared.stocked().shelf
        raw = datasheet_in(name.replace("\\", "/").rpartition("/")[2][:120], content, shelf).raw
        kind = kind_of(raw)
        if kind is None:
            what = "the file does not say of which kind the part is"
            raise PartError(Problem(what, ", ".join(KINDS), "add a line such as 'kind: fuse'", "kind", file=name[:120]))
        return _view(str(kind.model_fields["kind"].default), raw, shelf, True, system)

    @use_case("sheets.stands_in")
    def stands_in(self, actor: Actor, part: str) -> tuple[str, ...]:
        """The builds, and own modules, that name an own part."""
        return tuple(stands_in(self._shared, part))

    @use_case("sheets.away")
    def away(self, actor: Actor) -> tuple[AwayRow, ...]:
        """The own parts that were put away; `sheets.open` has their last datasheets."""
        records = self._shared.records.own_parts
        logs = (records.log(each) for each in records.put_away())
        return tuple(AwayRow(log[-1].part, _last_title(log), log[-1].at, log[-1].who) for log in logs)


def _last_title(log: tuple[Any, ...]) -> str:
    return next((str(each.document["title"]) for each in reversed(log) if each.document), "")


def _view(kind: str, raw: dict[str, Any], shelf: Shelf, new: bool, system: System) -> SheetView:
    whole = {"source": OWN, "grade": "datasheet"} | raw | {"kind": kind}
    if not raw.get("id"):
        whole["id"] = _proposed(kind, str(raw.get("title") or ""), shelf)
    made = datasheet_of(whole, shelf)
    problems, missing = list[Problem](), list[Problem]()
    for each in _told(made, raw, new, shelf):
        (problems if _stands(raw, each.path) or each.path.split(".")[0] in raw else missing).append(each)
    title = str(KINDS[kind].__doc__ or kind).strip().splitlines()[0]
    return SheetView(
        kind,
        title,
        new,
        ReadOnly(raw),
        ReadOnly(made.raw if made.part else whole),
        tuple(_forms(kind, raw, whole, shelf, new, system)),
        tuple(problems),
        tuple(missing),
        made.unlocks,
    )


def _told(made: Datasheet, raw: Mapping[str, Any], new: bool, shelf: Shelf) -> Iterator[Problem]:
    """All that is wrong, in the words of a form; and an id that another part has already."""
    for each in made.problems:
        yield replace(each, mend="fill it in") if each.mend.startswith("add a line '") else each
    if new and raw.get("id") in shelf:
        what = f"there is a part {raw['id']} already"
        yield Problem(what, "an id that is free", "choose another, or change that part where it stands", "id")


def _proposed(kind: str, title: str, shelf: Shelf) -> str:
    """An id that is free, from the title."""
    plain = unicodedata.normalize("NFKD", title.lower()).encode("ascii", "ignore").decode()
    words = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[: _LONGEST_ID - len(kind) - 8].strip("-")
    first = f"{kind}/own-{words}" if words else f"{kind}/own"
    names = [first, *(f"{first}-{number}" for number in range(2, 1000))]
    return next(each for each in names if each not in shelf)


def _stands(raw: Mapping[str, Any], path: str) -> bool:
    """Whether something is written at a path."""
    here: Any = raw
    for step in path.split("."):
        if not isinstance(here, Mapping) or step not in here:
            return False
        here = cast(Mapping[str, Any], here)[step]
    return True


def _below(here: Spot, path: str) -> Spot | None:
    """What may stand at a path of a datasheet."""
    found: Spot | None = here
    for step in path.split("."):
        found = found.child(step) if found else None
    return found


@dataclass(frozen=True)
class _PartWords:
    """The words of one kind of part."""

    kind: str
    shelf: Shelf

    def field(self, path: str, here: Spot) -> Words:
        known = words_of(self.kind, _without_name(path))
        choices = tuple(known.choices.items())
        if path == "cell":
            choices = tuple((each, self.shelf.any(each).title) for each in self.shelf.ids("cell"))
        return Words(known.label, _with_labels(self.kind, known.means), "", "", self._allowed(here), choices)

    def group(self, path: str) -> tuple[str, str]:
        return words_of(self.kind, path.split(".")[0]).label, "figure"

    def is_assumed(self, path: str) -> bool:
        return path in ("id", "source", "grade")

    def is_part(self, path: str) -> bool:
        return False

    def label(self, path: str, name: str) -> str:
        return name

    def told(self, path: str, value: Any) -> str:
        return ""

    def called(self, item: Any) -> str:
        return ""

    def _allowed(self, here: Spot) -> str:
        said = here.words
        if get_origin(here.kind) is tuple:
            inner = here.child(0)
            rows = inner is not None and get_origin(inner.kind) is tuple
            said = "rows parted by semicolons, numbers by spaces" if rows else f"several, parted by '{BETWEEN.strip()}'"
        elif here.kind is bool:
            said = "yes or no"
        default = here.info.default if here.info and not here.info.is_required() else None
        if default is None or default == "" or not isinstance(default, (bool, int, str)):
            return said
        words = ("no", "yes")[default] if isinstance(default, bool) else default
        return f"{said}; left out, it counts as {words}"


def _without_name(path: str) -> str:
    """`fields` is a map: below it stands the name of another field, which is passed over."""
    steps = path.split(".")
    return ".".join([steps[0], *steps[2:]]) if steps[0] == "fields" and len(steps) > 2 else path


def _with_labels(kind: str, means: str) -> str:
    """The reference page names other fields by their names in a file; here they have their labels."""

    def label(found: re.Match[str]) -> str:
        name = found[1]
        return words_of(kind, name).label.lower() if name in field_words() else name

    return re.sub(r"`([^`]+)`", label, means)


def _forms(
    kind: str, raw: Mapping[str, Any], whole: Mapping[str, Any], shelf: Shelf, new: bool, system: System
) -> Iterator[FormView]:
    """What a part needs, what is worth adding, and from where it is known."""
    model, walk = KINDS[kind], Walk(system, _PartWords(kind, shelf))
    own = own_fields(model)
    head = ["title", *(["id"] if new else []), "mass", "price"]
    names = [name for name in (*head, *own) if name != "kind"]
    needed = [each for each in names if each in head or model.model_fields[each].is_required()]
    for title, chosen in (
        ("From the datasheet", needed),
        ("More, where the maker says it", [each for each in names if each not in needed]),
        ("How the figures are known", list(_ABOUT)),
    ):
        fields, groups = list[FieldView](), list[FormView]()
        for name in chosen:
            here = _spot(model.model_fields[name])
            value = raw.get(name)
            if name == "fields":
                groups.append(_exceptions(kind, walk, here, value))
            elif here.model:
                groups.append(walk.group(here, name, value, None))
            else:
                fields.append(_shown(walk.field(here, name, value, _read(here, value)), whole))
        if fields or groups:
            yield FormView("", title, "", tuple(fields), tuple(groups))


def _spot(info: FieldInfo) -> Spot:
    return spot(info.annotation, tuple(info.metadata), info)


def _shown(view: FieldView, whole: Mapping[str, Any]) -> FieldView:
    """What is taken where nothing is written: the id from the title, the workshop's own datasheet as the source."""
    return (
        view if view.typed or view.path not in ("id", "source", "grade") else replace(view, shown=str(whole[view.path]))
    )


def _read(here: Spot, value: Any) -> Entry | None:
    """A quantity as it was read, so that it can be shown in the reader's units; nothing while it is nonsense."""
    if here.expect is None or value is None:
        return None
    try:
        return here.expect.read(value)
    except QuantityError:
        return None


def _exceptions(kind: str, walk: Walk, here: Spot, value: Any) -> FormView:
    """The figures whose source or grade is another than that of the whole."""
    model: type[Part] = KINDS[kind]
    taken = cast(dict[str, Any], value) if isinstance(value, dict) else dict[str, Any]()
    names = [each for each in model.model_fields if each not in (*_ABOUT, "id", "kind", "title") and each not in taken]
    made = walk.group(here, "fields", value, None)
    return replace(made, names=tuple((each, words_of(kind, each).label) for each in names))
