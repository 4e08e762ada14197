"""What ageing asks of the heat of a trip: how much warmer the cells are on its mean and at its end, and how slowly they cool then."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from voltwright.kernels.warmth import BODIES, SOURCE, TABLE, TARGET, WAYS, Boxes, Warmth, fields_of
from voltwright.physics.ageing import Hour, KelvinMore
from voltwright.physics.battery_box import DIFFERENCE_STEP, POINTS
from voltwright.quantity.formula import procedure
from voltwright.quantity.types import Kelvin, Second
from voltwright.quantity.units import Unit

ROUNDS = 4  # of the inverse iteration: then within 1 % of the slowest way
CORES = [at for at, name in enumerate(BODIES) if name.startswith("core_")]
# From which body a way takes heat and to which it gives it; to the surroundings, which stand at 0 K of difference, to none.
ENDS = np.zeros((len(WAYS), len(BODIES)))
ENDS[np.arange(len(WAYS)), SOURCE] = 1.0
for _way, _body in enumerate(TARGET):
    if _body < len(BODIES):
        ENDS[_way, _body] = -1.0
MOVED = np.flatnonzero(TABLE >= 0)  # the ways that change with the difference
# What moves air or coolant stands still with the car; what a radiator sheds stands in the tables of the moving car.
PARKED: Any = np.array([0.0 if way[2] == "vent" else 1.0 for way in WAYS])[:, None]
LEAST = 1e-6  # K, W/K: keeps what touches nothing from being divided by


@dataclass(frozen=True, eq=False)
class Rise:
    """By how much the cells, on the mean of all, are warmer than at the start: on the mean of the trip, and at its end. [K]"""

    driven: Any
    end: Any

    def __str__(self) -> str:
        middle, end = (float(np.mean(each)) for each in (self.driven, self.end))
        return f"{middle:.1f} K on the mean of the trip, {end:.1f} K at its end"


@procedure(
    symbol="ΔT_r",
    words="of each box the middle between its hottest and its coldest core, by how many cells it has; up to the time that the trip "
    "lasts, or as long as it was followed where that is less",
)
def rise_on_trip(warmth: Warmth, boxes: Boxes, start: Kelvin, lasts: Hour) -> Annotated[Rise, Unit("1")]:
    """How much warmer a trip makes the cells. [K]"""
    cells: Any = np.stack(np.broadcast_arrays(*(box.cells_middle + box.cells_edge for box in boxes.each)), axis=-1)
    middle = np.sum((warmth.hot + warmth.cold) / 2.0 * cells, axis=2) / np.sum(cells, axis=-1)
    lanes = max(middle.shape[1], np.size(lasts))
    warmer: Any = np.broadcast_to(middle - start, (len(middle), lanes))
    steps = np.nan_to_num(np.broadcast_to(lasts, lanes)) / warmth.step
    last: Any = np.clip(np.rint(steps), 1.0, len(warmer)).astype(int) - 1
    at = np.arange(lanes)
    end, driven = warmer[last, at], np.cumsum(warmer, axis=0)[last, at] / (last + 1)
    return Rise(driven, end) if warmth.sampled or np.ndim(lasts) else Rise(float(driven[0]), float(end[0]))


@procedure(symbol="ΔT_d", words="that on the mean of the trip")
def driven_of(rise: Rise) -> KelvinMore:
    """How much warmer the cells are while the car is driven. [K]"""
    return rise.driven


@procedure(symbol="ΔT_e", words="that at its end")
def end_of(rise: Rise) -> KelvinMore:
    """How much warmer the cells are at the end of a trip. [K]"""
    return rise.end


@procedure(
    symbol="τ_c",
    words="heat capacity over what flows, of the slowest way in which each network cools, found by inverse iteration; films as at half "
    "of the rise; of several boxes the mean over their cells",
    valid="car parked: fans and pump stand, air is still; what is around the box is as warm as the parked car",
)
def cooling_constant(boxes: Boxes, end: KelvinMore) -> Second:
    """Time in which the difference between parked cells and the air around falls to 37 %. [s]"""
    height: Any = np.asarray(end) / 2.0
    samples = max(boxes.samples, height.size if height.ndim else 0)
    known = max(1, samples)
    fixed, still, _, capacity, cells, _ = fields_of(boxes, known)
    lanes = fixed.shape[1]
    start = np.abs(np.repeat(np.broadcast_to(height, known), lanes // known))
    constant = _slowest(fixed * PARKED + LEAST, still, capacity, np.maximum(start, LEAST))
    shape = (known, lanes // known)
    weight = cells.sum(axis=0).reshape(shape)
    mean = (weight * constant.reshape(shape)).sum(axis=1) / weight.sum(axis=1)
    return mean if samples else float(mean[0])


def _slowest(fixed: Any, still: Any, capacity: Any, start: Any) -> Any:
    """Time constant of each lane: x with G·x' = C·x, x scaled back to where it began, until it keeps its shape. [s]"""
    state: Any = np.tile(start[:, None], (1, len(BODIES)))
    row, lane = TABLE[MOVED][None, :], np.arange(len(start))[:, None]
    lets: Any = np.ascontiguousarray(fixed.T)
    begun, heat = lets[:, MOVED], capacity.T
    constant = start
    for _ in range(ROUNDS):
        place = np.minimum(np.abs(state @ ENDS[MOVED].T) / DIFFERENCE_STEP, POINTS - 1 - 1e-9)
        low = place.astype(int)
        share = place - low
        lets[:, MOVED] = begun + still[row, low, lane] * (1.0 - share) + still[row, low + 1, lane] * share
        after = np.linalg.solve((ENDS.T * lets[:, None, :]) @ ENDS, (heat * state)[..., None])[..., 0]
        constant = after[:, CORES].sum(axis=1) / state[:, CORES].sum(axis=1)
        state = after / constant[:, None]
    return constant
