"""Numbers that safety rests on, each held from both sides, so that nobody changes one unseen."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from helpers import changed, dossier, example, keys
from voltwright.parts.battery import Cell
from voltwright.quantity.band import spreads
from voltwright.quantity.provenance import Origin
from voltwright.quantity.spread import between
from voltwright.quantity.work import greatest, leaf, least
from voltwright.rules import dossier as dossier_module
from voltwright.rules.rule import all_rules


def raw_of(part_id: str) -> dict[str, Any]:
    """A datasheet of the catalogue as it is written."""
    return dict(example().shelf._raw[part_id])


ROADSTER_CELL = "cell/lfp-cylindrical-2.3ah"


def with_full_voltage(volt: float) -> Any:
    """The roadster's 16 cells in series, each full at this voltage."""
    raw = json.loads(json.dumps(example("roadster").shelf._raw[ROADSTER_CELL]))
    raw["voltage_full"] = f"{volt} V"
    raw["open_circuit_voltage"]["volt"][-1] = volt
    shelf = example("roadster").shelf.with_own({ROADSTER_CELL: raw})
    return dossier(name="roadster", shelf=shelf)


def test_high_voltage_begins_above_60_v_direct() -> None:
    assert "pack.voltage_class" not in keys(with_full_voltage(3.75))  # 60.0 V
    assert "pack.voltage_class" in keys(with_full_voltage(3.755))  # 60.08 V


def test_high_voltage_begins_above_30_v_alternating() -> None:
    small = {"pack.module": "module/lfp-8s-46ah"}
    assert "pack.voltage_class_ac" not in keys(dossier(small, "roadster"))  # 28.8 V direct, 20.4 V
    assert "pack.voltage_class_ac" in keys(dossier({}, "roadster"))  # 57.6 V direct, 40.7 V
    eleven = raw_of("module/lfp-8s-46ah") | {"groups_series": 12, "mass": "20 kg"}
    shelf = example("roadster").shelf.with_own({"module/lfp-8s-46ah": eleven})
    assert "pack.voltage_class_ac" in keys(dossier(small, "roadster", shelf=shelf))  # 43.2 V direct, 30.5 V


def test_a_device_rated_for_just_the_full_voltage_bears_it() -> None:
    rated = raw_of("contactor/450v-250a") | {"voltage_max": "403.2 V"}
    less = rated | {"voltage_max": "403.1 V"}
    for raw, stands in ((rated, False), (less, True)):
        made = dossier(shelf=example().shelf.with_own({"contactor/450v-250a": raw}))
        assert ("pack.voltage_limit.contactor" in keys(made)) is stands


@pytest.mark.parametrize(("key", "charge", "celsius"), [("pack.power_peak", 80, 25), ("pack.power_empty_cold", 10, -7)])
def test_at_which_charge_and_temperature_power_is_given(key: str, charge: int, celsius: int) -> None:
    cell = example().shelf.take("cell/nmc-prismatic-50ah", Cell)
    table, ohms = cell.open_circuit_voltage, cell.resistance_10s
    rest = 96 * np.interp(charge, table.charge_percent, table.volt)
    column = [np.interp(celsius, ohms.celsius, row) for row in ohms.milliohm]
    resistance = 96 * np.interp(charge, ohms.charge_percent, column) / 1000 / 2 + 8 * 0.55e-3 / 2
    current = min(500.0, (rest - 268.8) / resistance, rest / resistance / 2)
    assert dossier().figures[key].value == pytest.approx((rest - resistance * current) * current / 1000, rel=1e-6)


def test_full_power_with_cells_that_resist_at_the_very_top() -> None:
    lfp = {
        "pack.module": "module/lfp-16s-46ah",
        "pack.series": 7,
        "pack.bms.part": "bms/24ch-500v",
        "pack.bms.boards": 10,
    }
    lost = dossier(lfp).figures["pack.full_power_lost_below"].value
    assert lost is not None
    assert 0.1 < lost < 0.6


def test_used_modules_that_nobody_measured() -> None:
    raw = dict(example().shelf._raw["module/nmc-13s-50ah"])
    raw.pop("health")
    shelf = example().shelf.with_own({"module/nmc-13s-50ah": raw})
    made = dossier({"pack.module": "module/nmc-13s-50ah", "pack.series": 7}, shelf=shelf)
    assert made.figures["pack.capacity"].value == pytest.approx(0.80 * 100)


def test_two_weighings_may_differ_by_two_per_cent() -> None:
    assert "data.axles" not in keys(dossier({"donor.axles.rear": "495 kg"}))  # 1031 kg, 1.9 %
    assert "data.axles" in keys(dossier({"donor.axles.rear": "497 kg"}))  # 1033 kg, 2.1 %


def test_the_body_may_sink_by_25_mm() -> None:
    sinks = dossier().figures["mass.ride_height_rear"].value
    assert sinks is not None
    for limit, stands in ((24.5, False), (25.5, True)):
        rate = 21 * abs(sinks) / limit
        assert (
            "mass.ride_height_rear" in keys(dossier({"donor.suspension.rear.wheel_rate": f"{rate} N/mm"}))
        ) is stands


def test_module_terminals_count_once_a_string() -> None:
    two = {"pack.parallel": 2, "pack.boxes.0.modules": 10}
    assert dossier(two, "van").figures["pack.current_peak"].value == pytest.approx(2 * 710)


def test_the_least_and_the_greatest_over_samples() -> None:
    first = leaf(2.0, "kg", "a", Origin("entered", where="a"), between(1.0, 3.0))
    second = leaf(2.0, "kg", "b", Origin("entered", where="b"))
    found = spreads({"least": least("it", [first, second]), "greatest": greatest("it", [first, second])})
    assert found.high["least"] == pytest.approx(2.0)
    assert found.low["least"] < 1.2
    assert found.low["greatest"] == pytest.approx(2.0)
    assert found.high["greatest"] > 2.8


def test_a_changed_datasheet_changes_the_fingerprint() -> None:
    base = example()
    raw = raw_of("motor/pm-90kw-350v") | {"mass": "53 kg"}
    other = replace(changed({}), shelf=base.shelf.with_own({"motor/pm-90kw-350v": raw}))
    assert dossier_module.assess(other, with_bands=False).fingerprint != dossier().fingerprint
    assert dossier().fingerprint == dossier().fingerprint


def test_the_order_of_rules_does_not_matter(monkeypatch: pytest.MonkeyPatch) -> None:
    before = dossier({"pack.bms.part": None}).findings
    monkeypatch.setattr(dossier_module, "all_rules", lambda: all_rules()[::-1])
    assert dossier({"pack.bms.part": None}).findings == before


def test_a_rating_that_is_a_guess_is_weak_whatever_the_datasheet_says() -> None:
    from voltwright.rules.protection import weak_fields

    raw = raw_of("fuse/500v-200a") | {"grade": "datasheet", "fields": {}}
    firm = example().shelf.with_own({"fuse/500v-200a": raw}).any("fuse/500v-200a")
    guess = raw | {"current_rated": {"value": "200 A", "how": "assumed", "note": "guess", "grade": "estimated"}}
    loose = example().shelf.with_own({"fuse/500v-200a": guess}).any("fuse/500v-200a")
    assert "current_rated" not in weak_fields(firm)
    assert "current_rated" in weak_fields(loose)


@pytest.mark.parametrize(
    "changes",
    [
        {"pack.module": "module/nca-6s70p-217ah", "pack.series": 2, "pack.parallel": 1, "pack.boxes": []},
        {"pack.boxes.1.modules": 0, "pack.boxes.1.mass": "0 kg", "donor.limits.rear_axle": "400 kg"},
        {"donor.removed.0.mass": "920 kg", "extras": None, "fitted": None, "pack.boxes": [], "low_voltage": None, "comfort": None,
         "charging": None, "drive.motor": None, "drive.inverter": None},
    ],
)  # fmt: skip
def test_builds_that_once_broke_the_program(changes: dict[str, Any]) -> None:
    made = dossier(changes, with_bands=True)
    assert made.has_stop
    json.dumps(made.as_data(), allow_nan=False)


def test_cable_keeps_how_unsure_its_length_is() -> None:
    made = dossier({"pack.protection.main_cable.length": "9 m ± 2 m"}, with_bands=True)
    figure = made.figures["cost.parts"]
    assert figure.low is not None
    assert figure.high is not None
    assert figure.high - figure.low > 60


def test_a_bms_for_other_cells() -> None:
    raw = raw_of("bms/12ch-500v") | {"cell_voltage_max": "4.1 V"}
    assert "bms.cell_voltage" in keys(dossier(shelf=example().shelf.with_own({"bms/12ch-500v": raw})))
    assert "bms.cell_voltage" not in keys(dossier())
    assert "bms.channels" in keys(dossier({"pack.bms.boards": 17}))


def test_a_module_that_contradicts_its_cells() -> None:
    raw = raw_of("module/nmc-12s-50ah") | {"capacity": "900 Ah", "voltage_nominal": "444 V"}
    found = keys(dossier(shelf=example().shelf.with_own({"module/nmc-12s-50ah": raw})))
    assert {"data.module_capacity", "data.module_nominal_voltage"} <= found
