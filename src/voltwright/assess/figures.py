"""All questions, in order, into one sheet; and the figures of a sheet, with their bands."""

from __future__ import annotations

from voltwright.assess.case import Case
from voltwright.assess.charge import assess_charge
from voltwright.assess.cost import assess_cost
from voltwright.assess.drive import assess_drive
from voltwright.assess.keys import key_of
from voltwright.assess.mass import assess_mass
from voltwright.assess.pack import assess_pack
from voltwright.assess.road import assess_road
from voltwright.assess.sheet import Sheet
from voltwright.assess.trips import assess_trips
from voltwright.quantity.band import NO_SPREADS, Spreads, spreads
from voltwright.quantity.figure import Figure
from voltwright.quantity.units import Unit

QUESTIONS = (assess_mass, assess_pack, assess_drive, assess_road, assess_trips, assess_charge, assess_cost)


def work_out(case: Case) -> Sheet:
    """Every figure of the build as a tree, or the reason why there is none."""
    sheet = Sheet(case.build.currency)
    for question in QUESTIONS:
        question(case, sheet)
    return sheet


def figures_of(sheet: Sheet, *, with_bands: bool = True) -> dict[str, Figure]:
    """The sheet as figures, in the order of the contract."""
    known = spreads(sheet.nodes) if with_bands else NO_SPREADS
    return {key: _figure(sheet, key, known) for key in sheet.keys}


def _figure(sheet: Sheet, key: str, spread: Spreads) -> Figure:
    known, unit = key_of(key), Unit(sheet.unit_of(key))
    node = sheet.nodes.get(key)
    if node is None:
        return Figure(key, known.label, unit, known.decimals, None, reason=sheet.reasons[key])
    band = spread.band(key)
    low, high = (unit.from_si(each) for each in band) if band else (None, None)
    reason, shares = spread.reasons.get(key, ""), spread.shares.get(key, {})
    return Figure(key, known.label, unit, known.decimals, node.shown, node, low, high, reason, shares)
