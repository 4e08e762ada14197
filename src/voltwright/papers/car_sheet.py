"""What every view of the car to scale shares: the sheet, what goes in and comes out, centres of gravity, and their labels."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from voltwright.build.document import Build
from voltwright.build.fitted import Box
from voltwright.papers.car_notes import sheet_notes
from voltwright.papers.drawing import PAPER, Drawing, Layer, Line, Point, Primitive, Rectangle, Text, text_width
from voltwright.papers.inert import inert, shortened
from voltwright.papers.labels import Placed, Rows, Segment, Wanted, staggered
from voltwright.papers.outline import Body
from voltwright.papers.symbols import MARK, after_symbol, before_symbol, part_mark, taken_mark
from voltwright.parts.tyres import marking_or_none
from voltwright.quantity.entry import Entry
from voltwright.rules.dossier import Dossier

LAYERS = (
    Layer("mark", 0.10, grey=0.80), Layer("ground", 0.35), Layer("body", 0.30), Layer("glass", 0.15, grey=0.35), Layer("wheels", 0.30),
    Layer("middle", 0.12, dash=(3.0, 0.8, 0.6, 0.8), grey=0.35), Layer("seats", 0.15, grey=0.35),
    Layer("boxes", 0.50), Layer("leaders", 0.10, grey=0.35), Layer("out", 0.22, dash=(0.55, 0.45)), Layer("parts", 0.20),
    Layer("cg", 0.25), Layer("dimensions", 0.12), Layer("scale", 0.15), Layer("labels", 0.10), Layer(PAPER, 0.10),
)  # fmt: skip
WIDTH = 174.0  # mm of paper, the width of the text on a page
SCALES = (5, 8, 10, 15, 20, 25, 30, 35, 40, 45, 50, 60, 75, 100, 125, 150, 200, 300)
ROOM_AT_SIDES, TALLEST = 4.5, 58.0  # mm of paper beside the car, and for the car itself seen from the side
LETTERS = 2.3  # mm of paper
MOST_TAKEN = 12
DEFAULT_CLEARANCE = 150.0  # mm, for the picture alone where none is entered
DEFAULT_RADIUS = 300.0  # mm, for the picture alone where the text on a tyre is no marking


class Located(Protocol):
    """Something with a place in the car."""

    @property
    def x(self) -> Entry: ...
    @property
    def y(self) -> Entry | None: ...
    @property
    def z(self) -> Entry: ...


@dataclass(frozen=True)
class View:
    """From where the car is seen: how places and boxes lie on the paper, and where a centre of gravity does."""

    see: Callable[[Located], Point]
    tall: Callable[[Box], float]
    centre: Callable[[Dossier, str], Point | None]


@dataclass(frozen=True)
class Sheet:
    """The car and the scale in which everything else is laid out; `p` is one millimetre of paper."""

    body: Body
    left: float
    right: float
    top: float
    p: int


def mm(metres: float) -> float:
    return metres * 1000.0


def value_of(dossier: Dossier, key: str) -> float | None:
    """A figure, where it is known."""
    figure = dossier.figures.get(key)
    return figure.value if figure else None


def on_its_own(made: Drawing, dossier: Dossier) -> Drawing:
    """A view as a sheet of its own, with title, mark and caution."""
    extra, low, high = sheet_notes(dossier, made.low, made.high, made.scale)
    edges = {"low": (made.low[0], low), "high": (made.high[0], high)}
    return replace(made, primitives=(*made.primitives, *extra), **edges)


def body_of(build: Build) -> Body:
    """The entered size of the donor."""
    size, tyres = build.donor.size, build.donor.tyres
    clearance = mm(size.ground_clearance.value) if size.ground_clearance else DEFAULT_CLEARANCE
    return Body(
        build.donor.body, mm(size.length.value), mm(size.height.value), mm(size.wheelbase.value), mm(size.front_overhang.value),
        clearance, _radius(tyres.front), _radius(tyres.rear),
    )  # fmt: skip


def _radius(marking: str) -> float:
    """What a tyre is drawn with. [mm]"""
    tyre = marking_or_none(marking)
    return mm(tyre.diameter) / 2 if tyre else DEFAULT_RADIUS


def sheet_of(build: Build) -> Sheet:
    """The largest usual scale at which everything with a place fits on the width of a page; the same for every view."""
    body = body_of(build)
    corners = [(body.nose, 0.0), (body.tail, body.height), *_places(build)]
    left, right = min(x for x, _ in corners), max(x for x, _ in corners)
    top = max(z for _, z in corners)
    scale = next(
        (s for s in SCALES if right - left <= (WIDTH - 2 * ROOM_AT_SIDES) * s and top <= TALLEST * s), SCALES[-1]
    )
    middle = (left + right) / 2
    return Sheet(body, middle - WIDTH / 2 * scale, middle + WIDTH / 2 * scale, top, scale)


def _places(build: Build) -> Iterator[Point]:
    for box in build.pack.boxes:
        for sign in (-0.5, 0.5):
            yield mm(box.x.value + sign * box.length.value), mm(box.z.value + sign * box.height.value)
    for _, placed in build.placed():
        yield mm(placed.x.value), mm(placed.z.value)
    for thing in build.donor.removed:
        yield mm(thing.x.value), mm(thing.z.value)


def contents(dossier: Dossier, view: View, p: int) -> Iterator[Primitive]:
    """Boxes, what goes in, what came out, and the centres of gravity before and after."""
    build = dossier.build
    for box in build.pack.boxes:
        x, up = view.see(box)
        yield Rectangle(
            "boxes",
            (x - mm(box.length.value) / 2, up - view.tall(box) / 2),
            mm(box.length.value),
            view.tall(box),
            fill=0.86,
        )
    for thing in build.donor.removed:
        yield from taken_mark(view.see(thing), p)
    for _, placed in build.placed():
        yield from part_mark(view.see(placed), p)
    for symbol, suffix in ((before_symbol, "_before"), (after_symbol, "")):
        at = view.centre(dossier, suffix)
        if at is not None:
            yield from symbol(at, p)


_NAMES = {
    "drive.motor": "motor",
    "drive.inverter": "inverter",
    "drive.gearing.gear_unit": "gear unit",
    "charging.charger": "charger",
    "low_voltage.dc_dc": "DC-DC",
    "low_voltage.battery": "12 V battery",
    "comfort.cabin_heater": "cabin heater",
    "comfort.pack_heater": "pack heater",
}


def labels(
    dossier: Dossier, view: View, sheet: Sheet, ends: tuple[float, float], fences: Sequence[Segment]
) -> tuple[tuple[Placed, ...], tuple[Placed, ...]]:
    """What goes in, named above the upper end of the car, and what comes out, below the lower one."""
    going_in = _beside(sheet, tuple(_going_in(dossier, view, sheet.p)), ends[1] + 4.5 * sheet.p, 1, ())
    coming_out = _beside(sheet, tuple(_coming_out(dossier.build, view, sheet.p)), ends[0] - 4.2 * sheet.p, -1, fences)
    return going_in, coming_out


def _going_in(dossier: Dossier, view: View, p: int) -> Iterator[Wanted]:
    build = dossier.build
    for box in build.pack.boxes:
        count = f"{box.modules} module{'' if box.modules == 1 else 's'}"
        x, up = view.see(box)
        yield _wanted(f"box {box.name}: {count}", (x, up + view.tall(box) / 2), p, bold=True)
    for path, placed in build.placed():
        name = _NAMES.get(path) or dossier.case.shelf.any(placed.part).title.partition(",")[0]
        name = f"{placed.count} × {name}" if placed.count > 1 else name
        x, up = view.see(placed)
        yield _wanted(name, (x, up + MARK / 2 * p), p)


def _coming_out(build: Build, view: View, p: int) -> Iterator[Wanted]:
    heaviest = sorted(build.donor.removed, key=lambda each: -each.mass.value * each.count)
    for thing in heaviest[:MOST_TAKEN]:
        x, up = view.see(thing)
        yield _wanted(thing.name, (x, up - MARK * p), p)


def _wanted(text: str, mark: Point, p: int, *, bold: bool = False) -> Wanted:
    short = shortened(inert(text), 30)
    return Wanted(short, mark, text_width(short, LETTERS * p, bold), bold)


def _beside(
    sheet: Sheet, wanted: tuple[Wanted, ...], first: float, way: int, fences: Sequence[Segment]
) -> tuple[Placed, ...]:
    rows = Rows(first, way * 3.3 * sheet.p, LETTERS * sheet.p, sheet.left, sheet.right)
    return staggered(wanted, rows, tuple(fences))


def written(labels: Sequence[Placed], p: int) -> Iterator[Primitive]:
    """The texts and their lines to the marks."""
    for each in labels:
        yield Line("leaders", each.wanted.mark, each.foot)
        x = each.at[0] + each.wanted.width / 2
        yield Text("labels", (x, each.at[1]), each.wanted.text, LETTERS * p, "middle", each.wanted.bold)
