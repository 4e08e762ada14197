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
    assert said.value == f"{turns:.0f} rpm"
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
