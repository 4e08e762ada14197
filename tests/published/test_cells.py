"""The cells of the shipped catalogue against the published parameter sets, run by the reference library pybamm.

The library runs live for two sets with its own plain porous-electrode model and its own settings; nothing of the
script that made the files is used. The simple model of a discharge, the open-circuit voltage less current times the
ten-minute resistance, is made of the package's own laws and catalogue.
"""

import json
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pybamm
import pytest
from numpy.typing import NDArray

from voltwright.parts.battery import Cell
from voltwright.parts.shelf import catalogue
from voltwright.physics import cell as law

ROOT = Path(__file__).parents[2] / "src" / "voltwright"
CELLS = ROOT / "parts" / "catalogue" / "cells"
SETS = {
    "Chen2020": "nmc811-cylindrical-5ah",
    "Prada2013": "lfp-cylindrical-2.3ah",
    "NCA_Kim2011": "nca-cylindrical-3.1ah",
    "Mohtat2020": "nmc532-pouch-5ah",
}
NOMINAL = {"Chen2020": 5.0, "Prada2013": 2.3}
"""Ampere-hours by which the library counts 1C; installed set. [Ah]"""
KINDS = ("ms", "10s", "minutes")
Array = NDArray[np.float64]


@cache
def cell(slug: str) -> dict[str, Any]:
    return json.loads((CELLS / f"{slug}.json").read_text(encoding="utf-8"))


def amount(text: str) -> float:
    return float(text.split()[0])


@cache
def part(slug: str) -> Cell:
    return catalogue().take(f"cell/{slug}", Cell)


def open_circuit(slug: str, charge: Array | float) -> Array:
    made: Any = law.open_circuit_voltage
    return made(charge=np.asarray(charge), table=part(slug).open_circuit_voltage.curve(slug))


def ohm(slug: str, kind: str, charge: Array | float, celsius: float = 25) -> Array:
    made: Any = law.cell_resistance
    grid = getattr(part(slug), f"resistance_{kind}").grid(slug)
    return made(charge=np.asarray(charge), temperature=celsius + 273.15, table=grid)


def slugs() -> list[str]:
    return sorted(path.stem for path in CELLS.glob("*.json"))


# Values at 0, 10 .. 100 % of charge, 25 °C, from the electrode potentials and balance of each set. [V]
# Source: reference library pybamm 26.10, sets Chen2020 (doi 10.1149/1945-7111/ab9050), Prada2013
# (doi 10.1149/2.053304jes, potentials from arXiv 1709.03970), NCA_Kim2011 (doi 10.1149/1.3597614) and
# Mohtat2020 (doi 10.1149/1945-7111/aba5d1); computed once and kept.
VOLTS = {
    "Chen2020": (2.5, 3.2959, 3.4852, 3.5814, 3.667, 3.7509, 3.8406, 3.9479, 4.0421, 4.0967, 4.2),
    "Prada2013": (2.0, 2.9781, 3.1685, 3.2058, 3.2525, 3.266, 3.2688, 3.274, 3.3097, 3.3142, 3.6),
    "NCA_Kim2011": (2.7, 3.2471, 3.3721, 3.4918, 3.5978, 3.6846, 3.7678, 3.8742, 3.9803, 4.0803, 4.2),
    "Mohtat2020": (2.8, 3.5107, 3.5847, 3.6389, 3.671, 3.7155, 3.7968, 3.8797, 3.9705, 4.0767, 4.2),
}


@pytest.mark.parametrize("name", VOLTS)
def test_open_circuit_voltage_is_that_of_the_published_set(name: str, published: Any) -> None:
    for tenth, volt in enumerate(VOLTS[name]):
        published.check(
            source=f"pybamm 26.10, set {name}",
            law="open-circuit voltage over charge",
            asked=f"{SETS[name]} at {10 * tenth} % and 25 °C [V]",
            expected=volt,
            got=float(open_circuit(SETS[name], tenth / 10)),
            absolute=0.002,
            why="the table promises straight lines within 2 mV of the curve",
        )


# Source: reference library pybamm 26.10, DFN, 1C for 10 s from rest at 50 %, 25 °C, no contact resistance. [mΩ]
@pytest.mark.parametrize(("name", "milliohm"), [("Chen2020", 28.7), ("Prada2013", 30.9)])
def test_ten_second_resistance_at_half_charge(name: str, milliohm: float, published: Any) -> None:
    published.check(
        source=f"pybamm 26.10, set {name}",
        law="resistance at 10 s",
        asked=f"{SETS[name]} at 50 % and 25 °C [mΩ]",
        expected=milliohm,
        got=1000 * float(ohm(SETS[name], "10s", 0.5)),
        rel=0.02,
        why="the file counts 1C by what the set holds, the check by the nameplate, and the file has a double layer",
        keys=("pack.resistance",),
    )


@dataclass(frozen=True)
class Discharge:
    charge: Array
    volt: Array
    open_circuit: Array
    ampere_hours: float
    watt_hours: float


@cache
def from_the_library(name: str, per_hour: float) -> Discharge:
    """Full to the lower limit at a constant current; isothermal porous-electrode model (DFN), 25 °C."""
    ampere = NOMINAL[name] * per_hour
    values = pybamm.ParameterValues(name)
    values["Current function [A]"] = ampere
    simulation = pybamm.Simulation(pybamm.lithium_ion.DFN(), parameter_values=values)
    solution = simulation.solve(np.linspace(0, 1.2 * 3600 / per_hour, 1500), initial_soc=1)
    hours = np.asarray(solution["Time [h]"].entries)
    volt = np.asarray(solution["Terminal voltage [V]"].entries)
    charge = 1 - ampere * hours / amount(cell(SETS[name])["capacity"])
    ocv = np.asarray(solution["Bulk open-circuit voltage [V]"].entries)
    return Discharge(charge, volt, ocv, ampere * hours[-1], float(np.trapezoid(volt, ampere * hours)))


def simple_voltage(slug: str, charge: Array, ampere: float) -> Array:
    """U(s) = OCV(s) - R_minutes(s, 25 °C) * I. [V]"""
    made: Any = law.terminal_voltage
    return made(rest_voltage=open_circuit(slug, charge), resistance=ohm(slug, "minutes", charge), current=ampere)


def simple_discharge(slug: str, ampere: float) -> tuple[float, float]:
    """From full until the simple voltage reaches the lower limit. [Ah, Wh]"""
    capacity = amount(cell(slug)["capacity"])
    charge = np.linspace(1, 0, 20_001)
    volt = simple_voltage(slug, charge, ampere)
    end = int(np.argmax(volt <= amount(cell(slug)["voltage_empty"])))
    drawn = (1 - charge[: end + 1]) * capacity
    return float(drawn[-1]), float(np.trapezoid(volt[: end + 1], drawn))


# Source: reference library pybamm 26.10, DFN, isothermal, 25 °C: ampere-hours and watt-hours at C/20 and C/3.
TOTALS = [
    ("Chen2020", 1 / 20, 5.144, 19.08),
    ("Chen2020", 1 / 3, 5.095, 18.54),
    ("Prada2013", 1 / 20, 2.285, 7.29),
    ("Prada2013", 1 / 3, 2.180, 6.88),
]
# The ten-minute resistance was taken at C/3.
ROOM = {"Chen2020": {1 / 20: 0.005, 1 / 3: 0.01}, "Prada2013": {1 / 20: 0.005, 1 / 3: 0.02}}


@pytest.mark.parametrize(("name", "per_hour", "ampere_hours", "watt_hours"), TOTALS)
def test_what_a_discharge_yields(
    name: str, per_hour: float, ampere_hours: float, watt_hours: float, published: Any
) -> None:
    got = simple_discharge(SETS[name], NOMINAL[name] * per_hour)
    for quantity, expected, value in (("Ah", ampere_hours, got[0]), ("Wh", watt_hours, got[1])):
        print(name, round(per_hour, 2), quantity, expected, round(value, 3), f"{value / expected - 1:+.2%}")
        published.check(
            source=f"pybamm 26.10, set {name}",
            law="discharge at constant current",
            asked=f"{SETS[name]} at {per_hour:.3g}C and 25 °C [{quantity}]",
            expected=expected,
            got=value,
            rel=ROOM[name][per_hour],
            why="one resistance over charge stands for diffusion, which depends on current and history",
            keys=("pack.energy_usable",),
        )


# Root mean square of the voltage error allowed from 10 % to 95 % of charge (from where the library stops, if sooner).
# Within 20 mV. At 1C the simple model misses by 23 mV (Chen2020) and 113 mV (Prada2013, which starves near empty):
# a known limit, see docs/theory/pack.md, and no check.
ROOM_MILLIVOLT = {
    ("Chen2020", 1 / 20): 5,
    ("Chen2020", 1 / 3): 10,
    ("Prada2013", 1 / 20): 5,
    ("Prada2013", 1 / 3): 15,
}


@pytest.mark.parametrize(("name", "per_hour"), ROOM_MILLIVOLT)
def test_discharge_curve_against_the_library_run_live(name: str, per_hour: float, published: Any) -> None:
    """Source: pybamm as installed, run here."""
    run = from_the_library(name, per_hour)
    inside = (run.charge >= 0.10) & (run.charge <= 0.95)
    simple = simple_voltage(SETS[name], run.charge[inside], NOMINAL[name] * per_hour)
    error = float(np.sqrt(np.mean((simple - run.volt[inside]) ** 2)))
    print(name, round(per_hour, 2), f"{1000 * error:.1f} mV, library ends at {run.charge[-1]:.1%}")
    published.check(
        source=f"pybamm as installed, run live, set {name}",
        law="discharge at constant current",
        asked=f"{SETS[name]} at {per_hour:.3g}C: rms error of voltage over 10 to 95 % of charge [V]",
        expected=0.0,
        got=error,
        absolute=ROOM_MILLIVOLT[name, per_hour] / 1000,
        why="well within 20 mV up to C/3, about what a car draws",
        keys=("pack.energy_usable",),
    )


@pytest.mark.parametrize("name", NOMINAL)
def test_open_circuit_table_follows_the_library_between_its_rows(name: str, published: Any) -> None:
    """Source: pybamm as installed, run here. The slow discharge passes every charge."""
    run = from_the_library(name, 1 / 20)
    above = run.charge >= 0.05
    worst = float(np.max(np.abs(open_circuit(SETS[name], run.charge[above]) - run.open_circuit[above])))
    print(name, f"{1000 * worst:.2f} mV")
    published.check(
        source=f"pybamm as installed, run live, set {name}",
        law="open-circuit voltage over charge",
        asked=f"{SETS[name]}: worst error above 5 % of charge [V]",
        expected=0.0,
        got=worst,
        absolute=0.002,
        why="the table promises straight lines within 2 mV of the curve",
    )


@pytest.mark.parametrize("slug", ["lfp-cylindrical-2.3ah", "lco-pouch-2.3ah", "lfp-prismatic-280ah"])
def test_cold_by_activation_energy(slug: str, published: Any) -> None:
    """Source: the table of resistance of the set ECM_Example, pybamm 26.10, which is no real cell (20 kJ/mol)."""
    values = pybamm.ParameterValues("ECM_Example")
    resistance = values["R0 [Ohm]"]

    def of_the_set(celsius: float) -> float:
        half, ampere = pybamm.Scalar(0.5), pybamm.Scalar(100.0)
        return float(np.squeeze(values.evaluate(resistance(pybamm.Scalar(celsius), ampere, half))))

    for celsius in (-20, -10, 10):
        published.check(
            source="pybamm 26.10, set ECM_Example",
            law="resistance over temperature",
            asked=f"{slug}: resistance at {celsius} °C over that at 40 °C",
            expected=of_the_set(celsius) / of_the_set(40),
            got=float(ohm(slug, "10s", 0.5, celsius) / ohm(slug, "10s", 0.5, 40)),
            rel=0.005,
            why="both are tables printed to a few digits",
        )


@pytest.mark.parametrize("slug", slugs())
def test_resistance_behaves(slug: str) -> None:
    """Common practice, no source: a longer pulse, cold, and an empty cell all show more resistance.

    At -20 °C cells show 2 to 5 times the 10 s resistance of 25 °C; two of the published sets reach 5.4 and 6.4.
    """
    tables = [np.array(cell(slug)[f"resistance_{kind}"]["milliohm"]) for kind in KINDS]
    assert all(np.all(longer >= shorter) for shorter, longer in pairwise(tables))
    assert all(np.all(np.diff(table, axis=1) < 0) for table in tables)
    assert all(np.all(ohm(slug, kind, 0.05) > ohm(slug, kind, 0.5)) for kind in KINDS)
    assert 2 < ohm(slug, "10s", 0.5, -20) / ohm(slug, "10s", 0.5) < 6.5


# Source: batterydesign.net/specific-heat-capacity, read in a copy, 30 to 40 °C at half charge. [J/(kg·K)]
HEAT = {"nca": 830, "nmc": 1040, "lfp": 1130}


@pytest.mark.parametrize("slug", slugs())
def test_specific_heat(slug: str, published: Any) -> None:
    chemistry, value = cell(slug)["chemistry"], amount(cell(slug)["heat_capacity"])
    if chemistry == "lco":
        assert 800 <= value <= 1100, "the same page: what the literature spans"
        assert cell(slug)["fields"]["heat_capacity"]["grade"] == "estimated"
        return
    published.check(
        source="batterydesign.net/specific-heat-capacity, read in a copy",
        law="specific heat of a cell",
        asked=f"{slug} [J/(kg·K)]",
        expected=HEAT[chemistry],
        got=value,
        rel=1e-9,
        why="the figure is carried over",
    )


@pytest.mark.parametrize("slug", slugs())
def test_sources_are_in_the_list(slug: str) -> None:
    known = json.loads((ROOT / "quantity" / "references.json").read_text(encoding="utf-8"))
    made = cell(slug)
    assert made["id"] == f"cell/{slug}"
    assert {made["source"], *(field["source"] for field in made["fields"].values())} <= known.keys()
    assert made["fields"].keys() <= made.keys()


def test_there_are_cells() -> None:
    assert len(slugs()) >= 8
