"""Voltage: the two classes, and what every device bears at full charge and still runs on when empty."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from voltwright.parts.base import Part
from voltwright.quantity.entry import Entry
from voltwright.quantity.words import one
from voltwright.rules.clause import from_memory, maker, read
from voltwright.rules.finding import Assessed, Finding, apart, exceeds, volts, whole_down
from voltwright.rules.rule import AC_LIMIT, DC_LIMIT, high_alternating, high_direct, rule
from voltwright.rules.ways import another_part, fewer_in_series, more_in_series

CLASS_CLAUSE = read("49 CFR 571.305 S4: above 60 V DC or 30 V AC (rms); the same in UN R100 and ISO 6469-3 (class B)")
HIGH_VOLTAGE_CARE = (
    "It can kill. Isolation from the body, touch protection, orange cables, a service disconnect and qualified people are needed; "
    "local codes decide."
)


@rule("pack")
def voltage_class(seen: Assessed) -> Iterator[Finding]:
    """Is any side of the system high voltage?"""
    full, alternating = seen.si("pack.voltage_full"), seen.si("pack.voltage_ac")
    assert full is not None
    assert alternating is not None
    if high_direct(seen):
        fits = whole_down(DC_LIMIT / full * seen.case.build.pack.series)
        several = f"{fits} of these modules stay" if fits > 1 else "one of these modules stays"
        remedy = f"Only {several} below 60 V at full charge." if fits else None
        yield Finding(
            key="pack.voltage_class",
            severity="caution",
            title="The pack is high voltage",
            detail=HIGH_VOLTAGE_CARE,
            limit=volts(DC_LIMIT) + " DC",
            value=volts(full) + " DC",
            margin=volts(DC_LIMIT - full),
            clause=CLASS_CLAUSE,
            remedy=remedy,
        )
    elif high_alternating(seen):
        yield Finding(
            key="pack.voltage_class_ac",
            severity="caution",
            title="The motor side is high voltage although the pack is not",
            detail=f"From {volts(full)} DC an inverter makes up to {volts(alternating)} AC (rms). " + HIGH_VOLTAGE_CARE,
            limit=volts(AC_LIMIT) + " AC",
            value=volts(alternating) + " AC",
            margin=volts(AC_LIMIT - alternating),
            clause=CLASS_CLAUSE,
            remedy=f"Treat motor cables and inverter as high voltage, or stay below {volts(AC_LIMIT * math.sqrt(2))} DC at full charge.",
        )


MOST_DC, MOST_AC = 1500.0, 1000.0  # V; where high voltage of road vehicles ends


@rule("pack")
def voltage_upper(seen: Assessed) -> Iterator[Finding]:
    """Is the pack below the voltage where the rules of road vehicles end?"""
    full, alternating = seen.si("pack.voltage_full"), seen.si("pack.voltage_ac")
    assert full is not None
    assert alternating is not None
    if not exceeds(full, MOST_DC) and not exceeds(alternating, MOST_AC):
        return
    yield Finding(
        key="pack.voltage_upper",
        severity="stop",
        title="The pack has more voltage than the rules of road vehicles cover",
        detail=f"At full charge it has {volts(full)} DC, and an inverter makes up to {volts(alternating)} AC (rms) from it.",
        limit=volts(MOST_DC) + " DC",
        value=volts(full) + " DC",
        margin=volts(MOST_DC - full),
        clause=from_memory("UN R100 and ISO 6469-3: voltage class B ends at 1500 V DC and 1000 V AC (rms)"),
        ladders=(fewer_in_series(seen),),
    )


# What a device is here, by the path of the build that names it.
DEVICES = {
    "drive.motor.part": "motor",
    "drive.inverter.part": "inverter",
    "charging.charger.part": "charger",
    "low_voltage.dc_dc.part": "DC-DC",
    "pack.bms.part": "BMS",
    "pack.protection.contactor": "contactor",
    "pack.protection.precharge_contactor": "precharge contactor",
    "pack.protection.msd": "service disconnect",
    "pack.protection.fuse": "fuse",
    "pack.protection.main_cable.part": "main cable",
    "pack.protection.isolation_monitor": "isolation monitor",
    "comfort.cabin_heater.part": "cabin heater",
    "comfort.pack_heater.part": "pack heater",
}


def devices(seen: Assessed) -> Iterator[tuple[str, str, Part]]:
    """Every device on traction voltage: what it is here, the path that names it, its datasheet."""
    named = dict(seen.case.build.part_ids())
    yield from ((name, path, seen.case.shelf.any(named[path])) for path, name in DEVICES.items() if path in named)
    known = {named[path] for path in DEVICES if path in named}
    for path, part_id in named.items():
        if path.startswith("fitted.") and part_id not in known:
            known.add(part_id)
            part = seen.case.shelf.any(part_id)
            yield part.kind, path, part


def with_rating(seen: Assessed, field: str) -> Iterator[tuple[str, str, Part, float]]:
    for name, path, part in devices(seen):
        rating = getattr(part, field, None)
        if isinstance(rating, Entry):
            yield name, path, part, rating.value


def bears(full: float, empty: float, old: Part) -> Callable[[Part], bool]:
    """Whether a datasheet covers these voltages, where it names any; a motor with a reduction takes the place of no other."""
    geared = getattr(old, "built_in_ratio", None) is not None

    def suits(part: Part) -> bool:
        if (getattr(part, "built_in_ratio", None) is not None) != geared:
            return False
        most, least = getattr(part, "voltage_max", None), getattr(part, "voltage_min", None)
        return (most is None or not exceeds(full, most.value)) and (least is None or not exceeds(least.value, empty))

    return suits


def as_key(name: str) -> str:
    return name.replace(" ", "_").lower()


@rule("pack")
def device_voltage(seen: Assessed) -> Iterator[Finding]:
    """Does every device bear the pack at full charge?"""
    full, empty = seen.si("pack.voltage_full"), seen.si("pack.voltage_empty")
    assert full is not None
    assert empty is not None
    series = seen.case.build.pack.series
    for name, path, part, rating in with_rating(seen, "voltage_max"):
        if not exceeds(full, rating):
            continue
        fits = whole_down(rating / full * series)
        fewer = f"At most {fits} modules in series, or " if fits else ""
        other = f"{fewer}{one(name)} for at least {volts(full)}."
        said = apart(volts, full, rating)
        yield Finding(
            key=f"pack.voltage_limit.{as_key(name)}",
            severity="stop",
            title=f"The {name} does not bear the pack at full charge",
            detail=f"At full charge the pack has {said.value}; {part.title} bears {said.limit}. "
            "Nominal voltage is not the number to check.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            clause=maker("the device maker's absolute limit"),
            remedy=other[0].upper() + other[1:],
            ladders=(another_part(seen, path, name, bears(full, empty, part)), fewer_in_series(seen)),
        )


@rule("pack")
def cut_off(seen: Assessed) -> Iterator[Finding]:
    """Does every device still run when the cells are nearly empty?"""
    empty, nominal, full = (seen.si(f"pack.voltage_{each}") for each in ("empty", "nominal", "full"))
    assert empty is not None
    assert nominal is not None
    assert full is not None
    for name, path, part, least in with_rating(seen, "voltage_min"):
        if not exceeds(least, empty):
            continue
        never = least >= nominal
        said = apart(volts, empty, least)
        yield Finding(
            key=f"pack.cut_off.{as_key(name)}",
            severity="stop" if never else "caution",
            title=f"The {name} does not run on this pack" if never else f"The {name} stops before the cells are empty",
            detail=f"{part.title} needs {said.limit}; the pack has {volts(nominal)} nominal, "
            f"and the cells may go down to {said.value}. "
            + ("" if never else "What the cells hold below is lost to it."),
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            clause=maker("the device maker's lower limit"),
            remedy=f"Choose {one(name)} that runs down to {said.value} and bears {volts(full)}, "
            f"or more modules in series where every other device bears their full voltage.",
            ladders=(another_part(seen, path, name, bears(full, empty, part)), more_in_series(seen)),
        )
