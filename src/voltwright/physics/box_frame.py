"""A battery box but for what cools it, and the same with a stream of air that is changed again and again."""

from __future__ import annotations

from typing import Annotated, Any, NamedTuple

import numpy as np

from voltwright.physics.battery_box import Box, Shell, Stuff, free_section, moving_air, over_steps, vent_of
from voltwright.physics.free_convection import FilmCoefficient
from voltwright.quantity.formula import procedure
from voltwright.quantity.types import Kelvin, KilogramPerCubicMetre, Metre, MetrePerSecondSquared, Number
from voltwright.quantity.units import Unit


class Frame(NamedTuple):
    """All of a box but what cools it."""

    count: Any
    module_length: Any
    module_width: Any
    module_height: Any
    stuff: Stuff
    shell: Shell
    packed: Any
    gap: Any
    floor: Any
    film: Any
    density: Any
    gravity: Any

    def __str__(self) -> str:
        return "a box and its modules, whatever cools them"


@procedure(symbol="N_h", words="put together")
def frame_of(
    count: Number, module_length: Metre, module_width: Metre, module_height: Metre, stuff: Stuff, shell: Shell,
    packed: FilmCoefficient, gap: FilmCoefficient, floor: FilmCoefficient, film: Kelvin, density: KilogramPerCubicMetre,
    gravity: MetrePerSecondSquared,
) -> Annotated[Frame, Unit("1")]:  # fmt: skip
    """A box without what cools it; see `box_of`. [SI]"""
    return Frame(
        count, module_length, module_width, module_height, stuff, shell, packed, gap, floor, film, density, gravity
    )


def blown_through(still: Box, frame: Frame, stream: Any) -> Box:
    """A box that was put together without a stream, with one: as `box_of` would make it, and much sooner. [SI]"""
    shell, count = frame.shell, float(frame.count)
    area = 2.0 * (shell.length * shell.width + shell.length * shell.height + shell.width * shell.height)
    film = moving_air(stream * count / free_section(shell), frame.film, frame.module_length, frame.density)
    more = np.maximum(
        1.0, film / (over_steps(still.air_wall, film) if still.air_wall.ndim == 1 else still.air_wall) * area
    )
    middle, edge, wall = (
        (over_steps(each, film) if each.ndim == 1 else each) * more for each in (still.air_middle, still.air_edge, still.air_wall)
    )  # fmt: skip
    return still._replace(vent=vent_of(frame.density, stream * count), air_middle=middle, air_edge=edge, air_wall=wall)
