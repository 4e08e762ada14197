"""Gears, shafts, mounts and grip: against formulas of the trade, statics, and a textbook's worked examples."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest

from helpers import dossier
from voltwright.physics import drive_line, mass, motor, road_load

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


POUND, FOOT_POUND = 0.45359237, 1.3558179483
GILLESPIE = "Gillespie, Fundamentals of Vehicle Dynamics (1992), ch. 2, example problem {}; from memory, its data too"


def test_traction_limit_of_a_rear_driven_car(published) -> None:
    """2100 lb front, 1850 lb rear, centre of gravity 21 in high, wheelbase 108 in, grip 0.62, locked differential: 1305 lb, 0.33 g."""
    whole = 2100 + 1850
    car = {"mass": whole * POUND, "gravity": 9.80665, "grade": 0.0, "wheelbase": 108 * INCH, "height": 21 * INCH}
    force = road_load.traction_limit_rear(grip=0.62, behind_front=108 * INCH * 1850 / whole, **car)
    for asked, expected, got, near in (
        ("greatest push [lb]", 1305.0, force / (POUND * 9.80665), 1.0),
        ("greatest acceleration [g]", 0.33, force / (whole * POUND * 9.80665), 0.005),
    ):
        published.check(
            source=GILLESPIE.format("3, with a locking differential"),
            law="traction_limit_rear",
            asked=asked,
            expected=expected,
            got=got,
            absolute=near,
            why="as many digits as are remembered",
            keys=("drive.grip_torque_dry", "drive.grip_torque_wet"),
        )


def test_traction_limit_of_a_front_driven_car(published) -> None:
    """1950 lb front, 1150 lb rear, 19 in high, wheelbase 105 in, grip 0.62: 1087 lb, 0.35 g."""
    whole = 1950 + 1150
    car = {"mass": whole * POUND, "gravity": 9.80665, "grade": 0.0, "wheelbase": 105 * INCH, "height": 19 * INCH}
    force = road_load.traction_limit_front(grip=0.62, behind_front=105 * INCH * 1150 / whole, **car)
    for asked, expected, got, near in (
        ("greatest pull [lb]", 1087.0, force / (POUND * 9.80665), 1.0),
        ("greatest acceleration [g]", 0.35, force / (whole * POUND * 9.80665), 0.005),
    ):
        published.check(
            source=GILLESPIE.format("4"),
            law="traction_limit_front",
            asked=asked,
            expected=expected,
            got=got,
            absolute=near,
            why="as many digits as are remembered",
            keys=("drive.grip_torque_dry", "drive.grip_torque_wet"),
        )


def test_torque_of_a_force_at_the_tread(published) -> None:
    """1305 lb at a wheel of 13 in radius: 1413.75 lbf·ft."""
    got = drive_line.torque_of_grip(force=1305 * POUND * 9.80665, wheel_radius=13 * INCH)
    published.check(
        source="by hand: force times arm, in pounds and feet",
        law="torque_of_grip",
        asked="1305 lb at 13 in [lbf·ft]",
        expected=1305 * 13 / 12,
        got=got / FOOT_POUND,
        rel=1e-9,
        why="digits of the pound-foot",
        keys=("drive.grip_torque_dry", "drive.grip_torque_wet"),
    )


def test_bump_travel_by_the_law_of_the_spring(published) -> None:
    """A spring of 21 N/mm a wheel that carries 215 kg more at the axle is 50.2 mm shorter; the stop comes nearer by as much."""
    sunk = mass.ride_height_change(before=378.0, after=593.0, gravity=9.80665, wheel_rate=21000.0)
    published.check(
        source="Hooke's law",
        law="travel_left",
        asked="105 mm before, 215 kg more on two springs of 21 N/mm [mm]",
        expected=105 - 215 * 9.80665 / 42,
        got=1000 * mass.travel_left(before=0.105, change=sunk),
        rel=1e-9,
        why="rounding",
        keys=("mass.bump_travel_front", "mass.bump_travel_rear"),
    )
