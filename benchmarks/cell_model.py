"""One trip beside pybamm's circuit model of the same cells at the same current."""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import Any

import numpy as np

from benchmarks.example import compiled_trip, known
from benchmarks.general_solver import looked_up
from benchmarks.table import Row, Setting, median
from voltwright.kernels.car import COLUMN_LOW, COLUMN_STEP, COLUMN_STEPS, ROW_STEPS, Car, Tables
from voltwright.kernels.journey import Journey, drive_once


def rows(setting: Setting) -> Iterator[Row]:
    os.environ.setdefault("PYBAMM_DISABLE_TELEMETRY", "true")
    import pybamm

    car, cells, asked = known()
    car = Car(*(float(each) for each in car))
    ours = median(compiled_trip(asked), setting.repeats * (1 if setting.small else 40))
    course = drive_once(car, cells, asked).course
    values = _values(pybamm, car, cells, asked, course.current)
    middles = (np.arange(len(asked.grade)) + 0.5) * asked.step
    whole = [0.0, len(asked.grade) * asked.step]
    ways = {
        "casadi": (pybamm.CasadiSolver("fast"), {"t_eval": np.array([0.0, *middles, whole[1]])}),
        "idaklu": (pybamm.IDAKLUSolver(), {"t_eval": whole, "t_interp": middles}),
    }
    for name, (solver, when) in ways.items():
        model = pybamm.equivalent_circuit.Thevenin()
        simulation = pybamm.Simulation(model, parameter_values=values, solver=solver)
        solved = simulation.solve(**when)
        other = median(lambda s=simulation, w=when: s.solve(**w), 1 if setting.small else 5)
        rms = _rms(solved["Voltage [V]"](middles) - course.voltage / car.cells_series)
        warmth = np.max(np.abs(solved["Cell temperature [degC]"](middles) + 273.15 - course.temperature))
        note = f"whole car against pybamm {pybamm.__version__} Thevenin with its heat, {name}, battery alone"
        apart = f"rms {1000 * rms:.2f} mV a cell (goal 5 mV), at most {warmth:.3f} K (goal 0.2 K)"
        yield Row(f"cell_model.{name}", ours, other, "1000x", f"{note}; {apart}")


def _rms(difference: Any) -> float:
    return float(np.sqrt(np.mean(difference**2)))


def _values(pybamm: Any, car: Car, cells: Tables, asked: Journey, current: Any) -> Any:
    """One cell in series as wide as the whole pack, with the tables of the loops."""
    charge = np.linspace(0.0, 1.0, len(cells.rest) // 2 + 1)
    rows = np.linspace(0.0, 1.0, ROW_STEPS + 1)
    columns = COLUMN_LOW + COLUMN_STEP * np.arange(COLUMN_STEPS + 1)
    corners = np.array([[looked_up(cells, s, t)[1:] for t in columns] for s in rows])
    share, links = car.cell_factor / car.cells_series, car.links / car.cells_series
    rest = np.array([looked_up(cells, s, car.temperature)[0] for s in charge])
    middles = (np.arange(len(current)) + 0.5) * asked.step
    times = np.array([0.0, *middles, len(current) * asked.step])
    amperes = np.array([current[0], *current, current[-1]])

    def over(table: Any, name: str) -> Any:
        return lambda heat, drawn, soc: pybamm.Interpolant((rows, columns), table, [soc, heat + 273.15], name=name)

    at_once, lag = over(share * corners[..., 0] + links, "at once"), over(share * corners[..., 1], "lag")
    values = pybamm.equivalent_circuit.Thevenin().default_parameter_values
    values.update(
        {
            "Current function [A]": pybamm.Interpolant(times, amperes, pybamm.t),
            "Open-circuit voltage [V]": lambda soc: pybamm.Interpolant(charge, rest, soc, name="at rest"),
            "R0 [Ohm]": at_once,
            "R1 [Ohm]": lag,
            "C1 [F]": lambda heat, drawn, soc: car.relaxation / lag(heat, drawn, soc),
            "Element-1 initial overpotential [V]": 0.0,
            "Cell capacity [A.h]": car.capacity / 3600.0,
            "Nominal cell capacity [A.h]": car.capacity / 3600.0,
            "Initial SoC": car.charge,
            "Entropic change [V/K]": lambda ocv, heat: 0.0,
            "Initial temperature [K]": car.temperature,
            "Ambient temperature [K]": car.surroundings,
            "Cell thermal mass [J/K]": car.heat_capacity / car.cells_series,
            "Cell-jig heat transfer coefficient [W/K]": car.heat_loss / car.cells_series,
            "Jig thermal mass [J/K]": 1e12,
            "Upper voltage cut-off [V]": 6.0,
            "Lower voltage cut-off [V]": 0.5,
        },
        check_already_exists=False,
    )
    return values
