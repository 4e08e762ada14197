"""Unit names that people may type, and the way between each of them and SI; the only importer of pint."""

from __future__ import annotations

import difflib
import functools
import json
import re
from dataclasses import dataclass
from fractions import Fraction
from importlib.resources import files
from typing import Any

from voltwright.quantity.errors import Problem, QuantityError

_TABLE = files("voltwright.quantity").joinpath("units.json")

# What is typed -> what pint is asked. Nothing else ever reaches pint: it evaluates what it is given.
_ALLOWED: dict[str, str] = {
    # no dimension
    "": "dimensionless", "1": "dimensionless", "%": "percent",
    # length, area, volume
    "m": "m", "mm": "mm", "cm": "cm", "km": "km", "in": "inch", "ft": "foot", "yd": "yard", "mi": "mile",
    "m²": "m**2", "cm²": "cm**2", "mm²": "mm**2", "ft²": "foot**2", "in²": "inch**2",
    "m³": "m**3", "l": "liter", "ml": "milliliter", "cm³": "cm**3", "UK gal": "imperial_gallon", "US gal": "gallon",
    # mass, density, inertia
    "kg": "kg", "g": "g", "t": "metric_ton", "lb": "pound", "oz": "ounce", "st": "stone", "kg/m³": "kg/m**3",
    "kg·m²": "kg*m**2", "kg·m": "kg*m",
    # time, speed, turning
    "s": "s", "ms": "ms", "min": "min", "h": "hour", "d": "day", "year": "year", "month": "month",
    "m/s": "m/s", "km/h": "km/hour", "mph": "mile/hour", "m/s²": "m/s**2",
    "rpm": "rpm", "rad/s": "rad/s", "Hz": "Hz", "rad": "rad", "°": "degree",
    "km/year": "km/year", "mi/year": "mile/year", "h/year": "hour/year", "d/year": "day/year",
    # force, torque, stiffness, pressure
    "N": "N", "kN": "kN", "lbf": "lbf", "N·m": "N*m", "lbf·ft": "lbf*foot", "lbf·in": "lbf*inch",
    "N·m·rad²/s²": "N*m*rad**2/s**2",
    "N/m": "N/m", "N/mm": "N/mm", "lbf/in": "lbf/inch", "Pa": "Pa", "kPa": "kPa", "MPa": "MPa", "bar": "bar", "psi": "psi",
    "N/(m/s)": "N*s/m", "N/(km/h)": "N*hour/km", "lbf/mph": "lbf*hour/mile",
    "N/(m/s)²": "N*s**2/m**2", "N/(km/h)²": "N*hour**2/km**2", "lbf/mph²": "lbf*hour**2/mile**2",
    # energy, power
    "J": "J", "kJ": "kJ", "MJ": "MJ", "Wh": "Wh", "kWh": "kWh", "W": "W", "kW": "kW", "hp": "horsepower",
    "PS": "metric_horsepower", "Wh/km": "Wh/km", "Wh/mi": "Wh/mile", "kWh/km": "kWh/km", "Wh/kg": "Wh/kg", "Wh/l": "Wh/liter",
    "W/kg": "W/kg",
    # electricity
    "V": "V", "mV": "mV", "kV": "kV", "A": "A", "mA": "mA", "kA": "kA", "Ω": "ohm", "mΩ": "milliohm", "µΩ": "microohm",
    "kΩ": "kiloohm", "MΩ": "megaohm", "Ah": "A*hour", "mAh": "mA*hour", "C": "coulomb", "F": "F", "mF": "mF", "µF": "uF", "nF": "nF",
    "H": "H", "mH": "mH", "µH": "uH", "A²·s": "A**2*s", "Ω/V": "ohm/V", "mΩ/m": "milliohm/m", "Ω/km": "ohm/km",
    "V/krpm": "V/krpm", "V·s/rad": "V*s/rad", "W/(N·m)²": "W/(N*m)**2", "W·s/rad": "W*s/rad", "W·s³/rad³": "W*s**3/rad**3",
    "N·m/A": "N*m/A",
    # heat
    "K": "K", "°C": "degC", "°F": "degF", "Δ°C": "delta_degC", "Δ°F": "delta_degF", "J/(kg·K)": "J/(kg*K)",
    "J/K": "J/K", "W/K": "W/K", "W/(m·K)": "W/(m*K)", "W/(m²·K)": "W/(m**2*K)", "K/W": "K/W", "l/min": "liter/min", "m³/h": "m**3/hour",
    "1/K": "1/K", "W/(m²·K⁴)": "W/(m**2*K**4)",
    # flow
    "Pa·s": "Pa*s", "m²/s": "m**2/s",
    # money: an ISO 4217 code stands for the amount
    "currency": "currency", "currency/h": "currency/hour",
}  # fmt: skip

_SPELLINGS: dict[str, str] = {
    '"': "in", "''": "in", "″": "in", "inch": "in", "inches": "in", "'": "ft", "′": "ft", "feet": "ft", "foot": "ft",
    "miles": "mi", "mile": "mi", "metre": "m", "metres": "m", "sq m": "m²", "sq ft": "ft²", "m2": "m²", "m^2": "m²", "cm2": "cm²",
    "mm2": "mm²", "mm^2": "mm²", "ft2": "ft²", "in2": "in²", "m3": "m³", "m^3": "m³", "cm3": "cm³", "cc": "cm³", "L": "l", "litre": "l",
    "litres": "l", "kgs": "kg", "lbs": "lb", "pound": "lb", "pounds": "lb", "tonne": "t", "tonnes": "t", "kg/m3": "kg/m³", "kg·m2": "kg·m²",
    "sec": "s", "hour": "h", "hours": "h", "hr": "h", "day": "d", "days": "d", "a": "year", "yr": "year", "years": "year",
    "months": "month",
    "kph": "km/h", "kmh": "km/h", "km/a": "km/year", "miles/year": "mi/year", "mi/yr": "mi/year", "km/yr": "km/year",
    "m/s2": "m/s²", "m/s^2": "m/s²", "1/min": "rpm", "r/min": "rpm", "/min": "rpm", "deg": "°", "degrees": "°",
    "Nm": "N·m", "N m": "N·m", "N*m": "N·m", "N.m": "N·m", "ft·lbf": "lbf·ft", "lb·ft": "lbf·ft", "lb-ft": "lbf·ft", "lbf-ft": "lbf·ft",
    "ft-lb": "lbf·ft", "ft·lb": "lbf·ft", "lbft": "lbf·ft", "lbf ft": "lbf·ft", "lb ft": "lbf·ft", "lbf*ft": "lbf·ft", "lb/in": "lbf/in",
    "kwh": "kWh", "KWh": "kWh", "W·h": "Wh", "kW·h": "kWh", "bhp": "hp", "ps": "PS", "KW": "kW", "kw": "kW",
    "volt": "V", "volts": "V", "amp": "A", "amps": "A", "ohm": "Ω", "ohms": "Ω", "Ω": "Ω", "Ohm": "Ω", "mohm": "mΩ",
    "milliohm": "mΩ",
    "mΩ": "mΩ", "uohm": "µΩ", "kohm": "kΩ", "Mohm": "MΩ", "A·h": "Ah", "AH": "Ah",
    "uF": "µF", "μF": "µF", "uH": "µH", "μH": "µH", "μΩ": "µΩ",
    "A2s": "A²·s", "A²s": "A²·s", "ohm/V": "Ω/V", "mohm/m": "mΩ/m", "ohm/km": "Ω/km",
    "degC": "°C", "deg C": "°C", "° C": "°C", "℃": "°C", "degF": "°F", "deg F": "°F", "° F": "°F", "℉": "°F",
    "J/kgK": "J/(kg·K)", "J/kg/K": "J/(kg·K)", "J/(kg K)": "J/(kg·K)", "W/mK": "W/(m·K)", "W/(m K)": "W/(m·K)", "lpm": "l/min",
    "percent": "%", "pct": "%",
}  # fmt: skip

_REFUSED: dict[str, str] = {
    "ton": "a ton is 1000 kg, 907 kg or 1016 kg: write t (1000 kg), kg or lb",
    "tons": "a ton is 1000 kg, 907 kg or 1016 kg: write t (1000 kg), kg or lb",
    "cwt": "a hundredweight is 112 lb or 100 lb: write lb or kg",
    "gal": "a gallon is British or American: write UK gal, US gal or l",
    "gallon": "a gallon is British or American: write UK gal, US gal or l",
    "M": "write m for metre or mi for mile",
    "K/h": "write km/h",
    "k": "write the unit in full, such as km or kΩ",
    "F°": "write °F for temperature or F for farad",
    "C°": "write °C",
    "€": "write EUR after the amount",
    "£": "write GBP, or the code of the pound that is meant, after the amount",
    "$": "write USD, or the code of the dollar that is meant, after the amount",
    "deg.": "write ° for an angle, °C or °F for a temperature",
}

# ISO 4217 codes of the countries where such workshops are common.
CURRENCIES = frozenset(
    [
        "AUD",
        "BGN",
        "BRL",
        "CAD",
        "CHF",
        "CNY",
        "CZK",
        "DKK",
        "EUR",
        "GBP",
        "HKD",
        "HUF",
        "ILS",
        "INR",
        "ISK",
        "JPY",
        "KRW",
        "MXN",
        "NOK",
        "NZD",
        "PLN",
        "RON",
        "SEK",
        "SGD",
        "THB",
        "TRY",
        "UAH",
        "USD",
        "ZAR",
    ]
)
WITHOUT_CENTS = frozenset(["ISK", "JPY", "KRW"])  # ISO 4217 gives them no minor unit
_CURRENCY_UNIT = re.compile(r"([A-Z]{3})(/h|/hr|/hour)?")


@functools.cache
def registry() -> Any:
    """The pint registry, made when the first conversion is asked for."""
    import pint

    make: Any = pint.UnitRegistry
    made = make(autoconvert_offset_to_baseunit=True, cache_folder=None)
    made.define("currency = [currency]")
    return made


@functools.lru_cache(maxsize=4096)
def allowed_spelling(text: str) -> str:
    """The one spelling of a unit that a person typed.

    Raises QuantityError for a unit that is unknown (naming the nearest) or that means two things.
    """
    name = text.strip().replace("·", "·").replace("⋅", "·").replace("^2", "²").replace("^3", "³")
    if name in _ALLOWED:
        return name
    if name in _SPELLINGS:
        return _SPELLINGS[name]
    money = _CURRENCY_UNIT.fullmatch(name)
    if money and money.group(1) in CURRENCIES:
        return money.group(1) + ("/h" if money.group(2) else "")
    if name in _REFUSED:
        raise QuantityError(Problem(f"the unit '{name}' is not clear", mend=_REFUSED[name]))
    near = _nearest(name)
    hint = "write " + " or ".join(near) if near else "write a unit such as kg, mm, V or kWh"
    raise QuantityError(Problem(f"'{_short(name)}' is not a unit that Voltwright knows", mend=hint))


def _nearest(name: str) -> list[str]:
    """Up to three known units: those that differ in capitals only, or else those that look alike."""
    known = [
        each
        for each in (*_ALLOWED, *_SPELLINGS, *sorted(CURRENCIES))
        if each not in ("", "1", "currency", "currency/h")
    ]
    found = [each for each in known if each.lower() == name.lower()] or difflib.get_close_matches(name[:20], known, n=3)
    return list(dict.fromkeys(_SPELLINGS.get(each, each) for each in found))[:3]


def _short(text: str, limit: int = 40) -> str:
    return text if len(text) <= limit else text[: limit - 1] + "…"


@functools.cache
def _pint_name(spelling: str) -> str:
    money = _CURRENCY_UNIT.fullmatch(spelling)
    if money and money.group(1) in CURRENCIES:
        return "currency/hour" if money.group(2) else "currency"
    return _ALLOWED[spelling]


@dataclass(frozen=True)
class Unit:
    """A unit by its one spelling; `Annotated[float, Unit("V")]` types a number in SI that people see in V."""

    spelling: str

    def __post_init__(self) -> None:
        object.__setattr__(self, "spelling", allowed_spelling(self.spelling))

    def __str__(self) -> str:
        return self.spelling

    @property
    def pint_name(self) -> str:
        return _pint_name(self.spelling)

    @property
    def is_money(self) -> bool:
        return "currency" in self.pint_name

    @property
    def is_temperature_point(self) -> bool:
        """True for °C and °F, whose zero is not nothing."""
        return self.spelling in ("°C", "°F")

    @property
    def is_temperature_step(self) -> bool:
        """True for Δ°C and Δ°F, which never name a temperature."""
        return self.spelling in ("Δ°C", "Δ°F")

    @property
    def dimension(self) -> str:
        return _law(self.pint_name)[2]

    def to_si(self, value: float) -> float:
        """From this unit to SI base units (°C to K, Ah to C, rpm to rad/s)."""
        factor, offset, _ = _law(self.pint_name)
        return value * factor + offset

    def from_si(self, value: float) -> float:
        """From SI base units to this unit."""
        factor, offset, _ = _law(self.pint_name)
        return (value - offset) / factor

    def difference_to_si(self, value: float) -> float:
        """A difference between two values in this unit, in SI: 9 °F apart are 5 K apart."""
        return value * _law(self.pint_name)[0]

    def difference_from_si(self, value: float) -> float:
        return value / _law(self.pint_name)[0]


@functools.lru_cache(maxsize=4096)
def unit_of(spelling: str) -> Unit:
    """The unit of a spelling, made once."""
    return Unit(spelling)


@functools.cache
def _table() -> dict[str, tuple[float, float, str]]:
    """What pint answered for each allowed unit: it takes half a second to load. Made by tools/make_units.py."""
    return {name: tuple(law) for name, law in json.loads(_TABLE.read_text(encoding="utf-8")).items()}


def _law(pint_name: str) -> tuple[float, float, str]:
    """Factor, offset and dimension of a unit: SI = value * factor + offset."""
    return _table().get(pint_name) or asked_of_pint(pint_name)


@functools.cache
def asked_of_pint(pint_name: str) -> tuple[float, float, str]:
    """The same from pint itself."""
    if pint_name == "dimensionless":
        return 1.0, 0.0, "dimensionless"
    if pint_name.startswith("currency"):
        return (1 / 3600 if pint_name.endswith("hour") else 1.0), 0.0, pint_name
    made = registry()
    zero = made.Quantity(0.0, pint_name).to_base_units()
    one = made.Quantity(1.0, pint_name).to_base_units()
    if zero.magnitude:  # 1 - 0 would lose digits: take the step over a hundred degrees
        step = (made.Quantity(100.0, pint_name).to_base_units().magnitude - zero.magnitude) / 100
        step, offset = (float(Fraction(each).limit_denominator(1000)) for each in (step, zero.magnitude))
        return step, offset, str(zero.dimensionality)
    return one.magnitude, 0.0, str(one.dimensionality)


def pint_names() -> list[str]:
    """Every name that pint may be asked for."""
    return sorted(set(_ALLOWED.values()))


def all_units() -> tuple[str, ...]:
    """Every unit that people may type, in its one spelling; money aside."""
    return tuple(name for name in _ALLOWED if name and not name.startswith("currency"))


def same_dimension(a: Unit, b: Unit) -> bool:
    return a.dimension == b.dimension


# Quantities that share their dimension with another one and yet measure something else: 1 Hz is not 1 rad/s.
_FAMILY: dict[str, str] = {
    "°": "angle", "rad": "angle", "rpm": "turning", "rad/s": "turning", "Hz": "frequency",
    "N·m": "torque", "lbf·ft": "torque", "lbf·in": "torque", "Wh/km": "consumption", "Wh/mi": "consumption", "kWh/km": "consumption",
    "km/year": "yearly distance", "mi/year": "yearly distance", "h/year": "yearly time", "d/year": "yearly time",
}  # fmt: skip


def measures_the_same(a: Unit, b: Unit) -> bool:
    """True where a quantity in one unit may be typed where the other is asked."""
    return same_dimension(a, b) and _FAMILY.get(a.spelling) == _FAMILY.get(b.spelling)


# What each system of units shows for a unit of the public contract.
_PREFERRED: dict[str, dict[str, str]] = {
    "metric": {},
    "uk": {"kg": "lb", "km": "mi", "km/h": "mph", "Wh/km": "Wh/mi", "km/year": "mi/year", "N·m": "lbf·ft", "mm": "in", "m": "in"},
    "us": {"kg": "lb", "km": "mi", "km/h": "mph", "Wh/km": "Wh/mi", "km/year": "mi/year", "N·m": "lbf·ft", "mm": "in", "m": "in",
           "°C": "°F", "K": "Δ°F", "N/mm": "lbf/in", "m²": "ft²"},
}  # fmt: skip
SYSTEMS = tuple(_PREFERRED)


def preferred(unit: Unit, system: str, *, tall: bool = False) -> Unit:
    """The unit in which the system ('metric', 'uk', 'us') shows what the contract gives in `unit`.

    `tall`: it is a length of the road or the height of a hill, which people without metres count in feet and not in inches.
    """
    if tall and unit.spelling == "m" and system != "metric":
        return Unit("ft")
    return Unit(_PREFERRED[system].get(unit.spelling, unit.spelling))
