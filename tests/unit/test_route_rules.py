"""Routes: each check is failed by one route and passed by another; and a route as a picture."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from helpers import keys
from route_files import drive, driven, hill, point, track
from voltwright.papers.pictures import pictures_of
from voltwright.quantity.plot import Lines
from voltwright.rules.dossier import Dossier

NOISE = np.random.default_rng(3).normal(0.0, 4.0, 1001)


def rough() -> list[str]:
    return drive(600, lambda t: 15.0, lambda way: 50.0 + float(NOISE[int(way / 15.0)]))


def wall() -> list[str]:
    return drive(600, lambda t: 15.0, lambda way: 100.0 + 70.0 * math.tanh((way - 4500.0) / 200.0))


def cut() -> list[str]:
    points = drive(600, lambda t: 15.0, hill)
    points[300] = point(4500.0, 3000.0, 30.0, 300)
    return points


def far() -> list[str]:
    return drive(8700, lambda t: 25.0 if 10 < t < 8690 else 0.0)


# finding, the route that makes it appear, severity
FAILING: list[tuple[str, Callable[[], list[str]], str]] = [
    ("road.route_level.hill", lambda: drive(600, lambda t: 15.0), "note"),
    ("road.route_climb.hill", rough, "note"),
    ("road.route_steep.hill", wall, "caution"),
    ("road.route_points.hill", cut, "note"),
    ("road.arrival.hill", far, "caution"),
]


def on(folder: Path, points: list[str], **more: Any) -> Dossier:
    (folder / "own.gpx").write_text(track(points))
    return driven(folder, route="own.gpx", **more)


@pytest.mark.parametrize(("key", "made", "severity"), FAILING, ids=[key for key, _, _ in FAILING])
def test_a_route_that_fails(tmp_path: Path, key: str, made: Callable[[], list[str]], severity: str) -> None:
    of = (
        on(tmp_path, made(), speed="50 km/h")
        if key == "road.route_steep.hill"
        else on(tmp_path, made(), speed="80 km/h")
    )
    found = next((each for each in of.findings if each.key == key), None)
    assert found is not None, keys(of)
    assert found.severity == severity
    assert found.remedy
    assert found.value != found.limit
    assert found.clause is not None


def test_a_good_route_passes(tmp_path: Path) -> None:
    told = ("road.route_", "road.arrival", "road.journey_")
    assert not [key for key in keys(driven(tmp_path)) if key.startswith(told)]


SENSELESS: list[tuple[str, dict[str, Any], str]] = [
    ("road.journey_payload.hill", {"payload": "900 kg"}, "caution"),
    ("road.journey_payload.hill", {"payload": "20 kg"}, "note"),
    ("road.journey_wind.hill", {"wind": "70 km/h", "wind_from": "west"}, "note"),
    ("road.journey_limit.hill", {"speed": None, "limits": [{"at": "0 km", "speed": "240 km/h"}]}, "note"),
]


@pytest.mark.parametrize(("key", "journey", "severity"), SENSELESS, ids=[f"{key} {s}" for key, _, s in SENSELESS])
def test_what_makes_no_sense_of_a_journey(tmp_path: Path, key: str, journey: dict[str, Any], severity: str) -> None:
    found = [each for each in driven(tmp_path, **journey).findings if each.key.startswith("road.journey_")]
    assert [(each.key, each.severity) for each in found] == [(key, severity)]
    assert found[0].remedy
    assert found[0].value != found[0].limit


def test_what_makes_sense_of_a_journey(tmp_path: Path) -> None:
    limits = [{"at": "0 km", "speed": "50 km/h"}, {"at": "1 km", "speed": "80 km/h"}]
    made = driven(tmp_path, speed=None, limits=limits, payload="90 kg", wind="40 km/h", wind_from="200°")
    assert not [key for key in keys(made) if key.startswith("road.journey_")]


def test_what_is_left_is_told_with_its_chance(tmp_path: Path) -> None:
    (tmp_path / "own.gpx").write_text(track(far()))
    of = driven(tmp_path, route="own.gpx", speed="80 km/h", with_bands=True)
    found = next(each for each in of.findings if each.key == "road.arrival.hill")
    assert found.likelihood
    assert found.value
    assert found.value.endswith("%")


def picture(of: Dossier) -> Lines:
    (shown,) = pictures_of(of, key="road.trip")
    assert isinstance(shown.plot, Lines)
    return shown.plot


def test_the_picture_of_a_route(tmp_path: Path) -> None:
    plot = picture(driven(tmp_path))
    height, speed, charge = plot.panels
    assert plot.x.head == "Way (km)"
    assert max(each for each in height.series[0].y if each is not None) == pytest.approx(92.0, abs=2.0)
    assert max(each for each in speed.series[0].y if each is not None) == pytest.approx(70.0, abs=1.0)
    left = [each for each in charge.series[0].y if each is not None]
    assert left[0] > left[-1] > 90.0
    assert "height" in plot.alt
    assert plot.shown("uk").panels[0].y.head == "Height (ft)"
    assert plot.shown("uk").panels[0].series[0].y[0] == pytest.approx((height.series[0].y[0] or 0.0) / 0.3048)
    assert plot.table().rows


def test_the_picture_of_a_level_route_has_no_heights(tmp_path: Path) -> None:
    plot = picture(on(tmp_path, drive(600, lambda t: 15.0)))
    assert [panel.y.label for panel in plot.panels] == ["Road speed", "Charge"]


def test_the_picture_of_a_route_that_is_too_long_says_so(tmp_path: Path) -> None:
    plot = picture(on(tmp_path, drive(14_000, lambda t: 25.0 if 10 < t < 13_990 else 0.0)))
    assert "the pack is empty after" in plot.alt


def test_the_picture_of_a_route_shows_a_wind_that_turns(tmp_path: Path) -> None:
    plot = picture(on(tmp_path, drive(600, lambda t: 15.0), round_trip=True, wind="18 km/h", wind_from="north"))
    wind = next(panel for panel in plot.panels if panel.y.label == "Head wind")
    blows = [each for each in wind.series[0].y if each is not None]
    assert blows[5] == pytest.approx(18.0, abs=0.01)
    assert blows[-5] == pytest.approx(-18.0, abs=0.01)
    assert "wind" in plot.alt
    plain = picture(on(tmp_path, drive(600, lambda t: 15.0), wind="18 km/h"))
    assert "Head wind" not in [panel.y.label for panel in plain.panels]
