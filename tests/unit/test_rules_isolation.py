"""Isolation is asked for where either side is high voltage: the pack's, or that of the motor."""

from __future__ import annotations

from typing import Any

from helpers import dossier, example, keys
from voltwright.parts.shelf import Shelf
from voltwright.rules.dossier import Dossier
from voltwright.rules.finding import Finding

LOW = {"pack.module": "module/lfp-8s-46ah"}  # 28.8 V direct, 20.4 V alternating
ISOLATED = {"drive.inverter.part": "inverter/65v-700a"}


def found(made: Dossier, key: str) -> Finding:
    return next(each for each in made.findings if each.key == key)


def own(part_id: str, **fields: Any) -> Shelf:
    shelf = example("roadster").shelf
    return shelf.with_own({part_id: dict(shelf._raw[part_id]) | fields})  # type: ignore[reportPrivateUsage]


def test_the_side_of_the_motor_alone_asks_for_a_monitor() -> None:
    """57.6 V direct and 40.7 V alternating: the roadster."""
    made = dossier(name="roadster", search=True)
    said = found(made, "protection.isolation_monitor")
    assert "57.6 V DC" in said.detail
    assert "40.7 V AC" in said.detail
    assert "pack.protection.isolation_monitor" in said.remedies[0].changes
    assert "protection.isolation_monitor" not in keys(dossier(LOW, "roadster"))


def test_a_chopper_makes_no_high_voltage_of_a_low_one() -> None:
    chopper = {"drive.inverter.part": "inverter/direct-136v-400a", "drive.motor.part": "motor/series-22kw-96v"}
    direct = keys(dossier(chopper, "roadster"))
    assert not {"pack.voltage_class_ac", "protection.isolation_monitor", "protection.isolation.inverter"} & direct
    without = keys(dossier({"drive.inverter": None}, "roadster"))
    assert not {"pack.voltage_class_ac", "protection.isolation_monitor"} & without


def test_an_inverter_that_is_not_isolated_is_a_stop_on_a_pack_of_high_voltage() -> None:
    said = found(
        dossier({"drive.inverter.part": "inverter/130v-400a"}, "van", search=True), "protection.isolation.inverter"
    )
    assert said.severity == "stop"
    assert "inverter/130v-400a" in said.detail
    assert "drive.inverter.part" in said.remedies[0].changes


def test_where_the_motor_side_alone_is_high_it_is_a_caution() -> None:
    joined = {"drive.inverter.part": "inverter/130v-400a"}
    assert found(dossier(joined, "roadster"), "protection.isolation.inverter").severity == "caution"
    assert "protection.isolation.inverter" not in keys(dossier(ISOLATED, "roadster"))
    assert "protection.isolation.inverter" not in keys(dossier(LOW | joined, "roadster"))


def test_a_converter_that_is_not_isolated_by_the_class_of_the_pack() -> None:
    shelf = own("dc-dc/400w-72v", isolated=False)
    assert found(dossier(name="roadster", shelf=shelf), "protection.isolation.dc-dc").severity == "caution"
    assert "protection.isolation.dc-dc" not in keys(dossier(LOW, "roadster", shelf=shelf))
