"""Ways over the ground and the profile of a route: against geodesics on the ellipsoid and what geodesy prints."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from kernel_cars import COUPE, cells
from route_files import drive, held, hill, track
from voltwright.kernels.journey import charge_left_of, drive_once, journey, warmest_of
from voltwright.parts.route_speeds import trip_of
from voltwright.parts.routes import climbed, distances, read_route, without_small_rises
from voltwright.physics import geodesy

KEYS = ("road.range.TRIP", "road.consumption.TRIP")
KARNEY = "C. F. F. Karney, geographiclib 2.1, geodesics on WGS 84"
GA = "Geoscience Australia, Geodetic Datum of Australia technical manual, Flinders Peak to Buninyong, from memory"
NIMA = "World Geodetic System 1984, NIMA TR8350.2, from memory"
MILE = "length of a minute of the meridian at 45°, why a nautical mile is 1852 m; navigation tables, from memory"
SHAPE = {"equator_radius": geodesy.EQUATOR_RADIUS, "eccentricity_squared": geodesy.ECCENTRICITY_SQUARED}


def between(*places: tuple[float, float]) -> float:
    return float(distances(np.array([a for a, _ in places]), np.array([b for _, b in places])).sum())


@pytest.mark.parametrize("latitude", [0.0, -33.0, 51.0, 68.0])
@pytest.mark.parametrize("metres", [10.0, 1000.0, 5000.0])
def test_ways_are_geodesics(published, latitude: float, metres: float) -> None:
    far: list[float] = []
    for bearing in range(0, 360, 15):
        there = Geodesic.WGS84.Direct(latitude, 179.99, bearing, metres)
        far.append(between((latitude, 179.99), (there["lat2"], there["lon2"])))
    worst = max(far, key=lambda each: abs(each - metres))
    published.check(
        source=KARNEY, law="ground_distance", asked=f"{metres:.0f} m in 24 directions from {latitude:g}°, the worst [m]",
        expected=metres, got=worst, rel=5e-7, keys=KEYS, why="one plane for both points: the longest step of a route",
    )  # fmt: skip


@pytest.mark.parametrize("latitude", [0.0, -33.0, 51.0, 68.0])
@pytest.mark.parametrize("metres", [10.0, 1000.0, 5000.0])
def test_headings_are_bearings(published, latitude: float, metres: float) -> None:
    """Over short ways the bearing at the middle is that of the plane; the geodesic itself turns on its way."""
    worst = 0.0
    for bearing in range(0, 360, 15):
        there = Geodesic.WGS84.Direct(latitude, 179.99, bearing, metres)
        middle = Geodesic.WGS84.Direct(latitude, 179.99, bearing, metres / 2)["azi2"]
        north, east = math.radians(there["lat2"] - latitude), math.radians((there["lon2"] - 179.99 + 180) % 360 - 180)
        at = math.radians((latitude + there["lat2"]) / 2)
        radii = {
            "meridian": geodesy.meridian_radius(latitude=at, **SHAPE),
            "transverse": geodesy.transverse_radius(latitude=at, **SHAPE),
        }
        got = math.degrees(geodesy.heading(**radii, latitude=at, northward=north, eastward=east))
        worst = max(worst, abs((got - middle + 180) % 360 - 180))
    published.check(
        source=KARNEY, law="heading", asked=f"bearing of {metres:.0f} m in 24 directions from {latitude:g}°, the worst [°]",
        expected=0.0, got=worst, absolute=2e-4, keys=KEYS, why="one plane for both points; places carry 14 digits",
    )  # fmt: skip


def dms(degree: int, minute: int, second: float) -> float:
    return degree + minute / 60 + second / 3600


def test_a_printed_line(published) -> None:
    flinders = (-dms(37, 57, 3.72030), dms(144, 25, 29.52440))
    buninyong = (-dms(37, 39, 10.15610), dms(143, 55, 35.38390))
    published.check(
        source=GA, law="ground_distance", asked="ellipsoidal distance [m]", expected=54972.271,
        got=between(flinders, buninyong), rel=1e-5, why="55 km is eleven times the longest step of a route", keys=KEYS,
    )  # fmt: skip


@pytest.mark.parametrize(("latitude", "metres"), [(0.0, 110_574.3), (45.0, 111_131.8), (79.5, 111_657.0)])
def test_a_degree_of_latitude(published, latitude: float, metres: float) -> None:
    """Half a degree to both sides; at 0° and 45° as tables print them, at 79.5° by the geodesic itself."""
    got = between((latitude - 0.5, 10.0), (latitude, 10.0), (latitude + 0.5, 10.0))
    geodesic = Geodesic.WGS84.Inverse(latitude - 0.5, 10.0, latitude + 0.5, 10.0)["s12"]
    published.check(
        source=KARNEY, law="meridian_radius", asked=f"a degree of latitude about {latitude:g}° [m]", expected=geodesic,
        got=got, rel=1e-6, why="the radius changes a little over half a degree", keys=KEYS,
    )  # fmt: skip
    if latitude < 50.0:
        published.check(
            source=NIMA, law="meridian_radius", asked=f"a degree of latitude about {latitude:g}°, printed [m]",
            expected=metres, got=got, absolute=1.0, why="printed to 0.1 m for another cut of the degree",
        )  # fmt: skip


def test_a_quarter_of_the_meridian(published) -> None:
    latitudes = np.linspace(0.0, 90.0, 1801)
    middle: Any = np.radians((latitudes[1:] + latitudes[:-1]) / 2)
    radius: Any = geodesy.meridian_radius(latitude=middle, **SHAPE)
    published.check(
        source=NIMA, law="meridian_radius", asked="from the equator to the pole [m]", expected=10_001_965.73,
        got=float((radius * np.radians(0.05)).sum()), absolute=1.0, why="added up in twentieths of a degree",
    )  # fmt: skip
    minute = float(geodesy.meridian_radius(latitude=np.pi / 4, **SHAPE) * np.radians(1 / 60))
    published.check(
        source=MILE, law="meridian_radius", asked="a minute at 45° [m]", expected=1852.2, got=minute, absolute=0.1,
        why="printed to 0.1 m",
    )  # fmt: skip


def test_a_degree_of_longitude(published) -> None:
    got = between((60.0, 4.0), (60.0, 4.02)) * 50
    published.check(
        source="length of a degree of longitude at 60°, 55.80 km; geodetic tables, from memory", law="transverse_radius",
        asked="at 60° [m]", expected=55_800.0, got=got, absolute=5.0, why="printed to 10 m", keys=KEYS,
    )  # fmt: skip
    small = Geodesic.WGS84.Inverse(60.0, 4.0, 60.0, 4.02)["s12"] * 50
    published.check(
        source=KARNEY, law="transverse_radius", asked="fifty times 0.02° at 60° [m]", expected=small, got=got, rel=1e-7,
        why="1.1 km on one plane",
    )  # fmt: skip


def test_a_bend(published) -> None:
    published.check(
        source="circular motion, a = v² / r; any textbook of mechanics", law="bend_speed", asked="50 m at 2 m/s² [m/s]",
        expected=10.0, got=float(geodesy.bend_speed(lateral=2.0, radius=50.0)), rel=1e-12, why="exact",
    )  # fmt: skip


@pytest.mark.parametrize("speed", [None, 15.0])
@pytest.mark.parametrize("round_trip", [False, True])
def test_the_way_and_the_heights_are_kept(published, speed: float | None, round_trip: bool) -> None:
    """Whatever is done to speeds and steps: as far as the geodesic says, and as high at the end as the road is."""
    points = drive(600, lambda t: min(20.0, t, 600 - t) if t <= 600 else 0.0, lambda way: way / 50)
    route = read_route(held(track(points)))
    made = trip_of(route, "x", speed=speed, round_trip=round_trip)
    last = float(points[-1].split('"')[1])
    geodesic = Geodesic.WGS84.Inverse(40.0, -35.0, last, -35.0)["s12"]
    published.check(
        source=KARNEY, law="route on even seconds", asked="its way [m]", expected=geodesic * (1 + round_trip),
        got=made.distance, rel=2e-6, why="coordinates are written to 1 cm", keys=KEYS,
    )  # fmt: skip
    steps = np.array([(a + b) / 2 for a, b in zip(made.speed[:-1], made.speed[1:], strict=True)])
    rise = float((steps * np.array(made.grade[:-1])).sum())
    published.check(
        source="geometry: a slope of 1 in 50 over the way", law="route on even seconds", asked="height won [m]",
        expected=0.0 if round_trip else geodesic / 50, got=rise, absolute=0.5, why="heights are averaged at the ends",
    )  # fmt: skip


def test_noise_is_no_climb(published) -> None:
    """A real hill of 60 m stays, and what a receiver adds goes."""
    noise = np.random.default_rng(5).normal(0.0, 1.5, 2001)
    points = drive(2000, lambda t: 15.0, lambda way: hill(way) + float(noise[int(way / 15.0)]))
    route = read_route(held(track(points)))
    expected = 60.0 * 15.0 * 2000 / 4000
    assert route.climb is not None
    published.check(
        source="geometry: 7.5 hills of 60 m, with noise of 1.5 m standard deviation at each second", law="climb",
        asked="climb [m]", expected=expected, got=route.climb, rel=0.08, why="of a receiver without memory some noise is left",
        keys=("road.climb.TRIP",),
    )  # fmt: skip
    assert route.climb_removed is not None
    assert route.climb_removed > 2 * expected


def test_a_level_road_stays_level(published) -> None:
    noise = np.random.default_rng(6).normal(0.0, 1.5, 2001)
    route = read_route(held(track(drive(2000, lambda t: 15.0, lambda way: 50.0 + float(noise[int(way / 15.0)])))))
    assert route.climb is not None
    published.check(
        source="geometry: a level road, with noise of 1.5 m standard deviation at each second", law="climb",
        asked="climb over 30 km [m]", expected=0.0, got=route.climb, absolute=6.0,
        why="less than two rises of the least that is seen", keys=("road.climb.TRIP",),
    )  # fmt: skip


def test_small_ups_and_downs_go_and_tops_stay() -> None:
    way = np.arange(2000.0)
    wave = np.sin(way / 9)  # 2 m from bottom to top
    broad = 40.0 * (1 - np.cos(2 * math.pi * way / 1999)) / 2
    made = without_small_rises(broad + wave)
    assert climbed(broad + wave) > 70.0
    assert climbed(made) == pytest.approx(float((broad + wave).max() - (broad + wave)[:30].min()), abs=3.0)
    assert np.abs(made - broad - wave).max() < 3.0
    assert made[np.argmax(broad + wave)] == (broad + wave).max()
    steps = 5.0 * np.sin(way / 50)
    assert climbed(without_small_rises(steps)) == pytest.approx(climbed(steps), rel=1e-9)


@pytest.mark.parametrize("wind", [3.0, 12.0])
def test_round_in_a_circle_in_the_wind(published, wind: float) -> None:
    """The mean of (v + w cos ψ)² over a whole turn is v² + w²/2: what blows along never gives back all that it took."""
    speed, steps = 20.0, 1800
    around = np.cos(2 * math.pi * (np.arange(steps) + 0.5) / steps)
    once = drive_once(
        COUPE._replace(wind=wind), cells(), journey("round", "round", np.full(steps + 1, speed), head=around)
    )
    force = COUPE.density * COUPE.drag_area * (speed**2 + wind**2 / 2) / 2
    published.check(
        source="calculus: mean of a squared cosine over a turn is a half", law="aerodynamic_drag, air_speed, head_wind",
        asked=f"work of the air in a circle at 72 km/h in {wind:g} m/s of wind [J]", expected=force * speed * steps,
        got=once.ledger["air"], rel=1e-9, why="even steps of angle: the sum is the integral", keys=KEYS,
    )  # fmt: skip


def test_what_is_left_and_how_warm(published) -> None:
    """A steady current: charge by counting it, and one body that warms and sheds as a circuit of heat and resistance does."""
    car = COUPE._replace(wind=0.0, heat_loss=40.0, heat_capacity=60e3, surroundings=298.15)
    once = drive_once(car, cells(), journey("steady", "steady 90 km/h", [25.0] * 2401))
    course = once.course
    assert course is not None
    counted = float(np.sum(course.current)) / car.capacity
    published.check(
        source="Coulomb counting: current added up over time", law="charge_left_of", asked="steady 90 km/h for 40 min [1]",
        expected=car.charge - counted, got=charge_left_of(driven=once, car=car), rel=1e-9, why="rounding",
        keys=("road.arrival_charge.TRIP",),
    )  # fmt: skip
    loss = once.ledger["cells"] / once.time
    rise = loss / car.heat_loss * (1 - math.exp(-once.time * car.heat_loss / car.heat_capacity))
    published.check(
        source="Incropera, Fundamentals of heat and mass transfer, ch. 5, one body with a steady source, from memory",
        law="warmest_of", asked="rise over 40 min at the mean loss [K]", expected=rise,
        got=warmest_of(driven=once) - 298.15, rel=0.02, why="the loss changes a little with the charge",
        keys=("road.cell_warmest.TRIP",),
    )  # fmt: skip
