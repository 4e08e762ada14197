"""Brakes: what the figures and checks say of cars that the examples are not."""

from __future__ import annotations

import math
from typing import Any

import pytest

from helpers import dossier, keys
from voltwright.rules.dossier import Dossier

G = 9.80665


def value(made: Dossier, key: str) -> float:
    found = made.figures[f"brakes.{key}"].value
    assert found is not None, made.figures[f"brakes.{key}"].reason
    return found


def severity(made: Dossier, key: str) -> str | None:
    return next((each.severity for each in made.findings if each.key == key), None)


def test_the_coupe_by_hand() -> None:
    """Laden: 1333 kg, 1.254 m behind the front axle, 0.486 m up, wheelbase 2.42 m, front brakes 68 %, 2800 N when parked."""
    made = dossier()
    front, moved = 1 - 1.254 / 2.42, 0.486 / 2.42
    assert value(made, "rear_first_above_laden") == pytest.approx((0.68 - front) / moved, abs=0.01)
    assert value(made, "adhesion_front_laden") == pytest.approx(0.34 / (front + 0.5 * moved), abs=0.002)
    assert value(made, "adhesion_rear_laden") == pytest.approx(0.16 / (1 - front - 0.5 * moved), abs=0.002)
    sine = 2800 / (1333 * G)
    assert value(made, "hold_gradient") == pytest.approx(100 * math.tan(math.asin(sine)), abs=0.05)


def _foot_off(changes: dict[str, Any]) -> tuple[float, str]:
    figure = dossier(changes).figures["brakes.regeneration_braking"]
    assert figure.value is not None
    return figure.value, figure.label.rpartition(", limited by ")[2]


def test_the_wheels_that_the_motor_brakes_hold_no_more_than_their_grip() -> None:
    """The axle loads of the car with its driver are solved from two other figures; the rear loses load, the front gains it."""
    made = dossier()
    at, used = value(made, "rear_first_above_empty"), value(made, "adhesion_front_empty")
    moved = (0.68 - 0.34 / used) / (at - 0.5)
    rear = 1 - (0.68 - at * moved)
    grip = "the grip of the driven tyres"
    assert _foot_off({}) == (pytest.approx(0.8 * rear / (1 + 0.8 * moved) * G, abs=0.01), grip)
    front, limit = _foot_off({"donor.drive_line.driven_axle": "front"})
    all_wheels, by_pack = _foot_off({"donor.drive_line.driven_axle": "both"})
    assert by_pack == "what the pack takes"
    assert (front, limit) == (pytest.approx(min(0.8 * (1 - rear) / (1 - 0.8 * moved) * G, all_wheels), abs=0.01), limit)
    assert _foot_off({"drive.regeneration.torque": "30 N·m"})[1] == "the torque of the motor"


def test_a_strong_parking_brake_slides_facing_down() -> None:
    """The rear axle, which the slope unloads then, on a grip of 0.8: 0.8 · a / (L + 0.8 · h)."""
    made = dossier({"donor.brakes.parking_force": "9000 N"})
    assert value(made, "hold_gradient") == pytest.approx(100 * 0.8 * 1.254 / (2.42 + 0.8 * 0.486), abs=0.1)
    front = dossier({"donor.brakes.parking_force": "9000 N", "donor.brakes.parking": "front-cable"})
    assert value(front, "hold_gradient") == pytest.approx(100 * 0.8 * (2.42 - 1.254) / (2.42 + 0.8 * 0.486), abs=0.1)
    every = dossier({"donor.brakes.parking_force": "99999 lbf".replace("99999", "10000"), "donor.brakes.parking": "transmission",
                     "donor.drive_line.driven_axle": "both"})  # fmt: skip
    assert value(every, "hold_gradient") == pytest.approx(80.0, abs=0.1)


def test_a_parking_brake_on_the_gearbox_goes_with_it() -> None:
    kept = {"donor.brakes.parking": "transmission"}
    assert "brakes.parking_missing" not in keys(dossier(kept))
    gone = dossier(kept | {"drive.gearing": {"way": "direct"}})
    assert severity(gone, "brakes.parking_missing") == "stop"
    assert gone.figures["brakes.hold_gradient"].value is None


def test_a_slope_that_the_customer_asks() -> None:
    assert "brakes.hold_gradient" not in keys(dossier())
    assert severity(dossier({"brief.park_gradient": "25 %"}), "brakes.hold_gradient") == "caution"


def test_a_limiting_valve_lets_the_front_lock_first() -> None:
    rear_heavy = {"donor.brakes.front_share": "60 %"}
    valve = rear_heavy | {"donor.brakes.limiting_valve": True, "donor.brakes.valve_from": "0.3"}
    before, after = dossier(rear_heavy), dossier(valve)
    assert "brakes.rear_first_laden" in keys(before)
    assert "brakes.rear_first_laden" not in keys(after)
    assert value(after, "adhesion_rear_laden") < value(before, "adhesion_rear_laden")
    assert value(after, "adhesion_front_laden") > value(before, "adhesion_front_laden")
    assert "brakes.rear_first_laden" in keys(dossier(valve | {"donor.brakes.valve_from": "0.9"}))  # closes too late


def test_much_regeneration_in_the_wet_is_a_stop() -> None:
    assert severity(dossier(), "brakes.wet_regeneration") == "caution"
    assert severity(dossier({"drive.regeneration.share": "90 %"}), "brakes.wet_regeneration") == "stop"
    none = dossier({"drive.regeneration.share": "0 %"})
    assert "brakes.wet_regeneration" not in keys(none)
    assert none.figures["brakes.lock_rear_wet_regen"].reason


def test_a_motor_on_the_front_axle_spares_the_rear() -> None:
    """The front locks first still, and sooner; with all of the braking it locks below the line of the law."""
    made = dossier({"donor.drive_line.driven_axle": "front"})
    assert value(made, "lock_front_wet_regen") < value(made, "lock_front_wet")
    assert value(made, "lock_rear_wet_regen") > value(made, "lock_rear_wet")
    every = dossier({"donor.drive_line.driven_axle": "both"})
    assert value(made, "lock_front_wet_regen") < value(every, "lock_front_wet_regen")


def test_lamps_need_no_switch_where_the_motor_hardly_brakes() -> None:
    pedal = {"braking.lamps": "pedal"}
    assert "brakes.lamps" in keys(dossier(pedal))
    weak = dossier(pedal | {"drive.regeneration.torque": "30 N·m"})
    assert 0.7 < value(weak, "regeneration_braking") < 1.3
    assert "brakes.lamps" not in keys(weak)


@pytest.mark.parametrize(
    ("changes", "reason"),
    [
        ({"drive.motor": None}, "names no motor"),
        ({"donor.tyres.rear": "unknown", "donor.tyres.rear_load_each": "450 kg"}, "no size"),
    ],
)
def test_what_cannot_be_worked_says_why(changes: dict[str, Any], reason: str) -> None:
    made = dossier(changes)
    assert reason in made.figures["brakes.lock_rear_wet_regen"].reason
    assert value(made, "rear_first_above_laden") > 0


def test_iron_that_is_weighed_counts() -> None:
    light, heavy = (dossier({"donor.brakes.front_mass": mass}) for mass in ("6 kg", "16 kg"))
    assert value(light, "descent_temperature_front") > value(heavy, "descent_temperature_front") + 50
    drums = dossier({"donor.brakes.front": "drum", "donor.brakes.front_mass": "12 kg"})
    discs = dossier({"donor.brakes.front_mass": "12 kg"})
    assert value(drums, "descent_temperature_front") > value(discs, "descent_temperature_front")
    assert value(dossier({"donor.brakes.rear_mass": "9 kg"}), "descent_temperature_rear") > value(
        dossier(), "descent_temperature_rear"
    )


def test_an_electric_servo_needs_no_vacuum() -> None:
    made = dossier({"braking.servo": "electric", "braking.vacuum_pump": False})
    assert "brakes.servo_vacuum" not in keys(made)
    assert made.figures["brakes.vacuum_needed"].value is None
    assert value(made, "pedal_factor") > 2
    assert made.figures["wiring.dcdc_power_all"].value != dossier().figures["wiring.dcdc_power_all"].value


def test_lighter_car_without_servo_has_a_lighter_pedal() -> None:
    made = dossier(name="roadster")
    assert value(made, "pedal_factor") < 1
    assert "brakes.pedal" not in keys(made)
