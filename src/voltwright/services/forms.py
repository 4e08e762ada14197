"""The fields of a build as a page shows them: one for every place of the schema that may be written."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal, cast, get_args, get_origin

from pydantic import BaseModel

from voltwright.build.field_words import field_words, group_words
from voltwright.build.paths import Spot, spot_at
from voltwright.build.reader import BuildFile, defaults, kind_at
from voltwright.build.variants import steps
from voltwright.quantity.entry import Entry
from voltwright.quantity.figure import fixed, unit_name
from voltwright.quantity.units import Unit, preferred
from voltwright.services.actor import Actor, use_case
from voltwright.services.editing import BETWEEN
from voltwright.services.shared import Shared, System, Which
from voltwright.services.views import FieldKind, FieldView, FormView

DIGITS = 4  # as many as a workshop measures


@dataclass(frozen=True)
class Forms:
    """What stands in a build, what is assumed instead, and what may be written."""

    _shared: Shared

    @use_case("forms.show")
    def show(
        self, actor: Actor, which: Which, paths: Sequence[str], *, system: System = "metric"
    ) -> tuple[FormView, ...]:
        """The sections at some paths of the document, such as `donor` and `pack`. Raises AbsentError, BuildError."""
        return tuple(forms_of(self._shared.built(which), paths, system))


def forms_of(built: BuildFile, paths: Sequence[str], system: System = "metric") -> Iterator[FormView]:
    """A form for each path; single values at the top of the document share the first one."""
    walk, root = _Walk(system), built.document.root
    single = tuple(path for path in paths if not _holds_more(_at(path)))
    if single:
        fields = tuple(walk.field(_at(each), each, root.get(each), getattr(built.build, each)) for each in single)
        yield FormView("", "The build", "", fields=fields)
    for path in paths:
        if path not in single:
            yield walk.group(_at(path), path, root.get(path), getattr(built.build, path))


@cache
def _assumed() -> frozenset[str]:
    """The paths at which something is assumed where nothing is said."""
    return frozenset(each.path for each in defaults())


def _at(path: str) -> Spot:
    found = spot_at(tuple(steps(path)))
    assert found is not None, path
    return found


def _holds_more(here: Spot) -> bool:
    """Whether fields of their own stand below, as against one field."""
    if here.model or get_origin(here.kind) is dict:
        return True
    return get_origin(here.kind) is tuple and _inner(here).model is not None


def _inner(here: Spot) -> Spot:
    found = here.child(0)
    assert found is not None
    return found


@dataclass(frozen=True)
class _Walk:
    """Down the schema, beside it what the document says (`raw`) and what was made of it (`made`)."""

    system: System

    def group(self, here: Spot, path: str, raw: Any, made: Any, name: str = "") -> FormView:
        if not here.model:
            return self._several(here, path, raw, made)
        words = group_words(path)
        fields, groups = list[FieldView](), list[FormView]()
        for each in here.names:
            child, below = here.child(each), f"{path}.{each}"
            assert child is not None
            inside = _below(raw, each)
            value = getattr(made, each) if isinstance(made, BaseModel) else None
            if _holds_more(child):
                groups.append(self.group(child, below, inside, value))
            else:
                fields.append(self.field(child, below, inside, value))
        together = raw is None and sum(each.required for each in fields) > 0
        return FormView(path, name or words.title, "", tuple(fields), tuple(groups), together=together)

    def _several(self, here: Spot, path: str, raw: Any, made: Any) -> FormView:
        """A list or a map: a form or a field for each item, and an empty one for the next."""
        words, inner = group_words(path), _inner(here)
        is_map = get_origin(here.kind) is dict
        known: Any = raw if raw is not None else {} if is_map else []
        names = list(known) if is_map else list(range(len(known)))
        empty = f"{path}.{'' if is_map else len(names)}"
        if not inner.model:
            fields = tuple(self.field(inner, f"{path}.{each}", known[each], None, str(each)) for each in names)
            return FormView(path, words.title, words.one, fields, (), is_map=is_map, removable=True)
        groups = tuple(
            self.group(inner, f"{path}.{each}", known[each], made[each] if made else None, _called(known[each], each))
            for each in names
        )
        new = self.group(inner, empty, None, None, f"A further {words.one}")
        return FormView(path, words.title, words.one, (), groups, new=new, is_map=is_map, removable=True)

    def field(self, here: Spot, path: str, raw: Any, made: Any, label: str = "") -> FieldView:
        pattern_known = path in _assumed()
        words = field_words(path)
        is_told = isinstance(raw, Mapping) and here.expect is not None
        value: object = _below(raw, "value") if is_told else cast(object, raw)
        how, note = self._known(raw, made)
        return FieldView(
            path,
            f"{path}.value" if is_told else path,
            label or words.label,
            words.why,
            words.measure,
            here.words,
            _kind(here, path),
            _choices(here),
            _typed(value),
            self._shown(here, value, made),
            how,
            note,
            required=bool(here.info and here.info.is_required() and not pattern_known),
        )

    def _known(self, raw: Any, made: Any) -> tuple[str, str]:
        """How the value is known, and the reason that stands with it."""
        if isinstance(made, Entry):
            return made.origin.how, made.origin.reason
        return ("entered" if raw is not None else ""), ""

    def _shown(self, here: Spot, typed: Any, made: Any) -> str:
        """What is assumed where nothing is typed; else the value in the reader's units where it was typed in others."""
        if isinstance(made, Entry):
            return in_units(made, here, self.system) if typed is None or _is_foreign(made, here, self.system) else ""
        if typed is not None or made is None or made == () or isinstance(made, (Mapping, BaseModel)):
            return ""
        return _typed(made)


def _is_foreign(entry: Entry, here: Spot, system: System) -> bool:
    """Whether it was typed in a unit that the reader does not use; Ω for mΩ is nobody's trouble."""
    assert here.expect is not None
    if entry.unit.is_money:
        return False
    wanted = preferred(Unit(here.expect.unit), system)
    ratio = (entry.unit.to_si(1.0) - entry.unit.to_si(0.0)) / (wanted.to_si(1.0) - wanted.to_si(0.0))
    power = math.log10(abs(ratio)) if ratio else 0.5
    return abs(power - round(power)) > 1e-9 or (entry.unit.to_si(0.0) != wanted.to_si(0.0))


def in_units(entry: Entry, here: Spot, system: System) -> str:
    """A quantity in the reader's unit, to the digits that a workshop measures; money as it was typed."""
    assert here.expect is not None
    if entry.unit.is_money:
        return entry.text
    unit = preferred(Unit(here.expect.unit), system)
    from_si = unit.difference_from_si if here.expect.difference else unit.from_si
    value = from_si(entry.value)
    return f"{_digits(value)} {unit_name(unit)}".strip()


def _digits(value: float) -> str:
    places = DIGITS - 1 - math.floor(math.log10(abs(value))) if value else 0
    text = fixed(value, min(max(places, 0), 8))
    return text.rstrip("0").rstrip(".") if "." in text else text


def _below(raw: Any, name: str) -> Any:
    """What stands under a name, where names stand here at all."""
    return cast(Mapping[str, Any], raw).get(name) if isinstance(raw, Mapping) else None


def _called(item: Any, index: Any) -> str:
    """How an item is told from its neighbours."""
    name = _below(item, "name") or _below(item, "part")
    return str(name or (index if isinstance(index, str) else index + 1))


def _typed(value: Any) -> str:
    """A value of the document as it stands in a field."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (list, tuple)):
        return BETWEEN.join(_typed(each) for each in cast(Sequence[Any], value))
    return str(cast(object, value))


def _kind(here: Spot, path: str) -> FieldKind:
    if here.expect:
        return "quantity"
    if kind_at(path):
        return "part"
    if get_origin(here.kind) is Literal:
        return "choice"
    if get_origin(here.kind) is tuple:
        return "several"
    return "yes-no" if here.kind is bool else "number" if here.kind in (int, float) else "text"


def _choices(here: Spot) -> tuple[str, ...]:
    if get_origin(here.kind) is Literal:
        return tuple(str(each) for each in get_args(here.kind))
    return ("yes", "no") if here.kind is bool else ()
