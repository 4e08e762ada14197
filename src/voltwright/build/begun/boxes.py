"""Boxes for so many modules: where such cars have room, as large as the modules need, and inside the outline of the car."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from voltwright.build.begun.car import Car
from voltwright.build.begun.writing import Assumed, Chosen, about
from voltwright.parts.battery import Module

HIGHEST = 5.0  # m, that a build file may name; the checks then say that the modules do not go in
FAR = 0.25  # of all modules, away from the usual share of the front
WALL, GAP, LID = 0.025, 0.006, 0.06  # m: of a box, between modules, and above them for links and monitors


@dataclass(frozen=True)
class Room:
    """A place for a box. Lengths in m: from x `start` to `end`, across, up from `floor`."""

    name: str
    start: float
    end: float
    width: float
    floor: float
    height: float


@dataclass(frozen=True)
class Outside:
    """The outside of a box. [m]"""

    length: float
    width: float
    height: float


def rooms_of(car: Car) -> tuple[Room, ...]:
    """Where boxes usually go in such a car. The motor takes the end of the engine bay where no gearbox stays behind it."""
    base = car.wish.wheelbase
    bay = car.engine_x - 0.05 if car.wish.text.keep_gearbox else car.engine_x + 0.12
    rear = base - 0.28 if car.habit.rear_places < 3 else base - 0.18
    known = {
        "front": Room("front", car.nose + 0.14, bay, car.track - 0.42, 0.32, 0.46),
        "tank": Room("tank", rear, car.tail - 0.14, car.track - 0.24, 0.31, 0.50),
        "under-floor": Room(
            "under-floor", 0.42 * base, 0.88 * base, car.track - 0.36, car.habit.ground_clearance + 0.05, 0.34
        ),
    }
    return tuple(known[name] for name in car.habit.boxes)


def boxed(room: Room, module: Module, count: int) -> Outside:
    """The lowest box, and of those the smallest, in which so many modules stand on their feet.

    Where the room is too short or too narrow for one module, the box is larger than the room.
    """
    known = (module.length.value, module.width.value)
    found = (_stood(room, along, across, module.height.value, count) for along, across in (known, known[::-1]))
    return min(found, key=lambda each: (_beyond(room, each) > 0, each.height, each.length * each.width))


def _stood(room: Room, along: float, across: float, height: float, count: int) -> Outside:
    rows, files = (
        max(1, math.floor((space - 2 * WALL + GAP) / (side + GAP)))
        for space, side in ((room.end - room.start, along), (room.width, across))
    )
    layers = math.ceil(count / (rows * files))
    each = math.ceil(count / layers)
    files = min(files, each)
    rows = math.ceil(each / files)
    files = math.ceil(each / rows)
    return Outside(_outside(rows, along), _outside(files, across), min(layers * (height + GAP) + WALL + LID, HIGHEST))


def _outside(number: int, side: float) -> float:
    return math.ceil(100 * (number * (side + GAP) - GAP + 2 * WALL)) / 100


def _beyond(room: Room, box: Outside) -> float:
    return max(box.length - (room.end - room.start), box.width - room.width, 0.0)


def most_in(room: Room, module: Module) -> int:
    """How many modules stand in a room."""
    count = 0
    while count < 1000:
        box = boxed(room, module, count + 1)
        if _beyond(room, box) or box.height > room.height + 1e-9:
            return count
        count += 1
    return count


def spread_out(car: Car, series: int, parallel: int) -> tuple[int, ...]:
    """How many modules each room gets, by the usual shares: in whole strings, unless that leaves the axles far from them.

    What has no room goes into the last one, and the tool then says so.
    """
    shares, total = tuple(car.habit.boxes.values()), series * parallel
    most = [most_in(room, car.wish.module) for room in rooms_of(car)]
    for step in (series, 1) if parallel > 1 else (1,):
        holds = [each // step * step for each in most]
        if sum(holds) >= total:
            put = _filled(total, step, shares, holds)
            if step == 1 or abs(put[0] / total - shares[0]) <= FAR:
                return put
    first = min(most[0], total)
    return (first, total - first)


def _filled(total: int, step: int, shares: tuple[float, ...], holds: list[int]) -> tuple[int, ...]:
    """In steps, always into the room that is farthest from its share and not full."""
    put = [0] * len(holds)
    while sum(put) < total:
        free = [at for at in range(len(put)) if put[at] + step <= holds[at]]
        put[min(free, key=lambda at: (put[at] + step / 2) / shares[at])] += step
    return tuple(put)


def boxes_of(car: Car, series: int, parallel: int) -> Iterator[dict[str, Any]]:
    """The boxes with modules in them, as the build file has them."""
    for room, count in zip(rooms_of(car), spread_out(car, series, parallel), strict=True):
        if count:
            yield _box(car, room, count)


def _box(car: Car, room: Room, count: int) -> dict[str, Any]:
    module = car.wish.module
    box = boxed(room, module, count)
    middle = (room.start + room.end) / 2
    half = box.length / 2
    x = min(max(middle, car.nose + half + 0.02), car.tail - half - 0.02)
    size = "as large as these modules need, with walls, gaps and room for links; draw it, and mend this"
    place = "where such cars have room; measure it, and make a model of card"
    empty = 6.0 + 0.08 * count * module.mass.value
    mass = "a sheet-metal box with monitors, links and contactors; weigh it"
    return {
        "name": room.name,
        "modules": Chosen(count, "by the room and the axle loads that such cars have"),
        "mass": Assumed(about(empty, "kg", 0.3 * empty), mass),
        "x": Assumed(f"{x:.2f} m", place),
        "z": Assumed(f"{room.floor + box.height / 2:.2f} m", place),
        "length": Assumed(f"{1000 * box.length:.0f} mm", size),
        "width": Assumed(f"{1000 * box.width:.0f} mm", size),
        "height": Assumed(f"{1000 * box.height:.0f} mm", size),
    }
