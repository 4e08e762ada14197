"""Units: one spelling each, exact ways to and from SI, and what each system of units shows."""

from __future__ import annotations

import pytest

from voltwright.quantity import units
from voltwright.quantity.errors import QuantityError
from voltwright.quantity.figure import amount
from voltwright.quantity.units import SYSTEMS, Unit, all_units, measures_the_same, preferred, registry, same_dimension


@pytest.mark.parametrize("name", all_units())
def test_every_unit_comes_back_from_si(name: str) -> None:
    unit = Unit(name)
    assert str(unit) == name
    assert unit.from_si(unit.to_si(7.25)) == pytest.approx(7.25, rel=1e-12)
    assert unit.difference_from_si(unit.difference_to_si(7.25)) == pytest.approx(7.25, rel=1e-12)


@pytest.mark.parametrize(("typed", "spelling"), sorted(units._SPELLINGS.items()))
def test_every_other_spelling_leads_to_a_unit(typed: str, spelling: str) -> None:
    assert Unit(typed) == Unit(spelling)
    assert spelling in all_units()


def test_no_unclear_unit_is_known() -> None:
    assert not set(units._REFUSED) & {*all_units(), *units._SPELLINGS}


def test_money_is_known_by_its_code() -> None:
    assert Unit("EUR").is_money
    assert Unit("EUR/hour") == Unit("EUR/h")
    assert same_dimension(Unit("EUR"), Unit("USD"))
    assert not same_dimension(Unit("EUR"), Unit("EUR/h"))
    with pytest.raises(QuantityError, match="not a unit"):
        Unit("XYZ")


def test_temperatures() -> None:
    assert Unit("°C").is_temperature_point
    assert Unit("Δ°F").is_temperature_step
    assert not Unit("K").is_temperature_point
    assert Unit("°F").difference_to_si(9.0) == pytest.approx(5.0, rel=1e-12)
    assert Unit("°F").to_si(32.0) == pytest.approx(273.15, rel=1e-12)


@pytest.mark.parametrize(
    ("one", "other"), [("Hz", "rpm"), ("N·m", "J"), ("km/h", "km/year"), ("°", "1"), ("%", "h/year"), ("N", "Wh/km")]
)
def test_a_shared_dimension_is_not_the_same_measure(one: str, other: str) -> None:
    assert same_dimension(Unit(one), Unit(other))
    assert not measures_the_same(Unit(one), Unit(other))


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_system_shows_the_same_measure(system: str) -> None:
    for name in all_units():
        unit = Unit(name)
        assert same_dimension(unit, preferred(unit, system))


def test_systems_differ_where_people_do() -> None:
    assert [str(preferred(Unit("kg"), system)) for system in SYSTEMS] == ["kg", "lb", "lb"]
    assert [str(preferred(Unit("°C"), system)) for system in SYSTEMS] == ["°C", "°C", "°F"]


def test_only_allowed_names_reach_the_unit_library() -> None:
    """It evaluates what it is given: powers, products and whole expressions."""
    for text in ("kg**2", "2*kg", "kg^9", "meter", "1e3", "kg*m", "__import__('os')", "kg;m", "k g"):
        with pytest.raises(QuantityError):
            Unit(text)
    assert "currency" in registry()


def test_a_long_name_is_cut_short() -> None:
    with pytest.raises(QuantityError) as caught:
        Unit("x" * 10_000)
    assert len(str(caught.value)) < 200


@pytest.mark.parametrize(
    ("code", "shown"), [("JPY", "235 JPY"), ("KRW", "235 KRW"), ("ISK", "235 ISK"), ("EUR", "234.50 EUR")]
)
def test_money_without_cents_is_printed_without(code: str, shown: str) -> None:
    """ISO 4217, minor units: 0 for yen, won and Icelandic krona, 2 for the euro; from memory."""
    assert amount(234.5, Unit(code), 2, "metric") == shown


def test_a_road_is_told_in_feet_and_a_car_in_inches() -> None:
    metre = Unit("m")
    assert amount(79.0, metre, 0, "us") == "259 ft"
    assert amount(2.413, metre, 3, "uk") == "95.0 in"
    assert amount(79.0, metre, 0, "metric") == "79 m"
