"""A pack in motion: one resistance that acts at once, one that comes with a lag, and one temperature.

Over a step the current is steady, so that the lag has a closed form. A charging current is negative.
"""

from __future__ import annotations

from typing import Annotated, Any

import numpy as np

from voltwright.quantity.formula import formula
from voltwright.quantity.source import Source
from voltwright.quantity.types import Ampere, Coulomb, Fraction, Kelvin, Kilogram, Number, Ohm, Second, Volt, Watt
from voltwright.quantity.units import Unit

JoulePerKelvin = Annotated[float, Unit("J/K")]
WattPerKelvin = Annotated[float, Unit("W/K")]
JoulePerKilogramKelvin = Annotated[float, Unit("J/(kg·K)")]

REGEN_RAMP = 10.0  # K above the coldest cell that may be charged, over which it comes to take its whole current
PLETT = Source("plett-2015", "ch. 2; one resistor-capacitor pair, solved exactly over a step")


@formula(symbol="κ", equation="exp(-step / relaxation)", source=PLETT)
def kept_share(step: Second, relaxation: Second) -> Fraction:
    """Share of a lag that is left after a step. [1]"""
    result: Any = np.exp(-step / relaxation)
    return result


@formula(symbol="κ_m", equation="(1 - exp(-step / relaxation)) * relaxation / step", source=PLETT)
def mean_share(step: Second, relaxation: Second) -> Fraction:
    """Share of a lag that is left on the mean of a step. [1]"""
    result: Any = (1.0 - np.exp(-step / relaxation)) * relaxation / step
    return result


@formula(
    symbol="R_1",
    equation="Max(0, later - sooner) / (1 - exp(-time / relaxation))",
    source=PLETT,
    valid="both resistances measured with a steady current from rest",
)
def lagging_resistance(sooner: Ohm, later: Ohm, time: Second, relaxation: Second) -> Ohm:
    """Resistance that comes with the lag, from that at once and that after some time. [Ω]"""
    result: Any = np.maximum(0.0 * later, later - sooner) / (1.0 - np.exp(-time / relaxation))
    return result


@formula(symbol="U_1", equation="lag * kept + resistance * current * (1 - kept)", source=PLETT)
def lag_after(lag: Volt, resistance: Ohm, current: Ampere, kept: Fraction) -> Volt:
    """Voltage of the lag after a step. [V]"""
    return lag * kept + resistance * current * (1.0 - kept)


@formula(symbol="U_0", equation="cells_series * cell_voltage - lag * mean_kept", source=PLETT)
def voltage_behind(cells_series: Number, cell_voltage: Volt, lag: Volt, mean_kept: Fraction) -> Volt:
    """Voltage behind the resistance that a step sees. [V]"""
    return cells_series * cell_voltage - lag * mean_kept


@formula(symbol="R", equation="factor * (at_once + lagging * (1 - mean_kept)) + links", source=PLETT)
def resistance_of_step(factor: Number, at_once: Ohm, lagging: Ohm, mean_kept: Fraction, links: Ohm) -> Ohm:
    """Resistance that a steady current sees on the mean of a step; `factor` is cells in series by those in parallel. [Ω]"""
    return factor * (at_once + lagging * (1.0 - mean_kept)) + links


@formula(symbol="s", equation="charge - current * step / capacity", source=Source("plett-2015", "ch. 2"))
def charge_after(charge: Fraction, current: Ampere, step: Second, capacity: Coulomb) -> Fraction:
    """Charge after a step. [1]"""
    return charge - current * step / capacity


@formula(
    symbol="P_c",
    equation="(resistance * current + lag * mean_kept) * current",
    source=Source("plett-2015", "ch. 2"),
    valid="reversible heat left out",
)
def cell_loss(resistance: Ohm, current: Ampere, lag: Volt, mean_kept: Fraction) -> Watt:
    """What the pack turns into heat on the mean of a step. [W]"""
    return (resistance * current + lag * mean_kept) * current


@formula(
    symbol="T_c",
    equation="temperature + (heat - shed * (temperature - surroundings)) * step / heat_capacity",
    source=Source("incropera-2007", "ch. 5, lumped capacitance"),
    valid="one temperature for all cells; steps short against heat_capacity / shed",
)
def temperature_after(
    temperature: Kelvin, heat: Watt, shed: WattPerKelvin, surroundings: Kelvin, step: Second, heat_capacity: JoulePerKelvin
) -> Kelvin:  # fmt: skip
    """Temperature of the cells after a step. [K]"""
    return temperature + (heat - shed * (temperature - surroundings)) * step / heat_capacity


@formula(
    symbol="x_T",
    equation="Max(0, Min(1, (temperature - coldest) / ramp))",
    source=Source("typical-practice", "monitors lower the charging current over some kelvin above the limit"),
)
def cold_share(temperature: Kelvin, coldest: Kelvin, ramp: Kelvin) -> Fraction:
    """Share of the regeneration current that a cold pack takes. [1]"""
    result: Any = np.maximum(0.0, np.minimum(1.0, (temperature - coldest) / ramp))
    return result


@formula(symbol="n_R", equation="cells_series * growth / cells_parallel", source=Source("plett-2015", "ch. 2"))
def cell_factor(cells_series: Number, cells_parallel: Number, growth: Number) -> Number:
    """By how much the pack's resistance is that of one new cell, links left out. [1]"""
    return cells_series * growth / cells_parallel


@formula(symbol="C_h", equation="mass * specific", source=Source("incropera-2007", "ch. 5"))
def heat_capacity_of(mass: Kilogram, specific: JoulePerKilogramKelvin) -> JoulePerKelvin:
    """Heat that warms a body by a kelvin. [J/K]"""
    return mass * specific


@formula(symbol="G_h", equation="heat_capacity / time", source=Source("incropera-2007", "ch. 5, lumped capacitance"))
def shed_in_time(heat_capacity: JoulePerKelvin, time: Second) -> WattPerKelvin:
    """What a body sheds for each kelvin, from the time in which it cools to 37 % of the difference. [W/K]"""
    return heat_capacity / time
