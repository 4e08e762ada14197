"""Motor, inverter and gears that do not belong together: both ways round, by hand, and what puts them right."""

from __future__ import annotations

from typing import Any

import pytest

from helpers import dossier, keys
from voltwright.rules.dossier import Dossier
from voltwright.rules.finding import Finding

SERIES, CHOPPER = "motor/series-22kw-96v", "inverter/direct-180v-650a"
GEARED = "motor/pm-45kw-144v-geared"
GEAR_UNIT = {"way": "gear-unit", "gear_unit": {"part": "gear-unit/single-speed-2.1", "x": "0.7 m", "z": "0.4 m"}}


def found(made: Dossier, key: str) -> Finding:
    return next(each for each in made.findings if each.key == key)


@pytest.mark.parametrize(
    ("motor", "inverter"), [(SERIES, "inverter/180v-450a"), ("motor/induction-35kw-120v", CHOPPER)]
)
def test_each_kind_of_motor_wants_its_own_kind_of_inverter(motor: str, inverter: str) -> None:
    said = found(
        dossier({"drive.motor.part": motor, "drive.inverter.part": inverter}, "van", search=True),
        "drive.motor_inverter",
    )
    assert said.severity == "stop"
    assert motor in said.detail
    assert inverter in said.detail
    assert "drive.inverter.part" in said.remedies[0].changes


def test_a_series_wound_motor_on_a_chopper_is_right() -> None:
    made = dossier({"drive.motor.part": SERIES, "drive.inverter.part": CHOPPER}, "van")
    assert "drive.motor_inverter" not in keys(made)


def test_a_pair_that_is_not_whole_is_not_judged() -> None:
    assert not {"drive.motor_inverter", "drive.two_reductions"} & keys(dossier({"drive.motor": None}, "van"))
    assert "drive.motor_inverter" not in keys(dossier({"drive.inverter": None}, "van"))


def test_torque_of_a_geared_motor_into_the_old_gearbox_by_hand() -> None:
    """110 N·m times 7.4 into a gearbox that bears 150 N·m."""
    said = found(dossier({"drive.motor.part": GEARED}, "van", search=True), "drive.two_reductions")
    assert (said.severity, said.limit, said.value) == ("stop", "150 N·m", "814 N·m")
    alone, other = said.remedies
    assert alone.changes == {"drive.gearing.way": "axle-drive", "drive.gearing.reverse": "motor"}
    assert "drive.motor.part" in other.changes


@pytest.mark.parametrize(
    ("gearing", "behind"),
    [({"way": "direct"}, "the old final drive"), (GEAR_UNIT, "the gear unit")],
)
def test_no_reduction_goes_before_a_gear_unit_or_the_final_drive(gearing: dict[str, Any], behind: str) -> None:
    said = found(dossier({"drive.motor.part": GEARED, "drive.gearing": gearing}, "van"), "drive.two_reductions")
    assert behind in said.title


def test_a_geared_motor_at_the_axle_is_right() -> None:
    gearing = {"way": "axle-drive", "reverse": "motor"}
    assert "drive.two_reductions" not in keys(dossier({"drive.motor.part": GEARED, "drive.gearing": gearing}, "van"))
