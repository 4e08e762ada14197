"""Datasheets of the drive: motor, inverter, gear unit."""

# Parts are frozen, so a field may be narrowed.
# pyright: reportIncompatibleVariableOverride=false

from __future__ import annotations

import math
from typing import Annotated, Literal

from pydantic import Field, ValidationInfo, field_validator

from voltwright.parts.base import Part, in_order
from voltwright.parts.tables import EfficiencyMap, EfficiencyPoints, TorqueTable
from voltwright.physics.motor_fit import LossPoints
from voltwright.quantity.entry import (
    Capacitance,
    Current,
    Entry,
    Expect,
    Flow,
    Inertia,
    Mass,
    PositiveShare,
    Resistance,
    SmallLength,
    SmallPower,
    Temperature,
    Time,
    Torque,
    Turning,
    Voltage,
)
from voltwright.quantity.errors import Problem, QuantityError

Ratio = Annotated[Entry, Expect("1", above=0, most=30)]
RiseTime = Annotated[Entry, Expect("ms", least=0, most=10000)]
MotorPower = Annotated[Entry, Expect("kW", above=0, most=2000)]
EmfConstant = Annotated[Entry, Expect("V/krpm", least=0, most=2000)]
Cooling = Literal["none", "air", "liquid"]
CURVE_MAY_EXCEED = 1.1  # a curve above this share of the stated peak contradicts it; rounding does not reach it
MOST_RATIOS = 6
HIGHEST_RATIO = 30


class Motor(Part):
    """An electric traction motor, by itself or with a built-in reduction."""

    kind: Literal["motor"] = "motor"
    principle: Literal["permanent-magnet", "induction", "reluctance", "series-wound"]
    mass: Mass
    length: SmallLength
    diameter: SmallLength
    voltage_nominal: Voltage
    voltage_max: Voltage
    power_peak: MotorPower
    power_peak_time: Time
    power_continuous: MotorPower
    torque_peak: Torque
    torque_continuous: Torque
    speed_max: Turning
    efficiency_best: PositiveShare
    torque_curve_peak: TorqueTable | None = None
    torque_curve_continuous: TorqueTable | None = None
    efficiency_points: EfficiencyPoints | None = None
    efficiency_map: EfficiencyMap | None = None
    current_phase_peak: Current | None = None
    current_phase_continuous: Current | None = None
    rotor_inertia: Inertia | None = None
    back_emf: EmfConstant | None = None  # line to line, rms
    pole_pairs: Annotated[int, Field(ge=1, le=50)] | None = None
    built_in_ratio: Ratio | None = None
    cooling: Cooling
    coolant_flow: Flow | None = None
    temperature_max: Temperature | None = None

    _powers = in_order("power_continuous", "power_peak", equal=True)
    _torques = in_order("torque_continuous", "torque_peak", equal=True)
    _voltages = in_order("voltage_nominal", "voltage_max", equal=True)
    _currents = in_order("current_phase_continuous", "current_phase_peak", equal=True)

    @field_validator("speed_max")
    @classmethod
    def _power_is_reached(cls, value: Entry, info: ValidationInfo) -> Entry:
        """The torque at the highest speed must make the power, or nothing ever does."""
        for name in ("peak", "continuous"):
            torque, power = info.data.get(f"torque_{name}"), info.data.get(f"power_{name}")
            if torque and power and power.value > CURVE_MAY_EXCEED * torque.value * value.value:
                most = torque.value * value.value / 1000
                what = f"{torque.text} at {value.text} make {most:.3g} kW, less than power_{name}, {power.text}"
                allowed = f"a power_{name} that torque_{name} makes at speed_max or below"
                raise QuantityError(Problem(what, allowed, "check the units of torque, speed and power"))
        return value

    @field_validator("torque_curve_peak", "torque_curve_continuous")
    @classmethod
    def _curve_agrees(cls, curve: TorqueTable | None, info: ValidationInfo) -> TorqueTable | None:
        """A curve that gives more than the peak that stands beside it: one of the two is wrong."""
        torque, power = info.data.get("torque_peak"), info.data.get("power_peak")
        for rpm, newton_metre in zip(curve.rpm, curve.newton_metre, strict=True) if curve else ():
            watt = newton_metre * rpm * math.pi / 30
            if torque and newton_metre > CURVE_MAY_EXCEED * torque.value:
                what = f"{newton_metre:g} N·m at {rpm:g} rpm is more than torque_peak, {torque.text}"
                raise _contradiction(what, "torque_peak")
            if power and watt > CURVE_MAY_EXCEED * power.value:
                what = (
                    f"{newton_metre:g} N·m at {rpm:g} rpm is {watt / 1000:.3g} kW, more than power_peak, {power.text}"
                )
                raise _contradiction(what, "power_peak")
        return curve

    @field_validator("efficiency_map")
    @classmethod
    def _one_table_of_efficiency(cls, value: EfficiencyMap | None, info: ValidationInfo) -> EfficiencyMap | None:
        if value and info.data.get("efficiency_points"):
            what = "efficiency_points and efficiency_map both stand in this datasheet"
            raise QuantityError(Problem(what, "one of the two, or neither", "take one of them out"))
        return value

    @property
    def losses(self) -> LossPoints | None:
        """Efficiency at points, from whichever table the datasheet holds."""
        table = self.efficiency_points or self.efficiency_map
        return table.losses("efficiency of the motor") if table else None


def _contradiction(what: str, field: str) -> QuantityError:
    allowed = f"points up to {field}; {round(100 * CURVE_MAY_EXCEED - 100)} % above it is taken as rounding"
    return QuantityError(Problem(what, allowed, f"check the units of the curve (rpm, N·m), or mend {field}"))


class Inverter(Part):
    """Turns the pack's direct current into the motor's alternating current, or chops it for a series-wound motor."""

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
    idle_power: SmallPower | None = None
    torque_rise: RiseTime | None = None
    cooling: Cooling
    isolated: bool = True
    motor_current: Literal["alternating", "direct"] = "alternating"
    reverses: bool | None = (
        None  # turns the motor backwards; unsaid, one of alternating current does and a chopper does not
    )

    _window = in_order("voltage_min", "voltage_max")
    _supply = in_order("current_dc_continuous", "current_dc_peak", equal=True)
    _phase = in_order("current_phase_continuous", "current_phase_peak", equal=True)

    @property
    def turns_back(self) -> bool:
        """Whether it turns the motor backwards."""
        return self.motor_current == "alternating" if self.reverses is None else self.reverses

    def feeds(self, motor: Motor) -> bool:
        """Whether it makes the kind of current that a motor runs on."""
        return (self.motor_current == "direct") == (motor.principle == "series-wound")


class GearUnit(Part):
    """A reduction, with or without a choice of ratios."""

    kind: Literal["gear-unit"] = "gear-unit"
    mass: Mass
    ratios: tuple[float, ...]
    torque_in_max: Torque
    speed_in_max: Turning
    efficiency: PositiveShare
    reverse: bool = False
    differential: bool = False

    @field_validator("ratios")
    @classmethod
    def _some_ratios(cls, value: tuple[float, ...]) -> tuple[float, ...]:
        if not 1 <= len(value) <= MOST_RATIOS:
            what = f"{len(value)} ratios are listed" if value else "no ratio is listed"
            mend = "list the ratios, the lowest gear first; a single speed has one, such as [2.1]"
            raise QuantityError(Problem(what, f"1 to {MOST_RATIOS} ratios", mend))
        for number, ratio in enumerate(value, 1):
            if not 0 < ratio <= HIGHEST_RATIO:
                what, allowed = f"ratio {number} is {ratio:g}", f"above 0 and at most {HIGHEST_RATIO}"
                raise QuantityError(Problem(what, allowed, "write turns of the input for one turn of the output"))
        return value
