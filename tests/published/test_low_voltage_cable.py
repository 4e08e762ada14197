"""Cables of the low-voltage side, charging voltages of its batteries, and hazard lamps, against standards and makers."""

from __future__ import annotations

import itertools

import pytest

from voltwright.assess.low_voltage import HAZARD_WATTS
from voltwright.parts.low_voltage_cable import cable_of, low_voltage_cables
from voltwright.parts.power import Battery12V
from voltwright.parts.shelf import catalogue
from voltwright.physics import low_voltage as law
from voltwright.rules.electrics import charging_window

DROP = ("wiring.feed_drop",)
RHO = 0.0185e-6  # Ω·m; copper as automotive handbooks reckon with it


@pytest.mark.parametrize(("area", "current", "length"), [(16.0, 60.0, 3.0), (35.0, 107.0, 1.2), (70.0, 200.0, 4.0)])
def test_drop_along_a_cable(published, area: float, current: float, length: float) -> None:
    """The handbook's formula: U = I · rho · l / A."""
    got = law.feed_drop(current=current, resistance=cable_of(area * 1e-6).ohm_per_metre, length=length)
    published.check(
        source="automotive handbooks, cross-section of cables: rho of copper 0.0185 Ω·mm²/m (from memory)", law="feed_drop",
        asked=f"{current:g} A over {length:g} m of {area:g} mm² [V]", expected=current * RHO * length / (area * 1e-6), got=got,
        rel=0.025, why="the standard prints the most that a cable may have, rounded", keys=DROP,
    )  # fmt: skip


IEC_60228 = {1.0: 19.5, 2.5: 7.98, 6.0: 3.30, 16.0: 1.21, 25.0: 0.780, 35.0: 0.554, 50.0: 0.386, 95.0: 0.206}  # mΩ/m


@pytest.mark.parametrize("area", IEC_60228)
def test_resistance_of_a_metre(published, area: float) -> None:
    published.check(
        source="IEC 60228, class 5, plain copper at 20 °C (from memory)", law="table of low-voltage cables",
        asked=f"{area:g} mm² [mΩ/m]", expected=IEC_60228[area], got=1000 * cable_of(area * 1e-6).ohm_per_metre, rel=0.06,
        why="cables of vehicles may have a little less than those of buildings", keys=DROP,
    )  # fmt: skip


@pytest.mark.parametrize("area", [1.5, 6.0, 16.0, 35.0, 70.0])
def test_less_current_in_warm_air(published, area: float) -> None:
    cable = cable_of(area * 1e-6)
    published.check(
        source="IEC 60364-5-52, table B.52.14: 0.71 at 50 °C for PVC rated at 30 °C (from memory)",
        law="currents of low-voltage cables", asked=f"{area:g} mm², at 50 °C against 30 °C", expected=0.71,
        got=cable.ampere_50 / cable.ampere_30, rel=0.02, why="printed to two places", keys=("wiring.dcdc_current",),
    )  # fmt: skip


def battery(technology: str) -> Battery12V:
    parts = (catalogue().take(each, Battery12V) for each in catalogue().ids("battery-12v"))
    return next(each for each in parts if each.technology == technology and each.voltage_nominal.value > 11)


@pytest.mark.parametrize(
    ("technology", "low", "high", "source"),
    [
        ("lead-agm", 13.5, 14.7, "makers of AGM batteries: 2.25 V a cell to float, 2.40 to 2.45 V in cycles, at 25 °C (from memory)"),
        ("lead-flooded", 13.2, 14.6, "makers of flooded batteries: 2.20 V a cell to float, 2.43 V where it begins to gas (from memory)"),
        ("lfp", 13.5, 14.6, "makers of LFP cells: 3.65 V at most, full and at rest about 3.37 V (from memory)"),
    ],
)  # fmt: skip
def test_charging_voltage_of_a_battery(published, technology: str, low: float, high: float, source: str) -> None:
    for end, expected, got in zip(("least", "most"), (low, high), charging_window(battery(technology)), strict=True):
        published.check(
            source=source, law="charging voltage", asked=f"{technology}, 12 V, {end} [V]", expected=expected, got=got, absolute=0.1,
            why="makers differ by hundredths of a volt a cell",
        )  # fmt: skip


def test_hazard_lamps(published) -> None:
    published.check(
        source="UN R37: P21W and W5W (from memory)", law="hazard lamps", asked="four of 21 W and two repeaters of 5 W [W]",
        expected=94.0, got=HAZARD_WATTS, rel=0.05, why="repeaters are of 4 or 5 W", keys=("wiring.battery_needed",),
    )  # fmt: skip


def test_the_table_is_in_order() -> None:
    sizes = low_voltage_cables()
    assert [each.area for each in sizes] == sorted(each.area for each in sizes)
    for thin, thick in itertools.pairwise(sizes):
        assert thin.ampere_50 < thin.ampere_30
        assert thin.ampere_50 < thick.ampere_50
        assert thin.ohm_per_metre > thick.ohm_per_metre


def test_a_size_between_two_has_its_own_resistance_and_the_current_of_the_thinner() -> None:
    between, thinner = cable_of(30e-6), cable_of(25e-6)
    assert between.ohm_per_metre == pytest.approx(thinner.ohm_per_metre * 25 / 30)
    assert between.ampere_50 == thinner.ampere_50
    assert cable_of(0.5e-6).ampere_50 == pytest.approx(cable_of(1e-6).ampere_50 / 2)
