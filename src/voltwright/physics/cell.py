"""A cell and a pack of equal cells: open-circuit voltage behind a resistance.

Resistance has a time: the tables say whether it is that of milliseconds, ten seconds or minutes.
"""

from __future__ import annotations

from typing import Annotated, Any

import numpy as np

from voltwright.quantity.formula import formula, procedure
from voltwright.quantity.source import Source
from voltwright.quantity.table import Curve, Grid
from voltwright.quantity.types import Ampere, Coulomb, Fraction, Kelvin, Number, Ohm, Volt, Watt
from voltwright.quantity.units import Unit

# numpy types these for arrays alone.
_interpolate: Any = np.interp
_search: Any = np.searchsorted

CellVolt = Annotated[float, Unit("V")]
CellOhm = Annotated[float, Unit("mΩ")]


@formula(symbol="n", equation="first * second")
def product(first: Number, second: Number) -> Number:
    """How many things there are in `first` rows of `second` each. [1]"""
    return first * second


@procedure(symbol="U_0", words="read from the table at this charge, straight between its rows")
def open_circuit_voltage(charge: Fraction, table: Curve) -> CellVolt:
    """Voltage of a rested cell at a charge. [V]"""
    x, y = table.arrays
    return _interpolate(charge, x, y)


@procedure(
    symbol="R", words="read from the table at this charge and temperature, straight between its rows and columns"
)
def cell_resistance(charge: Fraction, temperature: Kelvin, table: Grid) -> CellOhm:
    """Resistance of a cell at the time scale of the table. [Ω]"""
    x, y, z = table.arrays
    row, along_x = _place(charge, x)
    column, along_y = _place(temperature, y)
    low = z[row, column] * (1.0 - along_y) + z[row, column + 1] * along_y
    high = z[row + 1, column] * (1.0 - along_y) + z[row + 1, column + 1] * along_y
    result: Any = low * (1.0 - along_x) + high * along_x
    return result


def _place(value: Any, axis: Any) -> tuple[Any, Any]:
    """Index of the row below, and how far between it and the next; outside the table its edge holds."""
    if isinstance(value, float):  # the same for one number, for which numpy takes ten times as long
        only = min(max(value, axis[0]), axis[-1])
        below = min(max(int(axis.searchsorted(only, side="right")) - 1, 0), len(axis) - 2)
        return below, (only - axis[below]) / (axis[below + 1] - axis[below])
    inside = np.clip(value, axis[0], axis[-1])
    index = np.clip(_search(axis, inside, side="right") - 1, 0, len(axis) - 2)
    return index, (inside - axis[index]) / (axis[index + 1] - axis[index])


@formula(symbol="U", equation="cells_series * cell_voltage", source=Source("plett-2015", "ch. 1"))
def voltage_in_series(cells_series: Number, cell_voltage: Volt) -> Volt:
    """Voltage of equal groups in series. [V]"""
    return cells_series * cell_voltage


@formula(
    symbol="U_ac",
    equation="direct_voltage / sqrt(2)",
    source=Source("mohan-2003", "ch. 8, linear limit with injected zero sequence or space-vector modulation"),
    valid="up to the linear limit of modulation",
)
def alternating_voltage(direct_voltage: Volt) -> Volt:
    """Greatest line-to-line voltage (rms of the fundamental) that a three-phase inverter makes. [V]"""
    result: Any = direct_voltage / np.sqrt(2.0)
    return result


@formula(symbol="C", equation="cells_parallel * cell_capacity * health", source=Source("plett-2015", "ch. 1"))
def capacity_in_parallel(cells_parallel: Number, cell_capacity: Coulomb, health: Fraction) -> Coulomb:
    """Capacity of equal cells in parallel, at their present health. [C]"""
    return cells_parallel * cell_capacity * health


@formula(symbol="y_s", equation="1 / growth")
def string_conductance(growth: Number) -> Number:
    """Conductance of a worn string as a multiple of that of a new one. [1]"""
    return 1.0 / growth


@formula(
    symbol="g",
    equation="growth * warm_ohm / mild_ohm + cable * cells_parallel / (cells_series * mild_ohm)",
    source=Source("plett-2015", "ch. 2; resistances in series"),
    valid="links left out",
)
def growth_in_place(
    growth: Number, warm_ohm: Ohm, mild_ohm: Ohm, cable: Ohm, cells_parallel: Number, cells_series: Number
) -> Number:
    """Resistance of a string where it stands, its own cables and temperature counted, as a multiple of a new mild one. [1]"""
    return growth * warm_ohm / mild_ohm + cable * cells_parallel / (cells_series * mild_ohm)


@formula(symbol="g", equation="strings / conductances")
def growth_of_strings(strings: Number, conductances: Number) -> Number:
    """Resistance of unequal strings in parallel as a multiple of that of as many new ones; `conductances` is their sum. [1]"""
    return strings / conductances


@formula(symbol="x_s", equation="greatest / conductances", valid="strings of the same open-circuit voltage")
def largest_string_share(greatest: Number, conductances: Number) -> Fraction:
    """Share of the pack's current that the string of greatest conductance carries; `conductances` is the sum of all. [1]"""
    return greatest / conductances


@formula(symbol="n_s", equation="1 / share")
def strings_that_count(share: Fraction) -> Number:
    """How many times the limit of one string the pack may carry, so that the string with the largest share keeps to it. [1]"""
    return 1.0 / share


@formula(symbol="h_c", equation="sum_of_health / strings")
def mean_health(sum_of_health: Number, strings: Number) -> Fraction:
    """Health of strings in parallel, which empty together: the mean. [1]"""
    return sum_of_health / strings


@formula(symbol="I", equation="cells_parallel * cell_current")
def current_in_parallel(cells_parallel: Number, cell_current: Ampere) -> Ampere:
    """Current of equal cells in parallel. [A]"""
    return cells_parallel * cell_current


@formula(
    symbol="R",
    equation="cells_series * cell_ohm * growth / cells_parallel + modules_series * links / strings",
    source=Source("plett-2015", "ch. 2; resistances in series and parallel"),
)
def pack_resistance(
    cells_series: Number,
    cells_parallel: Number,
    cell_ohm: Ohm,
    growth: Number,
    modules_series: Number,
    strings: Number,
    links: Ohm,
) -> Annotated[float, Unit("mΩ")]:
    """Resistance between the traction terminals: cells as they are now, and the links of each module. [Ω]"""
    return cells_series * cell_ohm * growth / cells_parallel + modules_series * links / strings


@formula(symbol="R_l", equation="modules_series * links / strings")
def pack_links(modules_series: Number, strings: Number, links: Ohm) -> Annotated[float, Unit("mΩ")]:
    """Resistance of the links of all modules, as strings in parallel. [Ω]"""
    return modules_series * links / strings


@formula(symbol="E", equation="voltage * capacity", source=Source("plett-2015", "ch. 1"))
def nominal_energy(voltage: Volt, capacity: Coulomb) -> Annotated[float, Unit("kWh")]:
    """Energy that the nameplate promises. [J]"""
    return voltage * capacity


@procedure(
    symbol="Ū",
    words="area under the open-circuit curve between the two charges, divided by their distance",
    source=Source("plett-2015", "ch. 1; energy is the integral of voltage over charge"),
)
def mean_open_circuit_voltage(empty: Fraction, full: Fraction, table: Curve) -> CellVolt:
    """Mean voltage of a rested cell between two charges. [V]"""
    x, y = table.arrays
    below = np.concatenate(([0.0], np.cumsum((y[1:] + y[:-1]) / 2.0 * np.diff(x))))
    # The integral of a straight piece is a parabola: integrate the last piece exactly.
    result: Any = (_area_to(full, x, y, below) - _area_to(empty, x, y, below)) / (full - empty)
    return result


def _area_to(charge: Any, x: Any, y: Any, below: Any) -> Any:
    index, along = _place(charge, x)
    width = (x[index + 1] - x[index]) * along
    top = y[index] + (y[index + 1] - y[index]) * along
    return below[index] + width * (y[index] + top) / 2.0


@formula(
    symbol="E_u",
    equation="cells_series * mean_voltage * capacity * (full - empty)",
    source=Source("plett-2015", "ch. 1; energy is the integral of voltage over charge"),
    valid="drawn slowly: what the resistance turns into heat is left out",
)
def usable_energy(
    cells_series: Number, mean_voltage: Volt, capacity: Coulomb, full: Fraction, empty: Fraction
) -> Annotated[float, Unit("kWh")]:
    """Energy between the limits that the car uses, by the open-circuit curve. [J]"""
    return cells_series * mean_voltage * capacity * (full - empty)


@formula(
    symbol="I",
    equation="Max(0, Min(limit, (rest_voltage - least_voltage) / resistance, rest_voltage / (2 * resistance)))",
    source=Source("plett-2015", "ch. 6; HPPC power limits, solved for current"),
)
def greatest_current(limit: Ampere, rest_voltage: Volt, least_voltage: Volt, resistance: Ohm) -> Ampere:
    """The current at which a source behind a resistance gives most, within its current and voltage limits. [A]"""
    by_voltage = np.minimum((rest_voltage - least_voltage) / resistance, rest_voltage / (2.0 * resistance))
    result: Any = np.maximum(0.0 * limit, np.minimum(limit, by_voltage))
    return result


@formula(symbol="P", equation="(rest_voltage - resistance * current) * current", source=Source("plett-2015", "ch. 2"))
def power_at_current(rest_voltage: Volt, resistance: Ohm, current: Ampere) -> Annotated[float, Unit("kW")]:
    """Power at the terminals. [W]"""
    return (rest_voltage - resistance * current) * current


@formula(symbol="U", equation="rest_voltage - resistance * current", source=Source("plett-2015", "ch. 2"))
def terminal_voltage(rest_voltage: Volt, resistance: Ohm, current: Ampere) -> Volt:
    """Voltage at the terminals; a charging current is negative. [V]"""
    return rest_voltage - resistance * current


@formula(
    symbol="I",
    equation="2 * power / (rest_voltage + sqrt(Max(0, rest_voltage**2 - 4 * resistance * power)))",
    source=Source("plett-2015", "ch. 6; the lower root of P = U·I, written so that no digits are lost"),
    valid="power at most rest_voltage² / (4 · resistance); beyond it the current of that power",
)
def current_for_power(rest_voltage: Volt, resistance: Ohm, power: Watt) -> Ampere:
    """Current that gives a power at the terminals. [A]"""
    inside = np.maximum(0.0 * rest_voltage**2, rest_voltage**2 - 4.0 * resistance * power)
    result: Any = 2.0 * power / (rest_voltage + np.sqrt(inside))
    return result


@formula(
    symbol="P_max", equation="rest_voltage**2 / (4 * resistance)", source=Source("plett-2015", "ch. 6; matched load")
)
def matched_power(rest_voltage: Volt, resistance: Ohm) -> Annotated[float, Unit("kW")]:
    """The most that a source behind a resistance can give, with no other limit. [W]"""
    return rest_voltage**2 / (4.0 * resistance)


@formula(symbol="P_dc", equation="shaft_power / (motor_efficiency * inverter_efficiency)")
def power_from_pack(
    shaft_power: Watt, motor_efficiency: Fraction, inverter_efficiency: Fraction
) -> Annotated[float, Unit("kW")]:
    """What the pack must give for a power at the motor's shaft. [W]"""
    return shaft_power / (motor_efficiency * inverter_efficiency)


_STEPS = 400


@procedure(
    symbol="s",
    words="lowest charge, searched in steps of 0.25 %, at which the pack still gives this power; 100 % where it never does",
)
def charge_where_power_fails(
    power: Watt, cells_series: Number, cells_parallel: Number, growth: Number, links: Ohm, limit: Ampere, least_voltage: Volt,
    temperature: Kelvin, table: Curve, resistances: Grid,
) -> Fraction:  # fmt: skip
    """Charge below which a power is lost. `links` is that of the whole pack. [1]"""
    charge = np.linspace(1.0, 0.0, _STEPS + 1)[:, None]
    rest = cells_series * open_circuit_voltage(charge=charge, table=table)  # type: ignore[arg-type]
    ohm = cell_resistance(charge=charge, temperature=temperature, table=resistances)  # type: ignore[arg-type]
    resistance = cells_series * ohm * growth / cells_parallel + links
    current = greatest_current(limit=limit, rest_voltage=rest, least_voltage=least_voltage, resistance=resistance)
    spare = np.atleast_2d(power_at_current(rest_voltage=rest, resistance=resistance, current=current) - power)
    result: Any = np.array([_lowest_enough(charge[:, 0], column) for column in spare.T])
    return result if np.ndim(power) or result.size > 1 else float(result[0])


def _lowest_enough(charge: Any, spare: Any) -> float:
    """The lowest charge at which nothing is missing, straight between two steps.

    Not the first fall from full: the resistance of a brim-full cell rises at the very end, where power may fail and return.
    """
    enough = np.flatnonzero(spare >= 0.0)
    if enough.size == 0:
        return 1.0
    last = enough[-1]
    if last == len(spare) - 1:
        return 0.0
    share = spare[last] / (spare[last] - spare[last + 1])
    return float(charge[last] + share * (charge[last + 1] - charge[last]))
