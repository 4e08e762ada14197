"""Water with ethylene glycol: density, specific heat, conductivity and viscosity, over share by mass and temperature."""

from __future__ import annotations

from typing import Any

import numpy as np

from voltwright.physics.air import JoulePerKilogramKelvin, PascalSecond, WattPerMetreKelvin
from voltwright.quantity.formula import procedure
from voltwright.quantity.source import Source
from voltwright.quantity.types import Fraction, Kelvin, KilogramPerCubicMetre

MELINDER = Source("melinder-2010", "ethylene glycol and water")
VALID = "0 to 60 % by mass, from where it freezes to 100 °C"
_WORDS = "polynomial of Melinder in share by mass (%, less 30.8462) and temperature (°C, less 31.728)"
_SHARE, _CELSIUS, _ICE = 30.8462, 31.728, 273.15

# Rows by power of the share, columns by power of the temperature.
_DENSITY = (
    (1.0340e03, -4.7810e-01, -2.6920e-03, 4.7250e-06),
    (1.3110e00, -6.8760e-03, 4.8050e-05, 1.6900e-08),
    (7.4900e-05, 7.8550e-05, -3.9950e-07, 4.9820e-09),
    (-1.0620e-04, 1.2290e-06, -1.1530e-08),
    (-9.6230e-07, -7.2110e-08),
    (4.8910e-08,),
)
_SPECIFIC_HEAT = (
    (3.7370e03, 2.9300e00, -4.6750e-03, -1.3890e-05),
    (-1.7990e01, 1.0460e-01, -4.1470e-04, 1.8470e-07),
    (-9.9330e-02, 3.5160e-04, 5.1090e-06, -7.1380e-08),
    (2.6100e-03, -1.1890e-06, -1.6430e-07),
    (1.5370e-05, -4.2720e-07),
    (-1.6180e-06,),
)
_CONDUCTIVITY = (
    (4.7200e-01, 8.9030e-04, -1.0580e-06, -2.7890e-09),
    (-4.2860e-03, -1.4730e-05, 1.0590e-07, -1.1420e-10),
    (1.7470e-05, 6.8140e-08, -3.6120e-09, 2.3650e-12),
    (3.0170e-08, -2.4120e-09, 4.0040e-11),
    (-1.3220e-09, 2.5550e-11),
    (2.6780e-11,),
)
_VISCOSITY = (  # of the natural logarithm of mPa·s
    (4.7050e-01, -2.5500e-02, 1.7820e-04, -7.6690e-07),
    (2.4710e-02, -1.1710e-04, 1.0520e-06, -1.6340e-08),
    (3.3280e-06, 1.0860e-06, 1.0510e-08, -6.4750e-10),
    (1.6590e-06, 3.1570e-09, 4.0630e-10),
    (3.0890e-08, 1.8310e-10),
    (-1.8650e-09,),
)


def _polynomial(rows: tuple[tuple[float, ...], ...], glycol: Any, temperature: Any) -> Any:
    x, y = 100.0 * glycol - _SHARE, temperature - _ICE - _CELSIUS
    return sum(each * x**i * y**j for i, row in enumerate(rows) for j, each in enumerate(row))


@procedure(symbol="ρ", words=_WORDS, source=MELINDER, valid=VALID)
def mix_density(glycol: Fraction, temperature: Kelvin) -> KilogramPerCubicMetre:
    """Density of coolant with a share of glycol by mass. [kg/m³]"""
    return _polynomial(_DENSITY, glycol, temperature)


@procedure(symbol="c_p", words=_WORDS, source=MELINDER, valid=VALID)
def mix_specific_heat(glycol: Fraction, temperature: Kelvin) -> JoulePerKilogramKelvin:
    """Specific heat of coolant with a share of glycol by mass. [J/(kg·K)]"""
    return _polynomial(_SPECIFIC_HEAT, glycol, temperature)


@procedure(symbol="λ", words=_WORDS, source=MELINDER, valid=VALID)
def mix_conductivity(glycol: Fraction, temperature: Kelvin) -> WattPerMetreKelvin:
    """Heat conductivity of coolant with a share of glycol by mass. [W/(m·K)]"""
    return _polynomial(_CONDUCTIVITY, glycol, temperature)


@procedure(symbol="µ", words=f"e to the power of a {_WORDS}", source=MELINDER, valid=VALID)
def mix_viscosity(glycol: Fraction, temperature: Kelvin) -> PascalSecond:
    """Dynamic viscosity of coolant with a share of glycol by mass. [Pa·s]"""
    result: Any = 1e-3 * np.exp(_polynomial(_VISCOSITY, glycol, temperature))
    return result
