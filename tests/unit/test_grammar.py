"""The forms in which people write numbers and spreads, and what is refused with advice.

Conversions are the exact definitions: inch 0.0254 m, pound 0.453 592 37 kg, mile 1609.344 m, standard gravity 9.806 65 m/s².
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from voltwright.quantity.errors import Problem, QuantityError
from voltwright.quantity.grammar import read
from voltwright.quantity.units import Unit

LB, INCH, MILE, GRAVITY = 0.45359237, 0.0254, 1609.344, 9.80665


def refused(text: str, wanted: str, *, difference: bool = False) -> Problem:
    """The words in which a text is refused."""
    with pytest.raises(QuantityError) as caught:
        read(text, Unit(wanted), difference=difference)
    assert caught.value.code == "VW101"
    (problem,) = caught.value.problems
    assert problem.allowed
    assert problem.mend
    return problem


SINGLES = [
    ("480 lb", "kg", 480 * LB),
    ("480lbs", "kg", 480 * LB),
    ("12 st", "kg", 12 * 14 * LB),
    ("980 kg", "kg", 980.0),
    ("0.98 t", "kg", 980.0),
    ("31 in", "m", 31 * INCH),
    ('31"', "m", 31 * INCH),
    ("640 mm", "m", 0.64),
    ("-0.38 m", "m", -0.38),
    ("−0.38 m", "m", -0.38),
    ("+.38 m", "m", 0.38),
    ("2.4e3 mm", "m", 2.4),
    ("2.4E-3 km", "m", 2.4),
    ("  2.40\u00a0m ", "m", 2.4),
    ("62 mph", "km/h", 62 * MILE / 3600),
    ("100 km/h", "km/h", 100 / 3.6),
    ("20 °C", "°C", 293.15),
    ("20°C", "°C", 293.15),
    ("-40 °F", "°C", 233.15),
    ("68 °F", "°C", 293.15),
    ("300 K", "°C", 300.0),
    ("40 %", "%", 0.4),
    ("0.4", "%", 0.4),
    ("0.44", "1", 0.44),
    ("44 %", "1", 0.44),
    ("230 lbf·ft", "N·m", 230 * LB * GRAVITY * 12 * INCH),
    ("230 lb ft", "N·m", 230 * LB * GRAVITY * 12 * INCH),
    ("210 Nm", "N·m", 210.0),
    ("125 lbf/in", "N/mm", 125 * LB * GRAVITY / INCH),
    ("80 hp", "kW", 80 * 550 * LB * GRAVITY * 12 * INCH),
    ("80 PS", "kW", 80 * 75 * GRAVITY),
    ("26.5 kWh", "kWh", 26.5 * 3.6e6),
    ("95.4 MJ", "kWh", 95.4e6),
    ("50 Ah", "Ah", 180_000.0),
    ("1.2 mΩ", "mΩ", 0.0012),
    ("1200 µΩ", "mΩ", 0.0012),
    ("19 ft²", "m²", 19 * 144 * INCH**2),
    ("6000 rpm", "rpm", 628.3185307179587),
    ("6000 1/min", "rpm", 628.3185307179587),
    ("3500 mi/year", "km/year", 3500 * MILE / (365.25 * 86400)),
    ("5 UK gal", "l", 5 * 4.54609e-3),
    ("5 US gal", "l", 5 * 231 * INCH**3),
]


@pytest.mark.parametrize(("text", "wanted", "si"), SINGLES, ids=[each[0] for each in SINGLES])
def test_one_number(text: str, wanted: str, si: float) -> None:
    reading = read(text, Unit(wanted))
    assert reading.value == pytest.approx(si, rel=1e-12)
    assert reading.spread.is_exact


FEET = [
    ("6'2\"", 74),
    ("6' 2\"", 74),
    ("6′ 2″", 74),
    ("6'2''", 74),
    ("6 ft 2 in", 74),
    ("6 feet 2 inches", 74),
    ("6'2", 74),
    ("6'", 72),
    ("-1'3\"", -15),
    ("6' 2 1/2\"", 74.5),
    ("6'2.5\"", 74.5),
    ("6'1/2\"", 72.5),
    ("31 1/2 in", 31.5),
    ("31 1/2″", 31.5),
    ("31 1/2''", 31.5),
    ("1/16 in", 0.0625),
    ("-3/4 inch", -0.75),
]


@pytest.mark.parametrize(("text", "inches"), FEET, ids=[each[0] for each in FEET])
def test_feet_and_fractions(text: str, inches: float) -> None:
    reading = read(text, Unit("m"))
    assert reading.value == pytest.approx(inches * INCH, rel=1e-12)


SPREADS = [
    ("0.44 ± 0.04", "1", "normal", 0.40, 0.48),
    ("0.44 +/- 0.04", "1", "normal", 0.40, 0.48),
    ("0.44 ± 25 %", "1", "normal", 0.33, 0.55),
    ("980 kg ± 10 kg", "kg", "normal", 970, 990),
    ("980 ± 10 kg", "kg", "normal", 970, 990),
    ("980 kg ± 10", "kg", "normal", 970, 990),
    ("1 t ± 10 kg", "kg", "normal", 990, 1010),
    ("980 kg ± 10 %", "kg", "normal", 882, 1078),
    ("40 % ± 3 %", "%", "normal", 0.37, 0.43),
    ("40 ± 3 %", "%", "normal", 0.37, 0.43),
    ("0.40 ± 0.03", "%", "normal", 0.37, 0.43),
    ("20 °C ± 2 K", "°C", "normal", 291.15, 295.15),
    ("20 ± 2 °C", "°C", "normal", 291.15, 295.15),
    ("68 °F ± 9 °F", "°C", "normal", 288.15, 298.15),
    ("31 in ± 1/8 in", "m", "normal", 30.875 * INCH, 31.125 * INCH),
    ("6'2\" ± 1 in", "m", "normal", 73 * INCH, 75 * INCH),
    ("1.8 .. 2.1 m²", "m²", "between", 1.8, 2.1),
    ("1.8..2.1 m²", "m²", "between", 1.8, 2.1),
    ("1.8 … 2.1 m²", "m²", "between", 1.8, 2.1),
    ("1.8 ... 2.1 m²", "m²", "between", 1.8, 2.1),
    ("90 cm .. 1 m", "m", "between", 0.9, 1.0),
    ("-10 .. 5 °C", "°C", "between", 263.15, 278.15),
    ("14 .. 50 °F", "°C", "between", 263.15, 283.15),
    ("5'10\" .. 6'2\"", "m", "between", 70 * INCH, 74 * INCH),
    ("1/2 .. 3/4 in", "m", "between", 0.5 * INCH, 0.75 * INCH),
    ("92 .. 96 %", "%", "between", 0.92, 0.96),
]


@pytest.mark.parametrize(("text", "wanted", "kind", "low", "high"), SPREADS, ids=[each[0] for each in SPREADS])
def test_spreads(text: str, wanted: str, kind: str, low: float, high: float) -> None:
    reading = read(text, Unit(wanted))
    assert reading.spread.kind == kind
    assert (reading.spread.low, reading.spread.high) == pytest.approx((low, high), rel=1e-12)
    assert reading.value == pytest.approx((low + high) / 2, rel=1e-12)


def test_no_width_is_no_spread() -> None:
    assert read("5 kg ± 0 kg", Unit("kg")).spread.is_exact
    assert read("5 .. 5 kg", Unit("kg")).spread.is_exact


@pytest.mark.parametrize(("text", "exact"), [("62.50 EUR/h", "62.50"), ("0.1 EUR/h", "0.1"), ("1e2 EUR/h", "1E+2")])
def test_money_stays_exact(text: str, exact: str) -> None:
    reading = read(text, Unit("currency/h"))
    assert reading.exact == Decimal(exact)
    assert str(reading.unit) == "EUR/h"


AMBIGUOUS = [
    ("2,42 m", "m", "comma", "write the decimal point as '.'"),
    ("1,000 kg", "kg", "comma", "thousands without a mark"),
    ("1.234,5 kg", "kg", "comma", "decimal point"),
    ("1 000 kg", "kg", "gap", "without a gap"),
    ("1\u202f000 kg", "kg", "gap", "without a gap"),
    ("6 000 km/year", "km/year", "gap", "without a gap"),
    ("1'000", "m", "gap", "without a gap or mark"),
    ("1’000 kg", "kg", "gap", "without a gap or mark"),
    ("980", "kg", "has no unit", "write the unit, such as 980 kg"),
    ("46000", "currency", "has no unit", "46000 EUR"),
    ("20", "°", "has no unit", "20 °"),
    ("5 kg .. 7", "kg", "has no unit", "7 kg"),
    ("1.8 - 2.1 m²", "m²", "not a number with a unit", "low .. high"),
    ("1.8 – 2.1 m²", "m²", "not a number with a unit", "low .. high"),
    ("5 to 7 kg", "kg", "not a number with a unit", "low .. high"),
    ("31-1/2 in", "m", "not a number with a unit", "31 1/2 in"),
    ("0.4 ± 5 %", "%", "share or a percentage", "40 % or 0.4 %"),
    ("20 °C ± 5 %", "°C", "a spread in %", "same unit"),
    ("5 kg ± 1 m", "kg", "a spread in m", "same unit"),
    ("9 .. 4 kg", "kg", "from the larger to the smaller", "exchange"),
    ("5 kg .. 7 lb", "kg", "from the larger to the smaller", "exchange"),
    ("5 kg ± -1 kg", "kg", "negative spread", "without the minus"),
    ("6'14\"", "m", "12 or more inches", "below 12"),
    ("1/0 in", "m", "divides by nothing", "1/2"),
    ("6'1/0\"", "m", "divides by nothing", "1/2"),
    ("nan kg", "kg", "not a finite number", "measured"),
    (".nan", "kg", "not a finite number", "measured"),
    ("-.inf", "1", "not a finite number", "measured"),
    ("∞ m", "m", "not a finite number", "measured"),
    ("1e400 kg", "kg", "beyond any size", "check the number"),
    ("1e999 .. 2e999 kg", "kg", "beyond any size", "check the number"),
    ("5 kg ± 1e999 kg", "kg", "beyond any size", "check the number"),
    ("1e-300 kg", "kg", "beyond any size", "check the number"),
    ("~5 kg", "kg", "not a number with a unit", "digits first"),
    ("kg 5", "kg", "not a number with a unit", "digits first"),
    ("٣ kg", "kg", "not a number with a unit", "digits first"),
    ("", "kg", "nothing is written", "a number with its unit"),
    ("   ", "kg", "nothing is written", "a number with its unit"),
    ("5" * 200, "kg", "too long", "one number"),
    ("5 currency", "currency", "which currency", "write EUR"),
    ("€46000", "currency", "not a number with a unit", "digits first"),
]


@pytest.mark.parametrize(("text", "wanted", "what", "mend"), AMBIGUOUS, ids=[each[0][:20] for each in AMBIGUOUS])
def test_the_ambiguous_is_refused_with_advice(text: str, wanted: str, what: str, mend: str) -> None:
    problem = refused(text, wanted)
    assert what in problem.what
    assert mend in problem.mend


# What has the same dimension and yet measures something else.
CONFUSED = [
    ("66 rpm", "Hz"), ("100 Hz", "rpm"), ("210 J", "N·m"), ("1 kWh", "N·m"), ("140 km/year", "km/h"), ("100 km/h", "km/year"),
    ("0.3 rad", "1"), ("40 °", "%"), ("30 %", "°"), ("5 h/year", "%"), ("150 Wh/km", "N"), ("62 EUR", "currency/h"), ("20 C", "°C"),
    ("20 F", "°C"), ("5 kg", "m"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "wanted"), CONFUSED, ids=[each[0] for each in CONFUSED])
def test_what_measures_something_else_is_refused(text: str, wanted: str) -> None:
    assert "does not measure what is asked here" in refused(text, wanted).what


def test_temperatures_and_their_differences_are_told_apart() -> None:
    assert read("5 K", Unit("K"), difference=True).value == 5.0
    assert read("9 Δ°F", Unit("K"), difference=True).value == pytest.approx(5.0, rel=1e-12)
    assert read("4 .. 6 Δ°C", Unit("K"), difference=True).spread.high == 6.0
    assert refused("5 °C", "K", difference=True).mend == "write 5 K"
    assert refused("9 °F", "K", difference=True).mend == "write 9 Δ°F"
    assert refused("5 Δ°C", "°C").mend == "write 5 °C"


@pytest.mark.parametrize(
    ("text", "wanted", "mend"),
    [
        ("20 F", "°C", "write 20 °F"),
        ("20 C", "°C", "write 20 °C"),
        ("20 f", "°C", "write 20 °F"),
        ("20 c", "°C", "write 20 °C"),
        ("-5 C .. 10 C", "°C", "write -5 °C .. 10 °C"),
        ("68 F ± 4 F", "°C", "write 68 °F ± 4 °F"),
        ("5 C", "K", "write 5 K"),
        ("9 F", "K", "write 9 Δ°F"),
        ("20 F", "m", "write it in m"),
    ],
)
def test_degrees_without_their_sign_are_known(text: str, wanted: str, mend: str) -> None:
    assert refused(text, wanted).mend == mend


@pytest.mark.parametrize(
    ("text", "wanted", "allowed", "mend"),
    [
        ("55 GBP", "currency/h", "65.00 GBP/h", "GBP/h"),
        ("55 USD/h", "currency", "1250.00 USD", "USD"),
        ("55 kg", "currency/h", "65.00 EUR/h", "EUR/h"),
    ],
)
def test_money_is_asked_in_the_currency_that_was_typed(text: str, wanted: str, allowed: str, mend: str) -> None:
    problem = refused(text, wanted)
    assert problem.allowed.endswith(f" such as {allowed}")
    assert problem.mend == f"write it in {mend}"


@pytest.mark.parametrize(
    ("text", "wanted", "nearest"),
    [
        ("5 KG", "kg", "kg"),
        ("5 MM", "m", "mm"),
        ("5 kWhr", "kWh", "kWh"),
        ("5 lbf.ft", "N·m", "lbf·ft"),
        ("5 EURO", "currency", "EUR"),
    ],
)
def test_an_unknown_unit_names_the_nearest(text: str, wanted: str, nearest: str) -> None:
    problem = refused(text, wanted)
    assert "is not a unit that Voltwright knows" in problem.what
    assert nearest in problem.mend.removeprefix("write ").split(" or ")


@pytest.mark.parametrize("text", ["2 tons", "2 cwt", "2 gal", "5 M", "5 k", "20 C°", "5 €", "5 £", "5 $"])
def test_an_unclear_unit_is_refused_with_the_clear_ones(text: str) -> None:
    problem = refused(text, "kg")
    assert "is not clear" in problem.what
    assert "write" in problem.mend
