"""Datasheets of the battery: cell, module, monitor (BMS)."""

# Parts are frozen, so a field may be narrowed.
# pyright: reportIncompatibleVariableOverride=false

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, ValidationInfo, field_validator

from voltwright.parts.base import Id, Part, Text, in_order
from voltwright.parts.tables import OpenCircuitTable, ResistanceTable
from voltwright.quantity.entry import (
    Capacity,
    CellVoltage,
    Current,
    Entry,
    Health,
    Mass,
    MassOrNone,
    MoneyAmount,
    PositiveShare,
    Resistance,
    Share,
    SmallLength,
    SmallPower,
    SpecificHeat,
    Temperature,
    Voltage,
)

Chemistry = Literal["nmc", "nca", "lfp", "lco"]
Many = Annotated[int, Field(ge=1, le=10000)]


class Cell(Part):
    """One electrochemical cell. Tables are of a new cell; resistances are for discharge."""

    kind: Literal["cell"] = "cell"
    chemistry: Chemistry
    shape: Literal["cylindrical", "prismatic", "pouch"]
    mass: Mass
    diameter: SmallLength | None = None
    length: SmallLength | None = None
    width: SmallLength | None = None
    height: SmallLength | None = None
    capacity: Capacity
    voltage_nominal: CellVoltage
    voltage_full: CellVoltage
    voltage_empty: CellVoltage
    current_continuous: Current
    current_peak: Current
    current_charge: Current
    current_regen: Current
    temperature_charge_min: Temperature
    temperature_charge_max: Temperature
    temperature_discharge_min: Temperature
    temperature_discharge_max: Temperature
    heat_capacity: SpecificHeat
    cycles_rated: int | None = None
    cycles_rated_to: PositiveShare | None = None
    open_circuit_voltage: OpenCircuitTable
    resistance_ms: ResistanceTable | None = None
    resistance_10s: ResistanceTable
    resistance_minutes: ResistanceTable | None = None

    _voltages = in_order("voltage_empty", "voltage_nominal", "voltage_full")

    @field_validator("open_circuit_voltage")
    @classmethod
    def _ends_are_those_of_the_cell(cls, table: OpenCircuitTable, info: ValidationInfo) -> OpenCircuitTable:
        for name, volt in (("voltage_empty", table.volt[0]), ("voltage_full", table.volt[-1])):
            stated = info.data.get(name)
            if isinstance(stated, Entry) and not 0.8 <= volt / stated.value <= 1.25:
                raise ValueError(
                    f"the table ends at {volt:g} V, far from {name} ({stated.text}); it is in volts of one cell"
                )
        return table

    _currents = in_order("current_continuous", "current_peak", equal=True)
    _charging = in_order("temperature_charge_min", "temperature_charge_max")
    _discharging = in_order("temperature_discharge_min", "temperature_discharge_max")


class Module(Part):
    """Cells in parallel groups, groups in series, in one housing that is bought and bolted as one."""

    kind: Literal["module"] = "module"
    cell: Id
    groups_series: Many
    cells_parallel: Many
    mass: Mass
    length: SmallLength
    width: SmallLength
    height: SmallLength
    capacity: Capacity | None = None
    voltage_nominal: Voltage | None = None
    current_continuous: Current | None = None
    current_peak: Current | None = None
    resistance_links: Resistance
    stock: Literal["new", "surplus", "salvaged"]
    health: Health | None = None
    coolant_channels: bool
    upright_only: bool = False
    temperature_sensors: Annotated[int, Field(ge=0, le=100)]
    terminal: Text | None = None

    _currents = in_order("current_continuous", "current_peak", equal=True)

    @property
    def cell_count(self) -> int:
        return self.groups_series * self.cells_parallel

    def voltage_of(self, cell: Cell) -> float:
        """Nominal voltage that its cells make. [V]"""
        return self.groups_series * cell.voltage_nominal.value

    def capacity_of(self, cell: Cell) -> float:
        """Capacity that its cells make when new. [A·s]"""
        return self.cells_parallel * cell.capacity.value


class Bms(Part):
    """A battery management system: boards that watch cell groups, and a master that opens the contactors.

    `mass` and `price` are those of the master, or of the whole set where `board_price` is left out.
    """

    kind: Literal["bms"] = "bms"
    mass: MassOrNone | None = None
    board_mass: MassOrNone | None = None
    board_price: MoneyAmount | None = None
    channels_per_board: Many
    boards_most: Many
    sensors_per_board: Annotated[int, Field(ge=0, le=100)]
    chemistries: tuple[Chemistry, ...]
    cell_voltage_min: CellVoltage
    cell_voltage_max: CellVoltage
    voltage_max: Voltage
    balancing_current: Current
    supply_power: SmallPower
    standing_power: SmallPower | None = None
    measures_current: bool
    accuracy: Share | None = None

    _window = in_order("cell_voltage_min", "cell_voltage_max")
