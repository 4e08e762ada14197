"""Reads quantities as people type them: `480 lb`, `0.44 ± 0.04`, `1.8 .. 2.1 m²`, `6'2"`, `20 °C`.

quantity = single | single ("±" | "+/-") half | low ".." high
single   = number [unit] | [sign] feet "'" inches '"' | [sign] feet "ft" inches "in"
number   = [sign] digits ["." digits] ["e" exponent] | [sign] [digits " "] digits "/" digits   (fractions of an inch)

A decimal comma, a digit group, a missing unit and a unit that means two things are refused with advice.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from decimal import Decimal

from voltwright.quantity.errors import Problem, QuantityError
from voltwright.quantity.spread import EXACT, Spread, between, normal
from voltwright.quantity.units import Unit, measures_the_same, same_dimension

LONGEST = 120
SMALLEST, LARGEST = 1e-12, 1e15  # SI; what lies outside is a slip of the pen, and would overflow further on
_NUMBER = r"[+-]?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?"
_SINGLE = re.compile(rf"({_NUMBER}) ?(.*)", re.S)
_FRACTION = re.compile(r"([+-]?)(?:([0-9]{1,5}) )?([0-9]{1,3}) ?/ ?([0-9]{1,3}) ?(in|inch|inches|\"|''|″|)")
_FEET = re.compile(
    r"([+-]?)([0-9]{1,4}) ?(?:'|′|ft|feet) ?((?:[0-9]{1,2} )?[0-9]{1,3}/[0-9]{1,3}|[0-9]{1,2}(?:\.[0-9]+)?) ?"
    r"(?:\"|″|''|in|inches)?"
)
_GAP = re.compile(r"(?<=[0-9])\u00a0(?=[0-9]{3}(?![0-9]))")  # as we print thousands ourselves
_COMMA = re.compile(r"[0-9] ?, ?[0-9]")
_GROUPED = re.compile(r"[0-9] [0-9](?![0-9]* ?/)|[0-9]['’][0-9]{3}(?![0-9])")
_DASHED = re.compile(r"(?:\bto|[-–—]) ?[0-9.]")
_BEHIND_COMMA = re.compile(r"[0-9]+ ?([^0-9±+.…-]*?) ?(?=$|±|\+/?-|\.\.|…)")
_BARE_DEGREES = re.compile(r"(?<![°Δa-zA-Z])([CF])\b", re.I)
_NOT_A_NUMBER = re.compile(r"[+-]?\.?(?:nan|inf|infinity|∞)(?![a-z])", re.I)


@dataclass(frozen=True)
class Reading:
    """What was read: value and spread in SI, the unit as typed, and the number itself, exact."""

    value: float
    spread: Spread
    unit: Unit
    exact: Decimal


def read(text: str, wanted: Unit, *, difference: bool = False) -> Reading:
    """Read a quantity that must have the dimension of `wanted`; the result is in SI.

    `difference`: the quantity is a difference of temperatures, not a temperature.
    Raises QuantityError saying what is allowed and how to mend it.
    """
    text = " ".join(_GAP.sub("", text).split())
    _refuse_the_ambiguous(text, wanted)
    cleaned = text.replace("−", "-").replace("+/-", "±").replace("+-", "±").replace("…", "..").replace("...", "..")
    if ".." in cleaned:
        return _read_between(cleaned, wanted, difference)
    if "±" in cleaned:
        return _read_normal(cleaned, wanted, difference)
    number, unit = _read_single(cleaned, wanted)
    _must_fit(unit, wanted, text, difference)
    return Reading(_finite(_si(number, unit, difference), text, wanted), EXACT, unit, number)


def _refuse_the_ambiguous(text: str, wanted: Unit) -> None:
    if len(text) > LONGEST:
        raise _problem(f"'{text[:30]}…' is too long for a quantity", wanted, "write one number with its unit")
    if not text:
        raise _problem("nothing is written here", wanted, "write a number with its unit")
    if _COMMA.search(text):
        mend = "write the decimal point as '.', and thousands without a mark"
        raise _problem(f"'{text}' has a comma: it could mean a decimal or a thousand", wanted, mend)
    if _NOT_A_NUMBER.match(text):
        raise _problem(f"'{text}' is not a finite number", wanted, "write a number that was measured")
    if _GROUPED.search(text):
        raise _problem(f"'{text}' has a gap inside a number", wanted, "write thousands without a gap or mark")


def is_behind_comma(name: str) -> bool:
    """Whether this is what stands behind a decimal comma, such as the '5 kg' of 260,5 kg: digits, and a unit or none."""
    match = _BEHIND_COMMA.match(name.strip())
    return match is not None and _is_unit(match[1])


def _is_unit(name: str) -> bool:
    try:
        Unit(name)
    except QuantityError:
        return False
    return True


def _problem(what: str, wanted: Unit, mend: str, code: str = "EUR") -> QuantityError:
    return QuantityError(Problem(what, allowed=example_of(wanted, code), mend=mend))


def _read_single(text: str, wanted: Unit, default: Unit | None = None) -> tuple[Decimal, Unit]:
    """One number and its unit; where it has none, the `default`."""
    text = text.strip()
    feet, fraction = _FEET.fullmatch(text), _FRACTION.fullmatch(text)
    if feet:
        return _signed(feet[1], int(feet[2]) * 12 + _feet_inches(feet[3], text, wanted)), Unit("in")
    if fraction and (fraction[5] or (default and default.spelling == "in")):
        return _signed(fraction[1], _fraction(fraction[2], fraction[3], fraction[4], text, wanted)), Unit("in")
    match = _SINGLE.fullmatch(text)
    if not match:
        raise _problem(f"'{text}' is not a number with a unit", wanted, "write digits first, then the unit")
    if match[2]:
        return Decimal(match[1]), _typed_unit(match[2], text, wanted)
    if default is None and not measures_the_same(Unit("1"), wanted):
        mend = f"write the unit, such as {text} {_everyday(wanted)}"
        raise _problem(f"'{text}' has no unit", wanted, mend)
    return Decimal(match[1]), default or Unit("1")


def _typed_unit(name: str, text: str, wanted: Unit) -> Unit:
    if name in ("currency", "currency/h"):
        raise _problem(f"'{text}' does not say which currency", wanted, f"write {_everyday(wanted)}")
    if _DASHED.search(name):
        mend = "write anything between two values as 'low .. high', and a fraction as 31 1/2 in"
        raise _problem(f"'{text}' is not a number with a unit", wanted, mend)
    if name in ("c", "f") and _is_temperature(wanted):
        raise _problem(f"'{text}' has no unit", wanted, f"write {_with_degrees(text, not wanted.is_temperature_point)}")
    try:
        return Unit(name)
    except QuantityError as error:
        raise QuantityError([replace(each, allowed=example_of(wanted)) for each in error.problems]) from None


def _is_temperature(unit: Unit) -> bool:
    """Whether a unit measures a temperature, or a difference of two."""
    return same_dimension(unit, Unit("K"))


def _everyday(unit: Unit, code: str = "EUR") -> str:
    """A unit that a person would type where `unit` is asked; money in the currency of that code."""
    return unit.spelling.replace("currency", code)


def _signed(sign: str, number: Decimal) -> Decimal:
    return -number if sign == "-" else number


def _feet_inches(text: str, whole_text: str, wanted: Unit) -> Decimal:
    whole, _, part = text.rpartition(" ")
    top, _, bottom = part.partition("/")
    inches = _fraction(whole, top, bottom, whole_text, wanted) if bottom else Decimal(top)
    if inches >= 12:
        raise _problem(f"'{whole_text}' has 12 or more inches beside its feet", wanted, "write inches below 12")
    return inches


def _fraction(whole: str | None, top: str, bottom: str, text: str, wanted: Unit) -> Decimal:
    if int(bottom) == 0:
        raise _problem(f"'{text}' divides by nothing", wanted, "write the fraction as it is on the rule, such as 1/2")
    return Decimal(whole or 0) + Decimal(top) / Decimal(bottom)


def _read_between(text: str, wanted: Unit, difference: bool) -> Reading:
    left, _, right = text.partition("..")
    top, unit = _read_single(right, wanted)
    bottom, bottom_unit = _read_single(left, wanted, default=unit)
    _must_fit(unit, wanted, text, difference)
    _must_fit(bottom_unit, wanted, text, difference)
    low, high = (_finite(_si(*each, difference), text, wanted) for each in ((bottom, bottom_unit), (top, unit)))
    if low > high:
        raise _problem(f"'{text}' runs from the larger to the smaller", wanted, "exchange the two: low .. high")
    middle = (low + high) / 2
    shown = unit.difference_from_si(middle) if difference else unit.from_si(middle)
    return Reading(middle, between(low, high), unit, Decimal(repr(round(shown, 12))))


def _read_normal(text: str, wanted: Unit, difference: bool) -> Reading:
    left, _, right = text.partition("±")
    has_unit = bool(re.search(r"[^0-9 .eE+-]", left))
    half_number, half_unit = _read_single(right, wanted, default=Unit("1"))
    relative = half_unit.spelling == "%" and wanted.spelling != "%"
    number, unit = _read_single(left, wanted, default=None if has_unit or relative else half_unit)
    if has_unit and half_unit.spelling == "1":
        half_unit = unit
    _must_fit(unit, wanted, text, difference)
    value = _finite(_si(number, unit, difference), text, wanted)
    if half_number < 0:
        raise _problem(f"'{text}' has a negative spread", wanted, "write the spread without the minus")
    if not has_unit and unit.spelling == "%" and 0 < number <= 1:
        mend = f"write {(number * 100).normalize():f} % or {number:f} %, and the spread in % too"
        raise _problem(f"'{text}' could mean a share or a percentage", wanted, mend)
    half = _half(half_number, half_unit, unit, value, text)
    return Reading(value, normal(value, _finite(half, text, wanted)), unit, number)


def _half(number: Decimal, half_unit: Unit, unit: Unit, value: float, text: str) -> float:
    """Half the spread in SI: a difference in the same dimension, or a share of the value."""
    if half_unit.spelling == "%" and unit.spelling != "%" and not unit.is_temperature_point:
        return abs(value) * float(number) / 100
    if not same_dimension(half_unit, unit):
        allowed = "a spread in K, °C or °F" if unit.is_temperature_point else f"a spread in {unit} or in %"
        what = f"'{text}' has a spread in {half_unit} on a value in {unit}"
        raise QuantityError(Problem(what, allowed, "write both in the same unit"))
    return half_unit.difference_to_si(float(number))


def _si(number: Decimal, unit: Unit, difference: bool) -> float:
    return unit.difference_to_si(float(number)) if difference else unit.to_si(float(number))


def _finite(value: float, text: str, wanted: Unit) -> float:
    if not math.isfinite(value) or abs(value) > LARGEST or 0 < abs(value) < SMALLEST:
        raise _problem(f"'{text}' is beyond any size that a car could need", wanted, "check the number and its unit")
    return value


def _must_fit(unit: Unit, wanted: Unit, text: str, difference: bool) -> None:
    if not measures_the_same(unit, wanted):
        what = f"'{text}' is in {unit.spelling}, which does not measure what is asked here"
        if unit.spelling == "1":
            what = f"'{text}' has no unit"
        code = unit.spelling[:3] if unit.is_money else "EUR"
        mend = "write it without a unit" if wanted.spelling == "1" else f"write it in {_everyday(wanted, code)}"
        if unit.spelling in ("C", "F") and _is_temperature(wanted):
            mend = f"write {_with_degrees(text, difference or not wanted.is_temperature_point)}"
        raise _problem(what, wanted, mend, code)
    if difference and unit.is_temperature_point:
        kelvin = text.replace(str(unit), "K" if unit.spelling == "°C" else "Δ°F")
        what = f"'{text}' names a temperature where a difference of temperatures is asked"
        raise QuantityError(Problem(what, allowed="a difference such as 5 K or 9 Δ°F", mend=f"write {kelvin}"))
    if wanted.is_temperature_point and not difference and unit.is_temperature_step:
        what = f"'{text}' is a difference of temperatures where a temperature is asked"
        raise _problem(what, wanted, f"write {text.replace('Δ', '')}")


def _with_degrees(text: str, difference: bool) -> str:
    """`20 F` as `20 °F`; where a difference is asked, `5 C` as `5 K`."""
    steps = {"C": "K", "F": "Δ°F"}
    return _BARE_DEGREES.sub(lambda bare: steps[bare[1].upper()] if difference else f"°{bare[1].upper()}", text)


_EXAMPLES = {
    "Hz": "a number of times a second such as 1.3 Hz",
    "°": "an angle such as 12 °",
    "N": "a force such as 140 N",
    "kg": "a mass such as 980 kg, 980 kg ± 10 kg or 480 lb",
    "m": "a length such as 2.40 m, 640 mm, 31 in or 6'2\"",
    "m²": "an area such as 1.8 .. 2.1 m²",
    "mm²": "a cross-section such as 50 mm²",
    "km/h": "a speed such as 110 km/h or 62 mph",
    "km": "a distance such as 180 km or 110 mi",
    "km/year": "a yearly distance such as 6000 km/year",
    "°C": "a temperature such as 20 °C or 68 °F",
    "K": "a difference of temperatures such as 5 K or 9 Δ°F",
    "%": "a share such as 40 % or 0.4",
    "1": "a plain number such as 0.44 or 0.44 ± 0.04",
    "N·m": "a torque such as 210 N·m or 155 lbf·ft",
    "kW": "a power such as 60 kW or 80 hp",
    "W": "a power such as 180 W or 1.2 kW",
    "V": "a voltage such as 350 V",
    "A": "a current such as 200 A",
    "Ah": "a capacity such as 50 Ah",
    "kWh": "an energy such as 26.5 kWh",
    "mΩ": "a resistance such as 1.2 mΩ",
    "h": "a time such as 14 h or 12 .. 20 h",
    "s": "a time such as 12 s",
    "N/mm": "a stiffness such as 22 N/mm or 125 lbf/in",
    "rpm": "a speed of turning such as 6000 rpm",
    "currency": "an amount of money such as 1250.00 EUR",
    "currency/h": "an hourly rate such as 65.00 EUR/h",
}


def example_of(unit: Unit, code: str = "EUR") -> str:
    """What a person may write where `unit` is wanted; money in the currency of that code."""
    return _EXAMPLES.get(unit.spelling, f"a number with a unit, such as 1.5 {unit}").replace("EUR", code)
