"""Dry air of the standard atmosphere in the troposphere. Humidity is left out: at 30 °C damp air is up to 2 % lighter.

Altitude is geopotential; up to 3 km it differs from that of a map by less than 0.05 %.
"""

from __future__ import annotations

from typing import Annotated, Any

import numpy as np

from voltwright.quantity.formula import formula
from voltwright.quantity.source import Source
from voltwright.quantity.types import Kelvin, KilogramPerCubicMetre, Metre, Number
from voltwright.quantity.units import Unit

Pascal = Annotated[float, Unit("kPa")]
JoulePerKilogramKelvin = Annotated[float, Unit("J/(kg·K)")]
PascalSecond = Annotated[float, Unit("Pa·s")]
SquareMetrePerSecond = Annotated[float, Unit("m²/s")]
WattPerMetreKelvin = Annotated[float, Unit("W/(m·K)")]

# ISO 2533: at sea level, and how the air cools by 6.5 K a kilometre.
SEA_PRESSURE = 101325.0  # Pa
SEA_TEMPERATURE = 288.15  # K
GAS_CONSTANT = 287.05287  # J/(kg·K)
LAPSE_HEIGHT = SEA_TEMPERATURE / 0.0065  # m, where the cooling would end at 0 K
PRESSURE_EXPONENT = 9.80665 / (GAS_CONSTANT * 0.0065)

_TROPOSPHERE = "altitude from -2 to 11 km"


@formula(
    symbol="T_a",
    equation="sea_temperature * (1 - altitude / lapse_height)",
    source=Source("iso-2533", "clause 2"),
    valid=_TROPOSPHERE,
)
def standard_temperature(altitude: Metre, sea_temperature: Kelvin, lapse_height: Metre) -> Kelvin:
    """Temperature of the standard atmosphere. [K]"""
    return sea_temperature * (1.0 - altitude / lapse_height)


@formula(
    symbol="p_a",
    equation="sea_pressure * Max(0, 1 - altitude / lapse_height)**exponent",
    source=Source("iso-2533", "clause 2"),
    valid=_TROPOSPHERE,
)
def air_pressure(altitude: Metre, sea_pressure: Pascal, lapse_height: Metre, exponent: Number) -> Pascal:
    """Pressure of the standard atmosphere. [Pa]"""
    result: Any = sea_pressure * np.maximum(0.0, 1.0 - altitude / lapse_height) ** exponent
    return result


@formula(
    symbol="ρ",
    equation="pressure / (gas_constant * temperature)",
    source=Source("iso-2533", "clause 2; the law of ideal gases"),
    valid="dry air",
)
def air_density(pressure: Pascal, temperature: Kelvin, gas_constant: JoulePerKilogramKelvin) -> KilogramPerCubicMetre:
    """Density of dry air. [kg/m³]"""
    return pressure / (gas_constant * temperature)


# Sutherland's law: value at 273.15 K, and the constant of the gas. Heat that warms a kilogram at one pressure.
ICE = 273.15  # K
VISCOSITY_AT_ICE, VISCOSITY_CONSTANT = 1.716e-5, 111.0  # Pa·s, K
CONDUCTIVITY_AT_ICE, CONDUCTIVITY_CONSTANT = 0.0241, 194.0  # W/(m·K), K
SPECIFIC_HEAT = 1006.0  # J/(kg·K)
WHITE = Source("white-2006", "Sutherland's law for air")


@formula(
    symbol="µ",
    equation="at_ice * (temperature / ice)**1.5 * (ice + constant) / (temperature + constant)",
    source=WHITE,
    valid="dry air from -100 to 1600 °C",
)
def air_viscosity(temperature: Kelvin, at_ice: PascalSecond, ice: Kelvin, constant: Kelvin) -> PascalSecond:
    """Dynamic viscosity of air. [Pa·s]"""
    return at_ice * (temperature / ice) ** 1.5 * (ice + constant) / (temperature + constant)


@formula(
    symbol="λ",
    equation="at_ice * (temperature / ice)**1.5 * (ice + constant) / (temperature + constant)",
    source=WHITE,
    valid="dry air from -100 to 700 °C",
)
def air_conductivity(
    temperature: Kelvin, at_ice: WattPerMetreKelvin, ice: Kelvin, constant: Kelvin
) -> WattPerMetreKelvin:
    """Heat conductivity of air. [W/(m·K)]"""
    return at_ice * (temperature / ice) ** 1.5 * (ice + constant) / (temperature + constant)


@formula(symbol="ν", equation="viscosity / density")
def kinematic_viscosity(viscosity: PascalSecond, density: KilogramPerCubicMetre) -> SquareMetrePerSecond:
    """Viscosity for each unit of density. [m²/s]"""
    return viscosity / density


@formula(symbol="Pr", equation="viscosity * specific_heat / conductivity")
def prandtl(viscosity: PascalSecond, specific_heat: JoulePerKilogramKelvin, conductivity: WattPerMetreKelvin) -> Number:
    """Prandtl number: how much faster movement spreads than heat. [1]"""
    return viscosity * specific_heat / conductivity
