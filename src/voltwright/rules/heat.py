"""Heat: do cells, motor and what cools them stay within their limits on every duty?"""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from voltwright.assess.curves import road_load_at
from voltwright.assess.drive import gears_of
from voltwright.assess.heat_boxes import COOLINGS
from voltwright.assess.heat_liquid import NO_ROOM
from voltwright.assess.heat_loop import cooled_by_liquid
from voltwright.assess.heat_radiator import box_fans
from voltwright.assess.keys import DUTIES, key_of
from voltwright.assess.resistance import resistance_of
from voltwright.parts.power import Fan, Pump, Radiator
from voltwright.quantity.figure import amount
from voltwright.quantity.units import Unit
from voltwright.rules.clause import arithmetic, maker, practice
from voltwright.rules.finding import PERHAPS, Assessed, Finding, Ladder, apart, exceeds, kilowatts, likely, percent
from voltwright.rules.rule import no_trips, rule
from voltwright.rules.ways import another_part, more_strings, one_step

FAMILY = "heat.cell_peak."
LITTLE = 0.5  # of the heat: resistance grows by half as much again until a cell is worn out
APART = 5.0  # K; common practice
READ_TO = 333.15  # K: the resistances of a cell are read up to there
SAID = {"none": "without cooling", "air": "cooled by air", "liquid": "cooled by liquid"}


def _duties(seen: Assessed) -> Iterator[tuple[str, str, float]]:
    """Every duty that was driven: its name, what it is, and how warm the cells become. [K]"""
    for key, node in seen.sheet.nodes.items():
        if key.startswith(FAMILY):
            name = key.removeprefix(FAMILY)
            yield name, DUTIES.get(name, f"the trip '{name}' on the hottest day"), float(node.value)


def _limit_on(seen: Assessed, name: str) -> float:
    """How warm a cell may be on a duty. [K]"""
    cell = seen.case.cell
    return (cell.temperature_charge_max if name == "dc-charge" else cell.temperature_discharge_max).value


@rule("heat", trips=no_trips)
def cell_limit(seen: Assessed) -> Iterator[Finding]:
    """Does every cell stay below its limit on every duty, on the hottest day?"""
    for name, title, peak in _duties(seen):
        charging, limit = name == "dc-charge", _limit_on(seen, name)
        fails = seen.failing(FAMILY + name, limit, f"the cells stay below their limit: {title}")
        if not exceeds(peak, limit):
            continue
        said = apart(seen.degrees, peak, limit)
        beyond = (
            " The model reads the resistance of a cell up to 60 °C and holds it beyond: by so much it is guessed."
            if peak > READ_TO
            else ""
        )
        yield Finding(
            key=f"heat.cell_limit.{name}",
            severity="caution",
            title=f"Cells become too warm: {title}",
            detail=f"The hottest cell reaches {said.value}; it may be {'charged' if charging else 'discharged'} up to {said.limit}. "
            f"The monitor must then lower the current or open the contactors under way.{beyond}",
            limit=said.limit,
            value=said.value,
            margin=amount(limit - peak, Unit("K"), 1, seen.system),
            clause=maker("the cell maker's datasheet"),
            likelihood=likely(fails),
            remedy="Let the monitor lower the current before the limit, and tell the customer.",
            ladders=(*_better_cooling(seen), more_strings(seen)),
        )


def _better_cooling(seen: Assessed) -> tuple[Ladder, ...]:
    """Every way of cooling beyond the one that is fitted."""
    now = COOLINGS.index(seen.case.build.pack.cooling)
    return tuple(_cooled(each) for each in COOLINGS[now + 1 :])


def _cooled(cooling: str) -> Ladder:
    words = {
        "none": "Leave the pack without cooling",
        "air": "Cool the pack with air",
        "liquid": "Cool the pack with liquid",
    }
    return one_step(f"{words[cooling]} (pack.cooling)", {"pack.cooling": cooling})


@rule("heat", trips=no_trips)
def cooling_that_is_needed(seen: Assessed) -> Iterator[Finding]:
    """Is the pack cooled as it needs, neither less nor more?"""
    verdict = seen.si("heat.verdict")
    if verdict is None:
        return
    needed, fitted = COOLINGS[round(verdict)], seen.case.build.pack.cooling
    words = key_of("heat.verdict").answer
    fails = seen.failing("heat.verdict", float(COOLINGS.index(fitted)), "the pack is cooled as it needs")
    if COOLINGS.index(fitted) < COOLINGS.index(needed):
        yield Finding(
            key="heat.cooling_less",
            severity="caution",
            title="The pack needs more cooling than is planned",
            detail=f"{SAID[fitted].capitalize()} a cell {_how_warm(seen)}. {SAID[needed].capitalize()} is the least that may be enough.",
            limit=words[round(verdict)],
            value=words[COOLINGS.index(fitted)],
            clause=arithmetic("heat made against heat shed over the duties"),
            likelihood=likely(fails),
            ladders=_better_cooling(seen),
        )
    elif COOLINGS.index(fitted) > COOLINGS.index(needed):
        yield Finding(
            key="heat.cooling_more",
            severity="note",
            title="The pack is cooled more than it needs",
            detail=f"{SAID[needed].capitalize()} every cell stays below its limit on every duty, on the hottest day. Cooling still makes "
            "cells more alike and last longer.",
            limit=words[round(verdict)],
            value=words[COOLINGS.index(fitted)],
            clause=arithmetic("heat made against heat shed over the duties"),
            remedy="Save mass and money, or keep it for fast charging and long life.",
        )


def _how_warm(seen: Assessed) -> str:
    """How warm a cell becomes on the worst duty, as the pack is cooled now, and how warm it may be."""
    duties = [each for each in _duties(seen) if each[0] != "cold"]
    if not duties:
        return "passes its limit on the worst duty"
    name, title, peak = min(duties, key=lambda each: _limit_on(seen, each[0]) - each[2])
    said = apart(seen.degrees, peak, _limit_on(seen, name))
    done = "charged" if name == "dc-charge" else "discharged"
    return f"reaches {said.value} on the worst duty, {title}; it may be {done} up to {said.limit}"


@rule("heat", trips=no_trips)
def charging_on_arrival(seen: Assessed) -> Iterator[Finding]:
    """May the car be plugged in as soon as it arrives?"""
    limit = seen.case.cell.temperature_charge_max.value
    duties = [each for each in _duties(seen) if each[0] != "dc-charge"]
    if not duties:
        return
    name, title, peak = max(duties, key=lambda each: each[2])
    fails = seen.failing(FAMILY + name, limit, f"the cells may be charged on arrival: {title}")
    if not exceeds(peak, limit):
        return
    said = apart(seen.degrees, peak, limit)
    yield Finding(
        key="heat.hot_for_charging",
        severity="caution",
        title="Cells may be too warm to be charged on arrival",
        detail=f"After {title} the hottest cell is at {said.value}; it may be charged up to {said.limit}. Let it cool before charging; "
        "the BMS must refuse charge and regeneration above it.",
        limit=said.limit,
        value=said.value,
        margin=amount(limit - peak, Unit("K"), 1, seen.system),
        clause=maker("the cell maker's datasheet"),
        likelihood=likely(fails),
        remedy="Set the warmest charge in the BMS, try it on the bench, and tell the customer that a hot car brakes less by its motor.",
        ladders=_better_cooling(seen),
    )


@rule("heat", trips=no_trips)
def headroom(seen: Assessed) -> Iterator[Finding]:
    """Is there room for a hotter day, an older pack or a stronger motor?"""
    room = seen.si("heat.headroom")
    if room is None or room < 0.0:
        return
    fails = seen.failing("heat.headroom", 0.0, "the cells bear the heat of the worst duty", least=True)
    low = seen.figures["heat.headroom"].low
    perhaps = fails is not None and fails > PERHAPS and low is not None and low < 0.0
    already = (
        f"In {round(100 * (fails or 0.0))} of 100 likely cases a cell passes its limit already. " if perhaps else ""
    )
    detail = (
        f"They bear {percent(room)} more heat on the worst duty. {already}Resistance grows as cells age, and with it the heat: half as "
        "much again is usual at the end of their life."
    )
    ladders = (*_better_cooling(seen), more_strings(seen))
    if room < LITTLE:
        said = apart(percent, room, LITTLE)
        yield Finding(
            key="heat.headroom",
            severity="note",
            title="The cells have little room before they are too warm",
            detail=detail,
            limit=said.limit,
            value=said.value,
            clause=practice(),
            likelihood=likely(fails),
            ladders=ladders,
        )
    elif perhaps:
        yield Finding(
            key="heat.headroom_perhaps",
            severity="note",
            title="A cell may turn out too warm on the worst duty",
            detail=detail,
            limit=percent(0.0),
            value=f"down to {percent(low or 0.0)}",
            clause=arithmetic("the low end of the band of the headroom"),
            likelihood=likely(fails),
            remedy="Measure what is assumed or unsure: the list of assumptions says what moves this figure.",
            ladders=ladders,
        )


@rule("heat", trips=no_trips)
def cells_apart(seen: Assessed) -> Iterator[Finding]:
    """Are all cells about equally warm?"""
    spread = seen.si("heat.spread")
    fails = seen.failing("heat.spread", APART, "the cells are about equally warm")
    if spread is None or not exceeds(spread, APART):
        return
    yield Finding(
        key="heat.spread",
        severity="caution",
        title="Some cells become much warmer than others",
        detail=f"On the worst duty hottest and coldest cell are {amount(spread, Unit('K'), 1, seen.system)} apart. The warm ones age "
        "faster, and the weakest decides what the pack holds.",
        limit=amount(APART, Unit("K"), 0, seen.system),
        value=amount(spread, Unit("K"), 1, seen.system),
        clause=practice("5 K within a pack"),
        likelihood=likely(fails),
        remedy="Boxes in like surroundings, the same insulation on each, or cooling that reaches every module.",
    )


@rule("heat", trips=no_trips)
def what_flows(seen: Assessed) -> Iterator[Finding]:
    """Do pump and radiator carry the heat off?"""
    yield from _small(
        seen,
        "pump",
        ("heat.coolant_flow", "heat.coolant_flow_fitted"),
        ("The coolant pump moves less than is needed", "heat over flow and its rise", "the pump moves enough"),
        lambda needs, does: (
            f"Pump and loop agree at {does}; {needs} are needed. At that the loop takes {seen.text('heat.pump_head')}, and the pump "
            f"gives {seen.text('heat.pump_head_fitted')}. With less flow, what is last in the loop becomes warmer."
        ),
        "Wider hoses and fewer bends help too, or a second pump in a row with the first.",
    )
    yield from _small(
        seen,
        "radiator",
        ("heat.radiator", "heat.radiator_fitted"),
        (
            "The radiator sheds less than is needed",
            "heat over the difference of coolant and air",
            "the radiator sheds enough",
        ),
        lambda needs, does: (
            f"On the hill, by wind and fan, it sheds {does}; {needs} are needed on the hottest day. While the car stands it sheds "
            f"{seen.text('heat.radiator_standing')}."
        ),
        "More air through it helps too: a stronger fan, a duct from the grille, no gaps beside the core.",
    )
    if seen.sheet.reasons.get("heat.radiator") == NO_ROOM:
        yield Finding(
            key="heat.radiator_no_room",
            severity="caution",
            title="No radiator cools the coolant on the hottest day",
            detail=f"On the hottest design day ({seen.case.build.duty.climate.hottest.text}) the air is as warm as the coolant may be: "
            "whatever the radiator, what it cools becomes too warm.",
            clause=arithmetic("heat flows from warm to cold"),
            remedy="A circuit with a refrigerant, by its maker's instructions; or the car is not driven hard on such days.",
        )


def _small(
    seen: Assessed,
    kind: str,
    keys: tuple[str, str],
    words: tuple[str, str, str],
    detail: Callable[[str, str], str],
    remedy: str,
) -> Iterator[Finding]:
    """A part of the loop that does less than is needed; `keys`: what is needed, and what the part does."""
    (needed, fitted), (title, why, fails) = keys, words
    needs, does = seen.si(needed), seen.si(fitted)
    if needs is None or does is None or not exceeds(needs, does):
        return
    yield Finding(
        key=f"heat.{kind}_small",
        severity="caution",
        title=title,
        detail=detail(seen.text(needed), seen.text(fitted)),
        limit=seen.text(needed, seen.text(fitted)),
        value=seen.text(fitted),
        clause=arithmetic(why),
        likelihood=likely(seen.failing(fitted, needs, fails, least=True)),
        remedy=remedy,
        ladders=_other(seen, kind),
    )


@rule("heat", trips=no_trips)
def what_blows(seen: Assessed) -> Iterator[Finding]:
    """Do the fans of the boxes blow what a pack that is cooled by air needs?"""
    yield from _small(
        seen,
        "fan",
        ("heat.air_flow", "heat.air_flow_fitted"),
        (
            "The fans of the boxes blow less than is needed",
            "heat made against heat shed over the worst duty",
            "the fans of the boxes blow enough",
        ),
        lambda needs, does: (
            f"They blow {does} through all boxes; {needs} keep the cells below their limit on the worst duty of the hottest day."
        ),
        "Wider ducts and an outlet as large as the inlet help too.",
    )
    if seen.case.build.pack.cooling == "air" and not box_fans(seen.case):
        needs = seen.si("heat.air_flow")
        yield Finding(
            key="heat.air_no_fan",
            severity="note" if needs == 0.0 else "caution",
            title="The pack is cooled by air, and no fan of a box is named",
            detail="How warm the cells become is reckoned with fans as they are usual."
            + (
                ""
                if needs is None
                else " On the worst duty the boxes need none."
                if needs == 0.0
                else f" On the worst duty the boxes need {seen.text('heat.air_flow')} in all."
            ),
            clause=practice(),
            remedy="Name the fans under fitted, each with its number; of several fans the largest counts as that of the radiator.",
        )


@rule("heat", trips=no_trips)
def air_while_it_stands(seen: Assessed) -> Iterator[Finding]:
    """Does air go through the radiator while the car stands?"""
    parts = [seen.case.shelf.any(each.part) for each in seen.case.build.fitted]
    has_fan, has_radiator = (any(isinstance(part, kind) for part in parts) for kind in (Fan, Radiator))
    if not has_radiator or has_fan or not cooled_by_liquid(seen.case):
        return
    yield Finding(
        key="heat.radiator_no_fan",
        severity="caution",
        title="No fan blows through the radiator",
        detail="The wind of the road does while the car drives. In town and on a slow hill the car stands or crawls, and the coolant "
        "sheds next to nothing.",
        clause=practice(),
        remedy="Fit a fan behind the radiator that the temperature of the coolant switches, and enter it (fitted).",
    )


def _other(seen: Assessed, kind: str) -> tuple[Ladder, ...]:
    """Another pump, radiator or fan of a box in the place of the one that is fitted."""
    if kind == "fan":
        return tuple(
            another_part(seen, f"fitted.{index}.part", kind, lambda part: True) for index, _ in box_fans(seen.case)[:1]
        )
    want = Pump if kind == "pump" else Radiator
    for index, each in enumerate(seen.case.build.fitted):
        if isinstance(seen.case.shelf.any(each.part), want):
            return (another_part(seen, f"fitted.{index}.part", kind, lambda part: True),)
    return ()


@rule("heat", trips=no_trips)
def motor_on_the_motorway(seen: Assessed) -> Iterator[Finding]:
    """Does the motor give for an hour what the cruising speed asks, on the hottest day?"""
    gives, wish = seen.si("heat.motor_sustained"), seen.case.build.brief.cruise_speed
    held, gears = resistance_of(seen.case, seen.sheet), gears_of(seen.case)[0]
    if gives is None or wish is None or held is None or gears is None:
        return
    force = float(road_load_at(held, 0.0, np.array([wish.value]))[0])
    asks = force * wish.value / gears.efficiency.value
    if not exceeds(asks, gives):
        return
    said = apart(kilowatts, gives, asks)
    yield Finding(
        key="heat.motor",
        severity="caution",
        title="The motor becomes too warm at the cruising speed",
        detail=f"At {wish.text} on the level it must give {said.limit}; for an hour on the hottest day motor and inverter give "
        f"{said.value}.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=maker("the makers' continuous ratings"),
        remedy="A motor with a larger continuous rating, or a lower cruising speed agreed with the customer.",
    )
