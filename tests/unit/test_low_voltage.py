"""The low-voltage side: sums by hand, and what moves which figure."""

from __future__ import annotations

from typing import Any

import pytest

from helpers import dossier, example
from voltwright.rules.dossier import Dossier

LOADS = [
    {"name": "lamps", "power": "100 W", "use": "20 %"},
    {"name": "horn", "power": "60 W", "use": "1 %", "short": True},
    {"name": "vacuum pump", "power": "120 W", "use": "10 %", "short": True},
    {"name": "fridge", "power": "40 W", "use": "50 %", "when": "always"},
    {"name": "cable lock", "power": "10 W", "use": "100 %", "when": "charging"},
    {"name": "tracker", "power": "0.6 W", "use": "100 %", "when": "standing"},
]


def value(made: Dossier, key: str) -> float:
    found = made.figures[f"wiring.{key}"].value
    assert found is not None, made.figures[f"wiring.{key}"].reason
    return found


def coupe(changes: dict[str, Any] | None = None) -> Dossier:
    return dossier({"loads_12v": LOADS} | (changes or {}))


# Of the coupé: two coils of 6 W, BMS 6 W, isolation monitor 2 W, pump 30 W, fan 90 W; by assumption (middles) inverter 16.5 W,
# cabin heater 5 W, instruments 12.5 W, charger 9.5 W, precharge coil 3 W for 0.5 %, fan for a quarter of the time.
AWAKE = 2 * 6 + 6 + 2 + 30 + 12.5
REFILL = 45 * 0.85 * 14 / 10


def test_sums_of_the_coupe_by_hand() -> None:
    made = coupe()
    night = AWAKE + 90 + 3 * 0.005 + 16.5 + 5 + 100 + 60 * 0.01 + 120 * 0.1 + 40 + REFILL
    plugged = AWAKE + 90 + 3 * 0.005 + 9.5 + 40 + 10 + 0.6 + REFILL
    mean = AWAKE + 90 * 0.25 + 3 * 0.005 + 16.5 + 5 + 100 * 0.2 + 60 * 0.01 + 120 * 0.1 + 40 * 0.5
    most = AWAKE + 90 + 3 + 16.5 + 5 + 100 + 60 + 120 + 40 + REFILL
    assert value(made, "dcdc_power") == pytest.approx(night)
    assert value(made, "dcdc_power_charging") == pytest.approx(plugged)
    assert value(made, "dcdc_power_mean") == pytest.approx(mean)
    assert value(made, "dcdc_power_all") == pytest.approx(most)
    assert value(made, "dcdc_reserve") == pytest.approx(100 * (1 - night / 1500))
    assert value(made, "dcdc_from_battery") == 0
    assert value(made, "dcdc_current") == pytest.approx(1500 / 14)


def test_standing_of_the_coupe_by_hand() -> None:
    made = coupe()
    watts = 0.6 + 40 * 0.5 + (0.03 + 0.4) / 2 + (0.06 + 0.36) / 2
    assert value(made, "standing_current") == pytest.approx(1000 * watts / 12)
    loss = 45 * 0.85 * 0.02 / (30.4375 * 24)
    hours = 45 * 0.85 * (0.925 - 0.2) / (watts / 12 + loss)
    assert value(made, "standing_days") == pytest.approx(hours / 24)
    assert value(made, "standing_days_half") == pytest.approx(hours / 24 * (0.925 - 0.5) / (0.925 - 0.2))


def test_the_battery_alone_by_hand() -> None:
    made = coupe()
    night = value(made, "dcdc_power") - REFILL
    hours = 0.725 * 20 * (45 * 0.85 / (night / 12 * 20)) ** 1.1
    assert value(made, "battery_time") == pytest.approx(hours)
    assert value(made, "battery_needed") == pytest.approx((46 * 2 + 60 / 12) / 12 / 0.725)


def test_charging_counts_where_it_is_more() -> None:
    heated = [*LOADS, {"name": "heating pad", "power": "900 W", "use": "30 %", "when": "charging"}]
    made = coupe({"loads_12v": heated})
    assert value(made, "dcdc_power") == value(made, "dcdc_power_charging") > 1000


def test_usual_loads_are_assumed_where_none_is_named() -> None:
    none, standing = dossier({"loads_12v": []}), dossier({"loads_12v": LOADS[-1:]})
    assert value(none, "dcdc_power") > value(dossier(), "dcdc_power")  # lamps and wipers alone
    assert value(standing, "dcdc_power") == value(none, "dcdc_power")
    assert "Head lamps, dipped" in {each.label for each in none.assumptions}
    assert "Head lamps, dipped" not in {each.label for each in coupe().assumptions}


def test_a_vacuum_servo_needs_a_pump_unless_it_is_named() -> None:
    without = [each for each in LOADS if each["name"] != "vacuum pump"]
    assert value(coupe({"loads_12v": without}), "dcdc_power_all") == pytest.approx(
        value(coupe(), "dcdc_power_all") - 120 + 125
    )
    none = coupe({"loads_12v": without, "donor.brakes.servo": "none"})
    assert value(none, "dcdc_power_all") == pytest.approx(value(coupe(), "dcdc_power_all") - 120)
    electric = coupe({"loads_12v": without, "donor.brakes.servo": "electric"})
    assert value(electric, "dcdc_power_all") == pytest.approx(value(none, "dcdc_power_all") + 425)


def test_two_converters_and_two_batteries() -> None:
    one, two = coupe(), coupe({"low_voltage.dc_dc.count": 2, "low_voltage.battery.count": 2})
    assert value(two, "dcdc_current") == pytest.approx(2 * value(one, "dcdc_current"))
    assert value(two, "battery_capacity") == pytest.approx(2 * value(one, "battery_capacity"))
    assert value(two, "standing_days") > 1.9 * value(one, "standing_days")


def test_parked_on_the_converter_the_pack_is_drained() -> None:
    made = coupe({"low_voltage.parked": "dc-dc"})
    watts = value(made, "standing_current") / 1000 * 12 / 0.93 + 3
    energy = made.figures["pack.energy_gross"].value
    assert energy is not None
    assert value(made, "standing_days_pack") == pytest.approx(energy * 1000 * (0.60 - 0.08) / watts / 24)
    assert made.figures["wiring.standing_days"].value is None
    assert coupe().figures["wiring.standing_days_pack"].value is None


@pytest.mark.parametrize(
    ("taken", "missing"),
    [
        ("low_voltage.dc_dc", {"dcdc_reserve", "dcdc_from_battery", "dcdc_current"}),
        ("low_voltage.battery", {"battery_time", "battery_capacity", "battery_needed", "standing_days", "standing_days_half"}),
    ],
)  # fmt: skip
def test_without_a_device_its_figures_say_why(taken: str, missing: set[str]) -> None:
    made = coupe({taken: None})
    wiring = {key.removeprefix("wiring."): each for key, each in made.figures.items() if key.startswith("wiring.")}
    lacking = {key for key, each in wiring.items() if each.value is None and key != "standing_days_pack"}
    assert lacking >= missing
    assert all(wiring[key].reason for key in lacking)
    assert value(made, "dcdc_power") > 0


@pytest.mark.parametrize("name", ["coupe", "roadster", "van"])
def test_the_examples_have_believable_figures(name: str) -> None:
    """Common practice, no source: a wet night takes 250 to 600 W, a parked car 20 to 120 mA."""
    made = dossier({}, name)
    assert 250 < value(made, "dcdc_power") < 600
    assert 20 < value(made, "standing_current") < 120
    assert value(made, "dcdc_power_mean") < value(made, "dcdc_power") < value(made, "dcdc_power_all")


def test_a_bms_that_never_sleeps_shortens_the_days() -> None:
    raw = dict(example().shelf._raw["bms/12ch-500v"]) | {"standing_power": "6 W"}
    awake = dossier({"loads_12v": LOADS[:1]}, shelf=example().shelf.with_own({"bms/12ch-500v": raw}))
    assert value(awake, "standing_days") < 5 < value(dossier({"loads_12v": LOADS[:1]}), "standing_days")
