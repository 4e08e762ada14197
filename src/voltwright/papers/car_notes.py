"""What is written around a side view: axle loads, the wheelbase, a legend with a scale bar, and the words of a lone sheet."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from voltwright.papers.cautions import FOOT, MARK_WORDS
from voltwright.papers.drawing import PAPER, Line, Point, Polyline, Primitive, Rectangle, Text, text_width
from voltwright.papers.inert import inert, shortened
from voltwright.papers.outline import Body
from voltwright.papers.symbols import after_symbol, before_symbol, part_mark, taken_mark
from voltwright.quantity.entry import Entry
from voltwright.quantity.figure import NO_FIGURE, Figure
from voltwright.quantity.units import Unit
from voltwright.rules.dossier import VERSION, Dossier

Sign = tuple[Callable[[Point, float], Iterator[Primitive]], str]


def printed(value: float, unit: str, decimals: int, system: str) -> str:
    """A value in SI as the chosen system of units prints it."""
    shown = Unit(unit)
    return Figure("", "", shown, decimals, shown.from_si(value)).printed(system)


def axle_notes(dossier: Dossier, body: Body, at: tuple[float, int], letters: float, system: str) -> Iterator[Primitive]:
    """The wheelbase below z, and under each wheel what its axle carries. `at` is z and one millimetre of paper."""
    z, p = at
    yield from _wheelbase(body, z, p, letters, f"wheelbase {printed(body.wheelbase / 1000, 'mm', 0, system)}")
    limits = dossier.build.donor.limits
    for axle, x, limit in (("front", 0.0, limits.front_axle), ("rear", body.wheelbase, limits.rear_axle)):
        for row, (line, bold) in enumerate(_axle_lines(dossier, axle, limit, system)):
            yield Text("labels", (x, z - (4.6 + 3.1 * row) * p), line, letters * p, "middle", bold)


def _axle_lines(dossier: Dossier, axle: str, limit: Entry | None, system: str) -> list[tuple[str, bool]]:
    def value(key: str) -> str:
        figure = dossier.figures.get(key)
        return figure.printed(system) if figure else NO_FIGURE

    before, after, laden = (value(f"mass.{axle}_axle{suffix}") for suffix in ("_before", "", "_laden"))
    most = f"limit {printed(limit.value, 'kg', 0, system)}" if limit else "limit not known"
    return [(f"{axle} axle {before} → {after}", True), (f"laden {laden}, {most}", False)]


def _wheelbase(body: Body, z: float, p: int, letters: float, words: str) -> Iterator[Primitive]:
    """A dimension with arrows between the wheel centres."""
    end = body.wheelbase
    for x, radius in ((0.0, body.radius_front), (end, body.radius_rear)):
        yield Line("dimensions", (x - 1.5 * p, radius), (x + 1.5 * p, radius))
        yield Line("dimensions", (x, radius + 1.5 * p), (x, radius - 1.5 * p))
        yield Line("dimensions", (x, -0.8 * p), (x, z - 1.2 * p))
    gap = text_width(words, letters * p) / 2 + 0.8 * p
    if end > 2 * gap + 6 * p:
        yield Line("dimensions", (0.0, z), (end / 2 - gap, z))
        yield Line("dimensions", (end / 2 + gap, z), (end, z))
    for x, way in ((0.0, 1), (end, -1)):
        tip = ((x, z), (x + way * 1.9 * p, z + 0.4 * p), (x + way * 1.9 * p, z - 0.4 * p))
        yield Polyline("dimensions", tip, closed=True, fill=0.0)
    yield Text("labels", (end / 2, z - 0.75 * p), words, letters * p, "middle")


def height_words(dossier: Dossier, system: str) -> tuple[str, str]:
    """Where the centres of gravity of donor and converted car lie, seen from the side."""

    def said(name: str, suffix: str) -> str:
        x, z = (dossier.figures.get(f"mass.cg_{axis}{suffix}") for axis in ("x", "height"))
        if x is None or z is None or x.value is None or z.value is None:
            return f"{name}: {NO_FIGURE}"
        return f"{name}: {x.printed(system)} behind the front axle, {z.printed(system)} high"

    return said("centre of gravity, donor", "_before"), said("converted, kerb", "")


def sideways_words(centres: tuple[Point | None, Point | None], system: str) -> tuple[str, str]:
    """The same, seen from above: how far to the right of the middle each lies. `centres` in millimetres."""

    def said(name: str, at: Point | None) -> str:
        if at is None:
            return f"{name}: {NO_FIGURE}"
        behind, aside = (printed(abs(each) / 1000, "m", 3, system) for each in at)
        nothing = printed(0.0, "m", 3, system)
        where = "in the middle" if aside == nothing else f"{aside} to the {'right' if at[1] > 0 else 'left'}"
        return f"{name}: {behind} behind the front axle, {where}"

    return said("centre of gravity, donor", centres[0]), said("converted, kerb", centres[1])


def legend(
    centres: tuple[str, str], corner: Point, edge: tuple[float, int], letters: float, *more: Sign
) -> Iterator[Primitive]:
    """The symbols and what they mean, and a bar of one metre at the right. `edge` is x and one millimetre of paper."""
    right, p = edge
    upper: tuple[Sign, ...] = ((part_mark, "goes in"), (taken_mark, "comes out"), (_box_mark, "battery box"), *more)
    lower: tuple[Sign, ...] = ((before_symbol, centres[0]), (after_symbol, centres[1]))
    yield from _signs(upper, (corner[0], corner[1] + 5.0 * p), p, letters)
    yield from _signs(lower, corner, p, letters)
    yield from _scale_bar((right - 1000.0 - 3.5 * p, corner[1] + 5.0 * p), p, letters)


def _signs(signs: tuple[Sign, ...], corner: Point, p: int, letters: float) -> Iterator[Primitive]:
    x, z = corner[0] + 3.0 * p, corner[1]
    for sign, words in signs:
        yield from sign((x, z + 0.8 * p), p)
        yield Text("labels", (x + 3.4 * p, z), words, letters * p)
        x += 3.4 * p + text_width(words, letters * p) + 4.0 * p


def _box_mark(at: Point, p: float) -> Iterator[Primitive]:
    yield Rectangle("boxes", (at[0] - 1.8 * p, at[1] - 1.1 * p), 3.6 * p, 2.2 * p, fill=0.86)


def seat_mark(at: Point, p: float) -> Iterator[Primitive]:
    """A seat: a plain square."""
    yield Rectangle("seats", (at[0] - 1.2 * p, at[1] - 1.2 * p), 2.4 * p, 2.4 * p)


def _scale_bar(corner: Point, p: int, letters: float) -> Iterator[Primitive]:
    x, z = corner
    for part in range(4):
        yield Rectangle("scale", (x + 250.0 * part, z), 250.0, 0.9 * p, fill=0.0 if part % 2 == 0 else 1.0)
    for share, words in ((0.0, "0"), (0.5, "0.5"), (1.0, "1 m")):
        yield Text("labels", (x + 1000.0 * share, z + 1.8 * p), words, letters * p * 0.9, "middle")
    yield Text(PAPER, (x - 2.0 * p, z), f"scale 1:{p}", letters * p, "end")


def sheet_notes(dossier: Dossier, low: Point, high: Point, p: int) -> tuple[list[Primitive], float, float]:
    """Title, revision and caution of a sheet of its own, and the mark across it; with the new lower and upper edge."""
    left, right, middle = low[0] + 2.0 * p, high[0] - 2.0 * p, (low[0] + high[0]) / 2
    top, bottom = high[1] + 3.0 * p, low[1] - 3.0 * p
    revision = f"revision {dossier.fingerprint[:12]}, Voltwright {VERSION}"
    made: list[Primitive] = [
        Text("labels", (left, top), shortened(inert(dossier.build.title), 70), 3.4 * p, bold=True),
        Text(PAPER, (right, top), revision, 2.3 * p, "end"),
        Text("labels", (middle, bottom), FOOT, 2.3 * p, "middle"),
    ]
    if dossier.not_for_building:
        centre = (low[1] + high[1]) / 2 - 4.0 * p
        made.append(Text("mark", (middle, centre), MARK_WORDS, 15.0 * p, "middle", bold=True, angle=18.0))
    return made, bottom - 2.5 * p, top + 5.0 * p
