"""The tables of a datasheet as they are written, with the unit in the name of each column."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Any, cast

from pydantic import ValidationInfo, field_validator, model_validator

from voltwright.parts.base import Frozen, Numbers
from voltwright.physics.motor_fit import LossPoints
from voltwright.quantity.errors import Problem, QuantityError
from voltwright.quantity.table import Curve, Grid

KELVIN_AT_ZERO_CELSIUS = 273.15
RADIAN_PER_SECOND = math.pi / 30  # of one rpm


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
        if self.rpm[0] < 0 or min(self.newton_metre) <= 0:
            what = "a speed below 0, or a torque that is not above 0, stands in this curve"
            allowed = "rpm from 0 upwards, newton_metre above 0"
            raise QuantityError(Problem(what, allowed, "end the curve at the last speed at which there is torque"))
        return self

    def curve(self, name: str) -> Curve:
        return Curve(tuple(rpm * RADIAN_PER_SECOND for rpm in self.rpm), self.newton_metre, name)


class EfficiencyPoints(Frozen):
    """Measured efficiency at points of speed and torque."""

    rpm: Numbers
    newton_metre: Numbers
    percent: Numbers

    @model_validator(mode="after")
    def _whole(self) -> EfficiencyPoints:
        _must_match(self.newton_metre, self.rpm, "newton_metre")
        _must_match(self.percent, self.rpm, "percent")
        for row, point in enumerate(zip(self.rpm, self.newton_metre, self.percent, strict=True), 1):
            _must_drive(f"row {row}", *point)
        _must_tell_losses_apart(self.rpm, self.newton_metre)
        return self

    def losses(self, name: str) -> LossPoints:
        speed = tuple(rpm * RADIAN_PER_SECOND for rpm in self.rpm)
        return LossPoints(speed, self.newton_metre, tuple(value / 100 for value in self.percent), name)


class EfficiencyMap(Frozen):
    """Efficiency on a full grid: a row for each speed, a column for each torque."""

    rpm: Numbers
    newton_metre: Numbers
    percent: tuple[Numbers, ...]

    @field_validator("percent", mode="before")
    @classmethod
    def _without_holes(cls, value: Any, info: ValidationInfo) -> Any:
        """Rows of one length, each value written: said here, where a hole can still be named by its place."""
        if not isinstance(value, (list, tuple)):
            return value
        rows: list[Any] = list(cast(Sequence[Any], value))
        speeds, torques = info.data.get("rpm", ()), info.data.get("newton_metre", ())
        if speeds and len(rows) != len(speeds):
            raise _hole(f"percent has {len(rows)} rows for {len(speeds)} speeds")
        for at, row in enumerate(rows, 1):
            cells: Sequence[Any] = row if isinstance(row, (list, tuple)) else ()
            if torques and len(cells) != len(torques):
                raise _hole(f"row {at} of percent has {len(cells)} values for {len(torques)} torques")
            if None in cells or "" in cells:
                column = next(number for number, cell in enumerate(cells, 1) if cell in (None, ""))
                raise _hole(f"row {at}, column {column} of percent is empty")
        return tuple(rows)

    @model_validator(mode="after")
    def _whole(self) -> EfficiencyMap:
        _must_ascend(self.rpm, "rpm")
        _must_ascend(self.newton_metre, "newton_metre")
        for at, (rpm, row) in enumerate(zip(self.rpm, self.percent, strict=True), 1):
            for column, (torque, percent) in enumerate(zip(self.newton_metre, row, strict=True), 1):
                _must_drive(f"row {at}, column {column}", rpm, torque, percent)
        _must_tell_losses_apart(self.rpm, self.newton_metre)
        return self

    def losses(self, name: str) -> LossPoints:
        """The grid as points."""
        points = [
            (rpm * RADIAN_PER_SECOND, torque, percent / 100)
            for rpm, row in zip(self.rpm, self.percent, strict=True)
            for torque, percent in zip(self.newton_metre, row, strict=True)
        ]
        speed, torque, efficiency = zip(*points, strict=True)
        return LossPoints(speed, torque, efficiency, name)


def _hole(what: str) -> QuantityError:
    allowed = "a row of percent for each value of rpm, and in each row a number for each value of newton_metre"
    mend = "fill the grid; where the motor was not measured, write single points as efficiency_points instead"
    return QuantityError(Problem(what, allowed, mend))


def _must_drive(place: str, rpm: float, torque: float, percent: float) -> None:
    """A point at which the motor drives: at rest or without torque its efficiency is nothing."""
    if rpm <= 0 or torque <= 0:
        what = f"{place}: {rpm:g} rpm and {torque:g} N·m give no power, so there is no efficiency"
        raise QuantityError(Problem(what, "rpm and newton_metre above 0", "take the point out"))
    if not 0 < percent < 100:
        what, mend = f"{place}: {percent:g} % is no efficiency", "write 93 for 93 %"
        raise QuantityError(Problem(what, "percent between 0 and 100", mend))


def _must_tell_losses_apart(rpm: tuple[float, ...], torque: tuple[float, ...]) -> None:
    """Copper, iron, windage and constant losses: three speeds and two torques tell them apart."""
    if len(set(rpm)) < 3 or len(set(torque)) < 2:
        what = f"points at {len(set(rpm))} speeds and {len(set(torque))} torques do not tell the motor's losses apart"
        mend = "add points, or leave the table out: efficiency_best stands for it then"
        raise QuantityError(Problem(what, "three speeds and two torques, or more", mend))


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
