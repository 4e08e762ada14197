"""A charge during which the cells warm up, and take more current as they do: a procedure over small steps, compiled."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from voltwright.kernels.compiled import law, loop
from voltwright.kernels.strings import along, within
from voltwright.physics import charging, charging_cold
from voltwright.physics.cell_dynamics import JoulePerKelvin, WattPerKelvin
from voltwright.physics.charging import NEVER, ChargeLimits, PackSource
from voltwright.quantity.formula import procedure
from voltwright.quantity.source import Source
from voltwright.quantity.types import Ampere, Coulomb, Fraction, Kelvin, Watt
from voltwright.quantity.units import Unit

STEPS = 300
SLOWEST = 1e-4  # A; less is none
FIELDS = ("start", "end", "capacity", "cells", "current", "power", "voltage", "series", "parallel", "growth", "links", "temperature",
          "coldest", "cold_ramp", "hottest", "hot_ramp", "heat_capacity", "shed", "surroundings", "held", "heater")  # fmt: skip
(START, END, CAPACITY, CELLS, CURRENT, POWER, VOLTAGE, SERIES, PARALLEL, GROWTH, LINKS, TEMPERATURE, COLDEST, COLD_RAMP, HOTTEST,
 HOT_RAMP, HEAT_CAPACITY, SHED, SURROUNDINGS, HELD, HEATER) = range(len(FIELDS))  # fmt: skip
_share = law(charging_cold.warmth_share)
_current = law(charging.charging_current)


@loop
def charge(known, volt_x, volt_y, ohm_x, ohm_y, ohm_z, found):
    """Charge each sample (column of `known`: rows as FIELDS, SI) from one charge to another.

    `found` gets time, energy into the pack, heat from the heater, and the temperature at the end.
    """
    for at in range(known.shape[1]):
        k = known[:, at]
        span, warm, held = max(0.0, k[END] - k[START]), k[TEMPERATURE], 0.0
        time, energy, heated, before = 0.0, 0.0, 0.0, 0.0
        for step in range(1, STEPS + 1):
            after = (step / STEPS) ** 2 * (
                3.0 - 2.0 * step / STEPS
            )  # finer at both ends: there the current changes fast
            width, full = span * (after - before), k[START] + span * (before + after) / 2.0
            before = after
            rest = k[SERIES] * along(volt_x, volt_y, full)
            middle, end = warm, warm
            took, flowing, ohm = 0.0, 0.0, 0.0
            for _ in range(2):  # with the temperature in the middle of the step, as the first round finds it
                ohm = k[SERIES] * within(ohm_x, ohm_y, ohm_z, full, middle) * k[GROWTH] / k[PARALLEL] + k[LINKS]
                share = _share(middle, k[COLDEST], k[COLD_RAMP], k[HOTTEST], k[HOT_RAMP])
                most = min(k[CURRENT], k[CELLS] * share)
                flowing = max(_current(most, max(0.0, k[POWER] - held), k[VOLTAGE], rest, ohm), 0.1 * SLOWEST)
                took, heat = k[CAPACITY] * width / flowing, ohm * flowing * flowing
                # Backwards Euler: steady however long the step is. The heater gives what is missing at the end of the step.
                per_watt, pull = took / k[HEAT_CAPACITY], k[SHED] * took / k[HEAT_CAPACITY]
                missing = (k[HELD] * (1.0 + pull) - warm - pull * k[SURROUNDINGS]) / max(per_watt, 1e-12) - heat
                held = min(k[HEATER], max(0.0, missing))
                end = (warm + (heat + held) * per_watt + pull * k[SURROUNDINGS]) / (1.0 + pull)
                middle = (warm + end) / 2.0
            if flowing < SLOWEST:
                time = NEVER
                break
            warm = end
            time, energy, heated = time + took, energy + (rest + ohm * flowing) * flowing * took, heated + held * took
        found[0, at], found[1, at], found[2, at], found[3, at] = time, energy, heated, warm


@dataclass(frozen=True, eq=False)
class Charged:
    """A whole charge: time [s] (a year where no current flows), energy into the pack and heat from the heater [J], and the
    temperature of the cells at the end [K]."""

    time: Any
    energy: Any
    heat: Any
    temperature: Any

    def __str__(self) -> str:
        if np.ndim(self.time):
            return f"{len(self.time)} charges"
        return f"{self.energy / 3.6e6:.3f} kWh in {self.time / 3600:.2f} h"


@procedure(
    symbol="L",
    words="stepped along the charge in 300 steps; at each the least current that the limits, the full voltage and the cells' "
    "temperature allow; the cells warm by their own loss, and a heater holds them where they would cool below `held`",
    source=Source("plett-2015", "ch. 1 and 2; with lumped heat, Incropera ch. 5"),
    valid="one temperature for all cells; every unit of charge that goes in is stored; resistance as in discharge",
)
def charge_while_warming(
    start: Fraction, end: Fraction, capacity: Coulomb, cells: Ampere, limits: ChargeLimits, pack: PackSource, coldest: Kelvin,
    cold_ramp: Kelvin, hottest: Kelvin, hot_ramp: Kelvin, heat_capacity: JoulePerKelvin, shed: WattPerKelvin,
    surroundings: Kelvin, held: Kelvin, heater: Watt,
) -> Annotated[Charged, Unit("1")]:  # fmt: skip
    """Charge from one charge to another in surroundings of a temperature, from the pack's temperature on.

    `cells` is what they may be charged with where they are neither cold nor hot; `limits` holds beside it.
    """
    values = (start, end, capacity, cells, limits.current, limits.power, limits.voltage, pack.cells_series, pack.cells_parallel,
              pack.growth, pack.links, pack.temperature, coldest, cold_ramp, hottest, hot_ramp, heat_capacity, shed,
              surroundings, held, heater)  # fmt: skip
    samples = max(np.size(each) for each in values)
    known = np.stack([np.broadcast_to(np.asarray(each, dtype=float), (samples,)) for each in values])
    found = np.zeros((4, samples))
    charge(known, *pack.table.arrays, *pack.resistances.arrays, found)
    return Charged(*(found if samples > 1 else (float(each[0]) for each in found)))


@procedure(symbol="t_L", words="the time of the simulation")
def time_of_charge(charged: Charged) -> Annotated[float, Unit("h")]:
    """Time that a whole charge takes. [s]"""
    return charged.time


@procedure(symbol="E_L", words="the energy of the simulation")
def energy_of_charge(charged: Charged) -> Annotated[float, Unit("kWh")]:
    """Energy into the pack. [J]"""
    return charged.energy


@procedure(symbol="Q_L", words="the heat of the simulation")
def heat_of_charge(charged: Charged) -> Annotated[float, Unit("kWh")]:
    """Heat by which a heater held the cells warm. [J]"""
    return charged.heat
