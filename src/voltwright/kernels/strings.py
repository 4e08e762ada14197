"""Strings in parallel, drawn down together: a procedure over small steps, compiled; see docs/theory/strings.md."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from voltwright.kernels.compiled import inner, loop
from voltwright.physics.strings import KIRCHHOFF, Strings
from voltwright.quantity.formula import procedure
from voltwright.quantity.types import Ampere, Fraction
from voltwright.quantity.units import Unit

STEPS = 120


@inner
def piece(x, value):
    """Row of a table below a value, and how far the value is to the next; outside the table its edge holds."""
    low, high = 0, len(x) - 1
    inside = min(max(value, x[0]), x[high])
    while high - low > 1:
        middle = (low + high) // 2
        if x[middle] <= inside:
            low = middle
        else:
            high = middle
    return low, (inside - x[low]) / (x[low + 1] - x[low])


@inner
def along(x, y, value):
    """A curve between its rows."""
    at, part = piece(x, value)
    return y[at] + (y[at + 1] - y[at]) * part


@inner
def within(x, y, z, row_value, column_value):
    """A grid between its rows and columns."""
    row, down = piece(x, row_value)
    column, across = piece(y, column_value)
    low = z[row, column] * (1.0 - across) + z[row, column + 1] * across
    high = z[row + 1, column] * (1.0 - across) + z[row + 1, column + 1] * across
    return low * (1.0 - down) + high * down


@loop
def draw(known, charge, series, current, empty, volt_x, volt_y, ohm_x, ohm_y, ohm_z, found):
    """Draw each sample (column) down until one of its strings (rows) is empty. SI.

    `known`: capacity, factor, links and temperature, string and sample. `charge` is left as it is at the end; `found` gets
    energy, largest share and time.
    """
    count, samples = charge.shape
    flowing, rest, slope, ohm = np.zeros(count), np.zeros(count), np.zeros(count), np.zeros(count)
    for at in range(samples):
        held, whole, energy, most, time = 0.0, 0.0, 0.0, 0.0, 0.0
        for k in range(count):
            held += known[0, k, at]
            whole += known[0, k, at] * (charge[k, at] - empty[at])
        step, fall = whole / current[at] / STEPS, whole / held / STEPS
        for _ in range(STEPS):
            driven, conducted, driven_now, conducted_now = 0.0, 0.0, 0.0, 0.0
            for k in range(count):
                rest[k] = series[at] * along(volt_x, volt_y, charge[k, at])
                slope[k] = (rest[k] - series[at] * along(volt_x, volt_y, charge[k, at] - fall)) / fall
                cell = within(ohm_x, ohm_y, ohm_z, charge[k, at] - 0.5 * fall, known[3, k, at])
                ohm[k] = known[1, k, at] * cell + known[2, k, at]
                stiff = ohm[k] + slope[k] * step / (2.0 * known[0, k, at])
                driven, conducted = driven + rest[k] / stiff, conducted + 1.0 / stiff
                driven_now, conducted_now = driven_now + rest[k] / ohm[k], conducted_now + 1.0 / ohm[k]
            voltage, voltage_now = (driven - current[at]) / conducted, (driven_now - current[at]) / conducted_now
            part, given = 1.0, 0.0
            for k in range(count):
                most = max(most, (rest[k] - voltage_now) / ohm[k] / current[at])
                flowing[k] = (rest[k] - voltage) / (ohm[k] + slope[k] * step / (2.0 * known[0, k, at]))
                falls = flowing[k] * step / known[0, k, at]
                given += (rest[k] - slope[k] * falls / 2.0) * flowing[k]
                if charge[k, at] - falls < empty[at] and falls > 0.0:
                    part = min(part, max(0.0, (charge[k, at] - empty[at]) / falls))
            for k in range(count):
                charge[k, at] -= part * flowing[k] * step / known[0, k, at]
            energy, time = energy + part * step * given, time + part * step
            if part < 1.0:
                break
        found[0, at], found[1, at], found[2, at] = energy, most, time


@dataclass(frozen=True, eq=False)
class Drawn:
    """What strings gave until the first of them was down: energy of the chemistry [J], charge of each at the end [1], the
    largest share of the current that one of them carried [1], and how long it took [s]."""

    energy: Any
    charge: Any
    share: Any
    time: Any

    def __str__(self) -> str:
        if np.ndim(self.time):
            return f"drawn in {len(self.time)} cases"
        return f"{self.energy / 3.6e6:.3f} kWh in {self.time / 3600:.2f} h"


@procedure(
    symbol="D_s",
    words="a steady current drawn in 120 steps, shared by Kirchhoff's laws in the middle of each (implicit midpoint), until the "
    "first string is down to the lowest charge",
    source=KIRCHHOFF,
    valid="strings that start within some percent of each other; resistance as in the table, at every current",
)
def draw_until_first_empty(strings: Strings, current: Ampere, empty: Fraction) -> Annotated[Drawn, Unit("1")]:
    """Draw a steady current until one string is at its lowest charge."""
    charge = strings.table_of(strings.charge, current, empty)
    samples = charge.shape[1]
    columns = (strings.capacity, strings.factor, strings.links, strings.temperature)
    known = np.stack([strings.table_of(each, charge[0]) for each in columns])
    volt, ohm, found = strings.table.arrays, strings.resistances.arrays, np.zeros((3, samples))
    series, drawn, least = (np.full(samples, each, dtype=float) for each in (strings.cells_series, current, empty))
    draw(known, charge, series, drawn, least, *volt, *ohm, found)
    if samples > 1:
        return Drawn(found[0], charge, found[1], found[2])
    return Drawn(float(found[0, 0]), charge, float(found[1, 0]), float(found[2, 0]))


@procedure(symbol="E_s", words="the energy of the simulation", source=KIRCHHOFF)
def energy_of_strings(drawn: Drawn) -> Annotated[float, Unit("kWh")]:
    """Energy of the chemistry that all strings gave until the first was down. [J]"""
    return drawn.energy


@procedure(symbol="Δs", words="the fullest string less the emptiest, at the end of the simulation")
def charge_apart(drawn: Drawn) -> Fraction:
    """How far apart the charges of the strings are when the first is down. [1]"""
    apart: Any = np.max(drawn.charge, axis=0) - np.min(drawn.charge, axis=0)
    return apart if len(apart) > 1 else float(apart[0])


@procedure(symbol="x_d", words="the largest share in any step of the simulation")
def share_drawn(drawn: Drawn) -> Fraction:
    """Largest share of the current that one string carried on the way down. [1]"""
    return drawn.share
