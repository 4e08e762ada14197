"""Current and power: continuous, for ten seconds, in charging, and in the cold."""

from __future__ import annotations

import math
from collections.abc import Iterator

from voltwright.parts.drive import Inverter
from voltwright.parts.power import Charger
from voltwright.rules.clause import arithmetic, maker
from voltwright.rules.finding import (
    Assessed,
    Finding,
    Ladder,
    Severity,
    amperes,
    apart,
    exceeds,
    kilowatts,
    percent,
    volts,
    whole_up,
)
from voltwright.rules.rule import rule
from voltwright.rules.terminals import MILD, drive_power, terminals
from voltwright.rules.ways import another_part, higher_empty, more_in_series, more_strings


@rule("pack")
def current_continuous(seen: Assessed) -> Iterator[Finding]:
    """May the motor draw its continuous power for as long as the driver likes?"""
    need, inverter = seen.si("pack.current_motor_continuous"), seen.case.inverter
    if need is None:
        return
    yield from _beyond_the_cells(seen, need)
    if inverter is not None and exceeds(need, inverter.current_dc_continuous.value):
        may = inverter.current_dc_continuous.value
        said = apart(amperes, need, may)
        yield Finding(
            key="drive.inverter_continuous",
            severity="caution",
            title="The motor's continuous power asks more than the inverter gives continuously",
            detail=f"At half charge it draws {said.value} from the pack; {inverter.title} takes {said.limit} continuously.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            clause=maker("the inverter maker's continuous rating"),
            remedy="Promise less continuous power, or a larger inverter, or a higher pack voltage.",
            ladders=(_larger_inverter(seen, need), more_in_series(seen)),
        )


def _larger_inverter(seen: Assessed, current: float) -> Ladder:
    """Inverters that take more from the pack continuously, the smallest first."""
    full = seen.si("pack.voltage_full") or 0.0

    def suits(part: Inverter) -> bool:
        return part.current_dc_continuous.value >= current and not exceeds(full, part.voltage_max.value)

    return another_part(seen, "drive.inverter.part", "inverter", suits, lambda part: part.current_dc_continuous.value)


_IN_SERIES = ("Contactor", "Service disconnect", "Fuse")  # what these carry is judged by itself, in carrying.py


def _beyond_the_cells(seen: Assessed, need: float) -> Iterator[Finding]:
    limits = seen.sheet.nodes["pack.current_continuous"].inputs.values()
    binds = min((node for node in limits if not node.label.startswith(_IN_SERIES)), key=lambda node: node.value)
    limit = float(binds.value)
    if not exceeds(need, limit):
        return
    strings = whole_up(need / limit * seen.case.build.pack.parallel)
    way = "raise what the BMS is set to" if binds.label.startswith("Limit") else f"{strings} strings in parallel"
    said = apart(amperes, need, limit)
    yield Finding(
        key="pack.current_continuous",
        severity="caution",
        title="The motor's continuous power asks more than the pack may give continuously",
        detail=f"At half charge the motor's continuous power draws {said.value}; "
        f"the pack may give {said.limit} ({binds.label[0].lower()}{binds.label[1:]}).",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=maker("the cell maker's or the module maker's continuous rating, or what the BMS is set to"),
        remedy=f"Set the inverter's battery current limit to {amperes(math.floor(limit))}, or {way}.",
        ladders=(more_strings(seen),),
    )


@rule("pack")
def charging_current(seen: Assessed) -> Iterator[Finding]:
    """Does the charger give no more than the cells may take?"""
    placed, charger, limit = seen.case.build.charging.charger, seen.case.charger, seen.si("pack.current_charge")
    if placed is None or charger is None or limit is None:
        return
    given = charger.current_dc_max.value * placed.count
    if not exceeds(given, limit):
        return
    said = apart(amperes, given, limit)
    yield Finding(
        key="pack.charging_current",
        severity="stop",
        title="The charger gives more than the cells may take",
        detail=f"{charger.title} gives up to {said.value}; the pack may be charged with {said.limit}.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=maker("the cell maker's charging current"),
        remedy=f"A charger for at most {amperes(math.floor(limit))}, or one that the BMS holds to {amperes(math.floor(limit))} "
        "by a limit that is proven, or more strings in parallel.",
        ladders=(_weaker_charger(seen, limit, placed.count), more_strings(seen)),
    )


def _weaker_charger(seen: Assessed, limit: float, count: int) -> Ladder:
    """Chargers that give no more, the strongest first."""
    full = seen.si("pack.voltage_full") or 0.0

    def suits(part: Charger) -> bool:
        return part.current_dc_max.value * count <= limit and not exceeds(full, part.voltage_max.value)

    return another_part(seen, "charging.charger.part", "charger", suits, lambda part: -part.power.value)


EARLY = 0.25  # of full; common practice: a driver expects full power down to a quarter


@rule("drive")
def full_power(seen: Assessed) -> Iterator[Finding]:
    """From which charge downwards is the motor's full power lost?"""
    lost, peak = seen.si("pack.full_power_lost_below"), seen.si("pack.power_peak")
    if lost is None or peak is None or lost <= EARLY:
        return
    need = seen.sheet.nodes["pack.full_power_lost_below"].inputs["power"].value
    never = lost >= 1.0
    wheels = seen.si("drive.power_peak")
    said = apart(percent, lost, EARLY)
    promise = f"Promise {kilowatts(wheels)} at the wheels at 80 % charge, or find" if wheels else "Find"
    yield Finding(
        key="pack.full_power",
        severity="caution",
        title="The motor never gets its full power" if never else "Full power is lost early",
        detail=f"The motor's peak power asks {kilowatts(need)} of the pack; "
        + ("at no charge does it get that." if never else f"below {said.value} charge it no longer gets that."),
        limit=f"{said.limit} charge",
        value="at no charge" if never else f"{said.value} charge",
        margin=said.margin,
        clause=arithmetic("cell, BMS and inverter limits for 10 s, solved as P = U · I"),
        remedy=f"{promise} what binds (explain pack.full_power_lost_below): cells, BMS limit, inverter current or voltage.",
        ladders=(more_strings(seen),),
    )


@rule("drive")
def full_power_in_use(seen: Assessed) -> Iterator[Finding]:
    """Has the motor its full power at the charge at which the customer uses the car?"""
    lost, pack, duty = seen.si("pack.full_power_lost_below"), seen.case.build.pack, seen.case.build.duty
    if lost is None or lost >= 1.0:  # full_power says that it never has
        return
    charged, parked = min(pack.window.full.value, duty.habit.limit.value), duty.parking.charge.value
    if not exceeds(lost, min(charged, parked)):
        return
    never = exceeds(lost, charged)
    start = charged if never else parked
    said = apart(percent, lost, start)
    yield Finding(
        key="pack.full_power_in_use",
        severity="caution" if never else "note",
        title="As the customer charges, the motor never has its full power"
        if never
        else "As the customer parks, the car sets off without full power",
        detail=f"Below {said.value} charge full power is lost; "
        + (f"the car is charged to {said.limit}." if never else f"the car stands at {said.limit}."),
        limit=f"{said.limit} charge",
        value=f"{said.value} charge",
        margin=said.margin,
        clause=arithmetic("cell, BMS and inverter limits for 10 s, solved as P = U · I"),
        remedy="Or tell the customer to charge before a day on which the power is wanted.",
        ladders=(more_strings(seen), more_in_series(seen)),
    )


LAST_CHARGE = "On the last of its charge the car stops on the road"
LAST_CHARGE_COLD = "In the cold the last of the charge cannot be used"


@rule("pack")
def under_load(seen: Assessed) -> Iterator[Finding]:
    """Does the voltage hold at the lowest used charge while the motor gives its continuous power, mild and cold?"""
    power, climate, cell = drive_power(seen), seen.case.build.duty.climate, seen.case.cell
    least = seen.si("pack.voltage_empty")
    if power is None or least is None:
        return
    inverter = seen.case.inverter
    stops = inverter is not None and inverter.voltage_min.value > least
    least = max(least, inverter.voltage_min.value if inverter else least)
    cold = max(climate.coldest.value, cell.temperature_discharge_min.value)
    for_mild, for_cold = (_held(seen, power, kelvin) for kelvin in (MILD, cold))
    if exceeds(least, for_mild):
        yield _sags(seen, "pack.under_load", "caution", LAST_CHARGE, MILD, for_mild, least, stops)
    elif exceeds(least, for_cold):
        yield _sags(seen, "pack.under_load_cold", "note", LAST_CHARGE_COLD, cold, for_cold, least, stops)


def _held(seen: Assessed, power: float, kelvin: float) -> float:
    """Voltage at the lowest used charge under a power; 0 where no current gives it. [V]"""
    pack = terminals(seen, seen.case.build.pack.window.empty.value, kelvin)
    current = pack.current_for(power)
    return 0.0 if current is None else pack.under(current)


@rule("pack")
def empty_and_cold(seen: Assessed) -> Iterator[Finding]:
    """Does enough power remain when the pack is nearly empty on the coldest day?"""
    left, asked = seen.si("pack.power_empty_cold"), seen.sheet.nodes.get("pack.current_motor_continuous")
    if left is None or asked is None or left >= asked.inputs["power"].value:
        return
    wanted = asked.inputs["power"].value
    detail = f"At 10 % charge on the coldest design day the pack gives {kilowatts(left)} for 10 s"
    if left <= 0:
        detail = "At 10 % charge on the coldest design day no power can be drawn: the voltage at rest is below what is allowed under load"
    said = apart(kilowatts, left, wanted)
    yield Finding(
        key="pack.empty_cold",
        severity="caution",
        title="Empty and cold, the car hardly moves" if left < wanted / 2 else "Empty and cold, power is short",
        detail=f"{detail}; the motor's continuous power asks {said.limit} of it.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=arithmetic("cell and inverter limits for 10 s, solved as P = U · I"),
        remedy="More cells in parallel or modules of lower resistance, or an inverter with a lower cut-off. "
        "Tell the customer to start warm and not to arrive empty in the cold.",
        ladders=(more_strings(seen), more_in_series(seen)),
    )


def _sags(
    seen: Assessed, key: str, severity: Severity, title: str, kelvin: float, under: float, least: float, stops: bool
) -> Finding:  # fmt: skip
    empty = seen.case.build.pack.window.empty
    falls = f"the pack falls to {volts(under)}" if under else "the voltage collapses"
    what = "the inverter stops" if stops else "the BMS opens the contactors"
    said = apart(volts, under, least)
    return Finding(
        key=key,
        severity=severity,
        title=title,
        detail=f"At {empty.text} charge and {seen.degrees(kelvin)} {falls} while the motor gives its continuous power; "
        f"below {said.limit} {what}.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=maker(
            "the cell maker's lowest voltage, and the inverter maker's; rest voltage and the resistance of 10 s"
        ),
        remedy="Let the inverter lower its power as the voltage falls, long before anything opens.",
        ladders=(higher_empty(seen), more_strings(seen), more_in_series(seen)),
    )


@rule()
def cold(seen: Assessed) -> Iterator[Finding]:
    """Will the cells be colder than they may be charged or discharged?"""
    coldest, cell = seen.case.build.duty.climate.coldest, seen.case.cell
    if coldest.value < cell.temperature_discharge_min.value:
        yield Finding(
            key="pack.cold_discharging",
            severity="stop",
            title="The cells would be colder than they may be discharged",
            detail=f"The coldest design day has {seen.degrees(coldest.value)}; "
            f"the cells may be discharged down to {seen.degrees(cell.temperature_discharge_min.value)}.",
            limit=seen.degrees(cell.temperature_discharge_min.value),
            value=seen.degrees(coldest.value),
            clause=maker("the cell maker's discharging temperatures"),
            remedy="Keep the car where it is warmer on such days and enter the temperature of that place as duty.climate.coldest, "
            "or choose cells for the cold.",
        )
    if coldest.value < cell.temperature_charge_min.value:
        yield _cold_charging(seen)


def _cold_charging(seen: Assessed) -> Finding:
    coldest, limit = seen.case.build.duty.climate.coldest, seen.case.cell.temperature_charge_min
    warmed = seen.case.build.comfort.pack_heater is not None or seen.case.build.duty.parking.place == "heated-garage"
    return Finding(
        key="pack.cold_charging",
        severity="note" if warmed else "caution",
        title="The cells must not be charged when they are cold",
        detail=f"The coldest design day has {seen.degrees(coldest.value)}; "
        f"below {seen.degrees(limit.value)} charging and regeneration plate lithium.",
        limit=seen.degrees(limit.value),
        value=seen.degrees(coldest.value),
        clause=maker("the cell maker's charging temperatures"),
        remedy="The BMS must refuse charge and regeneration below the limit."
        + (
            ""
            if warmed
            else " Plug in on arrival, while a long drive still keeps the cells warm (a short trip does not); with a pack heater or a "
            "heated garage the car can be charged on such days whenever it stands."
        ),
    )
