"""Datasheets of charging, supply and heating: charger, inlet, DC-DC, heater, 12 V battery, pump, radiator, fan."""

# Parts are frozen, so a field may be narrowed.
# pyright: reportIncompatibleVariableOverride=false

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from voltwright.parts.base import Part, in_order
from voltwright.parts.tables import FlowCurve
from voltwright.quantity.entry import (
    Capacity,
    Conductance,
    Current,
    Entry,
    Expect,
    Mass,
    MassOrNone,
    PositiveShare,
    Power,
    SmallLength,
    SmallPower,
    Temperature,
    Voltage,
)

AirFlow = Annotated[Entry, Expect("m³/h", above=0, most=20000)]
Phases = Annotated[int, Field(ge=1, le=3)]


class _Window(Part):
    voltage_min: Voltage
    voltage_max: Voltage

    _opens = in_order("voltage_min", "voltage_max")


class Charger(_Window):
    """On-board charger; the window is that of its direct-current side."""

    kind: Literal["charger"] = "charger"
    mass: Mass
    power: Power
    phases: Phases
    power_single_phase: Power | None = None
    current_ac_max: Current
    current_single_phase: Current | None = None
    current_dc_max: Current
    efficiency: PositiveShare
    isolated: bool
    cooling: Literal["none", "air", "liquid"] = "air"


class Inlet(Part):
    """Charge inlet to IEC 62196."""

    kind: Literal["inlet"] = "inlet"
    mass: MassOrNone | None = None
    standard: Literal["iec-62196-type-1", "iec-62196-type-2", "iec-62196-combined-1", "iec-62196-combined-2"]
    phases: Phases
    current_ac_max: Current
    current_dc_max: Current | None = None
    voltage_dc_max: Voltage | None = None


class DcDc(_Window):
    """Feeds the low-voltage side from the pack; the window is that of its input."""

    kind: Literal["dc-dc"] = "dc-dc"
    mass: Mass
    power: SmallPower
    voltage_out: Voltage
    efficiency: PositiveShare
    isolated: bool
    standing_power: SmallPower | None = None


class Heater(_Window):
    """Cabin or pack heater on traction voltage; `power` is what it draws.

    A heat pump has `ideal_share`: of the heat that an ideal one would give for the same electricity.
    """

    kind: Literal["heater"] = "heater"
    mass: Mass
    power: Power
    medium: Literal["air", "coolant"]
    ideal_share: PositiveShare | None = None


class Battery12V(Part):
    """The low-voltage battery."""

    kind: Literal["battery-12v"] = "battery-12v"
    mass: Mass
    voltage_nominal: Voltage
    capacity: Capacity
    technology: Literal["lead-flooded", "lead-agm", "lfp"]


class Pump(Part):
    """Coolant pump: pressure in kPa over flow."""

    kind: Literal["pump"] = "pump"
    mass: Mass
    power: SmallPower
    pressure: FlowCurve


class Radiator(Part):
    """Coolant to air, at 3 m/s of air through the core: W/K over coolant flow."""

    kind: Literal["radiator"] = "radiator"
    mass: Mass
    width: SmallLength
    height: SmallLength
    depth: SmallLength
    conductance: Conductance
    conductance_over_flow: FlowCurve | None = None


class Fan(Part):
    """Moves air through a radiator or a box: pressure in Pa over flow."""

    kind: Literal["fan"] = "fan"
    mass: Mass
    power: SmallPower
    flow_free: AirFlow
    pressure: FlowCurve | None = None
    temperature_max: Temperature | None = None
