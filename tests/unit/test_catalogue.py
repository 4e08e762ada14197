"""Every shipped part loads, and its figures are those of a part that could exist.

The ranges are common practice of the trade, no source: they catch a slip of the pen, not a bad choice.
"""

import json
import math
from importlib.resources import files
from typing import Any

import pytest

from voltwright.parts.base import Part
from voltwright.parts.battery import Bms, Cell, Module
from voltwright.parts.drive import Inverter, Motor
from voltwright.parts.kinds import KINDS, PROTECTIVE
from voltwright.parts.power import Charger, DcDc
from voltwright.parts.protection import Fuse
from voltwright.parts.shelf import catalogue
from voltwright.quantity.entry import Entry

SHELF = catalogue()
MAINS = 230.0  # V, line to neutral


def ids(kind: str) -> tuple[str, ...]:
    found = SHELF.ids(kind)
    assert found, f"no {kind} in the catalogue"
    return found


def module(part_id: str) -> tuple[Module, Cell]:
    made = SHELF.take(part_id, Module)
    return made, SHELF.take(made.cell, Cell)


def litres(*sides: Entry | None) -> float:
    return 1000 * math.prod(side.value for side in sides if side)


def cell_litres(cell: Cell) -> float:
    if cell.shape == "cylindrical":
        assert cell.diameter is not None
        assert cell.length is not None
        return litres(cell.length) * math.pi * cell.diameter.value**2 / 4
    assert cell.length is not None
    assert cell.width is not None
    assert cell.height is not None
    return litres(cell.length, cell.width, cell.height)


def raw_sheets() -> list[dict[str, Any]]:
    folder = files("voltwright.parts").joinpath("catalogue")
    lists = [json.loads(each.read_text(encoding="utf-8")) for each in folder.iterdir() if each.name.endswith(".json")]
    cells = [json.loads(each.read_text(encoding="utf-8")) for each in folder.joinpath("cells").iterdir()]
    return [*cells, *(sheet for sheets in lists for sheet in sheets)]


@pytest.mark.parametrize("part_id", SHELF.ids())
def test_part_loads_and_says_where_its_values_are_from(part_id: str) -> None:
    part = SHELF.any(part_id)
    assert part.kind == part_id.split("/")[0]
    for name, entry in part.entries():
        assert entry.origin.source is not None, name
        assert entry.origin.grade is not None, name


def test_every_kind_has_parts() -> None:
    assert {part_id.split("/")[0] for part_id in SHELF.ids()} == set(KINDS)


def test_no_id_stands_twice() -> None:
    assert len(raw_sheets()) == len(SHELF.ids())


def test_only_one_part_has_no_price() -> None:
    """So that a missing price is seen at work."""
    parts = (SHELF.any(part_id) for kind in KINDS if kind != "cell" for part_id in ids(kind))
    assert [part.id for part in parts if part.price is None] == ["isolation-monitor/1000v"]


@pytest.mark.parametrize("kind", PROTECTIVE)
def test_parts_that_protect_are_marked_invented(kind: str) -> None:
    """Nothing shipped may pass for a rating that a maker stands for."""
    assert {SHELF.any(part_id).grade for part_id in ids(kind)} == {"invented"}


def test_there_is_a_choice_of_modules() -> None:
    made = [SHELF.take(part_id, Module) for part_id in ids("module")]
    assert {4, 6, 8, 12, 13, 16} <= {each.groups_series for each in made}
    assert {each.stock for each in made} == {"new", "surplus", "salvaged"}
    assert {each.coolant_channels for each in made} == {True, False}
    assert all((each.health is not None) == (each.stock == "salvaged") for each in made)


@pytest.mark.parametrize("part_id", SHELF.ids("module"))
def test_cells_fit_into_their_module(part_id: str) -> None:
    """By mass and by volume, with room for walls and links: common practice, no source.

    Round cells in the closest packing fill pi / sqrt(12) = 0.907 of their layer.
    """
    made, cell = module(part_id)
    assert 0.6 <= made.cell_count * cell.mass.value / made.mass.value <= 0.95
    filled = made.cell_count * cell_litres(cell) / litres(made.length, made.width, made.height)
    assert 0.3 <= filled <= (0.85 * math.pi / math.sqrt(12) if cell.shape == "cylindrical" else 0.9)
    sides = [cell.diameter, cell.length, cell.width, cell.height]
    assert max(side.value for side in sides if side) <= max(made.length.value, made.width.value, made.height.value)


@pytest.mark.parametrize("part_id", SHELF.ids("module"))
def test_module_agrees_with_its_cells(part_id: str) -> None:
    """What a module states for itself stays near what its cells give; links add less than the cells have."""
    made, cell = module(part_id)
    if made.capacity:
        assert made.capacity.value == pytest.approx(made.cells_parallel * cell.capacity.value, rel=0.05)
    if made.voltage_nominal:
        assert made.voltage_nominal.value == pytest.approx(made.groups_series * cell.voltage_nominal.value, rel=0.08)
    at_charge = len(cell.resistance_10s.charge_percent) // 2
    of_cell = min(cell.resistance_10s.milliohm[at_charge])
    assert made.resistance_links.value * 1000 < made.groups_series * of_cell / made.cells_parallel


@pytest.mark.parametrize("part_id", SHELF.ids("motor"))
def test_motor_power_is_torque_times_speed(part_id: str) -> None:
    """Nowhere on the torque curve is there more than the rated power; somewhere there is nearly that much."""
    made = SHELF.take(part_id, Motor)
    assert made.power_peak.value < made.torque_peak.value * made.speed_max.value
    if made.torque_curve_peak is None:
        return
    points = zip(made.torque_curve_peak.rpm, made.torque_curve_peak.newton_metre, strict=True)
    best = max(rpm * math.pi / 30 * torque for rpm, torque in points)
    assert best == pytest.approx(made.power_peak.value, rel=0.03)
    assert max(made.torque_curve_peak.newton_metre) == made.torque_peak.value
    assert made.torque_curve_peak.rpm[-1] * math.pi / 30 == pytest.approx(made.speed_max.value, rel=1e-9)


@pytest.mark.parametrize("part_id", SHELF.ids("motor"))
def test_efficiency_map_peaks_at_the_stated_best(part_id: str) -> None:
    made = SHELF.take(part_id, Motor)
    if made.efficiency_points is None:
        return
    assert max(made.efficiency_points.percent) / 100 == pytest.approx(made.efficiency_best.value)
    assert max(made.efficiency_points.newton_metre) <= made.torque_peak.value


def test_each_motor_has_an_inverter() -> None:
    """One whose window holds the motor's voltage and whose current feeds its peak power."""
    inverters = [SHELF.take(part_id, Inverter) for part_id in ids("inverter")]
    for part_id in ids("motor"):
        made = SHELF.take(part_id, Motor)
        need = made.power_peak.value / made.efficiency_best.value / made.voltage_nominal.value
        fits = [
            each.id for each in inverters
            if each.feeds(made)
            and each.voltage_min.value <= 0.8 * made.voltage_nominal.value
            and made.voltage_nominal.value * 1.15 <= each.voltage_max.value <= made.voltage_max.value * 1.06
            and each.current_dc_peak.value >= need / each.efficiency.value
        ]  # fmt: skip
        assert fits, part_id


@pytest.mark.parametrize("part_id", SHELF.ids("charger"))
def test_charger_can_draw_and_give_its_power(part_id: str) -> None:
    made = SHELF.take(part_id, Charger)
    assert made.power.value / made.efficiency.value <= MAINS * made.phases * made.current_ac_max.value
    assert made.power.value <= made.voltage_max.value * made.current_dc_max.value


@pytest.mark.parametrize("part_id", SHELF.ids("dc-dc"))
def test_dcdc_charges_a_battery_of_6_12_or_24_volt(part_id: str) -> None:
    """2.2 to 2.43 V for each cell of lead: common practice, no source."""
    made = SHELF.take(part_id, DcDc).voltage_out.value
    assert any(2.2 * cells <= made <= 2.43 * cells for cells in (3, 6, 12))


@pytest.mark.parametrize("part_id", SHELF.ids("fuse"))
def test_fuse_melts_above_its_rating_and_breaks_what_it_melts_at(part_id: str) -> None:
    made = SHELF.take(part_id, Fuse)
    assert made.melting is not None
    assert made.melting.ampere[0] > made.current_rated.value
    assert made.current_break_min.value < made.current_break_max.value
    assert made.melting.ampere[-1] <= made.current_break_max.value
    if made.utilisation == "full-range":
        assert made.current_break_min.value <= made.melting.ampere[0] + 1


def test_monitors_cover_every_chemistry_and_read_its_voltages() -> None:
    monitors = [SHELF.take(part_id, Bms) for part_id in ids("bms")]
    for part_id in ids("cell"):
        cell = SHELF.take(part_id, Cell)
        fits = [each for each in monitors if cell.chemistry in each.chemistries]
        assert fits, part_id
        for each in fits:
            assert each.cell_voltage_min.value <= cell.voltage_empty.value, (each.id, part_id)
            assert each.cell_voltage_max.value >= cell.voltage_full.value, (each.id, part_id)


def test_three_classes_of_voltage_are_served() -> None:
    """A pack of about 350 V, one of about 120 V and one of about 90 V each find charger and DC-DC."""
    for empty, full in ((270, 403), (90, 151), (72, 101)):
        for kind in (Charger, DcDc):
            name = next(key for key, value in KINDS.items() if value is kind)
            windows = [SHELF.take(part_id, kind) for part_id in ids(name)]
            assert any(each.voltage_min.value <= empty and each.voltage_max.value >= full for each in windows), (
                name,
                full,
            )


def test_titles_name_the_part_and_no_two_are_alike() -> None:
    parts: list[Part] = [SHELF.any(part_id) for part_id in SHELF.ids()]
    assert len({part.title for part in parts}) == len(parts)
