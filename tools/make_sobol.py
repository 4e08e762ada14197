"""Makes src/voltwright/quantity/sobol.npy: the direction numbers of scipy's Sobol sequence.

Run after a change of the table's size: python tools/make_sobol.py
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.stats import qmc  # pyright: ignore[reportMissingTypeStubs]

from voltwright.quantity.sobol import BITS, MOST_COLUMNS, MOST_INPUTS

TABLE = Path(__file__).parents[1] / "src" / "voltwright" / "quantity" / "sobol.npy"


def directions() -> NDArray[np.uint32]:
    """In the order of Gray's code a point differs from the one before it by one direction number: the first of each kind."""
    points = qmc.Sobol(d=MOST_INPUTS, scramble=False, bits=BITS).random(2**MOST_COLUMNS)
    whole = (points * 2.0**BITS).astype(np.uint32)
    found = [whole[2**column] ^ whole[2**column - 1] for column in range(MOST_COLUMNS)]
    return np.stack(found, axis=1)


if __name__ == "__main__":
    np.save(TABLE, directions(), allow_pickle=False)
    print(TABLE)
