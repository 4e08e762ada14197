"""A well-known size of salvaged module, and cable by the metre, as they are shipped."""

from __future__ import annotations

import pytest

from voltwright.parts.battery import Cell, Module
from voltwright.parts.protection import Cable
from voltwright.parts.shelf import catalogue
from voltwright.quantity.entry import Entry

PRACTICE = "common practice, no source"
IEC_60228 = "IEC 60228 table 3, class 5, plain copper at 20 °C; read second-hand in four agreeing copies"
ABOUT = "the trade itself says 'about'"
LAW = "catalogue: module/nca-6s74p-230ah"


def salvaged() -> Module:
    return catalogue().take("module/nca-6s74p-230ah", Module)


def stated(entry: Entry | None) -> float:
    assert entry is not None
    return entry.value


def energy(module: Module) -> float:
    """As labelled. [kWh]"""
    return stated(module.voltage_nominal) * stated(module.capacity) / 3.6e6


def test_module_of_six_groups_of_seventy_four_cells(published) -> None:
    module = salvaged()
    assert (module.groups_series, module.cells_parallel) == (6, 74)
    published.check(source=PRACTICE, law=LAW, asked="cells in 6 groups of 74", expected=444, got=module.cell_count,
                    absolute=0.0, why="a count")  # fmt: skip
    published.check(source=PRACTICE, law=LAW, asked="nominal voltage [V]", expected=22.8,
                    got=stated(module.voltage_nominal), absolute=0.05, why="as printed on the label")  # fmt: skip
    published.check(
        source=PRACTICE, law=LAW, asked="energy [kWh]", expected=5.3, got=energy(module), rel=0.01, why=ABOUT
    )
    published.check(
        source=PRACTICE, law=LAW, asked="mass [kg]", expected=25, got=module.mass.value, rel=0.05, why=ABOUT
    )


def test_five_such_modules_in_series(published) -> None:
    module = salvaged()
    published.check(source=PRACTICE, law=LAW, asked="nominal voltage of five in series [V]", expected=114,
                    got=5 * stated(module.voltage_nominal), absolute=0.25, why="five times a label")  # fmt: skip
    published.check(source=PRACTICE, law=LAW, asked="energy of five in series [kWh]", expected=26.5,
                    got=5 * energy(module), rel=0.01, why=ABOUT)  # fmt: skip


def test_its_cells_hold_as_much(published) -> None:
    module = salvaged()
    cell = catalogue().take(module.cell, Cell)
    of_cells = module.cell_count * cell.capacity.value * cell.voltage_nominal.value / 3.6e6
    published.check(source=PRACTICE, law=LAW, asked="energy of 444 of its cells [kWh]", expected=5.3, got=of_cells,
                    rel=0.01, why=ABOUT)  # fmt: skip


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
