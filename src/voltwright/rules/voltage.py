"""Voltage: the two classes, and what every device bears at full charge and still runs on when empty."""

from __future__ import annotations

import math
from collections.abc import Iterator

from voltwright.parts.base import Part
from voltwright.quantity.entry import Entry
from voltwright.rules.clause import maker, read
from voltwright.rules.finding import Assessed, Finding, exceeds, volts, whole_down
from voltwright.rules.rule import AC_LIMIT, DC_LIMIT, rule

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
    if exceeds(full, DC_LIMIT):
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
    elif exceeds(alternating, AC_LIMIT) and seen.case.inverter is not None:
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


def devices(seen: Assessed) -> Iterator[tuple[str, Part]]:
    """Every device on traction voltage, by what it is here."""
    case, guard, comfort = seen.case, seen.case.build.pack.protection, seen.case.build.comfort
    named = {
        "motor": case.build.drive.motor.part if case.build.drive.motor else None,
        "inverter": case.build.drive.inverter.part if case.build.drive.inverter else None,
        "charger": case.build.charging.charger.part if case.build.charging.charger else None,
        "DC-DC": case.build.low_voltage.dc_dc.part if case.build.low_voltage.dc_dc else None,
        "BMS": case.build.pack.bms.part,
        "contactor": guard.contactor,
        "precharge contactor": guard.precharge_contactor,
        "service disconnect": guard.msd,
        "fuse": guard.fuse,
        "main cable": guard.main_cable.part if guard.main_cable else None,
        "isolation monitor": guard.isolation_monitor,
        "cabin heater": comfort.cabin_heater.part if comfort.cabin_heater else None,
        "pack heater": comfort.pack_heater.part if comfort.pack_heater else None,
    }
    yield from ((name, case.shelf.any(part)) for name, part in named.items() if part is not None)
    fitted = {placed.part for placed in case.build.fitted} - set(named.values())
    yield from ((case.shelf.any(part).kind, case.shelf.any(part)) for part in sorted(fitted))


def _with_rating(seen: Assessed, field: str) -> Iterator[tuple[str, Part, float]]:
    for name, part in devices(seen):
        rating = getattr(part, field, None)
        if isinstance(rating, Entry):
            yield name, part, rating.value


def _as_key(name: str) -> str:
    return name.replace(" ", "_").lower()


@rule("pack")
def device_voltage(seen: Assessed) -> Iterator[Finding]:
    """Does every device bear the pack at full charge?"""
    full = seen.si("pack.voltage_full")
    assert full is not None
    series = seen.case.build.pack.series
    for name, part, rating in _with_rating(seen, "voltage_max"):
        if not exceeds(full, rating):
            continue
        fits = whole_down(rating / full * series)
        fewer = f"At most {fits} modules in series, or a" if fits else "A"
        yield Finding(
            key=f"pack.voltage_limit.{_as_key(name)}",
            severity="stop",
            title=f"The {name} does not bear the pack at full charge",
            detail=f"At full charge the pack has {volts(full)}; {part.title} bears {volts(rating)}. "
            "Nominal voltage is not the number to check.",
            limit=volts(rating),
            value=volts(full),
            margin=volts(rating - full),
            clause=maker("the device maker's absolute limit"),
            remedy=f"{fewer} {name} for at least {volts(full)}.",
        )


@rule("pack")
def cut_off(seen: Assessed) -> Iterator[Finding]:
    """Does every device still run when the cells are nearly empty?"""
    empty, nominal, full = (seen.si(f"pack.voltage_{each}") for each in ("empty", "nominal", "full"))
    assert empty is not None
    assert nominal is not None
    assert full is not None
    for name, part, least in _with_rating(seen, "voltage_min"):
        if not exceeds(least, empty):
            continue
        never = least >= nominal
        yield Finding(
            key=f"pack.cut_off.{_as_key(name)}",
            severity="stop" if never else "caution",
            title=f"The {name} does not run on this pack" if never else f"The {name} stops before the cells are empty",
            detail=f"{part.title} needs {volts(least)}; the pack has {volts(nominal)} nominal, "
            f"and the cells may go down to {volts(empty)}. "
            + ("" if never else "What the cells hold below is lost to it."),
            limit=volts(least),
            value=volts(empty),
            margin=volts(empty - least),
            clause=maker("the device maker's lower limit"),
            remedy=f"Choose a {name} that runs down to {volts(empty)} and bears {volts(full)}, "
            f"or more modules in series where every other device bears their full voltage.",
        )
