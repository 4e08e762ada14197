"""The life of a battery as a plot: what is left of its capacity year by year, and what took the rest."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from voltwright.kernels import lives
from voltwright.quantity.band import NO_SPREADS, Spreads, likely_cases
from voltwright.quantity.figure import Figure
from voltwright.quantity.plot import Axis, Lines, Number, Panel, Series
from voltwright.quantity.units import Unit

SHOWN = 20  # years
HALF_FULL = 0.5
APART = 0.02  # of full: a car that is parked so near to half full has no second line


def capacity_lines(figures: Mapping[str, Figure], spread: Spreads = NO_SPREADS) -> Lines | None:
    """Capacity over twenty years with its band and that of a car that is parked half full; below it what standing and cycling took.

    The band is drawn on the draws of `spread`. None where life is not worked out.
    """
    figure = figures.get("life.capacity_at_10_years")
    if figure is None or figure.node is None:
        return None
    node = figure.node.inputs["lived"]
    lived: lives.Lived = node.value
    years = tuple(float(each) for each in range(SHOWN + 1))
    low, high = ((), ()) if figure.low is None else _ends(likely_cases(node, spread))
    lines = [Series("as it is used", years, _percent(lived.capacity), low, high)]
    given: dict[str, Any] = {name: each.value for name, each in node.inputs.items()}
    if given["parked"] > HALF_FULL + APART:
        half: dict[str, Any] = given | {"parked": HALF_FULL}
        other = lives.lived(**half)
        lines.append(Series("parked half full", years, _percent(other.capacity), role="compare", named_at="above"))
    lines.append(Series("80 %, said to be the end", years, (80.0,) * len(years), role="limit", named_at="above"))
    stood, whole = lived.stood, 1.0 - np.asarray(lived.capacity)
    least = min(each for line in lines for each in (*line.y, *line.low) if each is not None)
    return Lines(
        "Capacity over the years",
        f"Capacity over twenty years, ever more slowly less{', with its likely band' if low else ''}, beside the 80 % at which a "
        "battery is said to be at its end, and what standing and cycling took of it.",
        Axis("Time from now", Unit("year")),
        (
            Panel(
                Axis("Capacity as a share of rated", Unit("%")),
                tuple(lines),
                low=10.0 * math.floor(min(least, 80.0) / 10.0),
                high=100.0,
            ),
            Panel(
                Axis("Lost, as a share of rated", Unit("%"), 1),
                (
                    Series("by standing", years, _percent(stood), named_at="above"),
                    Series("by cycling", years, _percent(whole - stood), role="reference", named_at="above"),
                ),
                low=0.0,
            ),
        ),
    )


def _percent(shares: Any) -> tuple[Number, ...]:
    return tuple(100.0 * float(each) for each in shares[: SHOWN + 1])


def _ends(many: lives.Lived) -> tuple[tuple[Number, ...], tuple[Number, ...]]:
    """The 5 and the 95 % points of each year, of those cases that have a life. [%]"""
    rows: Any = np.asarray(many.capacity)[: SHOWN + 1]
    if rows.ndim < 2:
        return (), ()
    rows = rows[:, np.isfinite(rows).all(axis=0)]
    if not rows.shape[1]:
        return (), ()
    low, high = np.percentile(rows, [5, 95], axis=1)
    return tuple(100.0 * float(each) for each in low), tuple(100.0 * float(each) for each in high)
