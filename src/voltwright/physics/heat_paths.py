"""Ways of heat: through a wall, across a surface, by radiation, one after the other; and a body that is warmed."""

from __future__ import annotations

from typing import Annotated, Any

import numpy as np

from voltwright.physics.air import JoulePerKilogramKelvin, WattPerMetreKelvin
from voltwright.physics.cell_dynamics import JoulePerKelvin, WattPerKelvin
from voltwright.physics.free_convection import FilmCoefficient, KelvinStep
from voltwright.quantity.formula import formula, procedure
from voltwright.quantity.source import Source
from voltwright.quantity.types import (
    Ampere,
    Fraction,
    Kelvin,
    Kilogram,
    KilogramPerCubicMetre,
    Metre,
    Number,
    Ohm,
    Second,
    SquareMetre,
    Volt,
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


@formula(symbol="h", equation="1 / (1 / first + 1 / second)", source=Source("incropera-2007", "ch. 3"))
def layers_in_a_row(first: FilmCoefficient, second: FilmCoefficient) -> FilmCoefficient:
    """What a square metre lets through two layers, one behind the other. [W/(m²·K)]"""
    return 1.0 / (1.0 / first + 1.0 / second)


@formula(symbol="ΔT", equation="heat / conductance", source=Source("incropera-2007", "ch. 3"))
def step_of_heat(heat: Watt, conductance: WattPerKelvin) -> KelvinStep:
    """Difference that a heat needs to go its way. [K]"""
    return heat / conductance


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


@formula(symbol="x_c", equation="string_share / cells_parallel")
def share_of_cell(string_share: Fraction, cells_parallel: Number) -> Fraction:
    """Share of the pack's current that the most loaded cell carries. [1]"""
    return string_share / cells_parallel


@formula(
    symbol="R_l",
    equation="links * cells_parallel / groups",
    source=Source("plett-2015", "ch. 2"),
    valid="the heat of a module's links spread over all its cells",
)
def links_of_cell(links: Ohm, cells_parallel: Number, groups: Number) -> Ohm:
    """What the links of a module are to each of its cells, as a resistance in its own current. [Ω]"""
    return links * cells_parallel / groups


@formula(symbol="m_c", equation="Max(least * module, module - cells)")
def case_mass(module: Kilogram, cells: Kilogram, least: Fraction) -> Kilogram:
    """What a module weighs beyond its cells, but at least some share of it. [kg]"""
    result: Any = np.maximum(least * module, module - cells)
    return result


@formula(symbol="A_o", equation="2 * (length * width + length * height + width * height)")
def faces_of(length: Metre, width: Metre, height: Metre) -> SquareMetre:
    """All faces of a box. [m²]"""
    return 2.0 * (length * width + length * height + width * height)


@formula(symbol="C_h", equation="area * thickness * density * specific", source=Source("incropera-2007", "ch. 5"))
def heat_of_wall(
    area: SquareMetre, thickness: Metre, density: KilogramPerCubicMetre, specific: JoulePerKilogramKelvin
) -> JoulePerKelvin:
    """Heat that warms a wall by a kelvin. [J/K]"""
    return area * thickness * density * specific


@formula(symbol="ΔT", equation="limit - peak")
def room_left(limit: Kelvin, peak: Kelvin) -> KelvinStep:
    """How far below its limit something stays. [K]"""
    return limit - peak


@formula(symbol="x_h", equation="factor - 1")
def headroom_of(factor: Number) -> Number:
    """How much more heat is borne, as a fraction of what there is. [1]"""
    return factor - 1.0


@formula(
    symbol="P_f",
    equation="(rest_voltage - resistance * current * sqrt(factor)) * current * sqrt(factor)",
    source=Source("plett-2015", "ch. 2"),
    valid="heat goes with the square of the current",
)
def power_at_factor(
    rest_voltage: Volt, resistance: Ohm, current: Ampere, factor: Number
) -> Annotated[float, Unit("kW")]:
    """Power of a pack at the current that makes so many times the heat. [W]"""
    drawn: Any = current * np.sqrt(factor)
    return (rest_voltage - resistance * drawn) * drawn


@formula(symbol="Q", equation="taken - given")
def heat_left(taken: Watt, given: Watt) -> Watt:
    """What a machine takes and does not give on. [W]"""
    return taken - given


@formula(
    symbol="V",
    equation="heat / (density * specific_heat * rise)",
    source=Source("incropera-2007", "ch. 11"),
)
def flow_for_heat(
    heat: Watt, density: KilogramPerCubicMetre, specific_heat: JoulePerKilogramKelvin, rise: KelvinStep
) -> CubicMetrePerSecond:
    """Flow that carries a heat off while it becomes warmer by so much. [m³/s]"""
    return heat / (density * specific_heat * rise)


@procedure(
    symbol="y_c",
    words="0 where no cooling keeps every cell below its limit on every duty, 1 where air does, else 2: liquid",
    source=Source("typical-practice", "the least cooling that is enough"),
)
def least_cooling(bare: KelvinStep, air: KelvinStep) -> Number:
    """Which cooling is needed, from the room that is left without any and with air. [1]"""
    found: Any = np.where(np.asarray(bare) >= 0.0, 0.0, np.where(np.asarray(air) >= 0.0, 1.0, 2.0))
    return found if np.ndim(found) else float(found)


@formula(symbol="I_c", equation="current * share")
def current_of_cell(current: Ampere, share: Fraction) -> Ampere:
    """Current of a cell that carries a share of the pack's. [A]"""
    return current * share


@formula(symbol="T", equation="temperature - less")
def less_warm(temperature: Kelvin, less: KelvinStep) -> Kelvin:
    """A temperature that is lower by so much. [K]"""
    return temperature - less
