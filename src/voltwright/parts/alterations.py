"""What may be done to a car, and where: the words that a build file, the rules and the country packs share."""

from __future__ import annotations

from typing import Literal

Kind = Literal["hole", "cut", "weld", "bolted", "bonded", "removed"]
Where = Literal[
    "body", "chassis", "floor", "bulkhead", "boot", "engine-bay", "gearbox-tunnel", "roof", "cabin", "dashboard",
    "suspension", "axle", "steering", "brakes", "gearbox", "engine", "fuel-system", "exhaust", "electrics",
]  # fmt: skip

LASTING = frozenset[Kind](("hole", "cut", "weld"))  # they stay in the metal whatever is unbolted later
HARMFUL = LASTING | frozenset[Kind](("bonded", "removed"))
SHELL = frozenset[Where](("body", "chassis", "floor", "bulkhead", "boot", "engine-bay", "gearbox-tunnel", "roof"))


def in_words(place: Where) -> str:
    """`engine-bay` as `engine bay`."""
    return place.replace("-", " ")
