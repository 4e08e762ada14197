"""What turns the wheels backwards: a gear, or the motor."""

from __future__ import annotations

from voltwright.assess.case import Case
from voltwright.parts.drive import GearUnit


def has_reverse_gear(case: Case) -> bool:
    """Whether a gear turns the wheels backwards. A gearbox that is locked in one gear has none."""
    gearing = case.build.drive.gearing
    if gearing.way == "gearbox-kept":
        return gearing.fixed_gear is None
    if gearing.way == "gear-unit" and gearing.gear_unit is not None:
        return case.shelf.take(gearing.gear_unit.part, GearUnit).reverse
    return False


def backwards_by_motor(case: Case) -> bool:
    """Whether the motor turns backwards to reverse: because the build says so, or because no gear does it."""
    way = case.build.drive.gearing.reverse
    return way == "motor" or (way is None and not has_reverse_gear(case))
