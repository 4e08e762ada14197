"""What the loop of heat is asked, and what it answers: a stream of current, boxes, and how warm their cells become."""

from __future__ import annotations

import functools
from dataclasses import dataclass, field
from typing import Annotated, Any

import numpy as np

from voltwright.kernels import bins, heat, journey
from voltwright.kernels.car import Car, Tables, bilinear, raster
from voltwright.physics.battery_box import Box
from voltwright.physics.charging import ChargeLimits, PackSource
from voltwright.quantity.formula import procedure
from voltwright.quantity.table import Grid
from voltwright.quantity.types import Coulomb, Fraction, Kelvin, MetrePerSecond, Number, Ohm, Second
from voltwright.quantity.units import Unit

BIN = 20.0  # s: currents are averaged over so long
SLOW = 60.0  # s: time constant of what a resistance over minutes has beyond that over ten seconds

BODIES = (
    "core_middle", "surface_middle", "case_middle", "core_edge", "surface_edge", "case_edge", "air", "wall", "coolant",
)  # fmt: skip
_AT = {name: at for at, name in enumerate((*BODIES, "outside", "around"))}
# From, to, the field of a Box that is fixed, and for what changes its tables over difference and over road speed.
WAYS = (
    ("core_middle", "surface_middle", "inside_middle", ""),
    ("surface_middle", "case_middle", "packed_middle", ""),
    ("core_edge", "surface_edge", "inside_edge", ""),
    ("surface_edge", "case_edge", "packed_edge", ""),
    ("case_middle", "case_edge", "between", ""),
    ("case_middle", "wall", "seen_middle", ""),
    ("case_edge", "wall", "seen_edge", ""),
    ("case_middle", "air", "", "air_middle"),
    ("case_edge", "air", "", "air_edge"),
    ("air", "wall", "", "air_wall"),
    ("air", "outside", "vent", ""),
    ("wall", "around", "mounts", "out"),
    ("surface_middle", "coolant", "plate_middle", ""),
    ("surface_edge", "coolant", "plate_edge", ""),
    ("coolant", "outside", "", "radiator"),
)
_TABLES = ("air_middle", "air_edge", "air_wall", "out", "radiator")
SOURCE, TARGET = (np.array([_AT[way[side]] for way in WAYS], dtype=np.int64) for side in (0, 1))
TABLE = np.array([_TABLES.index(way[3]) if way[3] else -1 for way in WAYS], dtype=np.int64)
NEARLY_NONE = 1e-9  # W/K: coolant that does not flow still touches something


@dataclass(frozen=True, eq=False)
class Stream:
    """What the current of one cell does to it, by even steps: mean square, and current times its slow part [A²], charge [1], speed [m/s].

    Along the first axis time, along the second samples where there are any. `from_step`: what came before is lead-up.
    """

    square: Any
    slow: Any
    charge: Any
    speed: Any
    step: float
    from_step: int = 0

    def __str__(self) -> str:
        return f"current of a cell over {len(self.square) * self.step / 60:.0f} min in steps of {self.step:g} s"


@dataclass(frozen=True, eq=False)
class Warmth:
    """How warm cells became: the hottest and the coldest core of each box over time (time, samples, boxes) [K], and the books [J].

    `steady`: heat of all cells on the mean of the ten minutes in which they make most (samples) [W].
    """

    hot: Any
    cold: Any
    made: Any
    shed: Any
    stored: Any
    steady: Any
    step: float
    from_step: int
    sampled: bool

    def __str__(self) -> str:
        peak = float(np.max(self.hot[self.from_step :])) - 273.15
        return f"{self.hot.shape[2]} boxes over {len(self.hot) * self.step / 60:.0f} min, up to {peak:.1f} °C"


@procedure(symbol="T_R", words="the cell's tables read at every 5 % and 5 K: over ten seconds, and what minutes add")
def heat_tables(ten_seconds: Grid, minutes: Grid) -> Annotated[Tables, Unit("1")]:
    """The resistances of a cell as heat sees them."""
    sooner, later = raster(ten_seconds), raster(minutes)
    more = np.maximum(0.0, later - sooner)
    return Tables(np.zeros(0), np.concatenate([bilinear(sooner), bilinear(more)], axis=1).ravel())


@procedure(
    symbol="I_c",
    words="the trip simulated second by second; square of the current, charge and speed averaged over twenty seconds; the slow part "
    "follows the current with a time constant of a minute",
    valid="once the pack is empty no current flows",
)
def stream_of_drive(car: Car, cells: Tables, asked: journey.Journey, share: Number) -> Annotated[Stream, Unit("1")]:
    """The current of the most loaded cell over a trip; `share` is what it has of the pack's. Arrays in the car are many cars."""
    size = max(1, round(BIN / asked.step))
    if any(isinstance(each, np.ndarray) for each in car):
        rows = bins.means_of(car, cells, asked, size, SLOW)
    else:
        rows = _in_bins(journey.course_of(car, cells, asked), len(asked.grade), size, asked.step)
    square, slow, charge, speed = rows
    return Stream(square * share**2, slow * share**2, charge, speed, asked.step * size)


def _in_bins(course: journey.Course, count: int, size: int, step: float) -> tuple[Any, Any, Any, Any]:
    """The rows of a stream for the pack's current, on the mean of bins of `size` steps; at rest once the pack is empty."""
    done, wide = len(course.current), -(-count // size)

    def mean(values: Any, after: float) -> Any:
        whole = np.full(wide * size, after)
        whole[:done] = values
        return whole.reshape(wide, size).mean(axis=1)

    last = float(course.charge[-1]) if done else 0.0
    speed = (course.speed[1:] + course.speed[:-1]) / 2
    slow = heat.times_its_lag(course.current, step / SLOW)
    return mean(course.current**2, 0.0), mean(slow, 0.0), mean(course.charge, last), mean(speed, 0.0)


@procedure(
    symbol="I_c",
    words="after the drive the car is charged at once: current along the charge as by the question of charging, read every twenty seconds",
)
def then_charged(
    drive: Stream, target: Fraction, capacity: Coulomb, limits: ChargeLimits, pack: PackSource, share: Number, longest: Second
) -> Annotated[Stream, Unit("1")]:  # fmt: skip
    """A drive, and a charge up to `target` from where it ended, for `longest` at most; the car stands."""
    start = np.minimum(drive.charge[-1], target)
    edges: Any = np.linspace(0.0, 1.0, 201)[:, None]
    span = np.atleast_1d(target - start)
    charge, width = start + span * (edges[1:] + edges[:-1]) / 2.0, span * np.diff(edges, axis=0)
    current = np.maximum(limits.at(*pack.at(charge)), 1e-9)
    time = np.cumsum(capacity * width / current, axis=0)
    count = int(float(longest) / drive.step)
    wanted = (np.arange(count) + 0.5) * drive.step
    amperes = _at_times(wanted, time, current, flows=True)
    charges = _at_times(wanted, time, charge, flows=False)
    if drive.square.ndim == 1:
        amperes, charges = amperes[:, 0], charges[:, 0]
    still: Any = np.zeros_like(amperes)
    return Stream(
        _after(drive.square, (amperes * share) ** 2),
        _after(drive.slow, (amperes * share) ** 2),
        _after(drive.charge, charges),
        _after(drive.speed, still),
        drive.step,
        len(drive.square),
    )


def _at_times(wanted: Any, time: Any, values: Any, *, flows: bool) -> Any:
    """Values of each sample (columns) at times; after the end no current flows and the charge stays."""
    time, values = np.broadcast_arrays(time, values)
    ends = values[-1] * (0.0 if flows else 1.0)
    interpolate: Any = np.interp
    columns = [interpolate(wanted, time[:, at], values[:, at], right=ends[at]) for at in range(values.shape[1])]
    return np.stack(columns, axis=1)


def _after(one: Any, other: Any) -> Any:
    if one.ndim != other.ndim:
        many = max(one.shape[-1] if one.ndim == 2 else 1, other.shape[-1] if other.ndim == 2 else 1)
        one, other = (
            np.broadcast_to(each if each.ndim == 2 else each[:, None], (len(each), many)) for each in (one, other)
        )
    return np.concatenate([one, other])


@procedure(symbol="I_c", words="one current all the time, at one charge and one speed")
def steady_stream(
    current: Annotated[float, Unit("A")], charge: Fraction, speed: Annotated[float, Unit("km/h")], time: Second
) -> Annotated[Stream, Unit("1")]:
    """A steady current of a cell."""
    step = 30.0
    count = int(time / step)
    square = np.ones((count, *np.shape(current + charge + speed)))
    return Stream(square * current**2, square * current**2, square * charge, square * speed, step)


@dataclass(frozen=True, eq=False)
class Boxes:
    """The boxes of a pack."""

    each: tuple[Box, ...]
    rows: dict[int, tuple[Any, ...]] = field(default_factory=dict[int, "tuple[Any, ...]"])  # by samples, once asked for

    @functools.cached_property
    def samples(self) -> int:
        """How many samples there are; 0 at a point."""
        found = [np.shape(each)[0] for box in self.each for each in box[:TABLES_FROM] if np.ndim(each)]
        return max(
            (*found, *(each.shape[1] for box in self.each for each in box[TABLES_FROM:] if each.ndim == 2)), default=0
        )

    def __str__(self) -> str:
        return f"{len(self.each)} battery boxes"


@procedure(symbol="B", words="the first box")
def first_box(box: Box) -> Annotated[Boxes, Unit("1")]:
    """A pack of one box."""
    return Boxes((box,))


@procedure(symbol="B", words="one box more")
def one_box_more(boxes: Boxes, box: Box) -> Annotated[Boxes, Unit("1")]:
    """A pack of a box more."""
    return Boxes((*boxes.each, box))


@procedure(
    symbol="T_c",
    words="heat of current and resistance in the cores, carried off step by step through each network; described in docs/theory/heat.md",
    valid="reversible heat left out; resistance flat below -20 and above 60 °C",
)
def warmed(
    stream: Stream, boxes: Boxes, tables: Tables, growth: Number, links: Ohm, start: Kelvin, outside: Kelvin, factor: Number
) -> Annotated[Warmth, Unit("1")]:  # fmt: skip
    """How warm cells become; `links` is for one cell, `factor` multiplies all heat. Arrays anywhere are samples."""
    return _soak(stream, boxes, tables, growth, links, start, outside, factor)


def _soak(
    stream: Stream, boxes: Boxes, tables: Tables, growth: Any, links: Any, start: Any, outside: Any, factor: Any
) -> Warmth:
    """Samples times boxes are lanes, in chunks on the pool."""
    count = len(boxes.each)
    samples = _samples(stream, boxes, growth, links, start, outside, factor)
    known = max(1, samples)
    ways = fields_of(boxes, known)
    lanes = known * count

    def lane(value: Any) -> Any:
        if not isinstance(value, np.ndarray) or not value.ndim:
            return np.full(lanes, float(value))
        return np.repeat(value, count)

    columns = [
        np.ascontiguousarray(_two(each, known)) for each in (stream.square, stream.slow, stream.charge, stream.speed)
    ]
    steps = len(stream.square)
    hot, cold = np.empty((steps, lanes)), np.empty((steps, lanes))
    book, stored, by_step = np.zeros((2, lanes)), np.zeros(lanes), np.empty((steps, lanes))
    given = {
        "growth": lane(growth * factor),
        "links": lane(links * factor),
        "start": lane(start),
        "outside": np.stack([lane(outside), lane(outside) + ways[5]]),
    }

    pieces_of = range(0, lanes, CHUNK)

    def run(first: int) -> int:
        here = slice(first, min(first + CHUNK, lanes))
        fixed, still, moving, capacity, cells = (
            each if len(pieces_of) == 1 else np.ascontiguousarray(each[..., here]) for each in ways[:5]
        )
        of = np.arange(lanes)[here] // count
        low, high = int(of[0]), int(of[-1]) + 1
        capacity = capacity.copy()  # the lines below raise what is very small
        state = np.tile(given["start"][here], (len(BODIES), 1))
        begun = state.copy()
        parts = heat.parts_of_step(SOURCE, TARGET, fixed, TABLE, still, moving, capacity, stream.step)
        warm, cool, heats = (np.empty((steps, here.stop - first)) for _ in range(3))
        sums = np.zeros((2, here.stop - first))
        rows = [np.ascontiguousarray(each[:, low:high]) for each in columns]
        around = np.ascontiguousarray(given["outside"][:, here])
        heat.soak(
            SOURCE, TARGET, fixed, TABLE, still, moving, capacity, cells, given["growth"][here], given["links"][here],
            np.zeros(capacity.shape), tables.ohm, of - low, *rows, stream.step, parts, around, state, warm,
            cool, heats, sums,
        )  # fmt: skip
        hot[:, here], cold[:, here], by_step[:, here], book[:, here] = warm, cool, heats, sums
        stored[here] = np.sum(capacity * (state - begun), axis=0)
        return here.stop - first

    if len(pieces_of) == 1:
        run(0)
    else:
        list(journey.on_pool(run, pieces_of))
    over_time, over_boxes = (steps, known, count), (known, count)
    made, shed = (each.reshape(over_boxes) for each in book)
    return Warmth(
        hot.reshape(over_time), cold.reshape(over_time), made, shed, stored.reshape(over_boxes),
        _hardest(by_step.reshape(over_time).sum(axis=2), stream.step), stream.step, stream.from_step, samples > 0,
    )  # fmt: skip


STEADY = 600.0  # s: over so long a loop of coolant evens out what comes into it


def _hardest(joule: Any, step: float) -> Any:
    """The greatest mean over ten minutes of what each step brings (time, samples); over all the time where that is less. [W]"""
    long = max(1, min(round(STEADY / step), len(joule)))
    until = np.concatenate([np.zeros((1, joule.shape[1])), np.cumsum(joule, axis=0)])
    return np.max(until[long:] - until[:-long], axis=0) / (long * step)


CHUNK = 64  # lanes at once


def _samples(stream: Stream, boxes: Boxes, *others: Any) -> int:
    """How many samples there are; 0 at a point."""
    found = [len(each) for each in others if isinstance(each, np.ndarray) and each.ndim]
    found += [each.shape[1] for each in (stream.square, stream.charge, stream.speed) if each.ndim == 2]
    return max((boxes.samples, *found))


TABLES_FROM = Box._fields.index("air_middle")


def _two(values: Any, samples: int) -> Any:
    """Time by samples."""
    known = values if values.ndim == 2 else values[:, None]
    if known.shape[1] == samples:
        return known
    return np.broadcast_to(known, (len(known), samples))


def fields_of(boxes: Boxes, samples: int) -> tuple[Any, Any, Any, Any, Any, Any]:
    """The rows of `_fields`, worked out once."""
    if samples not in boxes.rows:
        boxes.rows[samples] = _fields(boxes, samples)
    return boxes.rows[samples]


def _fields(boxes: Boxes, samples: int) -> tuple[Any, Any, Any, Any, Any, Any]:
    """Fixed ways, both tables, heat capacities, cells, warmth around; lanes last: the boxes of one sample, then of the next."""

    def lanes(name: str) -> Any:
        made = np.empty((samples, len(boxes.each)))
        for at, box in enumerate(boxes.each):
            made[:, at] = getattr(box, name)
        return made.ravel()

    def table(name: str) -> Any:
        if not boxes.samples and samples == 1:
            return np.stack([getattr(box, name) for box in boxes.each], axis=-1)
        return np.stack([_two(getattr(box, name), samples) for box in boxes.each], axis=-1).reshape(
            len(boxes.each[0].air_wall), -1
        )

    none = np.zeros(samples * len(boxes.each))
    fixed = np.stack([lanes(way[2]) if way[2] else none for way in WAYS])
    fixed[-1] += NEARLY_NONE
    inside = [table(name) for name in _TABLES[:3]]
    no: Any = np.zeros_like(inside[0])
    still = np.stack([*inside, table("out_still"), no])
    moving = np.stack([no, no, no, table("out_moving"), table("radiator")])
    capacity = np.stack([lanes(name) if name in Box._fields else none for name in BODIES])
    cells = np.stack([lanes(f"cells_{name[5:]}") if name.startswith("core_") else none for name in BODIES])
    return fixed, still, moving, capacity, cells, lanes("warmer")


def _reduce(values: Any, warmth: Warmth) -> Any:
    return values if warmth.sampled else float(values[0])


@procedure(symbol="v", words="the mean over the time of the duty")
def speed_of(stream: Stream) -> MetrePerSecond:
    """Mean road speed of a duty. [m/s]"""
    mean: Any = np.mean(stream.speed, axis=0)
    return mean if np.ndim(mean) else float(mean)


@procedure(symbol="T_max", words="the hottest core of all boxes and of all the time")
def peak_of(warmth: Warmth) -> Kelvin:
    """The hottest that a cell becomes. [K]"""
    return _reduce(np.max(warmth.hot[warmth.from_step :], axis=(0, 2)), warmth)


@procedure(symbol="ΔT", words="hottest core less coldest core of all boxes, where that is most")
def spread_of(warmth: Warmth) -> Annotated[float, Unit("K")]:
    """How far apart cells become. [K]"""
    apart = np.max(warmth.hot, axis=2) - np.min(warmth.cold, axis=2)
    return _reduce(np.max(apart, axis=0), warmth)


@procedure(
    symbol="Q",
    words="the greatest mean over ten minutes of the heat that all cells make, so that no idle part of a duty makes it less; over the "
    "whole duty where that is shorter",
)
def steady_heat_of(warmth: Warmth) -> Annotated[float, Unit("W")]:
    """Heat of all cells in the hardest ten minutes of a duty. [W]"""
    return _reduce(warmth.steady, warmth)


MOST_FACTOR = 30.0
_ROUNDS = 4


@procedure(
    symbol="x_q",
    words="the factor on all heat with which the hottest core just reaches the limit; drawn straight from the last two tries, four times; "
    "halved where that leads out of what is known",
    valid="between 0 and 30",
)
def factor_at_limit(
    stream: Stream, boxes: Boxes, tables: Tables, growth: Number, links: Ohm, start: Kelvin, outside: Kelvin, limit: Kelvin
) -> Number:  # fmt: skip
    """How many times the heat the cells bear. [1]"""
    factor: Any = 1.0 + 0.0 * (start + outside + growth + limit)
    last, rise = 0.0 * factor, 0.0 * factor
    before: Any = start + 0.0 * factor
    low, high = 0.0 * factor, MOST_FACTOR + 0.0 * factor  # the cells bear the first and not the second
    for _ in range(_ROUNDS):
        warmth = _soak(stream, boxes, tables, growth, links, start, outside, factor)
        peak = _reduce(np.max(warmth.hot[warmth.from_step :], axis=(0, 2)), warmth)
        rise = np.maximum((peak - before) / np.where(factor == last, 1.0, factor - last), 1e-6)
        low = np.where(peak <= limit, np.maximum(low, factor), low)
        high = np.where(peak > limit, np.minimum(high, factor), high)
        drawn = np.clip(factor + (limit - peak) / rise, 0.0, MOST_FACTOR)
        # Where hardly any heat is borne, the peak is that of the start whatever the factor: the line leads astray.
        inside = (drawn >= low) & (drawn <= high)
        last, before, factor = factor, peak, np.where(inside, drawn, (low + high) / 2.0)
    return factor if np.ndim(factor) else float(factor)
