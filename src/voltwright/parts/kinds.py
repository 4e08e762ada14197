"""Every kind of part by the first half of its id."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from voltwright.parts.base import Part
from voltwright.parts.battery import Bms, Cell, Module
from voltwright.parts.drive import GearUnit, Inverter, Motor
from voltwright.parts.power import Battery12V, Charger, DcDc, Fan, Heater, Inlet, Pump, Radiator
from voltwright.parts.protection import Cable, Contactor, Fuse, IsolationMonitor, Msd

KINDS: dict[str, type[Part]] = {
    "cell": Cell, "module": Module, "bms": Bms,
    "motor": Motor, "inverter": Inverter, "gear-unit": GearUnit,
    "charger": Charger, "inlet": Inlet, "dc-dc": DcDc, "heater": Heater, "battery-12v": Battery12V,
    "pump": Pump, "radiator": Radiator, "fan": Fan,
    "contactor": Contactor, "fuse": Fuse, "cable": Cable, "isolation-monitor": IsolationMonitor, "msd": Msd,
}  # fmt: skip

# As people of the trade call them.
TITLES: dict[str, str] = {
    "cell": "Battery cell", "module": "Battery module", "bms": "Battery management (BMS)",
    "motor": "Motor", "inverter": "Inverter", "gear-unit": "Gear unit",
    "charger": "Charger", "inlet": "Charging inlet", "dc-dc": "DC-DC converter", "heater": "Heater", "battery-12v": "12 V battery",
    "pump": "Coolant pump", "radiator": "Radiator", "fan": "Fan",
    "contactor": "Contactor", "fuse": "Fuse", "cable": "Cable", "isolation-monitor": "Isolation monitor",
    "msd": "Manual service disconnect (MSD)",
}  # fmt: skip

# Parts whose ratings stand between a fault and a person.
PROTECTIVE = ("fuse", "contactor", "cable", "bms", "msd")


def kind_of(raw: Mapping[str, Any]) -> type[Part] | None:
    """The kind that a datasheet names, or that its id begins with."""
    return KINDS.get(str(raw.get("kind") or str(raw.get("id", "")).split("/")[0]))
