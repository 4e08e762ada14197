"""Coast-down: the car rolls out in neutral, and how its speed falls tells the forces that hold it back.

The procedure of 40 CFR part 1066 and SAE J1263 in our own words. Force is A + B·v + C·v², and the car's effective mass
times its slowing. Summed up from the start of a run this reads

    m_e · (v_0 - v(t)) = A · t + B · ∫v dt + C · ∫v² dt

which is linear in A, B and C and needs no slope of a noisy speed: each run is fitted to it by least squares. The mean of
a run out and a run back cancels wind and slope to first order. What the pairs differ by is the uncertainty: it holds
gusts and the road, not only the noise of the logger.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Any

import numpy as np

from voltwright.physics.road_load import NewtonSecondPerMetre, NewtonSecondSquaredPerMetreSquared
from voltwright.quantity.formula import formula, procedure
from voltwright.quantity.source import Source
from voltwright.quantity.types import Kilogram, KilogramPerCubicMetre, MetrePerSecond, Newton, Number, Second

# 40 CFR 1066.305(a): the air to which coefficients are referred.
REFERENCE_TEMPERATURE = 293.15  # K
REFERENCE_PRESSURE = 98210.0  # Pa
LEAST_PAIRS = 3


@formula(
    symbol="m_e",
    equation="mass + wheels * wheel_mass",
    source=Source("cfr-40-1066", "1066.310; there 56.7 kg for each wheel of a heavy vehicle"),
    valid="out of gear, so that only the wheels turn",
)
def mass_with_wheels(mass: Kilogram, wheels: Number, wheel_mass: Kilogram) -> Kilogram:
    """Effective mass of a car that coasts: its own, and for each wheel what turning it is worth. [kg]"""
    return mass + wheels * wheel_mass


@formula(
    symbol="F_c",
    equation="effective_mass * (before - after) / interval",
    source=Source("cfr-40-1066", "1066.310"),
    valid="level road, still air, out of gear",
)
def force_from_slowing(
    effective_mass: Kilogram, before: MetrePerSecond, after: MetrePerSecond, interval: Second
) -> Newton:
    """Mean force that took a speed down to another in a time. [N]"""
    return effective_mass * (before - after) / interval


@formula(
    symbol="C",
    equation="C * reference_density / density",
    source=Source("sae-j1263", "correction to reference air"),
    valid="C is taken as the air's alone",
)
def in_reference_air(
    C: NewtonSecondSquaredPerMetreSquared, reference_density: KilogramPerCubicMetre, density: KilogramPerCubicMetre
) -> NewtonSecondSquaredPerMetreSquared:
    """The share of the force that grows with v², in air of another density. [N/(m/s)²]"""
    return C * reference_density / density


_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(24)


@procedure(
    symbol="t_c",
    words="mass over force, summed over the speeds between the two (Gauss-Legendre, 24 points)",
    source=Source("cfr-40-1066", "1066.310; Newton's second law"),
    valid="the force is positive at every speed between",
)
def coast_down_time(
    effective_mass: Kilogram, A: Newton, B: NewtonSecondPerMetre, C: NewtonSecondSquaredPerMetreSquared,
    before: MetrePerSecond, after: MetrePerSecond,
) -> Second:  # fmt: skip
    """How long a car takes to slow down by itself. [s]"""
    half = (before - after) / 2.0
    result: Any = 0.0
    for node, weight in zip(_NODES, _WEIGHTS, strict=True):
        speed = after + half * (1.0 + node)
        result = result + weight * half * effective_mass / (A + B * speed + C * speed**2)
    return result


@dataclass(frozen=True)
class Run:
    """One roll-out: `seconds` rise, `speed` [m/s] falls; runs out and back of the same `number` make a pair."""

    number: int
    out: bool
    seconds: tuple[float, ...]
    speed: tuple[float, ...]


@dataclass(frozen=True)
class Coefficients:
    """A [N], B [N/(m/s)], C [N/(m/s)²] and their `covariance` in the same order.

    With few pairs the uncertainties are widened as Student's t asks, so that ± one of them holds the truth in 68 % of
    cases.
    """

    A: float
    B: float
    C: float
    covariance: tuple[tuple[float, ...], ...]
    pairs: int

    @property
    def uncertainty(self) -> tuple[float, ...]:
        """Standard uncertainties of A, B and C, in their units."""
        return tuple(sqrt(row[at]) for at, row in enumerate(self.covariance))

    def force(self, speed: float) -> tuple[float, float]:
        """Force at a speed and its standard uncertainty. [N]"""
        powers = np.array([1.0, speed, speed**2])
        value = powers @ np.array([self.A, self.B, self.C])
        return float(value), float(np.sqrt(powers @ np.array(self.covariance) @ powers))


def evaluate(
    runs: Sequence[Run], effective_mass: float, density: float, reference_density: float, *, linear: bool = True
) -> Coefficients:
    """A, B and C of a car from at least three pairs of runs, with C in reference air.

    `effective_mass` [kg] counts the wheels; `density` [kg/m³] is that of the air of the day. Without `linear`, B is
    left out, as SAE J1263 does; a short range of speeds cannot tell B from A and C. Masses and densities have their own
    uncertainty, which is not in the result. Raises ValueError for fewer than three pairs.
    """
    from scipy.special import ndtr, stdtrit  # pyright: ignore[reportMissingTypeStubs]

    pairs = _pairs(runs)
    if len(pairs) < LEAST_PAIRS:
        raise ValueError(f"at least {LEAST_PAIRS} pairs of runs are needed, out and back; there are {len(pairs)}")
    fitted = np.array([(_fit(out, linear) + _fit(back, linear)) / 2.0 for out, back in pairs]) * effective_mass
    count = len(pairs)
    widened: Any = stdtrit(count - 1, ndtr(1.0))
    spread: Any = np.cov(fitted, rowvar=False) * widened**2 / count
    air = np.array([1.0, 1.0, reference_density / density])
    A, B, C = (float(each) for each in fitted.mean(axis=0) * air)
    covariance = spread * np.outer(air, air)
    rows = tuple(tuple(float(each) for each in row) for row in covariance)
    return Coefficients(A, B, C, rows, count)


def _pairs(runs: Sequence[Run]) -> list[tuple[Run, Run]]:
    """Each run out with its run back, in the order of their numbers."""
    out = {run.number: run for run in runs if run.out}
    back = {run.number: run for run in runs if not run.out}
    return [(out[number], back[number]) for number in sorted(out.keys() & back.keys())]


def _fit(run: Run, linear: bool) -> Any:
    """A, B and C of one run over its effective mass."""
    seconds = np.asarray(run.seconds) - run.seconds[0]
    speed = np.asarray(run.speed)
    sums = [seconds, _sum(speed, seconds), _sum(speed**2, seconds)]
    terms = sums if linear else [sums[0], sums[2]]
    # The speed at the start is fitted too: it was measured no better than the others.
    columns = np.column_stack([np.ones_like(seconds), *(-term for term in terms)])
    scale = np.abs(columns).max(axis=0)
    solve: Any = np.linalg.lstsq
    found = solve(columns / scale, speed, rcond=None)[0] / scale
    return found[1:] if linear else np.array([found[1], 0.0, found[2]])


def _sum(values: Any, seconds: Any) -> Any:
    """The running integral, straight between the rows."""
    return np.concatenate(([0.0], np.cumsum((values[1:] + values[:-1]) / 2.0 * np.diff(seconds))))
