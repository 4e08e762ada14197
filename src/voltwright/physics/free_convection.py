"""Heat that still air carries away: vertical plate, plate that looks up or down, gap between two plates.

The heat at a surface is that of still fluid over the length, times the Nusselt number of that length.
"""

from __future__ import annotations

from typing import Annotated, Any

import numpy as np

from voltwright.physics.air import SquareMetrePerSecond, WattPerMetreKelvin
from voltwright.quantity.formula import formula
from voltwright.quantity.source import Source
from voltwright.quantity.types import Metre, MetrePerSecondSquared, Number
from voltwright.quantity.units import Unit

KelvinStep = Annotated[float, Unit("K")]
PerKelvin = Annotated[float, Unit("1/K")]
FilmCoefficient = Annotated[float, Unit("W/(m²·K)")]


@formula(
    symbol="Ra",
    equation="gravity * expansion * difference * length**3 / viscosity**2 * prandtl",
    source=Source("incropera-2007", "ch. 9"),
    valid="difference zero or above; properties at the mean of surface and air",
)
def rayleigh(
    gravity: MetrePerSecondSquared,
    expansion: PerKelvin,
    difference: KelvinStep,
    length: Metre,
    viscosity: SquareMetrePerSecond,
    prandtl: Number,
) -> Number:
    """Rayleigh number: how strongly warm fluid rises. [1]"""
    return gravity * expansion * difference * length**3 / viscosity**2 * prandtl


@formula(
    symbol="Nu",
    equation="(0.825 + 0.387 * rayleigh**(1/6) / (1 + (0.492 / prandtl)**(9/16))**(8/27))**2",
    source=Source("churchill-chu-1975"),
    valid="Rayleigh number up to 1e12",
)
def nusselt_vertical_plate(rayleigh: Number, prandtl: Number) -> Number:
    """Nusselt number of a vertical plate by its height. [1]"""
    return (
        0.825 + 0.387 * rayleigh ** (1.0 / 6.0) / (1.0 + (0.492 / prandtl) ** (9.0 / 16.0)) ** (8.0 / 27.0)
    ) ** 2  # fmt: skip


@formula(
    symbol="Nu",
    equation="Max(0.54 * rayleigh**(1/4), 0.15 * rayleigh**(1/3))",
    source=Source("mcadams-1954"),
    valid="Rayleigh number 1e4 to 1e11; length is area by edge",
)
def nusselt_plate_up(rayleigh: Number) -> Number:
    """Nusselt number of a warm plate that looks up, or a cold one that looks down. [1]"""
    result: Any = np.maximum(0.54 * rayleigh**0.25, 0.15 * rayleigh ** (1.0 / 3.0))
    return result


@formula(
    symbol="Nu",
    equation="0.27 * rayleigh**(1/4)",
    source=Source("mcadams-1954"),
    valid="Rayleigh number 1e5 to 1e10; length is area by edge",
)
def nusselt_plate_down(rayleigh: Number) -> Number:
    """Nusselt number of a warm plate that looks down, or a cold one that looks up. [1]"""
    return 0.27 * rayleigh**0.25


@formula(
    symbol="Nu",
    equation="Max(1, 0.42 * rayleigh**(1/4) * prandtl**0.012 * slenderness**(-0.3))",
    source=Source("cengel-2003", "ch. 9, vertical rectangular enclosures, by the gap"),
    valid="Rayleigh number of the gap 1e4 to 1e7; 10 to 40 times as high as wide; below that the air stands still",
)
def nusselt_cavity(rayleigh: Number, prandtl: Number, slenderness: Number) -> Number:
    """Nusselt number of a closed vertical gap by its width; 1 where the air in it stands still. [1]"""
    moving = 0.42 * rayleigh**0.25 * prandtl**0.012 * slenderness ** (-0.3)
    result: Any = np.maximum(1.0 + 0.0 * moving, moving)
    return result


@formula(symbol="h", equation="nusselt * conductivity / length", source=Source("incropera-2007", "ch. 6"))
def film_coefficient(nusselt: Number, conductivity: WattPerMetreKelvin, length: Metre) -> FilmCoefficient:
    """What a square metre gives for each kelvin. [W/(m²·K)]"""
    return nusselt * conductivity / length
