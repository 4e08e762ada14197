"""Gears, shafts, mounts and grip: against formulas of the trade, statics, and a textbook's worked examples."""

from __future__ import annotations

from math import pi

import pytest

from voltwright.physics import motor

RPM = pi / 30
MPH = 1609.344 / 3600
INCH = 0.0254


@pytest.mark.parametrize(("rpm", "inches", "ratio"), [(6000, 24.0, 4.55), (3360, 26.0, 3.0), (5500, 23.0, 15.4)])
def test_road_speed_in_a_gear(published, rpm: int, inches: float, ratio: float) -> None:
    """The gear makers' rule of thumb: miles an hour are turns times tyre diameter over 336 times the ratio."""
    got = motor.road_speed(turning=rpm * RPM, ratio=ratio, wheel_radius=inches * INCH / 2)
    published.check(
        source="mph = rpm · tyre diameter (in) / (336 · ratio), on gear makers' tables; from memory",
        law="road_speed",
        asked=f"{rpm} rpm, {inches:g} in, {ratio:g} to 1 [mph]",
        expected=rpm * inches / (336 * ratio),
        got=got / MPH,
        rel=0.0005,
        why="336 is 336.14 rounded",
        keys=("drive.speed_in_gear", "drive.reverse_speed"),
    )
