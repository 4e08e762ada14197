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
from voltwright.quantity.types import Ampere, Coulomb, Fraction, Joule, Kelvin, Number, Ohm, Volt
from voltwright.quantity.units import Unit

KIRCHHOFF = Source("plett-2015", "ch. 2; Kirchhoff's laws for sources behind resistances")
CAPACITORS = Source("horowitz-2015", "ch. 1; two capacitors joined through a resistance")
_STEPS = 120
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


@dataclass(frozen=True, eq=False)
class Drawn:
    """What strings gave until the first of them was down: energy of the chemistry [J], charge of each at the end [1], the
    largest share of the current that one of them carried, and how long it took [s]."""

    energy: Any
    charge: Any
    share: Any
    time: Any

    def __str__(self) -> str:
        if np.ndim(self.time):
            return f"drawn in {len(self.time)} cases"
        return f"{self.energy / 3.6e6:.3f} kWh in {self.time / 3600:.2f} h"


def _rows(values: tuple[Any, ...], like: Any) -> Any:
    """One row a string, in the shape of `like`."""
    stacked: Any = np.stack([np.broadcast_to(np.asarray(each, dtype=float), like.shape[1:]) for each in values])
    return stacked


def _table_of(strings: Strings) -> Any:
    """Charge of each string, one row a string and one column a sample."""
    every = (strings.capacity, strings.charge, strings.factor, strings.links, strings.temperature)
    size = max(np.size(each) for row in (*every, (strings.cells_series,)) for each in row)
    return np.stack([np.broadcast_to(np.asarray(each, dtype=float), (size,)) for each in strings.charge])


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
    charge = _table_of(strings)
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


@procedure(
    symbol="D_s",
    words="a steady current drawn in 120 steps, shared by Kirchhoff's laws in the middle of each (implicit midpoint), until the "
    "first string is down to the lowest charge",
    source=KIRCHHOFF,
    valid="strings that start within some percent of each other; resistance as in the table, at every current",
)
def draw_until_first_empty(strings: Strings, current: Ampere, empty: Fraction) -> Annotated[Drawn, Unit("1")]:
    """Draw a steady current until one string is at its lowest charge."""
    charge = _table_of(strings)
    capacity = _rows(strings.capacity, charge)
    whole = np.sum(capacity * (charge - empty), axis=0)
    step, each = whole / current / _STEPS, whole / np.sum(capacity, axis=0) / _STEPS
    energy, time, share = (np.zeros(charge.shape[1]) for _ in range(3))
    for _ in range(_STEPS):
        rest = strings.rest(charge)
        slope = (rest - strings.rest(charge - each)) / each
        ohm = strings.resistance(charge - each / 2.0)
        share = np.maximum(share, np.max(_shared(rest, ohm, current)[0], axis=0) / current)
        flowing = _shared(rest, ohm + slope * step / (2.0 * capacity), current)[0]
        after = charge - flowing * step / capacity
        part = _until(charge, after, empty)
        energy += part * step * np.sum((rest - slope * (charge - after) / 2.0) * flowing, axis=0)
        time = time + part * step
        charge = charge + part * (after - charge)
        if not np.any(part):
            break
    return Drawn(_plain(energy), charge, _plain(share), _plain(time))


def _until(before: Any, after: Any, empty: Any) -> Any:
    """Part of a step until the first string is down; none where one was down before."""
    fall: Any = np.maximum(before - after, 1e-15)
    return np.clip(np.min((before - empty) / fall, axis=0), 0.0, 1.0)


@procedure(symbol="E_s", words="the energy of the simulation", source=KIRCHHOFF)
def energy_of_strings(drawn: Drawn) -> Annotated[float, Unit("kWh")]:
    """Energy of the chemistry that all strings gave until the first was down. [J]"""
    return drawn.energy


@procedure(symbol="Δs", words="the fullest string less the emptiest, at the end of the simulation")
def charge_apart(drawn: Drawn) -> Fraction:
    """How far apart the charges of the strings are when the first is down. [1]"""
    return _plain(np.max(drawn.charge, axis=0) - np.min(drawn.charge, axis=0))


@procedure(symbol="x_d", words="the largest share in any step of the simulation")
def share_drawn(drawn: Drawn) -> Fraction:
    """Largest share of the current that one string carried on the way down. [1]"""
    return drawn.share


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
    # The longest stretch begins or ends at a row of the table or at an end of what is used.
    rows: Any = np.concatenate(
        [x[:, None] + 0.0 * np.atleast_1d(empty), np.atleast_1d(empty)[None, :], np.atleast_1d(full)[None, :]]
    )
    rows = np.clip(rows, empty, full)
    volt = read(rows, x, rising)
    upwards = np.minimum(read(volt + difference, rising, x), full) - rows
    downwards = rows - np.maximum(read(volt - difference, rising, x), empty)
    return _plain(np.max(np.maximum(upwards, downwards), axis=0))


@procedure(
    symbol="ΔU_s",
    words="the largest difference that two charges this far apart make anywhere between the two ends of the curve",
)
def difference_later(apart: Fraction, empty: Fraction, full: Fraction, table: Curve) -> CellVolt:
    """Largest difference of voltage that two cells reach whose charges stay so far apart. [V]"""
    x, y = table.arrays
    read: Any = np.interp
    ends = np.atleast_1d(empty + 0.0 * apart), np.atleast_1d(full - apart)
    rows: Any = np.concatenate(
        [x[:, None] + 0.0 * ends[0], x[:, None] - np.atleast_1d(apart), ends[0][None, :], ends[1][None, :]]
    )
    rows = np.clip(rows, ends[0], np.maximum(ends[0], ends[1]))
    return _plain(np.max(read(rows + apart, x, y) - read(rows, x, y), axis=0))


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
    symbol="x_r",
    equation="1 - string / fresh",
    source=Source("plett-2015", "ch. 1; the weakest group sets what a series string holds"),
    valid="the new module holds at least as much as the string",
)
def unused_of_new(string: Fraction, fresh: Fraction) -> Fraction:
    """Share of what a new module holds that its worn string never uses. [1]"""
    return 1.0 - string / fresh
