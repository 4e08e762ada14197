"""Strings in parallel: against circuits solved by hand, and against scipy's linear systems, roots and differential equations."""

from __future__ import annotations

from math import exp, log
from typing import Any

import numpy as np
import pytest
import scipy
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq, minimize_scalar

from voltwright.kernels import strings as drawing
from voltwright.physics import cell, strings
from voltwright.quantity.table import Curve, Grid

HOUR = 3600.0
SCIPY = f"scipy {scipy.__version__}"
HAND = "Plett (2015), vol. 1, ch. 2, sources behind resistances in parallel, solved by hand; from memory"
CAPACITORS = "Horowitz, Hill (2015), ch. 1: two capacitors joined through a resistor; the energy lost, from memory"
SHARE, ENERGY = ("pack.string_share",), ("pack.energy_usable_strings",)
DIFFERENCE, CURRENT, HIDDEN = ("pack.join_voltage_difference",), ("pack.join_current",), ("pack.join_hidden_charge",)
TIME, HEAT = ("pack.join_time",), ("pack.join_heat",)

# A cell whose voltage bends, and whose resistance rises when empty and when cold.
CHARGE = np.linspace(0.0, 1.0, 41)
VOLTS = 3.2 + 0.8 * CHARGE + 0.12 * np.sin(6.0 * CHARGE) * (1.0 - CHARGE)
OHMS = (1.5 + 1.5 * (1.0 - CHARGE) ** 4) * 1e-3
TABLE = Curve(tuple(map(float, CHARGE)), tuple(map(float, VOLTS)))
GRID = Grid(tuple(map(float, CHARGE)), (273.15, 313.15), tuple((2.0 * float(each), float(each)) for each in OHMS))
STRAIGHT = Curve((0.0, 1.0), (3.4, 4.15))
LEVEL = Grid((0.0, 1.0), (273.15, 313.15), ((2e-3, 2e-3), (2e-3, 2e-3)))
# Cells of LFP: steep ends, and a long level middle.
FLAT = Curve((0.0, 0.05, 0.1, 0.3, 0.6, 0.7, 0.95, 1.0), (2.8, 3.1, 3.2, 3.27, 3.29, 3.32, 3.33, 3.45))


def one(
    capacity: float, charge: float, factor: float = 96.0, *, links: float = 4e-3, warm: float = 25.0, straight: bool = False
) -> Any:  # fmt: skip
    tables = {"table": STRAIGHT, "resistances": LEVEL} if straight else {"table": TABLE, "resistances": GRID}
    return strings.one_string(
        capacity=capacity * HOUR, charge=charge, factor=factor, links=links, temperature=warm + 273.15, cells_series=96.0,
        **tables,
    )  # fmt: skip


def joined(*each: Any) -> Any:
    made = each[0]
    for other in each[1:]:
        made = strings.beside(first=made, second=other)
    return made


def test_two_strings_by_hand(published) -> None:
    """Both rest at one voltage: conductances share, 1/0.196 and 1/0.3 S for 96 and 148 times 2 mΩ with 4 mΩ of links."""
    pair = joined(one(50, 0.6, 96.0, straight=True), one(50, 0.6, 148.0, straight=True))
    published.check(
        source=HAND, law="share_at_once", asked="100 A from strings of 196 and 300 mΩ at one voltage [1]", expected=300 / 496,
        got=strings.share_at_once(strings=pair, current=100.0), rel=1e-12, why="both exact", keys=SHARE,
    )  # fmt: skip


def test_long_cable_and_warm_string_by_hand(published) -> None:
    """8 mΩ more of cable on one string; the other at 40 °C has half the resistance that it has at 0 °C, and 25 °C lies between."""
    pair = joined(one(50, 1.0, links=12e-3), one(50, 1.0, warm=0.0))
    mild = 96 * 1.5e-3 * (2.0 - 25.0 / 40.0) + 12e-3
    cold = 96 * 3.0e-3 + 4e-3
    published.check(
        source=HAND, law="share_at_once", asked="a string of long cables beside one at 0 °C, both full [1]",
        expected=cold / (mild + cold), got=strings.share_at_once(strings=pair, current=60.0), rel=1e-9,
        why="the table read between two columns", keys=SHARE,
    )  # fmt: skip


def test_growth_of_a_string_where_it_stands_by_hand(published) -> None:
    """96 cells of 2 mΩ when new and mild make 192 mΩ; worn 1.2 times and cold 1.5 times, with 20 mΩ of cable, 365.6 mΩ."""
    published.check(
        source=HAND, law="growth_in_place", asked="a worn, cold string of long cables against a new one [1]",
        expected=365.6 / 192.0, rel=1e-12, why="both exact", keys=SHARE,
        got=cell.growth_in_place(growth=1.2, warm_ohm=3e-3, mild_ohm=2e-3, cable=0.02, cells_parallel=1.0, cells_series=96.0),
    )  # fmt: skip


@pytest.mark.parametrize("drawn", [80.0, 200.0, 0.0])
def test_three_strings_as_a_linear_system(published, drawn: float) -> None:
    """U_k − R_k I_k = U for each string and ΣI = I: four equations, solved by scipy."""
    trio = joined(one(50, 0.62), one(44, 0.58, 130.0), one(30, 0.60, 110.0, links=9e-3, warm=10.0))
    charge: Any = np.array([[0.62], [0.58], [0.60]])
    rest, ohm = trio.rest(charge)[:, 0], trio.resistance(charge)[:, 0]
    matrix = np.zeros((4, 4))
    matrix[:3, :3], matrix[:3, 3], matrix[3, :3] = np.diag(ohm), 1.0, 1.0
    solved: Any = scipy.linalg.solve(matrix, np.append(rest, drawn))
    got: Any = strings.currents(trio, drawn)[:, 0]
    for at in range(3):
        published.check(
            source=f"{SCIPY}, linalg.solve on Kirchhoff's equations", law="share_at_once",
            asked=f"string {at + 1} of three unlike ones, {drawn:g} A drawn [A]", expected=float(solved[at]), got=float(got[at]),
            absolute=1e-8, why="both exact", keys=SHARE,
        )  # fmt: skip
    assert abs(float(np.sum(got)) - drawn) < 1e-9


def by_scipy(trio: Any, current: float, empty: float) -> tuple[float, Any, float, float]:
    """The same discharge as differential equations: energy [J], charge of each at the end, largest share, time [s]."""
    capacity: Any = np.array(trio.capacity)

    def flow(charge: Any) -> tuple[Any, Any]:
        rest, ohm = trio.rest(charge[:, None])[:, 0], trio.resistance(charge[:, None])[:, 0]
        volt = (np.sum(rest / ohm) - current) / np.sum(1.0 / ohm)
        return (rest - volt) / ohm, rest

    def change(time: float, state: Any) -> Any:
        del time
        flowing, rest = flow(state[:-1])
        return np.append(-flowing / capacity, np.sum(rest * flowing))

    def down(time: float, state: Any) -> float:
        del time
        return float(np.min(state[:-1]) - empty)

    event: Any = down
    event.terminal = True
    solved: Any = solve_ivp(change, (0.0, 1e6), np.append(np.array(trio.charge), 0.0), method="LSODA", events=event, rtol=1e-9,
                            atol=1e-9, max_step=60.0)  # fmt: skip
    shares = [float(np.max(flow(state[:-1])[0])) / current for state in solved.y.T]
    return float(solved.y[-1, -1]), solved.y[:-1, -1], max(shares), float(solved.t[-1])


TRIOS = {
    "a new, a worn and a small string, 40 A": ((one(50, 0.95), one(40, 0.95, 144.0), one(25, 0.95, 120.0)), 40.0),
    "two strings 2 % of charge apart, 25 A": ((one(50, 0.95), one(50, 0.93)), 25.0),
    "one cold with long cables, one warm, 90 A": ((one(50, 0.9, warm=5.0, links=20e-3), one(50, 0.9, warm=30.0)), 90.0),
}


@pytest.mark.parametrize("words", TRIOS)
def test_a_whole_discharge_as_differential_equations(published, words: str) -> None:
    each, current = TRIOS[words]
    energy, charge, share, time = by_scipy(joined(*each), current, 0.1)
    got = drawing.draw_until_first_empty(strings=joined(*each), current=current, empty=0.1)
    source, why = (
        f"{SCIPY}, integrate.solve_ivp (LSODA, rtol 1e-9) with an event",
        "120 steps across the rows of a table",
    )
    spread = float(np.max(charge) - np.min(charge))
    for law, unit, wanted, found, within, keys in (
        ("energy_of_strings", "J", energy, drawing.energy_of_strings(drawn=got), {"rel": 1e-3}, ENERGY),
        ("draw_until_first_empty", "s", time, got.time, {"rel": 1e-3}, ENERGY),
        (
            "charge_apart",
            "1",
            spread,
            drawing.charge_apart(drawn=got),
            {"absolute": 1e-3},
            ("pack.string_charge_apart",),
        ),
        ("share_drawn", "1", share, drawing.share_drawn(drawn=got), {"rel": 1e-2}, ("pack.string_share_drawn",)),
    ):
        published.check(
            source=source, law=law, asked=f"{words}, until one is at 10 % [{unit}]", expected=wanted, got=found, why=why, keys=keys,
            **within,
        )  # fmt: skip


def test_strings_alike_give_all_that_they_hold(published) -> None:
    """Alike, they stay together: the energy is the integral of voltage over the charge that is used, by scipy's quadrature."""
    got = drawing.draw_until_first_empty(
        strings=joined(one(50, 0.95), one(50, 0.95), one(50, 0.95)), current=75.0, empty=0.08
    )
    whole = quad(lambda s: float(np.interp(s, CHARGE, VOLTS)), 0.08, 0.95, points=list(CHARGE[4:38]), limit=200)[0]
    published.check(
        source=f"{SCIPY}, integrate.quad over the open-circuit curve", law="energy_of_strings", asked="three strings alike [J]",
        expected=3 * 50 * HOUR * 96 * whole, got=got.energy, rel=1e-4, why="120 steps across the rows of a table", keys=ENERGY,
    )  # fmt: skip


# Joining: a straight open-circuit line makes strings into large capacitors.
LOOP, C_1, C_2, SLOPE = 0.392, 50 * HOUR, 40 * HOUR, 96 * 0.75
BETWEEN = strings.capacity_between(first=C_1, second=C_2)


@pytest.mark.parametrize("difference", [2.0, 12.0])
def test_joining_two_strings_as_two_capacitors(published, difference: float) -> None:
    """C = dQ/dU of each; the energy lost is ½ (C1 C2 / (C1 + C2)) ΔU², and the current falls with R C1 C2 / (C1 + C2)."""
    first, second = C_1 / SLOPE, C_2 / SLOPE
    both = first * second / (first + second)
    end = 0.5
    start = strings.equalising_current(difference=difference, loop=LOOP)
    known: dict[str, Any] = {"between": BETWEEN, "slope": SLOPE, "difference": difference}
    for law, unit, wanted, got, keys in (
        ("equalising_current", "A", difference / LOOP, start, CURRENT),
        ("charge_moved", "C", both * difference, strings.charge_moved(**known), TIME),
        ("equalising_heat", "J", both * difference**2 / 2, strings.equalising_heat(**known), HEAT),
        (
            "equalising_time",
            "s",
            LOOP * both * log(difference / LOOP / end),
            strings.equalising_time(loop=LOOP, end=end, **known),
            TIME,
        ),
    ):
        published.check(
            source=CAPACITORS, law=law, asked=f"joined at {difference:g} V apart through 392 mΩ [{unit}]", expected=wanted,
            got=got, rel=1e-12, why="both exact", keys=keys,
        )  # fmt: skip
    assert start * exp(-strings.equalising_time(loop=LOOP, end=end, **known) / (LOOP * both)) == pytest.approx(end)


def test_joining_as_a_differential_equation(published) -> None:
    """Two strings of cells, joined at 90 and 50 % with nothing drawn: charge moves until both rest at one voltage."""
    high, low, end, ohm = 0.9, 0.5, 0.5, 0.392

    def change(time: float, state: Any) -> Any:
        del time
        current = 96 * (3.4 + 0.75 * state[0] - 3.4 - 0.75 * state[1]) / ohm
        return [-current / C_1, current / C_2, ohm * current**2]

    def quiet(time: float, state: Any) -> float:
        del time
        return float(96 * 0.75 * (state[0] - state[1]) / ohm - end)

    event: Any = quiet
    event.terminal = True
    solved: Any = solve_ivp(change, (0.0, 1e7), [high, low, 0.0], events=event, method="LSODA", rtol=1e-10, atol=1e-10)
    source, difference = f"{SCIPY}, integrate.solve_ivp (LSODA, rtol 1e-10) with an event", SLOPE * (high - low)
    together = strings.charge_together(first=C_1, high=high, second=C_2, low=low)
    rest = strings.equalising_heat(between=BETWEEN, slope=SLOPE, difference=ohm * end)
    known: dict[str, Any] = {"between": BETWEEN, "slope": SLOPE, "difference": difference}
    time, heat = strings.equalising_time(loop=ohm, end=end, **known), strings.equalising_heat(**known) - rest
    for law, unit, wanted, got, rel, keys in (
        ("equalising_time", "s", solved.t[-1], time, 1e-6, TIME),
        ("equalising_heat", "J", solved.y[2, -1], heat, 1e-6, HEAT),
        ("charge_together", "1", (C_1 * solved.y[0, -1] + C_2 * solved.y[1, -1]) / (C_1 + C_2), together, 1e-9, TIME),
    ):  # fmt: skip
        published.check(
            source=source, law=law, asked=f"strings of 50 and 40 Ah joined at 90 and 50 % [{unit}]", expected=float(wanted), got=got,
            rel=rel, why="the tolerance of the integration", keys=keys,
        )  # fmt: skip


def test_loop_and_safe_difference_by_hand(published) -> None:
    """One string of 196 mΩ against two in parallel is 196 + 98 mΩ; 50 A round it is driven by 14.7 V."""
    loop = strings.loop_of_join(string=0.196, others=2.0)
    published.check(
        source=HAND, law="loop_of_join", asked="a string of 196 mΩ joined to two like it [Ω]", expected=0.294, got=loop, rel=1e-12,
        why="both exact", keys=DIFFERENCE,
    )  # fmt: skip
    published.check(
        source=HAND, law="difference_for", asked="50 A round a loop of 294 mΩ [V]", expected=14.7,
        got=strings.difference_for(current=50.0, loop=0.294), rel=1e-12, why="both exact", keys=DIFFERENCE,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("table", "words", "apart"), [(FLAT, "flat", 0.02), (TABLE, "bent", 0.02), (FLAT, "flat", 0.005)]
)
def test_hidden_charge_by_a_search(published, table: Curve, words: str, apart: float) -> None:
    """The farthest s_2 − s_1 with U(s_2) − U(s_1) ≤ d: roots by brentq for 20,000 charges s_1."""
    x, y = table.arrays
    longest = 0.0
    for low in np.linspace(0.1, 0.95, 20_001):
        aim = float(np.interp(low, x, y)) + apart
        top = float(np.interp(0.95, x, y))
        high: Any = 0.95 if top <= aim else brentq(lambda s, aim=aim: float(np.interp(s, x, y)) - aim, low, 0.95)
        longest = max(longest, float(high) - float(low))
    published.check(
        source=f"{SCIPY}, optimize.brentq", law="hidden_charge", asked=f"{words} curve, {1000 * apart:g} mV, from 10 to 95 % [1]",
        expected=longest, got=strings.hidden_charge(difference=apart, empty=0.1, full=0.95, table=table), absolute=1e-4,
        why="the search looks at 20,000 charges", keys=HIDDEN,
    )  # fmt: skip


@pytest.mark.parametrize(("table", "words"), [(FLAT, "flat"), (TABLE, "bent")])
def test_difference_later_by_a_search(published, table: Curve, words: str) -> None:
    x, y = table.arrays
    apart = 0.2
    found: list[float] = []
    for low in np.linspace(0.1, 0.74, 65):
        high = min(float(low) + 0.01, 0.75)
        best: Any = minimize_scalar(
            lambda s: float(np.interp(s, x, y) - np.interp(s + apart, x, y)), bounds=(float(low), high), method="bounded",
            options={"xatol": 1e-9},
        )  # fmt: skip
        found.append(-float(best.fun))
    published.check(
        source=f"{SCIPY}, optimize.minimize_scalar over 65 stretches", law="difference_later",
        asked=f"{words} curve, 20 % apart, from 10 to 95 % [V]", expected=max(found),
        got=strings.difference_later(apart=apart, empty=0.1, full=0.95, table=table), absolute=1e-6, why="the tolerance of the search",
        keys=("pack.join_hidden_current",),
    )  # fmt: skip


def test_slope_of_a_straight_line(published) -> None:
    published.check(
        source="plain arithmetic: 3.4 to 4.15 V from empty to full", law="slope_at", asked="a straight curve at 40 % [V]",
        expected=0.75, got=strings.slope_at(charge=0.4, table=STRAIGHT), rel=1e-12, why="both exact", keys=TIME,
    )  # fmt: skip


def test_a_module_replaced_by_hand(published) -> None:
    """Eight modules of 80 % and 1.4 times the resistance, one of them new: 7 × 1.4 + 1 over 8 is 1.35."""
    source = "Plett (2015), vol. 1, ch. 1, the weakest group sets what a string holds; by hand, from memory"
    for law, wanted, got in (
        ("growth_after_replacing", 1.35, strings.growth_after_replacing(growth=1.4, fresh=1.0, modules_series=8.0)),
        ("capacity_after_replacing", 0.84, strings.capacity_after_replacing(fresh=1.0, others=0.84)),
        ("unused_of_new", 0.16, strings.unused_of_new(string=0.84, fresh=1.0)),
    ):
        published.check(
            source=source, law=law, asked="a new module in a worn string of eight [1]", expected=wanted, got=got, rel=1e-12,
            why="both exact", keys=("pack.replaced_unused", "pack.replaced_resistance"),
        )  # fmt: skip


def test_energy_of_the_tables_that_both_use() -> None:
    """The mean voltage by which the pack's energy is worked agrees with the same discharge at no current."""
    mean = cell.mean_open_circuit_voltage(empty=0.1, full=0.9, table=TABLE)
    got = drawing.draw_until_first_empty(strings=one(50, 0.9), current=0.01, empty=0.1)
    assert got.energy == pytest.approx(96 * mean * 0.8 * 50 * HOUR, rel=1e-4)


def test_samples_go_together() -> None:
    """Arrays give for each sample what it gives by itself."""
    healths: Any = np.array([30.0, 40.0, 50.0])
    many = drawing.draw_until_first_empty(
        strings=joined(one(50, 0.9), one(healths, 0.9, 140.0)), current=40.0, empty=0.1
    )
    apart: Any = drawing.charge_apart(drawn=many)
    for at, each in enumerate(healths):
        alone = drawing.draw_until_first_empty(
            strings=joined(one(50, 0.9), one(float(each), 0.9, 140.0)), current=40.0, empty=0.1
        )
        assert many.energy[at] == pytest.approx(alone.energy, rel=1e-12)
        assert apart[at] == pytest.approx(drawing.charge_apart(drawn=alone), rel=1e-9)
