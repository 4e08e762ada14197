"""Each check is passed by one build and failed by another; the remedies of stops put things right."""

from __future__ import annotations

import re
from typing import Any

import pytest

from failing import FAILING
from helpers import changed, dossier, keys, keys_as_it_is
from voltwright.rules.dossier import assess
from voltwright.rules.finding import amperes, apart, volts
from voltwright.rules.rule import all_rules

PASSING = {
    "brakes.wet_regeneration": {"drive.regeneration.torque": "10 N·m"},
    "brakes.no_gear": {"braking.park_lock": "pawl"},
    "drive.wrong_shift": {"drive.gearing.fixed_gear": 4},
    "drive.old_engine_torque": {"donor.drive_line.engine_torque": "270 N·m"},
    "drive.coast_torque": {"drive.regeneration.torque": "100 N·m"},
    "drive.braking_torque": {"drive.regeneration.torque": "150 N·m"},
    "works.list": {"works": None},
    "country.from_memory": {"country": "CH"},
    "country.ie.historic": {"country": "PT"},
    "country.ie.particulars": {"country": "CH"},
    "drive.wheelspin_dry": {"drive.torque_limit": "150 N·m"},
    "brief.price": {"brief.price": "90000 EUR"},
    "mass.payload_seats": {"donor.limits.gross": "1500 kg"},
    "pack.cold_charging": {"duty.climate.coldest": "2 °C"},
    "pack.regeneration_voltage": {"pack.voltage_limit_full": "403 V"},
    "pack.contactor_polarised": {"drive.regeneration.share": "0 %"},
    "electrics.instruments": {"low_voltage.fed_anew": ["wipers"], "low_voltage.taken_out": ["fuel gauge", "regulator"]},
    "electrics.lay_up": {"duty.lay_up.months": 0},
    "electrics.loads_left_out": {"loads_12v": None},
    "life.rule_of_thumb": {"brief.range_trip": "no-such-trip"},
    "pack.strings_joined": {"pack.parallel": 1, "pack.boxes.0.modules": 4, "pack.boxes.1.modules": 4},
}


@pytest.mark.parametrize(("key", "changes", "severity"), FAILING, ids=[each[0] for each in FAILING])
def test_a_build_that_fails(key: str, changes: dict[str, Any], severity: str) -> None:
    assert key not in keys_as_it_is()
    made = dossier(changes)
    found = next((finding for finding in made.findings if finding.key == key), None)
    assert found is not None, keys(made)
    assert found.severity == severity
    assert found.title
    assert found.detail
    assert found.remedy_in_words or found.ladders
    assert made.has_stop or severity != "stop"
    points = key == "country.gb.points"  # of a whole number, which may be the limit itself
    assert found.value is None or found.value != found.limit or points


@pytest.mark.parametrize("key", PASSING)
def test_a_build_that_passes(key: str) -> None:
    assert key in keys_as_it_is()
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


def test_a_value_and_its_limit_never_print_the_same() -> None:
    """An axle that carries a third of a kilogram too much; and in more digits where it takes them."""
    carried = assess(changed({}), with_bands=False, search=False).figures["mass.rear_axle_laden"].value
    assert carried is not None
    limit = round(carried, 1) - 0.1
    made = assess(changed({"donor.limits.rear_axle": f"{limit:.1f} kg"}), with_bands=False, search=False)
    heavy = next(each for each in made.findings if each.key == "mass.rear_axle_limit")
    assert heavy.value != heavy.limit
    assert f"carries {heavy.value}; it may carry {heavy.limit}." in heavy.detail
    assert heavy.margin != "0 kg"
    assert apart(amperes, 250.004, 250.0) == ("250.004 A", "250.000 A", "−0.004 A")
    assert apart(amperes, 251.0, 250.0) == ("251 A", "250 A", "−1 A")
    assert apart(volts, 60.0, 60.0) == ("60.0 V", "60.0 V", "0.0 V")


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
