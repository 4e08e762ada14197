"""What the old gears and shafts must bear, and what the tyres hold: each check with a build that fails and one that passes."""

from __future__ import annotations

import math

import pytest

from helpers import dossier, keys

KNOWN = {"donor.drive_line.gearbox.speed_max": "6000 rpm"}


@pytest.mark.parametrize(
    ("key", "failing", "passing"),
    [
        ("drive.gearbox_speed_unknown", {}, KNOWN),
        ("drive.half_shaft_torque", {"donor.drive_line.half_shaft_torque": "900 N·m"}, {"donor.drive_line.half_shaft_torque": "1700 N·m"}),
        ("drive.wet_regeneration", {}, {"drive.regeneration.torque": "40 N·m"}),
        ("brief.top_speed_for_a_while", {"brief.top_speed": "160 km/h"}, {"brief.top_speed": "150 km/h"}),
        ("brief.range_cold", {"brief.range": "200 km"}, {"brief.range": "150 km"}),
    ],
)  # fmt: skip
def test_check(key: str, failing: dict[str, str], passing: dict[str, str]) -> None:
    assert key in keys(dossier(failing))
    assert key not in keys(dossier(passing))


def test_wet_braking_torque_by_hand() -> None:
    """Rear axle: μ m g a / (L + μ h) at the tread, through 94 % and the lowest gear's 13.026 turns."""
    made = dossier({})
    figure = {
        name: float(made.figures[f"mass.{name}"].value or 0) for name in ("laden", "cg_x_laden", "cg_height_laden")
    }
    force = 0.4 * figure["laden"] * 9.80665 * figure["cg_x_laden"] / (2.42 + 0.4 * figure["cg_height_laden"])
    radius = 0.97 * (14 * 0.0254 + 2 * 0.8 * 0.165) / 2
    finding = next(each for each in made.findings if each.key == "drive.wet_regeneration")
    assert finding.limit == f"{force * radius * 0.94 / 13.026:.0f} N·m"


def test_a_lower_setting_of_the_inverter_is_what_the_figures_take() -> None:
    """190 of 260 N·m: torque at the wheels falls in proportion, and the gearbox is content."""
    whole, less = dossier({"drive.torque_limit": None}), dossier({"drive.torque_limit": "190 N·m"})
    ratio = (less.figures["drive.wheel_torque_peak"].value or 0) / (whole.figures["drive.wheel_torque_peak"].value or 1)
    assert ratio == pytest.approx(190 / 260)
    assert "drive.gearbox_torque" in keys(whole)
    assert "drive.gearbox_torque" not in keys(less)


def test_towed_in_the_lowest_gear_by_hand() -> None:
    """80 km/h at 0.30051 m, 13.026 turns: 9198 rpm; 40 V rms by 1000 rpm is 520.3 V crest, above the inverter's 450 V."""
    finding = next(each for each in dossier({}).findings if each.key == "drive.towing")
    turns = 80 / 3.6 / (0.97 * (14 * 0.0254 + 2 * 0.8 * 0.165) / 2) * 13.026 * 30 / math.pi
    assert finding.value == f"{turns / 1000 * 40 * math.sqrt(2):.1f} V"
    assert finding.severity == "caution"
    assert "69 km/h" in finding.detail
