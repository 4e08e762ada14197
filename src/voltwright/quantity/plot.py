"""Plots as data: what is drawn, in which units, what it says in words, and the same numbers as a table.

A number that is absent is None, and leaves a gap; what is not finite is refused.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from voltwright.quantity.figure import fixed, unit_name
from voltwright.quantity.units import Unit, preferred

Number = float | None
Role = Literal["main", "compare", "reference", "limit"]


@dataclass(frozen=True)
class Table:
    """The numbers of a plot: one head a column, with its unit."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str | Number, ...], ...]


@dataclass(frozen=True)
class Axis:
    """What is measured along an axis, in which unit, and how many decimals are worth printing.

    `tall`: it is the height of a road or hill, which people without metres count in feet and not in inches.
    """

    label: str
    unit: Unit
    decimals: int = 0
    tall: bool = False

    @property
    def head(self) -> str:
        name = unit_name(self.unit)
        return f"{self.label} ({name})" if name else self.label

    def printed(self, value: float) -> str:
        return f"{fixed(value, self.decimals)} {unit_name(self.unit)}".strip()

    def shown(self, system: str) -> Axis:
        return replace(self, unit=self._preferred(system))

    def _preferred(self, system: str) -> Unit:
        return preferred(self.unit, system, tall=self.tall)

    def convert(self, value: Number, system: str) -> Number:
        """The value in the unit that the system of units shows."""
        return self.convert_all((value,), system)[0]

    def convert_all(self, values: Iterable[Number], system: str) -> tuple[Number, ...]:
        unit, other = self.unit, self._preferred(system)
        if other == unit:
            return tuple(values)
        return tuple(None if each is None else other.from_si(unit.to_si(each)) for each in values)


def _are_finite(values: Sequence[Number]) -> bool:
    try:
        return all(map(math.isfinite, values))  # pyright: ignore[reportArgumentType] - nearly always there is no None
    except TypeError:
        return all(math.isfinite(each) for each in values if each is not None)


def _check(name: str, *columns: Sequence[Number]) -> None:
    """All of one length, and finite where they are anything. Raises ValueError."""
    if len({len(each) for each in columns}) != 1:
        raise ValueError(f"{name}: columns of different lengths")
    if not all(map(_are_finite, columns)):
        raise ValueError(f"{name}: a number is not finite; what is absent is None")


def _are_shown(system: str, *axes: Axis) -> bool:
    """Whether all are in the units of a system already."""
    return all(each.shown(system) == each for each in axes)


@dataclass(frozen=True)
class Series:
    """One line: y over x, with a band from 5 to 95 % where `low` and `high` are given.

    Its name stands at its start, at its end, or above the panel.
    """

    name: str
    x: tuple[Number, ...]
    y: tuple[Number, ...]
    low: tuple[Number, ...] = ()
    high: tuple[Number, ...] = ()
    role: Role = "main"
    named_at: Literal["start", "end", "above"] = "end"

    def __post_init__(self) -> None:
        _check(self.name, self.x, self.y, *([self.low, self.high] if self.low or self.high else []))
        if None in self.x:
            raise ValueError(f"{self.name}: a place along the axis is missing")


@dataclass(frozen=True)
class Mark:
    """A line across the plot at one value of the axis `of`, with words; the value is printed behind them."""

    of: Literal["x", "y"]
    at: float
    words: str

    def __post_init__(self) -> None:
        _check(self.words, [self.at])


@dataclass(frozen=True)
class Panel:
    """What shares one axis upwards. `low` and `high` are where that axis ends, if not by itself."""

    y: Axis
    series: tuple[Series, ...]
    marks: tuple[Mark, ...] = ()
    low: Number = None
    high: Number = None


@dataclass(frozen=True)
class Lines:
    """Lines over one axis, in one panel or in several above each other. `alt` says in one sentence what is seen."""

    title: str
    alt: str
    x: Axis
    panels: tuple[Panel, ...]
    kind: Literal["lines"] = "lines"

    def shown(self, system: str) -> Lines:
        """The same in the units of a system (metric, uk, us)."""
        if _are_shown(system, self.x, *(each.y for each in self.panels)):
            return self
        panels = tuple(self._panel(each, system) for each in self.panels)
        return replace(self, x=self.x.shown(system), panels=panels)

    def _panel(self, panel: Panel, system: str) -> Panel:
        def line(each: Series) -> Series:
            y, low, high = (panel.y.convert_all(values, system) for values in (each.y, each.low, each.high))
            return replace(each, x=self.x.convert_all(each.x, system), y=y, low=low, high=high)

        marks = tuple(_mark(each, self.x, panel.y, system) for each in panel.marks)
        low, high = (panel.y.convert(end, system) for end in (panel.low, panel.high))
        series = tuple(line(each) for each in panel.series)
        return replace(panel, y=panel.y.shown(system), series=series, marks=marks, low=low, high=high)

    def table(self) -> Table:
        """A row for each place along the axis; empty where a line has no point."""
        heads, columns = [self.x.head], list[dict[Number, Number]]()
        for panel in self.panels:
            unit = unit_name(panel.y.unit)
            for each in panel.series:
                whole = {"": each.y} | ({", low": each.low, ", high": each.high} if each.low else {})
                heads += [f"{panel.y.label}: {each.name}{which}" + (f" ({unit})" if unit else "") for which in whole]
                columns += [dict(zip(each.x, values, strict=True)) for values in whole.values()]
        places = sorted({place for column in columns for place in column if place is not None})
        return Table(tuple(heads), tuple((place, *(each.get(place) for each in columns)) for place in places))


def _mark(mark: Mark, x: Axis, y: Axis, system: str) -> Mark:
    at = (x if mark.of == "x" else y).convert(mark.at, system)
    return replace(mark, at=at)


@dataclass(frozen=True)
class Heat:
    """A map: z over x and y, `rows` with one row for each y; None where there is nothing to say, and `gap` says why.

    `lines` are heavy lines on the map, y over x, with words.
    """

    title: str
    alt: str
    x: Axis
    y: Axis
    z: Axis
    places: tuple[float, ...]
    heights: tuple[float, ...]
    rows: tuple[tuple[Number, ...], ...]
    lines: tuple[Series, ...] = ()
    marks: tuple[Mark, ...] = ()
    gap: str = ""
    kind: Literal["heat"] = "heat"

    def __post_init__(self) -> None:
        if len(self.rows) != len(self.heights):
            raise ValueError(f"{self.title}: one row for each height")
        for row in self.rows:
            _check(self.title, self.places, row)
        _check(self.title, self.heights)

    def shown(self, system: str) -> Heat:
        """The same in the units of a system (metric, uk, us)."""
        if _are_shown(system, self.x, self.y, self.z):
            return self

        def ends(axis: Axis, values: tuple[float, ...]) -> tuple[float, ...]:
            return tuple(each for each in axis.convert_all(values, system) if each is not None)

        def line(each: Series) -> Series:
            return replace(each, x=self.x.convert_all(each.x, system), y=self.y.convert_all(each.y, system))

        return replace(
            self,
            x=self.x.shown(system),
            y=self.y.shown(system),
            z=self.z.shown(system),
            places=ends(self.x, self.places),
            heights=ends(self.y, self.heights),
            rows=tuple(self.z.convert_all(row, system) for row in self.rows),
            lines=tuple(line(each) for each in self.lines),
            marks=tuple(_mark(each, self.x, self.y, system) for each in self.marks),
        )

    def table(self) -> Table:
        """A row for each place and height."""
        cells = [
            (place, height, value)
            for height, row in zip(self.heights, self.rows, strict=True)
            for place, value in zip(self.places, row, strict=True)
        ]
        return Table((self.x.head, self.y.head, self.z.head), tuple(cells))


@dataclass(frozen=True)
class Bars:
    """Bars with their names, each with a band and the limit that it must not pass, where these are known.

    `is_whole`: they are parts of a whole, and each has its share of the sum.
    """

    title: str
    alt: str
    value: Axis
    names: tuple[str, ...]
    values: tuple[float, ...]
    low: tuple[Number, ...] = ()
    high: tuple[Number, ...] = ()
    limits: tuple[Number, ...] = ()
    is_whole: bool = True
    kind: Literal["bars"] = "bars"

    def __post_init__(self) -> None:
        if len(self.names) != len(self.values):
            raise ValueError(f"{self.title}: names and values differ in number")
        banded = [self.low, self.high] if self.low or self.high else []
        _check(self.title, self.values, *banded, *([self.limits] if self.limits else []))

    @property
    def shares(self) -> tuple[Number, ...]:
        """Of the sum; None where the sum is nothing, or means nothing."""
        whole = sum(self.values) if self.is_whole else 0.0
        return tuple(each / whole if whole > 0 else None for each in self.values)

    def shown(self, system: str) -> Bars:
        """The same in the units of a system (metric, uk, us)."""
        values = tuple(each for each in self.value.convert_all(self.values, system) if each is not None)
        low, high, limits = (self.value.convert_all(each, system) for each in (self.low, self.high, self.limits))
        return replace(self, value=self.value.shown(system), values=values, low=low, high=high, limits=limits)

    def table(self) -> Table:
        """A row for each bar."""
        unit = unit_name(self.value.unit)
        more = {", low": self.low, ", high": self.high, ", limit": self.limits}
        columns = {f"{self.value.label}{name} ({unit})": each for name, each in more.items() if each}
        if self.is_whole:
            columns["Share (%)"] = tuple(None if share is None else 100 * share for share in self.shares)
        rows = zip(self.names, self.values, *columns.values(), strict=True)
        return Table(("Part", self.value.head, *columns), tuple(rows))


Plot = Lines | Heat | Bars


def spread_out(heights: Sequence[float], step: float, low: float, high: float) -> list[float]:
    """Ascending heights moved apart to at least `step`, as little as may be; between `low` and `high` where there is room.

    Less `step` for each that lies below it, a height may only not fall: runs that would are levelled to their mean.
    """
    runs: list[tuple[float, int]] = []  # sum and length
    for index, height in enumerate(heights):
        runs.append((height - index * step, 1))
        while len(runs) > 1 and runs[-2][0] / runs[-2][1] > runs[-1][0] / runs[-1][1]:
            (first, many), (second, more) = runs[-2:]
            runs[-2:] = [(first + second, many + more)]
    most = max(low, high - (len(heights) - 1) * step)
    levels = [min(most, max(low, total / many)) for total, many in runs for _ in range(many)]
    return [level + index * step for index, level in enumerate(levels)]
