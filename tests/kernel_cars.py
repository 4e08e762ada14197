"""Invented cars as plain numbers for tests of the kernels, with the tables of their cells and trips that find their limits."""

from __future__ import annotations

import functools
from typing import Any

import numpy as np

from voltwright.assess.trips import journey_of
from voltwright.kernels.car import Car, Tables, tables_of
from voltwright.kernels.journey import PARTS, Driven, Journey, journey
from voltwright.parts.trips import trip
from voltwright.quantity.table import Curve, Grid

RELAXATION = 30.0  # s

# A cell whose voltage and resistance bend. Its rows are those of the kernels' raster, so that both see the same lines.
CHARGE = np.linspace(0.0, 1.0, 21)
KELVIN = 253.15 + 10.0 * np.arange(9)
VOLT = 3.0 + 1.1 * CHARGE + 0.12 * np.sin(6.0 * CHARGE) * (1.0 - CHARGE)
COLD = np.exp((298.15 - KELVIN) / 30.0)
AT_ONCE = np.outer(1.2e-3 + 1.5e-3 * (1.0 - CHARGE) ** 4, COLD)
TEN_SECONDS = np.outer(2.0e-3 + 2.5e-3 * (1.0 - CHARGE) ** 4, COLD)

COUPE = Car(
    mass=1330.0, wheel_share=0.04, shaft_share=0.00033, rolling=0.013, linear=0.4, drag_area=0.74, density=1.204,
    wind=0.0, gravity=9.80665, radius=0.30, grip_force=6400.0, speed_top=60.0, ratio_1=13.0, ratio_2=8.3, ratio_3=5.4,
    ratio_4=3.9, ratio_5=3.9, ratio_6=3.9, shift_turning=660.0, gear_efficiency=0.94, torque_peak=260.0,
    power_peak=90e3, pull_out=9.4e7, torque_continuous=120.0, power_continuous=45e3, heating=104.0, voltage_motor=350.0,
    copper=0.134, iron=2.33, windage=1.64e-6, constant=43.0, inverter_efficiency=0.97, inverter_idle=35.0,
    regen_share=0.5, regen_torque=260.0, regen_speed=8.0 / 3.6, regen_grip_force=3000.0, auxiliary=180.0,
    cells_series=96.0, cell_factor=48.0, links=0.0022,
    capacity=360e3, current_max=300.0, current_regen=300.0, voltage_min=269.0, voltage_max=403.0,
    relaxation=RELAXATION, charge=0.95, charge_empty=0.08, temperature=298.15, surroundings=298.15,
    regen_coldest=273.15, heat_capacity=220e3, heat_loss=10.2,
)  # fmt: skip
# A heavy van of one gear with a small pack: asks more of each cell.
VAN = COUPE._replace(
    mass=2400.0, drag_area=1.7, **{f"ratio_{n}": 9.0 for n in range(1, 7)}, shift_turning=1e6, speed_top=38.0,
    capacity=180e3, cell_factor=96.0, grip_force=11e3, shaft_share=0.0005, wind=2.0,
)  # fmt: skip

# Each is held back by the limit that it is named after; all on a trip of `limit_trip`.
LIMITED = {
    "pack current": COUPE._replace(current_max=60.0),
    "pack voltage": COUPE._replace(voltage_min=325.0, charge=0.5),
    "motor torque or power": COUPE._replace(torque_peak=70.0, power_peak=25e3, pull_out=25e3 * 1000.0),
    "motor heat": COUPE._replace(torque_continuous=40.0, power_continuous=10e3, heating=20.0),
    "grip": COUPE._replace(grip_force=1100.0),
    "motor speed": COUPE._replace(speed_top=30.0),
}


@functools.cache
def cells() -> Tables:
    rows, columns = tuple(map(float, CHARGE)), tuple(map(float, KELVIN))
    return tables_of(
        rest=Curve(rows, tuple(map(float, VOLT))), relaxation=RELAXATION,
        at_once=Grid(rows, columns, tuple(tuple(map(float, row)) for row in AT_ONCE)),
        ten_seconds=Grid(rows, columns, tuple(tuple(map(float, row)) for row in TEN_SECONDS)),
    )  # fmt: skip


@functools.cache
def known(name: str) -> Journey:
    """A trip by its name."""
    return journey_of(trip(name))


@functools.cache
def hilly() -> Journey:
    """The class 3b trip over hills of up to 6 %."""
    flat = known("wltc-3b")
    return journey("hilly", "over hills", flat.speed, 0.06 * np.sin(np.arange(len(flat.grade)) / 40.0))


@functools.cache
def windy() -> Journey:
    """The same hills, with the wind from every side in turn."""
    on = hilly()
    return journey("windy", "over hills in the wind", on.speed, on.grade, head=np.cos(np.arange(len(on.grade)) / 37.0))


def gap(driven: Driven) -> float:
    """By how much the ledger fails to close, as a share of all that went through it."""
    book: dict[str, Any] = dict(driven.ledger)
    assert set(book) == set(PARTS)
    return abs(driven.chemistry - sum(book.values())) / sum(abs(each) for each in (driven.chemistry, *book.values()))


def many(car: Car, **fields: Any) -> Car:
    """Many cars: the fields that are named are arrays."""
    return car._replace(**{name: np.asarray(values, dtype=float) for name, values in fields.items()})
