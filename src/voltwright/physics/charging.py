"""Charging a pack: constant current or power until the voltage is full, then as much current as holds the voltage there.

The pack is an open-circuit voltage behind a resistance. Time is the integral of capacity over current along the charge, so
that all samples of a band step together.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from voltwright.physics.cell import cell_resistance, open_circuit_voltage
from voltwright.quantity.formula import formula, procedure
from voltwright.quantity.source import Source
from voltwright.quantity.table import Curve, Grid
from voltwright.quantity.types import (
    Ampere,
    Coulomb,
    Fraction,
    Joule,
    Kelvin,
    MetrePerSecond,
    Number,
    Ohm,
    Second,
    Volt,
    Watt,
)
from voltwright.quantity.units import Unit

KiloWatt = Annotated[float, Unit("kW")]
Consumption = Annotated[float, Unit("Wh/km")]
CONSTANT_VOLTAGE = Source("plett-2015", "ch. 1 and 2")
_STEPS = 300
_HALVINGS = 40
_NO_CURRENT = 1e-9  # A
_NO_LIMIT = 1e9  # V
NEVER = 3.15e7  # s; a year, where others would write infinity


@dataclass(frozen=True, eq=False)
class PackSource:
    """A pack as charging sees it: voltage and resistance at each charge. Fields are SI floats, or arrays of samples."""

    cells_series: Any
    cells_parallel: Any
    growth: Any
    links: Any
    temperature: Any
    table: Curve
    resistances: Grid

    def at(self, charge: Any) -> tuple[Any, Any]:
        """Voltage at rest [V] and resistance [Ω]."""
        ohm = cell_resistance(charge=charge, temperature=self.temperature, table=self.resistances)
        rest = self.cells_series * open_circuit_voltage(charge=charge, table=self.table)
        return rest, self.cells_series * ohm * self.growth / self.cells_parallel + self.links

    def __str__(self) -> str:
        return f"source of {self.cells_series:g} × {self.cells_parallel:g} cells"


@dataclass(frozen=True, eq=False)
class ChargeLimits:
    """The most that may flow into a pack [A, W], and the voltage that is held at the end [V]."""

    current: Any
    power: Any
    voltage: Any

    def at(self, rest: Any, resistance: Any) -> Any:
        """Current into the pack. [A]"""
        return charging_current(
            limit=self.current,
            power=self.power,
            most_voltage=self.voltage,
            rest_voltage=rest,
            resistance=resistance,
        )

    def __str__(self) -> str:
        return f"{self.current:.4g} A, {self.power / 1000:.4g} kW, {self.voltage:.4g} V"


@procedure(
    symbol="S_p",
    words="open-circuit voltage and resistance of a cell at each charge, times cells in series, over cells in parallel, with links",
)
def pack_source(
    cells_series: Number,
    cells_parallel: Number,
    growth: Number,
    links: Ohm,
    temperature: Kelvin,
    table: Curve,
    resistances: Grid,
) -> Annotated[PackSource, Unit("1")]:
    """The pack as a voltage behind a resistance, over its charge. `links` is that of the whole pack."""
    return PackSource(cells_series, cells_parallel, growth, links, temperature, table, resistances)


@procedure(symbol="S_l", words="all three hold at once")
def charge_limits(current: Ampere, power: Watt, voltage: Volt) -> Annotated[ChargeLimits, Unit("1")]:
    """What limits a charge: current, power, and the voltage that is held at the end."""
    return ChargeLimits(current, power, voltage)


@formula(
    symbol="I_l", equation="count * phases_each * current / phases", valid="chargers spread evenly over the phases"
)
def line_current(count: Number, phases_each: Number, current: Ampere, phases: Number) -> Ampere:
    """What all chargers together draw from each of the phases that are used. [A]"""
    return count * phases_each * current / phases


@formula(
    symbol="P", equation="count * power * phases_each / phases_own", valid="each phase of a charger gives an equal part"
)
def power_of_chargers(count: Number, power: Watt, phases_each: Number, phases_own: Number) -> KiloWatt:
    """What chargers give to the pack when each uses `phases_each` of its `phases_own` phases. [W]"""
    return count * power * phases_each / phases_own


@formula(symbol="P", equation="wall_power * efficiency")
def power_behind_charger(wall_power: Watt, efficiency: Fraction) -> KiloWatt:
    """What reaches the pack of a power from the wall. [W]"""
    return wall_power * efficiency


@formula(symbol="P_ac", equation="power / efficiency")
def power_from_wall(power: Watt, efficiency: Fraction) -> KiloWatt:
    """What the wall gives for a power that reaches the pack. [W]"""
    return power / efficiency


@formula(symbol="P", equation="voltage * current")
def power_of_station(voltage: Volt, current: Ampere) -> KiloWatt:
    """Most that a station gives of which only the current is known. [W]"""
    return voltage * current


@formula(
    symbol="I",
    equation="Max(0, Min(limit, 2 * power / (rest_voltage + sqrt(rest_voltage**2 + 4 * resistance * power)), "
    "(most_voltage - rest_voltage) / resistance))",
    source=CONSTANT_VOLTAGE,
    valid="power into the pack; P = (U_0 + R · I) · I solved for its only positive root",
)
def charging_current(limit: Ampere, power: Watt, most_voltage: Volt, rest_voltage: Volt, resistance: Ohm) -> Ampere:
    """Current into the pack within the limits of current, power and voltage, whichever is least. [A]"""
    by_power = 2.0 * power / (rest_voltage + np.sqrt(rest_voltage**2 + 4.0 * resistance * power))
    by_voltage = (most_voltage - rest_voltage) / resistance
    result: Any = np.maximum(0.0 * limit, np.minimum(limit, np.minimum(by_power, by_voltage)))
    return result


@formula(symbol="P", equation="(rest_voltage + resistance * current) * current", source=Source("plett-2015", "ch. 2"))
def charging_power(rest_voltage: Volt, resistance: Ohm, current: Ampere) -> KiloWatt:
    """Power at the terminals of a pack that is charged. [W]"""
    return (rest_voltage + resistance * current) * current


@formula(
    symbol="I_end",
    equation="capacity / hours",
    source=Source("typical-practice", "a twentieth of the capacity in an hour"),
)
def end_current(capacity: Coulomb, hours: Second) -> Ampere:
    """Current at which a charge at full voltage is ended: the capacity over so many hours. [A]"""
    return capacity / hours


@formula(symbol="v_c", equation="energy / (consumption * time)")
def range_per_time(energy: Joule, consumption: Consumption, time: Second) -> MetrePerSecond:
    """Distance gained by charging, over the time that it takes. [m/s]"""
    return energy / (consumption * time)


@formula(symbol="E_ac", equation="energy / efficiency")
def energy_from_wall(energy: Joule, efficiency: Fraction) -> Annotated[float, Unit("kWh")]:
    """Energy that the wall gives for an energy that reaches the pack. [J]"""
    return energy / efficiency


@procedure(
    symbol="s_end",
    words="the charge asked for, or where, if lower, the full voltage lets in no more than the current that ends a charge "
    "(or than the supply gives); halved forty times",
    source=CONSTANT_VOLTAGE,
)
def charge_reached(target: Fraction, end_current: Ampere, limits: ChargeLimits, pack: PackSource) -> Fraction:
    """Charge at which charging ends. [1]"""
    choose: Any = np.where
    flowing = ChargeLimits(limits.current, limits.power, _NO_LIMIT)

    def goes_on(charge: Any) -> Any:
        rest, resistance = pack.at(charge)
        return (limits.voltage - rest) / resistance >= np.minimum(end_current, flowing.at(rest, resistance))

    if np.all(goes_on(target)):  # as most charges do
        return target
    low: Any = 0.0
    high: Any = 1.0
    for _ in range(_HALVINGS):
        middle: Any = (low + high) / 2.0
        on = goes_on(middle)
        low, high = choose(on, middle, low), choose(on, high, middle)
    result: Any = np.minimum(target, high)
    return result if np.ndim(result) else float(result)


def _steps(start: Any, end: Any) -> tuple[Any, Any]:
    """Middles and widths of 300 steps from one charge to another, the finer the nearer to the end: there current changes fast."""
    edges: Any = 1.0 - (1.0 - np.arange(_STEPS + 1) / _STEPS) ** 2
    span: Any = np.maximum(0.0, end - start)
    return start + span * ((edges[1:] + edges[:-1]) / 2.0)[:, None], span * np.diff(edges)[:, None]


@procedure(
    symbol="t",
    words="capacity over current, added up along the charge in 300 steps; the current at each is the least that current, power "
    "and full voltage allow",
    source=CONSTANT_VOLTAGE,
    valid="one temperature; every unit of charge that goes in is stored; resistance as in discharge",
)
def charging_time(
    start: Fraction, end: Fraction, capacity: Coulomb, limits: ChargeLimits, pack: PackSource
) -> Annotated[float, Unit("h")]:
    """Time to charge from one charge to another; a year where no current flows. [s]"""
    charge, width = _steps(start, end)
    current = limits.at(*pack.at(charge))
    total: Any = np.minimum(np.sum(capacity * width / np.maximum(current, _NO_CURRENT), axis=0), NEVER)
    return total if np.size(total) > 1 else float(np.squeeze(total))


@procedure(
    symbol="E",
    words="voltage at the terminals times capacity, added up along the charge in 300 steps, with the current of each step",
    source=CONSTANT_VOLTAGE,
    valid="one temperature; every unit of charge that goes in is stored; resistance as in discharge",
)
def charging_energy(
    start: Fraction, end: Fraction, capacity: Coulomb, limits: ChargeLimits, pack: PackSource
) -> Annotated[float, Unit("kWh")]:
    """Energy into the pack from one charge to another, with what its resistance turns into heat. [J]"""
    charge, width = _steps(start, end)
    rest, resistance = pack.at(charge)
    total: Any = np.sum((rest + resistance * limits.at(rest, resistance)) * capacity * width, axis=0)
    return total if np.size(total) > 1 else float(np.squeeze(total))


@procedure(
    symbol="y",
    words="1 where the pack, from the lowest used charge at rest up to full, stays within the voltages of station and inlet; else 0",
    source=Source("typical-practice", "a station gives no current outside its window of voltage"),
)
def voltage_fits(empty_voltage: Volt, full_voltage: Volt, least_voltage: Volt, most_voltage: Volt) -> Number:
    """Whether a station can charge a pack, by voltage alone. [1]"""
    same = 1e-9 * most_voltage
    fits: Any = np.asarray((empty_voltage >= least_voltage - same) & (full_voltage <= most_voltage + same), dtype=float)
    return fits if np.ndim(fits) else float(fits)
