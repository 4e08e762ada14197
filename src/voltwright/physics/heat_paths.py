"""Ways of heat: through a wall, across a surface, by radiation, one after the other; and a body that is warmed."""

from __future__ import annotations

from typing import Annotated, Any

import numpy as np

from voltwright.physics.air import JoulePerKilogramKelvin, WattPerMetreKelvin
from voltwright.physics.cell_dynamics import JoulePerKelvin, WattPerKelvin
from voltwright.physics.free_convection import FilmCoefficient, KelvinStep
from voltwright.quantity.formula import formula
from voltwright.quantity.source import Source
from voltwright.quantity.types import (
    Ampere,
    Fraction,
    Joule,
    Kelvin,
    KilogramPerCubicMetre,
    Metre,
    Ohm,
    Second,
    SquareMetre,
    Watt,
)
from voltwright.quantity.units import Unit

Stefan = Annotated[float, Unit("W/(m²·K⁴)")]
CubicMetrePerSecond = Annotated[float, Unit("l/min")]
STEFAN = 5.670374419e-8  # W/(m²·K⁴), by definition of the SI


@formula(
    symbol="h_r",
    equation="emissivity * stefan * (surface**2 + surroundings**2) * (surface + surroundings)",
    source=Source("incropera-2007", "ch. 1 and 13"),
    valid="grey surface that sees much larger surroundings of one temperature",
)
def radiation_coefficient(
    emissivity: Fraction, stefan: Stefan, surface: Kelvin, surroundings: Kelvin
) -> FilmCoefficient:
    """What a square metre radiates for each kelvin of difference. [W/(m²·K)]"""
    return emissivity * stefan * (surface**2 + surroundings**2) * (surface + surroundings)


@formula(symbol="ε", equation="1 / (1 / first + 1 / second - 1)", source=Source("incropera-2007", "ch. 13"))
def emissivity_between(first: Fraction, second: Fraction) -> Fraction:
    """Emissivity that counts between two large plates near each other. [1]"""
    return 1.0 / (1.0 / first + 1.0 / second - 1.0)


@formula(symbol="G", equation="conductivity * area / thickness", source=Source("incropera-2007", "ch. 3"))
def slab_conductance(conductivity: WattPerMetreKelvin, area: SquareMetre, thickness: Metre) -> WattPerKelvin:
    """Conductance of a wall, a layer or a foot. [W/K]"""
    return conductivity * area / thickness


@formula(symbol="G", equation="film * area", source=Source("incropera-2007", "ch. 3"))
def film_conductance(film: FilmCoefficient, area: SquareMetre) -> WattPerKelvin:
    """Conductance of a surface. [W/K]"""
    return film * area


@formula(symbol="G", equation="1 / (1 / first + 1 / second)", source=Source("incropera-2007", "ch. 3"))
def one_after_the_other(first: WattPerKelvin, second: WattPerKelvin) -> WattPerKelvin:
    """Conductance of two in a row. [W/K]"""
    return 1.0 / (1.0 / first + 1.0 / second)


@formula(symbol="C_f", equation="density * specific_heat * flow", source=Source("incropera-2007", "ch. 11"))
def stream_capacity(
    density: KilogramPerCubicMetre, specific_heat: JoulePerKilogramKelvin, flow: CubicMetrePerSecond
) -> WattPerKelvin:
    """Heat that a stream carries for each kelvin. [W/K]"""
    return density * specific_heat * flow


@formula(
    symbol="Q",
    equation="resistance * current**2",
    source=Source("plett-2015", "ch. 2"),
    valid="reversible heat left out",
)
def heat_of_current(resistance: Ohm, current: Ampere) -> Watt:
    """What a resistance turns into heat. [W]"""
    return resistance * current**2


@formula(
    symbol="P",
    equation="heat_capacity * rise / time",
    source=Source("incropera-2007", "ch. 5"),
    valid="nothing is shed meanwhile",
)
def power_to_warm(heat_capacity: JoulePerKelvin, rise: KelvinStep, time: Second) -> Watt:
    """Power that warms a body in a time. [W]"""
    return heat_capacity * rise / time


@formula(
    symbol="t",
    equation="-heat_capacity / shed * log(1 - Min(never, shed * rise / power))",
    source=Source("incropera-2007", "ch. 5, lumped capacitance"),
    valid="one temperature in the body; it begins as cold as its surroundings; a power that never gets there gives some 28 time constants",
)
def warming_time(
    heat_capacity: JoulePerKelvin, shed: WattPerKelvin, rise: KelvinStep, power: Watt, never: Fraction
) -> Annotated[float, Unit("h")]:
    """Time in which a power warms a body that sheds heat meanwhile. [s]"""
    result: Any = -heat_capacity / shed * np.log(1.0 - np.minimum(never, shed * rise / power))
    return result


@formula(symbol="E", equation="power * time")
def energy_of_power(power: Watt, time: Second) -> Joule:
    """Energy of a power that lasts. [J]"""
    return power * time


@formula(
    symbol="P_t",
    equation="power * sqrt(Max(0, room / rated_room)) / sqrt(1 - exp(-time / heating))",
    source=Source("iec-60034-1", "duty S2; heat goes with the square of the power"),
    valid="one time constant; begins as warm as the surroundings; all heat is that of the current",
)
def power_for_time(
    power: Watt, room: KelvinStep, rated_room: KelvinStep, time: Second, heating: Second
) -> Annotated[float, Unit("kW")]:
    """Power that a machine gives for a time, from what it gives for ever. [W]

    `room` is the limit of its windings less the surroundings; `rated_room` that for which the rating holds.
    """
    share = room / rated_room
    result: Any = power * np.sqrt(np.maximum(0.0 * share, share)) / np.sqrt(1.0 - np.exp(-time / heating))
    return result
