"""The side view to scale: body, boxes, what goes in and comes out, centre of gravity, and what the axles carry."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from voltwright.build.document import Build
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
from voltwright.papers.inert import inert, shortened
from voltwright.papers.labels import Placed, Rows, Segment, Wanted, staggered
from voltwright.papers.outline import Body, outline, window
from voltwright.papers.side_view_notes import axle_notes, legend, sheet_notes
from voltwright.papers.symbols import MARK, after_symbol, before_symbol, part_mark, taken_mark
from voltwright.parts.tyres import marking_or_none
from voltwright.rules.dossier import Dossier

LAYERS = (
    Layer("mark", 0.10, grey=0.80), Layer("ground", 0.35), Layer("body", 0.30), Layer("glass", 0.15, grey=0.35), Layer("wheels", 0.30),
    Layer("boxes", 0.50), Layer("leaders", 0.10, grey=0.35), Layer("out", 0.22, dash=(0.55, 0.45)), Layer("parts", 0.20),
    Layer("cg", 0.25), Layer("dimensions", 0.12), Layer("scale", 0.15), Layer("labels", 0.10),
)  # fmt: skip
WIDTH = 174.0  # mm of paper, the width of the text on a page
SCALES = (5, 8, 10, 15, 20, 25, 30, 35, 40, 45, 50, 60, 75, 100, 125, 150, 200, 300)
ROOM_AT_SIDES, TALLEST = 4.5, 58.0  # mm of paper beside the car, and for the car itself
LETTERS = 2.3  # mm of paper
MOST_TAKEN = 12
DEFAULT_CLEARANCE = 150.0  # mm, for the picture alone where none is entered
DEFAULT_RADIUS = 300.0  # mm, for the picture alone where the text on a tyre is no marking


@dataclass(frozen=True)
class Sheet:
    """The car and the scale in which everything else is laid out; `p` is one millimetre of paper."""

    body: Body
    left: float
    right: float
    top: float
    p: int


def side_view(dossier: Dossier, system: str = "metric", *, alone: bool = False) -> Drawing:
    """The side view of a build; `alone` adds title, mark and caution for a sheet of its own."""
    build = dossier.build
    sheet = _sheet(build)
    found = [*_car(sheet), *_boxes(build), *_marks(dossier, sheet), *_cg(dossier, sheet.p)]
    goes_in = _labels(sheet, list(_going_in(dossier, sheet.p)), sheet.top + 4.5 * sheet.p, 1, ())
    under_wheels = [((x, 0.0), (x, -60.0 * sheet.p)) for x in (0.0, sheet.body.wheelbase)]
    comes_out = _labels(sheet, list(_coming_out(build, sheet.p)), -4.2 * sheet.p, -1, under_wheels)
    found += [*_written(goes_in, sheet.p), *_written(comes_out, sheet.p)]
    low = min([0.0, *(each.at[1] for each in comes_out)]) - 4.0 * sheet.p
    high = max([sheet.top, *(each.at[1] for each in goes_in)]) + 3.0 * sheet.p
    found += axle_notes(dossier, sheet.body, (low, sheet.p), LETTERS, system)
    low -= 18.5 * sheet.p
    found += legend(dossier, (sheet.left, low), (sheet.right, sheet.p), LETTERS, system)
    low -= 1.6 * sheet.p
    title = f"Side view of {inert(build.title)}"
    made = Drawing(title, _alt(dossier), sheet.p, (sheet.left, low), (sheet.right, high), LAYERS, tuple(found))
    return on_its_own(made, dossier) if alone else made


def on_its_own(made: Drawing, dossier: Dossier) -> Drawing:
    """A side view as a sheet of its own, with title, mark and caution."""
    extra, low, high = sheet_notes(dossier, made.low, made.high, made.scale)
    edges = {"low": (made.low[0], low), "high": (made.high[0], high)}
    return replace(made, primitives=(*made.primitives, *extra), **edges)


def _alt(dossier: Dossier) -> str:
    build = dossier.build
    boxes = "; ".join(
        f"box {box.name} with {box.modules} modules, its centre {box.x.value:.2f} m behind the front axle"
        for box in build.pack.boxes
    )
    return f"Schematic side view to scale, front to the left. {boxes}."


def _mm(metres: float) -> float:
    return metres * 1000.0


def body_of(build: Build) -> Body:
    """The entered size of the donor."""
    size, tyres = build.donor.size, build.donor.tyres
    clearance = _mm(size.ground_clearance.value) if size.ground_clearance else DEFAULT_CLEARANCE
    return Body(
        build.donor.body, _mm(size.length.value), _mm(size.height.value), _mm(size.wheelbase.value), _mm(size.front_overhang.value),
        clearance, _radius(tyres.front), _radius(tyres.rear),
    )  # fmt: skip


def _radius(marking: str) -> float:
    """What a tyre is drawn with. [mm]"""
    tyre = marking_or_none(marking)
    return _mm(tyre.diameter) / 2 if tyre else DEFAULT_RADIUS


def _sheet(build: Build) -> Sheet:
    """The largest usual scale at which everything with a place fits on the width of a page."""
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
            yield _mm(box.x.value + sign * box.length.value), _mm(box.z.value + sign * box.height.value)
    for _, placed in build.placed():
        yield _mm(placed.x.value), _mm(placed.z.value)
    for thing in build.donor.removed:
        yield _mm(thing.x.value), _mm(thing.z.value)


def _car(sheet: Sheet) -> Iterator[Primitive]:
    body = sheet.body
    yield Line("ground", (body.nose - 6 * sheet.p, 0.0), (body.tail + 6 * sheet.p, 0.0))
    yield Polyline("body", outline(body), closed=True)
    yield Polyline("glass", window(body), closed=True)
    for x, radius in ((0.0, body.radius_front), (body.wheelbase, body.radius_rear)):
        yield Circle("wheels", (x, radius), radius, fill=1.0)
        yield Circle("wheels", (x, radius), radius * 0.58)


def _boxes(build: Build) -> Iterator[Primitive]:
    for box in build.pack.boxes:
        corner = (_mm(box.x.value - box.length.value / 2), _mm(box.z.value - box.height.value / 2))
        yield Rectangle("boxes", corner, _mm(box.length.value), _mm(box.height.value), fill=0.86)


def _marks(dossier: Dossier, sheet: Sheet) -> Iterator[Primitive]:
    for thing in dossier.build.donor.removed:
        yield from taken_mark((_mm(thing.x.value), _mm(thing.z.value)), sheet.p)
    for _, placed in dossier.build.placed():
        yield from part_mark((_mm(placed.x.value), _mm(placed.z.value)), sheet.p)


def _cg(dossier: Dossier, p: int) -> Iterator[Primitive]:
    for symbol, suffix in ((before_symbol, "_before"), (after_symbol, "")):
        x, z = (dossier.figures.get(f"mass.cg_{axis}{suffix}") for axis in ("x", "height"))
        if x is not None and z is not None and x.value is not None and z.value is not None:
            yield from symbol((_mm(x.value), _mm(z.value)), p)


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


def _going_in(dossier: Dossier, p: int) -> Iterator[Wanted]:
    build = dossier.build
    for box in build.pack.boxes:
        count = f"{box.modules} module{'' if box.modules == 1 else 's'}"
        yield _wanted(
            f"box {box.name}: {count}", (_mm(box.x.value), _mm(box.z.value + box.height.value / 2)), p, bold=True
        )
    for path, placed in build.placed():
        name = _NAMES.get(path) or dossier.case.shelf.any(placed.part).title.partition(",")[0]
        name = f"{placed.count} × {name}" if placed.count > 1 else name
        yield _wanted(name, (_mm(placed.x.value), _mm(placed.z.value) + MARK / 2 * p), p)


def _coming_out(build: Build, p: int) -> Iterator[Wanted]:
    heaviest = sorted(build.donor.removed, key=lambda each: -each.mass.value * each.count)
    for thing in heaviest[:MOST_TAKEN]:
        yield _wanted(thing.name, (_mm(thing.x.value), _mm(thing.z.value) - MARK * p), p)


def _wanted(text: str, mark: Point, p: int, *, bold: bool = False) -> Wanted:
    short = shortened(inert(text), 30)
    return Wanted(short, mark, text_width(short, LETTERS * p, bold), bold)


def _labels(sheet: Sheet, wanted: list[Wanted], first: float, way: int, fences: Sequence[Segment]) -> list[Placed]:
    rows = Rows(first, way * 3.3 * sheet.p, LETTERS * sheet.p, sheet.left, sheet.right)
    return staggered(wanted, rows, fences)


def _written(labels: list[Placed], p: int) -> Iterator[Primitive]:
    for each in labels:
        yield Line("leaders", each.wanted.mark, each.foot)
        x = each.at[0] + each.wanted.width / 2
        yield Text("labels", (x, each.at[1]), each.wanted.text, LETTERS * p, "middle", each.wanted.bold)
