"""Gears, shafts, mounts, reverse and grip: by hand on the coupé, and what must not be said."""

from __future__ import annotations

import math
from typing import Any

import pytest

from helpers import dossier, keys
from voltwright.rules.dossier import Dossier
from voltwright.rules.finding import Finding

RADIUS = 0.97 * (14 * 0.0254 + 2 * 0.8 * 0.165) / 2
FIRST, FINAL = 3.34, 3.9
GEAR_UNIT = {"way": "gear-unit", "gear_unit": {"part": "gear-unit/single-speed-2.1", "x": "0.7 m", "z": "0.4 m"}}


def found(made: Dossier, key: str) -> Finding:
    return next(each for each in made.findings if each.key == key)


def value(made: Dossier, key: str) -> float:
    figure = made.figures[key]
    assert figure.value is not None, figure.reason
    return figure.value


def test_speed_in_each_gear_by_hand() -> None:
    """6000 rpm is taken for the old gearbox."""
    made = dossier()
    for number, gear in enumerate((FIRST, 2.14, 1.38, 1.0), 1):
        by_hand = 6000 * math.pi / 30 * RADIUS / (gear * FINAL) * 3.6
        assert value(made, f"drive.speed_in_gear.{number}") == pytest.approx(by_hand)
    assert "drive.speed_in_gear.5" not in made.figures


def test_a_locked_gearbox_has_one_gear_under_its_own_number() -> None:
    made = dossier({"drive.gearing.fixed_gear": 3})
    assert [key for key in made.figures if key.startswith("drive.speed_in_gear")] == ["drive.speed_in_gear.3"]
    assert "drive.wrong_shift" not in keys(made)


def test_wrong_shift_by_hand() -> None:
    """140 km/h of the brief in first gear: 16 097 rpm, and 40 V (rms) by 1000 rpm make 910.6 V."""
    said = found(dossier(), "drive.wrong_shift")
    turns = 140 / 3.6 / RADIUS * FIRST * FINAL * 30 / math.pi
    assert said.value == f"{turns:_.0f} rpm".replace("_", "\u00a0")
    assert f"{turns / 1000 * 40 * math.sqrt(2):.1f} V" in said.detail
    assert said.severity == "caution"


def test_without_magnets_a_wrong_shift_is_a_note() -> None:
    said = found(dossier(name="van"), "drive.wrong_shift")
    assert said.severity == "note"
    assert "makes" not in said.detail


@pytest.mark.parametrize(
    ("changes", "speed"),
    [
        ({}, 6000 * math.pi / 30 * RADIUS / (3.34 * FINAL) * 3.6),  # the reverse gear of the coupé
        ({"drive.gearing.reverse": "motor"}, 6000 * math.pi / 30 * RADIUS / FINAL * 3.6),
        ({"drive.gearing.reverse": "motor", "drive.gearing.reverse_speed": "25 km/h"}, 25.0),
    ],
)
def test_speed_backwards_by_hand(changes: dict[str, Any], speed: float) -> None:
    assert value(dossier(changes), "drive.reverse_speed") == pytest.approx(speed)


def test_a_reverse_gear_of_unknown_ratio_gives_no_speed() -> None:
    figure = dossier({"donor.drive_line.gearbox.reverse_ratio": None}).figures["drive.reverse_speed"]
    assert figure.value is None
    assert "reverse_ratio" in figure.reason


def test_the_old_reverse_gear_is_not_too_fast() -> None:
    """It is as fast as with the old engine."""
    assert "drive.reverse_speed" not in keys(dossier())


CHOPPER = {"drive.inverter.part": "inverter/direct-180v-650a"}


def test_a_chopper_with_a_reverse_gear_may_stay() -> None:
    assert "drive.reverse_inverter" not in keys(dossier(CHOPPER))
    said = found(dossier(CHOPPER | {"drive.gearing.reverse": "motor"}), "drive.reverse_inverter")
    assert said.severity == "stop"
    locked = dossier(CHOPPER | {"drive.gearing": GEAR_UNIT})
    assert found(locked, "drive.reverse_inverter").severity == "stop"
    assert "drive.reverse_unsaid" not in keys(locked)


def test_torque_along_the_line_by_hand() -> None:
    """180 N·m that are set and 260 of the braking motor, 146 N·m of the old engine, 94 % through the gears."""
    made = dossier()
    assert value(made, "drive.final_drive_torque") == pytest.approx(180 * FIRST)
    assert value(made, "drive.final_drive_torque_used") == pytest.approx(180 / 146)
    assert value(made, "drive.half_shaft_torque") == pytest.approx(180 * FIRST * FINAL * 0.94 / 2)
    assert value(made, "drive.half_shaft_torque_used") == pytest.approx(180 / 146)
    assert value(made, "drive.coupling_torque_used") == pytest.approx(180 / 320)
    assert value(made, "drive.coast_torque_used") == pytest.approx(260 / (0.7 * 146))


def test_ratings_stand_before_what_the_old_engine_gave() -> None:
    made = dossier({"donor.drive_line.final_drive_torque": "1000 N·m", "donor.drive_line.coast_share": "80 %"})
    assert value(made, "drive.final_drive_torque_used") == pytest.approx(180 * FIRST / 1000)
    assert value(made, "drive.coast_torque_used") == pytest.approx(260 * FIRST / 800)
    assert "half shafts" in found(made, "drive.old_engine_torque").detail
    assert "final drive and" not in found(made, "drive.old_engine_torque").detail


def test_backwards_by_the_motor_the_coast_side_gets_the_whole_torque() -> None:
    motor = {"drive.gearing.reverse": "motor"}
    assert value(dossier(motor), "drive.coast_torque_used_reverse") == pytest.approx(180 / (0.7 * 146))
    less = dossier(motor | {"drive.gearing.reverse_torque": "60 N·m"})
    assert value(less, "drive.coast_torque_used_reverse") == pytest.approx(60 / (0.7 * 146))
    assert "drive.coast_torque_reverse" not in keys(less)


def test_a_motor_that_does_not_brake_loads_no_coast_side() -> None:
    made = dossier({"drive.regeneration.share": "0 %"})
    assert made.figures["drive.coast_torque_used"].value is None
    assert not {"drive.coast_torque", "drive.braking_torque"} & keys(made)


def test_a_limit_for_driving_does_not_limit_the_braking() -> None:
    made = dossier({"drive.torque_limit": "140 N·m"})
    assert "drive.gearbox_torque" not in keys(made)
    assert found(made, "drive.braking_torque").value == "260 N·m"
    assert found(dossier({"drive.gearing.coupling_torque": "150 N·m"}), "drive.braking_torque").limit == "150 N·m"
    assert found(made, "drive.braking_torque").limit == "152 N·m"  # 80 % of the 190 N·m that the gearbox bears
    used = made.figures["drive.gearbox_torque_used_braking"]
    assert used.value == pytest.approx(260 / 152)
    free = dossier({"drive.torque_limit": None}).figures
    for key in ("drive.regen_power", "brakes.regeneration_braking", "brakes.lock_rear_wet_regen"):
        assert made.figures[key].value == free[key].value, key


def test_a_torque_set_for_braking_gives_its_power_at_a_higher_speed() -> None:
    """Half the torque gives nearly the same power: the motor turns twice as fast where its 90 kW begin."""
    whole, half = (dossier(each) for each in ({}, {"drive.regeneration.torque": "130 N·m"}))
    powers = [each.figures["drive.regen_power"].value or 0.0 for each in (whole, half)]
    assert powers[1] > 0.9 * powers[0] > 60.0


def test_the_current_of_the_inverter_holds_the_braking() -> None:
    small = dossier({"drive.inverter.part": "inverter/430v-300a"})
    assert found(small, "drive.braking_torque").value == "195 N·m"  # 260 N·m at 400 A, of which 300 A


DIRECT = {"drive.gearing": {"way": "direct", "reverse": "motor"}}
AXLE = {"drive.motor.part": "motor/pm-65kw-350v-geared", "drive.gearing": {"way": "axle-drive"}}


@pytest.mark.parametrize(
    ("changes", "ratio"),
    [
        ({}, FIRST),  # gearbox and motor in one piece, the axle by itself
        ({"donor.drive_line.transaxle": True}, FIRST * FINAL),
        ({"donor.drive_line.driven_axle": "front"}, FIRST * FINAL),
        ({"donor.drive_line.driven_axle": "front", "donor.drive_line.transaxle": False}, FIRST),
        ({"drive.gearing.fixed_gear": 2}, 2.14),
        ({"drive.gearing": GEAR_UNIT}, 2.1),
        (DIRECT, 1.0),
    ],
)
def test_what_the_mounts_hold_by_hand(changes: dict[str, Any], ratio: float) -> None:
    made = dossier(changes)
    assert value(made, "drive.mount_torque") == pytest.approx(180 * ratio)
    assert value(made, "drive.mount_force") == pytest.approx(180 * ratio / 0.52)
    old = FIRST * FINAL if ratio > 10 or changes.get("donor.drive_line.transaxle") else FIRST
    assert value(made, "drive.mount_torque_used") == pytest.approx(180 * ratio / (146 * old))


def test_an_axle_drive_does_not_turn_the_old_final_drive() -> None:
    made = dossier(AXLE)
    assert made.figures["drive.final_drive_torque"].value is None
    assert "not driven" in made.figures["drive.final_drive_torque"].reason
    assert value(made, "drive.mount_torque") * 0.94 / 2 == pytest.approx(value(made, "drive.half_shaft_torque"))


@pytest.mark.parametrize(
    "missing", ["drive.motor", "drive.inverter", "donor.drive_line.gearbox.ratios", "donor.drive_line.final_drive"]
)
def test_without_a_part_of_the_drive_figures_say_why(missing: str) -> None:
    made = dossier({missing: None})
    for key in ("final_drive_torque", "half_shaft_torque", "mount_torque", "coast_torque_used"):
        assert made.figures[f"drive.{key}"].value is None
        assert made.figures[f"drive.{key}"].reason


def _grip_by_hand(made: Dossier, grip: float) -> float:
    """Rear axle: μ m g a / (L - μ h), at the radius of the tread. [N·m]"""
    mass, behind, height = (value(made, f"mass.{name}") for name in ("laden", "cg_x_laden", "cg_height_laden"))
    return grip * mass * 9.80665 * behind / (2.42 - grip * height) * RADIUS


def test_torque_that_spins_the_wheels_by_hand() -> None:
    made = dossier()
    for road, grip in (("dry", 0.8), ("wet", 0.4)):
        by_hand = _grip_by_hand(made, grip)
        assert value(made, f"drive.grip_torque_{road}") == pytest.approx(by_hand)
        assert value(made, f"drive.grip_used_{road}") == pytest.approx(180 * FIRST * FINAL * 0.94 / by_hand)
    assert found(made, "drive.wheelspin_dry").limit == f"{_grip_by_hand(made, 0.8):.0f} N·m"


def test_wheels_that_spin_when_wet_only_are_a_note() -> None:
    made = dossier({"drive.torque_limit": "100 N·m"}, search=True)
    assert "drive.wheelspin_dry" not in keys(made)
    assert found(made, "drive.wheelspin_wet").remedies == ()
    assert not {"drive.wheelspin_dry", "drive.wheelspin_wet"} & keys(dossier({"drive.torque_limit": "70 N·m"}))


def test_start_in_the_wet_by_hand() -> None:
    made = dossier()
    behind, height = value(made, "mass.cg_x_laden"), value(made, "mass.cg_height_laden")
    assert value(made, "road.gradient_start_wet") == pytest.approx(100 * 0.4 * behind / (2.42 - 0.4 * height))
    weak = dossier({"drive.torque_limit": "30 N·m"})  # there the torque binds, wet or dry
    assert value(weak, "road.gradient_start_wet") == pytest.approx(value(weak, "road.gradient_start"))
    assert "brief.start_gradient_wet" not in keys(dossier({"donor.drive_line.driven_axle": "both"}))


def test_bump_travel_by_hand() -> None:
    """The springs carry the laden axle less what the donor's axle carried before."""
    made = dossier()
    sunk = (value(made, "mass.rear_axle_laden") - value(made, "mass.rear_axle_before")) * 9.80665 / (2 * 21000)
    assert value(made, "mass.bump_travel_rear") == pytest.approx(105 - 1000 * sunk)
    unknown = dossier({"donor.suspension.rear.bump_travel": None})
    assert "bump_travel" in unknown.figures["mass.bump_travel_rear"].reason
    assert "mass.bump_travel_rear" not in keys(unknown)


def test_a_lighter_trailer_is_offered_for_each_limit() -> None:
    heavy = {"brief.tow": "600 kg", "donor.limits.trailer_braked": "500 kg", "donor.limits.train": "1900 kg"}
    made = dossier(heavy, search=True)
    assert found(made, "towing.trailer_limit").remedies[0].changes == {"brief.tow": "500 kg"}
    assert found(made, "towing.train_limit").remedies[0].changes == {"brief.tow": "560 kg"}


def test_a_gearbox_that_is_locked_in_a_gear_reverses_by_the_motor() -> None:
    """The step that locks it says so: a locked gearbox has no reverse gear."""
    remedy = found(dossier(search=True), "drive.wrong_shift").remedies[0]
    assert remedy.changes == {"drive.gearing.fixed_gear": 4, "drive.gearing.reverse": "motor"}
    assert "reverse by the motor" in remedy.says
    by_motor = dossier({"drive.gearing.reverse": "motor"}, search=True)
    assert found(by_motor, "drive.wrong_shift").remedies[0].changes == {"drive.gearing.fixed_gear": 4}


def test_the_old_gearbox_backwards_by_hand() -> None:
    """80 % of the 190 N·m that it bears forwards; less torque, or its own reverse gear, is the way out."""
    motor = {"drive.gearing.reverse": "motor", "drive.torque_limit": "180 N·m"}
    made = dossier(motor, search=True)
    assert value(made, "drive.gearbox_torque_used_reverse") == pytest.approx(180 / (0.8 * 190))
    less, gear = found(made, "drive.gearbox_coast_reverse").remedies
    assert less.changes == {"drive.gearing.reverse_torque": "150 N·m"}
    assert gear.changes == {"drive.gearing.reverse": "gear"}
    assert gear.changes in [each.changes for each in found(made, "drive.coast_torque_reverse").remedies]
    locked = dossier(motor | {"drive.gearing.fixed_gear": 2}, search=True)
    assert [each.changes for each in found(locked, "drive.gearbox_coast_reverse").remedies] == [less.changes]


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({}, "no motor turns"),
        ({"drive.gearing": {"way": "direct", "reverse": "motor"}}, "no old gearbox"),
        ({"drive.gearing.reverse": "motor", "donor.drive_line.gearbox.torque_max": None}, "torque_max"),
    ],
)
def test_where_the_old_gearbox_is_not_turned_backwards(changes: dict[str, Any], why: str) -> None:
    made = dossier(changes)
    assert made.figures["drive.gearbox_torque_used_reverse"].value is None
    assert why in made.figures["drive.gearbox_torque_used_reverse"].reason
    assert "drive.gearbox_coast_reverse" not in keys(made)
