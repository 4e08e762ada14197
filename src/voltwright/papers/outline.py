"""A plain outline of each kind of body, stretched to the entered size: it shows where things lie, not how the car looks."""

from __future__ import annotations

import math
from dataclasses import dataclass

from voltwright.papers.drawing import Point

# u runs from the nose (0) over the front axle (1) and the rear axle (2) to the tail (3); v is a share of the height;
# the third number rounds the corner, as a share of the height.
Corner = tuple[float, float, float]


@dataclass(frozen=True)
class Profile:
    """The upper edge from nose to tail, and the window."""

    edge: tuple[Corner, ...]
    glass: tuple[Corner, ...]


PROFILES: dict[str, Profile] = {
    "coupe": Profile(
        (
            (0, 0.44, 0.06),
            (0.12, 0.57, 0.10),
            (1.29, 0.66, 0.06),
            (1.57, 1, 0.16),
            (1.86, 1, 0.30),
            (2.58, 0.68, 0.20),
            (3, 0.60, 0.06),
        ),
        ((1.36, 0.69, 0.02), (1.59, 0.95, 0.05), (1.84, 0.95, 0.12), (2.22, 0.72, 0.03)),
    ),
    "roadster": Profile(
        (
            (0, 0.46, 0.08),
            (0.2, 0.63, 0.12),
            (1.34, 0.74, 0.03),
            (1.44, 0.72, 0.05),
            (1.88, 0.68, 0.06),
            (2.0, 0.76, 0.08),
            (3, 0.62, 0.10),
        ),
        ((1.36, 0.75, 0), (1.47, 1, 0.01), (1.49, 1, 0.01), (1.41, 0.73, 0)),
    ),
    "saloon": Profile(
        (
            (0, 0.50, 0.05),
            (0.06, 0.58, 0.05),
            (1.27, 0.63, 0.04),
            (1.50, 1, 0.10),
            (1.98, 1, 0.10),
            (2.24, 0.65, 0.04),
            (3, 0.60, 0.06),
        ),
        ((1.34, 0.66, 0.02), (1.53, 0.94, 0.04), (1.95, 0.94, 0.04), (2.14, 0.67, 0.02)),
    ),
    "estate": Profile(
        (
            (0, 0.50, 0.05),
            (0.06, 0.58, 0.05),
            (1.27, 0.63, 0.04),
            (1.49, 1, 0.10),
            (2.78, 0.97, 0.10),
            (2.96, 0.58, 0.04),
            (3, 0.50, 0.03),
        ),
        ((1.34, 0.66, 0.02), (1.52, 0.94, 0.04), (2.72, 0.92, 0.04), (2.86, 0.66, 0.03)),
    ),
    "van": Profile(
        (
            (0, 0.36, 0.05),
            (0.10, 0.47, 0.05),
            (0.98, 0.54, 0.03),
            (1.18, 0.96, 0.08),
            (1.26, 1, 0.05),
            (2.96, 1, 0.06),
            (3, 0.60, 0.02),
        ),
        ((1.05, 0.57, 0.02), (1.20, 0.90, 0.03), (1.46, 0.90, 0.03), (1.46, 0.57, 0.02)),
    ),
    "pickup": Profile(
        (
            (0, 0.46, 0.05),
            (0.06, 0.56, 0.05),
            (1.24, 0.61, 0.04),
            (1.44, 1, 0.08),
            (1.72, 1, 0.06),
            (1.78, 0.56, 0.01),
            (3, 0.56, 0.02),
        ),
        ((1.30, 0.64, 0.02), (1.46, 0.93, 0.03), (1.68, 0.93, 0.03), (1.70, 0.64, 0.02)),
    ),
    "other": Profile(
        ((0, 0.55, 0.04), (1.15, 0.60, 0.04), (1.45, 1, 0.06), (2.45, 1, 0.06), (2.70, 0.60, 0.04), (3, 0.58, 0.04)),
        ((1.30, 0.66, 0.02), (1.48, 0.93, 0.02), (2.40, 0.93, 0.02), (2.55, 0.66, 0.02)),
    ),
}
ARCH = 1.12  # radius of the wheel arch over that of the tyre
TUCK = 0.08  # how far the sill is drawn up at nose and tail, as a share of the height
_ARC_STEPS = 32


@dataclass(frozen=True)
class Body:
    """The entered size in millimetres, and the radii of the tyres."""

    kind: str
    length: float
    height: float
    wheelbase: float
    front_overhang: float
    clearance: float
    radius_front: float
    radius_rear: float

    @property
    def nose(self) -> float:
        return -self.front_overhang

    @property
    def tail(self) -> float:
        return max(self.length - self.front_overhang, self.wheelbase)

    def at(self, u: float, v: float) -> Point:
        stops = (self.nose, 0.0, self.wheelbase, self.tail)
        section = min(int(u), 2)
        start, end = stops[section], stops[section + 1]
        return start + (u - section) * (end - start), v * self.height


def outline(body: Body) -> tuple[Point, ...]:
    """The closed edge of the body: over the roof from nose to tail, and back along the sill with its wheel arches."""
    profile = PROFILES[body.kind]
    upper = _rounded(body, profile.edge)
    low, high = body.clearance, body.clearance + TUCK * body.height
    behind, ahead = body.tail - body.wheelbase, body.front_overhang
    return (
        *upper, (body.tail, high), (body.tail - 0.1 * behind, low), *_arch(body, body.wheelbase, body.radius_rear, 0.9 * behind),
        *_arch(body, 0.0, body.radius_front, 0.9 * ahead), (body.nose + 0.1 * ahead, low), (body.nose, high),
    )  # fmt: skip


# Seen from above, one side from nose to tail: u as above, v a share of half the width; the third number rounds the corner.
_BROAD: tuple[Corner, ...] = ((0, 0.84, 0.16), (0.5, 1, 0.2), (2.8, 1, 0.1), (3, 0.96, 0.06))
_LEAN: tuple[Corner, ...] = ((0, 0.66, 0.20), (0.55, 0.97, 0.3), (1.5, 1, 0.1), (2.35, 0.99, 0.3), (3, 0.72, 0.18))
_FROM_ABOVE = {"coupe": _LEAN, "roadster": _LEAN}
_CABIN = 0.80  # its half width as a share of that of the car


def outline_above(body: Body, width: float) -> tuple[Point, ...]:
    """The closed edge of the body seen from above; the second coordinate is right of the middle."""
    half = width / 2
    side = _FROM_ABOVE.get(body.kind, _BROAD)
    points = [(body.at(u, 0.0)[0], v * half) for u, v, _ in side]
    rounded: list[Point] = []
    for index, (_, _, share) in enumerate(side):
        here = points[index]
        before = points[index - 1] if index else (here[0], 0.0)
        after = points[index + 1] if index + 1 < len(points) else (here[0], 0.0)
        rounded += _corner(before, here, after, share * half)
    return (*rounded, *((x, -y) for x, y in reversed(rounded)))


def cabin_above(body: Body, width: float) -> tuple[Point, ...]:
    """What the windows enclose, seen from above."""
    glass = PROFILES[body.kind].glass
    front, back = (body.at(pick(u for u, _, _ in glass), 0.0)[0] for pick in (min, max))
    if body.kind == "roadster":  # its glass is the windscreen alone
        back = body.at(1.95, 0.0)[0]
    half, bow = _CABIN * width / 2, 0.10 * width
    bent = [(front + bow * step * step, half * step) for step in (1.0, 0.75, 0.5, 0.25, 0.0, -0.25, -0.5, -0.75, -1.0)]
    return (*bent, (back, -half * 0.9), (back, half * 0.9))


def window(body: Body) -> tuple[Point, ...]:
    return tuple(_rounded(body, PROFILES[body.kind].glass, closed=True))


def _arch(body: Body, centre: float, radius: float, overhang: float) -> list[Point]:
    """From behind a wheel to before it: a half circle on upright sides, narrower where the overhang is short."""
    reach = ARCH * radius
    ahead, behind = (min(reach, overhang), reach) if centre == 0.0 else (reach, min(reach, overhang))
    steps = [behind - (ahead + behind) * step / _ARC_STEPS for step in range(_ARC_STEPS + 1)]
    arc = [(centre + x, max(body.clearance, radius + math.sqrt(max(0.0, reach * reach - x * x)))) for x in steps]
    return [(centre + behind, body.clearance), *arc, (centre - ahead, body.clearance)]


def _rounded(body: Body, corners: tuple[Corner, ...], *, closed: bool = False) -> list[Point]:
    """The corners joined by straight lines, each rounded as far as its neighbours leave room."""
    points = [body.at(u, v) for u, v, _ in corners]
    result: list[Point] = []
    for index, (_, _, share) in enumerate(corners):
        here = points[index]
        before = points[index - 1] if index or closed else (here[0], body.clearance)
        after = points[(index + 1) % len(points)] if index + 1 < len(points) or closed else (here[0], body.clearance)
        result += _corner(before, here, after, share * body.height)
    return result


def _corner(before: Point, here: Point, after: Point, cut: float) -> list[Point]:
    into, out = math.dist(before, here), math.dist(here, after)
    reach = min(cut, 0.5 * into, 0.5 * out)
    if reach < 1.0:
        return [here]
    start = tuple(h + (b - h) * reach / into for h, b in zip(here, before, strict=True))
    end = tuple(h + (a - h) * reach / out for h, a in zip(here, after, strict=True))
    bent: list[Point] = []
    for step in range(7):
        t = step / 6
        x, z = ((1 - t) ** 2 * s + 2 * t * (1 - t) * h + t * t * e for s, h, e in zip(start, here, end, strict=True))
        bent.append((x, z))
    return bent
