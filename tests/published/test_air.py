"""Standard atmosphere: against the table of ISO 2533 and the reference air of 40 CFR 1066."""

from __future__ import annotations

import pytest

from voltwright.physics import air as law

ISO = "ISO 2533, table of the standard atmosphere, from memory"
KEYS = ("road.top_speed", "road.range.wltc-3b")


def at(altitude: float) -> tuple[float, float, float]:
    kelvin = law.standard_temperature(
        altitude=altitude, sea_temperature=law.SEA_TEMPERATURE, lapse_height=law.LAPSE_HEIGHT
    )
    pascal = law.air_pressure(
        altitude=altitude, sea_pressure=law.SEA_PRESSURE, lapse_height=law.LAPSE_HEIGHT, exponent=law.PRESSURE_EXPONENT
    )
    return kelvin, pascal, law.air_density(pressure=pascal, temperature=kelvin, gas_constant=law.GAS_CONSTANT)


# altitude [m]: K, Pa, kg/m³
TABLE = {
    0: (288.15, 101325, 1.225),
    1000: (281.65, 89876, 1.1117),
    2000: (275.15, 79501, 1.0066),
    3000: (268.65, 70121, 0.9093),
}


@pytest.mark.parametrize("altitude", TABLE)
def test_standard_atmosphere(published, altitude: int) -> None:
    kelvin, pascal, density = TABLE[altitude]
    got = at(float(altitude))
    why = "the table counts altitude as a map does, the law as geopotential: 0.05 % apart at 3 km"
    published.check(
        source=ISO, law="standard_temperature", asked=f"at {altitude} m [K]", expected=kelvin, got=got[0], absolute=0.02,
        why=why,
    )  # fmt: skip
    published.check(
        source=ISO, law="air_pressure", asked=f"at {altitude} m [Pa]", expected=pascal, got=got[1], rel=3e-4, why=why
    )
    published.check(
        source=ISO, law="air_density", asked=f"at {altitude} m [kg/m³]", expected=density, got=got[2], rel=3e-4, why=why,
        keys=KEYS,
    )  # fmt: skip


def test_reference_air_of_a_coast_down(published) -> None:
    """40 CFR 1066.305 names 20 °C and 98.21 kPa, 1066.310 the density 1.17 kg/m³."""
    published.check(
        source="40 CFR 1066.305(a) and 1066.310, read", law="air_density", asked="20 °C, 98.21 kPa [kg/m³]",
        expected=1.17, got=law.air_density(pressure=98210.0, temperature=293.15, gas_constant=law.GAS_CONSTANT),
        absolute=0.005, why="printed to 0.01",
    )  # fmt: skip


def test_there_is_no_air_above_the_law() -> None:
    """Beyond the height at which the law ends there is no pressure, rather than a number that is none."""
    pascal = law.air_pressure(
        altitude=50_000.0, sea_pressure=law.SEA_PRESSURE, lapse_height=law.LAPSE_HEIGHT, exponent=law.PRESSURE_EXPONENT
    )
    assert pascal == 0.0
