"""Charging: do supply, cable, inlet, charger and pack suit each other, and is there time for it?"""

from __future__ import annotations

import math
from collections.abc import Iterator

from voltwright.assess.pack import arrangement, rest_voltage_at
from voltwright.assess.supply import binding, fits_station, has_dc_pins, inlet_of, station_window
from voltwright.build.brief import Supply
from voltwright.parts.field_words import words_of
from voltwright.quantity.figure import fixed
from voltwright.quantity.work import Node
from voltwright.rules.clause import copied, from_memory, maker, practice
from voltwright.rules.finding import Assessed, Finding, amperes, apart, exceeds, kilowatts, volts, whole_down, whole_up
from voltwright.rules.rule import rule
from voltwright.rules.ways import another_part, higher_empty, more_in_series

NIGHT = 12 * 3600.0  # s; common practice: home by eight, away by eight
LEAST_PILOT = 6.0  # A
SOCKET = 10.0  # A; common practice: 8 to 10 A is what a household socket bears for hours
HOUSEHOLD = 16.0  # A; common practice: one phase of no more than this is a household socket
LINE_TO_NEUTRAL = 300.0  # V; the highest in use is 277 V
HELD_BACK = 0.95


def _supplies(seen: Assessed, kind: str) -> Iterator[Supply]:
    yield from (each for each in seen.case.build.supplies if each.kind == kind)


@rule()
def supplies(seen: Assessed) -> Iterator[Finding]:
    """Does the build say where the car will be charged, and are the supplies told apart?"""
    names = [each.name for each in seen.case.build.supplies]
    if not names:
        yield Finding(
            key="charge.no_supply",
            severity="note",
            title="The build names no supply",
            detail="Without one nobody can say how long charging takes.",
            remedy="Enter the customer's socket or charging point under supplies.",
        )
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        yield Finding(
            key="charge.same_name",
            severity="caution",
            title="Two supplies have the same name",
            detail=f"Only the first of those called {', '.join(twice)} is worked out.",
            remedy=f"Call the second one {twice[0]}-2.",
        )


@rule()
def inlet(seen: Assessed) -> Iterator[Finding]:
    """Is there an inlet with the pins that each supply needs?"""
    fitted = inlet_of(seen.case)
    if fitted is None and seen.case.build.supplies:
        yield Finding(
            key="charge.no_inlet",
            severity="caution",
            title="The build names no inlet",
            detail="The cable has nothing to plug into, and no limit of an inlet is known.",
            clause=from_memory("IEC 62196"),
            remedy="Name it under charging.inlet.",
        )
    if fitted is None or has_dc_pins(fitted):
        return
    for supply in _supplies(seen, "dc"):
        yield Finding(
            key=f"charge.dc_inlet.{supply.name}",
            severity="caution",
            title=f"The car cannot use the supply “{supply.name}”",
            detail=f"It gives direct current; {fitted.title} has no pins for that.",
            limit="pins for direct current",
            value=words_of("inlet", "standard").choices[fitted.standard],
            clause=from_memory("IEC 62196-3"),
            remedy="A combined inlet, with contactors, fuse and the communication that a station asks for; or tell the customer "
            "that such stations are of no use to the car.",
        )


@rule("pack")
def charger_empty(seen: Assessed) -> Iterator[Finding]:
    """Does the charger start on a pack at its lowest used charge?"""
    charger, full = seen.case.charger, seen.si("pack.voltage_full") or 0.0
    if charger is None:
        return
    rest, least = _rest_empty(seen).value, charger.voltage_min.value
    if not exceeds(least, rest):
        return
    said = apart(volts, rest, least)
    yield Finding(
        key="charge.charger_empty",
        severity="stop",
        title="The charger does not start on an empty pack",
        detail=f"At {seen.case.build.pack.window.empty.text} charge the pack has {said.value} at rest; {charger.title} starts from "
        f"{said.limit}. A customer who comes home empty cannot charge.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=maker("the charger maker's window"),
        ladders=(
            another_part(
                seen,
                "charging.charger.part",
                "charger",
                lambda part: part.voltage_min.value <= rest and part.voltage_max.value >= full,
            ),
            higher_empty(seen),
            more_in_series(seen),
        ),
    )


@rule("charge")
def station_voltage(seen: Assessed) -> Iterator[Finding]:
    """Does the pack stay within the voltage of each station of direct current?"""
    if not has_dc_pins(inlet_of(seen.case)):
        return
    rest, full = _rest_empty(seen), seen.si("pack.voltage_full")
    assert full is not None
    for supply in _supplies(seen, "dc"):
        fits = fits_station(seen.case, seen.sheet, supply, rest)
        if fits.value or fits.is_leaf:
            continue
        low, high = station_window(seen.case, supply)[0].value, fits.inputs["most_voltage"].value
        below = exceeds(low, rest.value)
        said = apart(volts, rest.value if below else full, low if below else high)
        yield Finding(
            key=f"charge.station_voltage.{supply.name}",
            severity="caution",
            title=f"The voltage of the pack does not suit the station {supply.name}",
            detail=f"From its lowest used charge to full the pack has {volts(rest.value)} to {volts(full)}; "
            f"station and inlet work from {volts(low)} to {volts(high)}. The station will refuse to start.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            clause=practice("the window of the station where it is entered, else the usual one"),
            remedy=_series_for(seen, rest.value, full, low, high),
        )


def _rest_empty(seen: Assessed) -> Node:
    """The pack at rest at its lowest used charge."""
    empty = seen.case.leaf(seen.case.build.pack.window.empty, "Lowest charge that is used", "%")
    return rest_voltage_at(seen.case, arrangement(seen.case), empty)


def _series_for(seen: Assessed, rest: float, full: float, low: float, high: float) -> str:
    series = seen.case.build.pack.series
    fewest, most = whole_up(low / rest * series), whole_down(high / full * series)
    if fewest > most:
        return "A station of a wider window, or charge with the on-board charger alone."
    return (
        f"{fewest} to {most} of these modules in series (now {series}), where every other device bears their full voltage; "
        "or charge with the on-board charger alone."
    )


@rule("charge")
def station_current(seen: Assessed) -> Iterator[Finding]:
    """Can a station give more than the cells may take?"""
    limit, fitted = seen.si("pack.current_charge"), inlet_of(seen.case)
    if limit is None or not has_dc_pins(fitted):
        return
    for supply in _supplies(seen, "dc"):
        if not exceeds(supply.current.value, limit) or f"charge.time_full.{supply.name}" not in seen.sheet.nodes:
            continue
        may = amperes(math.floor(limit))
        said = apart(amperes, supply.current.value, limit)
        yield Finding(
            key=f"charge.station_current.{supply.name}",
            severity="caution",
            title=f"The station {supply.name} can give more than the cells may take",
            detail=f"It gives up to {said.value}; the pack may be charged with {may}. The car must ask for no more, "
            "less still when cold, and open its contactors if the station does not obey.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            clause=maker("the cell maker's charging current"),
            remedy=f"Set the greatest charging current of the BMS to {may}, and prove that the station follows it.",
        )


@rule("charge")
def bottleneck(seen: Assessed) -> Iterator[Finding]:
    """What holds the charger back?"""
    charger, placed = seen.case.charger, seen.case.build.charging.charger
    if charger is None or placed is None:
        return
    for supply in _supplies(seen, "ac"):
        current = seen.sheet.nodes.get(f"charge.current_pack.{supply.name}")
        whole = charger.power.value * placed.count
        if current is None or current.inputs["power"].value >= HELD_BACK * whole:
            continue
        given = current.inputs["power"].value
        said = apart(kilowatts, given, whole)
        yield Finding(
            key=f"charge.bottleneck.{supply.name}",
            severity="note",
            title=f"The charger does not get its full power from the supply “{supply.name}”",
            detail=f"Of {said.limit} it can give {said.value}. What holds it back: {_cause(seen, supply, current)}.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            clause=copied("IEC 61851-1: the least of socket, control pilot, cable and charger"),
            remedy=f"Nothing, if {_hours(seen, supply)} will do; else mend what holds it back.",
        )


def _cause(seen: Assessed, supply: Supply, current: Node) -> str:
    charger = seen.case.charger
    assert charger is not None
    holds = binding(current.inputs["power"])
    fitted = inlet_of(seen.case)
    offered = min(supply.phases, fitted.phases if fitted else supply.phases)
    if "wall_power" not in holds.inputs:
        return f"{_phase_words(offered)}, and the charger is made for {charger.phases}"
    wall = binding(holds.inputs["wall_power"])
    if "current" not in wall.inputs:
        return f"{wall.label[0].lower()}{wall.label[1:]}, {kilowatts(wall.value)}"
    line = binding(wall.inputs["current"])
    words = f"{line.label[0].lower()}{line.label[1:]}, {amperes(line.value)}"
    if offered < charger.phases:
        return f"{_phase_words(offered)} instead of {charger.phases}, and {words}"
    return f"{words}; the car uses {_phase_words(charger.phases)} of {supply.phases}" if _idle(seen, supply) else words


def _idle(seen: Assessed, supply: Supply) -> bool:
    """Whether phases of the supply stay without use."""
    charger, placed = seen.case.charger, seen.case.build.charging.charger
    return charger is not None and placed is not None and charger.phases * placed.count < supply.phases


def _phase_words(count: int) -> str:
    return "one phase" if count == 1 else f"{count} phases"


def _hours(seen: Assessed, supply: Supply) -> str:
    time = seen.si(f"charge.time_full.{supply.name}")
    return "the time" if time is None else f"{fixed(time / 3600, 1)} h"


@rule("charge")
def overnight(seen: Assessed) -> Iterator[Finding]:
    """Is the car full again in the morning?"""
    for supply in _supplies(seen, "ac"):
        time = seen.si(f"charge.time_full.{supply.name}")
        if time is None or not exceeds(time, NIGHT):
            continue
        share = NIGHT / time
        yield Finding(
            key=f"charge.overnight.{supply.name}",
            severity="note",
            title=f"A night at the supply “{supply.name}” does not fill the pack",
            detail=f"From the lowest to the highest used charge takes {_hours(seen, supply)}; a night brings {share:.0%} of that.",
            limit=f"{fixed(NIGHT / 3600, 1)} h",
            value=_hours(seen, supply),
            margin=f"{fixed((NIGHT - time) / 3600, 1)} h",
            clause=practice("twelve hours at home"),
            remedy=f"{fixed(time / NIGHT, 1)} times the power fills it in a night; or tell the customer.",
        )


@rule()
def mains(seen: Assessed) -> Iterator[Finding]:
    """Are voltage and current of each socket such as a car can use?"""
    for supply in _supplies(seen, "ac"):
        if supply.voltage is not None and exceeds(supply.voltage.value, LINE_TO_NEUTRAL):
            said = apart(volts, supply.voltage.value, LINE_TO_NEUTRAL)
            yield Finding(
                key=f"charge.line_voltage.{supply.name}",
                severity="caution",
                title=f"The voltage of the supply “{supply.name}” looks like that between two lines",
                detail="A charger hangs between a line and neutral (or the two lines of a split phase); power and time come out wrong.",
                limit=said.limit,
                value=said.value,
                margin=said.margin,
                clause=practice("at most 277 V line to neutral"),
                remedy=f"Write {volts(supply.voltage.value / math.sqrt(3))} if this is the voltage between two lines of three.",
            )
        if supply.current.value < LEAST_PILOT:
            said = apart(amperes, supply.current.value, LEAST_PILOT)
            yield Finding(
                key=f"charge.pilot_least.{supply.name}",
                severity="caution",
                title=f"No control pilot can offer so little as the supply “{supply.name}” gives",
                detail="A charging point that says its limit offers 6 A or nothing; the car would draw more than the socket bears.",
                limit=said.limit,
                value=said.value,
                margin=said.margin,
                clause=copied("IEC 61851-1, annex A"),
                remedy="Another socket, or a charger that can itself be set to less.",
            )


@rule("charge")
def household(seen: Assessed) -> Iterator[Finding]:
    """Does a household socket bear for hours what the car draws?"""
    for supply in _supplies(seen, "ac"):
        drawn = _drawn(seen, supply)
        if _needs_electrician(supply) or not exceeds(drawn, SOCKET):
            continue
        said = apart(amperes, drawn, SOCKET)
        yield Finding(
            key=f"charge.socket.{supply.name}",
            severity="caution",
            title=f"The car draws more for hours than a household socket bears: {supply.name}",
            detail=f"It draws {said.value}; old sockets and joints in the wall get hot from that, hour after hour.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            clause=practice("8 to 10 A for hours"),
            remedy=f"Give the socket a circuit of its own, made for charging; or set the cable to {said.limit}, "
            f"and enter it (supplies: cable: {said.limit}).",
        )


def _needs_electrician(supply: Supply) -> bool:
    return supply.phases > 1 or exceeds(supply.current.value, HOUSEHOLD)


def _drawn(seen: Assessed, supply: Supply) -> float:
    """What the car draws from its phase; where that is not known, what the supply gives. [A]"""
    power = seen.si(f"charge.power_wall.{supply.name}")
    return supply.current.value if power is None or supply.voltage is None else power / supply.voltage.value


@rule()
def electrician(seen: Assessed) -> Iterator[Finding]:
    """Does a supply need work on the house?"""
    strong = [each for each in _supplies(seen, "ac") if _needs_electrician(each)]
    if not strong:
        return
    most = max(each.current.value for each in strong)
    yield Finding(
        key="charge.electrician",
        severity="caution",
        title="A supply of this size is work for a licensed electrician",
        detail=f"This is more than a household socket ({', '.join(each.name for each in strong)}). Circuit, "
        "breaker, residual current device and earthing must be made and tested for it; local codes decide.",
        limit=f"one phase, {amperes(HOUSEHOLD)}",
        value=amperes(most),
        clause=practice("local wiring rules; a household socket bears 16 A"),
        remedy="Ask the customer for the electrician's test sheet of the charging point before the car is handed over.",
    )
