"""Units against NIST SP 811 (2008), appendix B, and bands against the Guide to the Expression of Uncertainty."""

from __future__ import annotations

import pytest

from voltwright.quantity.band import spreads
from voltwright.quantity.entry import Expect
from voltwright.quantity.grammar import read
from voltwright.quantity.provenance import Origin
from voltwright.quantity.spread import between, normal
from voltwright.quantity.units import Unit
from voltwright.quantity.work import leaf, total

NIST = "NIST SP 811 (2008), appendix B.8, from memory"


@pytest.mark.parametrize(
    ("text", "wanted", "si"),
    [
        ("1 lb", "kg", 0.45359237),
        ("1 st", "kg", 6.35029318),
        ("1 in", "m", 0.0254),
        ("1 ft", "m", 0.3048),
        ("1 mi", "m", 1609.344),
        ("1 mph", "km/h", 0.44704),
        ("1 lbf·ft", "N·m", 1.3558179483),
        ("1 hp", "kW", 745.69987158),
        ("1 PS", "kW", 735.49875),
        ("1 lbf/in", "N/mm", 175.12683524648),
        ("32 °F", "°C", 273.15),
        ("212 °F", "°C", 373.15),
        ("-40 °F", "°C", 233.15),
        ("1 kWh", "kWh", 3.6e6),
        ("1 Ah", "Ah", 3600.0),
        ("1 psi", "bar", 6894.757293),
        ("1 UK gal", "l", 4.54609e-3),
        ("1 US gal", "l", 3.785411784e-3),
    ],
)
def test_factor(published, text: str, wanted: str, si: float) -> None:
    published.check(
        source=NIST,
        law="units",
        asked=text,
        expected=si,
        got=read(text, Unit(wanted)).value,
        rel=1e-9,
        why="ten digits",
    )


def test_a_difference_of_temperatures(published) -> None:
    got = read("9 Δ°F", Unit("K"), difference=True).value
    published.check(
        source=NIST, law="units", asked="9 Δ°F", expected=5.0, got=got, rel=1e-9, why="5/9 K to the degree Fahrenheit"
    )


def test_two_normal_spreads_add_as_squares(published) -> None:
    """GUM 5.1.2: uncertainties of a sum add in quadrature; 3 and 4 give 5."""
    first = leaf(100.0, "kg", "a", Origin("measured"), normal(100.0, 3.0))
    second = leaf(200.0, "kg", "b", Origin("measured"), normal(200.0, 4.0))
    known = spreads({"sum": total("sum", [first, second])}, samples=4096)
    low, high = known.low["sum"], known.high["sum"]
    source = "JCGM 100:2008 (GUM) 5.1.2, from memory"
    published.check(
        source=source,
        law="band of a sum",
        asked="half width",
        expected=5.0,
        got=(high - low) / 2,
        rel=0.02,
        why="4096 samples",
    )
    published.check(
        source=source,
        law="band of a sum",
        asked="middle",
        expected=300.0,
        got=(high + low) / 2,
        absolute=0.1,
        why="4096 samples",
    )


def test_anything_between_two_bounds(published) -> None:
    """GUM 4.3.7: a rectangular distribution; its 5 and 95 % points lie a twentieth of the width inside."""
    node = leaf(2.0, "kg", "a", Origin("entered"), between(1.0, 3.0))
    known = spreads({"it": total("it", [node])}, samples=4096)
    low, high = known.low["it"], known.high["it"]
    source = "JCGM 100:2008 (GUM) 4.3.7, from memory"
    published.check(
        source=source, law="band of a rectangle", asked="5 %", expected=1.1, got=low, absolute=0.005, why="4096 samples"
    )
    published.check(
        source=source,
        law="band of a rectangle",
        asked="95 %",
        expected=2.9,
        got=high,
        absolute=0.005,
        why="4096 samples",
    )


def test_person_of_the_regulation(published) -> None:
    """Regulation (EU) 1230/2012: a driver of 75 kg."""
    from voltwright.build.reader import defaults

    text = next(each.value for each in defaults() if each.path == "person_mass")
    published.check(
        source="Regulation (EU) No 1230/2012, from memory",
        law="person_mass",
        asked="[kg]",
        expected=75.0,
        got=Expect("kg").read(text).value,
        absolute=0.0,
        why="a convention",
        keys=("mass.laden",),
    )
