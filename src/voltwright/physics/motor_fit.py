"""What a motor's datasheet says about its losses, its envelope, its heat and its current, as a few coefficients.

Losses: `loss = k_c·T² + k_i·ω + k_ω·ω³ + C_m` (copper, iron, windage, constant), fitted to points of efficiency.
Envelope: `T <= min(T_peak, P·u/ω, K·u²/ω²)` with `u = min(1, U/U_nominal)`: constant torque, constant power, and above
them the region where the pull-out torque falls with the square of the speed.
"""

from __future__ import annotations

import functools
import itertools
from dataclasses import dataclass
from typing import Annotated, Any, cast

import numpy as np

from voltwright.physics.motor import (
    CopperConstant,
    EmfConstant,
    IronConstant,
    PullOut,
    WindageConstant,
    torque_limit,
)
from voltwright.quantity.formula import formula, procedure
from voltwright.quantity.source import Source
from voltwright.quantity.table import Curve
from voltwright.quantity.types import (
    Ampere,
    Fraction,
    Kilogram,
    Metre,
    NewtonMetre,
    Number,
    RadianPerSecond,
    Second,
    Watt,
)
from voltwright.quantity.units import Unit

TorqueConstant = Annotated[float, Unit("N·m/A")]
Inertia = Annotated[float, Unit("kg·m²")]

LOSSES = Source("larminie-lowry-2012", "ch. 7 and 8: copper, iron, windage and constant losses of a motor")
BEST = Source("larminie-lowry-2012", "ch. 7 and 8; at its best over torque the copper loss equals all the others")
EHSANI = Source("ehsani-2018", "ch. 4: constant torque, constant power, and natural mode")
CURRENT = Source("larminie-lowry-2012", "ch. 7; √3·E·I = T·ω")
BENT = 0.98  # below this share of the constant power a curve counts as fallen
STANDSTILL = 1e-6  # rad/s, so slow that only the torque limits


@dataclass(frozen=True)
class LossPoints:
    """Efficiency of a motor at points of speed [rad/s] and torque [N·m], all above zero."""

    speed: tuple[float, ...]
    torque: tuple[float, ...]
    efficiency: tuple[float, ...]
    name: str = ""

    def __str__(self) -> str:
        return f"table of {len(self.speed)} points, {self.name}".rstrip(", ")

    @functools.cached_property
    def arrays(self) -> tuple[Any, Any, Any]:
        speed, torque = np.asarray(self.speed, dtype=float), np.asarray(self.torque, dtype=float)
        return speed, torque, np.asarray(self.efficiency, dtype=float)


@functools.lru_cache(maxsize=256)
def loss_coefficients(points: LossPoints) -> tuple[float, float, float, float]:
    """Copper, iron, windage and constant, none below zero, for the least relative error of the power that goes in.

    Exact: of the 15 choices of terms that may be present, the best one whose least squares are nowhere negative; of
    two equally good ones, the one with fewer terms.
    """
    speed, torque, efficiency = points.arrays
    shaft = torque * speed
    into = shaft / efficiency
    terms: Any = np.stack([torque**2, speed, speed**3, np.ones_like(speed)], axis=1) / into[:, None]
    size: Any = np.linalg.norm(terms, axis=0)  # brings the terms to one scale, so that rounding does not choose
    terms, loss = terms / size, (into - shaft) / into
    best, best_error = np.zeros(4), float(loss @ loss)
    for chosen in _choices():
        found, error = _least_squares(terms[:, chosen], loss)
        if found.min() >= 0 and error < best_error * (1 - 1e-9) - 1e-18:
            best, best_error = np.zeros(4), error
            best[chosen] = found
    copper, iron, windage, constant = (float(each) for each in best / size)
    return copper, iron, windage, constant


def _least_squares(terms: Any, wanted: Any) -> tuple[Any, float]:
    """Coefficients of the terms, and the sum of the squares that they leave."""
    found = cast(Any, np.linalg.lstsq(terms, wanted, rcond=None)[0])
    return found, float(((wanted - terms @ found) ** 2).sum())


def _choices() -> list[list[int]]:
    """Every choice of terms, the short ones first."""
    return [list(each) for count in (1, 2, 3, 4) for each in itertools.combinations(range(4), count)]


FITTED = "fitted to the points with the other losses, none below zero, for the least relative error of the power in"


@procedure(symbol="k_c", words=FITTED, source=LOSSES)
def copper_of_points(points: LossPoints) -> CopperConstant:
    """Loss of the winding for each square of torque. [W/(N·m)²]"""
    return loss_coefficients(points)[0]


@procedure(symbol="k_i", words=FITTED, source=LOSSES)
def iron_of_points(points: LossPoints) -> IronConstant:
    """Loss of the iron and of friction for each unit of speed. [W·s/rad]"""
    return loss_coefficients(points)[1]


@procedure(symbol="k_ω", words=FITTED, source=LOSSES)
def windage_of_points(points: LossPoints) -> WindageConstant:
    """Loss of windage for each cube of speed. [W·s³/rad³]"""
    return loss_coefficients(points)[2]


@procedure(symbol="C_m", words=FITTED, source=LOSSES)
def constant_of_points(points: LossPoints) -> Watt:
    """Loss that is there at every speed and torque. [W]"""
    return loss_coefficients(points)[3]


@procedure(symbol="δ_η", words="root of the mean square of fitted less given efficiency")
def misfit_of_points(points: LossPoints) -> Fraction:
    """How far the fitted losses miss the points of efficiency. [1]"""
    speed, torque, efficiency = points.arrays
    copper, iron, windage, constant = loss_coefficients(points)
    shaft = torque * speed
    fitted: Any = shaft / (shaft + copper * torque**2 + iron * speed + windage * speed**3 + constant)
    return float(((fitted - efficiency) ** 2).mean() ** 0.5)


# With one speed held, efficiency is T·ω / (T·ω + k·T² + rest): at its best where k·T + rest/T is least, and there
# k·T² = rest. So half of the whole loss T·ω·(1/η - 1) is copper, and the shares of the others add up to one half.


@formula(symbol="k_c", equation="speed * (1 / efficiency - 1) / (2 * torque)", source=BEST)
def copper_from_best(efficiency: Fraction, torque: NewtonMetre, speed: RadianPerSecond) -> CopperConstant:
    """Copper takes half of the loss at the best point. [W/(N·m)²]"""
    return speed * (1.0 / efficiency - 1.0) / (2.0 * torque)


@formula(symbol="k_i", equation="share * torque * (1 / efficiency - 1)", source=BEST)
def iron_from_best(efficiency: Fraction, torque: NewtonMetre, share: Number) -> IronConstant:
    """Iron takes this share of the whole loss at the best point; the speed cancels. [W·s/rad]"""
    return share * torque * (1.0 / efficiency - 1.0)


@formula(symbol="k_ω", equation="share * torque * (1 / efficiency - 1) / speed**2", source=BEST)
def windage_from_best(
    efficiency: Fraction, torque: NewtonMetre, speed: RadianPerSecond, share: Number
) -> WindageConstant:
    """Windage takes this share of the whole loss at the best point. [W·s³/rad³]"""
    return share * torque * (1.0 / efficiency - 1.0) / speed**2


@formula(symbol="C_m", equation="share * torque * speed * (1 / efficiency - 1)", source=BEST)
def constant_from_best(efficiency: Fraction, torque: NewtonMetre, speed: RadianPerSecond, share: Number) -> Watt:
    """The constant loss takes this share of the whole loss at the best point. [W]"""
    return share * torque * speed * (1.0 / efficiency - 1.0)


@procedure(symbol="P_k", words="greatest torque times speed of the curve's points, at most the power", source=EHSANI)
def power_of_curve(curve: Curve, power: Watt) -> Watt:
    """Constant power that a curve of torque [N·m] over speed [rad/s] reaches. [W]"""
    speed, torque = curve.arrays
    result: Any = np.minimum(power, float(np.max(speed * torque)))
    return result


@procedure(
    symbol="K",
    words=(
        "torque times speed squared, mean of the last points whose power is below 98 % of the constant power;"
        " without such points, power times last speed"
    ),
    source=EHSANI,
    valid="never so low that the motor would not reach its power",
)
def pull_out_of_curve(curve: Curve, power: Watt) -> PullOut:
    """Torque times speed squared beyond the constant power: the region of pull-out. [N·m·(rad/s)²]"""
    speed, torque = curve.arrays
    given: Any = np.asarray(power, dtype=float)[..., None]
    fallen = speed * torque < BENT * given
    last: Any = np.logical_and.accumulate(fallen[..., ::-1], axis=-1)[..., ::-1] & (speed * torque > 0)
    count = last.sum(axis=-1)
    moment: Any = np.where(last, torque * speed**2, 0.0).sum(axis=-1) / np.maximum(count, 1)
    free = given[..., 0] * speed[-1]
    found = cast(Any, np.where(count > 0, moment, free))
    result: Any = np.maximum(found, given[..., 0] ** 2 / float(np.max(torque)))
    return result


@procedure(symbol="δ_T", words="greatest difference of envelope and curve at its points, over the torque of the curve")
def misfit_of_curve(curve: Curve, power: Watt) -> Fraction:
    """How far the envelope that is fitted to a curve misses its points. [1]"""
    speed, torque = curve.arrays
    reached = power_of_curve(curve=curve, power=power)
    envelope = torque_limit(
        torque=float(np.max(torque)),
        power=reached,
        pull_out=pull_out_of_curve(curve=curve, power=reached),
        voltage_share=1.0,
        speed=np.maximum(speed, STANDSTILL),
    )
    return float(np.max(np.abs(envelope / torque - 1.0)[torque > 0]))


@formula(
    symbol="τ",
    equation="-peak_time / log(1 - Min(share, 0.999)**2)",
    source=Source(
        "iec-60034-1", "duty S2, short time from cold; one thermal time constant, heat with the square of power"
    ),
    valid="share of the peak power that is continuous, above 0 and below 1; the peak begins cold",
)
def heating_time(peak_time: Second, share: Fraction) -> Second:
    """Time constant with which the winding warms: at peak power it reaches its limit after the peak time. [s]"""
    result: Any = -peak_time / np.log(1.0 - np.minimum(share, 0.999) ** 2)
    return result


@formula(
    symbol="k_T", equation="sqrt(3) * emf_constant", source=CURRENT, valid="a sine wave; current in phase with the EMF"
)
def torque_constant(emf_constant: EmfConstant) -> TorqueConstant:
    """Torque for each ampere (rms) of phase current; the constant of the EMF is line to line, in V rms. [N·m/A]"""
    result: Any = np.sqrt(3.0) * emf_constant
    return result


@formula(symbol="k_T", equation="torque / current")
def torque_per_current(torque: NewtonMetre, current: Ampere) -> TorqueConstant:
    """Torque for each ampere (rms) of phase current, from one point of the datasheet. [N·m/A]"""
    return torque / current


@formula(symbol="T_I", equation="torque_constant * current", source=CURRENT, valid="iron not saturated")
def torque_of_current(torque_constant: TorqueConstant, current: Ampere) -> NewtonMetre:
    """Torque that a phase current (rms) makes. [N·m]"""
    return torque_constant * current


@formula(symbol="s_J", equation="inertia / (mass * wheel_radius**2)", source=Source("ehsani-2018", "ch. 2"))
def shaft_share(inertia: Inertia, mass: Kilogram, wheel_radius: Metre) -> Number:
    """Inertia of the rotor as a share of the car's mass, before the square of the ratio: see mass_factor. [1]"""
    return inertia / (mass * wheel_radius**2)
