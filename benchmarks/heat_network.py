"""A network of heat of any size: bodies in a row, each with cells, each touching the air through a wall that is read from a table."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from benchmarks.example import known
from voltwright.kernels import heat
from voltwright.physics.battery_box import POINTS

STEPS, STEP, AIR = 180, 20.0, 303.15


def chain(bodies: int) -> Callable[[], None]:
    """An hour of one network of so many bodies, ready to run."""
    _, cells, _ = known()
    inner = np.arange(bodies - 1)
    source = np.concatenate([inner, np.arange(bodies)])
    target = np.concatenate([inner + 1, np.full(bodies, bodies)])
    table = np.concatenate([np.full(bodies - 1, -1), np.zeros(bodies, dtype=np.int64)])
    fixed = np.full((len(source), 1), 2.0)
    lets = np.linspace(1.0, 3.0, POINTS)[None, :, None].copy()
    capacity, count = np.full((bodies, 1), 8000.0), np.full((bodies, 1), 8.0)
    rows = [np.full((STEPS, 1), value) for value in (900.0, 900.0, 0.5, 25.0)]
    one, none, at = np.ones(1), np.zeros(1), np.zeros(1, dtype=np.int64)
    outside = np.full((1, 1), AIR)

    def run() -> None:
        state, book = np.full((bodies, 1), AIR), np.zeros((2, 1))
        hot, cold, by_step = (np.empty((STEPS, 1)) for _ in range(3))
        parts = heat.parts_of_step(source, target, fixed, table, lets, lets, capacity, STEP)
        heat.soak(
            source, target, fixed, table, lets, lets, capacity, count, one, none, np.zeros((bodies, 1)), cells.ohm, at, *rows,
            STEP, parts, outside, state, hot, cold, by_step, book,
        )  # fmt: skip

    return run
