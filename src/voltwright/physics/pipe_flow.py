"""Coolant in tubes and channels, air in a core: friction, heat to the wall, pressure lost, where pump and loop or fan and core agree.

Between laminar and turbulent (Reynolds numbers 2300 and 4000) friction and heat go straight from one to the other.
"""

from __future__ import annotations

from typing import Annotated, Any

import numpy as np

from voltwright.physics.air import Pascal
from voltwright.physics.free_convection import FilmCoefficient
from voltwright.physics.heat_paths import CubicMetrePerSecond
from voltwright.quantity.formula import formula, procedure
from voltwright.quantity.source import Source
from voltwright.quantity.table import Curve
from voltwright.quantity.types import Fraction, KilogramPerCubicMetre, Metre, MetrePerSecond, Number, SquareMetre
from voltwright.quantity.units import Unit

AirFlow = Annotated[float, Unit("m³/h")]
_interpolate: Any = np.interp
_HALVINGS = 40


def halved(upper: Any, low: Any, middle: Any, high: Any) -> tuple[Any, Any]:
    """The half of an interval in which what is searched lies; of each sample where there are samples."""
    if np.ndim(upper):
        choose: Any = np.where
        return choose(upper, middle, low), choose(upper, high, middle)
    return (middle, high) if upper else (low, middle)


LEAST_REYNOLDS = 0.001  # slower than anything that flows; what stands takes no pressure


@formula(symbol="v", equation="flow / area")
def speed_in(flow: CubicMetrePerSecond, area: SquareMetre) -> MetrePerSecond:
    """Mean speed of a flow. [m/s]"""
    return flow / area


@formula(symbol="D_h", equation="4 * area / edge", source=Source("incropera-2007", "ch. 8"))
def hydraulic_diameter(area: SquareMetre, edge: Metre) -> Metre:
    """Diameter of the round tube that a channel is like. [m]"""
    return 4.0 * area / edge


@formula(symbol="A_o", equation="count * width * depth")
def channels_section(count: Number, width: Metre, depth: Metre) -> SquareMetre:
    """Section of channels side by side. [m²]"""
    return count * width * depth


@formula(symbol="L", equation="2 * count * (width + depth)")
def channels_edge(count: Number, width: Metre, depth: Metre) -> Metre:
    """Edge of channels side by side that the coolant touches. [m]"""
    return 2.0 * count * (width + depth)


@formula(symbol="L", equation="count * each")
def length_of_several(count: Number, each: Metre) -> Metre:
    """Length of alike pieces one behind the other. [m]"""
    return count * each


@formula(symbol="V", equation="flow / count")
def flow_of_each(flow: CubicMetrePerSecond, count: Number) -> CubicMetrePerSecond:
    """Flow through each of alike branches side by side. [m³/s]"""
    return flow / count


@formula(symbol="a", equation="depth / width")
def aspect_of(depth: Metre, width: Metre) -> Number:
    """Short side of a channel by its long side. [1]"""
    return depth / width


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
    equation="(1 - turbulent) * 64 / Max(reynolds, 0.001) + turbulent / (0.79 * log(Max(reynolds, 4000)) - 1.64)**2",
    source=Source("incropera-2007", "ch. 8, smooth tubes (Petukhov)"),
    valid="smooth round tube, Reynolds number up to 5e6",
)
def darcy_friction(reynolds: Number, turbulent: Number) -> Number:
    """Friction factor of Darcy. [1]"""
    result: Any = (1.0 - turbulent) * 64.0 / np.maximum(reynolds, LEAST_REYNOLDS) + turbulent / (
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


@formula(symbol="Gz", equation="reynolds * prandtl * diameter / length", source=Source("incropera-2007", "ch. 8"))
def graetz(reynolds: Number, prandtl: Number, diameter: Metre, length: Metre) -> Number:
    """Graetz number: how far the heat of the wall is from having reached the middle of the stream. [1]"""
    return reynolds * prandtl * diameter / length


@formula(
    symbol="Nu",
    equation="developed + 0.0668 * graetz / (1 + 0.04 * graetz**(2/3))",
    source=Source("incropera-2007", "ch. 8, Hausen: thermal entry of a tube, from where the stream is mixed"),
    valid="laminar, mean over the length; for other sections than the round one `developed` is that of the section",
)
def nusselt_entry(developed: Number, graetz: Number) -> Number:
    """Mean Nusselt number of laminar flow that begins to take heat at the inlet. [1]"""
    return developed + 0.0668 * graetz / (1.0 + 0.04 * graetz ** (2.0 / 3.0))


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


@formula(
    symbol="h",
    equation="film * edge / width",
    source=Source("incropera-2007", "ch. 3"),
    valid="the whole edge of each channel is as warm as the plate",
)
def film_of_plate(film: FilmCoefficient, edge: Metre, width: Metre) -> FilmCoefficient:
    """What the channels of a plate take, by a square metre of the module that stands on it. [W/(m²·K)]"""
    return film * edge / width


@formula(symbol="Δp", equation="drop * (flow / at_flow)**2", valid="goes with the square of the flow")
def drop_at(drop: Pascal, at_flow: CubicMetrePerSecond, flow: CubicMetrePerSecond) -> Pascal:
    """Pressure at another flow than that at which it is known. [Pa]"""
    return drop * (flow / at_flow) ** 2


@formula(symbol="V", equation="speed * area")
def flow_through(speed: MetrePerSecond, area: SquareMetre) -> AirFlow:
    """Flow at a mean speed. [m³/s]"""
    return speed * area


@formula(symbol="V", equation="free * count * share")
def share_of_free(free: AirFlow, count: Number, share: Fraction) -> AirFlow:
    """What fans blow where something stands in their way. [m³/s]"""
    return free * count * share


@procedure(
    symbol="Δp",
    words="at each flow of either table both pressures added, up to the last flow of the one that ends first",
    valid="pumps one behind the other in one pipe",
)
def pumps_in_a_row(first: Curve, second: Curve) -> Pascal:
    """Pressure of two pumps over the flow that goes through both; a table. [Pa]"""
    end = min(first.x[-1], second.x[-1])
    x = sorted({each for each in (*first.x, *second.x) if each <= end})
    both: Any = _interpolate(x, *first.arrays) + _interpolate(x, *second.arrays)
    made: Any = Curve(tuple(x), tuple(float(each) for each in both), "pressure of pumps in a row over their flow")
    return made


@procedure(
    symbol="Δp",
    words="at each flow the pressure of one as often as there are pumps",
    valid="pumps one behind the other in one pipe",
)
def pumps_alike(one: Curve, count: Number) -> Pascal:
    """Pressure of several pumps alike over the flow that goes through all of them; a table. [Pa]"""
    made: Any = Curve(one.x, tuple(float(count) * each for each in one.y), "pressure of pumps in a row over their flow")
    return made


@procedure(
    symbol="Δp", words="read from the table at this flow, straight between its rows; nothing beyond its last row"
)
def head_at(flow: CubicMetrePerSecond, curve: Curve) -> Pascal:
    """Pressure that a pump gives at a flow. [Pa]"""
    x, y = curve.arrays
    return _interpolate(flow, x, y, right=0.0)


@procedure(
    symbol="V",
    words="where the pressure of the fans and of the wind together is what the core takes, as the square of its flow; halved thirty times",
    source=Source("incropera-2007", "ch. 8"),
    valid="fans side by side, each with its part of the core; beyond the last row of its table a fan gives nothing and hinders nothing",
)
def flow_of_fans(curve: Curve, count: Number, drop: Pascal, at_flow: AirFlow, push: Pascal) -> AirFlow:
    """Air through a core that takes `drop` at `at_flow`, with fans behind it and the pressure of the wind before it. [m³/s]"""
    x, y = curve.arrays
    low: Any = 0.0 * (count + drop + at_flow + push)
    high: Any = np.maximum(count * x[-1], at_flow * np.sqrt(push / drop)) + low
    for _ in range(30):
        middle = (low + high) / 2.0
        lifts = _interpolate(middle / count, x, y, right=0.0) + push
        low, high = halved(lifts >= drop * (middle / at_flow) ** 2, low, middle, high)
    return high if np.ndim(high) else float(high)


@procedure(
    symbol="V",
    words="where the pressure of the pump's curve is that which the loop takes at its flow, as the square of it; halved forty times",
    source=Source("incropera-2007", "ch. 8"),
    valid="the loop's pressure goes with the square of its flow; within the pump's curve",
)
def flow_of_pump(curve: Curve, drop: Pascal, at_flow: CubicMetrePerSecond) -> CubicMetrePerSecond:
    """Flow at which a pump and a loop agree; `drop` is what the loop takes at `at_flow`. [m³/s]"""
    x, y = curve.arrays
    low: Any = 0.0 * (drop + at_flow)
    high: Any = low + x[-1]
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        low, high = halved(_interpolate(middle, x, y) >= drop * (middle / at_flow) ** 2, low, middle, high)
    return high if np.ndim(high) else float(high)
