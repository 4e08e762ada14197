"""Charging cells that are cold: against scipy's differential equations, closed forms, and the charge at one temperature."""

from __future__ import annotations

from math import exp, log
from typing import Any

import numpy as np
import pytest
import scipy
from scipy.integrate import solve_ivp

from voltwright.kernels.charging import charge_while_warming, energy_of_charge, heat_of_charge, time_of_charge
from voltwright.physics import charging, charging_cold
from voltwright.quantity.table import Curve, Grid

HOUR = 3600.0
SCIPY = f"scipy {scipy.__version__}, integrate.solve_ivp (LSODA, rtol 1e-9)"
LUMPED = "Incropera et al. (2007), ch. 5, lumped capacitance, solved by hand; from memory"
TIME, WALL = ("charge.time_full_cold.SUPPLY",), ("charge.wall_energy_full_cold",)

CHARGE = np.linspace(0.0, 1.0, 41)
VOLTS = 3.2 + 0.8 * CHARGE + 0.12 * np.sin(6.0 * CHARGE) * (1.0 - CHARGE)
OHMS = (1.5 + 1.5 * (1.0 - CHARGE) ** 4) * 1e-3
TABLE = Curve(tuple(map(float, CHARGE)), tuple(map(float, VOLTS)))
GRID = Grid(
    tuple(map(float, CHARGE)), (263.15, 283.15, 313.15),
    tuple((3.0 * float(each), 1.8 * float(each), float(each)) for each in OHMS),
)  # fmt: skip
ZERO = 273.15
TAPER: dict[str, float] = {"coldest": ZERO, "cold_ramp": 10.0, "hottest": ZERO + 45.0, "hot_ramp": 5.0}


def case(
    celsius: float, *, amperes: float, around: float, watts: float = 1e9, shed: float = 8.0, held: float = 0.0,
    heater: float = 0.0, charger: float = 1e6,
) -> dict[str, Any]:  # fmt: skip
    pack = charging.pack_source(
        cells_series=96.0,
        cells_parallel=1.0,
        growth=1.1,
        links=4e-3,
        temperature=ZERO + celsius,
        table=TABLE,
        resistances=GRID,
    )
    limits = charging.charge_limits(current=charger, power=watts, voltage=96 * 4.05)
    return {
        "limits": limits, "pack": pack, "capacity": 50 * HOUR, "cells": amperes, "heat_capacity": 1.5e5, "shed": shed,
        "surroundings": ZERO + around, "held": held, "heater": heater, **TAPER,
    }  # fmt: skip


def by_scipy(known: dict[str, Any], start: float, end: float) -> tuple[float, float, float]:
    """Charge, temperature and energy over time, until the end: time [s], energy [J], temperature [K]."""
    limits, pack = known["limits"], known["pack"]

    def flow(charge: float, warm: float) -> tuple[float, float, float]:
        x, y, z = GRID.arrays
        column = [float(np.interp(charge, x, z[:, at])) for at in range(3)]
        ohm = 96.0 * float(np.interp(warm, y, column)) * pack.growth + pack.links
        rest = 96.0 * float(np.interp(charge, CHARGE, VOLTS))
        share = max(0.0, min(1.0, (warm - ZERO) / 10.0, (ZERO + 45.0 - warm) / 5.0))
        by_power = (-rest + (rest**2 + 4 * ohm * limits.power) ** 0.5) / (2 * ohm)
        return min(known["cells"] * share, limits.current, by_power, (limits.voltage - rest) / ohm), rest, ohm

    def change(time: float, state: Any) -> Any:
        del time
        amperes, rest, ohm = flow(state[0], state[1])
        gain = ohm * amperes**2 - known["shed"] * (state[1] - known["surroundings"])
        return [amperes / known["capacity"], gain / known["heat_capacity"], (rest + ohm * amperes) * amperes]

    def full(time: float, state: Any) -> float:
        del time
        return float(state[0] - end)

    event: Any = full
    event.terminal = True
    solved: Any = solve_ivp(change, (0.0, 1e6), [start, pack.temperature, 0.0], method="LSODA", events=event, rtol=1e-9, atol=1e-9,
                            max_step=120.0)  # fmt: skip
    return float(solved.t[-1]), float(solved.y[2, -1]), float(solved.y[1, -1])


CASES = {
    "2 °C, a fast charge of 60 A": case(2.0, amperes=60.0, around=2.0),
    "5 °C, 30 A, then voltage held": case(5.0, amperes=30.0, around=5.0),
    "4 °C, cells that take 50 A, a charger of 12 A": case(4.0, amperes=50.0, around=4.0, charger=12.0),
    "4 °C, 6.6 kW, windy": case(4.0, amperes=50.0, watts=6600.0, around=4.0, shed=25.0),
    "41 °C, 60 A, tapered by the heat": case(41.0, amperes=60.0, around=35.0),
}


@pytest.mark.parametrize("words", CASES)
def test_a_tapered_charge_as_differential_equations(published, words: str) -> None:
    time, energy, warm = by_scipy(CASES[words], 0.1, 0.9)
    got = charge_while_warming(start=0.1, end=0.9, **CASES[words])
    why = "300 steps of charge, backwards Euler in temperature"
    for law, unit, wanted, found, within in (
        ("time_of_charge", "s", time, time_of_charge(charged=got), {"rel": 5e-3}),
        ("energy_of_charge", "J", energy, energy_of_charge(charged=got), {"rel": 2e-3}),
        ("charge_while_warming", "K at the end", warm, got.temperature, {"absolute": 0.15}),
    ):
        published.check(
            source=SCIPY, law=law, asked=f"{words}, from 10 to 90 % [{unit}]", expected=wanted, got=found, why=why,
            keys=TIME, **within,
        )  # fmt: skip


def test_at_one_temperature_it_is_the_charge_that_is_known(published) -> None:
    """So heavy that it does not warm: the time of the charge at one temperature, checked against pybamm elsewhere."""
    known: dict[str, Any] = case(25.0, amperes=50.0, watts=9000.0, around=25.0) | {"heat_capacity": 1e12}
    got = charge_while_warming(start=0.1, end=0.93, **known)
    span: dict[str, Any] = {
        "start": 0.1,
        "end": 0.93,
        "capacity": 50 * HOUR,
        "limits": known["limits"],
        "pack": known["pack"],
    }
    for law, wanted, found in (
        ("time_of_charge", charging.charging_time(**span), got.time),
        ("energy_of_charge", charging.charging_energy(**span), got.energy),
    ):
        published.check(
            source="charging_time and charging_energy, held against pybamm in test_charging_times.py", law=law,
            asked="25 °C, 9 kW from 10 to 93 % [SI]", expected=float(wanted), got=found, rel=1e-4, why="steps laid otherwise",
            keys=TIME,
        )  # fmt: skip


@pytest.mark.parametrize(
    ("power", "start", "target", "around"), [(800.0, -7.0, 10.0, -7.0), (3000.0, -20.0, 5.0, -15.0)]
)
def test_heating_by_the_closed_form_and_as_a_differential_equation(
    published, power: float, start: float, target: float, around: float
) -> None:
    """C dT/dt = P − G (T − T_a): T approaches T_a + P / G with the time constant C / G."""
    capacity, shed = 1.5e5, 8.0
    got = charging_cold.heating_time(
        heat_capacity=capacity,
        shed=shed,
        power=power,
        start=ZERO + start,
        target=ZERO + target,
        surroundings=ZERO + around,
    )
    end = around + power / shed
    by_hand = capacity / shed * log((end - start) / (end - target))
    published.check(
        source=LUMPED, law="heating_time", asked=f"{power:g} W from {start:g} to {target:g} °C [s]", expected=by_hand, got=got,
            rel=1e-10, why="both exact", keys=(*TIME, "heat.heater_time", "heat.heater_energy"),
    )  # fmt: skip
    solved: Any = solve_ivp(
        lambda _, warm: (power - shed * (warm - ZERO - around)) / capacity,
        (0.0, got),
        [ZERO + start],
        rtol=1e-10,
        atol=1e-10,
    )
    published.check(
        source=SCIPY, law="heating_time", asked=f"{power:g} W from {start:g} °C, reached after that time [K]",
        expected=float(solved.y[0, -1]), got=ZERO + target, absolute=1e-5, why="the tolerance of the integration", keys=TIME,
    )  # fmt: skip
    assert end + (start - end) * exp(-got * shed / capacity) == pytest.approx(target)


def test_a_heater_holds_what_the_pack_sheds(published) -> None:
    """At 10 °C in air of −10 °C a pack of 30 W/K sheds 600 W; at 5 A its own loss is small, and the heater gives the rest."""
    known = case(10.0, amperes=5.0, around=-10.0, shed=30.0, held=ZERO + 10.0, heater=2000.0)
    got = charge_while_warming(start=0.2, end=0.5, **known)
    own = energy_of_charge(charged=got) - 96 * 50 * HOUR * float(
        np.trapezoid(np.interp(np.linspace(0.2, 0.5, 3001), CHARGE, VOLTS), dx=1e-4)
    )
    published.check(
        source=LUMPED, law="heat_of_charge", asked="30 W/K at 20 K for the whole charge, less its own loss [J]",
        expected=600.0 * got.time - own, got=heat_of_charge(charged=got), rel=5e-3, why="300 steps, backwards Euler in temperature",
        keys=WALL,
    )  # fmt: skip
    assert got.temperature == pytest.approx(ZERO + 10.0, abs=0.1)


@pytest.mark.parametrize(
    ("celsius", "share"), [(-5.0, 0.0), (0.0, 0.0), (3.0, 0.3), (25.0, 1.0), (43.0, 0.4), (50.0, 0.0)]
)
def test_taper_by_its_table(published, celsius: float, share: float) -> None:
    published.check(
        source="common practice, no source: nothing at 0 and 45 °C, all from 10 to 40 °C, straight between", law="warmth_share",
        asked=f"cells of {celsius:g} °C [1]", expected=share, got=charging_cold.warmth_share(temperature=ZERO + celsius, **TAPER),
        absolute=1e-12, why="both exact", keys=TIME,
    )  # fmt: skip


def test_no_current_is_a_year() -> None:
    """Cells at their lowest temperature take nothing, and nothing warms them."""
    got = charge_while_warming(start=0.1, end=0.9, **case(0.0, amperes=50.0, around=0.0))
    assert got.time == charging.NEVER


def test_samples_go_together() -> None:
    many = case(5.0, amperes=30.0, around=5.0)
    sheds: Any = np.array([2.0, 8.0, 20.0])
    made: Any = charge_while_warming(start=0.1, end=0.9, **(many | {"shed": sheds}))
    others: list[dict[str, Any]] = [many | {"shed": float(each)} for each in sheds]
    alone = [charge_while_warming(start=0.1, end=0.9, **each).time for each in others]
    assert list(made.time) == pytest.approx(alone, rel=1e-12)
