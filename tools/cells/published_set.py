"""A published parameter set of a lithium-ion cell, run by the reference library pybamm."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pybamm
from numpy.typing import NDArray

Array = NDArray[np.float64]

KELVIN = 273.15
NEGATIVE_START = "Initial concentration in negative electrode [mol.m-3]"
POSITIVE_START = "Initial concentration in positive electrode [mol.m-3]"
# Some sets carry no double layer; this is the value of all the others. [F/m²]
DOUBLE_LAYER = 0.2
# Beyond the voltage window of every set, so that a full cell at another temperature may start. [V]
NO_UPPER_LIMIT = 5.0


@dataclass(frozen=True)
class Pulse:
    """A discharge from rest: seconds, terminal voltage, and the open-circuit voltage at the charge reached. [s, V]"""

    ampere: float
    seconds: Array
    volt: Array
    open_circuit: Array


class PublishedSet:
    """One parameter set, between the rest voltages that mean full and empty. The model is isothermal."""

    def __init__(self, name: str, full: float | None = None, empty: float | None = None) -> None:
        values = pybamm.ParameterValues(name)
        if full is not None:
            values["Open-circuit voltage at 100% SOC [V]"] = full
        if empty is not None:
            values.update({"Open-circuit voltage at 0% SOC [V]": empty, "Lower voltage cut-off [V]": empty})
        self.name = name
        self.full = float(values["Open-circuit voltage at 100% SOC [V]"])
        self.empty = float(values["Open-circuit voltage at 0% SOC [V]"])
        self._values = values
        self._symbols: Any = pybamm.LithiumIonParameters()
        soh = pybamm.lithium_ion.ElectrodeSOHSolver(values, self._symbols)
        x_0, x_100, y_100, y_0 = (float(x) for x in soh.get_min_max_stoichiometries())
        self._negative, self._positive = (x_0, x_100), (y_0, y_100)
        self.capacity = (x_100 - x_0) * float(values.evaluate(self._symbols.n.Q_init))
        self._limits = tuple(
            float(values[f"Maximum concentration in {side} electrode [mol.m-3]"]) for side in ("negative", "positive")
        )
        self._simulation = self._build()

    def _build(self) -> Any:
        """The porous-electrode model with a double layer, so that milliseconds mean something."""
        values = self._values.copy()
        for side in ("Negative", "Positive"):
            key = f"{side} electrode double-layer capacity [F.m-2]"
            values.update({key: values.get(key, DOUBLE_LAYER)}, check_already_exists=False)
        inputs = ("Current function [A]", "Ambient temperature [K]", "Initial temperature [K]")
        values.update(dict.fromkeys((*inputs, NEGATIVE_START, POSITIVE_START), "[input]"))
        values["Upper voltage cut-off [V]"] = NO_UPPER_LIMIT
        model = pybamm.lithium_ion.DFN({"surface form": "differential"})
        solver = pybamm.IDAKLUSolver(rtol=1e-6, atol=1e-8, options={"max_num_steps": 3000})
        return pybamm.Simulation(model, parameter_values=values, solver=solver)

    def _stoichiometries(self, charge: Array | float) -> tuple[Any, Any]:
        (x_0, x_100), (y_0, y_100) = self._negative, self._positive
        return x_0 + charge * (x_100 - x_0), y_0 + charge * (y_100 - y_0)

    def open_circuit_voltage(self, charge: Array) -> Array:
        """At rest and 25 °C, for charges from 0 to 1. [V]"""
        x, y = self._stoichiometries(charge)
        kelvin = pybamm.Scalar(float(self._values["Reference temperature [K]"]))
        positive, negative = (
            np.asarray(self._values.process_symbol(side.prim.U(pybamm.Vector(z), kelvin)).evaluate()).ravel()
            for side, z in ((self._symbols.p, y), (self._symbols.n, x))
        )
        return positive - negative

    def discharge(self, charge: float, celsius: float, ampere: float, seconds: tuple[float, ...]) -> Pulse:
        """From rest at the charge (0..1) and temperature. Ends early at the lower limit of voltage."""
        x, y = self._stoichiometries(charge)
        inputs = {
            "Current function [A]": ampere,
            "Ambient temperature [K]": celsius + KELVIN,
            "Initial temperature [K]": celsius + KELVIN,
            NEGATIVE_START: x * self._limits[0],
            POSITIVE_START: y * self._limits[1],
        }
        times = np.array([0.0, *seconds])
        solution = self._simulation.solve([0.0, times[-1]], t_interp=times, inputs=inputs)
        return Pulse(
            ampere,
            np.asarray(solution.t),
            np.asarray(solution["Terminal voltage [V]"].entries),
            np.asarray(solution["Bulk open-circuit voltage [V]"].entries),
        )
