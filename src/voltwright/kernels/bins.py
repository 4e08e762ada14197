"""Many cars over one trip, side by side, and what the current of each was: averaged over bins of steps."""

from __future__ import annotations

from typing import Any

import numpy as np

from voltwright.kernels.car import Car, Tables
from voltwright.kernels.compiled import loop
from voltwright.kernels.journey import Journey, numbers_of, on_pool
from voltwright.kernels.lanes import (
    AFTER,
    ALIVE,
    CHARGE,
    CHARGED,
    CURRENT,
    LANES,
    ROWS,
    SPEED,
    limits_of_lane,
    look_up_next,
    look_up_now,
    start_of_lane,
    take_step,
    wish_of_lane,
)

MEANS = 4


@loop
def drive_in_bins(numbers, rest, ohm, trace, grade, head, throttle, step, slowness, size, means):
    """Drive LANES cars over the trip once.

    `means` (row, bin, lane) gets the means over `size` steps: square of the current [A²], current times what follows it with a lag of
    `slowness` [A²], charge after each step [1], speed [m/s]. A car that is empty or stuck stands from then on.
    """
    s, kept, slow = np.zeros(ROWS * LANES), np.zeros(LANES), np.zeros(LANES)
    follows = 1.0 - np.exp(-step / slowness)
    for at in range(LANES):
        start_of_lane(numbers, s, at, rest, ohm, trace[0], step)
        kept[at] = numbers[CHARGED * LANES + at]
    for at in range(LANES):
        look_up_now(s, at, rest, ohm)
    count = len(grade)
    for k in range(means.shape[1] * size):
        row = k // size
        if k < count:
            look_up_next(s, rest, ohm, LANES)
            held = 0.0
            for at in range(LANES):
                held += wish_of_lane(numbers, s, at, trace[k + 1], grade[k], head[k], step)
            if held > 0.0:
                for at in range(LANES):
                    limits_of_lane(numbers, s, at, trace[k + 1], grade[k], head[k], throttle[k], step)
            for at in range(LANES):
                goes = s[ALIVE * LANES + at]
                current = goes * s[CURRENT * LANES + at]
                means[0, row, at] += current * current
                before = slow[at]
                slow[at] += follows * (current - before)
                means[1, row, at] += current * 0.5 * (slow[at] + before)
                means[3, row, at] += goes * 0.5 * (s[SPEED * LANES + at] + s[AFTER * LANES + at])
                take_step(numbers, s, at, step)
                # the step that empties it counts, and from then on nothing moves
                kept[at] = s[CHARGE * LANES + at] if goes > 0.0 else kept[at]
        for at in range(LANES):
            means[2, row, at] += kept[at]
    for what in range(MEANS):
        for row in range(means.shape[1]):
            for at in range(LANES):
                means[what, row, at] /= size


def means_of(car: Car, cells: Tables, asked: Journey, size: int, slowness: float) -> Any:
    """The rows of `drive_in_bins` for many cars: (row, bin, car)."""
    numbers, count = numbers_of(car)
    bins = -(-len(asked.grade) // size)
    found = np.zeros((MEANS, bins, numbers.shape[1]))

    def run(first: int) -> int:
        chunk = np.ascontiguousarray(numbers[:, first : first + LANES]).ravel()
        means = np.zeros((MEANS, bins, LANES))
        drive_in_bins(
            chunk, cells.rest, cells.ohm, asked.speed, asked.grade, asked.head, asked.throttle, asked.step,
            slowness, size, means,
        )  # fmt: skip
        found[:, :, first : first + LANES] = means
        return LANES

    list(on_pool(run, range(0, numbers.shape[1], LANES)))
    return found[:, :, :count]
