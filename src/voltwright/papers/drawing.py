"""A drawing: a few primitives in millimetres of the real car on named layers, to be played back as SVG or DXF.

x runs rearwards from the front axle; upwards is z from the ground in a view from the side, the right of the middle in one from above.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

Point = tuple[float, float]
Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True)
class Layer:
    """How a layer is drawn: pen and dashes in millimetres of paper, grey from 0 (black) to 1 (white)."""

    name: str
    pen: float
    dash: tuple[float, ...] = ()
    grey: float = 0.0


@dataclass(frozen=True)
class Line:
    layer: str
    start: Point
    end: Point


@dataclass(frozen=True)
class Polyline:
    """`fill` is a grey, or None for an outline alone."""

    layer: str
    points: tuple[Point, ...]
    closed: bool = False
    fill: float | None = None


@dataclass(frozen=True)
class Circle:
    layer: str
    centre: Point
    radius: float
    fill: float | None = None


@dataclass(frozen=True)
class Rectangle:
    layer: str
    corner: Point
    width: float
    height: float
    fill: float | None = None


@dataclass(frozen=True)
class Text:
    """`size` is the body of the letters; `angle` in degrees anticlockwise; `at` lies on the base line."""

    layer: str
    at: Point
    text: str
    size: float
    anchor: Anchor = "start"
    bold: bool = False
    angle: float = 0.0


Primitive = Line | Polyline | Circle | Rectangle | Text


PAPER = "paper"  # the layer of what means nothing on a screen


@dataclass(frozen=True)
class Drawing:
    """`scale` is how many millimetres of the car one millimetre of paper shows."""

    title: str
    alt: str
    scale: int
    low: Point
    high: Point
    layers: tuple[Layer, ...]
    primitives: tuple[Primitive, ...]

    @property
    def paper_size(self) -> tuple[float, float]:
        """Width and height on paper. [mm]"""
        return (self.high[0] - self.low[0]) / self.scale, (self.high[1] - self.low[1]) / self.scale

    @property
    def on_screen(self) -> Drawing:
        """Without what means something on paper alone: the scale in numbers, and the revision."""
        return replace(self, primitives=tuple(each for each in self.primitives if each.layer != PAPER))

    def on(self, layer: str) -> Iterator[Primitive]:
        return (each for each in self.primitives if each.layer == layer)


_NARROW, _WIDE = frozenset("ijltfrI.,:;'|!()[] -·"), frozenset("mwMWGOQ@%→—")


def text_width(text: str, size: float, bold: bool = False) -> float:
    """About how wide a text is, rather too much than too little; layout must not depend on a font that is not there."""
    units = sum(
        0.34 if c in _NARROW else 0.88 if c in _WIDE else 0.66 if c.isupper() else 0.56 if ord(c) < 0x250 else 0.8
        for c in text
    )
    return units * size * (1.06 if bold else 1.0)
