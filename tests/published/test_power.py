"""Power and current of a source behind a resistance: against scipy's root finder and optimiser, and power electronics texts."""

from __future__ import annotations

from math import sqrt
from typing import Any

import numpy as np
import pytest
import scipy
from scipy.optimize import brentq, minimize_scalar

from voltwright.physics import cell as law
from voltwright.quantity.table import Curve, Grid

SCIPY = f"scipy {scipy.__version__}"
CASES = [
    (370.0, 0.10, 270.0, 250.0),
    (370.0, 0.10, 270.0, 5000.0),
    (370.0, 0.45, 100.0, 5000.0),
    (110.0, 0.02, 84.0, 400.0),
]


@pytest.mark.parametrize(("rest", "ohm", "floor", "limit"), CASES)
def test_most_power_within_the_limits(published, rest: float, ohm: float, floor: float, limit: float) -> None:
    """The optimum of (U0 - R I) I, with I bounded by the limit and by the least voltage, found by search."""
    bound = min(limit, (rest - floor) / ohm)
    found: Any = minimize_scalar(
        lambda current: -(rest - ohm * current) * current, bounds=(0, bound), method="bounded", options={"xatol": 1e-9}
    )
    current = law.greatest_current(limit=limit, rest_voltage=rest, least_voltage=floor, resistance=ohm)
    got = law.power_at_current(rest_voltage=rest, resistance=ohm, current=current)
    published.check(
        source=f"{SCIPY}, optimize.minimize_scalar",
        law="greatest_current, power_at_current",
        asked=f"U0 {rest} V, R {ohm} Ω [W]",
        expected=-float(found.fun),
        got=float(got),
        rel=1e-6,
        why="a bounded search stops short of its bound",
        keys=("pack.power_peak", "pack.power_empty_cold"),
    )


def test_matched_load(published) -> None:
    """Maximum power transfer: half the voltage at the load, U0² / 4R. Any circuit text."""
    got = law.matched_power(rest_voltage=12.0, resistance=0.02)
    published.check(
        source="maximum power transfer theorem, any circuit text",
        law="matched_power",
        asked="12 V behind 20 mΩ [W]",
        expected=1800.0,
        got=got,
        rel=1e-12,
        why="12² / 0.08",
    )


@pytest.mark.parametrize("power", [1000.0, 40000.0, 90000.0])
def test_current_for_a_power(published, power: float) -> None:
    rest, ohm = 370.0, 0.10
    expected: Any = brentq(lambda current: (rest - ohm * current) * current - power, 0, rest / (2 * ohm), xtol=1e-12)
    published.check(
        source=f"{SCIPY}, optimize.brentq on P = U·I",
        law="current_for_power",
        asked=f"{power:g} W [A]",
        expected=float(expected),
        got=float(law.current_for_power(rest_voltage=rest, resistance=ohm, power=power)),
        rel=1e-9,
        why="root to 1e-12",
        keys=("pack.current_motor_continuous",),
    )


CURVE = Curve((0.0, 0.05, 0.2, 0.6, 1.0), (2.9, 3.35, 3.55, 3.75, 4.2))
GRID = Grid((0.0, 0.2, 1.0), (273.15, 298.15), ((0.009, 0.004), (0.005, 0.002), (0.004, 0.0016)))


@pytest.mark.parametrize("power", [60000.0, 75000.0, 85000.0])
def test_charge_below_which_a_power_is_lost(published, power: float) -> None:
    cells, floor, limit = 96.0, 280.0, 260.0

    def spare(charge: float) -> float:
        rest = cells * float(np.interp(charge, CURVE.x, CURVE.y))
        ohm = cells * float(np.interp(charge, GRID.x, [row[1] for row in GRID.z])) + 0.01
        current = max(0.0, min(limit, (rest - floor) / ohm, rest / (2 * ohm)))
        return (rest - ohm * current) * current - power

    got = law.charge_where_power_fails(
        power=power,
        cells_series=cells,
        cells_parallel=1.0,
        growth=1.0,
        links=0.01,
        limit=limit,
        least_voltage=floor,
        temperature=298.15,
        table=CURVE,
        resistances=GRID,
    )
    published.check(
        source=f"{SCIPY}, optimize.brentq on the same circuit",
        law="charge_where_power_fails",
        asked=f"{power:g} W [1]",
        expected=float(np.asarray(brentq(spare, 0.0, 1.0))),
        got=got,
        absolute=2e-5,
        why="searched in steps of 0.25 %, straight between",
        keys=("pack.full_power_lost_below",),
    )


def test_power_that_is_never_there_and_always_there() -> None:
    inputs = {
        "cells_series": 96.0,
        "cells_parallel": 1.0,
        "growth": 1.0,
        "links": 0.0,
        "least_voltage": 200.0,
        "temperature": 298.15,
    }
    assert law.charge_where_power_fails(power=1e6, limit=260.0, table=CURVE, resistances=GRID, **inputs) == 1.0
    assert law.charge_where_power_fails(power=100.0, limit=260.0, table=CURVE, resistances=GRID, **inputs) == 0.0


@pytest.mark.parametrize(("direct", "alternating"), [(60.0, 42.4), (42.4, 30.0), (400.0, 282.8)])
def test_alternating_voltage(published, direct: float, alternating: float) -> None:
    """Mohan et al., Power Electronics, ch. 8: with space vectors the line-to-line fundamental reaches Ud in amplitude (from memory)."""
    published.check(
        source="Mohan, Undeland, Robbins, Power Electronics (2003), ch. 8, from memory",
        law="alternating_voltage",
        asked=f"{direct:g} V DC [V rms]",
        expected=alternating,
        got=float(law.alternating_voltage(direct_voltage=direct)),
        rel=2e-3,
        why="values to three digits",
        keys=("pack.voltage_ac",),
    )
    assert law.alternating_voltage(direct_voltage=direct) == pytest.approx(direct / sqrt(2))


@pytest.mark.parametrize(("series", "parallel", "ohm", "links"), [(6.0, 74.0, 0.035, 0.0), (96.0, 2.0, 0.001, 0.0006)])
def test_resistances_in_series_and_parallel(
    published, series: float, parallel: float, ohm: float, links: float
) -> None:
    """Solved as a circuit by its conductance matrix (Kirchhoff): strings of groups of cells between two terminals."""
    strings = 2.0 if parallel == 2.0 else 1.0
    per_string = parallel / strings
    rung = ohm / per_string
    nodes = int(series)
    matrix = np.zeros((nodes, nodes))
    for index in range(nodes):  # node 0 is the positive terminal; the last rung ends at ground
        matrix[index, index] += 1 / rung
        if index + 1 < nodes:
            matrix[index + 1, index + 1] += 1 / rung
            matrix[index, index + 1] -= 1 / rung
            matrix[index + 1, index] -= 1 / rung
    one = np.linalg.solve(matrix, np.eye(nodes)[0])[0] + 8 * links
    got = law.pack_resistance(
        cells_series=series,
        cells_parallel=parallel,
        cell_ohm=ohm,
        growth=1.0,
        modules_series=8.0,
        strings=strings,
        links=links,
    )
    published.check(
        source="Kirchhoff's laws, nodal analysis solved by numpy",
        law="pack_resistance",
        asked=f"{series:g} in series [Ω]",
        expected=one / strings,
        got=got,
        rel=1e-9,
        why="a linear solve",
        keys=("pack.resistance",),
    )
