"""Plots on the screen: what ECharts is told to draw, with the numbers, heads and units that the table of the plot has.

Names are data: they are values and never keys, of which those that begin with a colon would be run, and they stand in no
template and in no HTML of ours. Lines differ by dashes and names besides colour.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from voltwright.quantity.plot import Axis, Bars, Heat, Lines, Panel, Plot, Role, Series, spread_out
from voltwright.web.pages.chart_bars import bars_of
from voltwright.web.pages.chart_basics import (
    DASHES,
    FOOT,
    GAP,
    LEFT,
    LETTER_WIDTH,
    LETTERS,
    LINE,
    LOW,
    MOST_LETTERS,
    ROW,
    TALL,
    TOP,
    Options,
    ends_of,
    extent_of,
    mark_lines,
    number_in,
    said,
    tooltip,
    wide,
    x_axis,
    y_axis,
)  # fmt: skip
from voltwright.web.pages.chart_ink import LIGHT, Ink
from voltwright.web.pages.chart_maps import MAP_TOP, map_of
from voltwright.web.words import t


def _likely() -> str:
    """What a shaded area means."""
    return t("likely: 5 to 95 %")


MAIN_DASHES: tuple[Any, ...] = ("solid", [10, 3], [10, 3, 2, 3], [5, 3], [14, 3, 2, 3, 2, 3], [2, 3])


def height_of(plot: Plot) -> int:
    """How high a plot wants to be. [px]"""
    if isinstance(plot, Bars):
        return 16 + ROW * max(1, len(plot.names))
    if isinstance(plot, Lines) and len(plot.panels) > 1:
        return TOP + len(plot.panels) * (LOW + GAP) - GAP + FOOT
    return (MAP_TOP if isinstance(plot, Heat) else TOP) + TALL + FOOT


def options(plot: Plot, ink: Ink = LIGHT) -> Options:
    """A plot as ECharts options, for a canvas of `height_of` pixels; its title is left to the page."""
    drawn = (
        _lines(plot, ink)
        if isinstance(plot, Lines)
        else map_of(plot, ink)
        if isinstance(plot, Heat)
        else bars_of(plot, ink)
    )
    return {
        "__v_skip": True,  # as Vue marks what it need not watch: it is replaced as a whole
        "animation": False,
        "backgroundColor": "transparent",
        "textStyle": {"fontFamily": ink.font, "fontSize": LETTERS, "color": ink.ink},
        "aria": {"enabled": True, "label": {"description": plot.alt}},
        **drawn,
    }


def _lines(plot: Lines, ink: Ink) -> Options:
    places = [x for panel in plot.panels for each in panel.series for x in each.x if x is not None] or [0.0]
    at_end = [said(each.name) for panel in plot.panels for each in panel.series if each.named_at == "end"]
    right, tall = 22 + wide(at_end), TALL if len(plot.panels) == 1 else LOW
    grids, x_axes, y_axes, series = [], [], [], list[Options]()
    for index, panel in enumerate(plot.panels):
        is_last = index == len(plot.panels) - 1
        grids.append({"left": LEFT, "right": right, "top": TOP + index * (LOW + GAP), "height": tall})
        x = x_axis(plot.x, ink, min(places), max(places), gridIndex=index)
        x_axes.append(x if is_last else x | {"name": "", "axisLabel": {"show": False}})
        gap = 10 if index and all(each.of == "y" for each in panel.marks) else 26  # room for the words of upright marks
        y_axes.append(y_axis(panel.y, ink, gridIndex=index, nameGap=gap, **ends_of(panel.low, panel.high)))
        series += _panel(panel, plot.x, index, ink, tall)
    return {
        "grid": grids, "xAxis": x_axes, "yAxis": y_axes, "series": series, "legend": _legend(plot, ink),
        "axisPointer": {"link": [{"xAxisIndex": "all"}], "lineStyle": {"color": ink.grey}},
        "tooltip": tooltip(ink, trigger="axis"),
    }  # fmt: skip


def _legend(plot: Lines, ink: Ink) -> Options:
    """Those lines that are named neither at start nor end, and what a shaded area means."""
    every = [each for panel in plot.panels for each in panel.series]
    data: list[Options] = [{"name": each.name} for each in every if each.named_at == "above"]
    if any(each.low for each in every):
        data.append({"name": _likely(), "icon": "rect", "itemStyle": {"opacity": 1}})
    text = {"color": ink.ink, "fontSize": LETTERS, "width": 220, "overflow": "truncate"}
    return {
        "show": bool(data), "data": data, "right": 8, "top": 0, "itemWidth": 34, "itemHeight": 10, "selectedMode": False,
        "itemStyle": {"opacity": 0}, "textStyle": text,
    }  # fmt: skip


def _panel(panel: Panel, x: Axis, index: int, ink: Ink, tall: int) -> list[Options]:
    where = {"type": "line", "xAxisIndex": index, "yAxisIndex": index, "symbol": "none", "emphasis": {"disabled": True}}
    result, lowered = list[Options](), _lowered(panel, tall)
    for number, (each, style) in enumerate(zip(panel.series, _styles(panel.series, ink), strict=True)):
        if each.low:
            result += _band(each, where, f"band {index} {number}", style["color"], ink)
        result.append({**where, **_line(each, panel.y, style, lowered.get(number, 0.0))})
    result[-1]["markLine"] = mark_lines(panel.marks, x, panel.y, ink)
    return result


def _lowered(panel: Panel, tall: int) -> dict[int, float]:
    """By how many px the name at the end of each line stands lower than its line, so that none covers another."""
    low, high = extent_of(panel)
    last = {
        number: next((y for y in reversed(each.y) if y is not None), None) for number, each in enumerate(panel.series)
    }
    ends = sorted(
        ((high - y) / (high - low) * tall, number)
        for number, y in last.items()
        if y is not None and panel.series[number].named_at == "end"
    )
    places = spread_out([place for place, _ in ends], LINE, 0.0, float(tall))
    return {number: round(moved - place, 1) for (place, number), moved in zip(ends, places, strict=True)}


def _styles(series: Sequence[Series], ink: Ink) -> list[Options]:
    """Colour, dashes and width of each line; lines of one role differ in dashes."""
    counts: dict[Role, int] = {}
    result: list[Options] = []
    for each in series:
        number = counts[each.role] = counts.get(each.role, -1) + 1
        if each.role == "main":
            colour, dashes, width = ink.lines[number % len(ink.lines)], MAIN_DASHES[number % len(MAIN_DASHES)], 2.2
        elif each.role == "compare":
            colour, dashes, width = ink.grey, [2, 3], 2.0
        else:
            colour = ink.grey if each.role == "reference" else ink.heavy
            dashes, width = DASHES[number % len(DASHES)], 1.2
        result.append({"color": colour, "type": dashes, "width": width})
    return result


def _line(each: Series, y: Axis, style: Options, lowered: float) -> Options:
    """One line, its name so many px lower than its end; its band stands in the same rows, so that the tooltip tells it too."""
    columns = [each.x, each.y, *([each.low, each.high] if each.low else [])]
    heads = ["", each.name, t("low"), t("high")][: len(columns)]
    made: Options = {
        "name": each.name, "data": [list(row) for row in zip(*columns, strict=True)], "lineStyle": style,
        "itemStyle": {"color": style["color"]},
        "dimensions": heads, "encode": {"x": 0, "y": 1, "tooltip": list(range(1, len(columns)))},
        "tooltip": {":valueFormatter": number_in(y)}, "z": 3,
    }  # fmt: skip
    named: Options = {
        "color": style["color"],
        "fontWeight": "bold",
        "fontSize": LETTERS,
        "width": MOST_LETTERS * LETTER_WIDTH,
        "overflow": "truncate",
    }
    if each.named_at == "end":
        made["endLabel"] = {"show": True, "formatter": "{a}", "distance": 6, "offset": [0, lowered], **named}
    first = next(((x, y) for x, y in zip(each.x, each.y, strict=True) if y is not None), None)
    if each.named_at == "start" and first is not None:
        label = {"show": True, "formatter": "{b}", "position": "right", "offset": [0, -9], "distance": 2, **named}
        made["markPoint"] = {
            "symbol": "circle",
            "symbolSize": 1,
            "silent": True,
            "label": label,
            "data": [{"name": said(each.name), "coord": list(first)}],
        }
    return made


def _band(each: Series, where: Options, stack: str, colour: str, ink: Ink) -> list[Options]:
    """A shaded area between dotted edges: from the lower line up to the other, as one stands on the other."""
    edge = {"color": colour, "type": [1, 3], "width": 1}
    known = {
        **where,
        "name": _likely(),
        "stack": stack,
        "stackStrategy": "all",
        "silent": True,
        "lineStyle": edge,
        "tooltip": {"show": False},
    }
    filled = {"areaStyle": {"color": ink.band, "opacity": 1}, "itemStyle": {"color": ink.band}}
    above = [None if low is None or high is None else high - low for low, high in zip(each.low, each.high, strict=True)]
    return [
        {**known, "name": "", "data": [list(row) for row in zip(each.x, each.low, strict=True)]},
        {**known, **filled, "data": [list(row) for row in zip(each.x, above, strict=True)]},
    ]  # fmt: skip
