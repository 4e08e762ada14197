"""Pace, top speed and slopes: against a textbook's acceleration formula, scipy, and plain statics."""

from __future__ import annotations

from math import atan, cos, sin, tan
from typing import Any

import pytest
import scipy
from scipy.optimize import brentq

from voltwright.physics import motor, pace

SCIPY = f"scipy {scipy.__version__}"
G = 9.80665
CAR = {"mass": 1300.0, "gravity": G, "rolling": 0.013, "linear": 0.0, "density": 1.204, "drag_area": 0.74, "wind": 0.0}


@pytest.mark.parametrize("power", [10e3, 40e3, 85e3])
def test_top_speed_of_a_power(published, power: float) -> None:
    expected: Any = brentq(lambda v: power - v * (0.013 * 1300 * G + 1.204 * 0.74 * v * v / 2), 1.0, 120.0, xtol=1e-12)
    published.check(
        source=f"{SCIPY}, optimize.brentq on P = F v",
        law="speed_for_power",
        asked=f"{power / 1000:.0f} kW [m/s]",
        expected=float(expected),
        got=float(pace.speed_for_power(power=power, **CAR)),
        rel=1e-9,
        why="halved sixty times",
        keys=("road.top_speed", "road.top_speed_sustained"),
    )


WINDY = CAR | {"linear": 1.6}


@pytest.mark.parametrize("wind", [-40 / 3.6, 0.0, 25 / 3.6])
def test_top_speed_with_wind_and_bearings(published, wind: float) -> None:
    """The road load of 40 CFR 1066.210, with the air met at the speed of the car plus that of the wind."""

    def spare(v: float) -> float:
        through = v + wind
        return 40e3 - v * (0.013 * 1300 * G + 1.6 * v + 1.204 * 0.74 * through * abs(through) / 2)

    expected: Any = brentq(spare, 1.0, 120.0, xtol=1e-12)
    published.check(
        source=f"{SCIPY}, optimize.brentq on P = F v; the form of the force in 40 CFR 1066.210, read",
        law="speed_for_power",
        asked=f"40 kW, B 1.6 N/(m/s), head wind {wind * 3.6:.0f} km/h [m/s]",
        expected=float(expected),
        got=float(pace.speed_for_power(power=40e3, **WINDY | {"wind": wind})),
        rel=1e-9,
        why="halved sixty times",
        keys=("road.top_speed", "road.top_speed_sustained", "road.top_speed_towing"),
    )


@pytest.mark.parametrize("degrees", [0.5, 5.0, 20.0])
def test_slope_of_a_force(published, degrees: float) -> None:
    """A force that just holds the car on a slope, by the components of its weight, climbs that slope."""
    angle = degrees * 3.141592653589793 / 180
    force = 1300 * G * (sin(angle) + 0.013 * cos(angle))
    published.check(
        source="weight resolved along and across the slope, any mechanics text",
        law="grade_climbed",
        asked=f"{degrees}° [rise over run]",
        expected=tan(angle),
        got=float(pace.grade_climbed(force=force, mass=1300.0, gravity=G, rolling=0.013)),
        rel=1e-9,
        why="the same triangle, other way round",
        keys=("road.gradient_start", "road.gradient_at_50"),
    )


@pytest.mark.parametrize("driven", ["rear", "front"])
def test_slope_at_which_the_tyres_slip(published, driven: str) -> None:
    """Moments about the other axle of a car standing on a slope, searched for the slope at which weight equals grip."""
    grip, behind, wheelbase, height = 0.8, 1.25, 2.4, 0.5

    def spare(angle: float) -> float:
        rear = (behind * cos(angle) + height * sin(angle)) / wheelbase
        carried = rear if driven == "rear" else cos(angle) - rear
        return grip * carried - sin(angle)

    angle: Any = brentq(spare, 0.0, 1.2)
    law = pace.grade_by_grip_rear if driven == "rear" else pace.grade_by_grip_front
    published.check(
        source=f"statics of a car on a slope, solved by {SCIPY} optimize.brentq",
        law=law.__name__,
        asked=f"{driven} axle driven [1]",
        expected=tan(float(angle)),
        got=law(grip=grip, behind_front=behind, wheelbase=wheelbase, height=height),
        rel=1e-9,
        why="closed form against search",
        keys=("road.gradient_start",),
    )
    assert atan(tan(float(angle))) == pytest.approx(float(angle))


@pytest.mark.parametrize("driven", ["rear", "front", "all"])
def test_slope_at_which_the_tyres_slip_with_a_trailer(published, driven: str) -> None:
    """Moments of a car that pulls its trailer up a slope by a ball at 0.39 m, searched for the slope of all the grip."""
    grip, behind, wheelbase, height, mass, trailer, ball = 0.8, 1.25, 2.4, 0.5, 1250.0, 640.0, 0.39

    def spare(angle: float) -> float:
        pull = trailer * sin(angle)
        rear = (mass * (behind * cos(angle) + height * sin(angle)) + pull * ball) / wheelbase
        whole = mass * cos(angle)
        carried = {"rear": rear, "front": whole - rear, "all": whole}[driven]
        return grip * carried - (mass + trailer) * sin(angle)

    angle: Any = brentq(spare, 0.0, 1.2, xtol=1e-14)
    law = getattr(pace, f"grade_by_grip_{driven}_towing")
    places = {"behind_front": behind, "wheelbase": wheelbase, "height": height, "coupling_height": ball}
    published.check(
        source=f"statics of a car with a trailer on a slope, solved by {SCIPY} optimize.brentq",
        law=law.__name__,
        asked=f"{driven} wheels driven, 640 kg behind 1250 kg [1]",
        expected=tan(float(angle)),
        got=law(grip=grip, mass=mass, trailer=trailer, **({} if driven == "all" else places)),
        rel=1e-9,
        why="closed form against search",
        keys=("road.gradient_start_towing",),
    )


@pytest.mark.parametrize("driven", ["rear", "front"])
def test_a_trailer_of_nothing_changes_nothing(driven: str) -> None:
    places = {"grip": 0.7, "behind_front": 1.2, "wheelbase": 2.4, "height": 0.5}
    alone = getattr(pace, f"grade_by_grip_{driven}")(**places)
    towing = getattr(pace, f"grade_by_grip_{driven}_towing")
    assert towing(mass=1000.0, trailer=0.0, coupling_height=0.4, **places) == pytest.approx(alone)


def test_motor_and_road_speed_by_hand(published) -> None:
    """100 km/h on tyres that roll at 0.30 m, 3.9 turns to one: 27.7778 · 3.9 / 0.30 = 361.11 rad/s, 3448.4 rpm."""
    got = motor.motor_speed(speed=100 / 3.6, ratio=3.9, wheel_radius=0.30)
    published.check(
        source="by hand",
        law="motor_speed",
        asked="[rpm]",
        expected=3448.4,
        got=got * 60 / (2 * 3.141592653589793),
        absolute=0.1,
        why="five digits by hand",
        keys=("drive.motor_speed_max_used",),
    )
    assert motor.road_speed(turning=got, ratio=3.9, wheel_radius=0.30) == pytest.approx(100 / 3.6)


def test_back_emf_by_hand(published) -> None:
    """40 V (rms) per 1000 rpm at 6000 rpm: 240 V rms, 339.4 V crest."""
    per_radian = 40 / (1000 * 2 * 3.141592653589793 / 60)
    got = motor.back_emf(emf_constant=per_radian, speed=6000 * 2 * 3.141592653589793 / 60)
    published.check(
        source="by hand; crest of a sine is root two of its rms",
        law="back_emf",
        asked="[V]",
        expected=339.41,
        got=float(got),
        absolute=0.01,
        why="five digits by hand",
        keys=("drive.back_emf_peak",),
    )
