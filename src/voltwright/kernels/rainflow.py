"""Rainflow counting: which cycles of what depth a history of charge is made of, by the three-point rule of ASTM E1049."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from voltwright.kernels.compiled import inner, loop
from voltwright.quantity.formula import procedure
from voltwright.quantity.source import Source
from voltwright.quantity.units import Unit


@inner
def turned(points, count, value):
    """Add a value to a row of turning points; returns how many there are. Values on the way from one to the next are dropped."""
    if count and value == points[count - 1]:
        return count
    if count > 1 and (points[count - 1] - points[count - 2]) * (value - points[count - 1]) > 0.0:
        count -= 1
    points[count] = value
    return count + 1


@inner
def counted(points, count, stack, ranges, means, counts):
    """Count the cycles of `count` turning points; returns how many rows of range, mean and count were written."""
    held = found = 0
    for k in range(count):
        stack[held] = points[k]
        held += 1
        while held >= 3:
            last = abs(stack[held - 1] - stack[held - 2])
            before = abs(stack[held - 2] - stack[held - 3])
            if last < before:
                break
            ranges[found], means[found] = before, 0.5 * (stack[held - 2] + stack[held - 3])
            if held == 3:  # the range holds the start of the history: half a cycle
                counts[found] = 0.5
                stack[0], stack[1] = stack[1], stack[2]
                held = 2
            else:
                counts[found] = 1.0
                stack[held - 3] = stack[held - 1]
                held -= 2
            found += 1
    for k in range(held - 1):
        ranges[found], means[found] = abs(stack[k + 1] - stack[k]), 0.5 * (stack[k + 1] + stack[k])
        counts[found] = 0.5
        found += 1
    return found


@loop
def count_history(history, points, stack, ranges, means, counts):
    """Cycles of a whole history. Each row is as long as the history."""
    count = 0
    for k in range(len(history)):
        count = turned(points, count, history[k])
    return counted(points, count, stack, ranges, means, counts)


@dataclass(frozen=True, eq=False)
class Cycles:
    """Range, mean and count of each cycle or half cycle, in the order in which they close. Rows in the unit of the history."""

    range: Any
    mean: Any
    count: Any

    def __str__(self) -> str:
        return f"{float(np.sum(self.count)):g} cycles in {len(self.range)} rows"


@procedure(
    symbol="",
    words="turning points; a range that is no greater than the next is a cycle, or half of one where it holds the start; what is "
    "left over counts half",
    source=Source("astm-e1049", "5.4.4"),
)
def rainflow_cycles(history: Any) -> Annotated[Cycles, Unit("1")]:
    """Cycles of a history of any unit."""
    known = np.ascontiguousarray(history, dtype=float)
    rows = np.empty((5, max(1, len(known))))
    found = count_history(known, rows[0], rows[1], rows[2], rows[3], rows[4])
    return Cycles(rows[2, :found].copy(), rows[3, :found].copy(), rows[4, :found].copy())
