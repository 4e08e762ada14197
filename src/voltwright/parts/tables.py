"""The tables of a datasheet as they are written, with the unit in the name of each column."""

from __future__ import annotations

from itertools import pairwise

from pydantic import model_validator

from voltwright.parts.base import Frozen, Numbers
from voltwright.quantity.table import Curve, Grid

KELVIN_AT_ZERO_CELSIUS = 273.15


def _must_ascend(values: tuple[float, ...], name: str) -> None:
    if any(b <= a for a, b in pairwise(values)):
        raise ValueError(f"{name} must rise from row to row")
    if len(values) < 2:
        raise ValueError(f"{name} needs at least two rows")


def _must_match(values: tuple[float, ...], other: tuple[float, ...], name: str) -> None:
    if len(values) != len(other):
        raise ValueError(f"{name} has {len(values)} values for {len(other)} rows")


class OpenCircuitTable(Frozen):
    """Open-circuit voltage of one cell over its charge."""

    charge_percent: Numbers
    volt: Numbers

    @model_validator(mode="after")
    def _whole(self) -> OpenCircuitTable:
        _must_ascend(self.charge_percent, "charge_percent")
        _must_match(self.volt, self.charge_percent, "volt")
        if self.charge_percent[0] != 0 or self.charge_percent[-1] != 100:
            raise ValueError("charge_percent must run from 0 to 100")
        if any(b < a for a, b in pairwise(self.volt)) or self.volt[0] <= 0:
            raise ValueError("volt must be positive and must not fall as the charge rises")
        return self

    def curve(self, name: str) -> Curve:
        return Curve(tuple(x / 100 for x in self.charge_percent), self.volt, name)


class ResistanceTable(Frozen):
    """Resistance of one cell over its charge and temperature, at the time scale that the field names."""

    charge_percent: Numbers
    celsius: Numbers
    milliohm: tuple[tuple[float, ...], ...]

    @model_validator(mode="after")
    def _whole(self) -> ResistanceTable:
        _must_ascend(self.charge_percent, "charge_percent")
        _must_ascend(self.celsius, "celsius")
        if len(self.milliohm) != len(self.charge_percent):
            raise ValueError(
                f"milliohm has {len(self.milliohm)} rows for {len(self.charge_percent)} values of charge_percent"
            )
        for row in self.milliohm:
            _must_match(row, self.celsius, "a row of milliohm")
            if min(row) <= 0:
                raise ValueError("milliohm must be positive")
        return self

    def grid(self, name: str) -> Grid:
        rows = tuple(tuple(value / 1000 for value in row) for row in self.milliohm)
        return Grid(
            tuple(x / 100 for x in self.charge_percent),
            tuple(t + KELVIN_AT_ZERO_CELSIUS for t in self.celsius),
            rows,
            name,
        )


class TorqueTable(Frozen):
    """Torque over the speed of the shaft, at the voltage that the datasheet names."""

    rpm: Numbers
    newton_metre: Numbers

    @model_validator(mode="after")
    def _whole(self) -> TorqueTable:
        _must_ascend(self.rpm, "rpm")
        _must_match(self.newton_metre, self.rpm, "newton_metre")
        return self


class EfficiencyPoints(Frozen):
    """Measured efficiency at points of speed and torque."""

    rpm: Numbers
    newton_metre: Numbers
    percent: Numbers

    @model_validator(mode="after")
    def _whole(self) -> EfficiencyPoints:
        _must_match(self.newton_metre, self.rpm, "newton_metre")
        _must_match(self.percent, self.rpm, "percent")
        if any(not 0 < value < 100 for value in self.percent):
            raise ValueError("percent must lie between 0 and 100")
        return self


class MeltingCurve(Frozen):
    """Time to melt over current."""

    ampere: Numbers
    second: Numbers

    @model_validator(mode="after")
    def _whole(self) -> MeltingCurve:
        _must_ascend(self.ampere, "ampere")
        _must_match(self.second, self.ampere, "second")
        if any(b >= a for a, b in pairwise(self.second)) or min(self.second) <= 0:
            raise ValueError("second must be positive and fall as the current rises")
        return self


class FlowCurve(Frozen):
    """What a pump or fan lifts over its flow, or what a radiator sheds over the flow through it."""

    litre_per_minute: Numbers
    value: Numbers

    @model_validator(mode="after")
    def _whole(self) -> FlowCurve:
        _must_ascend(self.litre_per_minute, "litre_per_minute")
        _must_match(self.value, self.litre_per_minute, "value")
        return self
