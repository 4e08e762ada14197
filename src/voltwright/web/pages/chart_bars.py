"""Bars on the screen."""

from __future__ import annotations

from collections.abc import Sequence

from voltwright.quantity.figure import fixed
from voltwright.quantity.plot import Bars, Number
from voltwright.web.pages.chart_basics import LETTERS, ROW, Options, number_in, said, tooltip, wide
from voltwright.web.pages.chart_ink import Ink
from voltwright.web.words import t


def bars_of(plot: Bars, ink: Ink) -> Options:
    """Bars lying down: a name before each, its numbers behind; a band is a bracket, a limit a heavy line across."""
    behind = _behind(plot)
    ends = [_end(plot, index) for index in range(len(plot.names))]
    known = [0.0, *ends, *plot.values, *(each for each in plot.low if each is not None)]
    names = [said(each) for each in plot.names]
    lines = [
        [{"coord": [low, index]}, {"coord": [high, index]}]
        for index, (low, high) in enumerate(zip(plot.low, plot.high, strict=True))
        if low is not None and high is not None
    ]
    bracket = {
        "silent": True, "symbol": "rect", "symbolSize": [1.5, 9], "symbolRotate": 0, "label": {"show": False}, "data": lines,
        "lineStyle": {"color": ink.ink, "width": 1.4, "type": "solid"},
    }  # fmt: skip
    bars = {
        "type": "bar", "name": plot.value.label, "data": list(plot.values), "barWidth": "58%",
        "itemStyle": {"color": ink.bar, "borderColor": ink.ink},
        "emphasis": {"disabled": True}, "markLine": bracket, "tooltip": {":valueFormatter": number_in(plot.value)},
    }  # fmt: skip
    return {
        "grid": {"left": 14 + wide(names), "right": 18 + wide(behind), "top": 8, "height": ROW * max(1, len(names))},
        "xAxis": {"type": "value", "show": False, "min": min(known), "max": max(known) if max(known) > min(known) else 1},
        "yAxis": {
            "type": "category", "data": names, "inverse": True, "axisTick": {"show": False},
            "axisLine": {"lineStyle": {"color": ink.ink}}, "axisLabel": {"color": ink.ink, "fontSize": LETTERS, "interval": 0},
        },
        "series": [bars, _limits(plot, ink), _texts(ends, behind, ink)],
        "tooltip": tooltip(ink, trigger="axis", axisPointer={"type": "none"}),
    }  # fmt: skip


def _end(plot: Bars, index: int) -> float:
    """How far right anything of a bar reaches."""
    ends = [plot.values[index], 0.0, *(part[index] for part in (plot.high, plot.limits) if part)]
    return max(each for each in ends if each is not None)


def _behind(plot: Bars) -> list[str]:
    limits: tuple[Number, ...] = plot.limits or (None,) * len(plot.values)
    return [
        plot.value.printed(value)
        + ("" if share is None else f" · {fixed(100 * share, 1)} %")
        + ("" if limit is None else f" · {t('limit')} {plot.value.printed(limit)}")
        for value, share, limit in zip(plot.values, plot.shares, limits, strict=True)
    ]


def _limits(plot: Bars, ink: Ink) -> Options:
    data = [[limit, index] for index, limit in enumerate(plot.limits) if limit is not None]
    return {
        "type": "scatter", "name": t("limit"), "symbol": "rect", "symbolSize": [4, ROW - 4],
        "itemStyle": {"color": ink.heavy, "opacity": 1},
        "data": data, "z": 4, "encode": {"x": 0, "y": 1, "tooltip": [0]}, "tooltip": {":valueFormatter": number_in(plot.value)},
        "emphasis": {"disabled": True},
    }  # fmt: skip


def _texts(ends: Sequence[float], behind: Sequence[str], ink: Ink) -> Options:
    data = [{"value": [end, index], "name": text} for index, (end, text) in enumerate(zip(ends, behind, strict=True))]
    label = {
        "show": True,
        "formatter": "{b}",
        "position": "right",
        "distance": 7,
        "color": ink.ink,
        "fontSize": LETTERS,
    }
    return {
        "type": "scatter", "symbol": "circle", "symbolSize": 1, "silent": True, "data": data, "label": label,
        "itemStyle": {"color": "transparent", "opacity": 1},
        "tooltip": {"show": False}, "z": 5,
    }  # fmt: skip
