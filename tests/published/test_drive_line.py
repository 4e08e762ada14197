"""Gears, shafts, mounts and grip: against formulas of the trade, statics, and a textbook's worked examples."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest

from helpers import dossier
from voltwright.physics import drive_line, motor

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


@pytest.mark.parametrize(("torque", "ratio"), [(260.0, 3.34), (95.0, 17.5), (180.0, 0.82)])
def test_a_gear_without_loss_passes_the_power_on(published, torque: float, ratio: float) -> None:
    """What goes in at 100 rad/s comes out more slowly, and no power is lost on the way."""
    published.check(
        source="conservation of energy: torque times speed is the same on both sides of a gear",
        law="torque_after_gear",
        asked=f"{torque:g} N·m, {ratio:g} to 1 [N·m]",
        expected=torque * 100.0 / (100.0 / ratio),
        got=drive_line.torque_after_gear(torque=torque, ratio=ratio),
        rel=1e-12,
        why="rounding",
        keys=("drive.final_drive_torque", "drive.mount_torque"),
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


def test_half_shafts_of_an_open_differential(published) -> None:
    """Virtual work: crown wheel and shafts with ω_l + ω_r = 2 ω, whatever the difference; both shafts get the same."""
    crown, axle = 100.0, 3183.6
    for difference in (0.0, 37.0, -80.0):
        left, right = crown + difference, crown - difference
        each = drive_line.half_shaft_torque(axle=axle)
        published.check(
            source="virtual work in a bevel differential without friction, any text of mechanisms",
            law="half_shaft_torque",
            asked=f"power of both shafts, one faster by {2 * difference:g} rad/s [W]",
            expected=axle * crown,
            got=each * left + each * right,
            rel=1e-12,
            why="rounding",
            keys=("drive.half_shaft_torque",),
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
