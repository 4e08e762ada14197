"""The main values of each kind of part, by which a shelf is looked through; a module's come in part from its cell."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from voltwright.parts.base import Part
from voltwright.parts.battery import Cell, Module
from voltwright.parts.field_words import words_of
from voltwright.parts.fields import expected
from voltwright.parts.kinds import KINDS
from voltwright.parts.shelf import Shelf
from voltwright.quantity.entry import Entry, Expect
from voltwright.quantity.errors import PartError

# In the order of the columns; price and mass stand in every list.
MAIN: Mapping[str, tuple[str, ...]] = {
    "cell": ("voltage_nominal", "capacity", "current_continuous"),
    "module": ("voltage_nominal", "capacity", "energy"),
    "bms": ("channels_per_board", "balancing_current"),
    "motor": ("voltage_nominal", "power_peak", "power_continuous", "torque_peak"),
    "inverter": ("voltage_min", "voltage_max", "current_dc_peak", "current_phase_peak"),
    "gear-unit": ("torque_in_max", "speed_in_max"),
    "charger": ("voltage_min", "voltage_max", "power"),
    "inlet": ("current_ac_max", "current_dc_max", "voltage_dc_max"),
    "dc-dc": ("voltage_min", "voltage_max", "power"),
    "heater": ("voltage_min", "voltage_max", "power"),
    "battery-12v": ("voltage_nominal", "capacity"),
    "pump": ("power",),
    "radiator": ("conductance",),
    "fan": ("power", "flow_free"),
    "contactor": ("voltage_max", "current_continuous", "current_break_max"),
    "fuse": ("voltage_max", "current_rated", "current_break_max"),
    "cable": ("voltage_max", "cross_section", "temperature_max"),
    "isolation-monitor": ("voltage_max", "threshold"),
    "msd": ("voltage_max", "current_continuous"),
}
ENERGY = Expect("kWh", above=0)  # of a module: no datasheet states it, the cells do
NUMBER = Expect("1", least=0)


@dataclass(frozen=True)
class Column:
    """One of the main values: its field, its head, and the unit in which it is asked for."""

    name: str
    label: str
    expect: Expect


def columns_of(kind: str) -> tuple[Column, ...]:
    """The main values of a kind, mass and price at the end."""
    return tuple(_column(kind, name) for name in (*MAIN[kind], "mass", "price"))


def _column(kind: str, name: str) -> Column:
    if name == "energy":
        return Column(name, "Energy", ENERGY)
    return Column(name, words_of(kind, name).label, expected(KINDS[kind].model_fields[name]) or NUMBER)


def value_of(part: Part, name: str, shelf: Shelf) -> float | None:
    """One of the main values in SI, money in its own currency; nothing where neither datasheet nor cell has it."""
    value = getattr(part, name, None)
    if value is None and isinstance(part, Module):
        known = module_values(part, shelf)
        return known.get(name)
    return value.value if isinstance(value, Entry) else None if value is None else float(value)


def module_values(module: Module, shelf: Shelf) -> dict[str, float]:
    """Nominal voltage, capacity and energy when new, in SI, as far as the cell is known. [V, A·s, J]"""
    try:
        cell = shelf.take(module.cell, Cell)
    except PartError:
        return {}
    volt = module.voltage_nominal.value if module.voltage_nominal else module.voltage_of(cell)
    capacity = module.capacity.value if module.capacity else module.capacity_of(cell)
    return {"voltage_nominal": volt, "capacity": capacity, "energy": volt * capacity}
