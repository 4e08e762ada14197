"""Figures of whole builds: what follows what, and what is said where a figure cannot be given."""

from __future__ import annotations

from decimal import Decimal

import pytest

from helpers import dossier, example, keys


def value(made, key: str) -> float:
    found = made.figures[key].value
    assert found is not None, made.figures[key].reason
    return found


def test_a_car_from_which_nothing_comes_and_into_which_nothing_goes_keeps_its_axles() -> None:
    bare = dict.fromkeys(
        ("donor.removed", "extras", "fitted", "low_voltage", "comfort", "charging", "drive.motor", "drive.inverter")
    )
    made = dossier(bare | {"pack.boxes": [], "brief.seats": 1, "brief.load": "0 kg"})
    assert value(made, "mass.kerb") == pytest.approx(1012)
    assert value(made, "mass.front_axle") == pytest.approx(536)
    assert value(made, "mass.rear_axle") == pytest.approx(476)
    assert value(made, "mass.ride_height_front") == pytest.approx(0, abs=1e-9)
    assert value(made, "mass.spring_factor_rear") == pytest.approx(1)


def test_moving_a_box_moves_its_moment_and_nothing_else() -> None:
    base, moved = dossier(), dossier({"pack.boxes.1.x": "2.22 m"})
    box = 8 * 13.2 + 14
    assert value(moved, "mass.kerb") == pytest.approx(value(base, "mass.kerb"))
    assert value(base, "mass.rear_axle") - value(moved, "mass.rear_axle") == pytest.approx(box * 0.5 / 2.42)
    assert value(moved, "mass.cg_height") == pytest.approx(value(base, "mass.cg_height"))


def test_a_box_to_the_left_pulls_the_centre_to_the_left() -> None:
    made = dossier({"pack.boxes.1.y": "0.20 m", "donor.cg_left": "0 m"})
    assert value(made, "mass.cg_y") == pytest.approx(
        ((8 * 13.2 + 14) * 0.2 - (15 - 14) * 0.45) / value(made, "mass.kerb")
    )


def test_the_order_of_things_does_not_matter() -> None:
    removed = [dict(each) for each in example().document.root["donor"]["removed"]]
    plain = [
        {name: str(known["value"]) if isinstance(known, dict) else str(known) for name, known in each.items()}
        for each in removed
    ]
    forwards, backwards = dossier({"donor.removed": plain}), dossier({"donor.removed": plain[::-1]})
    for key in ("mass.kerb", "mass.cg_x", "mass.cg_height", "mass.rear_axle_laden"):
        assert value(forwards, key) == pytest.approx(value(backwards, key), rel=1e-12)


def test_one_axle_is_enough_and_none_is_assumed_with_a_band() -> None:
    one = dossier({"donor.axles.rear": None})
    assert value(one, "mass.rear_axle_before") == pytest.approx(476)
    none = dossier({"donor.axles": None}, with_bands=True)
    figure = none.figures["mass.front_axle_before"]
    assert figure.value == pytest.approx(0.53 * 1012)
    assert figure.low is not None
    assert figure.high is not None
    assert figure.high - figure.low > 40
    assert any("front axle" in each.label for each in none.assumptions)


def test_height_by_lifting_replaces_the_assumed_height() -> None:
    lift = {"angle": "12 °", "load_gain": "18 kg", "wheel_radius": "300 mm"}
    made = dossier({"donor.cg_lift": lift})
    assert value(made, "mass.cg_height_before") == pytest.approx(0.300 + 2.42 * 18 / (1012 * 0.21255656), rel=1e-6)


def test_a_wheel_rate_beats_a_bounce() -> None:
    soft = dossier({"donor.suspension.rear.wheel_rate": None, "donor.suspension.rear.bounce_frequency": "1.2 Hz"})
    softer = 21000 / ((2 * 3.14159265 * 1.2) ** 2 * (476 - 98) / 2)
    assert value(soft, "mass.ride_height_rear") == pytest.approx(softer * value(dossier(), "mass.ride_height_rear"))


def test_what_cannot_be_known_is_null_with_a_reason() -> None:
    made = dossier({"donor.limits.gross": None, "donor.tyres.front": "5.60-13", "drive.motor": None})
    for key, words in {
        "mass.payload_left": "donor.limits.gross",
        "mass.tyre_reserve_front": "load index",
        "pack.full_power_lost_below": "no motor",
    }.items():
        figure = made.figures[key]
        assert figure.value is None
        assert words in figure.reason
        assert figure.printed() == "no figure"


def test_a_missing_price_is_said_and_never_counted_as_nothing() -> None:
    made = dossier({"pack.protection.isolation_monitor": "isolation-monitor/1000v"})
    assert made.figures["cost.parts"].value is None
    assert made.figures["cost.price_with_tax"].value is None
    assert "isolation-monitor/1000v" in made.figures["cost.parts"].reason
    assert "cost.price_missing" in keys(made)
    mended = dossier(
        {
            "pack.protection.isolation_monitor": "isolation-monitor/1000v",
            "costing.prices": {"isolation-monitor/1000v": "310.00 EUR"},
        }
    )
    assert value(mended, "cost.parts") == pytest.approx(value(dossier(), "cost.parts") + 310 - 210)


def test_no_hourly_rate_leaves_labour_and_the_sums_open() -> None:
    made = dossier({"costing.labour_rate": None})
    assert made.figures["cost.labour"].value is None
    assert "labour_rate" in made.figures["cost.labour"].reason
    assert made.figures["cost.price"].value is None
    assert made.figures["cost.parts"].value is not None


def test_another_currency_needs_its_rate() -> None:
    pounds = {"currency": "GBP", "costing.labour_rate": "55 GBP/h", "costing.purchases": [], "brief.price": None}
    assert "cost.price_missing" in keys(dossier(pounds))
    made = dossier(pounds | {"costing.exchange": {"EUR": 0.86}})
    node = made.figures["cost.parts"].node
    assert node is not None
    assert isinstance(node.value, Decimal)
    assert made.figures["cost.parts"].unit.spelling == "GBP"
    assert value(made, "cost.parts") == pytest.approx(
        0.86 * (value(dossier({"costing.purchases": []}), "cost.parts")), abs=0.2
    )


def test_a_second_string_doubles_current_and_halves_resistance() -> None:
    one = {"pack.parallel": 1, "pack.boxes.0.modules": 4, "pack.boxes.1.modules": 4}
    single, double = dossier(one), dossier()
    assert value(double, "pack.capacity") == pytest.approx(2 * value(single, "pack.capacity"))
    assert value(double, "pack.resistance") == pytest.approx(value(single, "pack.resistance") / 2)
    assert value(double, "pack.voltage_nominal") == pytest.approx(value(single, "pack.voltage_nominal"))


def test_worn_modules_hold_less_and_resist_more() -> None:
    worn = dossier({"pack.condition": {"health": "80 %", "resistance_growth": 1.5}})
    assert value(worn, "pack.capacity") == pytest.approx(80)
    assert value(worn, "pack.energy_gross") == pytest.approx(0.8 * 35.52)
    assert (
        value(dossier(), "pack.resistance") < value(worn, "pack.resistance") < 1.5 * value(dossier(), "pack.resistance")
    )


def test_the_cold_takes_power() -> None:
    powers = [
        value(dossier({"duty.climate.coldest": f"{each} °C"}), "pack.power_empty_cold") for each in (15, 0, -10, -20)
    ]
    assert powers == sorted(powers, reverse=True)
    assert powers[-1] < 0.6 * powers[0]


def test_a_part_without_a_mass_is_assumed_light_and_said() -> None:
    bare = {"id": "inlet/bare", "kind": "inlet", "title": "Inlet without a mass", "source": "typical-practice", "grade": "invented",
            "standard": "iec-62196-type-2", "phases": 1, "current_ac_max": "32 A"}  # fmt: skip
    shelf = example().shelf.with_own({"inlet/bare": bare})
    made = dossier({"fitted": [{"part": "inlet/bare", "x": "1 m", "z": "0.4 m"}]}, with_bands=True, shelf=shelf)
    without = dossier({"fitted": None})
    assert value(made, "mass.added") - value(without, "mass.added") == pytest.approx(1.6)
    assert any("states no mass" in each.reason for each in made.assumptions)


def test_the_units_of_the_contract_stay_whatever_the_reader_prefers() -> None:
    uk, metric = dossier(system="uk"), dossier()
    assert uk.as_data()["figures"] == metric.as_data()["figures"]
    assert metric.figures["mass.kerb"].printed("uk").endswith(" lb")
