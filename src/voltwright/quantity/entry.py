"""One value that somebody wrote down: number, unit, spread, and how it is known; and the field types that read it."""

from __future__ import annotations

import difflib
import functools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Annotated, Any, cast

from pydantic_core import core_schema

from voltwright.quantity.errors import Problem, QuantityError, SourceError
from voltwright.quantity.grammar import Reading, example_of, read
from voltwright.quantity.provenance import Origin
from voltwright.quantity.source import Source
from voltwright.quantity.spread import EXACT, Spread
from voltwright.quantity.units import Unit, unit_of
from voltwright.quantity.work import Node

GRADES = ("measured", "datasheet", "estimated", "invented")
HOWS = ("entered", "measured", "datasheet", "assumed")
_KEYS = ("value", "how", "note", "source", "grade")
_LONGEST_NOTE = 500
NEAREST = 0.01  # of the way from a limit that must not be reached to the 5 % point: no sample comes nearer


class Written(str):
    """A scalar of a document that remembers its path."""

    path: str = ""

    @classmethod
    def at(cls, text: str, path: str) -> Written:
        made = cls(text)
        made.path = path
        return made


class WrittenInt(int):
    """A whole number of a document that remembers its path."""

    path: str = ""

    @classmethod
    def at(cls, number: int, path: str) -> WrittenInt:
        made = cls(number)
        made.path = path
        return made


@dataclass(frozen=True)
class Entry:
    """A value in SI with its spread, the unit in which it was typed, the text itself, and its origin."""

    value: float
    unit: Unit
    text: str
    exact: Decimal
    spread: Spread = EXACT
    origin: Origin = field(default_factory=lambda: Origin("entered"))

    def node(self, label: str, unit: str | None = None, symbol: str = "") -> Node:
        """The entry as a leaf of a working; money stays exact."""
        if self.unit.is_money:
            known = self.spread
            ends = {name: self.unit.from_si(getattr(known, name)) for name in ("low", "high", "least", "most")}
            return Node(self.exact, self.unit, label, symbol, origin=self.origin, spread=replace(known, **ends))
        return Node(
            self.value, unit_of(unit) if unit else self.unit, label, symbol, origin=self.origin, spread=self.spread
        )

    @property
    def is_assumed(self) -> bool:
        return self.origin.how == "assumed"


@dataclass(frozen=True)
class Expect:
    """Marks a field as a quantity: its unit and the range that makes sense, both ends in that unit.

    `above`: must be greater; `least`, `most`: may be equal. `difference`: a difference of temperatures.
    """

    unit: str
    above: float | None = None
    least: float | None = None
    most: float | None = None
    difference: bool = False

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(
            self.read, serialization=core_schema.plain_serializer_function_ser_schema(lambda entry: entry.text)
        )

    def read(self, raw: Any) -> Entry:
        """From a text, a plain number where no unit is needed, or a mapping with value, how, note, source."""
        if isinstance(raw, Entry):
            return raw
        if isinstance(raw, Mapping):
            return self._read_mapping(cast(Mapping[str, Any], raw))
        return self._read_text(raw, Origin("entered", where=getattr(raw, "path", "")))

    def _read_mapping(self, raw: Mapping[str, Any]) -> Entry:
        unknown = [str(key) for key in raw if key not in _KEYS]
        if unknown:
            near = difflib.get_close_matches(unknown[0], _KEYS, n=1)
            mend = f"write {near[0]}" if near else "take it out"
            raise QuantityError(Problem(f"'{_cut(unknown[0])}' is not known beside a value", ", ".join(_KEYS), mend))
        if "value" not in raw:
            what = "the value itself is missing"
            raise QuantityError(Problem(what, example_of(Unit(self.unit)), "add a line 'value: ...'"))
        where = str(getattr(raw["value"], "path", "")).removesuffix(".value")
        entry = self._read_text(raw["value"], Origin("entered", where))
        return replace(entry, origin=_origin(raw, where))

    def _read_text(self, raw: Any, origin: Origin) -> Entry:
        unit = Unit(self.unit)
        if isinstance(raw, bool) or raw is None or not isinstance(raw, (str, int, float)):
            what = "nothing is written here" if raw is None else f"{_cut(repr(raw))} is not a quantity"
            raise QuantityError(Problem(what, example_of(unit), "write one number with its unit"))
        text = str(raw)
        reading = _reading(self, text)
        return Entry(reading.value, reading.unit, text.strip(), reading.exact, reading.spread, origin)

    def reading_of(self, text: str) -> Reading:
        """A text read, its spread kept inside the limits. Raises QuantityError."""
        reading = read(text, Unit(self.unit), difference=self.difference)
        self._must_be_in_range(text, reading.value, reading.spread)
        return replace(reading, spread=self._kept_inside(reading.spread))

    def _kept_inside(self, spread: Spread) -> Spread:
        """The spread with the limits of the field: its tails would else leave them."""
        if spread.kind != "normal":
            return spread
        to_si = Unit(self.unit).difference_to_si if self.difference else Unit(self.unit).to_si
        least = -math.inf if self.least is None else to_si(self.least)
        if self.above is not None:  # not to be reached, as much is divided by it
            least = to_si(self.above) + NEAREST * (spread.low - to_si(self.above))
        return replace(spread, least=least, most=math.inf if self.most is None else to_si(self.most))

    def _must_be_in_range(self, text: str, value: float, spread: Spread) -> None:
        unit = Unit(self.unit)
        low, high = (value, value) if spread.is_exact else (spread.low, spread.high)
        to_si = unit.difference_to_si if self.difference else unit.to_si
        tolerance = 1e-12 * max(1.0, abs(value))
        wrong = (
            (self.above is not None and low <= to_si(self.above))
            or (self.least is not None and low < to_si(self.least) - tolerance)
            or (self.most is not None and high > to_si(self.most) + tolerance)
        )
        if wrong:
            reaches = "is" if spread.is_exact else "reaches"
            what = f"'{text}' {reaches} outside what makes sense here"
            raise QuantityError(Problem(what, self.allowed, "check the number, its unit and its spread"))

    @property
    def allowed(self) -> str:
        """The range in words."""
        bounds = (("above", self.above), ("at least", self.least), ("at most", self.most))
        shown = "" if self.unit in ("1", "currency", "currency/h") else f" {self.unit}"
        words = [f"{word} {bound:.10g}{shown}" for word, bound in bounds if bound is not None]
        return " and ".join(words) or example_of(Unit(self.unit))


@functools.lru_cache(8192)
def _reading(expect: Expect, text: str) -> Reading:
    """The texts of a build are read for each of its variants, and again after each edit."""
    return expect.reading_of(text)


def _origin(raw: Mapping[str, Any], where: str) -> Origin:
    """How a value is known, from what stands beside it."""
    how = _word(raw, "how", HOWS, "does not say how the value is known") or "entered"
    grade = _word(raw, "grade", GRADES, "is not a grade")
    note = _text_beside(raw, "note")
    if how == "assumed" and not note:
        what = "an assumed value needs its reason"
        raise QuantityError(Problem(what, "any value with a note", "add a line 'note: why this value'"))
    return Origin(how, where, note, _source(_text_beside(raw, "source")), grade)


def _word(raw: Mapping[str, Any], key: str, allowed: Sequence[Any], wrong: str) -> Any:
    """One of the allowed words beside a value, or None."""
    word = raw.get(key)
    if word is not None and (not isinstance(word, str) or word not in allowed):
        near = difflib.get_close_matches(str(word)[:40], allowed, n=1) or list(allowed[:1])
        raise QuantityError(Problem(f"'{_cut(str(word))}' {wrong}", ", ".join(allowed), f"write {key}: {near[0]}"))
    return word


def _text_beside(raw: Mapping[str, Any], key: str) -> str:
    """A text beside a value, such as its note; empty where there is none."""
    text = raw.get(key)
    if text is None:
        return ""
    if isinstance(text, bool) or not isinstance(text, (str, int)) or len(str(text)) > _LONGEST_NOTE:
        what = f"the {key} {_cut(repr(text))} is not a short text"
        raise QuantityError(
            Problem(what, f"a text of up to {_LONGEST_NOTE} characters", f"write {key}: and plain words")
        )
    return str(text)


def _source(key: str) -> Source | None:
    try:
        return Source(key) if key else None
    except SourceError as error:
        allowed = "a key of the references, such as own-datasheet"
        first = error.problems[0]
        mend = first.mend if first.mend.startswith("write") else "write own-datasheet, or leave the source out"
        raise QuantityError(Problem(first.what, allowed, mend)) from None


def _cut(text: str) -> str:
    return text if len(text) <= 40 else text[:39] + "…"


Mass = Annotated[Entry, Expect("kg", above=0, most=20000)]
MassOrNone = Annotated[Entry, Expect("kg", least=0, most=20000)]
Length = Annotated[Entry, Expect("m", above=0, most=20)]
Position = Annotated[Entry, Expect("m", least=-10, most=20)]
SmallLength = Annotated[Entry, Expect("mm", above=0, most=5000)]
Area = Annotated[Entry, Expect("m²", above=0, most=20)]
CrossSection = Annotated[Entry, Expect("mm²", above=0, most=1000)]
Share = Annotated[Entry, Expect("%", least=0, most=100)]
PositiveShare = Annotated[Entry, Expect("%", above=0, most=100)]
Health = Annotated[Entry, Expect("%", above=0, most=120)]
Plain = Annotated[Entry, Expect("1", above=0, most=1e6)]
Coefficient = Annotated[Entry, Expect("1", above=0, most=10)]
Speed = Annotated[Entry, Expect("km/h", above=0, most=400)]
Distance = Annotated[Entry, Expect("km", above=0, most=5000)]
YearlyDistance = Annotated[Entry, Expect("km/year", least=0, most=500000)]
Temperature = Annotated[Entry, Expect("°C", least=-60, most=200)]
Voltage = Annotated[Entry, Expect("V", above=0, most=1500)]
CellVoltage = Annotated[Entry, Expect("V", above=0.5, most=6)]
Current = Annotated[Entry, Expect("A", above=0, most=50000)]
Capacity = Annotated[Entry, Expect("Ah", above=0, most=10000)]
Resistance = Annotated[Entry, Expect("mΩ", least=0, most=1e9)]
Power = Annotated[Entry, Expect("kW", least=0, most=2000)]
SmallPower = Annotated[Entry, Expect("W", least=0, most=100000)]
Energy = Annotated[Entry, Expect("kWh", above=0, most=1000)]
Torque = Annotated[Entry, Expect("N·m", above=0, most=20000)]
Turning = Annotated[Entry, Expect("rpm", above=0, most=100000)]
Stiffness = Annotated[Entry, Expect("N/mm", above=0, most=2000)]
Time = Annotated[Entry, Expect("s", above=0, most=1e9)]
WorkTime = Annotated[Entry, Expect("h", least=0, most=100000)]
MoneyAmount = Annotated[Entry, Expect("currency", least=0, most=1e8)]
MoneyRate = Annotated[Entry, Expect("currency/h", least=0, most=1e6)]
Inertia = Annotated[Entry, Expect("kg·m²", above=0, most=100)]
SpecificHeat = Annotated[Entry, Expect("J/(kg·K)", above=0, most=10000)]
Capacitance = Annotated[Entry, Expect("µF", above=0, most=1e6)]
Frequency = Annotated[Entry, Expect("Hz", above=0, most=10)]
Force = Annotated[Entry, Expect("N", least=0, most=100000)]
Flow = Annotated[Entry, Expect("l/min", above=0, most=1000)]
Conductance = Annotated[Entry, Expect("W/K", above=0, most=100000)]
