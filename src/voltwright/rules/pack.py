"""Voltage class, device limits, currents, cold, monitoring, protection."""

from __future__ import annotations

import math
from collections.abc import Iterator

from voltwright.parts.base import Part
from voltwright.parts.battery import Bms
from voltwright.quantity.entry import Entry
from voltwright.rules.finding import Assessed, Finding, amperes, kilowatts, rule, volts

DC_LIMIT, AC_LIMIT = 60.0, 30.0  # V; above either, high voltage
CLASS_CLAUSE = "49 CFR 571.305 S4: above 60 V DC or 30 V AC (rms); the same in UN R100 and ISO 6469-3 (class B)"
HIGH_VOLTAGE_CARE = (
    "It can kill. Isolation from the body, touch protection, orange cables, a service disconnect and qualified people are needed; "
    "local codes decide."
)


@rule
def voltage_class(seen: Assessed) -> Iterator[Finding]:
    """Is any side of the system high voltage?"""
    full, alternating = seen.si("pack.voltage_full"), seen.si("pack.voltage_ac")
    assert full is not None
    assert alternating is not None
    if full > DC_LIMIT:
        fits = math.floor(DC_LIMIT / full * seen.case.build.pack.series)
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
    elif alternating > AC_LIMIT and seen.case.inverter is not None:
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


def _rated(seen: Assessed) -> Iterator[tuple[str, Part, Entry]]:
    """Every device on traction voltage, by what it is here, with the highest voltage that it bears."""
    case, guard = seen.case, seen.case.build.pack.protection
    cable = guard.main_cable.part if guard.main_cable else None
    named = {
        "inverter": case.inverter,
        "charger": case.charger,
        "DC-DC": case.dc_dc,
        "BMS": case.bms,
        "contactor": case.contactor,
        "service disconnect": case.msd,
        "fuse": case.shelf.any(guard.fuse) if guard.fuse else None,
        "main cable": case.shelf.any(cable) if cable else None,
        "isolation monitor": case.shelf.any(guard.isolation_monitor) if guard.isolation_monitor else None,
        "cabin heater": case.shelf.any(case.build.comfort.cabin_heater.part)
        if case.build.comfort.cabin_heater
        else None,
        "pack heater": case.shelf.any(case.build.comfort.pack_heater.part) if case.build.comfort.pack_heater else None,
    }
    for name, part in named.items():
        rating = getattr(part, "voltage_max", None)
        if part is not None and isinstance(rating, Entry):
            yield name, part, rating


@rule
def device_voltage(seen: Assessed) -> Iterator[Finding]:
    """Does every device bear the pack at full charge?"""
    full = seen.si("pack.voltage_full")
    assert full is not None
    series = seen.case.build.pack.series
    for name, part, rating in _rated(seen):
        if full <= rating.value:
            continue
        fits = math.floor(rating.value / full * series)
        fewer = f"At most {fits} modules in series, or a" if fits else "A"
        yield Finding(
            key=f"pack.voltage_limit.{name.replace(' ', '_').lower()}",
            severity="stop",
            title=f"The {name} does not bear the pack at full charge",
            detail=f"At full charge the pack has {volts(full)}; {part.title} bears {volts(rating.value)}. "
            "Nominal voltage is not the number to check.",
            limit=volts(rating.value),
            value=volts(full),
            margin=volts(rating.value - full),
            clause="the device maker's absolute limit",
            remedy=f"{fewer} {name} for at least {volts(full)}.",
        )


@rule
def cut_off(seen: Assessed) -> Iterator[Finding]:
    """Does the inverter still run when the cells are nearly empty?"""
    inverter, empty = seen.case.inverter, seen.si("pack.voltage_empty")
    if inverter is None or empty is None or inverter.voltage_min.value <= empty:
        return
    nominal = seen.si("pack.voltage_nominal") or 0.0
    severity = "stop" if inverter.voltage_min.value >= nominal else "caution"
    need = math.ceil(inverter.voltage_min.value / empty * seen.case.build.pack.series)
    yield Finding(
        key="pack.inverter_cut_off",
        severity=severity,
        title="The inverter stops before the cells are empty",
        detail=f"{inverter.title} needs {volts(inverter.voltage_min.value)}; the cells may go down to {volts(empty)}. "
        "The charge below is lost.",
        limit=volts(inverter.voltage_min.value),
        value=volts(empty),
        margin=volts(empty - inverter.voltage_min.value),
        clause="the inverter maker's lower limit",
        remedy=f"{need} modules in series would use all of the charge, if every device bears their full voltage.",
    )


@rule
def current_continuous(seen: Assessed) -> Iterator[Finding]:
    """May the motor draw its continuous power from the pack for ever?"""
    need, limit = seen.si("pack.current_motor_continuous"), seen.si("pack.current_continuous")
    if need is None or limit is None or need <= limit:
        return
    binds = min(seen.sheet.nodes["pack.current_continuous"].inputs.values(), key=lambda node: node.value)
    if binds.label.startswith(("Cells", "Module")):
        way = f"{math.ceil(need / limit * seen.case.build.pack.parallel)} strings in parallel"
    else:
        way = f"a part for {amperes(math.ceil(need))} in its place"
    yield Finding(
        key="pack.current_continuous",
        severity="caution",
        title="The motor's continuous power asks more than the pack may give continuously",
        detail=f"At half charge the motor's continuous power draws {amperes(need)}; "
        f"the pack may give {amperes(limit)} ({binds.label[0].lower()}{binds.label[1:]}).",
        limit=amperes(limit),
        value=amperes(need),
        margin=amperes(limit - need),
        clause="the cell maker's continuous rating and that of what is in series with it",
        remedy=f"Set the inverter's battery current limit to {amperes(math.floor(limit))}, or {way}.",
    )


@rule
def full_power(seen: Assessed) -> Iterator[Finding]:
    """From which charge downwards is the motor's full power lost?"""
    lost, peak = seen.si("pack.full_power_lost_below"), seen.si("pack.power_peak")
    if lost is None or peak is None or lost <= 0.2:
        return
    need = seen.sheet.nodes["pack.full_power_lost_below"].inputs["power"].value
    never = lost >= 1.0
    yield Finding(
        key="pack.full_power",
        severity="caution",
        title="The pack never gives the motor's full power" if never else "Full power is lost early",
        detail=(
            f"The motor's peak power asks {kilowatts(need)}; at 80 % charge and 25 °C the pack gives {kilowatts(peak)} for 10 s"
            + ("." if never else f", and below {lost:.0%} charge it no longer gives what the motor asks.")
        ),
        limit=kilowatts(need),
        value=kilowatts(peak),
        margin=kilowatts(peak - need),
        clause="cell limits for 10 s, solved as P = U · I",
        remedy=f"Promise {kilowatts(min(peak, need))}, or more cells in parallel, or modules for a higher current.",
    )


@rule
def empty_and_cold(seen: Assessed) -> Iterator[Finding]:
    """Does enough power remain when the pack is nearly empty on the coldest day?"""
    left, wanted = seen.si("pack.power_empty_cold"), seen.case.motor.power_continuous.value if seen.case.motor else None
    if left is None or wanted is None or left >= wanted:
        return
    detail = f"At 10 % charge on the coldest design day the pack gives {kilowatts(left)} for 10 s"
    if left <= 0:
        detail = "At 10 % charge on the coldest design day no power can be drawn: the voltage at rest is below what is allowed under load"
    yield Finding(
        key="pack.empty_cold",
        severity="caution",
        title="Empty and cold, the car hardly moves" if left < wanted / 2 else "Empty and cold, power is short",
        detail=f"{detail}; the motor's continuous power is {kilowatts(wanted)}.",
        limit=kilowatts(wanted),
        value=kilowatts(left),
        margin=kilowatts(left - wanted),
        clause="cell and inverter limits for 10 s, solved as P = U · I",
        remedy=(
            "Raise the lowest charge that is used (pack.window.empty), keep the car where it is warmer, add a pack heater, "
            "more cells, or an inverter with a lower cut-off."
        ),
    )


@rule
def cold(seen: Assessed) -> Iterator[Finding]:
    """Will the cells be colder than they may be charged?"""
    coldest, limit = seen.case.build.duty.climate.coldest, seen.case.cell.temperature_charge_min
    if coldest.value >= limit.value:
        return
    heater = seen.case.build.comfort.pack_heater is not None
    power = seen.si("pack.power_empty_cold")
    yield Finding(
        key="pack.cold_charging",
        severity="note" if heater else "caution",
        title="The cells must not be charged when they are cold",
        detail=(
            f"The coldest design day has {seen.degrees(coldest.value)}; "
            f"below {seen.degrees(limit.value)} charging and regeneration plate lithium."
            + (f" At 10 % charge the pack then gives {kilowatts(power)} for 10 s." if power is not None else "")
        ),
        limit=seen.degrees(limit.value),
        value=seen.degrees(coldest.value),
        clause="the cell maker's charging temperatures",
        remedy="The BMS must refuse charge and regeneration below the limit."
        + ("" if heater else " A pack heater, or a heated garage, lifts it."),
    )


@rule
def monitoring(seen: Assessed) -> Iterator[Finding]:
    """Has each cell group a monitor channel, and each module its temperature sensors?"""
    pack, bms = seen.case.build.pack, seen.case.bms
    groups = pack.module_count * seen.case.module.groups_series
    if bms is None:
        yield Finding(
            key="bms.missing",
            severity="stop",
            title="Nobody watches the cells",
            detail=f"The pack has {groups} cell groups and the build names no BMS.",
            limit=f"{groups} channels",
            value="0 channels",
            margin=f"−{groups} channels",
            clause="common practice: every cell group is monitored",
            remedy=f"Name a BMS with at least {groups} channels.",
        )
        return
    channels = pack.bms.boards * bms.channels_per_board
    if channels < groups:
        boards = math.ceil(groups / bms.channels_per_board)
        enough = boards <= bms.boards_most
        yield Finding(
            key="bms.channels",
            severity="stop",
            title="Cell groups are left without a monitor channel",
            detail=f"{pack.bms.boards} boards of {bms.channels_per_board} channels watch {channels} of {groups} cell groups.",
            limit=f"{groups} channels",
            value=f"{channels} channels",
            margin=f"{channels - groups} channels".replace("-", "−"),
            clause="common practice: every cell group is monitored",
            remedy=f"Fit {boards} boards."
            if enough
            else f"This BMS takes at most {bms.boards_most} boards: choose one for {groups} cell groups.",
        )
    yield from _sensors(seen, bms)
    if seen.case.cell.chemistry not in bms.chemistries:
        yield Finding(
            key="bms.chemistry",
            severity="stop",
            title="The BMS is not made for these cells",
            detail=f"{bms.title} is made for {', '.join(bms.chemistries)}; the cells are {seen.case.cell.chemistry}.",
            limit=", ".join(bms.chemistries),
            value=seen.case.cell.chemistry,
            clause="the BMS maker's instructions",
            remedy=f"Choose a BMS for {seen.case.cell.chemistry}.",
        )


def _sensors(seen: Assessed, bms: Bms) -> Iterator[Finding]:
    pack, module = seen.case.build.pack, seen.case.module
    wanted, inputs = pack.module_count * max(1, module.temperature_sensors), pack.bms.boards * bms.sensors_per_board
    fitted = pack.bms.sensors or 0
    if min(fitted, inputs) >= wanted:
        return
    short = f"the build names {fitted}" if fitted < wanted else f"the boards read {inputs}"
    boards = math.ceil(wanted / bms.sensors_per_board) if bms.sensors_per_board else 0
    yield Finding(
        key="bms.sensors",
        severity="caution",
        title="Modules are left without a temperature that is watched",
        detail=f"{pack.module_count} modules want {wanted} temperature sensors; {short}.",
        limit=f"{wanted} sensors",
        value=f"{min(fitted, inputs)} sensors",
        margin=f"−{wanted - min(fitted, inputs)} sensors",
        clause="common practice: each module's temperature is watched",
        remedy=f"Set pack.bms.sensors to {wanted}"
        + (f" and fit {boards} boards." if inputs < wanted and boards else "."),
    )


@rule
def salvaged_unmeasured(seen: Assessed) -> Iterator[Finding]:
    """Is the health of used modules measured?"""
    pack, module = seen.case.build.pack, seen.case.module
    if module.stock != "salvaged" or (pack.condition is not None and pack.condition.health.origin.how == "measured"):
        return
    figure = seen.figures["pack.capacity"]
    yield Finding(
        key="pack.salvaged_unmeasured",
        severity="caution",
        title="The modules are used and their health is not measured",
        detail=f"Capacity is taken as {figure.printed()}"
        + (f" ({figure.printed_band()})." if figure.printed_band() else "."),
        limit="measured health",
        value="not measured",
        clause="common practice: the weakest group sets what a string holds",
        remedy="Test every module on the bench and enter the weakest one's health as measured (pack.condition.health, how: measured).",
    )
