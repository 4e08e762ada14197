"""Wind, altitude, a coast-down, a trailer and reversing: what they move in the figures, and what is found."""

from __future__ import annotations

from typing import Any

import pytest
import scipy
from scipy.optimize import brentq

from helpers import dossier, keys
from voltwright.assess.resistance import resistance_of, with_trailer

G = 9.80665
TYPED = {"a": "150 N", "b": "1.4 N/(m/s)", "c": "0.71 N/(m/s)²", "mass": "1090 kg"}
LIMITS = {
    "brief.tow": "600 kg",
    "donor.limits.trailer_braked": "700 kg",
    "donor.limits.trailer_unbraked": "400 kg",
    "donor.limits.train": "2400 kg",
}


def value(made: Any, key: str) -> float:
    found = made.figures[key].value
    assert found is not None, made.figures[key].reason
    return found


def held(changes: dict[str, Any], name: str = "coupe") -> Any:
    case = dossier(changes, name).case
    assert case.resistance is not None
    return case.resistance


# Published: the density at altitude, and the top speed of a coast-down.


@pytest.mark.parametrize(("altitude", "pascal"), [(1000, 89876.0), (2000, 79501.0)])
def test_air_of_a_day_in_the_hills(altitude: int, pascal: float) -> None:
    """ISO 2533, table of the standard atmosphere, from memory; at 20 °C, dry, by the law of ideal gases."""
    density = held({"duty.climate.altitude": f"{altitude} m"}).density.value
    assert density == pytest.approx(pascal / (287.05287 * 293.15), rel=3e-4)


def test_top_speed_of_a_coast_down() -> None:
    """A laden car with the tyres of A, its own mass, the B, and the C in the air of the day; solved by scipy."""
    assert scipy.__version__
    made = dossier({"donor.coast_down": TYPED, "duty.climate.altitude": "600 m", "duty.wind": "12 km/h"})
    power, mass = value(made, "drive.power_continuous") * 1000, value(made, "mass.laden")
    density = 101325 * (1 - 0.0065 * 600 / 288.15) ** 5.25588 / (287.05287 * 293.15)

    def spare(v: float) -> float:
        air = 2 * 0.71 / (98210 / (287.05287 * 293.15)) * density / 2 * (v + 12 / 3.6) ** 2
        return power - v * (150 / 1090 * mass + 1.4 * v + air)

    assert value(made, "road.top_speed_sustained") == pytest.approx(3.6 * float(brentq(spare, 1, 120)), rel=1e-6)  # type: ignore[arg-type]


def test_slopes_of_a_coast_down() -> None:
    """By hand: what the peak power leaves at 50 km/h, less air through 62 km/h, B and the tyres of A."""
    made = dossier({"donor.coast_down": TYPED, "duty.wind": "12 km/h", "donor.drive_line.gearbox.ratios": [30.0]})
    mass, v = value(made, "mass.laden"), 50 / 3.6
    density = 101325 / (287.05287 * 293.15)
    reference = 98210 / (287.05287 * 293.15)
    left = 1000 * value(made, "drive.power_peak") / v - 0.71 / reference * density * (62 / 3.6) ** 2 - 1.4 * v

    def spare(grade: float) -> float:
        return left - (mass * G * grade + 150 / 1090 * mass) / (1 + grade**2) ** 0.5

    assert value(made, "road.gradient_at_50") == pytest.approx(100 * float(brentq(spare, 0, 2)), rel=1e-6)  # type: ignore[arg-type]


# What moves what.


def test_without_a_coast_down_the_tables_hold() -> None:
    one = held({"donor.air.drag_coefficient": "0.4", "donor.air.frontal_area": "1.7 m²"})
    assert one.drag_area.value == pytest.approx(0.68)
    assert one.rolling.value == pytest.approx(0.013)
    assert one.linear.value == one.wind.value == 0.0
    assert one.density.value == pytest.approx(1.2041, abs=1e-4)


def test_a_coast_down_without_a_mass_takes_one_person() -> None:
    bare = held({"donor.coast_down": {"a": "150 N", "c": "0.71 N/(m/s)²"}})
    assert bare.rolling.value == pytest.approx(150 / (G * (1012 + 75)))
    assert "one person" in next(each.label for each in bare.rolling.walk() if each.total)


def test_wind_takes_and_gives_speed() -> None:
    against, still, behind = (value(dossier({"duty.wind": f"{each} km/h"}), "road.top_speed") for each in (20, 0, -20))
    assert against < still < behind
    assert still == pytest.approx(value(dossier(), "road.top_speed"))


def test_thin_air_lets_the_car_run() -> None:
    assert value(dossier({"duty.climate.altitude": "2000 m"}), "road.top_speed") > value(dossier(), "road.top_speed")


def test_an_unsure_wind_widens_the_band() -> None:
    wide, sure = (
        dossier({"duty.wind": each}, with_bands=True).figures["road.top_speed_sustained"]
        for each in ("0 ± 15 km/h", "0 km/h")
    )
    assert None not in (wide.low, wide.high, sure.low, sure.high)
    assert wide.high - wide.low > 1.2 * (sure.high - sure.low)  # type: ignore[operator]


def test_a_coast_down_narrows_the_band_of_the_top_speed() -> None:
    with_it = dossier(name="van", with_bands=True).figures["road.top_speed"]
    without = dossier({"donor.coast_down": None}, name="van", with_bands=True).figures["road.top_speed"]
    assert None not in (with_it.low, with_it.high, without.low, without.high)
    assert with_it.high - with_it.low < 0.5 * (without.high - without.low)  # type: ignore[operator]
    assert without.low < with_it.value < without.high  # type: ignore[operator]


def test_the_van_of_the_example_was_made_with_known_coefficients() -> None:
    """The runs were made with A 157 N, and C that belongs to a drag area of 1.371 m² in reference air."""
    load = dossier(name="van").case.road_load
    assert load is not None
    for entry, truth in ((load.a, 157.0), (load.c, 0.80)):
        assert entry.spread.low - 0.02 * truth < truth < entry.spread.high + 0.02 * truth


def test_one_road_load_for_all_questions() -> None:
    """The same leaves, so that a band moves them once."""
    made = dossier()
    assert resistance_of(made.case, None) is made.case.resistance  # type: ignore[arg-type]
    nodes = (node for figure in made.figures.values() if figure.node for node in figure.node.walk())
    assert len({id(node) for node in nodes if node.label == "Grip of the tyres"}) == 1


def test_no_size_no_road_load() -> None:
    made = dossier({"donor.tyres.rear": "round", "donor.tyres.rear_load_each": "400 kg"})
    assert made.case.resistance is None
    assert "no size" in made.figures["road.top_speed"].reason


# Trailer.


def test_a_trailer_takes_speed_and_slope() -> None:
    made = dossier(LIMITS)
    for key in ("road.top_speed", "road.gradient_start", "road.gradient_at_50"):
        assert value(made, f"{key}_towing") < value(made, key)
    assert value(made, "road.top_speed") == pytest.approx(value(dossier(), "road.top_speed"))
    assert not any(key.endswith("_towing") for key in dossier().figures)


@pytest.mark.parametrize("axle", ["front", "rear", "both"])
def test_each_axle_tows(axle: str) -> None:
    assert 0 < value(dossier(LIMITS | {"donor.drive_line.driven_axle": axle}), "road.gradient_start_towing") < 60


def test_trailer_rolls_and_drags() -> None:
    case = dossier(LIMITS).case
    together = with_trailer(case, case.resistance)  # type: ignore[arg-type]
    assert together is not None
    assert case.resistance is not None
    assert together.mass.value == pytest.approx(case.resistance.mass.value + 600)
    assert together.drag_area.value == pytest.approx(case.resistance.drag_area.value + 1.0)
    assert together.grip is case.resistance.grip


def test_no_drive_no_towing() -> None:
    made = dossier(LIMITS | {"drive.motor": None})
    assert "no motor" in made.figures["road.top_speed_towing"].reason


FAILING = [
    ("towing.trailer_limit", LIMITS | {"donor.limits.trailer_braked": "550 kg"}, "stop"),
    ("towing.trailer_limit", LIMITS | {"brief.tow": "690 kg ± 30 kg"}, "stop"),
    ("towing.train_limit", LIMITS | {"donor.limits.train": "1800 kg"}, "stop"),
    ("towing.brakes", LIMITS, "caution"),
    ("towing.brakes", {"brief.tow": "600 kg", "donor.limits.trailer_unbraked": "400 kg"}, "stop"),
    ("towing.limit_unknown", {"brief.tow": "600 kg"}, "caution"),
    ("data.coast_down", {"donor.coast_down": TYPED | {"a": "900 N"}}, "caution"),
    ("data.coast_down", {"donor.coast_down": TYPED | {"c": "7 N/(m/s)²"}}, "caution"),
    ("drive.reverse_unsaid", {"drive.gearing.fixed_gear": 2}, "caution"),
    ("drive.reverse_unsaid", {"drive.gearing.way": "direct"}, "caution"),
    ("drive.reverse_gear", {"drive.gearing.fixed_gear": 2, "drive.gearing.reverse": "gear"}, "stop"),
    ("drive.reverse_gear", {"drive.gearing.way": "gear-unit", "drive.gearing.reverse": "gear",
                            "drive.gearing.gear_unit": {"part": "gear-unit/single-speed-2.1", "x": "1 m", "z": "0.4 m"}}, "stop"),
]  # fmt: skip
PASSING = [
    ("towing.trailer_limit", LIMITS),
    ("towing.trailer_limit", {"donor.limits.trailer_braked": "100 kg"}),
    ("towing.train_limit", LIMITS),
    ("towing.train_limit", {"donor.limits.train": "900 kg"}),
    ("towing.brakes", LIMITS | {"brief.tow": "400 kg"}),
    ("towing.limit_unknown", LIMITS),
    ("data.coast_down", {"donor.coast_down": TYPED}),
    ("drive.reverse_unsaid", {}),
    ("drive.reverse_unsaid", {"drive.gearing.fixed_gear": 2, "drive.gearing.reverse": "motor"}),
    ("drive.reverse_gear", {"drive.gearing.reverse": "gear"}),
]


@pytest.mark.parametrize(("key", "changes", "severity"), FAILING)
def test_a_build_that_fails(key: str, changes: dict[str, Any], severity: str) -> None:
    found = next((each for each in dossier(changes).findings if each.key == key), None)
    assert found is not None
    assert found.severity == severity
    assert found.detail
    assert found.remedy


@pytest.mark.parametrize(("key", "changes"), PASSING)
def test_a_build_that_passes(key: str, changes: dict[str, Any]) -> None:
    assert key not in keys(dossier(changes))


def test_the_named_trailer_mends_the_train() -> None:
    heavy = LIMITS | {"donor.limits.train": "1800 kg"}
    found = next(each for each in dossier(heavy).findings if each.key == "towing.train_limit")
    most = int((found.remedy or "").split("at most ")[1].split(" kg")[0])
    assert "towing.train_limit" not in keys(dossier(heavy | {"brief.tow": f"{most} kg"}))
    assert "towing.train_limit" in keys(dossier(heavy | {"brief.tow": f"{most + 1} kg"}))


def test_two_cabin_heaters_give_twice_as_much() -> None:
    """In a frost that one does not keep up with; on a mild day nobody needs the second."""
    frost = {"duty.climate.coldest": "-19 °C", "comfort.cabin_heater.part": "heater/air-2kw-350v"}
    two = {"comfort.cabin_heater.count": 2}
    assert value(dossier(frost | two), "road.range_cold") < 0.99 * value(dossier(frost), "road.range_cold")
