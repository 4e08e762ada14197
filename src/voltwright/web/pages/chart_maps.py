"""A map on the screen: shades of even steps, with numbers written on it, so that it is read without its shades."""

from __future__ import annotations

import json
from collections.abc import Sequence

from voltwright.quantity.figure import fixed
from voltwright.quantity.plot import Heat, Series
from voltwright.web.pages.chart_basics import (
    DASHES,
    LEFT,
    LETTERS,
    PLAIN_TICK,
    TALL,
    TOP,
    Options,
    mark_lines,
    number_in,
    tooltip,
    x_axis,
    y_axis,
)
from voltwright.web.pages.chart_ink import Ink
from voltwright.web.words import t

NUMBERS_ACROSS, NUMBERS_UP = 6, 5
MAP_TOP = TOP + 16  # px; on a narrow screen the legend takes two lines


def _half_steps(places: Sequence[float]) -> tuple[float, float]:
    """The edges of the outer cells of a map in even steps."""
    half = (max(places) - min(places)) / max(1, len(places) - 1) / 2 or 0.5
    return min(places) - half, max(places) + half


# Text nodes alone: whatever a head or a category says is shown and does nothing.
_MAP_TOOLTIP = """(cell) => {{
  const box = document.createElement('div');
  const add = (text) => box.append(text, document.createElement('br'));
  add({x} + ': ' + {across}[cell.value[0]]);
  add({y} + ': ' + {up}[cell.value[1]]);
  add({z} + ': ' + ({number})(cell.value[2]));
  return box;
}}"""


def map_of(plot: Heat, ink: Ink) -> Options:
    """The cells on axes of their own, below axes of numbers that carry lines, marks and numbers."""
    cells = [
        [across, up, value] for up, row in enumerate(plot.rows) for across, value in enumerate(row) if value is not None
    ]
    known = [value for *_, value in cells] or [0.0]
    across, up = (
        [axis.printed(each) for each in places] for axis, places in ((plot.x, plot.places), (plot.y, plot.heights))
    )
    text = _MAP_TOOLTIP.format(
        x=json.dumps(plot.x.label), y=json.dumps(plot.y.label), z=json.dumps(plot.z.label), across=json.dumps(across), up=json.dumps(up),
        number=number_in(plot.z),
    )  # fmt: skip
    hidden = {"type": "category", "show": False}
    ends = {
        "axisLabel": {
            "color": ink.ink,
            "fontSize": LETTERS,
            "showMinLabel": False,
            "showMaxLabel": False,
            ":formatter": PLAIN_TICK,
        }
    }
    (left, right), (low, high) = _half_steps(plot.places), _half_steps(plot.heights)
    bare = {"splitLine": {"show": False}, "position": "bottom", **ends}
    map_ = {
        "type": "heatmap",
        "name": plot.z.head,
        "data": cells,
        "progressive": 0,
        "emphasis": {"disabled": True},
        "markLine": {},
    }
    overlaid = [_on_map(each, number, ink) for number, each in enumerate(plot.lines)]
    overlaid.append(_numbers(plot, ink))
    overlaid[-1]["markLine"] = mark_lines(plot.marks, plot.x, plot.y, ink)
    return {
        "grid": {"left": LEFT, "right": 40, "top": MAP_TOP, "height": TALL},
        "xAxis": [{**hidden, "data": across}, x_axis(plot.x, ink, left, right, **bare)],
        "yAxis": [{**hidden, "data": up}, y_axis(plot.y, ink, min=low, max=high, **{**bare, "position": "left"})],
        "visualMap": {
            "show": False, "seriesIndex": 0, "dimension": 2, "min": min(known), "max": max(known), "inRange": {"color": [*ink.shades]},
        },
        "series": [map_, *overlaid],
        "legend": _map_legend(plot, ink),
        "title": _gap(plot, len(cells) < len(plot.places) * len(plot.heights), ink),
        "tooltip": tooltip(ink, trigger="item", **{":formatter": text}),
    }  # fmt: skip


def _on_map(each: Series, number: int, ink: Ink) -> Options:
    return {
        "type": "line", "name": each.name, "xAxisIndex": 1, "yAxisIndex": 1, "symbol": "none", "silent": True, "z": 4,
        "data": [list(row) for row in zip(each.x, each.y, strict=True)], "tooltip": {"show": False},
        "lineStyle": {"color": ink.heavy, "width": 3, "type": DASHES[number % len(DASHES)]},
        "itemStyle": {"color": ink.heavy},
    }  # fmt: skip


def _numbers(plot: Heat, ink: Ink) -> Options:
    """Values written here and there on the map."""

    def some(count: int, most: int) -> list[int]:
        wanted = min(count, most)
        return [round((number + 0.5) * count / wanted - 0.5) for number in range(wanted)]

    points = [
        {"value": [plot.places[at], plot.heights[up]], "name": fixed(value, 0 if abs(value) >= 10 else plot.z.decimals)}
        for up in some(len(plot.heights), NUMBERS_UP)
        for at in some(len(plot.places), NUMBERS_ACROSS)
        for value in (plot.rows[up][at],)
        if value is not None
    ]
    label = {"show": True, "formatter": "{b}", "position": "inside", "color": ink.on_shades, "fontSize": LETTERS}
    return {
        "type": "scatter", "name": t("numbers: {what}", what=plot.z.head), "xAxisIndex": 1, "yAxisIndex": 1, "silent": True, "z": 5,
        "data": points,
        "symbol": "circle", "symbolSize": 1, "itemStyle": {"color": "transparent", "opacity": 1}, "label": label,
        "tooltip": {"show": False},
    }  # fmt: skip


def _map_legend(plot: Heat, ink: Ink) -> Options:
    names = [each.name for each in plot.lines]
    icons = [{"name": each, "icon": "rect"} for each in names] + [
        {"name": t("numbers: {what}", what=plot.z.head), "icon": "none"}
    ]
    return {
        "data": icons, "right": 8, "top": 0, "itemWidth": 26, "itemHeight": 4, "selectedMode": False,
        "textStyle": {"color": ink.ink, "fontSize": LETTERS},
    }  # fmt: skip


def _gap(plot: Heat, is_there: bool, ink: Ink) -> Options:
    style = {"color": ink.ink, "fontSize": LETTERS, "fontWeight": "normal", "width": 460, "overflow": "truncate"}
    return {"show": is_there, "text": t("blank: {what}", what=plot.gap), "right": 8, "bottom": 0, "textStyle": style}
