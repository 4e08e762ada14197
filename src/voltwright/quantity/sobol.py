"""Points of a scrambled Sobol sequence, the same as scipy's, without the second that its statistics take to load."""

from __future__ import annotations

import functools
from importlib.resources import files
from io import BytesIO

import numpy as np
from numpy.typing import NDArray

BITS = 30
MOST_INPUTS, MOST_COLUMNS = 512, 16  # the table: made by tools/make_sobol.py, for up to 2^16 points


@functools.cache
def directions() -> NDArray[np.uint32]:
    """Direction numbers, inputs by columns: S. Joe and F. Y. Kuo, SIAM J. Sci. Comput. 30 (2008) 2635."""
    return np.load(BytesIO(files("voltwright.quantity").joinpath("sobol.npy").read_bytes()), allow_pickle=False)


def points(inputs: int, samples: int, seed: int) -> NDArray[np.float64]:
    """`samples` points (rows) in the unit cube of so many inputs, by linear matrix scrambling and a digital shift.

    J. Matoušek, Journal of Complexity 14 (1998) 527. The draws of the seed come in the order in which scipy takes them.
    """
    columns = max(1, (samples - 1).bit_length())
    if inputs > MOST_INPUTS or columns > MOST_COLUMNS:
        from scipy.stats import qmc  # pyright: ignore[reportMissingTypeStubs]

        return qmc.Sobol(d=inputs, scramble=True, rng=np.random.default_rng(seed)).random(samples)
    draw = np.random.default_rng(seed).spawn(1)[0]
    powers = np.uint32(1) << np.arange(BITS, dtype=np.uint32)
    shift = draw.integers(2, size=(inputs, BITS), dtype=np.uint32) @ powers
    scramble = np.tril(draw.integers(2, size=(inputs, BITS, BITS), dtype=np.uint32), -1) | np.eye(BITS, dtype=np.uint32)
    bits = directions()[:inputs, None, :columns] >> powers_down() & 1
    number = (scramble @ bits % 2 << powers_down()).sum(axis=1, dtype=np.uint32)
    order = np.arange(samples, dtype=np.uint32)
    gray = order ^ order >> 1
    found = np.broadcast_to(shift, (samples, inputs)).copy()
    for column in range(columns):
        found ^= (gray >> column & 1)[:, None] * number[:, column]
    return found / 2.0**BITS


def powers_down() -> NDArray[np.uint32]:
    """How far each bit is shifted, the greatest first, down the middle axis."""
    return np.arange(BITS - 1, -1, -1, dtype=np.uint32)[:, None]
