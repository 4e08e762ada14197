"""Heat exchangers by effectiveness and number of transfer units: what a radiator sheds at the streams that go through it."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from voltwright.physics.air import Pascal
from voltwright.physics.cell_dynamics import WattPerKelvin
from voltwright.physics.free_convection import KelvinStep
from voltwright.physics.heat_paths import CubicMetrePerSecond
from voltwright.physics.pipe_flow import halved
from voltwright.quantity.formula import formula, procedure
from voltwright.quantity.source import Source
from voltwright.quantity.table import Curve
from voltwright.quantity.types import Fraction, Metre, MetrePerSecond, Number, SquareMetre, Watt

INCROPERA = Source("incropera-2007", "ch. 11")
_choose: Any = np.where


@formula(symbol="NTU", equation="conductance / least_stream", source=INCROPERA)
def transfer_units(conductance: WattPerKelvin, least_stream: WattPerKelvin) -> Number:
    """How large an exchanger is for its streams. [1]"""
    return conductance / least_stream


@formula(
    symbol="ε",
    equation="1 - exp(units**0.22 / ratio * (exp(-ratio * units**0.78) - 1))",
    source=INCROPERA,
    valid="both streams unmixed, across each other; ratio above 0",
)
def effectiveness_crossflow(units: Number, ratio: Number) -> Fraction:
    """Share of the greatest possible heat that a radiator exchanges. [1]"""
    result: Any = 1.0 - np.exp(units**0.22 / ratio * (np.exp(-ratio * units**0.78) - 1.0))
    return result


_HALVINGS = 26
LEAST_UNITS, MOST_UNITS = 1e-3, 12.0  # beyond so many an exchanger gives no more


@procedure(
    symbol="NTU",
    words="the number of transfer units that gives this effectiveness across unmixed streams; its logarithm halved 26 times",
    source=INCROPERA,
    valid="between 0.001 and 12; a datasheet that says more than its streams can carry gives 12",
)
def units_of(effectiveness: Fraction, ratio: Number) -> Number:
    """How large an exchanger is, from what it does: `effectiveness_crossflow` the other way round. [1]"""
    low: Any = math.log(LEAST_UNITS) + 0.0 * (effectiveness + ratio)
    high: Any = math.log(MOST_UNITS) + 0.0 * low
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        less = effectiveness_crossflow(units=np.exp(middle), ratio=ratio) < effectiveness
        low, high = halved(less, low, middle, high)
    found: Any = np.exp((low + high) / 2.0)
    return found if np.ndim(found) else float(found)


@formula(symbol="A_o", equation="width * height")
def face_of(width: Metre, height: Metre) -> SquareMetre:
    """Face of a core. [m²]"""
    return width * height


@formula(
    symbol="Δp",
    equation="known * depth / known_depth",
    source=Source("typical-practice", "cores of one make: the pressure goes with the depth"),
)
def core_takes(known: Pascal, depth: Metre, known_depth: Metre) -> Pascal:
    """Pressure that a core takes at the air for which that of another depth is known. [Pa]"""
    return known * depth / known_depth


@formula(
    symbol="V",
    equation="known * face / known_face",
    source=Source("typical-practice", "radiators are rated at a flow that goes with their face"),
)
def rated_flow(known: CubicMetrePerSecond, face: SquareMetre, known_face: SquareMetre) -> CubicMetrePerSecond:
    """Flow for which a radiator is rated, from that of another face. [m³/s]"""
    return known * face / known_face


@formula(symbol="v", equation="share * speed")
def wind_in_core(share: Fraction, speed: MetrePerSecond) -> MetrePerSecond:
    """Speed of the air in a core by the road alone. [m/s]"""
    return share * speed


@formula(symbol="G", equation="conductance * share")
def still_radiator(conductance: WattPerKelvin, share: Fraction) -> WattPerKelvin:
    """What a radiator sheds where nothing blows. [W/K]"""
    return conductance * share


@formula(symbol="C_r", equation="least / most")
def stream_ratio(least: WattPerKelvin, most: WattPerKelvin) -> Number:
    """The lesser stream of an exchanger by the greater. [1]"""
    return least / most


@formula(symbol="ε", equation="conductance / least_stream", source=INCROPERA)
def effectiveness_of(conductance: WattPerKelvin, least_stream: WattPerKelvin) -> Fraction:
    """Effectiveness of a radiator of which the heat for each kelvin between what comes in on both sides is known. [1]"""
    return conductance / least_stream


@formula(symbol="G", equation="units * least_stream", source=INCROPERA)
def whole_conductance(units: Number, least_stream: WattPerKelvin) -> WattPerKelvin:
    """Conductance of a radiator from coolant to air, at every place of it, all of it together. [W/K]"""
    return units * least_stream


@formula(
    symbol="G",
    equation="rated / (air_share * (air_rated / air)**air_power + (1 - air_share) * (flow_rated / flow)**flow_power)",
    source=Source("incropera-2007", "ch. 11: resistances in a row, each with a power of its stream"),
    valid="the wall itself resists nothing; streams above 0",
)
def conductance_elsewhere(
    rated: WattPerKelvin, air_share: Fraction, air_rated: MetrePerSecond, air: MetrePerSecond, air_power: Number,
    flow_rated: CubicMetrePerSecond, flow: CubicMetrePerSecond, flow_power: Number,
) -> WattPerKelvin:  # fmt: skip
    """Conductance of a radiator at another air and another flow than those for which it is known. [W/K]

    `air_share`: of its resistance there, what stands on the side of the air.
    """
    return rated / (air_share * (air_rated / air) ** air_power + (1.0 - air_share) * (flow_rated / flow) ** flow_power)


@formula(symbol="G", equation="effectiveness * least_stream", source=INCROPERA)
def shed_by(effectiveness: Fraction, least_stream: WattPerKelvin) -> WattPerKelvin:
    """What an exchanger sheds for each kelvin between coolant and air where they come in. [W/K]"""
    return effectiveness * least_stream


@formula(
    symbol="G",
    equation="first + second - first * second / coolant",
    source=INCROPERA,
    valid="coolant goes through both, each has fresh air",
)
def one_behind_the_other(first: WattPerKelvin, second: WattPerKelvin, coolant: WattPerKelvin) -> WattPerKelvin:
    """What two radiators shed together: the second gets what the first has cooled. [W/K]"""
    return first + second - first * second / coolant


@formula(
    symbol="G",
    equation="coolant * (1 - Max(0, 1 - one / coolant)**count)",
    source=INCROPERA,
    valid="coolant goes through all, each has fresh air",
)
def alike_in_a_row(one: WattPerKelvin, coolant: WattPerKelvin, count: Number) -> WattPerKelvin:
    """What several radiators alike shed together, each getting what the one before has cooled. [W/K]"""
    result: Any = coolant * (1.0 - np.maximum(0.0, 1.0 - one / coolant) ** count)
    return result


@formula(
    symbol="G", equation="heat / difference", source=INCROPERA, valid="difference above 0; elsewhere there is none"
)
def conductance_needed(heat: Watt, difference: KelvinStep) -> WattPerKelvin:
    """Conductance that lets a heat through at a difference. [W/K]"""
    return heat / _choose(difference > 0.0, difference, np.nan)


_interpolate: Any = np.interp


@procedure(symbol="G", words="read from the table at this flow, straight between its rows")
def radiator_at(flow: CubicMetrePerSecond, curve: Curve) -> WattPerKelvin:
    """What a radiator sheds for each kelvin at a flow of coolant. [W/K]"""
    x, y = curve.arrays
    return _interpolate(flow, x, y)
