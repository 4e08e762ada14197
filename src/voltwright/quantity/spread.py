"""How sure a value is: exact, spread normally, or anywhere between two bounds."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

# Half the width between the 5 % and 95 % points of a normal distribution, in standard deviations.
HALF_WIDTH_IN_SIGMA = 1.6448536269514722


@dataclass(frozen=True)
class Spread:
    """`normal`: 5 to 95 % of cases lie in low..high; `between`: anything from low to high; `exact`: neither.

    Bounds are in SI. `least` and `most` are those of the field: no sample lies outside, whatever the tails.
    """

    kind: Literal["exact", "normal", "between"] = "exact"
    low: float = 0.0
    high: float = 0.0
    least: float = -math.inf
    most: float = math.inf

    @property
    def is_exact(self) -> bool:
        return self.kind == "exact"


EXACT = Spread()


def normal(value: float, half: float) -> Spread:
    """`value ± half` as the house reads it: half reaches from the middle to the 95 % point."""
    return Spread("normal", value - half, value + half) if half else EXACT


def between(low: float, high: float) -> Spread:
    return Spread("between", low, high) if high > low else EXACT
