"""Draws plots: thin axes at left and below, a light grid, every line named beside it. Nothing rests on colour alone."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from voltwright.papers.inert import inert, shortened
from voltwright.papers.plot_engine import INCH, drawn, width_of
from voltwright.quantity.figure import fixed
from voltwright.quantity.plot import Axis, Bars, Heat, Lines, Mark, Number, Panel, Plot, Role, Series, spread_out

WIDTH = 174.0  # mm; the page between its margins
TALL, LOW, ROW = 74.0, 40.0, 5.6  # mm of a single panel, of one of several, of a bar
LEFT, TOP, GAP, FOOT = 11.0, 6.5, 8.5, 9.5  # mm round the panels
LETTERS, MM = 7.5, 72 / INCH  # points of a label; points in a millimetre
LINE_HEIGHT = 3.3  # mm
MOST_LETTERS = 30
SAMPLE, HATCH = 8.0, "////"  # mm of a sample in a key
INK, GREY, HAIR, BAND, HEAVY = "#1a1a1a", "#5c5c5c", "#d4d4d4", "#dbe5ec", "#a02b1d"

# Colours of unlike lightness, each with dashes of its own, so that a copy in grey still tells the lines apart.
MAIN: tuple[tuple[str, Any], ...] = (
    ("#0b3c5d", "solid"),
    ("#c0562b", (0, (6, 1.5))),
    ("#3f7d20", (0, (6, 1.5, 1, 1.5))),
    ("#7b4aa0", (0, (2.5, 1.5))),
    ("#00809d", (0, (8, 1.5, 1, 1.5, 1, 1.5))),
    ("#8a6d00", (0, (1, 1.2))),
)
REFERENCE = ("solid", (0, (5, 2)), (0, (3, 1.5)), (0, (3, 1.5, 1, 1.5)), (0, (1, 1.5)))
SHADES = ("#f9fbfc", "#e3ecf2", "#c8dae6", "#a8c5d8", "#86aeca", "#6697ba")


def size_of(plot: Plot) -> tuple[float, float]:
    """Width and height on paper. [mm]"""
    if isinstance(plot, Bars):
        return WIDTH, 4 + ROW * max(1, len(plot.names))
    if isinstance(plot, Lines) and len(plot.panels) > 1:
        return WIDTH, len(plot.panels) * (LOW + GAP) - GAP + TOP + FOOT
    return WIDTH, TALL


def svg_of(plot: Plot) -> str:
    """The plot as SVG at its size on paper, without its title."""
    draw = {Lines: _lines, Heat: _heat, Bars: _bars}[type(plot)]
    return drawn(*size_of(plot), lambda figure: draw(figure, plot))


def _said(text: str) -> str:
    return shortened(inert(text), MOST_LETTERS)


def _wide(words: str) -> float:
    return width_of(words, LETTERS)


def _axes(figure: Any, low: float, high: float, right: float) -> Any:
    """Axes between two heights [mm from below], with `right` mm left free beside them."""
    width, height = (each * INCH for each in figure.get_size_inches())
    axes = figure.add_axes((LEFT / width, low / height, (width - LEFT - right) / width, (high - low) / height))
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    for side in ("left", "bottom"):
        axes.spines[side].set(linewidth=0.6, color=INK)
    axes.tick_params(width=0.6, length=2.5, labelsize=LETTERS, color=INK, labelcolor=INK, pad=2)
    axes.grid(True, color=HAIR, linewidth=0.4)
    axes.set_axisbelow(True)
    return axes


def _ticks(axis: Any, most: int) -> None:
    from matplotlib.ticker import FuncFormatter, MaxNLocator

    axis.set_major_locator(MaxNLocator(most, steps=[1, 2, 2.5, 5, 10]))
    axis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}".replace("-", "−")))


def _heads(axes: Any, x: Axis | None, y: Axis) -> None:
    """The vertical axis is named above it, level, so that nobody has to turn the page."""
    axes.annotate(y.head, (0, 1), (-LEFT * MM + 2, 4), xycoords="axes fraction", textcoords="offset points",
                  ha="left", va="bottom", color=INK, weight="bold", size=LETTERS)  # fmt: skip
    if x is None:
        axes.tick_params(labelbottom=False)
    else:
        axes.set_xlabel(x.head, size=LETTERS, color=INK, weight="bold", labelpad=2.5)


@dataclass(frozen=True)
class Frame:
    """Axes with the size of what they span, so that labels are laid out in millimetres before anything is drawn."""

    axes: Any
    width: float
    height: float

    def place(self, x: float, y: float) -> tuple[float, float]:
        """Where a point of the data lies, from the lower left corner. [mm]"""
        (x0, x1), (y0, y1) = self.axes.get_xlim(), self.axes.get_ylim()
        return (x - x0) / (x1 - x0) * self.width, (y - y0) / (y1 - y0) * self.height

    @property
    def inner(self) -> Any:
        """Points from the lower left corner of the axes."""
        from matplotlib.transforms import Affine2D

        corner = self.axes.transAxes.transform((0, 0))
        return Affine2D().scale(self.axes.figure.dpi / 72).translate(*corner)

    def text(self, x: float, y: float, words: str, **how: Any) -> None:
        """Words at a place in millimetres from the lower left corner."""
        self.axes.annotate(words, (0, 0), (x * MM, y * MM), xycoords="axes fraction", textcoords="offset points",
                           **{"color": INK, "size": LETTERS, "annotation_clip": False} | how)  # fmt: skip


def _lines(figure: Any, plot: Lines) -> None:
    names = [each.name for panel in plot.panels for each in panel.series if each.named_at == "end"]
    right = 4.0 + max((width_of(_said(name), LETTERS, bold=True) for name in names), default=2.0)
    spread = [place for panel in plot.panels for each in panel.series for place in each.x if place is not None] or [0.0]
    count = len(plot.panels)
    height = TALL - TOP - FOOT if count == 1 else LOW
    for index, panel in enumerate(plot.panels):
        low = FOOT + (count - 1 - index) * (LOW + GAP)
        axes = _axes(figure, low, low + height, right)
        axes.set_xlim(min(spread), max(spread) if max(spread) > min(spread) else min(spread) + 1)
        _panel(Frame(axes, WIDTH - LEFT - right, height), panel, plot.x, last=index == count - 1)


def _panel(frame: Frame, panel: Panel, x: Axis, *, last: bool) -> None:
    axes = frame.axes
    ends = [value for each in panel.series for part in (each.y, each.low, each.high) for value in part]
    known = [value for value in ends if value is not None] + [mark.at for mark in panel.marks if mark.of == "y"]
    low, high = min(known, default=0.0), max(known, default=1.0)
    pad = 0.06 * (high - low) or 1.0
    axes.set_ylim(low - pad if panel.low is None else panel.low, high + pad if panel.high is None else panel.high)
    _ticks(axes.xaxis, 10)
    _ticks(axes.yaxis, 8 if frame.height > LOW else 4)
    _heads(axes, x if last else None, panel.y)
    styles = _styles(panel.series)
    for series, (colour, dashes, width) in zip(panel.series, styles, strict=True):
        if series.low:
            axes.fill_between(series.x, _gaps(series.low), _gaps(series.high), facecolor=BAND, linewidth=0)
            for edge in (series.low, series.high):
                axes.plot(series.x, _gaps(edge), color=colour, linewidth=0.5, linestyle=(0, (1, 1.5)))
        axes.plot(series.x, _gaps(series.y), color=colour, linestyle=dashes, linewidth=width)
    _marks(frame, panel.marks, x, panel.y)
    _names(frame, panel.series, [colour for colour, _, _ in styles])
    banded = [Sample("likely: 5 to 95 %", fill=BAND)] if any(each.low for each in panel.series) else []
    above = [
        Sample(_said(each.name), colour, dashes, width)
        for each, (colour, dashes, width) in zip(panel.series, styles, strict=True)
        if each.named_at == "above"
    ]
    _key(frame, [*above, *banded])


def _gaps(values: Sequence[Number]) -> list[float]:
    return [float("nan") if each is None else each for each in values]  # drawn as a gap, never written


def _styles(series: Sequence[Series]) -> list[tuple[str, Any, float]]:
    """Colour, dashes and width of each line; lines of one role differ in colour or in dashes."""
    counts: dict[Role, int] = {}
    result: list[tuple[str, Any, float]] = []
    for each in series:
        number = counts[each.role] = counts.get(each.role, -1) + 1
        if each.role == "main":
            result.append((*MAIN[number % len(MAIN)], 1.5))
        elif each.role == "compare":
            result.append((GREY, (0, (1.5, 1.2)), 1.3))
        else:
            result.append((GREY if each.role == "reference" else INK, REFERENCE[number % len(REFERENCE)], 0.8))
    return result


def _names(frame: Frame, series: Sequence[Series], colours: Sequence[str]) -> None:
    """Each name beside its line: those at an end in one column at its height, spread until none covers another."""
    for side in ("start", "end"):
        wanted: list[tuple[float, float, str, str]] = []
        for each, colour in zip(series, colours, strict=True):
            points = [(x, y) for x, y in zip(each.x, each.y, strict=True) if x is not None and y is not None]
            if points and each.named_at == side:
                x, y = frame.place(*points[0 if side == "start" else -1])
                wanted.append((y, x, _said(each.name), colour))
        wanted.sort()
        heights = spread_out([each[0] for each in wanted], LINE_HEIGHT, -1.0, frame.height + 1.0)
        for (y, x, words, colour), at in zip(wanted, heights, strict=True):
            if side == "start":
                frame.text(x + 1.2, at + 0.7, words, color=colour, weight="bold", va="bottom", bbox=_halo())
                continue
            if abs(at - y) > 0.8:
                frame.axes.annotate("", (x * MM, y * MM), ((x + 1.6) * MM, at * MM), xycoords=frame.inner, textcoords=frame.inner,
                                    arrowprops={"arrowstyle": "-", "color": GREY, "linewidth": 0.4}, annotation_clip=False)  # fmt: skip
            frame.text(x + 1.9, at, words, color=colour, va="center", weight="normal" if colour == GREY else "bold")


def _halo() -> dict[str, Any]:
    return {"facecolor": "white", "edgecolor": "none", "pad": 0.6, "alpha": 0.85}


def _marks(frame: Frame, marks: Sequence[Mark], x: Axis, y: Axis) -> None:
    """A line across at each mark. Words of upright lines stand in rows below the top; others where they meet none."""
    taken: list[tuple[float, float, float, float]] = []  # left, low, right, high of words [mm]
    for mark in sorted((each for each in marks if each.of == "x"), key=lambda each: each.at):
        words = f"{_said(mark.words)} {x.printed(mark.at)}"
        frame.axes.axvline(mark.at, color=INK, linewidth=0.8, linestyle=(0, (4, 2)))
        at, wide = frame.place(mark.at, 0)[0], _wide(words)
        left = at + 1.2 if at + 1.2 + wide <= frame.width else at - 1.2 - wide
        top = frame.height - 0.6 - len(taken) * 1.3 * LINE_HEIGHT
        frame.text(left, top, words, va="top", bbox=_halo())
        taken.append((left, top - LINE_HEIGHT, left + wide, top))
    for mark in (each for each in marks if each.of == "y"):
        words = f"{_said(mark.words)} {y.printed(mark.at)}"
        frame.axes.axhline(mark.at, color=INK, linewidth=1.0, linestyle=(0, (9, 2, 1.5, 2)))
        left, low = _beside(frame, frame.place(0, mark.at)[1], _wide(words), taken)
        frame.text(left, low, words, va="bottom", bbox=_halo())
        taken.append((left, low, left + _wide(words), low + LINE_HEIGHT))


def _beside(frame: Frame, height: float, wide: float, taken: Sequence[tuple[float, ...]]) -> tuple[float, float]:
    """Where words of a level line stand: above it or below it, as far right as no other words are in the way."""
    rows = [low for low in (height + 0.7, height - 0.7 - LINE_HEIGHT) if 0 <= low <= frame.height - LINE_HEIGHT]
    places = [((frame.width - 1 - wide) * share, low) for share in (1.0, 0.75, 0.5, 0.3) for low in rows]

    def is_free(place: tuple[float, float]) -> bool:
        left, low = place
        return all(left > b[2] or left + wide < b[0] or low > b[3] or low + LINE_HEIGHT < b[1] for b in taken)

    return next(filter(is_free, places), (places or [(frame.width - 1 - wide, height + 0.7)])[0])


def _heat(figure: Any, plot: Heat) -> None:
    from matplotlib.colors import LinearSegmentedColormap
    from matplotlib.ticker import MaxNLocator

    right = 4.0
    axes = _axes(figure, FOOT, TALL - TOP, right)
    frame = Frame(axes, WIDTH - LEFT - right, TALL - TOP - FOOT)
    axes.grid(False)
    axes.set_xlim(min(plot.places), max(plot.places))
    axes.set_ylim(min(plot.heights), max(plot.heights))
    _ticks(axes.xaxis, 10)
    _ticks(axes.yaxis, 8)
    _heads(axes, plot.x, plot.y)
    rows = [_gaps(row) for row in plot.rows]
    known = [value for row in plot.rows for value in row if value is not None]
    if len(known) < sum(map(len, plot.rows)):
        _hatched(frame)
    key = [Sample(f"lines: {plot.z.head}", width=0.7)]
    if known and max(known) > min(known):
        levels = [*MaxNLocator(9, steps=[1, 2, 2.5, 5, 10]).tick_values(min(known), max(known))]
        shades = LinearSegmentedColormap.from_list("shades", SHADES)
        axes.contourf(plot.places, plot.heights, rows, levels, cmap=shades)
        lines = axes.contour(plot.places, plot.heights, rows, levels[1:], colors=INK, linewidths=0.6)
        _heights(frame, zip(levels[1:], lines.allsegs, strict=True))
    for line in plot.lines:
        axes.plot(line.x, _gaps(line.y), color=HEAVY, linewidth=2.2)
        key.append(Sample(inert(line.name), HEAVY, width=2.2))
    if len(known) < sum(map(len, plot.rows)):
        key.append(Sample(inert(plot.gap), hatch=HATCH))
    _marks(frame, plot.marks, plot.x, plot.y)
    _key(frame, key)


def _heights(frame: Frame, lines: Iterable[tuple[float, Any]]) -> None:
    """The height of each contour line, written where its neighbours are farthest."""
    points = [
        (level, [frame.place(x, y) for part in parts for x, y in part if len(part) > 1]) for level, parts in lines
    ]
    for level, own in points:
        others = np.array([place for height, places in points for place in places if height != level] or [(-1e3, -1e3)])
        room = [(_room(frame, place, others), place) for place in own[:: max(1, len(own) // 60)]]
        space, (x, y) = max(room, default=(0.0, (0.0, 0.0)))
        if space > LINE_HEIGHT:
            frame.text(x, y, f"{level:g}", ha="center", va="center", bbox=_halo())


def _room(frame: Frame, place: tuple[float, float], others: Any) -> float:
    """How far a place is from other lines and from the edge. [mm]"""
    x, y = place
    edge = min(x, frame.width - x, y, frame.height - y - 2 * LINE_HEIGHT)
    return min(float(np.hypot(*(others - (x, y)).T).min()), edge)


def _hatched(frame: Frame) -> None:
    from matplotlib.patches import Rectangle

    whole: dict[str, Any] = {"transform": frame.axes.transAxes, "fill": False, "hatch": HATCH, "edgecolor": GREY}
    frame.axes.add_patch(Rectangle((0, 0), 1, 1, linewidth=0, zorder=0, **whole))


@dataclass(frozen=True)
class Sample:
    """An entry of a key: a piece of line, or of what fills an area, and words."""

    words: str
    colour: str = INK
    dashes: Any = "solid"
    width: float = 1.0
    fill: str = ""
    hatch: str = ""


def _key(frame: Frame, samples: Sequence[Sample]) -> None:
    """What lines and areas mean, above the axes, from the right."""
    from matplotlib.lines import Line2D
    from matplotlib.patches import Rectangle

    at, y = frame.width, frame.height + 2.8
    for sample in reversed(samples):
        at -= _wide(sample.words)
        frame.text(at, frame.height + 1.6, sample.words, va="bottom")
        at -= SAMPLE + 1.2
        if sample.fill or sample.hatch:
            fill, hatch = sample.fill or "white", sample.hatch or None
            how: dict[str, Any] = {"facecolor": fill, "hatch": hatch, "edgecolor": GREY}
            part: Any = Rectangle((at * MM, (y - 1) * MM), SAMPLE * MM, 2 * MM, linewidth=0.4, clip_on=False, **how)
        else:
            how = {"color": sample.colour, "linestyle": sample.dashes, "linewidth": sample.width}
            part = Line2D([at * MM, (at + SAMPLE) * MM], [y * MM, y * MM], clip_on=False, **how)
        part.set_transform(frame.inner)
        frame.axes.add_artist(part)
        at -= 4.0


def _bars(figure: Any, plot: Bars) -> None:
    """Each bar with its name before it and its numbers behind; a band is a bracket, a limit a heavy line across with its value."""
    width, height = size_of(plot)
    names, words = [_said(name) for name in plot.names], _behind(plot)
    left = 3.0 + max((_wide(name) for name in names), default=0.0)
    right = 5.0 + max((_wide(each) for each in words), default=0.0)
    axes = figure.add_axes((left / width, 2 / height, (width - left - right) / width, (height - 4) / height))
    axes.set_axis_off()
    count = max(1, len(names))
    axes.set_ylim(count - 0.5, -0.5)
    known = [
        0.0,
        *(each for part in (plot.values, plot.low, plot.high, plot.limits) for each in part if each is not None),
    ]
    axes.set_xlim(min(known), max(known) if max(known) > min(known) else min(known) + 1)
    frame = Frame(axes, width - left - right, height - 4)
    axes.axvline(0, color=INK, linewidth=0.6)
    for index, (name, value, said) in enumerate(zip(names, plot.values, words, strict=True)):
        axes.barh(index, value, height=0.62, color="#568cb0", edgecolor=INK, linewidth=0.5)
        low, high = (part[index] if part else None for part in (plot.low, plot.high))
        if low is not None and high is not None:
            axes.errorbar(
                (low + high) / 2, index, xerr=(high - low) / 2, color=INK, linewidth=0.7, capsize=2.5, capthick=0.7
            )
        limit = plot.limits[index] if plot.limits else None
        if limit is not None:
            axes.plot([limit, limit], [index - 0.45, index + 0.45], color=HEAVY, linewidth=2.2, clip_on=False)
        ends = [value, 0.0, *(each for each in (high, limit) if each is not None)]
        middle = frame.height * (1 - (index + 0.5) / count)
        frame.text(-1.5, middle, name, ha="right", va="center")
        frame.text(frame.place(max(ends), 0)[0] + 1.5, middle, said, va="center")


def _behind(plot: Bars) -> list[str]:
    """What stands behind each bar: its value, its share of the whole, its limit."""
    limits = plot.limits or (None,) * len(plot.values)
    return [
        plot.value.printed(value)
        + ("" if share is None else f" · {fixed(100 * share, 1)} %")
        + ("" if limit is None else f" · limit {plot.value.printed(limit)}")
        for value, share, limit in zip(plot.values, plot.shares, limits, strict=True)
    ]
