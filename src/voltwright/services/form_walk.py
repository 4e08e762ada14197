"""Draws the fields of any schema of the house: down its places, beside them what was written and what was made of it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal, Protocol, cast, get_args, get_origin

from pydantic import BaseModel

from voltwright.build.paths import Spot
from voltwright.quantity.entry import Entry, Expect
from voltwright.quantity.figure import fixed, unit_name
from voltwright.quantity.units import Unit, preferred
from voltwright.services.editing import BETWEEN
from voltwright.services.form_views import Choices
from voltwright.services.shared import System
from voltwright.services.views import FieldKind, FieldView, FormView

DIGITS = 4  # as many as a workshop measures


@dataclass(frozen=True)
class Words:
    """Of one field: its name, what it is, what rests on it, how to find it out, and what may be written."""

    label: str
    means: str
    why: str
    measure: str
    allowed: str
    choices: Choices = ()


class Vocabulary(Protocol):
    """What a schema says of its places to people."""

    def field(self, path: str, here: Spot) -> Words: ...

    def group(self, path: str) -> tuple[str, str]:
        """The title of a section, list or map, and what one item of it is called."""
        ...

    def is_assumed(self, path: str) -> bool:
        """Whether something is assumed where nothing is said."""
        ...

    def is_part(self, path: str) -> bool:
        """Whether the id of a part stands here that can be chosen from the shelf."""
        ...

    def label(self, path: str, name: str) -> str:
        """What a value of a map is called, by its path and the name that it has there."""
        ...

    def told(self, path: str, value: Any) -> str:
        """A value in words where what is written is no word of people; empty where it is."""
        ...

    def called(self, item: Any) -> str:
        """What an item of a list is called, or nothing."""
        ...


def holds_more(here: Spot) -> bool:
    """Whether fields of their own stand below, as against one field."""
    if here.model or get_origin(here.kind) is dict:
        return True
    return get_origin(here.kind) is tuple and _inner(here).model is not None


def _inner(here: Spot) -> Spot:
    found = here.child(0)
    assert found is not None
    return found


@dataclass(frozen=True)
class Walk:
    """Down the schema, beside it what the document says (`raw`) and what was made of it (`made`)."""

    system: System
    vocabulary: Vocabulary

    def group(self, here: Spot, path: str, raw: Any, made: Any, name: str = "") -> FormView:
        if not here.model:
            return self._several(here, path, raw, made)
        fields, groups = list[FieldView](), list[FormView]()
        for each in here.names:
            child, below = here.child(each), f"{path}.{each}" if path else each
            assert child is not None
            inside = _below(raw, each)
            value = getattr(made, each) if isinstance(made, BaseModel) else _below(made, each)
            if holds_more(child):
                groups.append(self.group(child, below, inside, value))
            else:
                fields.append(self.field(child, below, inside, value))
        together = raw is None and sum(each.required for each in fields) > 0
        return FormView(
            path, name or self.vocabulary.group(path)[0], "", tuple(fields), tuple(groups), together=together
        )

    def _several(self, here: Spot, path: str, raw: Any, made: Any) -> FormView:
        """A list or a map: a form or a field for each item, and an empty one for the next."""
        (title, one), inner = self.vocabulary.group(path), _inner(here)
        is_map = get_origin(here.kind) is dict
        known: Any = raw if raw is not None else {} if is_map else []
        names = list(known) if is_map else list(range(len(known)))
        empty = f"{path}.{'' if is_map else len(names)}"
        if not inner.model:
            fields = tuple(
                self.field(inner, f"{path}.{each}", known[each], None, self._label(is_map, f"{path}.{each}", str(each)))
                for each in names
            )
            return FormView(path, title, one, fields, (), is_map=is_map, removable=True)
        groups = tuple(
            self.group(
                inner, f"{path}.{each}", known[each], made[each] if made else None, self._called(known[each], each)
            )
            for each in names
        )
        new = self.group(inner, empty, None, None, f"A further {one}")
        return FormView(path, title, one, (), groups, new=new, is_map=is_map, removable=True)

    def _label(self, is_map: bool, path: str, name: str) -> str:
        return self.vocabulary.label(path, name) if is_map else name

    def field(self, here: Spot, path: str, raw: Any, made: Any, label: str = "") -> FieldView:
        words = self.vocabulary.field(path, here)
        is_told = isinstance(raw, Mapping) and here.expect is not None
        is_whole = not is_told and _is_whole(raw)
        value: object = _below(raw, "value") if is_told else cast(object, raw)
        how, note = self._known(raw, made)
        return FieldView(
            path,
            f"{path}.value" if is_told else path,
            label or words.label,
            words.why,
            words.measure,
            words.allowed,
            "whole" if is_whole else self._kind(here, path),
            () if is_whole else _with(words.choices or _choices(here), value),
            self.vocabulary.told(path, value) if is_whole else _typed(value),
            self._shown(here, path, value, made),
            how,
            note,
            required=bool(here.info and here.info.is_required() and not self.vocabulary.is_assumed(path)),
            means=words.means,
        )

    def _kind(self, here: Spot, path: str) -> FieldKind:
        if here.expect:
            return "quantity"
        if self.vocabulary.is_part(path):
            return "part"
        if get_origin(here.kind) is Literal:
            return "choice"
        if get_origin(here.kind) is tuple:
            return "several"
        return "yes-no" if here.kind is bool else "number" if here.kind in (int, float) else "text"

    def _known(self, raw: Any, made: Any) -> tuple[str, str]:
        """How the value is known, and the reason that stands with it."""
        if isinstance(made, Entry):
            return made.origin.how, made.origin.reason
        return ("entered" if raw is not None else ""), ""

    def _called(self, item: Any, index: Any) -> str:
        """How an item is told from its neighbours."""
        return self.vocabulary.called(item) or str(index if isinstance(index, str) else index + 1)

    def _shown(self, here: Spot, path: str, typed: Any, made: Any) -> str:
        """What is assumed where nothing is typed; else the value in the reader's units or words where it was typed in others."""
        if isinstance(made, Entry):
            assert here.expect is not None
            if typed is not None and not is_foreign(made, here.expect, self.system):
                return ""
            return in_units(made, here.expect, self.system)
        if typed is not None and not isinstance(typed, (Mapping, list)):
            return self.vocabulary.told(path, typed)
        if typed is not None or made is None or made == () or isinstance(made, (Mapping, BaseModel)):
            return ""
        return self.vocabulary.told(path, made) or _typed(made)


def is_foreign(entry: Entry, expect: Expect, system: System) -> bool:
    """Whether it was typed in a unit that the reader does not use; Ω for mΩ is nobody's trouble."""
    if entry.unit.is_money:
        return False
    wanted = preferred(Unit(expect.unit), system)
    ratio = (entry.unit.to_si(1.0) - entry.unit.to_si(0.0)) / (wanted.to_si(1.0) - wanted.to_si(0.0))
    power = math.log10(abs(ratio)) if ratio else 0.5
    return abs(power - round(power)) > 1e-9 or (entry.unit.to_si(0.0) != wanted.to_si(0.0))


def in_units(entry: Entry, expect: Expect, system: System) -> str:
    """A quantity in the reader's unit, to the digits that a workshop measures; money as it was typed."""
    return entry.text if entry.unit.is_money else printed(entry.value, expect, system)


def printed(value: float, expect: Expect, system: System) -> str:
    """A value in SI as a reader of some units has it."""
    unit = preferred(Unit(expect.unit), system)
    from_si = unit.difference_from_si if expect.difference else unit.from_si
    return f"{_digits(from_si(value))} {unit_name(unit)}".strip()


def _digits(value: float) -> str:
    places = DIGITS - 1 - math.floor(math.log10(abs(value))) if value else 0
    text = fixed(value, min(max(places, 0), 8))
    return text.rstrip("0").rstrip(".") if "." in text else text


def _below(raw: Any, name: str) -> Any:
    """What stands under a name, where names stand here at all."""
    return cast(Mapping[str, Any], raw).get(name) if isinstance(raw, Mapping) else None


def _is_whole(value: Any) -> bool:
    """Whether it has fields of its own, or is a list of such."""
    return isinstance(value, Mapping) or (
        isinstance(value, list) and any(isinstance(each, Mapping) for each in cast(list[Any], value))
    )


def _typed(value: Any) -> str:
    """A value of the document as it stands in a field."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (list, tuple)):
        return BETWEEN.join(_item(each) for each in cast(Sequence[Any], value))
    return str(cast(object, value))


def _item(value: Any) -> str:
    """One of several; a row of a table has spaces between its numbers."""
    return " ".join(map(_typed, cast(Sequence[Any], value))) if isinstance(value, (list, tuple)) else _typed(value)


def _choices(here: Spot) -> Choices:
    if get_origin(here.kind) is Literal:
        return tuple((str(each), str(each)) for each in get_args(here.kind))
    return (("yes", "yes"), ("no", "no")) if here.kind is bool else ()


def _with(choices: Choices, value: Any) -> Choices:
    """Choices among which stands what was written, though nobody may choose it any more."""
    typed = _typed(value)
    return choices if not choices or not typed or typed in dict(choices) else (*choices, (typed, typed))
