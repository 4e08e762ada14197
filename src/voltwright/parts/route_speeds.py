"""A route as a trip: its speed at every second, from its own times or from a speed that is wished, and the slope there."""

from __future__ import annotations

from typing import Any

import numpy as np

from voltwright.parts.profile import Profile
from voltwright.parts.routes import Route
from voltwright.parts.trips import MOST_SECONDS, Trip
from voltwright.physics.geodesy import bend_speed
from voltwright.quantity.errors import BuildError, Problem

# Common practice for a calm driver, no source.
LATERAL = 2.0  # m/s²: sideways, in bends
SPEEDING_UP, SLOWING_DOWN = 1.0, 1.5  # m/s²
SLOWEST_BEND = 2.0  # m/s
# Of a recording.
STEEPEST_CHANGE = 3.0  # m/s²: more is the receiver's noise
AVERAGED_SECONDS = 5
CREEPING = 0.3  # m/s: below, a receiver wanders
LEAST_SHARE = 0.5  # of the way that is left once creeping is taken for standing
MOST_HEIGHTS = 1500  # that a profile keeps
Limits = tuple[tuple[float, float], ...]  # m from the start, the first at 0, and m/s from there on
TOO_SLOW = Problem(
    f"the route takes more than {MOST_SECONDS / 3600:.0f} hours at that speed",
    f"up to {MOST_SECONDS} s",
    "give a greater speed, or cut it into single days",
)


def trip_of(
    route: Route, name: str, *, speed: float | None = None, limits: Limits = (), round_trip: bool = False
) -> Trip:
    """The route driven once: as recorded, or wherever the road allows it at `speed` [m/s] or at the limit of each section.

    A round trip goes back the same way, with the speeds in reverse order. Raises BuildError.
    """
    held = limits if speed is None else ((0.0, speed), *limits)
    seconds = _wished(route, held) if held else _recorded(route)
    if round_trip:
        seconds = np.concatenate([seconds, seconds[::-1][1:]])
    if len(seconds) > MOST_SECONDS:
        what = f"the route takes {len(seconds) / 3600:.0f} hours"
        raise BuildError(Problem(what, f"up to {MOST_SECONDS} s", "cut it into single days, or give a speed"))
    even, height, way = route.even, route.height, route.way
    if round_trip:
        even, height, way = (
            np.concatenate([even, 2 * way - even[::-1][1:]]),
            np.concatenate([height, height[::-1][1:]]),
            2 * way,
        )
    seconds, at = _over(seconds, way)
    slopes = _slopes(at, np.interp(at, even, height))
    there = np.interp(
        at if not round_trip else np.minimum(at, 2 * route.way - at), route.even, np.unwrap(route.heading)
    )
    heading = np.where(at <= route.way, there, there + np.pi) if round_trip else there
    how = f"driven at {_told(held)} where the road allows it" if held else "as recorded"
    return Trip(
        name, f"route {route.file}{', there and back' * round_trip}", tuple(map(float, range(len(seconds)))), tuple(seconds.tolist()),
        f"{route.file}, {how}", tuple(slopes.tolist()), profile=_profile(route, even, height, not held, round_trip),
        heading=tuple(heading.tolist()),
    )  # fmt: skip


def _told(held: Limits) -> str:
    slowest, fastest = (find(speed for _, speed in held) * 3.6 for find in (min, max))
    return f"{fastest:.0f} km/h" if slowest == fastest else f"{slowest:.0f} to {fastest:.0f} km/h by section"


def _profile(route: Route, even: Any, height: Any, as_recorded: bool, round_trip: bool) -> Profile:
    every = -(-len(even) // MOST_HEIGHTS)
    known = route.climb is not None
    climb, removed = route.climb, route.climb_removed
    if climb is not None and removed is not None and round_trip:
        down = climb - float(route.height[-1] - route.height[0])
        climb, removed = climb + down, 2 * removed
    shown = np.unique(np.append(np.arange(0, len(even), every), len(even) - 1))
    return Profile(
        route.file, tuple(even[shown].tolist()), tuple(height[shown].tolist()) if known else (), climb, removed,
        float(np.max(np.abs(np.diff(route.height)) / route.even[1])), route.has_times and as_recorded, round_trip,
        route.remarks,
    )  # fmt: skip


def _over(seconds: Any, way: float) -> tuple[Any, Any]:
    """The speeds made to cover the way to the last metre, and how far the car is at each second."""
    steps = (seconds[1:] + seconds[:-1]) / 2
    scale = way / float(steps.sum())
    return scale * seconds, np.concatenate([[0.0], np.cumsum(scale * steps)])


def _slopes(at: Any, height: Any) -> Any:
    """Rise by way from second to second; nothing where the car stands, and at the last second."""
    step = np.diff(at)
    goes = step > 1e-3
    return np.append(np.where(goes, np.diff(height) / np.where(goes, step, 1.0), 0.0), 0.0)


def _recorded(route: Route) -> Any:
    """Speed at every second of a recording, at rest at both ends. [m/s]"""
    if not route.has_times:
        what = "the route has no times, and the journey names no speed"
        raise BuildError(Problem(what, "a route with times, or a speed", "add speed: 60 km/h to the journey"))
    count = int(np.ceil(route.time[-1])) + 1
    if count > MOST_SECONDS:
        what = f"the route takes {route.time[-1] / 3600:.0f} hours"
        raise BuildError(Problem(what, f"up to {MOST_SECONDS} s", "cut it into single days, or give a speed"))
    place = np.interp(np.arange(-AVERAGED_SECONDS, count + AVERAGED_SECONDS, dtype=float), route.time, route.at)
    place = np.convolve(place, np.full(AVERAGED_SECONDS, 1 / AVERAGED_SECONDS), mode="valid")
    aside = (len(place) - count) // 2
    speed = ((place[2:] - place[:-2]) / 2)[aside - 1 : aside - 1 + count]
    speed = np.where(speed < CREEPING, 0.0, speed)
    speed[0] = speed[-1] = 0.0
    change = STEEPEST_CHANGE * np.arange(count)
    speed = np.minimum.accumulate(speed - change) + change
    speed = (np.minimum.accumulate(speed[::-1] - change) + change)[::-1]
    if speed.sum() < LEAST_SHARE * route.way:
        what, mend = "the car creeps or stands from the first point to the last", "give a speed, or record a drive"
        raise BuildError(Problem(what, "a route on which the car moves", mend))
    return np.maximum(speed, 0.0)


def _wished(route: Route, limits: Limits) -> Any:
    """Speed at every second that a calm driver holds, limits, bends and both ends at rest included. [m/s]"""
    begins, fastest = np.array(limits, dtype=float).T
    if begins[-1] >= route.way:
        raise BuildError(
            Problem(
                "a limit begins where the route has ended",
                f"less than {int(route.way)} m from the start",
                "take it out, or correct where it begins",
            )
        )
    ends = np.append(begins[1:], route.way)
    if float(((ends - begins) / fastest).sum()) > MOST_SECONDS:
        raise BuildError(TOO_SLOW)  # before speeds so small that nothing is left of them beside the way
    bend: Any = bend_speed(lateral=LATERAL, radius=route.radius)
    speed = fastest[np.searchsorted(begins, route.even, side="right") - 1]
    most = np.minimum(speed, np.maximum(SLOWEST_BEND, bend)) ** 2
    most[0] = most[-1] = 0.0
    gained, lost = 2 * SPEEDING_UP * route.even, 2 * SLOWING_DOWN * route.even
    square = np.minimum.accumulate(most - gained) + gained
    square = (np.minimum.accumulate(square[::-1] - lost) + lost)[::-1]
    fast = np.sqrt(np.maximum(square, 0.0))
    time = np.concatenate([[0.0], np.cumsum(2 * np.diff(route.even) / (fast[1:] + fast[:-1]))])
    count = int(np.ceil(time[-1])) + 1
    if count > MOST_SECONDS:
        raise BuildError(TOO_SLOW)
    return np.interp(np.arange(count, dtype=float), time, fast)
