"""Years of life: one pack, 256 likely ones, and whether the cost grows with their number and no faster."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from benchmarks.example import in_plain_python
from benchmarks.table import Row, Setting, median, seconds
from voltwright.kernels import lives
from voltwright.kernels.life import YEAR
from voltwright.quantity.table import Curve

MANY = 256
PACK: dict[str, Any] = {
    "model": "schmalstieg-2014", "table": Curve((0.0, 0.2, 0.6, 1.0), (3.0, 3.6, 3.8, 4.2)),
    "months": lives.Months(tuple(286.0 + 6.0 * np.sin(2 * np.pi * (each - 3.5) / 12) for each in range(12))),
    "way_full": 260e3, "speed": 6e6 / YEAR, "again": 0.1, "trip": 35e3, "charges": 2.0, "limit": 0.8, "empty": 0.08, "parked": 0.6,
    "laid_up": 0.5, "rest": 2.0, "warm": 10800.0, "rise": 6.0, "rate": 0.4, "health": 1.0, "past": 0.5, "growth": 1.0,
    "standing": 1.0, "cycling": 1.0, "needed": 0.6,
}  # fmt: skip


def packs(count: int) -> dict[str, Any]:
    """So many packs, each driven a little farther than the one before."""
    return {**PACK, "speed": np.linspace(0.5, 1.5, count) * PACK["speed"]}


def rows(setting: Setting) -> Iterator[Row]:
    one = median(lambda: lives.lived(**PACK), setting.repeats * (1 if setting.small else 40))
    plain = in_plain_python("life", 1)
    note = f"up to {lives.LONGEST} years by the month, habit counted anew each year; other: the same loop by the interpreter"
    yield Row("life.one", one, plain, 1e-3, note)
    many = packs(MANY)
    both = median(lambda: lives.lived(**many), setting.repeats)
    yield Row("life.many", both, one * MANY, 0.15, f"{MANY} packs, one core; other: one after the other")
    costs: dict[int, float] = {}
    for count in (64, 256) if setting.small else (250, 1000, 4000):
        more = packs(count)
        costs[count] = median(lambda more=more: lives.lived(**more), setting.repeats) / count
    said = ", ".join(f"{seconds(cost)} each of {count}" for count, cost in costs.items())
    least, most = min(costs), max(costs)
    yield Row("life.growth", costs[least], costs[most], None, f"cost of one of {least} packs; other: of {most}; {said}")
