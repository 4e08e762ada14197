"""A closed box with battery modules, as a handful of bodies between which heat goes.

Middle and edge modules each have cores of cells, surfaces of cells and a case; then there are the air in the box, its wall, and
coolant where there is some. What depends on a difference or on the road speed stands in tables at even steps.
"""

from __future__ import annotations

from typing import Annotated, Any, NamedTuple

import numpy as np

from voltwright.physics import air, forced_flow, free_convection, heat_paths
from voltwright.physics.cell_dynamics import JoulePerKelvin, WattPerKelvin
from voltwright.physics.free_convection import FilmCoefficient, KelvinStep
from voltwright.physics.heat_paths import CubicMetrePerSecond
from voltwright.quantity.formula import formula, procedure
from voltwright.quantity.source import Source
from voltwright.quantity.types import (
    Fraction,
    Kelvin,
    KilogramPerCubicMetre,
    Metre,
    MetrePerSecond,
    MetrePerSecondSquared,
    Number,
)
from voltwright.quantity.units import Unit

POINTS = 16  # of each table
DIFFERENCE_STEP, SPEED_STEP = 4.0, 3.0  # K, m/s
STEPS: Any = np.arange(POINTS, dtype=float)
LEAST_DIFFERENCE = 0.05  # K: in still air of no difference at all there is still this much of it
ENCLOSED = 3  # modules in a row, of which those between are enclosed


class Box(NamedTuple):
    """A box for the network: heat capacities [J/K], conductances [W/K], and conductances in tables."""

    cells_middle: Any  # 1: cells in middle modules
    cells_edge: Any
    core_middle: Any  # J/K
    core_edge: Any
    surface_middle: Any
    surface_edge: Any
    case_middle: Any
    case_edge: Any
    wall: Any
    inside_middle: Any  # W/K from core to surface
    inside_edge: Any
    packed_middle: Any  # from surface to case
    packed_edge: Any
    between: Any  # from middle to edge modules
    seen_middle: Any  # from case to wall, by radiation and through the floor
    seen_edge: Any
    vent: Any  # from the air in the box to that outside
    mounts: Any  # from the wall to the car's body
    plate_middle: Any  # from cell surfaces to coolant
    plate_edge: Any
    warmer: Any  # K: what is around the box, above the air outside
    air_middle: Any  # tables over the difference (POINTS, ...) from case to air
    air_edge: Any
    air_wall: Any
    out_still: Any  # wall to outside over the difference
    out_moving: Any  # wall to outside over the road speed
    radiator: Any  # coolant to outside over the road speed

    def __str__(self) -> str:
        return "battery box as a network of heat"


class Layout(NamedTuple):
    """How modules stand in a box: how many are enclosed, and what faces of theirs look where. Areas in m²."""

    middle: float
    edge: float
    open_middle: float
    open_edge: float
    touching: float
    floor_middle: float
    floor_edge: float
    height: float


def layout_of(count: float, box: tuple[float, float, float], module: tuple[float, float, float]) -> Layout:
    """Modules side by side in the box as their sizes allow; where they do not, in one row. Sizes in m."""
    sides = _rows(int(count), box, module)
    if sides is None:
        rows, (x, y, z) = (int(count), 1, 1), (module[1], module[0], module[2])
    else:
        rows, (x, y, z) = sides
    enclosed = [each - 2 if each >= ENCLOSED else each for each in rows]
    middle = float(min(count, enclosed[0] * enclosed[1] * enclosed[2]))
    faces = (y * z, x * z, x * y)
    opened = [2.0 if each == 1 else 1.0 if each == 2 else 0.0 for each in rows]
    a, b, c = rows
    whole = 2.0 * (b * c * faces[0] + a * c * faces[1] + a * b * faces[2]) * count / (a * b * c)
    each_middle = sum(share * face for share, face in zip(opened, faces, strict=True))
    edge = count - middle
    open_middle = middle * each_middle if edge else whole
    touching = middle * 2.0 * sum(faces) - open_middle
    bottom = 1.0 / c if c < ENCLOSED else 0.0
    floor = count * faces[2] / c
    floor_middle = middle * faces[2] * bottom if edge else floor
    return Layout(
        middle, edge, open_middle, max(0.0, whole - open_middle), max(0.0, touching), floor_middle, floor - floor_middle, z
    )  # fmt: skip


def _rows(
    count: int, box: tuple[float, float, float], module: tuple[float, float, float]
) -> tuple[tuple[int, int, int], tuple[float, float, float]] | None:
    """Rows along length, width and height, and the sides of a module that lie along them; lying or turned, upright alike."""
    found: list[tuple[float, tuple[int, int, int], tuple[float, float, float]]] = []
    for sides in ((0, 1, 2), (1, 0, 2), (0, 2, 1), (2, 0, 1), (1, 2, 0), (2, 1, 0)):
        x, y, z = (module[each] for each in sides)
        a, b, c = (int(each / side + 1e-9) for each, side in zip(box, (x, y, z), strict=True))
        if a * b * c < count:
            continue
        layers = -(-count // (a * b))
        across = -(-count // (layers * a))
        along = -(-count // (layers * across))
        area = 2 * (along * across * x * y + along * layers * x * z + across * layers * y * z)
        found.append((area, (along, across, layers), (x, y, z)))
    return min(found)[1:] if found else None


def still_air(difference: Any, film: Any, length: Any, density: Any, gravity: Any) -> Any:
    """Film coefficient of a vertical surface in still air of a film temperature, over differences. [W/(m²·K)]"""
    conductivity, viscosity, prandtl = _air(film, density)
    number = free_convection.rayleigh(
        gravity=gravity,
        expansion=1.0 / film,
        difference=np.maximum(difference, LEAST_DIFFERENCE),
        length=length,
        viscosity=viscosity,
        prandtl=prandtl,
    )
    nusselt = free_convection.nusselt_vertical_plate(rayleigh=number, prandtl=prandtl)
    return free_convection.film_coefficient(nusselt=nusselt, conductivity=conductivity, length=length)


def moving_air(speed: Any, film: Any, length: Any, density: Any) -> Any:
    """Mean film coefficient of a surface along a stream of air. [W/(m²·K)]"""
    conductivity, viscosity, prandtl = _air(film, density)
    number = forced_flow.reynolds(speed=speed, length=length, viscosity=viscosity)
    nusselt = forced_flow.nusselt_flat_plate(reynolds=number, prandtl=prandtl)
    return free_convection.film_coefficient(nusselt=nusselt, conductivity=conductivity, length=length)


def _air(film: Any, density: Any) -> tuple[Any, Any, Any]:
    """Conductivity, kinematic viscosity and Prandtl number of air. [W/(m·K), m²/s, 1]"""
    viscosity = air.air_viscosity(
        temperature=film, at_ice=air.VISCOSITY_AT_ICE, ice=air.ICE, constant=air.VISCOSITY_CONSTANT
    )
    conductivity = air.air_conductivity(
        temperature=film, at_ice=air.CONDUCTIVITY_AT_ICE, ice=air.ICE, constant=air.CONDUCTIVITY_CONSTANT
    )
    prandtl = air.prandtl(viscosity=viscosity, specific_heat=air.SPECIFIC_HEAT, conductivity=conductivity)
    return conductivity, air.kinematic_viscosity(viscosity=viscosity, density=density), prandtl


FILM = 313.15  # K: air in the films


@formula(
    symbol="G_c",
    equation="4 * pi * conductivity * height * count",
    source=Source("incropera-2007", "ch. 3, cylinder with even heat"),
    valid="heat leaves by the mantle; from the hottest point to the surface",
)
def core_of_cylinders(conductivity: Annotated[float, Unit("W/(m·K)")], height: Metre, count: Number) -> WattPerKelvin:
    """Conductance from the cores of round cells to their surfaces. [W/K]"""
    return 4.0 * np.pi * conductivity * height * count


@formula(
    symbol="G_c",
    equation="2 * conductivity * section / height * count",
    source=Source("incropera-2007", "ch. 3, wall with even heat"),
    valid="heat leaves by one edge, along the foils; from the hottest point to that edge",
)
def core_of_flat_cells(
    conductivity: Annotated[float, Unit("W/(m·K)")], section: Annotated[float, Unit("m²")], height: Metre, count: Number
) -> WattPerKelvin:
    """Conductance from the cores of flat cells to the edge by which they give off heat. [W/K]"""
    return 2.0 * conductivity * section / height * count


@formula(symbol="A_o", equation="length * width")
def section_of(length: Metre, width: Metre) -> Annotated[float, Unit("m²")]:
    """Section of a flat cell across its height. [m²]"""
    return length * width


@formula(symbol="G_c", equation="each * count")
def several_paths(each: WattPerKelvin, count: Number) -> WattPerKelvin:
    """Conductance of many equal ways side by side. [W/K]"""
    return each * count


@formula(symbol="V", equation="free * count * share / modules")
def flow_by_module(
    free: Annotated[float, Unit("m³/h")], count: Number, share: Fraction, modules: Number
) -> Annotated[float, Unit("m³/h")]:
    """What fans blow past each module. [m³/s]"""
    return free * count * share / modules


@formula(symbol="V", equation="each * modules")
def flow_of_modules(each: Annotated[float, Unit("m³/h")], modules: Number) -> Annotated[float, Unit("m³/h")]:
    """Air through all boxes, from that past each module. [m³/s]"""
    return each * modules


@formula(symbol="G", equation="conductance * share / modules")
def radiator_by_module(conductance: WattPerKelvin, share: Fraction, modules: Number) -> WattPerKelvin:
    """What a radiator sheds for each module. [W/K]"""
    return conductance * share / modules


@formula(
    symbol="G",
    equation="modules / (1 / inside + 1 / (plate * length * width))",
    source=Source("incropera-2007", "ch. 3"),
    valid="all heat leaves by the plate; every module alike",
)
def cells_to_coolant(
    modules: Number, inside: WattPerKelvin, plate: FilmCoefficient, length: Metre, width: Metre
) -> WattPerKelvin:
    """From the cores of the cells of a pack through its plates to the coolant. [W/K]"""
    return modules / (1.0 / inside + 1.0 / (plate * length * width))


class Stuff(NamedTuple):
    """What one module is made of, as heat sees it."""

    cells: Any  # 1
    core: Any  # J/K
    surface: Any
    case: Any
    inside: Any  # W/K

    def __str__(self) -> str:
        return "a module as heat sees it"


@procedure(
    symbol="M_h",
    words="half of the cells' heat capacity in their cores and half in their surfaces; the rest of the module is its case",
)
def stuff_of(
    cells: Number, cell_heat: JoulePerKelvin, case_heat: JoulePerKelvin, inside: WattPerKelvin
) -> Annotated[Stuff, Unit("1")]:
    """A module. `cell_heat` is that of all its cells. [SI]"""
    return Stuff(cells, cell_heat / 2.0, cell_heat / 2.0, case_heat, inside)


class Shell(NamedTuple):
    """The box around the modules."""

    length: Any  # m
    width: Any
    height: Any
    heat: Any  # J/K of the wall
    insulation: Any  # W/K through the whole wall
    air_share: Any  # 1: air past the wall by road speed
    emissivity: Any
    mounts: Any  # W/K
    warmer: Any  # K

    def __str__(self) -> str:
        return "the shell of a box"


@procedure(symbol="S_h", words="put together")
def shell_of(
    length: Metre, width: Metre, height: Metre, heat: JoulePerKelvin, insulation: WattPerKelvin, air_share: Fraction,
    emissivity: Fraction, mounts: WattPerKelvin, warmer: KelvinStep,
) -> Annotated[Shell, Unit("1")]:  # fmt: skip
    """The shell of a box. [SI]"""
    return Shell(length, width, height, heat, insulation, air_share, emissivity, mounts, warmer)


class Cooling(NamedTuple):
    """What carries heat out of a box: a stream of air, or coolant."""

    stream: Any  # m³/s of outside air through the box
    plate: Any  # W/(m²·K) from cell surfaces to coolant, by the bottom of a module
    standing: Any  # W/K of the radiator for each module, while the car stands
    moving: Any  # W/K of it at that road speed, and beyond it; straight between
    speed: Any  # m/s

    def __str__(self) -> str:
        return "cooling of a box"


@procedure(symbol="C_h", words="put together")
def cooling_of(
    stream: CubicMetrePerSecond, plate: FilmCoefficient, standing: WattPerKelvin, moving: WattPerKelvin, speed: MetrePerSecond
) -> Annotated[Cooling, Unit("1")]:  # fmt: skip
    """Cooling of each module; zeros where there is none, `standing` and `moving` of the radiator. [SI]"""
    return Cooling(stream, plate, standing, moving, speed)


@procedure(
    symbol="N_h",
    words="conductances by the laws of convection, radiation and conduction over the faces of the modules as they stand in the box",
    source=Source("incropera-2007", "ch. 3, 7, 9 and 13"),
    valid="closed box; modules in straight rows; air at 40 °C in the films, which moves its coefficients by 3 % for 20 K",
)
def box_of(
    count: Number,
    module_length: Metre,
    module_width: Metre,
    module_height: Metre,
    stuff: Stuff,
    shell: Shell,
    cooling: Cooling,
    packed: FilmCoefficient,
    gap: FilmCoefficient,
    floor: FilmCoefficient,
    film: Kelvin,
    density: KilogramPerCubicMetre,
    gravity: MetrePerSecondSquared,
) -> Annotated[Box, Unit("1")]:
    """A box with its modules as a network. [SI]

    `packed` is between cells and case, `gap` between neighbouring modules, `floor` between a module and the floor of the box.
    """
    sizes = (_middle(module_length), _middle(module_width), _middle(module_height))
    placed = layout_of(float(count), (_middle(shell.length), _middle(shell.width), _middle(shell.height)), sizes)
    area = 2.0 * (shell.length * shell.width + shell.length * shell.height + shell.width * shell.height)
    face = 2.0 * (module_length * module_width + module_length * module_height + module_width * module_height)
    radiates = heat_paths.radiation_coefficient(
        emissivity=heat_paths.emissivity_between(first=shell.emissivity, second=shell.emissivity),
        stefan=heat_paths.STEFAN, surface=film, surroundings=film,
    )  # fmt: skip
    inside = _inside(shell, cooling, placed, film, density, gravity, module_length)
    still, moving = _outside(shell, area, film, density, gravity)
    few = 1e-6 * float(count)
    middle, edge = max(placed.middle, few), max(placed.edge, few)
    alike = placed.edge == 0.0  # then the few that stand for the edge are as the others
    open_edge = placed.open_middle / middle * edge if alike else placed.open_edge
    floor_edge = placed.floor_middle / middle * edge if alike else placed.floor_edge
    bottom = module_length * module_width
    return Box(
        stuff.cells * middle, stuff.cells * edge, stuff.core * middle, stuff.core * edge, stuff.surface * middle,
        stuff.surface * edge, stuff.case * middle, stuff.case * edge, shell.heat, stuff.inside * middle,
        stuff.inside * edge, packed * face * middle, packed * face * edge, gap * placed.touching * (0.0 if alike else 1.0),
        radiates * placed.open_middle + floor * placed.floor_middle, radiates * open_edge + floor * floor_edge,
        vent_of(density, cooling.stream * count), shell.mounts, cooling.plate * bottom * middle,
        cooling.plate * bottom * edge, shell.warmer,
        inside * placed.open_middle, inside * open_edge, _times(inside, area), still, moving,
        _over_speed(cooling, count),
    )  # fmt: skip


def _over_speed(cooling: Cooling, count: Any) -> Any:
    """What the radiator sheds over the road speed. [W/K]"""
    if not np.any(cooling.standing) and not np.any(cooling.moving):
        return STEPS * 0.0
    steps = over_steps(STEPS * SPEED_STEP, cooling.standing, cooling.moving, cooling.speed)
    share = np.minimum(1.0, steps / cooling.speed)
    return count * (cooling.standing + (cooling.moving - cooling.standing) * share)


def vent_of(density: Any, flow: Any) -> Any:
    """The air in the box is as warm as the mean of what comes in and what goes out. [W/K]"""
    return 2.0 * heat_paths.stream_capacity(density=density, specific_heat=air.SPECIFIC_HEAT, flow=flow)


def free_section(shell: Shell) -> float:
    """Section of a box that is left for a stream of air. [m²]"""
    return FREE_SHARE * _middle(shell.width) * _middle(shell.height)


def _middle(size: Any) -> float:
    total: Any = np.sum(size)
    return float(total) / int(np.size(size))


def _times(table: Any, factor: Any) -> Any:
    """A table times a number, or times one of each sample."""
    return table[:, None] * factor if np.ndim(factor) and table.ndim == 1 else table * factor


def over_steps(values: Any, *others: Any) -> Any:
    """Steps of a table along the first axis, samples along the second where any of the others has them."""
    return values[:, None] if any(np.ndim(each) for each in others) else values


def _inside(shell: Shell, cooling: Cooling, placed: Layout, film: Any, density: Any, gravity: Any, length: Any) -> Any:
    """Film coefficient in the box over the difference: of still air, or of the stream if that is more. [W/(m²·K)]"""
    steps = over_steps(STEPS * DIFFERENCE_STEP, film, density, gravity, cooling.stream, length)
    still = still_air(steps, film, placed.height, density, gravity)
    speed = cooling.stream * (placed.middle + placed.edge) / free_section(shell)
    return np.maximum(still, moving_air(speed, film, length, density))


FREE_SHARE = 0.25  # of the box's section is left for a stream of air


def _outside(shell: Shell, area: Any, film: Any, density: Any, gravity: Any) -> tuple[Any, Any]:
    """Conductance from wall to outside, insulation and radiation included: over the difference, and over the road speed."""
    several = (film, density, gravity, area, *shell)
    radiates = heat_paths.radiation_coefficient(
        emissivity=shell.emissivity, stefan=heat_paths.STEFAN, surface=film, surroundings=film
    )
    still = still_air(over_steps(STEPS * DIFFERENCE_STEP, *several), film, shell.height, density, gravity)
    speed = shell.air_share * over_steps(STEPS * SPEED_STEP, *several)
    moving = moving_air(speed, film, shell.length, density)
    films = (heat_paths.film_conductance(film=each + radiates, area=area) for each in (still, moving))
    first, second = (heat_paths.one_after_the_other(first=shell.insulation, second=each) for each in films)
    return first, second
