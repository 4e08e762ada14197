"""How warm the cells become on the worst duty, as a plot: one line a box, and the limit."""

from __future__ import annotations

from collections.abc import Mapping

from voltwright.assess.case import Case, celsius
from voltwright.assess.heat_boxes import heated_boxes
from voltwright.kernels.warmth import Warmth
from voltwright.quantity.figure import Figure
from voltwright.quantity.plot import Axis, Lines, Mark, Panel, Series
from voltwright.quantity.units import Unit
from voltwright.quantity.work import Node


def heat_lines(case: Case, figures: Mapping[str, Figure]) -> Lines | None:
    """The hottest cell of each box over the worst duty; None where nothing is known of the heat."""
    headroom = figures.get("heat.headroom")
    if headroom is None or headroom.node is None:
        return None
    factor = headroom.node.inputs["factor"]
    warm = _warmth_on(factor, figures)
    if warm is None:
        return None
    made: Warmth = warm.value
    start, limit = factor.inputs["start"].value - celsius(0), factor.inputs["limit"].value - celsius(0)
    minutes = tuple(step * made.step / 60 for step in range(len(made.hot) + 1))
    lines = tuple(
        Series(each.name, minutes, (start, *(float(kelvin) - celsius(0) for kelvin in made.hot[:, 0, at])))
        for at, each in enumerate(heated_boxes(case))
    )
    title = warm.label.partition(": ")[2]
    most = max(limit, *(value for line in lines for value in line.y if value is not None))
    return Lines(
        f"Hottest cell of each box: {title}",
        "The temperature of the hottest cell of each box over the duty that brings the cells nearest to their limit, beside that "
        "limit.",
        Axis("Time", Unit("min")),
        (
            Panel(
                Axis("Hottest cell", Unit("°C"), 1),
                lines,
                (Mark("y", limit, "the cells bear:"),),
                low=min(start, 20.0),
                high=most + 5.0,
            ),
        ),
    )


def _warmth_on(factor: Node, figures: Mapping[str, Figure]) -> Node | None:
    """How warm the cells become on the duty of which the headroom is."""
    made = (
        each.node.inputs["warmth"]
        for key, each in figures.items()
        if key.startswith("heat.cell_peak.") and each.node is not None
    )
    same = ("stream", "start")
    return next((each for each in made if all(each.inputs[name] is factor.inputs[name] for name in same)), None)
