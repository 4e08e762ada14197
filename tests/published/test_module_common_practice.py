"""A salvaged module against what such modules weigh and take up, and cable by the metre, as they are shipped."""

from __future__ import annotations

import pytest

from voltwright.parts.battery import Cell, Module
from voltwright.parts.protection import Cable
from voltwright.parts.shelf import catalogue
from voltwright.quantity.entry import Entry

PRACTICE = "common practice, no source"
IEC_60228 = "IEC 60228 table 3, class 5, plain copper at 20 °C; read second-hand in four agreeing copies"
ABOUT = "the trade itself says 'about'"
LAW = "catalogue: module/nca-6s70p-217ah"


def salvaged() -> Module:
    return catalogue().take("module/nca-6s70p-217ah", Module)


def stated(entry: Entry | None) -> float:
    assert entry is not None
    return entry.value


def energy(module: Module) -> float:
    """As labelled. [kWh]"""
    return stated(module.voltage_nominal) * stated(module.capacity) / 3.6e6


def test_module_is_as_heavy_as_such_modules_are(published) -> None:
    module = salvaged()
    published.check(source=PRACTICE, law=LAW, asked="energy for each kilogram [kWh/kg]", expected=0.21,
                    got=energy(module) / module.mass.value, rel=0.05, why=ABOUT)  # fmt: skip
    volume = module.length.value * module.width.value * module.height.value * 1000
    published.check(source=PRACTICE, law=LAW, asked="energy for each litre [kWh/l]", expected=0.33,
                    got=energy(module) / volume, rel=0.1, why=ABOUT)  # fmt: skip


def test_its_label_says_what_its_cells_hold() -> None:
    module = salvaged()
    cell = catalogue().take(module.cell, Cell)
    assert module.cell_count == 6 * 70
    assert stated(module.capacity) == pytest.approx(70 * cell.capacity.value, rel=0.02)
    of_cells = module.cell_count * cell.capacity.value * cell.voltage_nominal.value / 3.6e6
    assert energy(module) == pytest.approx(of_cells, rel=0.02)


@pytest.mark.parametrize(
    ("cross_section", "ohm_per_km"),
    [(16, 1.21), (25, 0.780), (35, 0.554), (50, 0.386), (70, 0.272)],
)
def test_cable_resistance_is_the_greatest_of_class_5(published, cross_section: int, ohm_per_km: float) -> None:
    cable = catalogue().take(f"cable/copper-{cross_section}mm2", Cable)
    published.check(source=IEC_60228, law="catalogue: cables", asked=f"resistance of {cross_section} mm² [Ω/km]",
                    expected=ohm_per_km, got=cable.resistance.value * 1000, rel=1e-12, why="copied")  # fmt: skip
    assert cable.cross_section.value == pytest.approx(cross_section * 1e-6)
    assert cable.resistance.origin.source is not None
    assert cable.resistance.origin.source.key == "iec-60228"
    assert (cable.conductor, cable.grade_of("resistance")) == ("copper", "datasheet")
