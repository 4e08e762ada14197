"""What the tyres hold, dry and wet: nobody measures it, and several questions start from it."""

from __future__ import annotations

import functools

from voltwright.assess.sheet import assumed
from voltwright.quantity.work import Node


@functools.cache
def dry_grip() -> Node:
    reason = "usual on dry asphalt; brake hard on an empty dry road and read the slowing"
    return assumed("Grip of the tyres", "1", reason, 0.8, 0.1)


@functools.cache
def wet_grip() -> Node:
    reason = "usual on wet asphalt; brake hard on an empty wet road"
    return assumed("Grip of the tyres in the wet", "1", reason, 0.4, 0.1)
