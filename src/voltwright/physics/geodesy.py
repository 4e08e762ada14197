"""Short ways on the ellipsoid of the Earth, and what the road asks of a driver's comfort in a bend.

Between two points a few kilometres apart the ellipsoid is a plane with one scale to the north and another to the east, both
taken at the middle latitude.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from voltwright.quantity.formula import formula
from voltwright.quantity.source import Source
from voltwright.quantity.types import Metre, MetrePerSecond, MetrePerSecondSquared, Number, Radian

# World Geodetic System 1984: the ellipsoid to which receivers and maps refer.
EQUATOR_RADIUS = 6378137.0  # m
FLATTENING = 1 / 298.257223563
ECCENTRICITY_SQUARED = FLATTENING * (2.0 - FLATTENING)


@formula(
    symbol="M",
    equation="equator_radius * (1 - eccentricity_squared) / (1 - eccentricity_squared * sin(latitude)**2)**(3/2)",
    source=Source("nima-8350-2"),
)
def meridian_radius(latitude: Radian, equator_radius: Metre, eccentricity_squared: Number) -> Metre:
    """Radius of curvature of the ellipsoid to the north. [m]"""
    within: Any = 1.0 - eccentricity_squared * np.sin(latitude) ** 2
    return equator_radius * (1.0 - eccentricity_squared) / within**1.5


@formula(
    symbol="N",
    equation="equator_radius / sqrt(1 - eccentricity_squared * sin(latitude)**2)",
    source=Source("nima-8350-2"),
)
def transverse_radius(latitude: Radian, equator_radius: Metre, eccentricity_squared: Number) -> Metre:
    """Radius of curvature of the ellipsoid to the east. [m]"""
    return equator_radius / np.sqrt(1.0 - eccentricity_squared * np.sin(latitude) ** 2)


@formula(
    symbol="d",
    equation="sqrt((meridian * northward)**2 + (transverse * cos(latitude) * eastward)**2)",
    source=Source("nima-8350-2"),
    valid="points up to 60 km apart and below 80° of latitude: within 1 part in 100 000; latitude is that of the middle",
)
def ground_distance(meridian: Metre, transverse: Metre, latitude: Radian, northward: Radian, eastward: Radian) -> Metre:
    """Way over the ground between two near points, by their differences of latitude and longitude. [m]"""
    north, east = meridian * northward, transverse * np.cos(latitude) * eastward
    result: Any = np.sqrt(north**2 + east**2)
    return result


@formula(
    symbol="ψ",
    equation="atan2(transverse * cos(latitude) * eastward, meridian * northward)",
    source=Source("nima-8350-2"),
    valid="points up to 60 km apart and below 80° of latitude; two different points; latitude is that of the middle",
)
def heading(meridian: Metre, transverse: Metre, latitude: Radian, northward: Radian, eastward: Radian) -> Radian:
    """Direction from one of two near points to the other, clockwise from north. [rad]"""
    result: Any = np.arctan2(transverse * np.cos(latitude) * eastward, meridian * northward)
    return result


@formula(symbol="v_b", equation="sqrt(lateral * radius)", valid="level bend, steady speed")
def bend_speed(lateral: MetrePerSecondSquared, radius: Metre) -> MetrePerSecond:
    """Speed at which a bend presses sideways with that acceleration. [m/s]"""
    result: Any = np.sqrt(lateral * radius)
    return result
