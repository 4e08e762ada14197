"""How much air must go through the boxes of a pack: the least with which the hottest cell stays below its limit on a duty."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from voltwright.kernels.car import Tables
from voltwright.kernels.warmth import Boxes, Stream, peak_of, warmed
from voltwright.physics.battery_box import box_of, cooling_of
from voltwright.physics.box_frame import Frame, blown_through
from voltwright.physics.pipe_flow import AirFlow
from voltwright.quantity.formula import procedure
from voltwright.quantity.types import Kelvin, Number, Ohm
from voltwright.quantity.units import Unit

MOST_AIR = 60.0 / 3600  # m³/s past each module: more would be a gale in a box
_USUAL = 6.0 / 3600  # m³/s: at so much a box sheds about twice what it sheds without
_ROUNDS = 4


@dataclass(frozen=True, eq=False)
class Frames:
    """The boxes of a pack but for what cools them."""

    each: tuple[Frame, ...]

    def __str__(self) -> str:
        return f"{len(self.each)} battery boxes, whatever cools them"


@procedure(symbol="B", words="the first box")
def first_frame(frame: Frame) -> Annotated[Frames, Unit("1")]:
    """A pack of one box, whatever cools it."""
    return Frames((frame,))


@procedure(symbol="B", words="one box more")
def one_frame_more(frames: Frames, frame: Frame) -> Annotated[Frames, Unit("1")]:
    """A pack of a box more, whatever cools it."""
    return Frames((*frames.each, frame))


@procedure(
    symbol="V",
    words="the flow with which the hottest core just reaches its limit, the whole duty followed anew for each try; between no air and "
    "60 m³/h drawn straight over 1 / (1 + flow / 6 m³/h), four times, an end that stays twice counted by half; 0 where none is needed, "
    "none where the most is not enough",
    valid="outside air through every box, the same past each module",
)
def air_needed(
    stream: Stream, frames: Frames, tables: Tables, growth: Number, links: Ohm, start: Kelvin, outside: Kelvin, limit: Kelvin
) -> AirFlow:  # fmt: skip
    """The least air past each module that keeps the cells of a pack below their limit on a duty. [m³/s]"""

    def beyond(share: Any) -> Any:
        """How far the hottest cell is above the limit at a flow. [K]"""
        flow = _USUAL * (1.0 / share - 1.0)
        boxes = Boxes(tuple(blown_through(box, each, flow) for box, each in zip(still, frames.each, strict=True)))
        warm = warmed(
            stream=stream, boxes=boxes, tables=tables, growth=growth, links=links, start=start, outside=outside, factor=1.0
        )  # fmt: skip
        return peak_of(warm) - limit

    bare = cooling_of(stream=0.0, plate=0.0, standing=0.0, moving=0.0, speed=1.0)
    still = [box_of(**each._asdict(), cooling=bare) for each in frames.each]
    least = 1.0 / (1.0 + MOST_AIR / _USUAL)
    much: Any = beyond(1.0)
    if np.all(much <= 0.0):
        return np.zeros_like(much) if np.ndim(much) else 0.0
    low: Any = least + 0.0 * much
    little: Any = beyond(least) + 0.0 * much
    none, never = much <= 0.0, little > 0.0
    high: Any = 1.0 + 0.0 * much
    above, below = np.where(none, 1.0, much), np.where(never, -1.0, np.minimum(little, -1e-9))
    drawn = (low * above - high * below) / (above - below)
    stayed: Any = np.zeros_like(drawn)  # 1 where the end without enough air moved last, -1 where the other did
    for _ in range(0 if np.all(never | none) else _ROUNDS):
        found = beyond(drawn)
        warm = found > 0.0
        # An end that stays twice is counted by half, so that it does not stay for ever.
        below = np.where(warm, np.where(stayed > 0.0, below / 2.0, below), np.minimum(found, -1e-9))
        above = np.where(warm, found, np.where(stayed < 0.0, above / 2.0, above))
        low, high = np.where(warm, low, drawn), np.where(warm, drawn, high)
        stayed = np.where(warm, 1.0, -1.0)
        drawn = (low * above - high * below) / (above - below)
    flow: Any = np.where(none, 0.0, np.where(never, np.nan, _USUAL * (1.0 / drawn - 1.0)))
    return flow if np.ndim(flow) else float(flow)
