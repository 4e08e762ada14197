"""Coolant in tubes and channels: friction, heat to the wall, pressure lost, and where the pump and the loop agree.

Between laminar and turbulent (Reynolds numbers 2300 and 4000) friction and heat go straight from one to the other.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from voltwright.physics.air import Pascal
from voltwright.physics.heat_paths import CubicMetrePerSecond
from voltwright.quantity.formula import formula, procedure
from voltwright.quantity.source import Source
from voltwright.quantity.table import Curve
from voltwright.quantity.types import KilogramPerCubicMetre, Metre, MetrePerSecond, Number, SquareMetre

_interpolate: Any = np.interp
_HALVINGS = 40


@formula(symbol="v", equation="flow / area")
def speed_in(flow: CubicMetrePerSecond, area: SquareMetre) -> MetrePerSecond:
    """Mean speed of a flow. [m/s]"""
    return flow / area


@formula(symbol="D_h", equation="4 * area / edge", source=Source("incropera-2007", "ch. 8"))
def hydraulic_diameter(area: SquareMetre, edge: Metre) -> Metre:
    """Diameter of the round tube that a channel is like. [m]"""
    return 4.0 * area / edge


@formula(
    symbol="x_t",
    equation="Max(0, Min(1, (reynolds - 2300) / 1700))",
    source=Source("gnielinski-2013", "transition from 2300 to 4000"),
)
def turbulent_share(reynolds: Number) -> Number:
    """How far a flow in a tube is turbulent. [1]"""
    result: Any = np.maximum(0.0, np.minimum(1.0, (reynolds - 2300.0) / 1700.0))
    return result


@formula(
    symbol="f",
    equation="(1 - turbulent) * 64 / reynolds + turbulent / (0.79 * log(Max(reynolds, 4000)) - 1.64)**2",
    source=Source("incropera-2007", "ch. 8, smooth tubes (Petukhov)"),
    valid="smooth round tube, Reynolds number up to 5e6",
)
def darcy_friction(reynolds: Number, turbulent: Number) -> Number:
    """Friction factor of Darcy. [1]"""
    result: Any = (1.0 - turbulent) * 64.0 / reynolds + turbulent / (
        0.79 * np.log(np.maximum(reynolds, 4000.0)) - 1.64
    ) ** 2
    return result


@formula(
    symbol="Nu",
    equation="8.235 * (1 - 2.0421 * aspect + 3.0853 * aspect**2 - 2.4765 * aspect**3 + 1.0578 * aspect**4 - 0.1861 * aspect**5)",
    source=Source("shah-london-1978"),
    valid="laminar, developed, even heat all round; short side by long side",
)
def nusselt_laminar_channel(aspect: Number) -> Number:
    """Nusselt number of laminar flow in a rectangular channel, by its hydraulic diameter. [1]"""
    return 8.235 * (
        1.0 - 2.0421 * aspect + 3.0853 * aspect**2 - 2.4765 * aspect**3 + 1.0578 * aspect**4 - 0.1861 * aspect**5
    )


@formula(
    symbol="Nu",
    equation="friction / 8 * (reynolds - 1000) * prandtl / (1 + 12.7 * sqrt(friction / 8) * (prandtl**(2/3) - 1))",
    source=Source("gnielinski-1976"),
    valid="Reynolds number 2300 to 5e6, Prandtl number 0.5 to 2000",
)
def nusselt_turbulent(reynolds: Number, prandtl: Number, friction: Number) -> Number:
    """Nusselt number of turbulent flow in a tube. [1]"""
    eighth = friction / 8.0
    result: Any = (
        eighth * (reynolds - 1000.0) * prandtl / (1.0 + 12.7 * np.sqrt(eighth) * (prandtl ** (2.0 / 3.0) - 1.0))
    )
    return result


@formula(
    symbol="Nu",
    equation="(1 - turbulent) * laminar + turbulent * beyond",
    source=Source("gnielinski-2013", "straight from laminar to turbulent"),
    valid="`beyond` is that of the flow, at least that at a Reynolds number of 4000",
)
def nusselt_between(laminar: Number, beyond: Number, turbulent: Number) -> Number:
    """Nusselt number of a flow that is partly turbulent. [1]"""
    return (1.0 - turbulent) * laminar + turbulent * beyond


@formula(
    symbol="Δp",
    equation="(friction * length / diameter + fittings) * density * speed**2 / 2",
    source=Source("incropera-2007", "ch. 8, Darcy and Weisbach"),
)
def pressure_drop(
    friction: Number, length: Metre, diameter: Metre, fittings: Number, density: KilogramPerCubicMetre, speed: MetrePerSecond
) -> Pascal:  # fmt: skip
    """Pressure that a tube and what is fitted in it take. [Pa]"""
    return (friction * length / diameter + fittings) * density * speed**2 / 2.0


@procedure(
    symbol="V",
    words="where the pressure of the pump's curve is that which the loop takes at its flow, as the square of it; halved forty times",
    source=Source("incropera-2007", "ch. 8"),
    valid="the loop's pressure goes with the square of its flow; within the pump's curve",
)
def flow_of_pump(curve: Curve, drop: Pascal, at_flow: CubicMetrePerSecond) -> CubicMetrePerSecond:
    """Flow at which a pump and a loop agree; `drop` is what the loop takes at `at_flow`. [m³/s]"""
    x, y = curve.arrays
    choose: Any = np.where
    low: Any = 0.0 * (drop + at_flow)
    high: Any = low + x[-1]
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        pushes: Any = _interpolate(middle, x, y) >= drop * (middle / at_flow) ** 2
        low, high = choose(pushes, middle, low), choose(pushes, high, middle)
    return high if np.ndim(high) else float(high)
