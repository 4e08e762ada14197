"""Datasheets of the drive: motor, inverter, gear unit."""

# Parts are frozen, so a field may be narrowed.
# pyright: reportIncompatibleVariableOverride=false

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from voltwright.parts.base import Part, in_order
from voltwright.parts.tables import EfficiencyPoints, TorqueTable
from voltwright.quantity.entry import (
    Capacitance,
    Current,
    Entry,
    Expect,
    Flow,
    Mass,
    PositiveShare,
    Power,
    Resistance,
    SmallLength,
    Temperature,
    Time,
    Torque,
    Turning,
    Voltage,
)

Ratio = Annotated[Entry, Expect("1", above=0, most=30)]
EmfConstant = Annotated[Entry, Expect("V/krpm", least=0, most=2000)]
Cooling = Literal["none", "air", "liquid"]


class Motor(Part):
    """An electric traction motor, by itself or with a built-in reduction."""

    kind: Literal["motor"] = "motor"
    principle: Literal["permanent-magnet", "induction", "reluctance", "series-wound"]
    mass: Mass
    length: SmallLength
    diameter: SmallLength
    voltage_nominal: Voltage
    voltage_max: Voltage
    power_peak: Power
    power_peak_time: Time
    power_continuous: Power
    torque_peak: Torque
    torque_continuous: Torque
    speed_max: Turning
    efficiency_best: PositiveShare
    torque_curve_peak: TorqueTable | None = None
    torque_curve_continuous: TorqueTable | None = None
    efficiency_points: EfficiencyPoints | None = None
    back_emf: EmfConstant | None = None  # line to line, rms
    pole_pairs: Annotated[int, Field(ge=1, le=50)] | None = None
    built_in_ratio: Ratio | None = None
    cooling: Cooling
    coolant_flow: Flow | None = None
    temperature_max: Temperature | None = None

    _powers = in_order("power_continuous", "power_peak", equal=True)
    _torques = in_order("torque_continuous", "torque_peak", equal=True)
    _voltages = in_order("voltage_nominal", "voltage_max", equal=True)


class Inverter(Part):
    """Turns the pack's direct current into the motor's alternating current."""

    kind: Literal["inverter"] = "inverter"
    mass: Mass
    voltage_min: Voltage
    voltage_max: Voltage
    current_dc_peak: Current
    current_dc_continuous: Current
    current_phase_peak: Current
    current_phase_continuous: Current
    efficiency: PositiveShare
    capacitance: Capacitance
    discharge_resistor: Resistance | None = None
    cooling: Cooling
    isolated: bool = True

    _window = in_order("voltage_min", "voltage_max")
    _supply = in_order("current_dc_continuous", "current_dc_peak", equal=True)
    _phase = in_order("current_phase_continuous", "current_phase_peak", equal=True)


class GearUnit(Part):
    """A reduction, with or without a choice of ratios."""

    kind: Literal["gear-unit"] = "gear-unit"
    mass: Mass
    ratios: tuple[Annotated[float, Field(gt=0, le=30)], ...]
    torque_in_max: Torque
    speed_in_max: Turning
    efficiency: PositiveShare
    reverse: bool = False
    differential: bool = False
