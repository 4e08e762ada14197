"""Gears, shafts, mounts and grip: against formulas of the trade, statics, and a textbook's worked examples."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest

from helpers import dossier
from voltwright.physics import drive_line, motor, road_load

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


def test_force_on_the_mounts(published) -> None:
    """Two unknown forces on a casing that weighs nothing: their sum is nothing, their moment is the torque."""
    left, right = 0.21, -0.31
    forces = np.linalg.solve(np.array([[1.0, 1.0], [left, right]]), np.array([0.0, 868.4]))
    published.check(
        source=f"statics of a rigid casing on two mounts, numpy {np.__version__}, linalg.solve",
        law="mount_force",
        asked="868.4 N·m on mounts 0.52 m apart, not in the middle [N]",
        expected=abs(float(forces[0])),
        got=drive_line.mount_force(torque=868.4, spacing=0.52),
        rel=1e-12,
        why="the same couple",
        keys=("drive.mount_force",),
    )


def test_coast_side_that_is_assumed(published) -> None:
    node = dossier().figures["drive.coast_torque_used"].node
    assert node is not None
    coast = node.inputs["rated"]
    published.check(
        source="common practice, no source: the coast side of hypoid gears bears about 70 % of the drive side",
        law="coast_side",
        asked="share where nobody entered one [1]",
        expected=0.7,
        got=float(coast.value) / float(coast.inputs["bears"].value),
        absolute=0.1,
        why="60 to 80 % are said",
        keys=("drive.coast_torque_used", "drive.coast_torque_used_reverse"),
    )


POUND = 0.45359237
GILLESPIE = "Gillespie, Fundamentals of Vehicle Dynamics (1992), ch. 2, example problem {}; from memory, its data too"


# Loads of the axles, height of the centre of gravity and wheelbase, with a grip of 0.62; the rear axle has a locking differential.
@pytest.mark.parametrize(
    ("driven", "problem", "pounds", "inches", "push", "acceleration"),
    [
        ("rear", "3, with a locking differential", (2100, 1850), (21, 108), 1305.0, 0.33),
        ("front", "4", (1950, 1150), (19, 105), 1087.0, 0.35),
    ],
)
def test_traction_limit(
    published,
    driven: str,
    problem: str,
    pounds: tuple[int, int],
    inches: tuple[int, int],
    push: float,
    acceleration: float,
) -> None:
    whole, (height, base) = sum(pounds), (each * INCH for each in inches)
    car = {"mass": whole * POUND, "gravity": 9.80665, "grade": 0.0, "wheelbase": base, "height": height}
    limit = {"rear": road_load.traction_limit_rear, "front": road_load.traction_limit_front}[driven]
    force = limit(grip=0.62, behind_front=base * pounds[1] / whole, **car)
    for asked, expected, got, near in (
        ("greatest force at the tread [lb]", push, force / (POUND * 9.80665), 1.0),
        ("greatest acceleration [g]", acceleration, force / (whole * POUND * 9.80665), 0.005),
    ):
        published.check(
            source=GILLESPIE.format(problem),
            law=f"traction_limit_{driven}",
            asked=asked,
            expected=expected,
            got=got,
            absolute=near,
            why="as many digits as are remembered",
            keys=("drive.grip_torque_dry", "drive.grip_torque_wet"),
        )
