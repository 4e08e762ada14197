"""Datasheets of what protects: contactor, fuse, cable, isolation monitor, service disconnect (MSD)."""

# Parts are frozen, so a field may be narrowed.
# pyright: reportIncompatibleVariableOverride=false

from __future__ import annotations

from typing import Literal

from voltwright.parts.base import Part
from voltwright.parts.tables import MeltingCurve
from voltwright.quantity.entry import (
    CrossSection,
    Current,
    Mass,
    MassOrNone,
    Resistance,
    SmallLength,
    SmallPower,
    Temperature,
    Time,
    Torque,
    Voltage,
)


class Contactor(Part):
    """Opens and closes the traction circuit."""

    kind: Literal["contactor"] = "contactor"
    mass: Mass
    voltage_max: Voltage
    current_continuous: Current
    current_break_max: Current
    current_make_max: Current
    coil_power: SmallPower
    polarised: bool
    auxiliary_contact: bool
    terminal_torque: Torque | None = None


class Fuse(Part):
    """Main or branch fuse for direct current."""

    kind: Literal["fuse"] = "fuse"
    mass: MassOrNone | None = None
    voltage_max: Voltage
    time_constant: Time
    current_rated: Current
    current_break_max: Current
    current_break_min: Current
    melting: MeltingCurve | None = None
    utilisation: Literal["full-range", "partial-range"]
    terminal_torque: Torque | None = None


class Cable(Part):
    """Traction cable by the metre. `mass` and `price` are for one metre."""

    kind: Literal["cable"] = "cable"
    mass: MassOrNone | None = None
    cross_section: CrossSection
    resistance: Resistance  # of one metre at 20 °C
    voltage_max: Voltage
    temperature_max: Temperature
    diameter: SmallLength
    conductor: Literal["copper", "tinned-copper", "aluminium"]
    shielded: bool
    orange: bool


class IsolationMonitor(Part):
    """Watches the resistance between the traction circuit and the body."""

    kind: Literal["isolation-monitor"] = "isolation-monitor"
    mass: Mass
    voltage_max: Voltage
    threshold: Resistance
    response_time: Time
    supply_power: SmallPower


class Msd(Part):
    """Manual service disconnect."""

    kind: Literal["msd"] = "msd"
    mass: Mass
    voltage_max: Voltage
    current_continuous: Current
    fused: bool
    interlock: bool
