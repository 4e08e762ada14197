"""Plots on paper: every line named, nothing that is no number, the same bytes anywhere, and text that does nothing."""

from __future__ import annotations

import functools
import hashlib
import io
import os
import re
import subprocess
import sys
import threading
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader
from pypdf.generic import DictionaryObject

import voltwright
from helpers import dossier
from voltwright.assess.curves import charging_plot, energy_plot, power_map, range_plot, traction_plot, trip_plot
from voltwright.assess.sheet import Sheet
from voltwright.papers import nodes
from voltwright.papers.design import design_paper
from voltwright.papers.pictures import PICTURES
from voltwright.papers.plot import size_of, svg_of
from voltwright.papers.typst_render import pdf
from voltwright.quantity.plot import Axis, Bars, Heat, Lines, Mark, Panel, Plot, Series, spread_out
from voltwright.quantity.units import Unit
from voltwright.rules.dossier import Dossier

SVG = "{http://www.w3.org/2000/svg}"
SPEED, POWER = Axis("Road speed", Unit("km/h")), Axis("Power", Unit("kW"), 1)


@functools.cache
def made(name: str = "coupe") -> Dossier:
    return dossier(name=name)


def traction() -> Lines:
    of = made()
    plot = traction_plot(of.case, Sheet("EUR", {key: each.node for key, each in of.figures.items() if each.node}))
    assert plot is not None
    return plot


def powers() -> Heat:
    of = made()
    return power_map(of.case, Sheet("EUR", {key: each.node for key, each in of.figures.items() if each.node}))


@functools.cache
def plots() -> dict[str, Plot]:
    seconds = [float(each) for each in range(0, 600, 10)]
    return {
        "traction": traction(),
        "powers": powers(),
        "trip": trip_plot(seconds, [50.0] * 60, [49.0] * 30 + [None] * 30, [10.0, -5.0] * 30, [0.9] * 60),
        "range": range_plot([50.0, 80.0, 110.0], [200.0, 150.0, 100.0], [180.0, 130.0, 85.0], [220.0, 170.0, 115.0]),
        "charging": charging_plot([0.0, 3.0, 4.0], [7.0, 7.0, 1.0], [0.2, 0.9, 1.0]),
        "energy": energy_plot(["air", "tyres", "gears"], [3.0, 1.5, 0.4]),
    }


def root_of(plot: Plot) -> ElementTree.Element:
    return ElementTree.fromstring(svg_of(plot))  # noqa: S314 our own file


def texts(plot: Plot) -> list[str]:
    return ["".join(each.itertext()) for each in root_of(plot).iter(f"{SVG}text")]


@pytest.mark.parametrize("name", ["traction", "trip", "range", "charging"])
def test_every_line_and_axis_is_named(name: str) -> None:
    plot = plots()[name]
    assert isinstance(plot, Lines)
    said = texts(plot)
    for panel in plot.panels:
        assert panel.y.head in said
        assert [each.name for each in panel.series if each.name not in said] == []
        for mark in panel.marks:
            axis = plot.x if mark.of == "x" else panel.y
            assert f"{mark.words} {axis.printed(mark.at)}" in said
    assert plot.x.head in said


def test_a_map_names_its_axes_lines_and_ends() -> None:
    said = texts(powers())
    for words in ("Charge (%)", "Temperature of the cells (°C)", "lines: Power (kW)", "used from 8 %", "used to 95 %"):
        assert words in said
    assert "left of it the motor’s full power is lost" in said
    assert {"50", "100", "150"} < set(said), "heights of the lines"


def test_bars_name_value_and_share() -> None:
    assert {"air", "tyres", "gears", "3.00 kWh · 61.2 %"} <= set(texts(plots()["energy"]))


def test_bars_name_their_limits() -> None:
    load, names = Axis("Load", Unit("kg")), ("front", "rear")
    bars = Bars("t", "a", load, names, (600.0, 650.0), (590.0, 640.0), (610.0, 660.0), (660.0, None), is_whole=False)
    assert {"front", "600 kg · limit 660 kg", "650 kg"} <= set(texts(bars))


def test_a_band_is_explained() -> None:
    assert "likely: 5 to 95 %" in texts(plots()["range"])
    assert "likely: 5 to 95 %" not in texts(plots()["charging"])


def test_lines_differ_by_more_than_colour() -> None:
    dashes = re.compile(r"stroke-dasharray: ([\d., ]+)")
    strokes = [each.get("style", "") for each in root_of(traction()).iter(f"{SVG}path") if each.get("clip-path")]
    drawn = [style for style in strokes if "stroke-width: 1.5" in style]
    patterns = [match[1] if (match := dashes.search(style)) else "solid" for style in drawn]
    assert len(drawn) == 4
    assert len(set(patterns)) == 4


@pytest.mark.parametrize("name", ["traction", "powers", "trip", "range", "charging", "energy"])
def test_nothing_is_drawn_that_is_no_number(name: str) -> None:
    assert re.search(r"\b(?:nan|NaN|inf|Infinity|None)\b", svg_of(plots()[name])) is None


def test_a_gap_is_left_open() -> None:
    line = Series("s", (0.0, 1.0, 2.0, 3.0, 4.0, 5.0), (0.0, 1.0, None, 1.0, 2.0, 0.0))
    plot = Lines("t", "a", SPEED, (Panel(POWER, (line,)),))
    (path,) = (each for each in root_of(plot).iter(f"{SVG}path") if "stroke-width: 1.5" in each.get("style", ""))
    assert path.get("d", "").count("M") == 2


def test_a_gap_of_a_map_is_hatched_and_explained() -> None:
    heat = Heat(
        "t",
        "a",
        SPEED,
        SPEED,
        POWER,
        (0.0, 1.0, 2.0),
        (0.0, 1.0, 2.0),
        ((None,) * 3, (1.0, 2.0, 3.0), (2.0, 3.0, 5.0)),
        gap="not allowed",
    )
    assert "not allowed" in texts(heat)
    assert "pattern" in svg_of(heat)
    whole = replace(heat, rows=((1.0, 1.0, 1.0), *heat.rows[1:]))
    assert "not allowed" not in texts(whole)


EMPTY: tuple[Plot, ...] = (
    Lines("t", "a", SPEED, (Panel(POWER, ()),)),
    Lines("t", "a", SPEED, (Panel(POWER, (Series("s", (1.0,), (None,)),)),)),
    Lines("t", "a", SPEED, (Panel(POWER, (Series("s", (1.0,), (2.0,)),)),)),
    Heat("t", "a", SPEED, SPEED, POWER, (0.0, 1.0), (0.0, 1.0), ((None, None), (None, None)), gap="none"),
    Heat("t", "a", SPEED, SPEED, POWER, (0.0, 1.0), (0.0, 1.0), ((3.0, 3.0), (3.0, 3.0))),
    Bars("t", "a", POWER, (), ()),
    Bars("t", "a", POWER, ("x", "y"), (0.0, -1.0)),
)


@pytest.mark.parametrize("plot", EMPTY)
def test_hardly_any_data_is_drawn_all_the_same(plot: Plot) -> None:
    assert root_of(plot).tag == f"{SVG}svg"


@pytest.mark.parametrize("name", ["traction", "trip", "energy"])
def test_size_on_paper_is_that_of_the_drawing(name: str) -> None:
    width, height = size_of(plots()[name])
    root = root_of(plots()[name])
    assert [float(root.get(each, "").removesuffix("pt")) for each in ("width", "height")] == pytest.approx(
        [width * 72 / 25.4, height * 72 / 25.4]
    )


NASTY = [
    "$x^2$",
    "<script>alert(1)</script>",
    "a & b 'c' \"d\"",
    "\u202egnidliub",
    "]]> <!--",
    "\\frac",
    "#panic()",
    "_a",
]


@pytest.mark.parametrize("text", NASTY)
def test_text_is_shown_as_it_is_and_does_nothing(text: str) -> None:
    line = Series(text, (0.0, 1.0), (0.0, 1.0))
    plot = Lines(text, text, SPEED, (Panel(POWER, (line, replace(line, named_at="above")), (Mark("x", 0.5, text),)),))
    for each in (plot, Bars(text, text, POWER, (text, "b"), (1.0, 2.0))):
        said = texts(each)
        assert text.replace("\u202e", "\ufffd") in said
        tags = {part.tag.removeprefix(SVG) for part in root_of(each).iter()}
        assert tags <= {"svg", "defs", "style", "g", "path", "use", "text", "clipPath", "rect"}, tags
        assert "\u202e" not in svg_of(each)
    paper = nodes.Paper("t", "", "r", "", "f", (nodes.Plot(plot),))
    said = PdfReader(io.BytesIO(pdf(paper))).pages[0].extract_text()
    assert re.sub(r"\s|\u200b", "", text.replace("\u202e", "\ufffd")) in re.sub(r"\s|\u200b", "", said)


def test_letters_that_the_shipped_fonts_lack_are_left_to_the_typesetter() -> None:
    line = Series("مرحبا 😀", (0.0, 1.0), (0.0, 1.0))
    assert "مرحبا 😀" in texts(Lines("t", "a", SPEED, (Panel(POWER, (line,)),)))


def test_a_long_name_is_shortened() -> None:
    plot = Lines("t", "a", SPEED, (Panel(POWER, (Series("W" * 300, (0.0, 1.0), (0.0, 1.0)),)),))
    (name,) = (each for each in texts(plot) if each.startswith("W"))
    assert len(name) <= 30


@given(st.lists(st.floats(0, 70), max_size=15), st.floats(1, 4))
def test_labels_are_moved_apart_and_kept_in_order(wished: list[float], step: float) -> None:
    placed = spread_out(sorted(wished), step, 0.0, 70.0)
    assert all(b - a >= step - 1e-6 for a, b in pairwise(placed))
    if placed:
        assert placed[0] >= -1e-9
        assert placed[-1] <= 70.0 + 1e-6
    if all(b - a >= step for a, b in pairwise(sorted(wished))):
        assert placed == pytest.approx(sorted(wished))


PROGRAM = """
import hashlib, logging, sys
logging.basicConfig(level=logging.WARNING)
from voltwright.assess.curves import range_plot, trip_plot
from voltwright.papers.plot import svg_of
plots = range_plot([50, 80], [200, 150], [180, 130], [220, 170]), trip_plot([0, 9], [1, 2], [1, None], [3, -4], [.9, .8])
print(*[hashlib.sha256(svg_of(each).encode()).hexdigest() for each in plots])
"""


def run(folder: Path, **environment: str) -> str:
    there = {**os.environ, "PYTHONPATH": str(Path(voltwright.__file__).parents[1]), **environment}
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM], capture_output=True, text=True, check=False, env=there, cwd=folder
    )
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    return done.stdout


def test_same_plot_gives_the_same_bytes_whatever_the_machine_prefers(tmp_path: Path) -> None:
    first = run(tmp_path, TZ="Asia/Tokyo", PYTHONHASHSEED="1", LC_ALL="C", SOURCE_DATE_EPOCH="1")
    liked = tmp_path / "liked"
    liked.mkdir()
    (liked / "matplotlibrc").write_text(
        "font.size: 30\naxes.grid: True\nsvg.fonttype: path\nsvg.hashsalt: other\nxtick.direction: in\n",
        encoding="utf-8",
    )
    assert run(liked, TZ="America/Lima", PYTHONHASHSEED="2", LC_ALL="de_DE.UTF-8") == first


def test_nothing_is_written_into_the_home_folder_nor_complained_of(tmp_path: Path) -> None:
    home = tmp_path / "home"
    home.mkdir()
    first = run(tmp_path, HOME=str(home), XDG_CACHE_HOME="", XDG_CONFIG_HOME="")
    assert list(home.iterdir()) == []
    nowhere = "/dev/null/nowhere"
    assert run(tmp_path, HOME=nowhere, MPLCONFIGDIR=nowhere, XDG_CACHE_HOME=nowhere, XDG_CONFIG_HOME=nowhere) == first


def test_the_fonts_of_the_machine_are_never_searched() -> None:
    program = (
        "from voltwright.papers.plot_engine import _matplotlib\n_matplotlib()\n"
        "from matplotlib.font_manager import fontManager\n"
        "print(*sorted({each.name for each in fontManager.ttflist}), sep=',')"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "Clear Sans,DejaVu Sans"


def test_several_threads_draw_the_same() -> None:
    plot = plots()["charging"]
    alone, found = svg_of(plot), list[str]()
    threads = [threading.Thread(target=lambda: found.append(svg_of(plot))) for _ in range(4)]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    assert found == [alone] * 4


def test_plots_stand_in_the_design_paper_with_words_for_those_who_do_not_see() -> None:
    paper = pdf(design_paper(made()))
    reader = PdfReader(io.BytesIO(paper))
    said = re.sub(r"\s", "", "".join(page.extract_text() for page in reader.pages))
    for plot in (traction(), powers()):
        assert re.sub(r"\s", "", plot.title) in said
    assert re.sub(r"\s", "", "what the tyres hold: 6.5 kN") in said, "text of a plot is text"
    alts = {
        str(each["/Alt"])
        for each in map(reader.get_object, range(1, len(reader.xref[0]) + 1))
        if isinstance(each, DictionaryObject) and "/Alt" in each
    }
    assert {traction().alt, powers().alt} <= alts


@pytest.mark.parametrize(
    ("system", "words"), [("uk", "top speed {mph:.0f} mph"), ("us", "Temperature of the cells (°F)")]
)
def test_plots_follow_the_units_of_the_paper(system: str, words: str) -> None:
    top = made().figures["road.top_speed"].value
    assert top is not None
    words = words.format(mph=top / 1.609344)
    shown = [node.picture for node in design_paper(made(), system=system).nodes if isinstance(node, nodes.Plot)]
    assert len(shown) == len(PICTURES)
    assert words in [text for plot in shown for text in texts(plot)]


def test_digest_of_a_plot_is_the_same_twice() -> None:
    for plot in plots().values():
        assert hashlib.sha256(svg_of(plot).encode()).digest() == hashlib.sha256(svg_of(plot).encode()).digest()
