"""Fits of motors: what comes back, what is refused, and how well the shipped parts are met."""

from __future__ import annotations

import itertools
from typing import Any

import numba
import numpy as np
import pytest

from voltwright.parts.drive import GearUnit, Inverter, Motor
from voltwright.parts.shelf import catalogue, make_part
from voltwright.physics import motor_fit as law
from voltwright.physics.motor import torque_limit
from voltwright.physics.motor_fit import LossPoints
from voltwright.quantity.errors import PartError
from voltwright.quantity.formula import all_formulas
from voltwright.quantity.table import Curve

MOTORS = [catalogue().take(part_id, Motor) for part_id in catalogue().ids("motor")]
CURVES = [(each, name) for each in MOTORS for name in ("peak", "continuous") if getattr(each, f"torque_curve_{name}")]
WHOLE = (0.15, 2.0, 1.5e-6, 60.0)


def made_points(coefficients: tuple[float, ...]) -> LossPoints:
    copper, iron, windage, constant = coefficients
    speed, torque = zip(*itertools.product((60.0, 200.0, 450.0, 800.0), (15.0, 60.0, 150.0)), strict=True)
    efficiency = tuple(
        t * w / (t * w + copper * t * t + iron * w + windage * w**3 + constant)
        for w, t in zip(speed, torque, strict=True)
    )
    return LossPoints(speed, torque, efficiency)


@pytest.mark.parametrize("present", [each for each in itertools.product((0, 1), repeat=4) if any(each)])
def test_known_losses_come_back(present: tuple[int, ...]) -> None:
    known = tuple(value * there for value, there in zip(WHOLE, present, strict=True))
    points = made_points(known)
    assert law.loss_coefficients(points) == pytest.approx(known, rel=1e-7, abs=1e-15)
    assert law.misfit_of_points(points=points) < 1e-9


def test_the_fit_is_made_once() -> None:
    points = made_points(WHOLE)
    law.loss_coefficients.cache_clear()
    for fit in (law.copper_of_points, law.iron_of_points, law.windage_of_points, law.constant_of_points):
        fit(points=LossPoints(points.speed, points.torque, points.efficiency))
    assert law.loss_coefficients.cache_info().misses == 1


def test_points_say_what_they_are() -> None:
    assert str(made_points(WHOLE)) == "table of 12 points"
    assert str(LossPoints((1.0,), (1.0,), (0.5,), "efficiency of the motor")) == (
        "table of 1 points, efficiency of the motor"
    )


@pytest.mark.parametrize("motor", [each for each in MOTORS if each.losses], ids=lambda motor: motor.id)
def test_shipped_points_are_met_within_half_a_point(motor: Motor) -> None:
    assert motor.losses is not None
    assert law.misfit_of_points(points=motor.losses) < 0.005


@pytest.mark.parametrize(("motor", "name"), CURVES, ids=lambda each: getattr(each, "id", each))
def test_shipped_curves_are_met_within_five_per_cent(motor: Motor, name: str) -> None:
    """At each point, worked with the law that the drive uses."""
    curve = getattr(motor, f"torque_curve_{name}").curve(name)
    power = law.power_of_curve(curve=curve, power=getattr(motor, f"power_{name}").value)
    pull_out = law.pull_out_of_curve(curve=curve, power=power)
    for speed, torque in zip(curve.x, curve.y, strict=True):
        got = torque_limit(
            torque=max(curve.y), power=power, pull_out=pull_out, voltage_share=1.0, speed=max(speed, 1e-6)
        )
        assert got == pytest.approx(torque, rel=0.05)
    assert law.misfit_of_curve(curve=curve, power=power) < 0.05


def test_pull_out_does_not_bind_where_the_power_holds() -> None:
    curve = Curve((0.0, 100.0, 200.0, 400.0), (100.0, 100.0, 50.0, 25.0))
    assert law.pull_out_of_curve(curve=curve, power=10e3) == pytest.approx(10e3 * 400)
    fallen = Curve((0.0, 100.0, 200.0, 400.0, 800.0), (100.0, 100.0, 50.0, 18.75, 4.6875))
    assert law.pull_out_of_curve(curve=fallen, power=10e3) == pytest.approx(3e6)
    assert law.misfit_of_curve(curve=fallen, power=10e3) < 1e-12


def test_a_dip_in_the_middle_is_no_pull_out() -> None:
    curve = Curve((0.0, 100.0, 200.0, 400.0), (100.0, 100.0, 40.0, 25.0))
    assert law.pull_out_of_curve(curve=curve, power=10e3) == pytest.approx(10e3 * 400)
    assert law.misfit_of_curve(curve=curve, power=10e3) == pytest.approx(0.25)


def test_pull_out_never_takes_the_base_torque_away() -> None:
    steep = Curve((0.0, 100.0, 110.0), (100.0, 100.0, 10.0))
    assert law.pull_out_of_curve(curve=steep, power=10e3) == pytest.approx(10e3**2 / 100)


def test_curves_over_samples_are_curves_at_points() -> None:
    curve = Curve((0.0, 100.0, 200.0, 400.0, 800.0), (100.0, 100.0, 50.0, 18.75, 4.6875))
    power: Any = np.array([5e3, 9.9e3, 10e3, 12e3])
    for fit in (law.power_of_curve, law.pull_out_of_curve):
        assert fit(curve=curve, power=power) == pytest.approx([float(fit(curve=curve, power=p)) for p in power])


def test_power_stays_within_what_is_stated() -> None:
    curve = Curve((0.0, 100.0, 200.0), (100.0, 100.0, 50.0))
    assert law.power_of_curve(curve=curve, power=9.7e3) == pytest.approx(9.7e3)
    assert law.power_of_curve(curve=curve, power=12e3) == pytest.approx(10e3)


def test_rotor_counts_by_its_energy() -> None:
    """1/2 J ω² of the rotor is 1/2 m v² of its share of the mass, by definition."""
    inertia, mass, radius, ratio, speed = 0.04, 1200.0, 0.3, 8.2, 12.0
    share = law.shaft_share(inertia=inertia, mass=mass, wheel_radius=radius)
    assert 0.5 * inertia * (ratio * speed / radius) ** 2 == pytest.approx(0.5 * mass * share * ratio**2 * speed**2)


def test_an_ordinary_continuous_share_warms_in_ordinary_time() -> None:
    assert law.heating_time(peak_time=30.0, share=0.5) == pytest.approx(104.28, abs=0.01)  # 30 / ln(4/3), by hand
    assert np.isfinite(law.heating_time(peak_time=30.0, share=1.0))


def test_current_of_the_datasheet_agrees_with_its_emf() -> None:
    """Sine wave, current in phase: a shipped motor with both is within 5 % of √3 times its EMF constant."""
    both = [each for each in MOTORS if each.back_emf and each.current_phase_peak]
    assert len(both) >= 3
    for each in both:
        assert each.back_emf
        assert each.current_phase_peak
        of_emf = law.torque_constant(emf_constant=each.back_emf.value)
        rated = law.torque_per_current(torque=each.torque_peak.value, current=each.current_phase_peak.value)
        assert rated == pytest.approx(of_emf, rel=0.05), each.id


OWN = [each for each in all_formulas() if each.function.__module__ == law.__name__ and not each.is_procedure]


@pytest.mark.parametrize("known", OWN, ids=lambda known: known.name)
def test_laws_can_be_compiled(known: Any) -> None:
    values = [0.5 + 0.1 * number for number in range(len(known.parameters))]
    compiled: Any = numba.njit
    assert compiled(known.function)(*values) == pytest.approx(known.function(*values), rel=1e-12)


@pytest.mark.parametrize("motor", MOTORS, ids=lambda motor: motor.id)
def test_each_motor_has_an_inverter_with_its_phase_current(motor: Motor) -> None:
    fits = [
        each.id for each in (catalogue().take(part_id, Inverter) for part_id in catalogue().ids("inverter"))
        if each.feeds(motor)
        and each.voltage_min.value <= 0.8 * motor.voltage_nominal.value
        and motor.voltage_nominal.value * 1.15 <= each.voltage_max.value <= motor.voltage_max.value * 1.06
        and each.current_phase_peak.value >= phase_current(motor)
    ]  # fmt: skip
    assert fits


def phase_current(motor: Motor) -> float:
    if motor.current_phase_peak:
        return motor.current_phase_peak.value
    assert motor.back_emf
    return 0.98 * motor.torque_peak.value / law.torque_constant(emf_constant=motor.back_emf.value)


def test_there_is_a_choice_of_drives() -> None:
    gears = [catalogue().take(part_id, GearUnit) for part_id in catalogue().ids("gear-unit")]
    windows = [catalogue().take(part_id, Inverter) for part_id in catalogue().ids("inverter")]
    assert len(MOTORS) >= 8
    assert {each.principle for each in MOTORS} >= {"permanent-magnet", "induction", "reluctance"}
    assert len(windows) >= 8
    assert min(each.voltage_min.value for each in windows) <= 48
    assert max(each.voltage_max.value for each in windows) >= 800
    assert len(gears) >= 4
    assert {len(each.ratios) for each in gears} == {1, 2}
    assert any(each.losses is None for each in MOTORS)
    assert any(each.efficiency_map for each in MOTORS)


MAP: dict[str, Any] = {"rpm": [1000, 2000, 4000], "newton_metre": [20, 60], "percent": [[88, 86], [91, 90], [90, 93]]}
POINTS: dict[str, Any] = {
    "rpm": [1000, 2000, 4000, 1000],
    "newton_metre": [20, 20, 20, 60],
    "percent": [88, 91, 90, 86],
}
SHEET: dict[str, Any] = {
    "id": "motor/own", "title": "Own motor", "source": "own-datasheet", "grade": "datasheet", "mass": "40 kg",
    "principle": "induction", "length": "350 mm", "diameter": "220 mm", "voltage_nominal": "120 V",
    "voltage_max": "160 V", "power_peak": "40 kW", "power_peak_time": "60 s", "power_continuous": "15 kW",
    "torque_peak": "120 N·m", "torque_continuous": "50 N·m", "speed_max": "8000 rpm", "efficiency_best": "93 %",
    "cooling": "air",
}  # fmt: skip


def motor_with(**fields: Any) -> Motor:
    made = make_part(SHEET | fields)
    assert isinstance(made, Motor)
    return made


def test_map_and_points_say_the_same() -> None:
    assert motor_with().losses is None
    grid = motor_with(efficiency_map=MAP).losses
    flat = {
        "rpm": [1000, 1000, 2000, 2000, 4000, 4000],
        "newton_metre": [20, 60, 20, 60, 20, 60],
        "percent": [88, 86, 91, 90, 90, 93],
    }
    assert grid == motor_with(efficiency_points=flat).losses
    assert grid is not None
    assert grid.speed[0] == pytest.approx(104.7198, abs=1e-4)
    assert grid.efficiency[-1] == 0.93


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"percent": [[88, 86], [91, None], [90, 93]]}, "row 2, column 2 of percent is empty"),
        ({"percent": [[88, 86], [91], [90, 93]]}, "row 2 of percent has 1 values for 2 torques"),
        ({"percent": [[88, 86], [91, 90]]}, "percent has 2 rows for 3 speeds"),
        ({"percent": [[88, 86], [91, 100], [90, 93]]}, "row 2, column 2: 100 % is no efficiency"),
        ({"percent": [[88, 86], [91, 0], [90, 93]]}, "row 2, column 2: 0 % is no efficiency"),
        ({"percent": [[88, 86], [91, "good"], [90, 93]]}, "efficiency_map.percent.1.1: 'good'"),
        ({"rpm": [1000, 4000, 2000]}, "rpm must rise"),
        ({"newton_metre": [60, 20]}, "newton_metre must rise"),
        ({"rpm": [0, 2000, 4000]}, "row 1, column 1: 0 rpm and 20 N·m give no power"),
        ({"rpm": [1000, 2000], "percent": [[88, 86], [91, 90]]}, "2 speeds and 2 torques"),
        ({"newton_metre": [20], "percent": [[88], [91], [90]]}, "newton_metre needs at least two"),
        ({"percent": 90}, "efficiency_map.percent: '90'"),
    ],
)  # fmt: skip
def test_bad_map_is_refused_with_its_place(change: dict[str, Any], words: str) -> None:
    with pytest.raises(PartError) as caught:
        motor_with(efficiency_map=MAP | change)
    said = str(caught.value)
    assert words in said
    assert "efficiency_map" in said


def test_a_hole_says_how_to_mend_it() -> None:
    with pytest.raises(PartError, match=r"Allowed: a row of percent .* To mend it: fill the grid; .*efficiency_points"):
        motor_with(efficiency_map=MAP | {"percent": [[88, 86], [91, None], [90, 93]]})


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"newton_metre": [20, 20, 20, -60]}, "row 4: 1000 rpm and -60 N·m give no power"),
        ({"percent": [88, 91, 90, 0.86]}, ""),
        ({"percent": [88, 91, 90, 186]}, "row 4: 186 % is no efficiency"),
        ({"rpm": [1000, 2000, 2000, 1000]}, "2 speeds and 2 torques"),
        ({"newton_metre": [20, 20, 20, 20]}, "3 speeds and 1 torques"),
        ({"percent": [88, 91, 90]}, "3 values for 4 rows"),
    ],
)  # fmt: skip
def test_bad_points_are_refused(change: dict[str, Any], words: str) -> None:
    if not words:  # 0.86 % is odd, but no contradiction
        assert motor_with(efficiency_points=POINTS | change).losses is not None
        return
    with pytest.raises(PartError) as caught:
        motor_with(efficiency_points=POINTS | change)
    assert words in str(caught.value)


def test_only_one_table_of_efficiency() -> None:
    with pytest.raises(PartError, match=r"efficiency_map: .*both stand .* Allowed: one of the two, or neither"):
        motor_with(efficiency_points=POINTS, efficiency_map=MAP)


@pytest.mark.parametrize("field", ["torque_curve_peak", "torque_curve_continuous"])
@pytest.mark.parametrize(
    ("newton_metre", "words"),
    [
        ([133, 120, 60], "133 N·m at 0 rpm is more than torque_peak, 120 N·m"),
        ([120, 120, 75], "75 N·m at 6000 rpm is 47.1 kW, more than power_peak, 40 kW"),
        ([120, 120, 0], "above 0"),
    ],
)
def test_curve_that_contradicts_the_peak_is_refused(field: str, newton_metre: list[float], words: str) -> None:
    with pytest.raises(PartError) as caught:
        motor_with(**{field: {"rpm": [0, 3000, 6000], "newton_metre": newton_metre}})
    assert words in str(caught.value)
    assert "To mend it" in str(caught.value)


def test_rounding_of_a_curve_is_let_through() -> None:
    curve = {"rpm": [0, 3000, 6000], "newton_metre": [131, 131, 69]}
    assert motor_with(torque_curve_peak=curve).torque_curve_peak is not None


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"current_phase_peak": "200 A", "current_phase_continuous": "300 A"}, "at most current_phase_peak"),
        ({"rotor_inertia": "0 kg·m²"}, "above 0 kg·m²"),
        ({"rotor_inertia": "0.04 kg"}, "kg·m²"),
    ],
)
def test_bad_quantities_are_refused(fields: dict[str, Any], words: str) -> None:
    with pytest.raises(PartError) as caught:
        motor_with(**fields)
    assert words in str(caught.value)


GEARS = {"id": "gear-unit/own", "title": "Own gears", "source": "own-datasheet", "grade": "datasheet", "mass": "20 kg",
         "torque_in_max": "300 N·m", "speed_in_max": "9000 rpm", "efficiency": "97 %"}  # fmt: skip


@pytest.mark.parametrize(
    ("ratios", "words"),
    [
        ([], "no ratio is listed"),
        ([3, 2.5, 2, 1.6, 1.3, 1.1, 1], "7 ratios are listed. Allowed: 1 to 6 ratios"),
        ([3.2, 0], "ratio 2 is 0. Allowed: above 0 and at most 30"),
        ([31], "ratio 1 is 31"),
        ([-2], "ratio 1 is -2"),
    ],
)
def test_ratios_that_cannot_be_are_refused(ratios: list[float], words: str) -> None:
    with pytest.raises(PartError) as caught:
        make_part(GEARS | {"ratios": ratios})
    assert words in str(caught.value)
    assert "To mend it" in str(caught.value)
