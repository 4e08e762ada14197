"""Parts that protect: are they named, and are their ratings more than a guess?"""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.parts.base import Part
from voltwright.parts.kinds import PROTECTIVE
from voltwright.parts.protection import Fuse
from voltwright.rules.finding import Assessed, Finding, rule

_NEEDED = {
    "fuse": "a main fuse",
    "contactor": "contactors",
    "main_cable": "the main cable",
    "msd": "a service disconnect (MSD)",
}


@rule
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
            clause="ISO 6469-3 and UN R100: overcurrent protection and a means to disconnect",
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
            clause="common practice: one main contactor in each pole, and precharge",
            remedy="Set pack.protection.contactors to 2 or more.",
        )


def protective_parts(seen: Assessed) -> Iterator[Part]:
    """The protective parts that the build names."""
    for part_id in seen.case.part_ids:
        if part_id.split("/")[0] in PROTECTIVE:
            yield seen.case.shelf.any(part_id)


def weak_fields(part: Part) -> list[str]:
    """Ratings and curves of a part that are invented, estimated or missing."""
    weak = [name for name, _ in part.entries() if name != "price" and part.grade_of(name) in ("invented", "estimated")]
    if isinstance(part, Fuse):
        if part.melting is None:
            weak.append("melting (missing)")
        elif part.grade_of("melting") in ("invented", "estimated"):
            weak.append("melting")
    return weak


@rule
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
        clause="a fuse, contactor, cable, BMS or disconnect protects only as its maker says",
        remedy="Enter the datasheets of the real parts (voltwright parts import) and name those parts in the build.",
    )
