"""Routes: a GPX file as distance, height and speed, cleaned of what the receiver or the map put into it.

What is done, in this order: times that run backwards are refused; points that no car can reach are left out; points where the
car stands are joined; heights are laid on even steps of the way, freed of spikes, averaged, and freed of ups and downs that are
smaller than a receiver can see. Thresholds are common practice, without a source; docs/theory/routes.md tells why each is so.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

from voltwright.parts.columns import Held
from voltwright.parts.gpx import Points, read_points
from voltwright.parts.trips import MOST_SPEED
from voltwright.physics import geodesy

TOP = MOST_SPEED / 3.6  # m/s: between two points nothing is faster
STANDS_WITHIN = 4.0  # m: what a receiver wanders while the car stands
STANDING = 0.5  # m/s: slower than that over two points is a stop
MOST_LEFT_OUT = 0.05  # of the points, before the file is refused
LONGEST_WAY = 5_000.0  # m between two points
LONGEST_TIME = 60.0  # s between two points that are not a stop: worth saying
SHORTEST_ROUTE, LONGEST_ROUTE = 100.0, 2_000_000.0  # m
STEP = 10.0  # m of the even steps; more where that gives too many
MOST_STEPS = 40_000
LOWEST, HIGHEST = -450.0, 6_000.0  # m: of what can be driven on
MOST_UNKNOWN = 0.5  # of the heights, before all are left aside
AVERAGED_OVER = 100.0  # m, twice
LEAST_RISE = 3.0  # m: a smaller up and down is not seen
BEND_OVER = 40.0  # m: over which a change of heading is spread
STEEPEST = 0.40  # beyond, the heights are wrong: no road is so steep


@dataclass(frozen=True, eq=False)
class Route:
    """A way by its heights on even steps, and when the car was where, if it was recorded.

    `even`, `height`, `radius` [m] and `heading` [rad, clockwise from north] belong together, `height` level where it is unknown;
    `at` [m] and `time` [s] do, and are empty without times. `climb` and `climb_removed` [m] are None without heights.
    """

    file: str
    way: float
    even: Any
    height: Any
    radius: Any
    heading: Any
    at: Any
    time: Any
    climb: float | None
    climb_removed: float | None
    remarks: tuple[str, ...]

    @property
    def has_times(self) -> bool:
        return len(self.time) > 0


def read_route(path: Path | Held) -> Route:
    """A route out of a GPX file. Raises FileError or BuildError."""
    points, remarks = read_points(path), list[str]()
    if points.every > 1:
        remarks.append(f"the file has {points.count} points, of which one in {points.every} is used")
    timed = _has_times(points, remarks)
    kept = np.arange(len(points.latitude))
    if timed:
        kept = _reachable(points, _forwards(points), remarks)
    at, time, kept = _moving(points, kept, timed)
    if len(kept) < 2 or at[-1] < SHORTEST_ROUTE:
        what = "there is only one point" if len(points.latitude) == 1 else "the points lie within a few metres"
        allowed = f"a way of {SHORTEST_ROUTE:.0f} m to {LONGEST_ROUTE / 1000:.0f} km"
        raise points.refuse(0, what, allowed, "record the whole drive, or draw the route to its end")
    _must_hang_together(points, kept, at, time, remarks)
    count = min(MOST_STEPS, max(2, int(np.ceil(at[-1] / STEP))))
    even: Any = np.linspace(0.0, at[-1], count + 1)
    height, climb, removed = _heights(points, kept, at, even, remarks)
    radius, heading = _radius(points, kept, at, even), _headings(points, kept, at, even)
    stamps = (at, time) if timed else (np.array([]), np.array([]))
    return Route(points.file, float(at[-1]), even, height, radius, heading, *stamps, climb, removed, tuple(remarks))


def distances(latitude: Any, longitude: Any) -> Any:
    """Way over the ground from each point to the next; angles in degrees. [m]"""
    north, east = np.radians(np.diff(latitude)), np.radians(_turned(np.diff(longitude)))
    middle = np.radians((latitude[1:] + latitude[:-1]) / 2)
    return geodesy.ground_distance(**_radii(middle), latitude=middle, northward=north, eastward=east)


def _radii(latitude: Any) -> dict[str, Any]:
    shape = {"equator_radius": geodesy.EQUATOR_RADIUS, "eccentricity_squared": geodesy.ECCENTRICITY_SQUARED}
    return {
        "meridian": geodesy.meridian_radius(latitude=latitude, **shape),
        "transverse": geodesy.transverse_radius(latitude=latitude, **shape),
    }


def _turned(longitude: Any) -> Any:
    """A difference of longitude the short way round. [°]"""
    return (longitude + 180.0) % 360.0 - 180.0


def _has_times(points: Points, remarks: list[str]) -> bool:
    known = np.isfinite(points.time)
    if known.all():
        return len(known) > 1
    if known.any():
        remarks.append(f"{int((~known).sum())} of {len(known)} points have no time, so that no time is used")
    return False


def _forwards(points: Points) -> Any:
    """The points without those whose time is that of the one before. Raises BuildError where a time runs backwards."""
    step = np.diff(points.time)
    if (step < 0.0).any():
        first = int(np.argmax(step < 0.0)) + 1
        what = f"the time runs backwards by {-step[first - 1]:.0f} s at this point"
        mend = "put the parts of the drive in order, and take doubled ones out"
        raise points.refuse(first, what, "times that rise from point to point", mend)
    return np.concatenate([[0], np.flatnonzero(step > 0.0) + 1])


def _reachable(points: Points, kept: Any, remarks: list[str]) -> Any:
    """The points without those that a car would have to fly to. Raises BuildError where there are too many of them."""
    if len(kept) < 2:
        return kept

    def speeds(which: Any) -> Any:
        way = distances(points.latitude[which], points.longitude[which])
        return way / np.diff(points.time[which])

    fast = speeds(kept) > TOP
    if not fast.any():
        return kept
    if len(kept) > 2 and fast[0] and not fast[1]:
        kept = kept[1:]  # the first fix of a receiver is often wrong
    good, latest = [int(kept[0])], int(kept[0])
    most, left = max(3, int(MOST_LEFT_OUT * len(kept))), list[int]()
    far = _plane(points)
    for index in map(int, kept[1:]):
        if np.hypot(*(far[index] - far[latest])) > TOP * (points.time[index] - points.time[latest]):
            left.append(index)
            if len(left) > most:
                what = f"{len(left)} points lie where no car gets to in the time, this one first"
                mend = "cut the drive into single ones, and export it as it was recorded"
                raise points.refuse(left[0], what, f"speeds of up to {MOST_SPEED:g} km/h", mend)
            continue
        good.append(index)
        latest = index
    count = len(fast) + 1 - len(good)
    remarks.append(f"{count} point{'s' * (count > 1)} no car can reach in the time left out")
    return np.array(good)


def _plane(points: Points) -> Any:
    """Places on a plane that is right near each other: metres to the east and north of the first point."""
    latitude = np.radians(points.latitude)
    radii = _radii(latitude)
    east = radii["transverse"] * np.cos(latitude) * np.radians(_turned(points.longitude - points.longitude[0]))
    north = radii["meridian"] * (latitude - latitude[0])
    return np.column_stack([east, north])


def _moving(points: Points, kept: Any, timed: bool) -> tuple[Any, Any, Any]:
    """Way and time at each point that is a step away from the one before, and which points these are.

    A stop is two entries of the same place; without times the doubled points of a map go.
    """
    places, anchors = _plane(points)[kept].tolist(), [0]
    for index, (x, y) in enumerate(places):
        there = places[anchors[-1]]
        if abs(x - there[0]) + abs(y - there[1]) > STANDS_WITHIN:
            anchors.append(index)
    if anchors[-1] < len(places) - 1 and places[anchors[-1]] != places[-1]:
        anchors.append(len(places) - 1)  # the way ends where the file does
    chosen = np.array(anchors)
    way = distances(points.latitude[kept[chosen]], points.longitude[kept[chosen]])
    at = np.concatenate([[0.0], np.cumsum(way)])
    if not timed:
        return at, np.array([]), kept[chosen]
    time = points.time[kept]
    stops = (way < STANDING * np.diff(time[chosen])) & (np.diff(chosen) > 1)
    spots = np.flatnonzero(stops)
    ends = chosen[spots + 1] - 1  # the last point at which it still stood
    where = np.concatenate([chosen, ends])
    order = np.argsort(where, kind="stable")
    at = np.concatenate([at, at[spots]])[order]
    where = where[order]
    return at, time[where] - time[where[0]], kept[where]


def _must_hang_together(points: Points, kept: Any, at: Any, time: Any, remarks: list[str]) -> None:
    step = np.diff(at)
    widest = int(np.argmax(step))
    if step[widest] > LONGEST_WAY:
        what = f"there is no point over the {step[widest] / 1000:.1f} km before this one"
        mend = "record or draw what is missing, or cut the file into two routes"
        raise points.refuse(int(kept[widest + 1]), what, f"up to {LONGEST_WAY / 1000:g} km from point to point", mend)
    if at[-1] > LONGEST_ROUTE:
        what, allowed = f"the route is {at[-1] / 1000:.0f} km long", f"up to {LONGEST_ROUTE / 1000:.0f} km"
        raise points.refuse(0, what, allowed, "cut it into single days")
    if len(time):
        gaps = int(((np.diff(time) > LONGEST_TIME) & (step > STANDING * np.diff(time))).sum())
        if gaps:
            remarks.append(
                f"over {gaps} gap{'s' * (gaps > 1)} of more than {LONGEST_TIME:.0f} s a steady speed is taken"
            )


def _heights(
    points: Points, kept: Any, at: Any, even: Any, remarks: list[str]
) -> tuple[Any, float | None, float | None]:
    """Heights on the even steps [m], the climb of these, and how much climb was taken away."""
    raw = points.height[kept]
    known = np.isfinite(raw) & (raw >= LOWEST) & (raw <= HIGHEST)
    if known.sum() < 2 or (~known).mean() > MOST_UNKNOWN:
        remarks.append("there are no heights: the road is taken as level, and its climbing is unknown")
        return np.zeros(len(even)), None, None
    if not known.all():
        remarks.append(
            f"{int((~known).sum())} of {len(known)} points have no height; it is taken straight between others"
        )
    given = np.interp(at, at[known], raw[known])
    smooth = without_small_rises(_averaged(_without_spikes(np.interp(even, at, given)), even[1]))
    slope = np.abs(np.diff(smooth)) / even[1]
    steepest = int(np.argmax(slope))
    if slope[steepest] > STEEPEST:
        here = int(kept[min(int(np.searchsorted(at, even[steepest])), len(kept) - 1)])
        what = f"the road rises or falls by {slope[steepest]:.0%} here, {even[steepest] / 1000:.1f} km from the start"
        mend = "correct the heights there, or take them all out: the road is then level"
        raise points.refuse(here, what, f"slopes of up to {STEEPEST:.0%}", mend)
    climb = climbed(smooth)
    return smooth, climb, max(0.0, climbed(given) - climb)


def climbed(height: Any) -> float:
    """The sum of all that goes up. [m]"""
    return float(np.maximum(np.diff(height), 0.0).sum())


def _without_spikes(height: Any) -> Any:
    """The middle of each five neighbours; of the ends those that are there twice."""
    padded = np.pad(height, 2, mode="edge")
    return np.median(np.lib.stride_tricks.sliding_window_view(padded, 5), axis=1)


def _averaged(height: Any, step: float) -> Any:
    """The mean over some way, taken twice; beyond its ends the road goes on as straight as it begins and ends there."""
    half = min(int(AVERAGED_OVER / 2 / step), (len(height) - 1) // 4)
    width = 2 * half + 1
    index: Any = np.arange(-width, 0.0)
    before = np.polyval(np.polyfit(np.arange(width), height[:width], 1), index) if half else np.array([])
    after = np.polyval(np.polyfit(np.arange(width), height[::-1][:width], 1), index)[::-1] if half else np.array([])
    longer = np.concatenate([before[1:], height, after[:-1]])
    for _ in range(2 if half else 0):
        sums = np.concatenate([[0.0], np.cumsum(longer)])
        longer = (sums[width:] - sums[:-width]) / width
    return longer


def without_small_rises(height: Any, least: float = LEAST_RISE) -> Any:
    """The same heights without ups and downs that are smaller than `least`: real tops and bottoms stay where they are. [m]

    Between a top and the next bottom the way goes nowhere up: it lies halfway between the highest and the lowest line of
    that kind.
    """
    ends = _turning_points(height.tolist(), least)
    made = np.array(height, dtype=float)
    for begin, end in pairwise(ends):
        piece = slice(begin, end + 1)
        sign = 1.0 if height[end] >= height[begin] else -1.0
        part = sign * height[piece]
        above, below = np.maximum.accumulate(part), np.minimum.accumulate(part[::-1])[::-1]
        made[piece] = sign * np.clip((above + below) / 2, part[0], part[-1])
    return made


def _turning_points(height: list[float], least: float) -> list[int]:
    """First, last, and every top and bottom between that the way then leaves by at least so much."""
    ends, low, high, rising = [0], 0, 0, 0
    for index, here in enumerate(height):
        if here < height[low]:
            low = index
        if here > height[high]:
            high = index
        if rising <= 0 and here - height[low] >= least:
            ends.append(low)
            high, rising = index, 1
        elif rising >= 0 and height[high] - here >= least:
            ends.append(high)
            low, rising = index, -1
    tip = {1: high, 0: 0, -1: low}[rising]
    return sorted({*ends, tip, len(height) - 1})


def _headings(points: Points, kept: Any, at: Any, even: Any) -> Any:
    """Where the way leads at each even step, by the chord over some way before and behind it. [rad, clockwise from north]"""
    ends = np.clip(np.stack([even - BEND_OVER / 2, even + BEND_OVER / 2]), 0.0, at[-1])
    first = points.longitude[kept[0]]
    latitude = np.interp(ends, at, points.latitude[kept])
    east = np.interp(ends, at, np.unwrap(_turned(points.longitude[kept] - first), period=360.0))
    middle = np.radians(latitude.mean(axis=0))
    north, eastward = np.radians(np.diff(latitude, axis=0)[0]), np.radians(np.diff(east, axis=0)[0])
    return geodesy.heading(**_radii(middle), latitude=middle, northward=north, eastward=eastward)


def _radius(points: Points, kept: Any, at: Any, even: Any) -> Any:
    """Radius of the bend at each even step, a change of heading spread over some way; infinite where it goes straight. [m]"""
    moves = np.diff(_plane(points)[kept], axis=0)
    goes = np.hypot(*moves.T) > 0.0
    heading = np.arctan2(moves[goes, 1], moves[goes, 0])
    corners = at[:-1][goes][1:]
    turn = (np.diff(heading) + np.pi) % (2 * np.pi) - np.pi
    whole = np.concatenate([[0.0], np.cumsum(turn)])

    def turned(place: Any) -> Any:
        return whole[np.searchsorted(corners, place, side="right")]

    bend = np.abs(turned(even + BEND_OVER / 2) - turned(even - BEND_OVER / 2)) / BEND_OVER
    with np.errstate(divide="ignore"):
        return np.where(bend > 0.0, 1.0 / bend, np.inf)
