"""The small symbols of a side view. Shape and dash tell them apart, never colour; sizes are millimetres of paper."""

from __future__ import annotations

import math
from collections.abc import Iterator

from voltwright.papers.drawing import Circle, Line, Point, Polyline, Primitive, Rectangle

MARK = 1.5  # half the size of what came out, the whole size of what goes in
CENTRE = 1.8  # radius of a centre of gravity


def part_mark(at: Point, p: float) -> Iterator[Primitive]:
    """A part that goes in: a small solid square."""
    side = MARK * p
    yield Rectangle("parts", (at[0] - side / 2, at[1] - side / 2), side, side, fill=0.0)


def taken_mark(at: Point, p: float) -> Iterator[Primitive]:
    """What came out: a dashed circle, crossed out."""
    radius = MARK * p
    yield Circle("out", at, radius, fill=1.0)
    reach = radius * math.sqrt(0.5)
    yield Line("out", (at[0] - reach, at[1] - reach), (at[0] + reach, at[1] + reach))
    yield Line("out", (at[0] - reach, at[1] + reach), (at[0] + reach, at[1] - reach))


def before_symbol(at: Point, p: float) -> Iterator[Primitive]:
    """The centre of gravity of the donor: an open circle with cross hairs."""
    yield Circle("cg", at, CENTRE * p, fill=1.0)
    yield from _hairs(at, p)


def after_symbol(at: Point, p: float) -> Iterator[Primitive]:
    """The centre of gravity of the converted car: a circle of which two quarters are filled."""
    yield Circle("cg", at, CENTRE * p, fill=1.0)
    for start in (0, 180):
        arc = [_on_circle(at, CENTRE * p, start + 10 * step) for step in range(10)]
        yield Polyline("cg", (at, *arc), closed=True, fill=0.0)
    yield from _hairs(at, p)


def _on_circle(at: Point, radius: float, degrees: float) -> Point:
    return at[0] + radius * math.cos(math.radians(degrees)), at[1] + radius * math.sin(math.radians(degrees))


def _hairs(at: Point, p: float) -> Iterator[Primitive]:
    reach = CENTRE * 1.5 * p
    yield Line("cg", (at[0] - reach, at[1]), (at[0] + reach, at[1]))
    yield Line("cg", (at[0], at[1] - reach), (at[0], at[1] + reach))
