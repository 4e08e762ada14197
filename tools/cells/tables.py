"""The tables of a cell: open-circuit voltage over charge, and resistance over charge and temperature."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pybamm

from cells.published_set import KELVIN, Array, PublishedSet, Pulse

CHARGES = (5, 10, 20, 30, 40, 50, 60, 70, 80, 90, 95, 100)
"""Rows of the resistance tables. [% of charge]"""
CELSIUS = (-20, -10, 0, 10, 25, 40)
"""Columns of the resistance tables. [°C]"""
SHORT_RATES = (1.0, 1 / 3, 1 / 10)
"""Currents tried for 10 ms and 10 s, by multiples of the capacity per hour."""
LONG_RATES = (1 / 3, 1 / 10, 1 / 30)
"""Currents tried for ten minutes: about what a car draws on the road."""
LONG = 600.0
"""[s]"""

Tables = dict[str, Array]
"""Resistance by its time (ms, 10s, minutes): rows of charge, columns of temperature. [Ω]"""


def _runs(start: Callable[[float], Pulse], rates: tuple[float, ...], seconds: float) -> Pulse | None:
    """The pulse with the largest current that lasts."""
    for rate in rates:
        try:
            pulse = start(rate)
        except pybamm.SolverError:
            continue
        if pulse.seconds[-1] >= seconds:
            return pulse
    return None


def short_resistance(cell: PublishedSet, charge: float, celsius: float) -> tuple[float, float]:
    """Rest voltage less the voltage after 10 ms and 10 s of discharge, by the current. [Ω]"""

    def start(rate: float) -> Pulse:
        return cell.discharge(charge, celsius, rate * cell.capacity, (0.01, 10.0))

    pulse = _runs(start, SHORT_RATES, 10.0)
    if pulse is None:
        return np.nan, np.nan
    fall = pulse.open_circuit[0] - pulse.volt
    return float(fall[1] / pulse.ampere), float(fall[2] / pulse.ampere)


def long_resistance(cell: PublishedSet, charge: float, celsius: float) -> float:
    """After ten minutes of discharge that end at the charge, against the open-circuit voltage there. [Ω]"""

    def start(rate: float) -> Pulse:
        above = min(1.0, charge + rate * LONG / 3600)
        return cell.discharge(above, celsius, rate * cell.capacity, (LONG,))

    pulse = _runs(start, LONG_RATES, LONG)
    return np.nan if pulse is None else float((pulse.open_circuit[-1] - pulse.volt[-1]) / pulse.ampere)


def _fill(column: Array) -> Array:
    """The nearest valid row in place of one whose pulse could not run."""
    valid = np.flatnonzero(~np.isnan(column))
    nearest = [valid[np.argmin(np.abs(valid - row))] for row in range(len(column))]
    return column[nearest]


def measure(cell: PublishedSet, celsius: tuple[float, ...] = CELSIUS) -> Tables:
    """Pulses at every charge and temperature."""
    short = np.array([[short_resistance(cell, s / 100, t) for t in celsius] for s in CHARGES])
    long = np.array([[long_resistance(cell, s / 100, t) for t in celsius] for s in CHARGES])
    raw = {"ms": short[..., 0], "10s": short[..., 1], "minutes": long}
    for kind, table in raw.items():
        for row, column in np.argwhere(np.isnan(table)):
            print(f"  {cell.name}: no {kind} pulse at {CHARGES[row]} %, {celsius[column]} °C; nearest row taken")
    return {kind: np.apply_along_axis(_fill, 0, table) for kind, table in raw.items()}


def arrhenius(activation_energy: float) -> Array:
    """Resistance at each temperature over that at 25 °C, from an activation energy in J/mol."""
    inverse = 1 / (np.array(CELSIUS) + KELVIN) - 1 / (25 + KELVIN)
    return np.exp(activation_energy / 8.314462618 * inverse)


def ordered(tables: Tables) -> Tables:
    """No resistance less than that of a shorter time, as where the steep end of a curve falls within the pulse."""
    middle = np.maximum(tables["10s"], tables["ms"])
    return {"ms": tables["ms"], "10s": middle, "minutes": np.maximum(tables["minutes"], middle)}


def check_physical(name: str, tables: Tables) -> None:
    """Colder is worse everywhere; nearly empty is worse than half full."""
    for kind, table in tables.items():
        if not np.all(np.diff(table, axis=1) < 0):
            raise ValueError(f"{name}: resistance_{kind} does not rise as it gets colder\n{np.round(table * 1e3, 2)}")
        if not np.all(table[0] > table[CHARGES.index(50)]):
            raise ValueError(f"{name}: resistance_{kind} does not rise towards empty\n{np.round(table * 1e3, 2)}")


def voltage_table(curve: Callable[[Array], Array], within: float = 0.0012) -> dict[str, list[Any]]:
    """Charges at which straight lines stay within so many volts of the curve (three times that below 5 %)."""
    fine = np.linspace(0, 1, 4001)
    exact = curve(fine)
    allowed = np.where(fine < 0.05, 3 * within, within)
    grid = set(np.r_[0:10, 10:90:5, 90:101] / 100)
    while True:
        knots = np.array(sorted(grid))
        error = np.abs(np.interp(fine, knots, curve(knots)) - exact) / allowed
        worst = int(np.argmax(error))
        if error[worst] <= 1:
            break
        grid.add(_between(knots, float(fine[worst])))
    percent = [float(np.round(100 * s, 3)) for s in knots]
    return {"charge_percent": [int(p) if p == int(p) else p for p in percent], "volt": curve(knots).round(4).tolist()}


def _between(knots: Array, charge: float) -> float:
    """The middle of the interval that holds the charge."""
    above = int(np.searchsorted(knots, charge))
    return float((knots[above - 1] + knots[above]) / 2)
