"""One value that somebody wrote down: number, unit, spread, and how it is known; and the field types that read it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from typing import Annotated, Any, cast

from pydantic_core import core_schema

from voltwright.quantity.errors import Problem, QuantityError
from voltwright.quantity.grammar import example_of, read
from voltwright.quantity.provenance import Origin
from voltwright.quantity.source import Source
from voltwright.quantity.spread import EXACT, Spread
from voltwright.quantity.units import Unit
from voltwright.quantity.work import Node

GRADES = ("measured", "datasheet", "estimated", "invented")
HOWS = ("entered", "measured", "datasheet", "assumed")
_KEYS = ("value", "how", "note", "source", "grade")


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
            low, high = (self.unit.from_si(each) for each in (self.spread.low, self.spread.high))
            return Node(
                self.exact,
                self.unit,
                label,
                symbol,
                origin=self.origin,
                spread=replace(self.spread, low=low, high=high),
            )
        return Node(
            self.value, Unit(unit) if unit else self.unit, label, symbol, origin=self.origin, spread=self.spread
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
            raise QuantityError(
                Problem(f"'{unknown[0]}' is not known beside a value", allowed="value, how, note, source")
            )
        if "value" not in raw:
            raise QuantityError(
                Problem(
                    "the value itself is missing", allowed=example_of(Unit(self.unit)), mend="add a line 'value: ...'"
                )
            )
        how = raw.get("how", "entered")
        if how not in HOWS:
            raise QuantityError(Problem(f"'{how}' does not say how the value is known", allowed=", ".join(HOWS)))
        grade = raw.get("grade") or None
        if grade is not None and grade not in GRADES:
            raise QuantityError(Problem(f"'{grade}' is not a grade", allowed=", ".join(GRADES)))
        note = str(raw.get("note", "") or "")
        if how == "assumed" and not note:
            raise QuantityError(Problem("an assumed value needs its reason", mend="add a line 'note: why this value'"))
        source = Source(str(raw["source"])) if raw.get("source") else None
        where = str(getattr(raw["value"], "path", "")).removesuffix(".value")
        return self._read_text(
            raw["value"], Origin(how, where=where, reason=note, source=source, grade=grade)
        )

    def _read_text(self, raw: Any, origin: Origin) -> Entry:
        unit = Unit(self.unit)
        if isinstance(raw, bool) or raw is None or not isinstance(raw, (str, int, float)):
            raise QuantityError(Problem(f"{_short(raw)} is not a quantity", allowed=example_of(unit)))
        text = str(raw)
        reading = read(text, unit, difference=self.difference)
        self._must_be_in_range(text, reading.value, reading.spread)
        return Entry(reading.value, reading.unit, text.strip(), reading.exact, reading.spread, origin)

    def _must_be_in_range(self, text: str, value: float, spread: Spread) -> None:
        unit = Unit(self.unit)
        low, high = (value, value) if spread.kind != "between" else (spread.low, spread.high)
        to_si = unit.difference_to_si if self.difference else unit.to_si
        tolerance = 1e-12 * max(1.0, abs(value))
        wrong = (
            (self.above is not None and low <= to_si(self.above))
            or (self.least is not None and low < to_si(self.least) - tolerance)
            or (self.most is not None and high > to_si(self.most) + tolerance)
        )
        if wrong:
            raise QuantityError(Problem(f"'{text}' is outside what makes sense here", allowed=self.allowed))

    @property
    def allowed(self) -> str:
        """The range in words."""
        words = [f"above {self.above:g} {self.unit}"] if self.above is not None else []
        words += [f"at least {self.least:g} {self.unit}"] if self.least is not None else []
        words += [f"at most {self.most:g} {self.unit}"] if self.most is not None else []
        return (" and ".join(words)).replace(" 1 and", " and").strip() or example_of(Unit(self.unit))


def _short(raw: Any) -> str:
    text = repr(raw)
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
MoneyRate = Annotated[Entry, Expect("currency/h", least=0, most=1e5)]
SpecificHeat = Annotated[Entry, Expect("J/(kg·K)", above=0, most=10000)]
Capacitance = Annotated[Entry, Expect("µF", above=0, most=1e6)]
Frequency = Annotated[Entry, Expect("Hz", above=0, most=10)]
Force = Annotated[Entry, Expect("N", least=0, most=100000)]
Flow = Annotated[Entry, Expect("l/min", above=0, most=1000)]
Conductance = Annotated[Entry, Expect("W/K", above=0, most=100000)]
