"""The plan view to scale: the car from above, front to the left, its left side below; boxes, parts, seats and centre of gravity."""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.build.document import Build
from voltwright.papers.car_notes import legend, printed, seat_mark, sideways_words
from voltwright.papers.car_sheet import (
    LAYERS,
    LETTERS,
    Located,
    Sheet,
    View,
    contents,
    labels,
    mm,
    on_its_own,
    sheet_of,
    value_of,
    written,
)
from voltwright.papers.drawing import Drawing, Line, Point, Polyline, Primitive, Rectangle, Text
from voltwright.papers.inert import inert
from voltwright.papers.outline import cabin_above, outline_above
from voltwright.parts.tyres import marking_or_none
from voltwright.rules.dossier import Dossier

DEFAULT_TYRE = 165.0  # mm, for the picture alone where the text on a tyre is no marking
SEAT, PITCH, INSIDE = (
    460.0,
    620.0,
    0.80,
)  # mm of a seat, from one to the next, and the share of the width that is inside the car


def plan_view(dossier: Dossier, system: str = "metric", *, alone: bool = False) -> Drawing:
    """The plan view of a build, in the scale of its side view; `alone` adds title, mark and caution for a sheet of its own."""
    build = dossier.build
    sheet = sheet_of(build)
    ends = _ends(build)
    found = [*_car(build, sheet, ends), *_seats(build), *contents(dossier, _VIEW, sheet.p)]
    goes_in, comes_out = labels(dossier, _VIEW, sheet, ends, ())
    found += [*written(goes_in, sheet.p), *written(comes_out, sheet.p)]
    low = min([ends[0], *(each.at[1] for each in comes_out)]) - 5.0 * sheet.p
    high = max([ends[1], *(each.at[1] for each in goes_in)]) + 3.0 * sheet.p
    found += _tracks(build, low, sheet, system)
    low -= 11.0 * sheet.p
    centres = sideways_words((_centre(dossier, "_before"), _centre(dossier, "")), system)
    found += legend(centres, (sheet.left, low), (sheet.right, sheet.p), LETTERS, (seat_mark, "seat; front to the left"))
    low -= 1.6 * sheet.p
    title = f"Plan view of {inert(build.title)}"
    made = Drawing(title, _alt(build), sheet.p, (sheet.left, low), (sheet.right, high), LAYERS, tuple(found))
    return on_its_own(made, dossier) if alone else made


def _see(thing: Located) -> Point:
    """Of two sides the right one is above: so it is seen with the front to the left."""
    return mm(thing.x.value), -mm(thing.y.value) if thing.y else 0.0


def _centre(dossier: Dossier, suffix: str) -> Point | None:
    """Nobody works out how far the donor's lies aside: it is entered, or taken as in the middle."""
    x = value_of(dossier, f"mass.cg_x{suffix}")
    entered = dossier.build.donor.cg_left
    left = value_of(dossier, "mass.cg_y") if not suffix else entered.value if entered else 0.0
    return None if x is None or left is None else (mm(x), -mm(left))


_VIEW = View(_see, lambda box: mm(box.width.value), _centre)


def _ends(build: Build) -> tuple[float, float]:
    """How far anything with a place reaches to the left and to the right. [mm]"""
    half = mm(build.donor.size.width.value) / 2
    places = [
        up + sign * mm(box.width.value) / 2 for box in build.pack.boxes for _, up in (_see(box),) for sign in (-1, 1)
    ]
    places += [_see(each)[1] for _, each in build.placed()] + [_see(each)[1] for each in build.donor.removed]
    return min(-half, *places), max(half, *places)


def _alt(build: Build) -> str:
    def where(aside: float) -> str:
        return (
            "in the middle"
            if abs(aside) < 0.5
            else f"{abs(aside) / 1000:.2f} m {'right' if aside > 0 else 'left'} of the middle"
        )

    boxes = "; ".join(f"box {box.name} with {box.modules} modules, {where(_see(box)[1])}" for box in build.pack.boxes)
    return f"Schematic plan view to scale, from above, front to the left. {boxes}."


def _car(build: Build, sheet: Sheet, ends: tuple[float, float]) -> Iterator[Primitive]:
    body, size, tyres = sheet.body, build.donor.size, build.donor.tyres
    width = mm(size.width.value)
    axles = (
        (0.0, size.track_front, tyres.front, body.radius_front),
        (body.wheelbase, size.track_rear, tyres.rear, body.radius_rear),
    )
    yield Polyline("body", outline_above(body, width), closed=True)
    yield Polyline("glass", cabin_above(body, width), closed=True)
    yield Line("middle", (body.nose - 4 * sheet.p, 0.0), (body.tail + 4 * sheet.p, 0.0))
    for x, track, marking, radius in axles:
        half, tyre = mm(track.value) / 2, marking_or_none(marking)
        across = mm(tyre.width) if tyre else DEFAULT_TYRE
        yield Line("dimensions", (x, ends[0] - 2.0 * sheet.p), (x, half))
        for side in (-half, half):
            yield Rectangle("wheels", (x - radius, side - across / 2), 2 * radius, across, fill=0.94)


def _seats(build: Build) -> Iterator[Primitive]:
    """Each row of seats side by side across the car: only how far back they stand is entered."""
    inside = INSIDE * mm(build.donor.size.width.value)
    for row in build.donor.seats:
        pitch = min(PITCH, inside / max(1, row.places))
        side = min(SEAT, 0.9 * pitch)
        for number in range(row.places):
            middle = (number - (row.places - 1) / 2) * pitch
            yield Rectangle("seats", (mm(row.x.value) - SEAT / 2, middle - side / 2), SEAT, side)


def _tracks(build: Build, low: float, sheet: Sheet, system: str) -> Iterator[Primitive]:
    """Below each axle how far its wheels stand apart."""
    size = build.donor.size
    for name, x, track in (("front", 0.0, size.track_front), ("rear", sheet.body.wheelbase, size.track_rear)):
        words = f"{name} track {printed(track.value, 'mm', 0, system)}"
        yield Text("labels", (x, low), words, LETTERS * sheet.p, "middle", bold=True)
