"""The side view: to scale, well formed, and with labels that do not cover each other."""

from __future__ import annotations

import functools
from itertools import combinations
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from helpers import changed, dossier
from voltwright.papers.car_sheet import DEFAULT_RADIUS, LETTERS, WIDTH, body_of
from voltwright.papers.drawing import Circle, Drawing, Polyline, Rectangle, Text, text_width
from voltwright.papers.labels import Placed, Rows, Wanted, staggered
from voltwright.papers.outline import PROFILES, outline, window
from voltwright.papers.side_view import side_view
from voltwright.papers.svg import svg
from voltwright.rules.dossier import Dossier

SVG = "{http://www.w3.org/2000/svg}"


@functools.cache
def example(name: str = "coupe", body: str = "") -> Dossier:
    return dossier({"donor.body": body} if body else {}, name)


def texts(picture: Drawing) -> list[str]:
    return [each.text for each in picture.primitives if isinstance(each, Text)]


def of_kind(picture: Drawing, layer: str, kind: type) -> list:
    return [each for each in picture.on(layer) if isinstance(each, kind)]


@pytest.mark.parametrize("name", ["coupe", "roadster", "van"])
def test_wheels_stand_as_far_apart_as_the_entered_wheelbase(name: str) -> None:
    build = example(name).build
    wheels = of_kind(side_view(example(name)), "wheels", Circle)
    places = sorted({each.centre[0] for each in wheels})
    assert places[1] - places[0] == pytest.approx(build.donor.size.wheelbase.value * 1000)
    front = max(each.radius for each in wheels if each.centre[0] == 0.0)
    assert front == pytest.approx(body_of(build).radius_front)
    assert min(each.centre[1] - each.radius for each in wheels) == pytest.approx(0.0, abs=1e-9), (
        "tyres stand on the ground"
    )


def test_tyre_is_as_high_as_its_marking_says() -> None:
    # 165/80 R 14: 14 in of 25.4 mm, and twice 80 % of 165 mm (UN R30, definitions: aspect ratio, rim diameter)
    assert body_of(example().build).radius_front * 2 == pytest.approx(14 * 25.4 + 2 * 0.80 * 165)


def test_tyre_without_a_marking_is_drawn_all_the_same() -> None:
    tyre = {"donor.tyres.front": "vintage, no marking", "donor.tyres.front_load_each": "420 kg"}
    body = body_of(changed(tyre).build)
    assert body.radius_front == DEFAULT_RADIUS
    assert body.radius_rear == body_of(example().build).radius_rear


@pytest.mark.parametrize("name", ["coupe", "roadster", "van"])
def test_boxes_have_the_entered_size_and_place(name: str) -> None:
    boxes = example(name).build.pack.boxes
    drawn = of_kind(side_view(example(name)), "boxes", Rectangle)[: len(boxes)]
    for box, shape in zip(boxes, drawn, strict=True):
        assert shape.width == pytest.approx(box.length.value * 1000)
        assert shape.height == pytest.approx(box.height.value * 1000)
        assert shape.corner[0] + shape.width / 2 == pytest.approx(box.x.value * 1000)
        assert shape.corner[1] + shape.height / 2 == pytest.approx(box.z.value * 1000)


@pytest.mark.parametrize("body", PROFILES)
def test_outline_of_every_body_has_the_entered_size(body: str) -> None:
    build = example(body=body).build
    points = outline(body_of(build))
    size = build.donor.size
    assert max(x for x, _ in points) - min(x for x, _ in points) == pytest.approx(size.length.value * 1000)
    assert min(x for x, _ in points) == pytest.approx(-size.front_overhang.value * 1000)
    highest = max(z for _, z in (*points, *(window(body_of(build)) if body == "roadster" else ())))
    assert highest == pytest.approx(size.height.value * 1000, rel=0.01)
    assert min(z for _, z in points) == pytest.approx(130.0), "as entered"


def test_svg_is_to_scale_on_paper() -> None:
    picture = side_view(example())
    root = ElementTree.fromstring(svg(picture))  # noqa: S314 our own text
    width, height = (float(root.attrib[name].removesuffix("mm")) for name in ("width", "height"))
    _, _, across, up = map(float, root.attrib["viewBox"].split())
    assert across / width == pytest.approx(picture.scale)
    assert up / height == pytest.approx(picture.scale, rel=1e-2)
    assert width == pytest.approx(WIDTH)
    assert f"scale 1:{picture.scale}" in texts(picture)
    bar = of_kind(picture, "scale", Rectangle)
    assert sum(each.width for each in bar) == pytest.approx(1000.0)


def test_a_text_takes_the_room_that_the_layout_gave_it_in_any_font() -> None:
    picture = side_view(example())
    root = ElementTree.fromstring(svg(picture))  # noqa: S314 our own text
    written = list(root.iter(f"{SVG}text"))
    assert len(written) == len(texts(picture))
    widths = {each.text: float(each.attrib["textLength"]) for each in written}
    for each in (each for layer in picture.layers for each in picture.on(layer.name)):
        if isinstance(each, Text):
            assert widths[each.text] == pytest.approx(text_width(each.text, each.size, each.bold), abs=0.06)


def test_every_box_part_and_removed_thing_is_named() -> None:
    build, said = example().build, texts(side_view(example()))
    for box in build.pack.boxes:
        assert f"box {box.name}: {box.modules} modules" in said
    for name in ("motor", "inverter", "charger", "DC-DC", *(thing.name for thing in build.donor.removed)):
        assert name in said


@pytest.mark.parametrize("system", ["metric", "us"])
def test_axle_loads_before_and_after_and_limits_are_said(system: str) -> None:
    made, said = example(), texts(side_view(example(), system))
    for axle in ("front", "rear"):
        before, after, laden = (
            made.figures[f"mass.{axle}_axle{each}"].printed(system) for each in ("_before", "", "_laden")
        )
        assert f"{axle} axle {before} → {after}" in said
        limit = {"metric": {"front": "660 kg", "rear": "740 kg"}, "us": {"front": "1455 lb", "rear": "1631 lb"}}[
            system
        ][axle]
        assert f"laden {laden}, limit {limit}" in said


def test_centres_of_gravity_stand_where_the_figures_say_and_differ_in_shape() -> None:
    made = example()
    open_circle, filled = of_kind(side_view(made), "cg", Circle)[:2]
    for circle, suffix in ((open_circle, "_before"), (filled, "")):
        place = [float(made.figures[f"mass.cg_{axis}{suffix}"].value or 0.0) * 1000 for axis in ("x", "height")]
        assert list(circle.centre) == pytest.approx(place)
    quarters = [each for each in of_kind(side_view(made), "cg", Polyline) if each.fill == 0.0]
    assert {each.points[0] for each in quarters[:2]} == {filled.centre}


def test_lone_sheet_carries_mark_title_and_caution() -> None:
    from dataclasses import replace

    marked = texts(side_view(example(), alone=True))
    assert "NOT FOR BUILDING" in marked
    assert example().build.title in marked
    assert any("licensed practice" in each for each in marked)
    assert "NOT FOR BUILDING" not in texts(side_view(replace(example(), not_for_building=()), alone=True))


def boxes_of(picture: Drawing) -> list[tuple[str, float, float, float, float]]:
    """What each upright text covers on paper."""
    found = []
    for each in picture.primitives:
        if isinstance(each, Text) and not each.angle:
            width = text_width(each.text, each.size, each.bold)
            left = each.at[0] - {"start": 0.0, "middle": 0.5, "end": 1.0}[each.anchor] * width
            found.append((each.text, left, each.at[1] - 0.2 * each.size, left + width, each.at[1] + 0.75 * each.size))
    return found


def crowded() -> Dossier:
    """Twelve things out of one engine bay, and a box in front of the car."""
    things = [
        {"name": f"old thing {n} with a name", "mass": "9 kg", "x": f"{0.05 * n:.2f} m", "z": "0.5 m"}
        for n in range(12)
    ]
    return dossier({"donor.removed": things, "pack.boxes.0.x": "-1.5 m"})


@pytest.mark.parametrize("which", ["coupe", "roadster", "van", "crowded"])
def test_no_text_covers_another_or_leaves_the_sheet(which: str) -> None:
    picture = side_view(crowded() if which == "crowded" else example(which), alone=True)
    covered = boxes_of(picture)
    for a, b in combinations(covered, 2):
        apart = a[3] <= b[1] or b[3] <= a[1] or a[4] <= b[2] or b[4] <= a[2]
        assert apart, f"{a[0]!r} and {b[0]!r}"
    for text, left, low, right, high in covered:
        assert picture.low[0] <= left, text
        assert right <= picture.high[0], text
        assert picture.low[1] <= low, text
        assert high <= picture.high[1], text


def test_label_that_finds_no_room_is_placed_first_in_another_try() -> None:
    marks = [(17, (370, 840)), (17, (80, 530)), (13, (200, 310)), (9, (270, 520)), (19, (600, 640))]
    labels = [Wanted("x" * letters, mark, text_width("x" * letters, LETTERS * 30)) for letters, mark in marks]
    rows = Rows(1400.0, 100.0, LETTERS * 30, -600.0, 1800.0)
    assert max(each.at[1] for each in staggered(tuple(labels), rows)) < rows.first + rows.most * rows.step


marks = st.tuples(st.floats(0, 4000), st.floats(0, 1200))
wanted = st.builds(
    lambda mark, letters: Wanted("x" * letters, mark, text_width("x" * letters, LETTERS * 30)),
    marks,
    st.integers(1, 30),
)


@given(st.lists(wanted, max_size=15))
def test_labels_never_cover_each_other(labels: list[Wanted]) -> None:
    rows = Rows(1400.0, 100.0, LETTERS * 30, -600.0, 4600.0)
    placed = staggered(tuple(labels), rows)
    assert sorted(each.wanted.text for each in placed) == sorted(each.text for each in labels)

    def span(each: Placed) -> tuple[float, float]:
        return each.at[0], each.at[0] + each.wanted.width

    for a, b in combinations(placed, 2):
        same_row = abs(a.at[1] - b.at[1]) < LETTERS * 30
        assert not same_row or span(a)[1] <= span(b)[0] or span(b)[1] <= span(a)[0]
    for each in placed:
        assert rows.low <= each.at[0]
        assert each.at[0] + each.wanted.width <= rows.high
