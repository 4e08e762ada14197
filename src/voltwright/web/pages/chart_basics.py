"""What the plots on the screen share: sizes, axes, numbers in words, marks, tooltips."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from typing import Any

from voltwright.quantity.figure import unit_name
from voltwright.quantity.plot import Axis, Mark, Number, Panel
from voltwright.web.pages.chart_ink import Ink

Options = dict[str, Any]
LETTERS, LINE = 12, 14  # px; of letters, and from line to line
TALL, LOW, ROW = 270, 130, 30  # px of a single panel, of one of several, of a bar
LEFT, TOP, GAP, FOOT = 56, 56, 40, 46  # px round the panels
LETTER_WIDTH = 6.6  # px, rather too much than too little
MOST_LETTERS = 34
DASHES: tuple[Any, ...] = ("solid", [8, 4], [5, 3], [5, 3, 1, 3], [2, 3])
# As the papers print them: a true minus, and a gap between the thousands of five digits and more.
PRINTED = ".replace('-', '\u2212').replace(/^\\D*\\d{5,}/, (head) => head.replace(/\\B(?=(\\d{3})+$)/g, '\u00a0'))"
PLAIN_TICK = f"(value) => String(Number(value.toPrecision(6))){PRINTED}"


def said(text: str) -> str:
    """No longer than there is room for, and in one line."""
    line = " ".join(text.split())
    return line if len(line) <= MOST_LETTERS else f"{line[: MOST_LETTERS - 1]}…"


def wide(texts: Sequence[str]) -> int:
    return round(LETTER_WIDTH * max((len(each) for each in texts), default=0))


def number_in(axis: Axis) -> str:
    """A function that prints a number, or a list of them, as the axis has it. What it returns ECharts takes as text."""
    unit = json.dumps(f" {unit_name(axis.unit)}".rstrip())
    nothing = "v === null || v === undefined || v === '-'"
    number = f"Number(v).toFixed({axis.decimals}){PRINTED} + {unit}"
    one = f"(v) => {nothing} ? '\u2013' : {number}"
    return f"(value) => {{ const one = {one}; return Array.isArray(value) ? value.map(one).join(', ') : one(value); }}"


def tooltip(ink: Ink, **more: Any) -> Options:
    return {
        "confine": True,
        "backgroundColor": ink.ground,
        "borderColor": ink.grey,
        "textStyle": {"color": ink.ink, "fontSize": LETTERS, "fontFamily": ink.font},
        **more,
    }


def _axis(axis: Axis, ink: Ink, **more: Any) -> Options:
    """An axis with its head and plain numbers."""
    known: Options = {
        "type": "value",
        "name": axis.head,
        "nameTextStyle": {"color": ink.ink, "fontWeight": "bold", "fontSize": LETTERS},
        "axisLine": {"show": True, "onZero": False, "lineStyle": {"color": ink.ink, "width": 1}},
        "axisTick": {"show": True, "lineStyle": {"color": ink.ink}},
        "axisLabel": {"color": ink.ink, "fontSize": LETTERS, "hideOverlap": True, ":formatter": PLAIN_TICK},
        "splitLine": {"lineStyle": {"color": ink.hair, "width": 1}},
    }
    return known | more


def x_axis(axis: Axis, ink: Ink, low: float, high: float, **more: Any) -> Options:
    """From end to end of what is drawn; an end that is no round number is not written."""
    pointer = {"label": {":formatter": f"(at) => ({number_in(axis)})(at.value)", "backgroundColor": ink.grey}}
    ends = {"min": low, "max": high if high > low else low + 1}
    made = _axis(axis, ink, nameLocation="middle", nameGap=28, axisPointer=pointer, **ends)
    made["axisLabel"] |= {"showMinLabel": _is_round(low), "showMaxLabel": _is_round(high)}
    return made | more


def _is_round(value: float) -> bool:
    return float(f"{value:.2g}") == value


def ends_of(low: Number, high: Number) -> Options:
    """Where an axis ends and in which steps it is written, as far as a plot says so; an end moves out to a whole step."""
    if low is None or high is None or high <= low:
        known = {"min": low, "max": high}
        return {"scale": low is None} | {name: each for name, each in known.items() if each is not None}
    rough = (high - low) / 4
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(each * power for each in (1, 2, 2.5, 5, 10) if each * power >= rough)
    return {"min": low, "max": low + math.ceil((high - low) / step - 1e-9) * step, "interval": step}


def extent_of(panel: Panel) -> tuple[float, float]:
    """Where the axis of a panel begins and ends, or about where, if that is left to the chart."""
    numbers = [each for line in panel.series for each in (*line.y, *line.low, *line.high) if each is not None]
    numbers += [mark.at for mark in panel.marks if mark.of == "y"]
    low = min(numbers, default=0.0) if panel.low is None else panel.low
    high = max(numbers, default=1.0) if panel.high is None else panel.high
    ends = ends_of(low, high)
    return (ends["min"], ends["max"]) if high > low else (low - 1.0, low + 1.0)


def y_axis(axis: Axis, ink: Ink, **more: Any) -> Options:
    """Named above, level, so that nobody has to turn the head."""
    where = {
        "color": ink.ink,
        "fontWeight": "bold",
        "fontSize": LETTERS,
        "align": "left",
        "padding": [0, 0, 0, 8 - LEFT],
    }
    return _axis(axis, ink, nameLocation="end", nameGap=26, nameTextStyle=where, splitNumber=4) | more


def mark_lines(marks: Sequence[Mark], x: Axis, y: Axis, ink: Ink) -> Options:
    """Dashed lines across, with words and value: of upright ones above the panel, of level ones on the line."""
    label = {"color": ink.ink, "fontSize": LETTERS, "formatter": "{b}"}
    data = [
        {"name": f"{said(each.words)} {x.printed(each.at)}", "xAxis": each.at, "label": {**label, "position": "end", "distance": 4}}
        if each.of == "x"
        else {
            "name": f"{said(each.words)} {y.printed(each.at)}", "yAxis": each.at, "label": {**label, "position": "insideEndTop"},
            "lineStyle": {"type": [14, 4, 3, 4], "width": 1.6},
        }
        for each in marks
    ]  # fmt: skip
    return {
        "silent": True,
        "symbol": "none",
        "lineStyle": {"color": ink.ink, "type": [6, 4], "width": 1.2},
        "data": data,
    }
