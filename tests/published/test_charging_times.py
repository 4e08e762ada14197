"""Charging: time and energy against pybamm's circuit model, closed forms of circuit theory, and scipy."""

from __future__ import annotations

import functools
from math import log, sqrt
from typing import Any

import numpy as np
import pytest
import scipy
from scipy.optimize import brentq

from voltwright.physics import charge_interface, charging
from voltwright.quantity.table import Curve, Grid

TIMES = ("charge.time_full.SUPPLY", "charge.time_20_80.SUPPLY")
HOUR = 3600.0
CAPACITY = 50 * HOUR
FULL, END = 4.2, 2.5  # V, A

# A cell whose voltage and resistance bend; both programs get the same rows.
CHARGE = np.linspace(0.0, 1.0, 21)
OPEN_CIRCUIT = 3.0 + 1.2 * CHARGE + 0.15 * np.sin(6.0 * CHARGE) * (1.0 - CHARGE)
RESISTANCE = (1.5 + 2.0 * (1.0 - CHARGE) ** 4 + 0.5 * CHARGE**6) * 1e-3


def inputs(volts: Any, ohms: Any, **limits: float) -> dict[str, Any]:
    """One cell with tables over CHARGE, at any temperature, and what limits its charge."""
    rows = tuple(float(each) for each in CHARGE)
    grid = Grid(rows, (273.15, 323.15), tuple((float(each), float(each)) for each in ohms))
    table = Curve(rows, tuple(float(each) for each in volts))
    pack = charging.pack_source(
        cells_series=1.0, cells_parallel=1.0, growth=1.0, links=0.0, temperature=298.15, table=table, resistances=grid
    )
    known = {"current": 1e6, "power": 1e9, "voltage": FULL} | limits
    return {"limits": charging.charge_limits(**known), "pack": pack}


def ours(start: float, **limits: float) -> tuple[float, float, float]:
    """Charge at the end, time and energy."""
    known = inputs(OPEN_CIRCUIT, RESISTANCE, **limits)
    end = charging.charge_reached(target=1.0, end_current=END, **known)
    span = {"start": start, "end": end, "capacity": CAPACITY}
    return end, charging.charging_time(**span, **known), charging.charging_energy(**span, **known)


@functools.cache
def theirs(step: str, start: float) -> tuple[float, float, float, str]:
    """The same by pybamm: a circuit of source and resistance, charged, then held until the current has fallen."""
    import pybamm  # pyright: ignore[reportMissingTypeStubs]

    known: Any = pybamm
    model = known.equivalent_circuit.Thevenin(options={"number of rc elements": 0})
    values = model.default_parameter_values
    values.update(
        {
            "Open-circuit voltage [V]": lambda soc: known.Interpolant(CHARGE, OPEN_CIRCUIT, soc, name="open circuit"),
            "R0 [Ohm]": lambda heat, current, soc: known.Interpolant(CHARGE, RESISTANCE, soc, name="resistance"),
            "Cell capacity [A.h]": CAPACITY / HOUR,
            "Nominal cell capacity [A.h]": CAPACITY / HOUR,
            "Initial SoC": start,
            "Upper voltage cut-off [V]": 4.3,
            "Lower voltage cut-off [V]": 2.0,
        },
        check_already_exists=False,
    )
    steps = (f"{step} until {FULL} V", f"Hold at {FULL} V until {END} A")
    experiment = known.Experiment([steps], period="10 seconds")
    solved = known.Simulation(model, parameter_values=values, experiment=experiment).solve()
    amperes, volts = (solved[name].entries for name in ("Current [A]", "Voltage [V]"))
    energy = -np.trapezoid(amperes * volts, solved.t)
    return float(solved["SoC"].entries[-1]), float(solved.t[-1]), float(energy), f"pybamm {known.__version__}"


@pytest.mark.parametrize(
    ("step", "start", "limits"),
    [
        ("Charge at 25 A", 0.1, {"current": 25.0}),
        ("Charge at 100 A", 0.3, {"current": 100.0}),
        ("Charge at 90 W", 0.05, {"power": 90.0}),
    ],
)
def test_time_and_energy_of_a_whole_charge(published, step: str, start: float, limits: dict[str, float]) -> None:
    reached, time, energy, library = theirs(step, start)
    end, got, stored = ours(start, **limits)
    source = f"{library}, equivalent_circuit.Thevenin without RC elements, the same tables"
    asked = f"{step} from {start:.0%} until {FULL} V, hold until {END} A"
    why = "300 steps of charge against steps of time, 10 s apart"
    published.check(
        source=source,
        law="charge_reached",
        asked=f"{asked} [1]",
        expected=reached,
        got=end,
        rel=1e-4,
        why=why,
        keys=TIMES,
    )
    published.check(
        source=source, law="charging_time", asked=f"{asked} [s]", expected=time, got=got, rel=1e-3, why=why, keys=TIMES
    )
    published.check(
        source=source,
        law="charging_energy",
        asked=f"{asked} [J]",
        expected=energy,
        got=stored,
        rel=1e-3,
        why=why,
        keys=("charge.wall_energy_full",),
    )


# A cell with a straight open-circuit line and one resistance: then both parts of a charge have a closed form.
FOOT, SLOPE, OHM = 3.4, 0.75, 4e-3


@pytest.mark.parametrize("amperes", [10.0, 25.0, 60.0])
def test_closed_form_of_a_straight_line(published, amperes: float) -> None:
    """Constant current: t = C Δs / I. Then dI/dt = −I slope / (R C), so t = (R C / slope) ln(I / I_end)."""
    known = inputs(FOOT + SLOPE * CHARGE, OHM + 0.0 * CHARGE, current=amperes, voltage=4.1)
    start = 0.1
    bend = (4.1 - FOOT - OHM * amperes) / SLOPE
    end = (4.1 - FOOT - OHM * END) / SLOPE
    expected = CAPACITY * (bend - start) / amperes + OHM * CAPACITY / SLOPE * log(amperes / END)
    constant = CAPACITY * (bend - start) * (FOOT + SLOPE * (bend + start) / 2 + OHM * amperes)
    held = 4.1 * CAPACITY * (end - bend)
    got_end = charging.charge_reached(target=1.0, end_current=END, **known)
    span = {"start": start, "end": got_end, "capacity": CAPACITY}
    source = "Plett (2015), vol. 1, ch. 2, source behind a resistance, solved by hand; from memory"
    for law, unit, wanted, got, keys in (
        ("charge_reached", "1", end, got_end, TIMES),
        ("charging_time", "s", expected, charging.charging_time(**span, **known), TIMES),
        (
            "charging_energy",
            "J",
            constant + held,
            charging.charging_energy(**span, **known),
            ("charge.wall_energy_full",),
        ),
    ):
        published.check(
            source=source,
            law=law,
            asked=f"straight line, {amperes:g} A, then 4.1 V until {END} A [{unit}]",
            expected=wanted,
            got=got,
            rel=2e-4,
            why="300 steps of charge across the bend",
            keys=keys,
        )


@pytest.mark.parametrize(("rest", "ohm", "watts"), [(350.0, 0.12, 6.6e3), (350.0, 0.12, 50e3), (51.0, 0.01, 1.8e3)])
def test_current_of_a_power(published, rest: float, ohm: float, watts: float) -> None:
    expected: Any = brentq(lambda i: (rest + ohm * i) * i - watts, 0.0, watts / rest, xtol=1e-12)
    published.check(
        source=f"scipy {scipy.__version__}, optimize.brentq on P = (U + R I) I",
        law="charging_current",
        asked=f"{watts / 1000:g} kW into {rest:g} V behind {ohm * 1000:g} mΩ [A]",
        expected=float(expected),
        got=charging.charging_current(limit=1e6, power=watts, most_voltage=1e6, rest_voltage=rest, resistance=ohm),
        rel=1e-9,
        why="both exact",
        keys=("charge.current_pack.SUPPLY",),
    )


@pytest.mark.parametrize("amperes", [16.0, 32.0])
def test_three_phases_by_the_voltage_between_lines(published, amperes: float) -> None:
    published.check(
        source="common circuit theory: P = √3 U_LL I, with 400 V between lines; 230 V is 400 V / √3, rounded",
        law="supply_power",
        asked=f"three phases, {amperes:g} A [W]",
        expected=sqrt(3.0) * 400.0 * amperes,
        got=charge_interface.supply_power(phases=3.0, voltage=230.0, current=amperes),
        rel=5e-3,
        why="230 V is a rounded number",
        keys=("charge.power_wall.SUPPLY",),
    )


@pytest.mark.parametrize(
    ("empty", "full", "expected"), [(250.0, 403.2, 1.0), (48.0, 58.4, 0.0), (190.0, 302.4, 0.0), (360.0, 504.0, 0.0)]
)
def test_window_of_a_station(published, empty: float, full: float, expected: float) -> None:
    published.check(
        source="common practice, no source: a station of 200 to 500 V refuses a pack that leaves its window",
        law="voltage_fits",
        asked=f"pack of {empty:g} to {full:g} V [1 yes, 0 no]",
        expected=expected,
        got=charging.voltage_fits(empty_voltage=empty, full_voltage=full, least_voltage=200.0, most_voltage=500.0),
        absolute=0.0,
        why="yes or no",
        keys=("charge.dc_possible",),
    )
