"""Figures of parallel strings: when there are any, how they move, and what they leave alone."""

from __future__ import annotations

from typing import Any

import pytest

from helpers import dossier

UNLIKE = [{"health": "80 %", "resistance_growth": 1.6}, {"health": "98 %", "resistance_growth": 1.0}]
ALIKE = [{"health": "90 %", "resistance_growth": 1.2}, {"health": "90.0 %", "resistance_growth": 1.2}]
JOIN = ("voltage_difference", "current", "heat", "time", "hidden_charge", "hidden_current")


def found(strings: list[dict[str, Any]], **more: Any) -> Any:
    worst = min(each["health"] for each in strings)
    return dossier({"pack.condition": {"health": worst, "strings": strings}, **more}, with_bands=False)


def value(made: Any, key: str) -> float:
    got = made.figures[key].value
    assert got is not None, made.figures[key].reason
    return got


def test_strings_alike_lose_nothing() -> None:
    made = found(ALIKE)
    assert value(made, "pack.energy_usable_strings") == pytest.approx(value(made, "pack.energy_usable"), rel=1e-3)
    assert value(made, "pack.string_charge_apart") == pytest.approx(0.0, abs=1e-6)
    assert value(made, "pack.string_share_drawn") == pytest.approx(50.0, abs=1e-6)


def test_unlike_strings_leave_something_behind() -> None:
    made = found(UNLIKE)
    assert value(made, "pack.energy_usable_strings") < value(made, "pack.energy_usable")
    assert value(made, "pack.string_charge_apart") > 0.3
    assert value(made, "pack.string_share_drawn") > 55.0


@pytest.mark.parametrize(("name", "why"), [("van", "one string"), ("coupe", "taken as alike")])
def test_no_figure_of_strings_that_nobody_measured(name: str, why: str) -> None:
    for key in ("pack.energy_usable_strings", "pack.string_charge_apart", "pack.string_share_drawn"):
        figure = dossier({}, name, with_bands=False).figures[key]
        assert figure.value is None
        assert why in figure.reason


@pytest.mark.parametrize("name", ["coupe", "van", "roadster"])
def test_joining_is_known_of_every_pack(name: str) -> None:
    made = dossier({}, name, with_bands=False)
    assert all(value(made, f"pack.join_{each}") > 0 for each in JOIN)


def test_a_weak_fuse_narrows_the_difference() -> None:
    key = "pack.join_voltage_difference"
    wide, tight = (
        dossier(each, with_bands=False) for each in ({}, {"pack.protection.contactor": "contactor/450v-20a"})
    )
    assert value(tight, key) / value(wide, key) == pytest.approx(20.0 / 50.0, rel=1e-6)
    assert tight.figures[key].label.endswith("Contactor, continuous")
    assert wide.figures[key].label.endswith("charging current of its cells")


def test_flat_cells_hide_more_charge() -> None:
    """The roadster's cells are LFP."""
    flat, steep = (dossier({}, name, with_bands=False) for name in ("roadster", "coupe"))
    assert value(flat, "pack.join_hidden_charge") > 5 * value(steep, "pack.join_hidden_charge")


def test_without_a_monitor_the_reading_is_assumed() -> None:
    made = dossier({"pack.bms": {}}, with_bands=False)
    assert any("usual for a monitor" in each.reason for each in made.assumptions)


def test_a_new_module_in_a_worn_string() -> None:
    made = dossier({}, "van", with_bands=False)
    assert value(made, "pack.replaced_unused") == pytest.approx(14.0)
    assert value(made, "pack.replaced_resistance") == pytest.approx(100 * 0.25 / 5 / 1.25)
    assert dossier({}, with_bands=False).figures["pack.replaced_unused"].value is None


def test_a_new_module_in_a_string_that_is_better_takes_nothing_away() -> None:
    """No part of it is below nothing: health up to 120 % and resistance from half of new may be entered."""
    better = dossier({"pack.condition": {"health": "110 %", "resistance_growth": 1.2}}, with_bands=False)
    assert value(better, "pack.replaced_unused") == 0.0
    stiffer = dossier({"pack.condition": {"health": "90 %", "resistance_growth": 0.8}}, with_bands=False)
    assert value(stiffer, "pack.replaced_resistance") == 0.0


def shares(first: dict[str, Any], second: dict[str, Any]) -> Any:
    base = {"health": "90 %", "resistance_growth": 1.2}
    return found([base | first, base | second])


def test_long_cables_and_a_cold_box_take_less_of_the_current() -> None:
    """By hand: 96 groups of cells, each of the resistance of a cell at 25 °C and half charge, 1.2 times new."""
    made = shares({}, {"cable": "20 mΩ"})
    each = (
        2.0 * (value(made, "pack.resistance") / 1000 - 8 * made.case.module.resistance_links.value / 2) / 1.2
    )  # new, Ω
    conductances = 1 / 1.2, 1 / (1.2 + 0.020 / each)
    assert value(made, "pack.string_share") == pytest.approx(100 * conductances[0] / sum(conductances), rel=1e-6)
    assert value(made, "pack.string_share_drawn") > 51.0
    cold = shares({"temperature": "10 °C"}, {})
    assert value(cold, "pack.string_share") > 55.0
    assert value(cold, "pack.string_charge_apart") > value(made, "pack.string_charge_apart")


def test_strings_in_the_same_place_are_alike() -> None:
    made = shares({"temperature": "25 °C", "cable": "0 mΩ"}, {"temperature": "25 °C", "cable": "0 mΩ"})
    assert value(made, "pack.string_share") == pytest.approx(50.0)
    assert "alike" in made.figures["pack.energy_usable_strings"].reason


def test_fewer_strings_keep_where_they_stand() -> None:
    strings = [
        {"health": "88 %", "resistance_growth": 1.1, "cable": "3 mΩ"},
        {"health": "80 %", "resistance_growth": 1.6},
    ]
    made = dossier({"pack.condition": {"health": "80 %", "strings": strings}}, with_bands=False, search=True)
    finding = next(each for each in made.findings if each.key == "pack.strings_unequal")
    assert finding.remedies[0].changes["pack.condition.strings"][0]["cable"] == "3 mΩ"
