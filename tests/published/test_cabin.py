"""Heat of the cabin: against the numbers that heating engineers carry in their heads, and printed examples of heat pumps."""

from __future__ import annotations

import pytest

from voltwright.physics import air, cabin

KEYS = ("road.range_cold",)
CENGEL = "Cengel and Boles, Thermodynamics, ch. 6, heating a house with a heat pump, from memory"
EN = "EN 12831, heat of ventilation 0.34 Wh/(m³·K), from memory"
ASHRAE = "ASHRAE Fundamentals, sensible heat 1.23 W for each l/s and K at sea level, from memory"
TABLE = "Incropera, Fundamentals of heat and mass transfer, table A.4, air, from memory"
ZERO = 273.15


def with_air(flow: float, difference: float, density: float) -> float:
    return cabin.heat_with_air(
        density=density, flow=flow, specific_heat=cabin.AIR_HEAT, inside=ZERO + 20.0, outside=ZERO + 20.0 - difference
    )


def test_heat_of_fresh_air(published) -> None:
    density = air.air_density(pressure=101325.0, temperature=293.15, gas_constant=air.GAS_CONSTANT)
    published.check(
        source=EN, law="heat_with_air", asked="1 m³/h and 1 K [W]", expected=0.34, got=with_air(1 / 3600, 1.0, density),
        absolute=0.005, why="printed to 0.01", keys=KEYS,
    )  # fmt: skip
    published.check(
        source=ASHRAE, law="heat_with_air", asked="1 l/s and 1 K [W]", expected=1.23, got=with_air(1e-3, 1.0, density),
        rel=0.02, why="that number has some damp in it", keys=KEYS,
    )  # fmt: skip


@pytest.mark.parametrize(("kelvin", "density", "heat"), [(250.0, 1.3947, 1006.0), (300.0, 1.1614, 1007.0)])
def test_heat_of_air_as_tables_have_it(published, kelvin: float, density: float, heat: float) -> None:
    published.check(
        source=TABLE, law="heat_with_air", asked=f"of 1 m³ at {kelvin:.0f} K, for 1 K [J]", expected=density * heat,
        got=cabin.heat_with_air(
            density=air.air_density(pressure=100_000.0, temperature=kelvin, gas_constant=air.GAS_CONSTANT), flow=1.0,
            specific_heat=cabin.AIR_HEAT, inside=kelvin + 1.0, outside=kelvin,
        ),
        rel=3e-3, why="printed to four digits, for 1 bar by its own numbers; dry air as an ideal gas", keys=KEYS,
    )  # fmt: skip


def ideal(warm: float, cold: float) -> float:
    return cabin.heat_pump_performance(share=1.0, warm=ZERO + warm, cold=ZERO + cold, least_lift=cabin.LEAST_LIFT)


def test_the_limit_of_carnot(published) -> None:
    published.check(
        source=CENGEL, law="heat_pump_performance", asked="21 °C from -5 °C, ideal", expected=11.3, got=ideal(21.0, -5.0),
        absolute=0.05, why="printed to 0.1", keys=KEYS,
    )  # fmt: skip
    loss = 135_000.0 / 3.6
    published.check(
        source=CENGEL, law="heater_power", asked="135 000 kJ/h at that performance [kW]", expected=3.32,
        got=cabin.heater_power(loss=loss, gain=0.0, performance=ideal(21.0, -5.0), power=1e6) / 1000, absolute=0.01,
        why="printed to 0.01", keys=KEYS,
    )  # fmt: skip
    published.check(
        source="second law of thermodynamics: a refrigerator gives the heat of its heat pump less the work",
        law="heat_pump_performance", asked="45 °C from 0 °C, less that of the refrigerator", expected=1.0,
        got=ideal(45.0, 0.0) - ZERO / 45.0, rel=1e-12, why="exact",
    )  # fmt: skip


def test_common_practice_of_heat_pumps(published) -> None:
    got = cabin.heat_pump_performance(share=0.4, warm=ZERO + 45.0, cold=ZERO, least_lift=cabin.LEAST_LIFT)
    published.check(
        source="heat pumps of cars at 0 °C: two to three times the electricity; common practice, no source",
        law="heat_pump_performance", asked="40 % of the ideal, 45 °C from 0 °C", expected=2.5, got=float(got), absolute=0.5,
        why="a range of common practice", keys=KEYS,
    )  # fmt: skip


def test_a_whole_cabin(published) -> None:
    """A small car at -10 °C needs some kilowatts."""
    skin = cabin.heat_through_skin(conductance=60.0, inside=ZERO + 18.0, outside=ZERO - 10.0)
    density = air.air_density(pressure=101325.0, temperature=ZERO - 10.0, gas_constant=air.GAS_CONSTANT)
    fresh = cabin.heat_with_air(
        density=density, flow=140 / 3600, specific_heat=cabin.AIR_HEAT, inside=ZERO + 18.0, outside=ZERO - 10.0
    )
    people = cabin.heat_of_people(count=2.0, each=100.0)
    got = cabin.heater_power(loss=skin + fresh, gain=people, performance=1.0, power=5000.0)
    published.check(
        source="electric cars draw 2 to 4 kW for the cabin at -10 °C; common practice, no source", law="heater_power",
        asked="60 W/K, 140 m³/h, two people [W]", expected=3000.0, got=got, absolute=1000.0, why="a range of common practice",
        keys=KEYS,
    )  # fmt: skip


def test_limits_of_a_heater() -> None:
    assert cabin.heater_power(loss=9000.0, gain=0.0, performance=1.0, power=5000.0) == 5000.0
    assert cabin.heater_power(loss=100.0, gain=200.0, performance=1.0, power=5000.0) == 0.0
    assert ideal(20.0, 19.0) == ideal(20.0, 15.0)
    assert cabin.heat_pump_performance(share=0.1, warm=ZERO + 45.0, cold=ZERO - 20.0, least_lift=5.0) == 1.0
