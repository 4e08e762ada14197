"""A route as a plot: the heights of the road, how fast it is driven, and the charge, over the way."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from voltwright.assess.case import Case
from voltwright.assess.curves import CHARGE, SPEED
from voltwright.kernels import trip as endings
from voltwright.kernels.journey import Driven, Journey, drive_once
from voltwright.parts.profile import Profile
from voltwright.quantity.figure import Figure
from voltwright.quantity.plot import Axis, Lines, Mark, Panel, Series
from voltwright.quantity.units import Unit

MOST_POINTS = 1500
HEAD_WIND = Axis("Head wind", Unit("km/h"))


def shown_route(case: Case, wished: str) -> str | None:
    """The route that is worth a picture: the customer's trip if it is one, else the first of the duty."""
    routes = [name for name, trace in case.traces.items() if trace.profile is not None]
    return wished if wished in routes else next(iter(routes), None)


def route_lines(case: Case, figures: Mapping[str, Figure], name: str) -> Lines | None:
    """A route as it is driven once from the highest used charge; None where the car cannot do it."""
    figure, profile = figures.get(f"road.range.{name}"), case.traces[name].profile
    if figure is None or figure.node is None or profile is None:
        return None
    given = {each: node.value for each, node in _driven(figure).items()}
    asked: Journey = given["asked"]
    once = drive_once(**given)
    course = once.course
    assert course is not None
    steps = (course.speed[1:] + course.speed[:-1]) / 2 * asked.step
    way = np.cumsum(steps) / 1000
    every = max(1, len(way) // MOST_POINTS)
    at, fast, left = way[::every], course.speed[1:][::every] * 3.6, 100 * course.charge[::every]
    lowest = 100 * case.build.pack.window.empty.value
    wind = given["car"].wind * asked.head[: len(way)][::every] * 3.6
    blows = bool(np.ptp(asked.head) > 0.0 and np.any(wind))  # a plain head wind is the same everywhere
    ends = "" if once.status == endings.WHOLE else f"; the pack is empty after {way[-1]:.0f} km"
    return Lines(
        f"The {asked.title}",
        f"Lines over the way of the route: {'height of the road, ' if profile.height else ''}speed as driven, "
        f"{'the wind against the car, ' if blows else ''}and charge{ends}.",
        Axis("Way", Unit("km"), 1),
        (
            *_heights(profile),
            Panel(SPEED, (Series("driven", _floats(at), _floats(fast)),), low=0.0),
            *((Panel(HEAD_WIND, (Series("against the car", _floats(at), _floats(wind)),)),) if blows else ()),
            Panel(
                CHARGE, (Series("charge", _floats(at), _floats(left)),), (Mark("y", lowest, "lowest that is used"),),
                low=0.0, high=100.0,
            ),
        ),
    )  # fmt: skip


def _driven(figure: Figure) -> Mapping[str, Any]:
    assert figure.node is not None
    return next(node.inputs for node in figure.node.walk() if isinstance(node.value, Driven))


def _heights(profile: Profile) -> tuple[Panel, ...]:
    if not profile.height:
        return ()
    at = tuple(each / 1000 for each in profile.distance)
    return (Panel(Axis("Height", Unit("m"), tall=True), (Series("road", at, profile.height),)),)


def _floats(values: Any) -> tuple[float, ...]:
    return tuple(float(each) for each in values)
