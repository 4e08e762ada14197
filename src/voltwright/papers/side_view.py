"""The side view to scale: body, boxes, what goes in and comes out, centre of gravity, and what the axles carry."""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.papers.car_notes import axle_notes, height_words, legend
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
from voltwright.papers.drawing import Circle, Drawing, Line, Point, Polyline, Primitive
from voltwright.papers.inert import inert
from voltwright.papers.outline import outline, window
from voltwright.rules.dossier import Dossier


def side_view(dossier: Dossier, system: str = "metric", *, alone: bool = False) -> Drawing:
    """The side view of a build; `alone` adds title, mark and caution for a sheet of its own."""
    build = dossier.build
    sheet = sheet_of(build)
    found = [*_car(sheet), *contents(dossier, _VIEW, sheet.p)]
    under_wheels = [((x, 0.0), (x, -60.0 * sheet.p)) for x in (0.0, sheet.body.wheelbase)]
    goes_in, comes_out = labels(dossier, _VIEW, sheet, (0.0, sheet.top), under_wheels)
    found += [*written(goes_in, sheet.p), *written(comes_out, sheet.p)]
    low = min([0.0, *(each.at[1] for each in comes_out)]) - 4.0 * sheet.p
    high = max([sheet.top, *(each.at[1] for each in goes_in)]) + 3.0 * sheet.p
    found += axle_notes(dossier, sheet.body, (low, sheet.p), LETTERS, system)
    low -= 18.5 * sheet.p
    found += legend(height_words(dossier, system), (sheet.left, low), (sheet.right, sheet.p), LETTERS)
    low -= 1.6 * sheet.p
    title = f"Side view of {inert(build.title)}"
    made = Drawing(title, _alt(dossier), sheet.p, (sheet.left, low), (sheet.right, high), LAYERS, tuple(found))
    return on_its_own(made, dossier) if alone else made


def _see(thing: Located) -> Point:
    return mm(thing.x.value), mm(thing.z.value)


def _centre(dossier: Dossier, suffix: str) -> Point | None:
    x, z = (value_of(dossier, f"mass.cg_{axis}{suffix}") for axis in ("x", "height"))
    return None if x is None or z is None else (mm(x), mm(z))


_VIEW = View(_see, lambda box: mm(box.height.value), _centre)


def _alt(dossier: Dossier) -> str:
    build = dossier.build
    boxes = "; ".join(
        f"box {box.name} with {box.modules} modules, its centre {box.x.value:.2f} m behind the front axle"
        for box in build.pack.boxes
    )
    return f"Schematic side view to scale, front to the left. {boxes}."


def _car(sheet: Sheet) -> Iterator[Primitive]:
    body = sheet.body
    yield Line("ground", (body.nose - 6 * sheet.p, 0.0), (body.tail + 6 * sheet.p, 0.0))
    yield Polyline("body", outline(body), closed=True)
    yield Polyline("glass", window(body), closed=True)
    for x, radius in ((0.0, body.radius_front), (body.wheelbase, body.radius_rear)):
        yield Circle("wheels", (x, radius), radius, fill=1.0)
        yield Circle("wheels", (x, radius), radius * 0.58)
