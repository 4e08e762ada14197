"""Plots on the screen have the numbers, heads and names of their tables; a name is never a key, a template or code."""

from __future__ import annotations

import itertools
import json
from collections.abc import Iterator
from typing import Any

import pytest

from hostile_plots import EVIL, HOSTILE
from voltwright.quantity.plot import Axis, Bars, Heat, Lines, Mark, Panel, Plot, Series
from voltwright.quantity.units import Unit
from voltwright.web import words
from voltwright.web.pages.chart_basics import LINE, TALL, ends_of
from voltwright.web.pages.chart_ink import DARK, LIGHT, Ink
from voltwright.web.pages.charts import height_of, options

SPEED, FAR, POWER = Axis("Road speed", Unit("km/h")), Axis("Range", Unit("km"), 1), Axis("Power", Unit("kW"), 2)
RANGE = Series("range", (50.0, 80.0, 110.0), (300.0, None, 150.0), (280.0, None, 140.0), (320.0, None, 165.0))
LINES = Lines(
    "Range",
    "Range over speed.",
    SPEED,
    (Panel(FAR, (RANGE,), (Mark("x", 90.0, "wish"), Mark("y", 200.0, "asked")), low=0.0),),
)
PANELS = Lines(
    "Two",
    "Two panels.",
    SPEED,
    (
        Panel(FAR, tuple(Series(f"gear {n}", (0.0, 1.0), (1.0 * n, 2.0), named_at="start") for n in range(6))),
        Panel(POWER, (Series("asked", (0.0, 1.0), (3.0, 4.0), role="compare", named_at="above"),)),
    ),
)
HEAT = Heat(
    "Map", "A map.", SPEED, FAR, POWER, (0.0, 10.0), (5.0, 6.0, 7.0), ((1.0, 2.0), (3.0, None), (5.0, 6.0)), (RANGE,), gap="too cold",
)  # fmt: skip
BARS = Bars(
    "Loads", "Two bars.", POWER, ("front", "rear"), (3.0, 4.0), (2.5, 3.5), (3.5, 4.5), (5.0, None), is_whole=False
)


def walked(value: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Every leaf with the keys that lead to it."""
    if isinstance(value, dict):
        for key, each in value.items():
            yield from walked(each, f"{path}/{key}")
    elif isinstance(value, list | tuple):
        for each in value:
            yield from walked(each, path)
    else:
        yield path, value


def series_of(plot: Plot, kind: str) -> list[dict[str, Any]]:
    return [each for each in options(plot)["series"] if each["type"] == kind]


def test_lines_hold_the_numbers_of_the_table() -> None:
    (line,) = (each for each in series_of(LINES, "line") if each["name"] == "range")
    assert [tuple(row) for row in line["data"]] == list(LINES.table().rows)
    assert line["encode"] == {"x": 0, "y": 1, "tooltip": [1, 2, 3]}, "the band is told as well"
    made = options(LINES)
    assert made["xAxis"][0]["name"] == LINES.table().heads[0]
    assert made["yAxis"][0]["name"] == "Range (km)"


def test_a_band_is_shaded_from_its_lower_to_its_upper_end_and_explained() -> None:
    low, wide, _ = series_of(LINES, "line")
    assert "areaStyle" in wide
    assert "areaStyle" not in low
    assert low["stack"] == wide["stack"]
    tops = [None if a is None else a + b for (_, a), (_, b) in zip(low["data"], wide["data"], strict=True)]
    assert tops == [320.0, None, 165.0]
    assert [each["name"] for each in options(LINES)["legend"]["data"]] == ["likely: 5 to 95 %"]


def test_marks_say_their_words_and_value() -> None:
    marks = next(each["markLine"] for each in series_of(LINES, "line") if each["name"] == "range")
    assert [each["name"] for each in marks["data"]] == ["wish 90 km/h", "asked 200.0 km"]
    assert marks["lineStyle"]["type"] != "solid"


def test_lines_differ_by_more_than_colour() -> None:
    dashes = [json.dumps(each["lineStyle"]["type"]) for each in series_of(PANELS, "line")]
    assert len(set(dashes[:6])) == 6


def test_panels_stand_above_each_other_on_one_axis() -> None:
    made = options(PANELS)
    first, second = made["grid"]
    assert first["top"] + first["height"] < second["top"]
    assert second["top"] + second["height"] < height_of(PANELS)
    assert [each["name"] for each in made["xAxis"]] == ["", "Road speed (km/h)"]
    assert [each["name"] for each in made["legend"]["data"]] == ["asked"]


def test_a_map_holds_the_numbers_of_the_table_and_says_what_is_blank() -> None:
    (cells,) = series_of(HEAT, "heatmap")
    told = {(HEAT.places[x], HEAT.heights[y], z) for x, y, z in cells["data"]}
    assert told == {row for row in HEAT.table().rows if row[2] is not None}
    made = options(HEAT)
    assert (made["title"]["show"], made["title"]["text"]) == (True, "blank: too cold")
    (numbers,) = series_of(HEAT, "scatter")
    assert {tuple(each["value"]): each["name"] for each in numbers["data"]}[10.0, 7.0] == "6.00"
    assert (made["xAxis"][1]["min"], made["xAxis"][1]["max"]) == (-5.0, 15.0), "cells stand round their places"


def test_bars_hold_the_numbers_of_the_table_with_limits_and_bands() -> None:
    (bars,) = series_of(BARS, "bar")
    assert bars["data"] == [row[1] for row in BARS.table().rows]
    assert options(BARS)["yAxis"]["data"] == ["front", "rear"]
    assert bars["markLine"]["data"][0] == [{"coord": [2.5, 0]}, {"coord": [3.5, 0]}]
    limits, texts = series_of(BARS, "scatter")
    assert limits["data"] == [[5.0, 0]]
    assert [each["name"] for each in texts["data"]] == ["3.00 kW · limit 5.00 kW", "4.00 kW"]
    assert texts["data"][0]["value"][0] == 5.0, "behind what reaches farthest"


@pytest.mark.parametrize("ink", [LIGHT, DARK])
@pytest.mark.parametrize("plot", [LINES, PANELS, HEAT, BARS])
def test_each_is_told_to_those_who_do_not_see_and_stands_still(plot: Plot, ink: Ink) -> None:
    made = options(plot, ink)
    assert made["aria"] == {"enabled": True, "label": {"description": plot.alt}}
    assert made["animation"] is False
    assert made["textStyle"]["color"] == ink.ink
    json.dumps(made, allow_nan=False)
    assert height_of(plot) > 60


def _brightness(colour: str) -> float:
    """Relative luminance; WCAG 2.2, definition of relative luminance."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _contrast(one: str, other: str) -> float:
    low, high = sorted((_brightness(one), _brightness(other)))
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("ink", [LIGHT, DARK])
def test_words_and_lines_stand_out_from_what_is_behind(ink: Ink) -> None:
    """WCAG 2.2, success criteria 1.4.3 (4.5 to 1 for text); from memory."""
    for text in (ink.ink, ink.grey, ink.heavy, *ink.lines):
        assert _contrast(text, ink.ground) >= 4.5, text
    assert min(_contrast(ink.on_shades, each) for each in ink.shades) >= 4.5


def test_an_axis_ends_at_a_whole_step() -> None:
    assert ends_of(0.0, 277.1) == {"min": 0.0, "max": 300.0, "interval": 100.0}
    assert ends_of(0.0, 100.0) == {"min": 0.0, "max": 100.0, "interval": 25.0}
    assert ends_of(0.0, None) == {"scale": False, "min": 0.0}
    assert ends_of(5.0, 5.0)["max"] == 5.0


@pytest.mark.parametrize("plot", HOSTILE)
def test_a_hostile_name_is_a_value_alone(plot: Plot) -> None:
    """What begins with a colon among keys is run by the page: only formatters of ours, in which a text is a quoted literal."""
    for path, value in walked(options(plot)):
        assert "onerror" not in path
        keys = path.split("/")
        if any(key.startswith(":") for key in keys):
            assert keys[-1] in (":formatter", ":valueFormatter")
            assert json.dumps(EVIL) in value or "onerror" not in value
            assert EVIL not in value.replace(json.dumps(EVIL), "")
        elif keys[-1] == "formatter":
            assert value in ("{a}", "{b}")


def test_words_of_the_pages_on_a_plot_are_looked_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(words.LANGUAGE, words.PSEUDO)
    words._catalogue.cache_clear()
    try:
        said = {text for plot in (LINES, HEAT, BARS) for _, text in walked(options(plot)) if "⟦" in str(text)}
    finally:
        words._catalogue.cache_clear()
    wanted = ("likely: 5 to 95 %", "low", "high", "limit", "numbers: ", "blank: ")
    assert [each for each in wanted if not any(f"⟦{each}" in text for text in said)] == []


def test_names_of_lines_that_end_together_stand_apart() -> None:
    at = (0.0, 60.0)
    ends = (44.5, 44.8, 44.6, 70.0)
    lines = tuple(Series(f"box {number}", at, (40.0, end)) for number, end in enumerate(ends))
    panel = Panel(Axis("Hottest cell", Unit("°C")), lines, low=20.0, high=80.0)
    drawn = options(Lines("Cells", "Four lines", Axis("Time", Unit("min")), (panel,)))
    lowered = [each["endLabel"]["offset"][1] for each in drawn["series"] if "endLabel" in each]
    places = sorted((80.0 - end) / 60.0 * TALL + down for end, down in zip(ends, lowered, strict=True))
    assert all(upper + LINE <= lower + 0.2 for upper, lower in itertools.pairwise(places))
    assert lowered[3] == 0.0, "what stands alone stays"
