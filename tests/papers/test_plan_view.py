"""The plan view: to scale, seen from above with the front to the left, and with labels that do not cover each other."""

from __future__ import annotations

import functools
from itertools import combinations
from typing import Any
from xml.etree import ElementTree

import pytest

from helpers import dossier
from voltwright.papers.car_sheet import WIDTH
from voltwright.papers.drawing import Circle, Drawing, Polyline, Rectangle, Text, text_width
from voltwright.papers.outline import PROFILES
from voltwright.papers.plan_view import DEFAULT_TYRE, plan_view
from voltwright.papers.side_view import side_view
from voltwright.papers.svg import svg
from voltwright.rules.dossier import Dossier

ASIDE = {"donor.cg_left": "0.03 m", "pack.boxes.0.y": "-0.20 m", "drive.motor.y": "0.15 m"}


@functools.cache
def example(name: str = "coupe") -> Dossier:
    return dossier(name=name)


@functools.cache
def aside() -> Dossier:
    return dossier(ASIDE)


def texts(picture: Drawing) -> list[str]:
    return [each.text for each in picture.primitives if isinstance(each, Text)]


def of_kind(picture: Drawing, layer: str, kind: type) -> list[Any]:
    return [each for each in picture.on(layer) if isinstance(each, kind)]


@pytest.mark.parametrize("name", ["coupe", "roadster", "van"])
def test_wheels_stand_at_the_entered_wheelbase_and_tracks(name: str) -> None:
    """The track is from the middle of one tyre to that of the other: ISO 612, from memory."""
    size = example(name).build.donor.size
    places = [
        (round(each.corner[0] + each.width / 2, 6), round(each.corner[1] + each.height / 2, 6))
        for each in of_kind(plan_view(example(name)), "wheels", Rectangle)
    ]
    expected = [
        (round(x, 6), round(sign * track.value * 500, 6))
        for x, track in ((0.0, size.track_front), (size.wheelbase.value * 1000, size.track_rear))
        for sign in (-1, 1)
    ]
    assert sorted(places) == sorted(expected)


def test_a_tyre_is_as_wide_as_its_marking_says() -> None:
    """165/80 R 14 has a section of 165 mm (UN R30, definitions)."""
    assert [each.height for each in of_kind(plan_view(example()), "wheels", Rectangle)] == pytest.approx([165.0] * 4)
    unknown = dossier({"donor.tyres.front": "vintage, no marking", "donor.tyres.front_load_each": "420 kg"})
    assert of_kind(plan_view(unknown), "wheels", Rectangle)[0].height == DEFAULT_TYRE


@pytest.mark.parametrize("body", PROFILES)
def test_the_outline_of_every_body_has_the_entered_length_and_width(body: str) -> None:
    made = dossier({"donor.body": body})
    size = made.build.donor.size
    (edge,) = of_kind(plan_view(made), "body", Polyline)
    across = [y for _, y in edge.points]
    along = [x for x, _ in edge.points]
    assert max(along) - min(along) == pytest.approx(size.length.value * 1000)
    assert (min(across), max(across)) == pytest.approx((-size.width.value * 500, size.width.value * 500), rel=0.01)
    assert sorted(across) == pytest.approx(sorted(-each for each in across)), "both sides alike"


def test_what_is_left_lies_below_with_the_front_to_the_left() -> None:
    """y is left of the middle; who looks down on a car that drives to the left of the paper has its left side below."""
    made = aside()
    box = of_kind(plan_view(made), "boxes", Rectangle)[0]
    entered = made.build.pack.boxes[0]
    assert box.corner[1] + box.height / 2 == pytest.approx(200.0), "right of the middle is above"
    assert (box.width, box.height) == pytest.approx((entered.length.value * 1000, entered.width.value * 1000))
    assert box.corner[0] + box.width / 2 == pytest.approx(entered.x.value * 1000)
    motor = of_kind(plan_view(made), "parts", Rectangle)[0]
    assert motor.corner[1] + motor.height / 2 == pytest.approx(-150.0)


def test_centres_of_gravity_stand_where_the_figures_say_before_and_after() -> None:
    made = aside()
    before, after = of_kind(plan_view(made), "cg", Circle)[:2]
    assert before.centre == pytest.approx((1000 * (made.figures["mass.cg_x_before"].value or 0), -30.0))
    x, left = (made.figures[f"mass.cg_{axis}"].value or 0.0 for axis in ("x", "y"))
    assert after.centre == pytest.approx((1000 * x, -1000 * left))
    said = " ".join(texts(plan_view(made)))
    assert "0.030 m to the left" in said
    assert f"{abs(left):.3f} m to the {'left' if left > 0 else 'right'}" in said
    assert " ".join(texts(plan_view(example()))).count("in the middle") == 2


def test_every_seat_has_its_place_in_its_row() -> None:
    """The coupé has two rows of two."""
    seats = of_kind(plan_view(example()), "seats", Rectangle)[:4]
    rows = sorted({round(each.corner[0] + each.width / 2) for each in seats})
    assert rows == [1380, 2080]
    middles = [each.corner[1] + each.height / 2 for each in seats]
    assert sum(middles) == pytest.approx(0.0)
    assert all(abs(a - b) > 300 for a, b in combinations(middles[:2], 2))


def test_everything_is_named_and_tracks_are_said_in_the_reader_s_units() -> None:
    build, said = example().build, texts(plan_view(example()))
    for name in ("motor", "inverter", "charger", "DC-DC", *(thing.name for thing in build.donor.removed)):
        assert name in said
    assert "front track 1280 mm" in said
    assert "front track 50.4 in" in texts(plan_view(example(), "us"))


def test_it_has_the_scale_of_the_side_view_and_stands_below_it() -> None:
    plan, side = plan_view(example()), side_view(example())
    assert (plan.scale, plan.low[0], plan.high[0]) == (side.scale, side.low[0], side.high[0])
    root = ElementTree.fromstring(svg(plan))  # noqa: S314 our own text
    assert float(root.attrib["width"].removesuffix("mm")) == pytest.approx(WIDTH)


def covered_by(picture: Drawing) -> list[tuple[str, float, float, float, float]]:
    found = []
    for each in picture.primitives:
        if isinstance(each, Text) and not each.angle:
            width = text_width(each.text, each.size, each.bold)
            left = each.at[0] - {"start": 0.0, "middle": 0.5, "end": 1.0}[each.anchor] * width
            found.append((each.text, left, each.at[1] - 0.2 * each.size, left + width, each.at[1] + 0.75 * each.size))
    return found


@pytest.mark.parametrize("which", ["coupe", "roadster", "van", "aside"])
@pytest.mark.parametrize("system", ["metric", "us"])
def test_no_text_covers_another_or_leaves_the_sheet(which: str, system: str) -> None:
    picture = plan_view(aside() if which == "aside" else example(which), system, alone=True)
    covered = covered_by(picture)
    for a, b in combinations(covered, 2):
        assert a[3] <= b[1] or b[3] <= a[1] or a[4] <= b[2] or b[4] <= a[2], f"{a[0]!r} and {b[0]!r}"
    for text, left, low, right, high in covered:
        assert picture.low[0] <= left, text
        assert right <= picture.high[0], text
        assert picture.low[1] <= low, text
        assert high <= picture.high[1], text
