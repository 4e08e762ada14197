"""One car as numbers in SI units, and the tables of its cells on an even raster."""

from __future__ import annotations

from typing import Annotated, Any, NamedTuple

import numpy as np

from voltwright.physics.cell import cell_resistance
from voltwright.physics.cell_dynamics import lagging_resistance
from voltwright.quantity.formula import procedure
from voltwright.quantity.table import Curve, Grid
from voltwright.quantity.types import Second
from voltwright.quantity.units import Unit


class Car(NamedTuple):
    """All that a trip asks of a car. Floats, never integers: the loops are compiled for floats."""

    mass: float  # kg, laden
    wheel_share: float  # 1: turning wheels as a share of the mass
    shaft_share: float  # 1: turning shaft at ratio 1 as a share of the mass
    rolling: float  # 1
    linear: float  # N/(m/s)
    drag_area: float  # m²
    density: float  # kg/m³
    wind: float  # m/s against the car
    gravity: float  # m/s²
    radius: float  # m
    grip_force: float  # N: what the driven tyres hold
    speed_top: float  # m/s: the motor turns no faster
    ratio_1: float  # 1: motor turns for one of the wheels; with fewer gears the last is repeated
    ratio_2: float
    ratio_3: float
    ratio_4: float
    ratio_5: float
    ratio_6: float
    shift_turning: float  # rad/s: where the next gear is taken
    gear_efficiency: float  # 1
    torque_peak: float  # N·m
    power_peak: float  # W
    pull_out: float  # N·m·(rad/s)²
    torque_continuous: float  # N·m
    power_continuous: float  # W
    heating: float  # s: time constant of the windings
    voltage_motor: float  # V: of the motor's datasheet
    copper: float  # W/(N·m)²
    iron: float  # W·s/rad
    windage: float  # W·s³/rad³
    constant: float  # W
    inverter_efficiency: float  # 1
    inverter_idle: float  # W
    regen_share: float  # 1: of a braking, for the motor
    regen_torque: float  # N·m
    regen_speed: float  # m/s: none below
    regen_grip_force: float  # N: what the braked driven wheels hold in the wet
    auxiliary: float  # W from the traction side
    cells_series: float  # 1
    cell_factor: float  # 1: cells in series by those in parallel, times growth
    links: float  # Ω
    capacity: float  # C
    current_max: float  # A
    current_regen: float  # A
    voltage_min: float  # V
    voltage_max: float  # V
    relaxation: float  # s
    charge: float  # 1: at the start
    charge_empty: float  # 1: where the trip ends
    temperature: float  # K: at the start
    surroundings: float  # K
    regen_coldest: float  # K: no regeneration at or below
    heat_capacity: float  # J/K
    heat_loss: float  # W/K

    def __str__(self) -> str:
        return f"{len(self)} numbers"


TEN_SECONDS = 10.0  # s

CHARGE_STEPS = 400  # of the open-circuit table: 0.25 %
ROW_STEPS = 20  # of the resistance tables: 5 %
COLUMN_LOW, COLUMN_STEP, COLUMN_STEPS = 253.15, 5.0, 16  # K: -20 to 60 °C


class Tables(NamedTuple):
    """Straight pieces: `rest` holds height and slope of each; `ohm` the four corners' bilinear terms of both resistances."""

    rest: Any  # (2 · CHARGE_STEPS,) V
    ohm: Any  # (8 · ROW_STEPS · COLUMN_STEPS,) Ω: at once and lagging

    def __str__(self) -> str:
        return "tables of a cell on the raster of the simulation"


@procedure(
    symbol="",
    words="the cell's tables read at every 0.25 % of charge, and at every 5 % and 5 K; lag: what 10 s add to the first moment",
)
def tables_of(rest: Curve, at_once: Grid, ten_seconds: Grid, relaxation: Second) -> Annotated[Tables, Unit("1")]:
    """The tables of one cell on the raster of the loops; between its points they are straight, outside flat."""
    charge = np.linspace(0.0, 1.0, CHARGE_STEPS + 1)
    x, y = rest.arrays
    volt = np.interp(charge, x, y)
    pieces = np.column_stack([volt[:-1], np.diff(volt)]).ravel()
    sooner, later = raster(at_once), raster(ten_seconds)
    lag = lagging_resistance(sooner=sooner, later=later, time=TEN_SECONDS, relaxation=relaxation)
    return Tables(pieces, np.concatenate([bilinear(sooner), bilinear(lag)], axis=1).ravel())


def raster(table: Grid) -> Any:
    rows = np.linspace(0.0, 1.0, ROW_STEPS + 1)
    columns = COLUMN_LOW + COLUMN_STEP * np.arange(COLUMN_STEPS + 1)
    charge, temperature = np.meshgrid(rows, columns, indexing="ij")
    result: Any = cell_resistance(charge=charge, temperature=temperature, table=table)  # type: ignore[arg-type]
    return result


def bilinear(z: Any) -> Any:
    """For each field of the raster a, b, c, d of a + b·x + c·y + d·x·y, x and y from 0 to 1."""
    a, right, up, far = z[:-1, :-1], z[1:, :-1], z[:-1, 1:], z[1:, 1:]
    return np.stack([a, right - a, up - a, far - right - up + a], axis=-1).reshape(-1, 4)
