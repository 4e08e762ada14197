"""Ratings by hand, and those that no part of the catalogue fails: each check with a build that fails and one that passes."""

from __future__ import annotations

import copy
import math
from typing import Any

import pytest

from failing import FAILING, ONE_STRING, UNEQUAL
from helpers import dossier, example, keys
from voltwright.parts.shelf import Shelf
from voltwright.quantity.errors import BuildError
from voltwright.rules.dossier import Dossier
from voltwright.rules.finding import Finding


def own(part_id: str, **fields: Any) -> Shelf:
    """The shelf with other fields in one datasheet."""
    shelf = example().shelf
    return shelf.with_own({part_id: copy.deepcopy(dict(shelf._raw[part_id])) | fields})  # type: ignore[reportPrivateUsage]


def si(made: Dossier, key: str) -> float:
    node = made.figures[key].node
    assert node is not None
    return float(node.value)


def found(made: Dossier, key: str) -> Finding:
    one = next((each for each in made.findings if each.key == key), None)
    assert one is not None, keys(made)
    return one


def failing(key: str) -> Finding:
    """The finding in the build that fails it."""
    return found(dossier(next(changes for each, changes, _ in FAILING if each == key)), key)


COMBINED = {"charging.inlet": "inlet/combined-2-125a"}


@pytest.mark.parametrize(
    ("key", "severity", "changes", "weak", "fields", "passing"),
    [
        ("bms.no_current", "caution", {}, "bms/12ch-500v", {"measures_current": False}, {"pack.bms.part": "bms/24ch-500v"}),
        (
            "bms.no_current", "stop", {"pack.protection.fuse": "fuse/250v-400a"}, "bms/12ch-500v", {"measures_current": False},
            {"pack.bms.part": "bms/24ch-500v"},
        ),
        ("pack.voltage_limit.inlet", "stop", COMBINED, "inlet/combined-2-125a", {"voltage_dc_max": "400 V"}, {"pack.series": 7}),
        ("protection.isolation.dc-dc", "stop", {}, "dc-dc/1.5kw-350v", {"isolated": False}, {"low_voltage.dc_dc.part": "dc-dc/2.2kw-350v"}),
        (
            "pack.msd_current", "stop", {}, "msd/500v-350a", {"current_continuous": "60 A"},
            {"pack.protection.msd": "msd/500v-500a"},
        ),
        (
            "pack.cable_temperature", "caution", {}, "cable/copper-70mm2", {"temperature_max": "70 °C"},
            {"duty.climate.hottest": "19 °C"},
        ),
    ],
)  # fmt: skip
def test_what_no_part_of_the_catalogue_fails(
    key: str, severity: str, changes: dict[str, Any], weak: str, fields: dict[str, Any], passing: dict[str, Any]
) -> None:
    shelf = own(weak, **fields)
    assert key not in keys(dossier(changes))
    assert found(dossier(changes, shelf=shelf), key).severity == severity
    assert key not in keys(dossier({**changes, **passing}, shelf=shelf))


def test_contactors_without_polarity_break_both_ways() -> None:
    shelf = own("contactor/450v-250a", polarised=False)
    assert "pack.contactor_polarised" not in keys(dossier(shelf=shelf))


def test_regeneration_on_a_full_pack_by_hand() -> None:
    """At 95 % 96 groups rest at 4.136 V, 397.1 V; current times resistance comes on top, and 1 % less charge is 1.2 V less."""
    here, lower = (found(dossier(each), "pack.regeneration_voltage") for each in ({}, {"pack.window.full": "94 %"}))
    reached, less = (float(str(each.value).split()[0]) for each in (here, lower))
    assert 397.1 < reached < 397.1 + 0.3 * 50
    assert 0.0 < reached - less < 4.0
    assert here.limit == "403.2 V"


def test_a_pack_that_is_held_at_a_voltage_goes_no_higher() -> None:
    assert "pack.regeneration_voltage" not in keys(dossier({"pack.voltage_limit_full": "403.2 V"}))
    assert "pack.voltage_limit_set" not in keys(dossier({"pack.voltage_limit_full": "403.2 V"}))
    assert "pack.voltage_limit_set" in keys(dossier({"pack.voltage_limit_full": "403.3 V"}))


def test_a_car_that_does_not_regenerate_lifts_nothing() -> None:
    none = keys(dossier({**ONE_STRING, "drive.regeneration.share": "0 %"}))
    assert not {each for each in none if each.startswith("pack.regeneration")}


def test_precharge_by_hand() -> None:
    """403.2 V over 5 Ω are 81 A; and 50 ms of 47 Ω and 500 µF leave 403.2 · exp(-50 / 23.5) = 48.0 V."""
    assert failing("protection.precharge_current").value == "81 A"
    made = failing("pack.contactor_make")
    assert f"{403.2 * math.exp(-50 / 23.5):.1f} V" in made.detail
    assert "pack.contactor_make" not in keys(
        dossier({"pack.protection.precharge_time": "118 ms"})
    )  # five time constants


def test_shares_and_densities_by_hand() -> None:
    """Half the current in each of two fuses of 63 A; the whole in one of 160 A, of which 75 % count; 4 A for each of 25 mm²."""
    whole = float(dossier({}).figures["pack.current_motor_continuous"].value or 0)
    fuse = failing("pack.fuse_load")
    assert (fuse.severity, fuse.limit, fuse.value) == ("stop", "63 A", f"{whole / 2:.0f} A")
    one = found(dossier({**ONE_STRING, "pack.protection.fuse": "fuse/500v-160a"}), "pack.fuse_load")
    assert (one.severity, one.limit) == ("caution", "120 A")
    assert failing("pack.cable_current").limit == "100 A"


def test_what_two_chargers_draw_of_one_phase_or_of_three() -> None:
    assert failing("charge.inlet_current").value == "64 A"
    three = {"charging.charger.count": 2, "charging.inlet": "inlet/type-2-3ph-32a"}
    assert "charge.inlet_current" not in keys(dossier(three))


def test_a_limit_of_the_bms_holds_the_peak() -> None:
    assert "pack.current_peak" not in keys(dossier({**ONE_STRING, "pack.bms.current_limit": "250 A"}))
    assert "pack.current_peak" in keys(dossier({**ONE_STRING, "pack.bms.current_limit": "251 A"}))


def test_a_torque_that_is_set_speaks_for_the_phase_current() -> None:
    strong = {"drive.inverter.part": "inverter/500v-650a"}
    assert "drive.phase_current_set" not in keys(dossier({**strong, "drive.torque_limit": "260 N·m"}))


def test_motors_without_magnets_make_no_voltage() -> None:
    van = keys(dossier(name="van"))
    assert not {each for each in van if "back_emf" in each or each == "drive.towing"}


def test_parking_low_is_a_note_and_charging_low_a_caution() -> None:
    """Full power is lost below 20 % charge."""
    assert found(dossier({"duty.parking.charge": "15 %"}), "pack.full_power_in_use").severity == "note"
    assert failing("pack.full_power_in_use").severity == "caution"
    assert "pack.full_power_in_use" not in keys(dossier({"duty.parking.charge": "25 %"}))


def test_unequal_strings_carry_unequal_currents() -> None:
    """By hand: 1/1.1 and 1/1.6 are 59.3 % and 40.7 %; the pack may carry 1/0.593 = 1.6875 times what one string may."""
    alike, unequal = dossier(), dossier({"pack.condition": UNEQUAL})
    assert unequal.figures["pack.string_share"].value == pytest.approx(100 * 1.6 / 2.7, rel=1e-12)
    assert alike.figures["pack.string_share"].value == pytest.approx(50.0)
    for key in ("pack.current_charge", "pack.current_regen"):
        assert si(unequal, key) == pytest.approx(si(alike, key) * 2.7 / 1.6 / 2, rel=1e-12), key
    assert si(unequal, "pack.capacity") == pytest.approx(si(alike, "pack.capacity") * 0.84, rel=1e-12)


def test_strings_that_are_alike_are_as_if_none_were_named() -> None:
    together = {"health": "84 %", "resistance_growth": 1.3}
    found = [{"health": "84 %", "resistance_growth": 1.3}] * 2
    one, each = dossier({"pack.condition": together}), dossier({"pack.condition": together | {"strings": found}})
    moved = {key for key in one.figures if one.figures[key].printed() != each.figures[key].printed()}
    assert moved == set()
    assert keys(one) == keys(each)


def test_of_unequal_strings_the_best_stay() -> None:
    seen = dossier({"pack.condition": UNEQUAL}, search=True)
    finding = found(seen, "pack.strings_unequal")
    kept = finding.remedies[0].changes["pack.condition.strings"]
    assert kept == [{"health": "88 %", "resistance_growth": 1.1}]


def test_the_fuse_of_the_strongest_string_counts() -> None:
    """By hand: it carries 59 % of the 140 A of long driving, 83 A; a half of them a fuse of 100 A bears for years, with 75 A."""
    small = {"pack.protection.fuse": "fuse/500v-100a", "pack.protection.fuses": 2}
    assert "pack.fuse_load" not in keys(dossier(small))
    unequal = dossier(small | {"pack.condition": UNEQUAL})
    carried = si(unequal, "pack.current_motor_continuous") * 1.6 / 2.7
    assert found(unequal, "pack.fuse_load").value == f"{carried:.0f} A"


def test_a_string_of_double_modules_is_no_string_like_the_others() -> None:
    double = {"health": "88 %", "resistance_growth": 1.2, "module": "module/nmc-12s-100ah"}
    assert dossier().case.module.id == "module/nmc-12s-50ah"
    strings = [{"health": "88 %", "resistance_growth": 1.1}, double]
    mixed = found(dossier({"pack.condition": {"health": "88 %", "strings": strings}}), "pack.strings_mixed")
    assert mixed.severity == "stop"
    assert "Neither is worked out here" in mixed.detail


def test_every_string_is_named_or_none() -> None:
    with pytest.raises(BuildError, match=r"condition.strings has 1 strings, and the pack has 2"):
        dossier({"pack.condition": {"health": "80 %", "strings": UNEQUAL["strings"][:1]}})


def test_strings_of_high_voltage_are_joined_with_caution_and_used_ones_sorted_first() -> None:
    new = found(dossier(), "pack.strings_joined")
    assert (new.severity, "Sort the modules" in str(new.remedy)) == ("caution", False)
    used = found(dossier({"pack.condition": {"health": "90 %"}}), "pack.strings_joined")
    assert (used.severity, "Sort the modules" in str(used.remedy)) == ("caution", True)


SMALL = {"pack.protection.contactor": "contactor/450v-100a"}


def test_what_contactors_must_carry_by_hand() -> None:
    """The motor's continuous current, unless BMS or inverter hold it: 140 A through contactors of 100 A."""
    whole = float(dossier({}).figures["pack.current_motor_continuous"].value or 0)
    said = found(dossier(SMALL, search=True), "pack.contactor_current")
    assert (said.limit, said.value) == ("100 A", f"{whole:.0f} A")
    assert "contactor/450v-100a" in said.detail
    assert said.remedies[0].changes == {"pack.protection.contactor": "contactor/450v-250a"}
    assert "pack.contactor_current" not in keys(dossier({**SMALL, "pack.bms.current_limit": "100 A"}))
    assert "pack.contactor_current" in keys(dossier({**SMALL, "pack.bms.current_limit": "101 A"}))
    weak = own("inverter/450v-400a", current_dc_continuous="100 A")
    assert "pack.contactor_current" not in keys(dossier(SMALL, shelf=weak))


def test_contactors_that_bind_are_not_blamed_on_the_cells() -> None:
    """The cells of two strings give 200 A and more, those of one string do not give the motor's 140 A."""
    assert "pack.current_continuous" not in keys(dossier(SMALL))
    assert {"pack.current_continuous", "pack.contactor_current"} <= keys(dossier({**SMALL, **ONE_STRING}))
