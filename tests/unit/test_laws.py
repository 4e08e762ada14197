"""Laws against their own algebra: that one undoes another, or keeps what it must. No source says these numbers."""

from __future__ import annotations

import pytest

from voltwright.physics import brakes, charging, drive_line, mass
from voltwright.quantity.table import Curve, Grid

KMH, HOUR = 1 / 3.6, 3600.0
POUND_FORCE, INCH, FOOT_POUND = 4.4482216152605, 0.0254, 1.3558179483314


def test_the_mean_deceleration_of_a_stop_is_the_one_that_it_was_made_with() -> None:
    """(vb² − ve²) / (25.92 (se − sb)) between 0.8 and 0.1 of the first speed, as brake tests reckon it."""
    v, slowing = 100.0, 5.3
    vb, ve = 0.8 * v, 0.1 * v
    to_stop = [brakes.stopping_distance(speed=each * KMH, delay=0.0, slowing=slowing) for each in (v, vb, ve)]
    begun, ended = to_stop[0] - to_stop[1], to_stop[0] - to_stop[2]
    assert (vb**2 - ve**2) / (25.92 * (ended - begun)) == pytest.approx(slowing, rel=1e-9)


def test_with_the_share_that_suits_both_axles_use_as_much_grip_as_the_braking() -> None:
    base, behind, high, braking = 2.87, 1.27, 0.51, 0.5
    along, up = {"wheelbase": base, "behind_front": behind}, {"wheelbase": base, "height": high}
    share = brakes.load_under_braking(load=brakes.front_load(**along), braking=braking, moved=brakes.load_moved(**up))
    rear = brakes.load_under_braking(load=brakes.rear_load(**along), braking=braking, moved=brakes.load_lost(**up))
    assert brakes.adhesion_used(braking=braking * share, load=share) == pytest.approx(braking)
    assert brakes.adhesion_used(braking=braking * (1 - share), load=rear) == pytest.approx(braking)


@pytest.mark.parametrize(("torque", "ratio"), [(260.0, 3.34), (95.0, 17.5), (180.0, 0.82)])
def test_a_gear_without_loss_passes_the_power_on(torque: float, ratio: float) -> None:
    after = drive_line.torque_after_gear(torque=torque, ratio=ratio)
    assert after * (100.0 / ratio) == pytest.approx(torque * 100.0)


def test_torque_of_a_force_at_the_tread() -> None:
    """1305 lbf at 13 in: 1413.75 lbf·ft."""
    got = drive_line.torque_of_grip(force=1305 * POUND_FORCE, wheel_radius=13 * INCH)
    assert got / FOOT_POUND == pytest.approx(1413.75, rel=1e-9)


def test_the_bump_stop_comes_nearer_by_what_the_spring_gives() -> None:
    """215 kg more on two springs of 21 N/mm are 50.2 mm: of 105 mm 54.8 mm are left."""
    sunk = mass.ride_height_change(before=378.0, after=593.0, gravity=9.80665, wheel_rate=21000.0)
    assert 1000 * mass.travel_left(before=0.105, change=sunk) == pytest.approx(54.80, abs=0.01)


@pytest.mark.parametrize("difference", [0.0, 37.0, -80.0])
def test_an_open_differential_passes_the_power_on(difference: float) -> None:
    """Whatever one wheel turns faster than the other: crown wheel and shafts turn with ω_l + ω_r = 2 ω."""
    crown, axle = 100.0, 3183.6
    each = drive_line.half_shaft_torque(axle=axle)
    assert each * (crown + difference) + each * (crown - difference) == pytest.approx(axle * crown)


def test_a_charge_stops_where_it_is_told() -> None:
    """60 % of 50 Ah at 20 A are an hour and a half."""
    pack = charging.pack_source(
        cells_series=1.0, cells_parallel=1.0, growth=1.0, links=0.0, temperature=298.15,
        table=Curve((0.0, 1.0), (3.4, 4.15)), resistances=Grid((0.0, 1.0), (273.15, 323.15), ((4e-3, 4e-3), (4e-3, 4e-3))),
    )  # fmt: skip
    limits = charging.charge_limits(current=20.0, power=1e9, voltage=4.25)
    got = charging.charging_time(start=0.2, end=0.8, capacity=50 * HOUR, limits=limits, pack=pack)
    assert got == pytest.approx(1.5 * HOUR)


def test_range_gained_in_an_hour() -> None:
    """20 kWh at 160 Wh/km are 125 km; in 2.5 h that is 50 km for each hour."""
    got = charging.range_per_time(energy=20e3 * HOUR, consumption=160.0 * 3.6, time=2.5 * HOUR)
    assert got * 3.6 == pytest.approx(50.0)
