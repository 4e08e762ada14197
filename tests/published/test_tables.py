"""Reading tables and areas under curves: against scipy's interpolators and integrator."""

from __future__ import annotations

import numpy as np
import pytest
import scipy
from scipy.integrate import quad
from scipy.interpolate import RegularGridInterpolator, interp1d

from voltwright.parts.battery import Cell
from voltwright.parts.shelf import catalogue
from voltwright.physics import cell as law
from voltwright.quantity.table import Curve, Grid

SCIPY = f"scipy {scipy.__version__}"
CURVE = Curve((0.0, 0.1, 0.35, 0.8, 1.0), (2.5, 3.3, 3.6, 3.95, 4.2))
GRID = Grid((0.0, 0.5, 1.0), (253.15, 273.15, 298.15), ((0.09, 0.06, 0.03), (0.06, 0.04, 0.02), (0.05, 0.03, 0.018)))


@pytest.mark.parametrize("charge", [0.0, 0.05, 0.1, 0.333, 0.79, 1.0])
def test_open_circuit_voltage(published, charge: float) -> None:
    published.check(
        source=f"{SCIPY}, interpolate.interp1d",
        law="open_circuit_voltage",
        asked=f"voltage at charge {charge}",
        expected=float(interp1d(CURVE.x, CURVE.y)(charge)),
        got=float(law.open_circuit_voltage(charge=charge, table=CURVE)),
        absolute=1e-12,
        why="both straight between rows",
        keys=("pack.power_peak",),
    )


@pytest.mark.parametrize(
    ("charge", "kelvin"), [(0.5, 298.15), (0.1, 260.0), (0.77, 285.0), (1.0, 253.15), (0.0, 298.15)]
)
def test_cell_resistance(published, charge: float, kelvin: float) -> None:
    expected = RegularGridInterpolator((GRID.x, GRID.y), np.array(GRID.z))([[charge, kelvin]])[0]
    published.check(
        source=f"{SCIPY}, interpolate.RegularGridInterpolator",
        law="cell_resistance",
        asked=f"at charge {charge}, {kelvin} K",
        expected=float(expected),
        got=float(law.cell_resistance(charge=charge, temperature=kelvin, table=GRID)),
        absolute=1e-12,
        why="both bilinear",
        keys=("pack.resistance",),
    )


def test_outside_the_table_its_edge_holds() -> None:
    assert law.cell_resistance(charge=0.5, temperature=333.0, table=GRID) == pytest.approx(0.02)
    assert law.cell_resistance(charge=1.5, temperature=200.0, table=GRID) == pytest.approx(0.05)
    assert law.open_circuit_voltage(charge=1.2, table=CURVE) == pytest.approx(4.2)


def test_tables_over_samples_are_tables_at_points() -> None:
    charge, kelvin = np.array([0.1, 0.5, 0.9]), np.array([260.0, 280.0, 298.0])
    both = law.cell_resistance(charge=charge, temperature=kelvin, table=GRID)  # pyright: ignore[reportArgumentType]
    ones = [
        law.cell_resistance(charge=float(a), temperature=float(b), table=GRID)
        for a, b in zip(charge, kelvin, strict=True)
    ]
    assert both == pytest.approx(np.array(ones))


@pytest.mark.parametrize(("empty", "full"), [(0.0, 1.0), (0.08, 0.95), (0.2, 0.8), (0.333, 0.334)])
@pytest.mark.parametrize("part", ["cell/nmc811-cylindrical-5ah", "cell/lfp-cylindrical-2.3ah"])
def test_mean_open_circuit_voltage(published, part: str, empty: float, full: float) -> None:
    curve = catalogue().take(part, Cell).open_circuit_voltage.curve(part)
    inside = [x for x in curve.x if empty < x < full] or None
    area = quad(interp1d(curve.x, curve.y), empty, full, points=inside, limit=500)[0]
    published.check(
        source=f"{SCIPY}, integrate.quad",
        law="mean_open_circuit_voltage",
        asked=f"{part}, {empty} to {full}",
        expected=area / (full - empty),
        got=float(law.mean_open_circuit_voltage(empty=empty, full=full, table=curve)),
        absolute=1e-8,
        why="the same straight pieces",
        keys=("pack.energy_usable",),
    )
