"""All questions, in order, into one sheet; and the figures of a sheet, with their bands."""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterable, Iterator, Mapping

from voltwright.assess.brakes import assess_brakes
from voltwright.assess.case import Case
from voltwright.assess.charge import assess_charge
from voltwright.assess.cost import assess_cost
from voltwright.assess.drive import assess_drive
from voltwright.assess.drive_line import assess_drive_line
from voltwright.assess.heat import assess_heat
from voltwright.assess.keys import key_of
from voltwright.assess.life import assess_life
from voltwright.assess.low_voltage import assess_low_voltage
from voltwright.assess.mass import assess_mass
from voltwright.assess.pack import assess_pack
from voltwright.assess.road import assess_road
from voltwright.assess.sheet import Sheet
from voltwright.assess.simulated_car import assess_car
from voltwright.assess.strings import assess_strings
from voltwright.assess.trips import assess_trips
from voltwright.assess.works import assess_works
from voltwright.quantity.band import NO_SPREADS, Spreads
from voltwright.quantity.figure import Figure
from voltwright.quantity.units import Unit
from voltwright.quantity.work import binding

Question = Callable[[Case, Sheet], None]

# Each question with those whose figures it starts from; one stands below all that it needs.
QUESTIONS: dict[str, tuple[Question, tuple[str, ...]]] = {
    "mass": (assess_mass, ()),
    "pack": (assess_pack, ()),
    "strings": (assess_strings, ("pack",)),
    "drive": (assess_drive, ("pack",)),
    "road": (assess_road, ("mass", "drive")),
    "drive_line": (assess_drive_line, ("road",)),
    "car": (assess_car, ("road",)),
    "trips": (assess_trips, ("car",)),
    "charge": (assess_charge, ("trips",)),
    "heat": (assess_heat, ("trips", "charge")),
    "brakes": (assess_brakes, ("mass", "drive")),
    "low_voltage": (assess_low_voltage, ("pack",)),
    "life": (assess_life, ("trips", "low_voltage")),
    "works": (assess_works, ("mass",)),
    "cost": (assess_cost, ()),
}

# The questions that a change at or below a path of the build leaves as they are; the longest path counts.
_NOT_DRIVEN = frozenset({"mass", "pack", "strings", "low_voltage", "works", "cost"})
# Heat and charging are left out of it too: they look at the habit as well.
_NOT_STANDING = frozenset(QUESTIONS) - {"life", "low_voltage", "heat", "charge"}
LEFT_ALONE: dict[str, frozenset[str]] = {
    "": frozenset(),
    "drive.torque_limit": _NOT_DRIVEN - {"works"},
    "drive.gearing.fixed_gear": _NOT_DRIVEN,
    "drive.gearing.reverse_torque": _NOT_DRIVEN | {"drive", "road", "brakes"},
    "drive.regeneration.torque": _NOT_DRIVEN | {"road"},
    "drive.regeneration.share": _NOT_DRIVEN | {"drive", "road", "drive_line"},
    "pack.window": _NOT_DRIVEN - {"pack", "strings", "low_voltage"},
    "brief.seats": frozenset({"pack", "strings", "drive", "low_voltage", "works", "cost"}),
    "brief.load": frozenset({"pack", "strings", "drive", "low_voltage", "works", "cost"}),
    "duty.parking": _NOT_STANDING,
    "duty.habit": _NOT_STANDING,
    "duty.lay_up": _NOT_STANDING,
    "brief.price": _NOT_DRIVEN | {"drive", "road", "drive_line", "brakes", "heat"},
    "pack.cooling": frozenset(QUESTIONS) - {"heat", "life"},
}


@functools.cache
def questions_for(needs: tuple[str, ...]) -> tuple[str, ...]:
    """These questions and all that they start from, in order."""
    wanted = set(needs)
    for name in reversed(QUESTIONS):
        if name in wanted:
            wanted |= set(QUESTIONS[name][1])
    return tuple(name for name in QUESTIONS if name in wanted)


def work_out(case: Case, needs: Iterable[str] | None = None, only_trips: frozenset[str] | None = None) -> Sheet:
    """Every figure of the build as a tree, or the reason why there is none; or those of some questions alone.

    `only_trips` names the trips that are driven where not all of them are wanted.
    """
    sheet = Sheet(case.build.currency, only_trips=only_trips)
    answer(case, sheet, QUESTIONS if needs is None else tuple(needs))
    return sheet


def answer(case: Case, sheet: Sheet, needs: Iterable[str]) -> None:
    """Answer some questions, and those that they start from, as far as the sheet does not yet."""
    for name in questions_for(tuple(needs)):
        if name not in sheet.answers:
            before = len(sheet.entered)
            QUESTIONS[name][0](case, sheet)
            sheet.answers[name] = sheet.entered[before:]


def left_alone(paths: Iterable[str]) -> tuple[str, ...]:
    """The questions of which no figure moves when a build changes at some paths only."""
    alone = (LEFT_ALONE[max((each for each in LEFT_ALONE if _is_below(path, each)), key=len)] for path in paths)
    left = set(QUESTIONS).intersection(*alone)
    return tuple(name for name in QUESTIONS if name in left)


def _is_below(path: str, above: str) -> bool:
    return not above or path == above or path.startswith(f"{above}.")


def figures_of(sheet: Sheet, known: Spreads = NO_SPREADS) -> dict[str, Figure]:
    """The sheet as figures, in the order of the contract."""
    return {key: figure_of(sheet, key, known) for key in sheet.keys}


class PointFigures(Mapping[str, Figure]):
    """The figures of a sheet without bands, each made when it is asked for."""

    def __init__(self, sheet: Sheet) -> None:
        self._sheet, self._made = sheet, dict[str, Figure]()

    def __getitem__(self, key: str) -> Figure:
        if key not in self._made:
            if key not in self._sheet.nodes and key not in self._sheet.reasons:
                raise KeyError(key)
            self._made[key] = figure_of(self._sheet, key, NO_SPREADS)
        return self._made[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._sheet.keys)

    def __len__(self) -> int:
        return len(self._sheet.keys)


def figure_of(sheet: Sheet, key: str, spread: Spreads) -> Figure:
    """One figure of a sheet."""
    known, unit = key_of(key), Unit(sheet.unit_of(key))
    node = sheet.nodes.get(key)
    if node is None:
        return Figure(
            key,
            known.label,
            unit,
            known.decimals,
            None,
            reason=sheet.reasons[key],
            share=known.share,
            answer=known.answer,
        )
    band = spread.band(key)
    low, high = (unit.from_si(each) for each in band) if band else (None, None)
    reason, shares = spread.reasons.get(key, ""), spread.shares.get(key, {})
    label = f"{known.label}, {binding(node).label}" if known.limited else known.label
    return Figure(
        key, label, unit, known.decimals, node.shown, node, low, high, reason, shares, known.share, known.answer
    )
