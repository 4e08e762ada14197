"""Strings of cells in parallel: how they share a current, what they give together, and what flows when they are joined.

Each string is an open-circuit voltage by its own charge behind its own resistance. All are of the same cells, as many in
series; they may differ in capacity, wear, charge, temperature, and in the length of their cables.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from voltwright.physics.cell import CellVolt, cell_resistance, open_circuit_voltage
from voltwright.quantity.formula import formula, procedure
from voltwright.quantity.source import Source
from voltwright.quantity.table import Curve, Grid
from voltwright.quantity.types import Ampere, Coulomb, Fraction, Joule, Kelvin, Number, Ohm, Second, Volt
from voltwright.quantity.units import Unit

KIRCHHOFF = Source("plett-2015", "ch. 2; Kirchhoff's laws for sources behind resistances")
CAPACITORS = Source("horowitz-2015", "ch. 1; two capacitors joined through a resistance")
_SPAN = 0.05  # of charge, to either side: the slope of the open-circuit curve is taken over it
_STRAIGHT = 1e-9  # V over the whole charge: makes a level piece of the curve rise, so that it has an inverse


@dataclass(frozen=True, eq=False)
class Strings:
    """Strings in parallel. What differs has one entry a string, a float or an array of samples; SI.

    capacity [C], charge [1], `factor` [1]: resistance of a string as a multiple of that of one new cell, `links` [Ω] with its
    cables, temperature [K].
    """

    capacity: tuple[Any, ...]
    charge: tuple[Any, ...]
    factor: tuple[Any, ...]
    links: tuple[Any, ...]
    temperature: tuple[Any, ...]
    cells_series: Any
    table: Curve
    resistances: Grid

    def table_of(self, values: tuple[Any, ...], *beside: Any) -> Any:
        """One row a string and one column a sample, as many as any input (and `beside`) has."""
        every = (self.capacity, self.charge, self.factor, self.links, self.temperature, (self.cells_series,), beside)
        size = max(np.size(each) for row in every for each in row)
        return np.stack([np.array(np.broadcast_to(np.asarray(each, dtype=float), (size,))) for each in values])

    def rest(self, charge: Any) -> Any:
        """Voltage of each string at rest. [V]"""
        return self.cells_series * open_circuit_voltage(charge=charge, table=self.table)

    def resistance(self, charge: Any) -> Any:
        """Resistance of each string. [Ω]"""
        ohm = cell_resistance(charge=charge, temperature=_rows(self.temperature, charge), table=self.resistances)
        return _rows(self.factor, charge) * ohm + _rows(self.links, charge)

    def __str__(self) -> str:
        count = len(self.capacity)
        return f"{count} strings" if count > 1 else "one string"


def _rows(values: tuple[Any, ...], like: Any) -> Any:
    """One row a string, in the shape of `like`."""
    stacked: Any = np.stack([np.broadcast_to(np.asarray(each, dtype=float), like.shape[1:]) for each in values])
    return stacked


def _alike(*values: Any) -> Any:
    """All as rows of as many samples."""
    return np.broadcast_arrays(*(np.atleast_1d(np.asarray(each, dtype=float)) for each in values))


def _stacked(*rows: Any) -> Any:
    stack: Any = np.concatenate
    return stack(rows)


def _plain(values: Any) -> Any:
    return values if np.size(values) > 1 else float(np.squeeze(values))


@procedure(
    symbol="Q_1",
    words="open-circuit voltage of the cells in series at its charge, behind the resistance of its cells, links and cables",
)
def one_string(
    capacity: Coulomb,
    charge: Fraction,
    factor: Number,
    links: Ohm,
    temperature: Kelvin,
    cells_series: Number,
    table: Curve,
    resistances: Grid,
) -> Annotated[Strings, Unit("1")]:
    """One string. `factor`: cells in series over those in parallel, times growth; `links` with its cables."""
    return Strings((capacity,), (charge,), (factor,), (links,), (temperature,), cells_series, table, resistances)


@procedure(symbol="Q", words="side by side, joined at both ends", valid="the same cells, as many in series")
def beside(first: Strings, second: Strings) -> Annotated[Strings, Unit("1")]:
    """Strings and further strings beside them; cells in series and tables are those of the first."""
    return Strings(
        first.capacity + second.capacity,
        first.charge + second.charge,
        first.factor + second.factor,
        first.links + second.links,
        first.temperature + second.temperature,
        first.cells_series,
        first.table,
        first.resistances,
    )


def currents(strings: Strings, current: Any) -> Any:
    """Current of each string (rows) while `current` is drawn from all; a negative one charges its string. [A]"""
    charge = strings.table_of(strings.charge, current)
    return _shared(strings.rest(charge), strings.resistance(charge), current)[0]


def _shared(rest: Any, resistance: Any, current: Any) -> tuple[Any, Any]:
    """Kirchhoff: one voltage for all, and the currents sum up to that which is drawn. [A, V]"""
    voltage = (np.sum(rest / resistance, axis=0) - current) / np.sum(1.0 / resistance, axis=0)
    return (rest - voltage) / resistance, voltage


@procedure(
    symbol="x_s",
    words="the one voltage at which the currents of all strings sum up to that which is drawn; the largest current over that",
    source=KIRCHHOFF,
    valid="a current drawn, more than would flow between the strings without it",
)
def share_at_once(strings: Strings, current: Ampere) -> Fraction:
    """Share of the current that the string with the most of it carries in the first moment. [1]"""
    return _plain(np.max(currents(strings, current), axis=0) / current)


@formula(symbol="I", equation="capacity / hours")
def current_over(capacity: Coulomb, hours: Second) -> Ampere:
    """Current that draws a capacity in so many hours. [A]"""
    return capacity / hours


@formula(symbol="ΔU", equation="high - low")
def difference_of(high: Volt, low: Volt) -> Volt:
    """Difference of two voltages. [V]"""
    return high - low


@formula(
    symbol="E_o",
    equation="given - taken",
    valid="slowly or fast: what one side gives and the other does not take is heat",
)
def heat_of_joining(given: Joule, taken: Joule) -> Annotated[float, Unit("kWh")]:
    """What joining turns into heat, from what the chemistry of one side gives and that of the other takes. [J]"""
    return given - taken


@formula(symbol="ε", equation="voltage * share")
def error_of_reading(voltage: Volt, share: Fraction) -> Annotated[float, Unit("mV")]:
    """Greatest error of a reading that is told as a share of it. [V]"""
    return voltage * share


@formula(symbol="ΔU", equation="2 * error", valid="one reading at its upper end, the other at its lower")
def readings_apart(error: Volt) -> Annotated[float, Unit("mV")]:
    """By how much two voltages may differ that read the same. [V]"""
    return 2.0 * error


@formula(
    symbol="R_o",
    equation="string + string / Max(1, others)",
    source=KIRCHHOFF,
    valid="strings alike; the cables between them left out, which lowers the current",
)
def loop_of_join(string: Ohm, others: Number) -> Annotated[float, Unit("mΩ")]:
    """Resistance round the loop when one string is joined to others that are joined already, or to one like it. [Ω]"""
    result: Any = string + string / np.maximum(1.0, others)
    return result


@formula(symbol="I_o", equation="difference / loop", source=KIRCHHOFF, valid="the first moment")
def equalising_current(difference: Volt, loop: Ohm) -> Ampere:
    """Current in the first moment between strings that are joined at a difference of their voltages. [A]"""
    return difference / loop


@formula(symbol="ΔU", equation="current * loop", source=KIRCHHOFF, valid="the first moment")
def difference_for(current: Ampere, loop: Ohm) -> Volt:
    """Difference of the voltages at rest that drives a current round the loop. [V]"""
    return current * loop


@formula(
    symbol="C_o",
    equation="first * second / (first + second)",
    source=CAPACITORS,
)
def capacity_between(first: Coulomb, second: Coulomb) -> Coulomb:
    """What two strings are together for a charge that moves from one into the other. [C]"""
    return first * second / (first + second)


@formula(
    symbol="Q_o",
    equation="between * difference / slope",
    source=CAPACITORS,
    valid="the open-circuit curve straight between the two charges",
)
def charge_moved(between: Coulomb, difference: Volt, slope: Volt) -> Coulomb:
    """Charge that flows until two joined strings agree; `slope`: volts of a string from empty to full, were it straight. [C]"""
    return between * difference / slope


@formula(
    symbol="E_o",
    equation="between * difference**2 / (2 * slope)",
    source=CAPACITORS,
    valid="the open-circuit curve straight between the two charges",
)
def equalising_heat(between: Coulomb, difference: Volt, slope: Volt) -> Joule:
    """What joining turns into heat, whatever the resistance. [J]"""
    return between * difference**2 / (2.0 * slope)


@formula(
    symbol="t_q",
    equation="loop * between / slope * log(Max(1, difference / (loop * end)))",
    source=CAPACITORS,
    valid="the open-circuit curve straight between the two charges; one resistance",
)
def equalising_time(
    loop: Ohm, between: Coulomb, slope: Volt, difference: Volt, end: Ampere
) -> Annotated[float, Unit("min")]:
    """Time until the current between joined strings has fallen to `end`. [s]"""
    ratio = difference / (loop * end)
    result: Any = loop * between / slope * np.log(np.maximum(1.0 + 0.0 * ratio, ratio))
    return result


@formula(symbol="s_o", equation="(first * high + second * low) / (first + second)", source=KIRCHHOFF)
def charge_together(first: Coulomb, high: Fraction, second: Coulomb, low: Fraction) -> Fraction:
    """Charge at which two joined strings of the same cells come to rest. [1]"""
    return (first * high + second * low) / (first + second)


@procedure(
    symbol="k_o",
    words="voltage 5 % of charge above less that 5 % below, over the distance between the two; never less than a millivolt",
)
def slope_at(charge: Fraction, table: Curve) -> CellVolt:
    """Slope of the open-circuit curve at a charge: volts of a cell over the whole charge, were it straight. [V]"""
    above: Any = np.minimum(charge + _SPAN, 1.0)
    below: Any = np.maximum(charge - _SPAN, 0.0)
    rise: Any = open_circuit_voltage(charge=above, table=table) - open_circuit_voltage(charge=below, table=table)
    result: Any = np.maximum(1e-3, rise / (above - below))
    return result


@procedure(
    symbol="Δs_h",
    words="the longest stretch of the open-circuit curve between two charges over which the voltage rises by no more than this",
)
def hidden_charge(difference: Volt, empty: Fraction, full: Fraction, table: Curve) -> Fraction:
    """How far apart the charges of two cells can be whose voltages differ by no more than `difference`. [1]"""
    x, y = table.arrays
    rising = y + _STRAIGHT * x
    read: Any = np.interp
    apart, least, most = _alike(difference, empty, full)
    # The longest stretch begins or ends at a row of the table or at an end of what is used.
    rows = _stacked(x[:, None] + 0.0 * least, least[None, :], most[None, :])
    rows = np.clip(rows, least, most)
    volt = read(rows, x, rising)
    upwards = np.minimum(read(volt + apart, rising, x), most) - rows
    downwards = rows - np.maximum(read(volt - apart, rising, x), least)
    return _plain(np.max(np.maximum(upwards, downwards), axis=0))


@procedure(
    symbol="ΔU_s",
    words="the largest difference that two charges this far apart make anywhere between the two ends of the curve",
)
def difference_later(apart: Fraction, empty: Fraction, full: Fraction, table: Curve) -> CellVolt:
    """Largest difference of voltage that two cells reach whose charges stay so far apart. [V]"""
    x, y = table.arrays
    read: Any = np.interp
    gap, least, top = _alike(apart, empty, full)
    most: Any = np.maximum(least, top - gap)
    # The difference is straight between charges at which either cell passes a row of the table.
    rows = np.clip(_stacked(x[:, None] + 0.0 * least, x[:, None] - gap, least[None, :], most[None, :]), least, most)
    return _plain(np.max(read(rows + gap, x, y) - read(rows, x, y), axis=0))


@formula(
    symbol="g_r",
    equation="growth - (growth - fresh) / modules_series",
    source=KIRCHHOFF,
    valid="modules of a string alike but for the one that is replaced",
)
def growth_after_replacing(growth: Number, fresh: Number, modules_series: Number) -> Number:
    """Growth of a string's resistance after one of its modules was replaced. [1]"""
    return growth - (growth - fresh) / modules_series


@formula(
    symbol="C_r",
    equation="Min(fresh, others)",
    source=Source("plett-2015", "ch. 1; the weakest group sets what a series string holds"),
)
def capacity_after_replacing(fresh: Fraction, others: Fraction) -> Fraction:
    """Health of a string after its weakest module was replaced by one of health `fresh`; `others`: the weakest that stays. [1]"""
    result: Any = np.minimum(fresh, others)
    return result


@formula(
    symbol="x_u",
    equation="Max(0, 1 - string / fresh)",
    source=Source("plett-2015", "ch. 1; the weakest group sets what a series string holds"),
    valid="nothing where the string holds more than the new module",
)
def unused_of_new(string: Fraction, fresh: Fraction) -> Fraction:
    """Share of what a new module holds that its worn string never uses. [1]"""
    result: Any = np.maximum(0.0, 1.0 - string / fresh)
    return result


@formula(
    symbol="x_R",
    equation="Max(0, 1 - after / before)",
    valid="links left out; nothing where it is more afterwards",
)
def part_gone(before: Number, after: Number) -> Fraction:
    """Part of a resistance that is gone afterwards. [1]"""
    result: Any = np.maximum(0.0, 1.0 - after / before)
    return result
