"""Parts that protect: are they named, and are their ratings more than a guess?"""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.parts.base import Part
from voltwright.parts.kinds import PROTECTIVE
from voltwright.parts.protection import Fuse
from voltwright.quantity.entry import Entry
from voltwright.rules.clause import from_memory, maker, practice
from voltwright.rules.finding import Assessed, Finding, Ladder, exceeds
from voltwright.rules.rule import DC_LIMIT, rule
from voltwright.rules.ways import counts, one_step

_NEEDED = {
    "fuse": "a main fuse",
    "contactor": "contactors",
    "main_cable": "the main cable",
    "msd": "a service disconnect (MSD)",
}


@rule()
def protection_named(seen: Assessed) -> Iterator[Finding]:
    """Is each protective part of the traction circuit named?"""
    guard = seen.case.build.pack.protection
    missing = [words for field, words in _NEEDED.items() if getattr(guard, field) is None]
    if missing:
        yield Finding(
            key="protection.missing",
            severity="stop",
            title="Protection is missing",
            detail=f"The build does not name {', '.join(missing)}.",
            limit="all named",
            value=f"{len(missing)} not named",
            clause=from_memory("ISO 6469-3 and UN R100: overcurrent protection and a means to disconnect"),
            remedy=f"Name {', '.join(missing)} under pack.protection.",
        )
    if guard.contactor is not None and guard.contactors < 2:
        yield Finding(
            key="protection.contactors",
            severity="stop",
            title="Both poles must open",
            detail=f"The build names {guard.contactors} contactor(s).",
            limit="2",
            value=str(guard.contactors),
            clause=practice("one main contactor in each pole, and precharge"),
            ladders=(counts("pack.protection.contactors", "Fit {number} contactors", guard.contactors + 1, 3),),
        )


@rule()
def each_string(seen: Assessed) -> Iterator[Finding]:
    """Has each of several strings its own fuse and disconnect?"""
    pack, guard = seen.case.build.pack, seen.case.build.pack.protection
    if pack.parallel < 2 or guard.fuse is None or (guard.fuses >= pack.parallel and guard.msds >= pack.parallel):
        return
    yield Finding(
        key="protection.strings",
        severity="caution",
        title="Parallel strings share a fuse or a disconnect",
        detail=f"{pack.parallel} strings have {guard.fuses} fuse(s) and {guard.msds} service disconnect(s): a fault in one string, "
        "or on the cable between the boxes, is fed by the others.",
        limit=f"{pack.parallel} of each",
        value=f"{guard.fuses} and {guard.msds}",
        clause=practice("overcurrent protection in each parallel string"),
        remedy="Each must be rated for its string.",
        ladders=(_one_each(pack.parallel),),
    )


def _one_each(strings: int) -> Ladder:
    says = f"Fit {strings} fuses and {strings} service disconnects (pack.protection.fuses, msds)"
    return one_step(says, {"pack.protection.fuses": strings, "pack.protection.msds": strings})


@rule()
def each_box(seen: Assessed) -> Iterator[Finding]:
    """Is the cable between two boxes protected from both sides?"""
    pack, guard = seen.case.build.pack, seen.case.build.pack.protection
    filled = sum(1 for box in pack.boxes if box.modules)
    shared = pack.parallel > 1 and guard.fuses < pack.parallel  # each_string says that
    if filled < 2 or guard.fuse is None or guard.fuses >= filled or shared:
        return
    yield Finding(
        key="protection.boxes",
        severity="caution",
        title="A box has cables that no fuse of its own protects",
        detail=f"{filled} boxes hold modules and the build names {guard.fuses} fuse(s). A cable that is crushed between two boxes is fed "
        "by the modules of the box that has none; opening the contactors does not help.",
        limit=f"{filled} fuses",
        value=f"{guard.fuses}",
        margin=f"−{filled - guard.fuses}",
        clause=practice("a fuse in each box that is apart, and plugs that cannot be touched"),
        remedy="Put it at the terminal of the box, before the cable. Lay the cable where a crash does not reach it.",
        ladders=(counts("pack.protection.fuses", "Fit {number} fuses", guard.fuses + 1, filled),),
    )


@rule("pack")
def precharge(seen: Assessed) -> Iterator[Finding]:
    """Are the capacitors of the inverter charged before the contactors close?"""
    guard = seen.case.build.pack.protection
    missing = [name for name in ("precharge_contactor", "precharge_resistor") if getattr(guard, name) is None]
    if seen.case.inverter is not None and missing:
        yield Finding(
            key="protection.precharge",
            severity="stop" if exceeds(seen.si("pack.voltage_full") or 0.0, DC_LIMIT) else "caution",
            title="The build names no precharge",
            detail="Without it the main contactors close on empty capacitors and weld; then nothing switches the pack off.",
            limit="a contactor and a resistor",
            value=f"missing: {', '.join(missing)}",
            clause=maker("the inverter maker's instructions, and common practice"),
            remedy="Name pack.protection.precharge_contactor and precharge_resistor; where the inverter charges its capacitors itself, "
            "name the parts in it.",
        )


def protective_parts(seen: Assessed) -> Iterator[Part]:
    """The protective parts that the build names."""
    for part_id in seen.case.part_ids:
        if part_id.split("/")[0] in PROTECTIVE:
            yield seen.case.shelf.any(part_id)


def _is_weak(part: Part, field: str, entry: Entry) -> bool:
    grade = entry.origin.grade or part.grade_of(field)
    return entry.is_assumed or grade in ("invented", "estimated")


def weak_fields(part: Part) -> list[str]:
    """Ratings and curves of a part that are invented, estimated or missing."""
    weak = [name for name, entry in part.entries() if name not in ("price", "mass") and _is_weak(part, name, entry)]
    if isinstance(part, Fuse):
        if part.melting is None:
            weak.append("melting (missing)")
        elif part.grade_of("melting") in ("invented", "estimated"):
            weak.append("melting")
    return weak


@rule()
def protective_data(seen: Assessed) -> Iterator[Finding]:
    """Do the ratings of protective parts come from a datasheet or a measurement?"""
    weak = [part for part in protective_parts(seen) if weak_fields(part)]
    if not weak:
        return
    names = "; ".join(part.title for part in weak)
    yield Finding(
        key="protection.data",
        severity="caution",
        title="Protective parts rest on invented, estimated or missing data",
        detail=f"Not from a maker's datasheet: {names}. Papers are marked NOT FOR BUILDING.",
        limit="datasheet or measured",
        value="invented or estimated",
        clause=maker("a fuse, contactor, cable, BMS or disconnect protects only as its maker says"),
        remedy="Enter the datasheets of the real parts (voltwright parts import) and name those parts in the build.",
    )
