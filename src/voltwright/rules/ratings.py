"""Plain ratings: what contactors, fuse, main cable, inverter, precharge and inlet bear in a moment, or as heat."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from voltwright.assess.supply import inlet_of
from voltwright.parts.drive import Inverter
from voltwright.parts.protection import Cable, Contactor, Fuse
from voltwright.quantity.figure import fixed
from voltwright.rules.carrying import share_of_each
from voltwright.rules.clause import from_memory, maker, practice
from voltwright.rules.finding import Assessed, Finding, Ladder, Rung, amperes, apart, exceeds, volts
from voltwright.rules.rule import rule
from voltwright.rules.terminals import HALF, MILD, current_given_back, peak_draw, power_given_back, terminals
from voltwright.rules.ways import another_part, downwards, more_strings, settings, upwards

DENSITY = 4e6  # A/m²; common practice: 4 A/mm² for cables that lie together
RISE = 50.0  # K; common practice: what a cable warms at that density


@rule("pack")
def peak_current(seen: Assessed) -> Iterator[Finding]:
    """May the motor draw its peak power for ten seconds?"""
    drawn, cell, module = peak_draw(seen), seen.case.cell, seen.case.module
    if drawn is None:
        return
    strings = seen.case.build.pack.parallel
    cells = cell.current_peak.value * module.cells_parallel * strings
    terminal = module.current_peak.value * strings if module.current_peak else math.inf
    limit = min(cells, terminal)
    if not exceeds(drawn, limit):
        return
    what = "cells" if cells <= terminal else "terminals of the modules"
    said = apart(amperes, drawn, limit)
    yield Finding(
        key="pack.current_peak",
        severity="caution",
        title=f"The motor's peak power asks more than the {what} may give for ten seconds",
        detail=f"At half charge the drive draws up to {said.value}; the {what} may give {said.limit}. "
        "Every figure takes it that something holds the current there.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=maker("the cell maker's or the module maker's rating for 10 s"),
        remedy="Set the inverter's battery current limit to the same.",
        ladders=(
            settings("pack.bms.current_limit", "Set the BMS to", downwards(drawn, 5.0, limit - 10.0), "A"),
            more_strings(seen),
        ),
    )


@rule()
def phase_current(seen: Assessed) -> Iterator[Finding]:
    """Do inverter and motor agree in phase current?"""
    motor, inverter = seen.case.motor, seen.case.inverter
    if motor is None or inverter is None:
        return
    taken, given = motor.current_phase_peak, inverter.current_phase_peak
    if taken is not None and exceeds(taken.value, given.value):
        yield _too_little(seen, "drive.phase_current", "peak", taken.value, given.value)
    taken, given = motor.current_phase_continuous, inverter.current_phase_continuous
    if taken is not None and exceeds(taken.value, given.value):
        yield _too_little(seen, "drive.phase_current_continuous", "continuous", taken.value, given.value)
    yield from _more_than_the_motor(seen)


def _too_little(seen: Assessed, key: str, which: str, taken: float, given: float) -> Finding:
    said = apart(amperes, taken, given)
    return Finding(
        key=key,
        severity="note",
        title=f"The inverter gives less phase current than the motor's {which} torque takes",
        detail=f"The motor takes {said.value}; the inverter gives {said.limit}. "
        f"Every figure is worked with about {given / taken:.0%} of the {which} torque.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=maker("the inverter maker's phase current"),
        ladders=(_larger_inverter(seen),),
    )


def _more_than_the_motor(seen: Assessed) -> Iterator[Finding]:
    motor, inverter, held = seen.case.motor, seen.case.inverter, seen.case.build.drive.torque_limit
    if motor is None or inverter is None or motor.current_phase_peak is None or held is not None:
        return
    bears, given = motor.current_phase_peak.value, inverter.current_phase_peak.value
    if not exceeds(given, bears):
        return
    said = apart(amperes, given, bears)
    yield Finding(
        key="drive.phase_current_set",
        severity="note",
        title="The inverter can give more phase current than the motor bears",
        detail=f"{inverter.title} gives {said.value}; {motor.title} bears {said.limit} for a short time. More heats its "
        "windings" + (" and can spoil its magnets." if motor.principle == "permanent-magnet" else "."),
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=maker("the motor maker's phase current"),
        remedy=f"Set the inverter's phase current to {amperes(math.floor(bears))} before the motor first turns, and write the torque of "
        "that setting into the build (drive.torque_limit).",
    )


def _larger_inverter(seen: Assessed) -> Ladder:
    """Inverters of more phase current, the smallest first."""
    full, empty = seen.si("pack.voltage_full") or 0.0, seen.si("pack.voltage_empty") or math.inf

    def suits(part: Inverter) -> bool:
        return part.voltage_max.value >= full and part.voltage_min.value <= empty

    return another_part(seen, "drive.inverter.part", "inverter", suits, lambda part: part.current_phase_peak.value)


@rule("drive")
def contactor_break(seen: Assessed) -> Iterator[Finding]:
    """Can the main contactors break the greatest current of the drive?"""
    contactor, drawn = seen.case.contactor, peak_draw(seen)
    if contactor is None or drawn is None:
        return
    power, takes = power_given_back(seen), seen.si("pack.current_regen")
    back = current_given_back(terminals(seen, HALF), power, takes) if power is not None and takes is not None else 0.0
    most, breaks = max(drawn, back), contactor.current_break_max.value
    if not exceeds(most, breaks):
        return
    said = apart(amperes, most, breaks)
    yield Finding(
        key="pack.contactor_break",
        severity="stop",
        title="The main contactors cannot break the current of the drive",
        detail=f"{'In regeneration' if back > drawn else 'At full power'} {said.value} flow; {contactor.title} breaks "
        f"{said.limit}. In an emergency they burn or weld.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=maker("the contactor maker's breaking capacity"),
        ladders=(_another_contactor(seen, lambda part: part.current_break_max.value >= most),),
    )


def _another_contactor(seen: Assessed, can: Callable[[Contactor], bool]) -> Ladder:
    full, need = seen.si("pack.voltage_full") or 0.0, seen.si("pack.current_motor_continuous") or 0.0

    def suits(part: Contactor) -> bool:
        carries = part.current_continuous.value >= need
        return can(part) and carries and not exceeds(full, part.voltage_max.value)

    return another_part(seen, "pack.protection.contactor", "contactor", suits)


@rule("pack")
def contactor_make(seen: Assessed) -> Iterator[Finding]:
    """Is precharge long enough that the main contactors close on a current that they bear?"""
    guard, contactor, inverter = seen.case.build.pack.protection, seen.case.contactor, seen.case.inverter
    resistor, time, full = guard.precharge_resistor, guard.precharge_time, seen.si("pack.voltage_full")
    if contactor is None or inverter is None or resistor is None or time is None or full is None:
        return
    constant = resistor.value * inverter.capacitance.value
    left = full * math.exp(-time.value / constant) if constant else 0.0
    current, makes = left / terminals(seen, 1.0, short=True).ohm, contactor.current_make_max.value
    if not exceeds(current, makes):
        return
    said = apart(amperes, current, makes)
    yield Finding(
        key="pack.contactor_make",
        severity="stop",
        title="The main contactors close before the capacitors are full",
        detail=f"After {time.text} through {resistor.text} {volts(left)} are left over the contacts, and {said.value} would flow "
        f"at once; {contactor.title} may close on {said.limit}. The contacts weld.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=maker(
            "the contactor maker's making capacity; the capacitors of the inverter charged through the resistor"
        ),
        remedy=f"One time constant is {fixed(constant * 1000, 0)} ms; common practice is five, and to measure the voltage before closing.",
        ladders=(
            settings(
                "pack.protection.precharge_time",
                "Let precharge last",
                upwards(time.value * 1000, 10.0, 12 * constant * 1000 + 10.0),
                "ms",
            ),
        ),
    )


@rule("pack")
def precharge_current(seen: Assessed) -> Iterator[Finding]:
    """Does the precharge contactor bear the first current through its resistor?"""
    guard, full = seen.case.build.pack.protection, seen.si("pack.voltage_full")
    if guard.precharge_contactor is None or guard.precharge_resistor is None or full is None:
        return
    contactor = seen.case.shelf.take(guard.precharge_contactor, Contactor)
    ohm, makes = guard.precharge_resistor.value, contactor.current_make_max.value
    first = full / ohm if ohm else math.inf
    if not exceeds(first, makes):
        return
    yield Finding(
        key="protection.precharge_current",
        severity="stop",
        title="The first current of precharge is more than its contactor may close on",
        detail=f"On empty capacitors {volts(full)} over {guard.precharge_resistor.text} drive "
        f"{amperes(first) if math.isfinite(first) else 'a short circuit'}; {contactor.title} may close on {amperes(makes)}.",
        limit=amperes(makes),
        value=amperes(first) if math.isfinite(first) else "a short circuit",
        margin=amperes(makes - first) if math.isfinite(first) else None,
        clause=maker("the contactor maker's making capacity; V / R"),
        ladders=(
            settings(
                "pack.protection.precharge_resistor",
                "Fit a precharge resistor of",
                upwards(ohm, 1.0, 2 * full / makes + 1),
                "Ω",
            ),
        ),
    )


@rule("pack")
def fuse_gap(seen: Assessed) -> Iterator[Finding]:
    """Is there no current that neither fuse nor contactors can break?"""
    fuse, contactor, full = seen.case.fuse, seen.case.contactor, seen.si("pack.voltage_full") or 0.0
    if fuse is None or contactor is None:
        return
    share = share_of_each(seen, seen.case.build.pack.protection.fuses)
    from_here, up_to = fuse.current_break_min.value / share, contactor.current_break_max.value
    if not exceeds(from_here, up_to):
        return
    most = _most_in_a_short(seen)
    flows = most is None or exceeds(most, up_to)

    def suits(part: Fuse) -> bool:
        bears = part.current_rated.value >= fuse.current_rated.value and not exceeds(full, part.voltage_max.value)
        return bears and part.current_break_min.value < fuse.current_break_min.value

    said = apart(amperes, from_here, up_to)
    yield Finding(
        key="protection.fuse_gap",
        severity="stop" if flows else "caution",
        title="Some faults neither the fuse nor the contactors can break"
        if flows
        else "The fuse breaks no fault that this pack can feed",
        detail=f"The contactors break up to {said.limit}; {fuse.title} breaks safely from {said.value} on"
        + (" in each string together. " if share < 1 else ". ")
        + _in_the_gap(most, up_to),
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=from_memory("IEC 60269-1: a partial-range fuse does not break below its minimum breaking current"),
        remedy="Ask both makers for curves that meet.",
        ladders=(
            another_part(seen, "pack.protection.fuse", "fuse", suits, lambda part: part.current_rated.value),
            _another_contactor(seen, lambda part: part.current_break_max.value >= from_here),
        ),
    )


def _most_in_a_short(seen: Assessed) -> float | None:
    """What a short circuit at the terminals of the full, warm pack drives; None where only the resistance of ten seconds
    is known, which is more than that of the first moment. [A]"""
    if seen.case.cell.resistance_ms is None:
        return None
    pack = terminals(seen, 1.0, max(MILD, seen.case.build.duty.climate.hottest.value), short=True)
    return pack.rest / pack.ohm


def _in_the_gap(most: float | None, up_to: float) -> str:
    if most is not None and not exceeds(most, up_to):
        return (
            f"A short circuit of the full pack drives {amperes(most)}, so only the contactors break it, and only if something "
            "tells them to open."
        )
    drives = "" if most is None else f", and a short circuit of the full pack drives up to {amperes(most)}"
    return f"A fault between the two{drives} ends in an arc: the contactors burn or weld shut, and nothing switches the pack off."


@rule("pack")
def main_cable(seen: Assessed) -> Iterator[Finding]:
    """Is the main cable large enough, and made for the heat?"""
    laid, need = seen.case.build.pack.protection.main_cable, seen.si("pack.current_motor_continuous")
    if laid is None:
        return
    cable = seen.case.shelf.take(laid.part, Cable)
    bears = DENSITY * cable.cross_section.value
    if need is not None and exceeds(need, bears):
        said = apart(amperes, need, bears)
        yield Finding(
            key="pack.cable_current",
            severity="caution",
            title="The main cable is thin for the motor's continuous power",
            detail=f"At half charge {said.value} flow for as long as the driver likes; {cable.title} is usually loaded with no more "
            f"than {said.limit} ({fixed(DENSITY / 1e6, 0)} A/mm²) where cables lie together.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            clause=practice("4 A/mm² continuously; the cable maker's table decides"),
            ladders=(_thicker(seen, need), more_strings(seen)),
        )
    hottest = seen.case.build.duty.climate.hottest.value + RISE
    if exceeds(hottest, cable.temperature_max.value):
        yield Finding(
            key="pack.cable_temperature",
            severity="caution",
            title="The main cable is not made for the heat",
            detail=f"On the hottest design day a loaded cable comes to {seen.degrees(hottest)}; {cable.title} bears "
            f"{seen.degrees(cable.temperature_max.value)}.",
            limit=seen.degrees(cable.temperature_max.value),
            value=seen.degrees(hottest),
            clause=practice(f"a loaded cable is some {RISE:.0f} K warmer than the air"),
            ladders=(
                another_part(
                    seen, "pack.protection.main_cable.part", "cable", lambda part: part.temperature_max.value >= hottest
                ),
            ),
        )


def _thicker(seen: Assessed, need: float) -> Ladder:
    full = seen.si("pack.voltage_full") or 0.0

    def suits(part: Cable) -> bool:
        return DENSITY * part.cross_section.value >= need and not exceeds(full, part.voltage_max.value)

    path = "pack.protection.main_cable.part"
    return another_part(seen, path, "cable", suits, lambda part: part.cross_section.value)


@rule("pack")
def inlet_ratings(seen: Assessed) -> Iterator[Finding]:
    """Does the inlet bear what the chargers draw, and the voltage of the pack on its pins for direct current?"""
    fitted, charger, placed = inlet_of(seen.case), seen.case.charger, seen.case.build.charging.charger
    full = seen.si("pack.voltage_full") or 0.0
    if fitted is None:
        return
    if fitted.voltage_dc_max is not None and exceeds(full, fitted.voltage_dc_max.value):
        said = apart(volts, full, fitted.voltage_dc_max.value)
        yield Finding(
            key="pack.voltage_limit.inlet",
            severity="stop",
            title="The inlet does not bear the pack at full charge",
            detail=f"At full charge the pack has {said.value}; {fitted.title} bears {said.limit}.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            clause=maker("the inlet maker's rating; IEC 62196"),
            remedy="An inlet for the voltage of the pack, or charge with the on-board charger alone.",
        )
    if charger is None or placed is None:
        return
    each = math.ceil(placed.count / fitted.phases) if charger.phases == 1 else placed.count
    drawn, bears = charger.current_ac_max.value * each, fitted.current_ac_max.value
    if exceeds(drawn, bears):
        said = apart(amperes, drawn, bears)
        yield Finding(
            key="charge.inlet_current",
            severity="caution",
            title="The chargers can draw more than the inlet bears",
            detail=f"On one phase they draw up to {said.value}; {fitted.title} bears {said.limit}. A strong supply would offer it.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            clause=maker("the inlet maker's rating; IEC 62196"),
            remedy=f"Set so by their maker, the chargers may draw {said.limit} together too.",
            ladders=(_fewer_chargers(placed.count),),
        )


def _fewer_chargers(count: int) -> Ladder:
    path = "charging.charger.count"
    return Ladder(
        lambda: tuple(
            Rung(f"Fit {n} charger{'s' if n > 1 else ''} ({path})", {path: n}) for n in range(count - 1, 0, -1)
        )
    )
