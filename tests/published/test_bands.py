"""Which input makes which part of a figure's variance, against published indices and a reference library."""

from __future__ import annotations

import math
from itertools import combinations
from typing import Any

import numpy as np
import pytest
import scipy
from scipy.stats import norm, sobol_indices, uniform

from voltwright.physics.road_load import aerodynamic_drag
from voltwright.quantity.band import SAMPLES, scores, spreads, standard
from voltwright.quantity.provenance import Origin
from voltwright.quantity.sensitivity import sensitivities
from voltwright.quantity.spread import HALF_WIDTH_IN_SIGMA, Spread, between, normal
from voltwright.quantity.work import Node, leaf, total, work

ISHIGAMI = (
    "Ishigami and Homma, An importance quantification technique in uncertainty analysis for computer models, "
    "ISUMA 1990, doi:10.1109/ISUMA.1990.151285"
)
PUBLISHED = (0.3139, 0.4424, 0.0)  # a = 7, b = 0.1
QUADRATURE = "JCGM 100:2008 (GUM) 5.1.2: variances of a sum add, from memory"


def ishigami(x: Any) -> Any:
    """sin x1 + 7 sin² x2 + 0.1 x3⁴ sin x1, each x from -π to π."""
    return np.sin(x[0]) + 7 * np.sin(x[1]) ** 2 + 0.1 * x[2] ** 4 * np.sin(x[0])


@pytest.mark.parametrize(("samples", "tolerance"), [(SAMPLES, 0.02), (4096, 0.002)])
def test_ishigami(published, samples: int, tolerance: float) -> None:
    even = 2 * scores(3, samples) - 1
    values = ishigami(math.pi * even.T)[None, :]
    got = sensitivities(even, np.zeros(3, bool), values, np.ones((1, 3), bool))[0]
    for number, (expected, found) in enumerate(zip(PUBLISHED, got, strict=True), 1):
        published.check(
            source=ISHIGAMI,
            law="sensitivities",
            asked=f"S{number} from {samples} samples",
            expected=expected,
            got=found,
            absolute=tolerance,
            why="a fit to a fixed number of samples; the more, the nearer",
        )


def test_a_sum_of_unequal_spreads(published) -> None:
    """Exact: what each term adds to the variance is known, the rectangle's is its width squared over 12."""
    terms = [input_of("a", normal(10.0, 1.0)), input_of("b", normal(10.0, 2.0)), input_of("c", between(9.0, 11.0))]
    variances = [(1 / HALF_WIDTH_IN_SIGMA) ** 2, (2 / HALF_WIDTH_IN_SIGMA) ** 2, 2.0**2 / 12]
    shares = spreads({"sum": total("sum", terms)}).shares["sum"]
    for term, variance in zip(terms, variances, strict=True):
        published.check(
            source=QUADRATURE,
            law="sensitivities",
            asked=f"share of {term.label}",
            expected=variance / sum(variances),
            got=shares[term.label],
            absolute=1e-4,
            why="a sum is what the fit assumes: exact but for the rounding to four digits",
        )


def test_a_square_and_a_straight_line(published) -> None:
    """y = z1² + z2: the variance of the square of a standard deviate is 2."""
    score = scores(2, SAMPLES)
    z = np.stack([standard(score[:, column], normal(0.0, 1.0)) for column in range(2)], axis=1)
    got = sensitivities(z, np.ones(2, bool), (z[:, 0] ** 2 + z[:, 1])[None, :], np.ones((1, 2), bool))[0]
    published.check(
        source="Moments of the normal distribution (E z⁴ = 3), any text on statistics",
        law="sensitivities",
        asked="share of the square",
        expected=2 / 3,
        got=got[0],
        absolute=1e-4,
        why="a polynomial of the second degree is what the fit assumes: exact but for the rounding to four digits",
    )


def test_a_bare_product_has_no_single_shares(published) -> None:
    """y = z_i · z_j of ten inputs: E[y | z] = 0 for each of them; a fit finds some by chance, and a part of it is taken off."""
    score = scores(10, SAMPLES)
    z = np.stack([standard(score[:, column], normal(0.0, 1.0)) for column in range(10)], axis=1)
    products = np.array([z[:, one] * z[:, other] for one, other in combinations(range(10), 2)])
    got = sensitivities(z, np.ones(10, bool), products, np.ones((len(products), 10), bool)).sum(axis=1)
    published.check(
        source="Moments of the normal distribution (E z = 0), any text on statistics",
        law="sensitivities",
        asked="sum of ten shares, mean of the 45 products of two",
        expected=0.0,
        got=float(got.mean()),
        absolute=0.1,
        why="256 samples; thirty coefficients would give 30/256 = 0.12 by chance if nothing were taken off",
    )


def input_of(label: str, spread: Spread) -> Node:
    return leaf((spread.low + spread.high) / 2, "kg", label, Origin("assumed", reason="a test"), spread)


def drag(samples: int) -> dict[str, float]:
    """Shares in the drag of the air, with inputs far less sure than in any car: the law is a product and a square."""
    unsure = {
        "density": (normal(1.2, 0.15), "kg/m³"),
        "drag_area": (between(0.5, 1.1), "m²"),
        "air_speed": (between(15, 35), "m/s"),
    }
    inputs = {
        name: leaf((spread.low + spread.high) / 2, unit, name, Origin("assumed", reason="a test"), spread)
        for name, (spread, unit) in unsure.items()
    }
    return dict(spreads({"drag": work(aerodynamic_drag, "Drag", **inputs)}, samples=samples).shares["drag"])


@pytest.mark.parametrize(("samples", "tolerance"), [(SAMPLES, 0.03), (4096, 0.005)])
def test_drag_of_the_air_by_a_reference_library(published, samples: int, tolerance: float) -> None:
    known = sobol_indices(
        func=lambda x: 0.5 * x[0] * x[1] * x[2] ** 2,
        n=2**15,
        dists=[norm(1.2, 0.15 / HALF_WIDTH_IN_SIGMA), uniform(0.5, 0.6), uniform(15, 20)],
        rng=np.random.default_rng(1),
    ).first_order
    got = drag(samples)
    for name, expected in zip(("density", "drag_area", "air_speed"), known, strict=True):
        published.check(
            source=f"scipy {scipy.__version__}, stats.sobol_indices with 32,768 points",
            law="sensitivities",
            asked=f"share of {name} in the drag of the air, from {samples} samples",
            expected=float(expected),
            got=got[name],
            absolute=tolerance,
            why="a fit to a fixed number of samples; the more, the nearer",
        )
