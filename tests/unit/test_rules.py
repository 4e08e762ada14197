"""Each check is passed by one build and failed by another; the remedies of stops put things right."""

from __future__ import annotations

import re
from typing import Any

import pytest

from helpers import changed, dossier, keys
from voltwright.rules.dossier import assess
from voltwright.rules.rule import all_rules

# finding, what makes it appear in the coupé, severity
FAILING: list[tuple[str, dict[str, Any], str]] = [
    ("mass.rear_axle_limit", {"donor.limits.rear_axle": "680 kg"}, "stop"),
    ("mass.front_axle_limit", {"donor.limits.front_axle": "600 kg"}, "stop"),
    ("mass.gross_limit", {"donor.limits.gross": "1300 kg"}, "stop"),
    ("mass.tyre_load_rear", {"donor.tyres.rear": "155/80R13 70S"}, "stop"),
    ("mass.tyre_load_front", {"donor.tyres.front_load_each": "300 kg"}, "stop"),
    ("mass.tyre_unknown_front", {"donor.tyres.front": "165 R 14"}, "caution"),
    ("mass.ride_height_rear", {"donor.suspension.rear.wheel_rate": "12 N/mm"}, "caution"),
    (
        "pack.voltage_limit.inverter",
        {"pack.series": 9, "pack.parallel": 1, "pack.boxes.0.modules": 9, "pack.boxes.1.modules": 0},
        "stop",
    ),
    (
        "pack.voltage_limit.charger",
        {"pack.series": 9, "pack.parallel": 1, "pack.boxes.0.modules": 9, "pack.boxes.1.modules": 0},
        "stop",
    ),
    ("pack.cut_off.inverter", {"pack.series": 5, "pack.boxes.0.modules": 5, "pack.boxes.1.modules": 5}, "caution"),
    ("pack.cut_off.inverter", {"pack.series": 4, "pack.boxes.0.modules": 4, "pack.boxes.1.modules": 4}, "stop"),
    ("pack.current_continuous", {"pack.parallel": 1, "pack.boxes.0.modules": 4, "pack.boxes.1.modules": 4}, "caution"),
    ("pack.full_power", {"pack.bms.current_limit": "200 A"}, "caution"),
    (
        "pack.empty_cold",
        {"duty.climate.coldest": "-19 °C", "pack.parallel": 1, "pack.boxes.0.modules": 4, "pack.boxes.1.modules": 4},
        "caution",
    ),
    (
        "pack.salvaged_unmeasured",
        {"pack.module": "module/nmc-13s-50ah", "pack.series": 7, "pack.boxes.0.modules": 7, "pack.boxes.1.modules": 7},
        "caution",
    ),
    ("bms.missing", {"pack.bms.part": None}, "stop"),
    ("bms.channels", {"pack.bms.boards": 15}, "stop"),
    ("bms.sensors", {"pack.bms.sensors": 31}, "caution"),
    ("cost.labour_missing", {"costing.tasks": None}, "caution"),
    ("pack.voltage_limit.motor", {"drive.motor.part": "motor/pm-25kw-96v"}, "stop"),
    (
        "pack.cut_off.charger",
        {
            "charging.charger.part": "charger/11kw-3ph-350v",
            "pack.series": 6,
            "pack.boxes.0.modules": 6,
            "pack.boxes.1.modules": 6,
        },
        "caution",
    ),
    ("pack.cut_off.dc-dc", {"pack.series": 4, "pack.boxes.0.modules": 4, "pack.boxes.1.modules": 4}, "stop"),
    ("pack.charging_current", {"pack.module": "module/nmc111-12s-30ah", "charging.charger.count": 3}, "stop"),
    (
        "drive.inverter_continuous",
        {
            "drive.inverter.part": "inverter/180v-450a",
            "pack.series": 3,
            "pack.boxes.0.modules": 3,
            "pack.boxes.1.modules": 3,
        },
        "caution",
    ),
    ("pack.cold_discharging", {"duty.climate.coldest": "-30 °C"}, "stop"),
    (
        "drive.back_emf",
        {
            "drive.inverter.part": "inverter/430v-300a",
            "drive.motor.part": "motor/pm-90kw-350v",
            "drive.gearing.fixed_gear": 2,
            "donor.drive_line.gearbox.speed_max": "10000 rpm",
        },
        "stop",
    ),
    ("brief.time_0_100", {"brief.time_0_100": "6 s"}, "caution"),
    ("brief.time_0_50", {"brief.time_0_50": "2 s"}, "caution"),
    ("brief.top_speed", {"brief.top_speed": "230 km/h"}, "caution"),
    ("brief.cruise_speed", {"brief.cruise_speed": "170 km/h"}, "caution"),
    ("brief.start_gradient", {"brief.start_gradient": "70 %"}, "caution"),
    ("protection.strings", {"pack.protection.fuses": 1}, "caution"),
    ("protection.precharge", {"pack.protection.precharge_resistor": None}, "caution"),
    ("protection.isolation_monitor", {"pack.protection.isolation_monitor": None}, "caution"),
    ("data.charger", {"charging.charger": None}, "caution"),
    ("data.cooling", {"fitted": None}, "caution"),
    ("data.kerb_mass", {"donor.mass_kerb": "1012 kg"}, "caution"),
    ("data.place_outside.front_seats", {"donor.seats.0.x": "13.8 m"}, "stop"),
    ("data.wheel_rate_front", {"donor.suspension.front.wheel_rate": "19 N/m"}, "caution"),
    ("fit.box_small.tank", {"pack.boxes.1.height": "90 mm"}, "stop"),
    ("protection.missing", {"pack.protection.fuse": None}, "stop"),
    ("protection.contactors", {"pack.protection.contactors": 1}, "stop"),
    ("electrics.earth", {"donor.electrics.earth": "positive"}, "stop"),
    ("electrics.voltage", {"donor.electrics.voltage": "6 V"}, "stop"),
    ("electrics.dc_dc_missing", {"low_voltage.dc_dc": None}, "caution"),
    ("fit.box_outside.tank", {"pack.boxes.1.x": "3.30 m"}, "stop"),
    ("fit.box_outside.front", {"pack.boxes.0.z": "0.20 m"}, "stop"),
    ("data.axles", {"donor.axles.rear": "540 kg"}, "caution"),
    ("data.axle_front", {"donor.axles.front": "1100 kg"}, "stop"),
    ("data.removed", {"donor.removed.0.mass": "690 kg"}, "stop"),
    ("data.boxes", {"pack.boxes.1.modules": 7}, "stop"),
    ("data.seats", {"brief.seats": 5}, "stop"),
    ("data.limits", {"donor.limits.gross": None}, "caution"),
    ("data.drive", {"drive.inverter": None}, "caution"),
    ("cost.price_missing", {"costing.purchases.0.price": None}, "caution"),
]
PASSING = {
    "drive.gearbox_torque": {"donor.drive_line.gearbox.torque_max": "280 N·m"},
    "brief.price": {"brief.price": "90000 EUR"},
    "mass.payload_seats": {"donor.limits.gross": "1500 kg"},
    "pack.cold_charging": {"duty.climate.coldest": "2 °C"},
}


@pytest.mark.parametrize(("key", "changes", "severity"), FAILING, ids=[each[0] for each in FAILING])
def test_a_build_that_fails(key: str, changes: dict[str, Any], severity: str) -> None:
    assert key not in keys(dossier())
    made = dossier(changes)
    found = next((finding for finding in made.findings if finding.key == key), None)
    assert found is not None, keys(made)
    assert found.severity == severity
    assert found.title
    assert found.detail
    assert found.remedy
    assert made.has_stop or severity != "stop"


@pytest.mark.parametrize("key", PASSING)
def test_a_build_that_passes(key: str) -> None:
    assert key in keys(dossier())
    assert key not in keys(dossier(PASSING[key]))


def test_a_battery_of_a_chemistry_that_the_bms_does_not_know() -> None:
    lfp = {"pack.module": "module/lfp-16s-46ah", "pack.series": 7, "pack.boxes.0.modules": 7, "pack.boxes.1.modules": 7}
    limited = next(
        each for each in ("bms/12ch-500v", "bms/24ch-500v", "bms/16ch-200v") if "lfp" not in _chemistries(each)
    )
    assert "bms.chemistry" in keys(dossier(lfp | {"pack.bms.part": limited}))


def _chemistries(part: str) -> tuple[str, ...]:
    from voltwright.parts.battery import Bms
    from voltwright.parts.shelf import catalogue

    return tuple(catalogue().take(part, Bms).chemistries)


def test_voltage_class_on_both_sides_of_the_limit() -> None:
    assert "pack.voltage_class" in keys(dossier())
    roadster = keys(dossier(name="roadster"))  # 57.6 V at full charge
    assert "pack.voltage_class" not in roadster
    assert "pack.voltage_class_ac" in roadster


# stops whose remedy names what to change: apply it, and the finding goes; one step less, and it stays
def test_moving_a_box_by_the_named_distance_mends_the_axle() -> None:
    tight = {"donor.limits.rear_axle": "690 kg"}
    found = next(each for each in dossier(tight).findings if each.key == "mass.rear_axle_limit")
    shift = float(re.search(r"by at least ([\d.]+) m", found.remedy or "").group(1))  # type: ignore[union-attr]
    assert "mass.rear_axle_limit" not in keys(dossier(tight | {"pack.boxes.1.x": f"{2.72 - shift:.2f} m"}))
    assert "mass.rear_axle_limit" in keys(dossier(tight | {"pack.boxes.1.x": f"{2.72 - shift + 0.01:.2f} m"}))


def test_as_many_boards_as_named_mend_the_channels() -> None:
    found = next(each for each in dossier({"pack.bms.boards": 3}).findings if each.key == "bms.channels")
    boards = int(re.search(r"Fit (\d+) boards", found.remedy or "").group(1))  # type: ignore[union-attr]
    assert "bms.channels" not in keys(dossier({"pack.bms.boards": boards}))
    assert "bms.channels" in keys(dossier({"pack.bms.boards": boards - 1}))


def test_the_named_load_index_mends_the_tyres() -> None:
    found = next(
        each for each in dossier({"donor.tyres.rear": "155/80R13 70S"}).findings if each.key == "mass.tyre_load_rear"
    )
    index = int(re.search(r"load index (\d+)", found.remedy or "").group(1))  # type: ignore[union-attr]
    assert "mass.tyre_load_rear" not in keys(dossier({"donor.tyres.rear": f"155/80R13 {index}S"}))
    assert "mass.tyre_load_rear" in keys(dossier({"donor.tyres.rear": f"155/80R13 {index - 1}S"}))


def test_as_many_modules_as_named_suit_the_inverter() -> None:
    many = {"pack.series": 10, "pack.parallel": 1, "pack.boxes.0.modules": 10, "pack.boxes.1.modules": 0}
    found = next(each for each in dossier(many).findings if each.key == "pack.voltage_limit.inverter")
    fits = int(re.search(r"At most (\d+) modules", found.remedy or "").group(1))  # type: ignore[union-attr]
    assert "pack.voltage_limit.inverter" not in keys(
        dossier(many | {"pack.series": fits, "pack.boxes.0.modules": fits})
    )
    assert "pack.voltage_limit.inverter" in keys(
        dossier(many | {"pack.series": fits + 1, "pack.boxes.0.modules": fits + 1})
    )


def test_moving_a_box_by_the_named_distance_brings_it_inside() -> None:
    found = next(each for each in dossier({"pack.boxes.1.x": "3.30 m"}).findings if each.key == "fit.box_outside.tank")
    by = float(re.search(r"[Mm]ove it forwards by ([\d.]+) m", found.remedy or "").group(1))  # type: ignore[union-attr]
    assert "fit.box_outside.tank" not in keys(dossier({"pack.boxes.1.x": f"{3.30 - by:.2f} m"}))
    assert "fit.box_outside.tank" in keys(dossier({"pack.boxes.1.x": f"{3.30 - by + 0.02:.2f} m"}))


def test_a_band_that_crosses_the_limit_is_said() -> None:
    near = {"donor.limits.rear_axle": "700 kg"}
    assert "mass.rear_axle_perhaps" in keys(dossier(near, with_bands=True))
    assert "mass.rear_axle_perhaps" not in keys(dossier(with_bands=True))
    assert "mass.gross_perhaps" in keys(dossier({"donor.limits.gross": "1340 kg"}, with_bands=True))


def test_findings_are_sorted_and_do_not_depend_on_the_order_of_rules() -> None:
    made = dossier({"pack.bms.part": None, "donor.electrics.earth": "positive"})
    severities = [["stop", "caution", "note"].index(each.severity) for each in made.findings]
    assert severities == sorted(severities)


def test_every_rule_says_what_it_asks() -> None:
    assert len(all_rules()) >= 20
    for each in all_rules():
        assert each.asks.endswith("?"), each.name


def test_papers_may_be_built_from_only_when_nothing_stands() -> None:
    invented = dossier()
    assert not invented.has_stop
    assert invented.not_for_building
    stopped = dossier({"pack.bms.part": None})
    assert stopped.has_stop
    assert any("cells" in each for each in stopped.not_for_building)


def test_words_follow_the_units_that_the_workshop_prefers() -> None:
    built = changed({"donor.limits.rear_axle": "680 kg"})
    metric = next(each for each in assess(built, with_bands=False).findings if each.key == "mass.rear_axle_limit")
    imperial = next(
        each for each in assess(built, with_bands=False, system="uk").findings if each.key == "mass.rear_axle_limit"
    )
    assert metric.limit == "680 kg"
    assert imperial.limit == "1499 lb"


def test_the_named_motor_speed_mends_the_back_emf() -> None:
    fast = next(changes for key, changes, _ in FAILING if key == "drive.back_emf")
    found = next(each for each in dossier(fast).findings if each.key == "drive.back_emf")
    rpm = int(re.search(r"turn at (\d+) rpm", found.remedy or "").group(1))  # type: ignore[union-attr]
    assert "drive.back_emf" not in keys(dossier(fast | {"donor.drive_line.gearbox.speed_max": f"{rpm} rpm"}))
    assert "drive.back_emf" in keys(dossier(fast | {"donor.drive_line.gearbox.speed_max": f"{rpm + 20} rpm"}))
