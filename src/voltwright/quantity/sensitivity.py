"""Which unsure input makes which part of a figure's variance, read from samples that are there already."""

from __future__ import annotations

import functools
import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.floating[Any]]
Flags = NDArray[np.bool_]

HIGHEST_LEGENDRE = 8
HIGHEST_HERMITE = 3  # far out a higher power lives on the few outermost samples
DIGITS = 4  # more than 256 samples can tell, and the same on every processor


def sensitivities(standards: Floats, normal: Flags, values: Floats, depends: Flags) -> Floats:
    """First-order Sobol index of each input (column) for each figure (row): Var(E[y | x]) / Var(y).

    `standards`: samples by inputs, in standard deviations from the middle where an input is spread normally, from -1 to 1
    where it is spread evenly; `normal` tells which. `values`: figures by samples. `depends`: figures by inputs, what each
    figure is worked from.

    A sum of polynomials of the single inputs, orthonormal under their spreads, is fitted by least squares; the squares
    of its coefficients are the parts of the variance. Sudret, Reliability Engineering and System Safety 93 (2008) 964,
    without the terms of several inputs together, which stay in the remainder.
    """
    room = max(1, standards.shape[0] // 3)  # two thirds of the samples stay to tell what the sum does not explain
    shares = np.zeros(depends.shape)
    groups: dict[tuple[int, ...], list[int]] = {}
    levelled = np.array([_levelled(row) for row in values]).reshape(values.shape)
    for row, mask in enumerate(depends):
        inputs = _strongest(standards, levelled[row], np.flatnonzero(mask), room)
        if np.any(levelled[row]) and inputs:
            groups.setdefault(inputs, []).append(row)

    @functools.cache
    def powers(each: int, most: int) -> Floats:
        return _powers(standards[:, each], bool(normal[each]), most)

    for inputs, rows in groups.items():
        basis = [powers(each, room // len(inputs)) for each in inputs]
        shares[np.ix_(rows, inputs)] = _shares(basis, levelled[rows].T)
    return np.round(shares, DIGITS)


def _levelled(values: Floats) -> Floats:
    """Around 0, with variance 1; a missing sample counts as the mean; all 0 where nothing moves."""
    known = np.isfinite(values)
    middle = np.mean(values[known]) if known.any() else 0.0
    apart = np.where(known, values - middle, 0.0)
    width = np.std(apart)
    return apart / width if width > 1e-12 * abs(middle) else np.zeros_like(apart)


def _strongest(standards: Floats, values: Floats, inputs: NDArray[np.int64], room: int) -> tuple[int, ...]:
    """The inputs that a fit has room for, those that go most along with the values."""
    if len(inputs) > room:
        along = np.abs(values @ standards[:, inputs])
        inputs = np.sort(inputs[np.argsort(-along, kind="stable")[:room]])
    return tuple(int(each) for each in inputs)


def _powers(standard: Floats, normal: bool, most: int) -> Floats:
    """Polynomials of degree 1 and up, of mean 0 and variance 1 under the input's spread: Hermite's or Legendre's."""
    degree = min(most, HIGHEST_HERMITE if normal else HIGHEST_LEGENDRE)
    if normal:
        hermite = np.polynomial.hermite_e.hermevander(standard, degree)
        return hermite[:, 1:] / np.sqrt([math.factorial(each) for each in range(1, degree + 1)])
    legendre = np.polynomial.legendre.legvander(standard, degree)
    return legendre[:, 1:] * np.sqrt(2 * np.arange(1, degree + 1) + 1)


def _shares(basis: list[Floats], values: Floats) -> Floats:
    """Figures by inputs: squares of the coefficients, less what chance adds to them, over the whole variance."""
    samples = values.shape[0]
    whole = np.concatenate([np.ones((samples, 1)), *basis], axis=1)
    inverse = np.linalg.inv(whole.T @ whole)  # nearly that of a diagonal, for the polynomials are orthonormal
    coefficients = inverse @ (whole.T @ values)
    rest = np.sum((values - whole @ coefficients) ** 2, axis=0) / (samples - whole.shape[1])
    chance = np.diag(inverse)[:, None] * rest
    single = coefficients**2 - chance
    starts = np.cumsum([0, *(each.shape[1] for each in basis[:-1])])
    parts = np.maximum(np.add.reduceat(single[1:], starts, axis=0), 0.0)
    return (parts / (parts.sum(axis=0) + rest)).T
