"""Finds places for labels beside a drawing: rows of text, each tied to its mark by a line, and nothing on top of anything."""

from __future__ import annotations

import functools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from voltwright.papers.drawing import Point

Box = tuple[float, float, float, float]  # x low, z low, x high, z high
Segment = tuple[Point, Point]
TRIES = 6


@dataclass(frozen=True)
class Wanted:
    """A text of a known width that belongs to a mark."""

    text: str
    mark: Point
    width: float
    bold: bool = False


@dataclass(frozen=True)
class Placed:
    """Where the text begins (its base line), and where its line to the mark ends."""

    wanted: Wanted
    at: Point
    foot: Point


@dataclass(frozen=True)
class Rows:
    """Rows that grow away from the car: `first` is the base line of the nearest, `step` the way to the next (negative below)."""

    first: float
    step: float
    size: float
    low: float
    high: float
    most: int = 12

    def box(self, x: float, width: float, z: float) -> Box:
        gap = 0.25 * self.size
        return x - gap, z - 0.30 * self.size, x + width + gap, z + 0.85 * self.size


@functools.lru_cache(maxsize=64)
def staggered(labels: tuple[Wanted, ...], rows: Rows, fences: tuple[Segment, ...] = ()) -> tuple[Placed, ...]:
    """A place for each label, from the front backwards: near its mark, no text over another text or line, few lines crossed.

    `fences` are lines of the drawing that no text may cover. Labels that find no room come first in the next try. It takes a
    while, and most edits of a build move no label.
    """
    order = sorted(labels, key=lambda each: each.mark)
    best, fewest = _in_order(order, rows, fences)
    lost = fewest
    for _ in range(TRIES):
        if not lost:
            break
        order = [*(order[index] for index in lost), *(each for n, each in enumerate(order) if n not in lost)]
        placed, lost = _in_order(order, rows, fences)
        if len(lost) < len(fewest):
            best, fewest = placed, lost
    return tuple(best)


def _in_order(order: Sequence[Wanted], rows: Rows, fences: Sequence[Segment]) -> tuple[list[Placed], list[int]]:
    """Each label in its turn at the best place that is left, and which of them found none within the rows."""
    taken: list[Box] = []
    lines = list(fences)
    result: list[Placed] = []
    lost: list[int] = []
    for index, wanted in enumerate(order):
        placed = _best(wanted, rows, taken, lines)
        if placed is None:
            lost.append(index)
            placed = _beyond(wanted, rows, taken)
        taken.append(rows.box(placed.at[0], wanted.width, placed.at[1]))
        lines.append((wanted.mark, placed.foot))
        result.append(placed)
    return result, lost


def _best(wanted: Wanted, rows: Rows, taken: list[Box], lines: list[Segment]) -> Placed | None:
    """The free place that costs least, the first of its like. The nearest are tried first, so that few have to be."""
    places = sorted((_apart(each, rows), number, each) for number, each in enumerate(_places(wanted, rows)))
    best, least = None, (math.inf, 0)
    for apart, number, place in places:
        if apart > least[0]:
            break
        if _is_free(place, rows, taken, lines):
            cost = apart + _crossed(place, rows, lines), number
            if cost < least:
                best, least = place, cost
    return best


def _places(wanted: Wanted, rows: Rows) -> Iterator[Placed]:
    for row in range(rows.most):
        z = rows.first + row * rows.step
        end = z - 0.25 * rows.size if rows.step > 0 else z + 0.85 * rows.size
        for x, foot_x in _offers(wanted, rows):
            yield Placed(wanted, (x, z), (foot_x, end))


def _is_free(place: Placed, rows: Rows, taken: list[Box], lines: list[Segment]) -> bool:
    box = rows.box(place.at[0], place.wanted.width, place.at[1])
    line = (place.wanted.mark, place.foot)
    return not (
        any(_overlap(box, other) for other in taken)
        or any(_crosses(*other, box) for other in lines)
        or any(_crosses(*line, other) for other in taken)
    )


def _apart(place: Placed, rows: Rows) -> float:
    """What a place costs by where it is: a slanted line is worse than a further row."""
    return abs(place.at[1] - rows.first) + 1.5 * abs(place.foot[0] - place.wanted.mark[0])


def _crossed(place: Placed, rows: Rows, lines: list[Segment]) -> float:
    """What it costs by the lines that its own crosses, which is worst."""
    return 6.0 * rows.size * sum(_cut((place.wanted.mark, place.foot), other) for other in lines)


def _beyond(wanted: Wanted, rows: Rows, taken: list[Box]) -> Placed:
    """Where every row is full: a row of its own beyond them all."""
    edge = max([rows.most * abs(rows.step), *(max(abs(box[1]), abs(box[3])) - abs(rows.first) for box in taken)])
    z = rows.first + (edge + abs(rows.step)) * (1 if rows.step > 0 else -1)
    return Placed(wanted, (rows.low, z), (rows.low, z))


def _offers(wanted: Wanted, rows: Rows) -> list[tuple[float, float]]:
    """Where in a row the text may begin, and where its line then meets it: over the mark, then to either side."""
    x, width, inset = wanted.mark[0], wanted.width, min(wanted.width / 2, 1.2 * rows.size)
    starts = [x - width / 2, x - inset, x - width + inset]
    for shift in (1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 11.0, 14.0, 18.0):
        starts += [x - inset + shift * rows.size, x - width + inset - shift * rows.size]
    result: list[tuple[float, float]] = []
    for start in starts:
        fitted = max(rows.low, min(start, rows.high - width))
        result.append((fitted, max(fitted + inset, min(x, fitted + width - inset))))
    return result


def _overlap(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _crosses(start: Point, end: Point, box: Box) -> bool:
    """Whether a straight line meets a box (clipping it side by side)."""
    (ax, az), (bx, bz), (low_x, low_z, high_x, high_z) = start, end, box
    if (ax <= low_x and bx <= low_x) or (ax >= high_x and bx >= high_x):
        return False
    if (az <= low_z and bz <= low_z) or (az >= high_z and bz >= high_z):
        return False
    enter, leave = 0.0, 1.0
    for axis in (0, 1):
        low, high, way = box[axis], box[axis + 2], end[axis] - start[axis]
        if abs(way) < 1e-9:
            if not low < start[axis] < high:
                return False
            continue
        first, last = sorted(((low - start[axis]) / way, (high - start[axis]) / way))
        enter, leave = max(enter, first), min(leave, last)
    return enter < leave


def _cut(one: Segment, other: Segment) -> bool:
    """Whether two lines cross."""

    def side(a: Point, b: Point, c: Point) -> float:
        return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])

    return side(*one, other[0]) * side(*one, other[1]) < 0 and side(*other, one[0]) * side(*other, one[1]) < 0
