"""The trailer of the brief, and whether a coast-down can be that of this car."""

from __future__ import annotations

import math
from collections.abc import Iterator

from voltwright.quantity.figure import fixed
from voltwright.rules.clause import PLATE, practice
from voltwright.rules.finding import Assessed, Finding, Ladder, apart, exceeds
from voltwright.rules.rule import rule
from voltwright.rules.ways import downwards, less_load, settings


def _tow(seen: Assessed) -> float:
    """Mass of the trailer, at the upper end of what it may be. [kg]"""
    entry = seen.case.build.brief.tow
    return 0.0 if entry is None else max(entry.value, entry.spread.high)


def _less_to_tow(seen: Assessed) -> Ladder:
    """A lighter trailer in the brief, by 10 kg."""
    return settings("brief.tow", "Agree on a trailer of", downwards(_tow(seen), 10.0, 10.0), "kg")


@rule()
def trailer_limit(seen: Assessed) -> Iterator[Finding]:
    """May the car tow the trailer of the brief?"""
    tow, limits = _tow(seen), seen.case.build.donor.limits
    braked, unbraked = limits.trailer_braked, limits.trailer_unbraked
    if not tow:
        return
    if braked is None and unbraked is None:
        yield Finding(
            key="towing.limit_unknown",
            severity="caution",
            title="Nobody knows what the car may tow",
            detail=f"The brief asks for a trailer of {seen.kg(tow)}; the build names no limit for one.",
            value=seen.kg(tow),
            clause=PLATE,
            remedy="Enter donor.limits.trailer_braked and trailer_unbraked from the plate or the papers. "
            "A car without such a limit may tow nothing.",
        )
    elif braked is not None and exceeds(tow, braked.value):
        most = braked.value
        said = apart(seen.kg, tow, most)
        yield Finding(
            key="towing.trailer_limit",
            severity="stop",
            title="The trailer is heavier than the car may tow",
            detail=f"The brief asks for {said.value}; the donor may tow {said.limit}, with brakes on the trailer.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            clause=PLATE,
            remedy=f"Tow at most {said.limit}. More power does not raise what chassis and brakes bear.",
            ladders=(_less_to_tow(seen),),
        )


@rule()
def trailer_brakes(seen: Assessed) -> Iterator[Finding]:
    """May the trailer be without brakes of its own?"""
    tow, limits = _tow(seen), seen.case.build.donor.limits
    braked, unbraked = limits.trailer_braked, limits.trailer_unbraked
    if unbraked is not None and exceeds(tow, unbraked.value):
        said = apart(seen.kg, tow, unbraked.value)
        yield Finding(
            key="towing.brakes",
            severity="caution" if braked is not None else "stop",
            title="The trailer must have brakes of its own",
            detail=f"Without brakes on the trailer the donor may tow {said.limit}; the brief asks for {said.value}.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            clause=PLATE,
            remedy=f"See that the trailer has brakes, and enter donor.limits.trailer_braked; or tow at most {said.limit}.",
            ladders=(_less_to_tow(seen),),
        )


@rule("mass")
def train_limit(seen: Assessed) -> Iterator[Finding]:
    """Do the laden car and its trailer together stay within what the train may weigh?"""
    tow, laden, entry = _tow(seen), seen.si("mass.laden"), seen.case.build.donor.limits.train
    if not tow or laden is None:
        return
    if entry is None:
        yield _train_unknown(seen, laden + tow)
        return
    if not exceeds(laden + tow, entry.value):
        return
    left = float(max(0, math.floor(entry.value - laden)))
    said = apart(seen.kg, laden + tow, entry.value)
    yield Finding(
        key="towing.train_limit",
        severity="stop",
        title="Car and trailer together are too heavy",
        detail=f"The laden car weighs {seen.text('mass.laden')} and the trailer {seen.kg(tow)}; "
        f"together they may weigh {said.limit}.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=PLATE,
        remedy=f"Tow at most {seen.kg(left)} with this load, or load less: what the pack added, the trailer must lose.",
        ladders=(_less_to_tow(seen), less_load(seen)),
    )


def _train_unknown(seen: Assessed, together: float) -> Finding:
    return Finding(
        key="towing.train_unknown",
        severity="note",
        title="Nobody knows what car and trailer together may weigh",
        detail=f"Laden car and trailer weigh {seen.kg(together)} together; the build names no limit for the train.",
        value=seen.kg(together),
        clause=PLATE,
        remedy="Enter donor.limits.train from the plate or the papers. Where there is none, brakes, clutch and coupling still have one: "
        "ask an engineer of the trade.",
    )


# What cars on road tyres have: rolling resistance, and drag area in m². Common practice, no source.
_ROLLING, _DRAG = (0.006, 0.035), (0.35, 3.5)


@rule("road")
def coast_down_likely(seen: Assessed) -> Iterator[Finding]:
    """Does the coast-down give a car that can be?"""
    held = seen.case.resistance
    if seen.case.road_load is None or held is None:
        return
    rolling, drag = held.rolling.value, held.drag_area.value
    for name, value, unit, (low, high) in (
        ("rolling resistance", rolling, "", _ROLLING),
        ("drag area", drag, " m²", _DRAG),
    ):
        if low <= value <= high:
            continue
        yield Finding(
            key="data.coast_down",
            severity="caution",
            title="The coast-down does not look like that of a car",
            detail=f"It gives a {name} of {fixed(value, 3)}{unit}; cars have {low} to {high}{unit}.",
            limit=f"{low} to {high}{unit}",
            value=f"{fixed(value, 3)}{unit}",
            clause=practice(),
            remedy="Look at the units, at the mass of that day, whether the brakes drag, and whether a gear was in.",
        )
