"""What stands in the current of the pack, contactors, service disconnect and fuse: does each carry it without end?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import TypedDict

from voltwright.parts.protection import Contactor, Fuse, Msd
from voltwright.quantity.figure import fixed
from voltwright.rules.clause import maker, practice
from voltwright.rules.finding import Assessed, Finding, Ladder, amperes, apart, exceeds
from voltwright.rules.rule import rule
from voltwright.rules.ways import another_part, more_strings

FUSE_SHARE = 0.75  # of its rating, continuously; common practice: 0.7 to 0.8, in still air and with time


def carried(seen: Assessed) -> float | None:
    """What flows at half charge for as long as the driver likes: by the motor's continuous power, the inverter, or what the
    BMS is set to. None where it is not known. [A]"""
    need, inverter = seen.si("pack.current_motor_continuous"), seen.case.inverter
    if need is None or inverter is None:
        return None
    limit = seen.case.build.pack.bms.current_limit
    return min(need, inverter.current_dc_continuous.value, limit.value if limit else math.inf)


def share_of_each(seen: Assessed, count: int) -> float:
    """The part of the pack's current that the most loaded of several devices carries: one in each string, or one for all."""
    share, strings = seen.si("pack.string_share"), seen.case.build.pack.parallel
    return share if share is not None and count >= strings > 1 else 1.0


@rule("pack")
def contactor_carries(seen: Assessed) -> Iterator[Finding]:
    """Do the main contactors carry the current of long driving?"""
    contactor, current = seen.case.contactor, carried(seen)
    if contactor is not None and current is not None and exceeds(current, contactor.current_continuous.value):
        yield Finding(
            key="pack.contactor_current",
            severity="stop",
            title="The main contactors do not carry the current of long driving",
            detail=_flows(current, contactor) + " Its contacts and terminals overheat, and they may weld.",
            clause=maker("the contactor maker's continuous current, with the cable that he names"),
            ladders=(_larger(seen, "pack.protection.contactor", "contactor", current),),
            **_against(current, contactor.current_continuous.value),
        )


@rule("pack")
def msd_carries(seen: Assessed) -> Iterator[Finding]:
    """Does the service disconnect carry the current of long driving?"""
    msd, current = seen.case.msd, carried(seen)
    if msd is None or current is None:
        return
    each = current * share_of_each(seen, seen.case.build.pack.protection.msds)
    if exceeds(each, msd.current_continuous.value):
        yield Finding(
            key="pack.msd_current",
            severity="stop",
            title="The service disconnect does not carry the current of long driving",
            detail=_flows(each, msd),
            clause=maker("the maker's continuous current of the service disconnect"),
            ladders=(_larger(seen, "pack.protection.msd", "service disconnect", each), more_strings(seen)),
            **_against(each, msd.current_continuous.value),
        )


def _flows(current: float, part: Contactor | Msd) -> str:
    said = apart(amperes, current, part.current_continuous.value)
    return (
        f"At half charge {said.value} flow through each for as long as the driver likes; {part.title} ({part.id}) carries "
        f"{said.limit} continuously."
    )


class _Against(TypedDict):
    limit: str
    value: str
    margin: str


def _against(current: float, may: float) -> _Against:
    said = apart(amperes, current, may)
    return {"limit": said.limit, "value": said.value, "margin": said.margin}


def _larger(seen: Assessed, path: str, what: str, current: float) -> Ladder:
    """Parts that carry the current and bear the pack's voltage, the smallest first."""
    full = seen.si("pack.voltage_full") or 0.0

    def suits(part: Contactor | Msd) -> bool:
        return part.current_continuous.value >= current and not exceeds(full, part.voltage_max.value)

    return another_part(seen, path, what, suits, lambda part: part.current_continuous.value)


@rule("pack")
def fuse_load(seen: Assessed) -> Iterator[Finding]:
    """Does the fuse carry the current of long driving for years?"""
    fuse, current = seen.case.fuse, carried(seen)
    if fuse is None or current is None:
        return
    each, rated = current * share_of_each(seen, seen.case.build.pack.protection.fuses), fuse.current_rated.value
    opens, bears = exceeds(each, rated), FUSE_SHARE * rated
    if not exceeds(each, bears):
        return
    may = rated if opens else bears
    said = apart(amperes, each, may)
    yield Finding(
        key="pack.fuse_load",
        severity="stop" if opens else "caution",
        title="The fuse does not carry the current of long driving" if opens else "Long driving ages the fuse",
        detail=f"At half charge {said.value} flow through each for as long as the driver likes; {fuse.title} ({fuse.id}) "
        + (f"is rated {said.limit}. It opens" if opens else f"carries {said.limit} for years. It ages and opens")
        + f" on the road. No more than {fixed(100 * FUSE_SHARE, 0)} % of a fuse's rating is used continuously.",
        **_against(each, may),
        clause=maker("the fuse maker's rated current")
        if opens
        else practice("0.7 to 0.8 of the rating for a current that lasts"),
        remedy="A larger fuse must still protect the cable behind it.",
        ladders=(_larger_fuse(seen, each), more_strings(seen)),
    )


def _larger_fuse(seen: Assessed, current: float) -> Ladder:
    full = seen.si("pack.voltage_full") or 0.0

    def suits(part: Fuse) -> bool:
        return FUSE_SHARE * part.current_rated.value >= current and not exceeds(full, part.voltage_max.value)

    return another_part(seen, "pack.protection.fuse", "fuse", suits, lambda part: part.current_rated.value)
