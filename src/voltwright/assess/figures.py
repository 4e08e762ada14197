"""All questions, in order, into one sheet; and the figures of a sheet, with their bands."""

from __future__ import annotations

from voltwright.assess.case import Case
from voltwright.assess.cost import assess_cost
from voltwright.assess.drive import assess_drive
from voltwright.assess.keys import KEYS
from voltwright.assess.mass import assess_mass
from voltwright.assess.pack import assess_pack
from voltwright.assess.road import assess_road
from voltwright.assess.sheet import Sheet
from voltwright.quantity.band import bands
from voltwright.quantity.figure import Figure
from voltwright.quantity.units import Unit

QUESTIONS = (assess_mass, assess_pack, assess_drive, assess_road, assess_cost)


def work_out(case: Case) -> Sheet:
    """Every figure of the build as a tree, or the reason why there is none."""
    sheet = Sheet(case.build.currency)
    for question in QUESTIONS:
        question(case, sheet)
    return sheet


def figures_of(sheet: Sheet, *, with_bands: bool = True) -> dict[str, Figure]:
    """The sheet as figures, in the order of the contract."""
    spread = bands(sheet.nodes) if with_bands else {}
    return {key: _figure(sheet, key, spread.get(key)) for key in KEYS if key in sheet.nodes or key in sheet.reasons}


def _figure(sheet: Sheet, key: str, band: tuple[float, float] | None) -> Figure:
    known, unit = KEYS[key], Unit(sheet.unit_of(key))
    node = sheet.nodes.get(key)
    if node is None:
        return Figure(key, known.label, unit, known.decimals, None, reason=sheet.reasons[key])
    low, high = (unit.from_si(each) for each in band) if band else (None, None)
    return Figure(key, known.label, unit, known.decimals, node.shown, node, low, high)
