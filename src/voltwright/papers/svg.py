"""Plays a drawing back as SVG, to scale when printed: sizes are in millimetres of paper."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from xml.sax.saxutils import escape, quoteattr

from voltwright.papers.drawing import (
    Circle,
    Drawing,
    Layer,
    Line,
    Point,
    Polyline,
    Primitive,
    Rectangle,
    Text,
    text_width,
)
from voltwright.papers.inert import inert

FONT = "Clear Sans"


def svg(drawing: Drawing) -> str:
    """The drawing as one SVG document; text is escaped."""
    width, height = drawing.paper_size
    low, high, scale = drawing.low, drawing.high, drawing.scale
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(width)}mm" height="{_n(height)}mm"'
        f' viewBox="0 0 {_n(high[0] - low[0])} {_n(high[1] - low[1])}" role="img"'
        f' font-family="{FONT}, sans-serif" stroke-linejoin="round" stroke-linecap="round">',
        f"<title>{_text(drawing.title)}</title>",
        f"<desc>{_text(drawing.alt)}</desc>",
    ]

    def place(point: Point) -> Point:
        return point[0] - low[0], high[1] - point[1]

    for layer in drawing.layers:
        lines.append(f'<g id={quoteattr(layer.name)} fill="none" {_pen(layer, scale)}>')
        lines += [_DRAW[type(each)](each, layer, place) for each in drawing.on(layer.name)]
        lines.append("</g>")
    return "\n".join([*lines, "</svg>", ""])


def _n(value: float) -> str:
    """A tenth of a millimetre of the car is finer than any pen."""
    return f"{round(value, 1):g}" if abs(value) < 1e5 else f"{value:.1f}"


def _text(text: str) -> str:
    return escape(inert(text))


def _grey(value: float) -> str:
    part = f"{round(255 * min(1.0, max(0.0, value))):02x}"
    return f"#{part * 3}"


def _pen(layer: Layer, scale: int) -> str:
    dash = f' stroke-dasharray="{" ".join(_n(each * scale) for each in layer.dash)}"' if layer.dash else ""
    return f'stroke="{_grey(layer.grey)}" stroke-width="{_n(layer.pen * scale)}"{dash}'


def _fill(value: float | None) -> str:
    return "" if value is None else f' fill="{_grey(value)}"'


Place = Callable[[Point], Point]


def _line(each: Line, layer: Layer, place: Place) -> str:
    (x1, y1), (x2, y2) = place(each.start), place(each.end)
    return f'<line x1="{_n(x1)}" y1="{_n(y1)}" x2="{_n(x2)}" y2="{_n(y2)}"/>'


def _polyline(each: Polyline, layer: Layer, place: Place) -> str:
    points = " ".join(f"{_n(x)},{_n(y)}" for x, y in map(place, each.points))
    return f'<{"polygon" if each.closed else "polyline"} points="{points}"{_fill(each.fill)}/>'


def _circle(each: Circle, layer: Layer, place: Place) -> str:
    x, y = place(each.centre)
    return f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(each.radius)}"{_fill(each.fill)}/>'


def _rectangle(each: Rectangle, layer: Layer, place: Place) -> str:
    x, y = place((each.corner[0], each.corner[1] + each.height))
    return f'<rect x="{_n(x)}" y="{_n(y)}" width="{_n(each.width)}" height="{_n(each.height)}"{_fill(each.fill)}/>'


def _letters(each: Text, layer: Layer, place: Place) -> str:
    x, y = place(each.at)
    turn = f' transform="rotate({_n(-each.angle)} {_n(x)} {_n(y)})"' if each.angle else ""
    weight = ' font-weight="bold"' if each.bold else ""
    where = f'x="{_n(x)}" y="{_n(y)}" font-size="{_n(each.size)}" text-anchor="{each.anchor}"{weight}{turn}'
    # Where the reader has other fonts, a text still takes the room that the layout gave it.
    room = f'textLength="{_n(text_width(each.text, each.size, each.bold))}" lengthAdjust="spacingAndGlyphs"'
    return f'<text {where} {room} fill="{_grey(layer.grey)}" stroke="none">{_text(each.text)}</text>'


_DRAW: dict[type[Primitive], Callable[[Any, Layer, Place], str]] = {
    Line: _line, Polyline: _polyline, Circle: _circle, Rectangle: _rectangle, Text: _letters,
}  # fmt: skip
