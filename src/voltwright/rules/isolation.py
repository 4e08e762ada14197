"""Is the traction circuit apart from the body, from the low-voltage side and from the mains, and who watches that?"""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.parts.drive import Inverter
from voltwright.parts.power import Charger, DcDc
from voltwright.rules.clause import from_memory, practice
from voltwright.rules.finding import Assessed, Finding, Ladder, exceeds, volts
from voltwright.rules.rule import AC_LIMIT, DC_LIMIT, HIGH_VOLTAGE, high_direct, rule
from voltwright.rules.ways import another_part

_APART = from_memory(
    "ISO 6469-3: circuits of voltage class B, above 60 V DC or 30 V AC (rms), are isolated from those of class A and from the body"
)


@rule("pack", when=HIGH_VOLTAGE)
def isolation_monitor(seen: Assessed) -> Iterator[Finding]:
    """Is the isolation of high voltage watched, be it on the side of the pack or of the motor?"""
    if seen.case.build.pack.protection.isolation_monitor is not None:
        return
    full = seen.si("pack.voltage_full") or 0.0
    yield Finding(
        key="protection.isolation_monitor",
        severity="caution",
        title="Nobody watches the isolation",
        detail=f"{_high(seen)} A first fault to the body goes unseen; a second one is a short circuit through it.",
        limit="an isolation monitor",
        value="none",
        clause=practice("on high voltage; UN R100 and ISO 6469-3 set the resistance that must be kept"),
        remedy="It watches only where inverter, DC-DC and charger keep the traction circuit apart.",
        ladders=(
            another_part(
                seen,
                "pack.protection.isolation_monitor",
                "isolation monitor",
                lambda part: part.voltage_max.value >= full,
            ),
        ),
    )


def _high(seen: Assessed) -> str:
    """Which side is high voltage, in a sentence."""
    full, alternating = seen.si("pack.voltage_full") or 0.0, seen.si("pack.voltage_ac") or 0.0
    if high_direct(seen):
        return f"The pack has {volts(full)} DC at full charge."
    return f"The pack has no more than {volts(full)} DC, but the inverter makes up to {volts(alternating)} AC (rms) from it."


@rule("pack", when=HIGH_VOLTAGE)
def apart_from_low_voltage(seen: Assessed) -> Iterator[Finding]:
    """Do inverter and DC-DC keep high voltage apart from the low-voltage side?"""
    inverter, dc_dc = seen.case.inverter, seen.case.dc_dc
    if inverter is not None and not inverter.isolated:
        yield _joined(seen, "inverter", inverter, _another_inverter(seen))
    if dc_dc is not None and not dc_dc.isolated:
        yield _joined(seen, "dc-dc", dc_dc, _another_dc_dc(seen, dc_dc))


def _joined(seen: Assessed, name: str, part: Inverter | DcDc, ladder: Ladder) -> Finding:
    called = "DC-DC" if name == "dc-dc" else name
    direct = high_direct(seen)
    return Finding(
        key=f"protection.isolation.{name}",
        severity="stop" if direct else "caution",
        title=f"The {called} joins high voltage to the low-voltage side",
        detail=f"{_high(seen)} {part.title} ({part.id}) is not isolated inside: lamps, switches and the body are joined to the traction "
        "circuit. One fault puts that voltage on everything that people touch, and no isolation monitor can watch it.",
        limit=f"isolated above {volts(DC_LIMIT)} DC or {volts(AC_LIMIT)} AC",
        value="not isolated",
        clause=_APART,
        remedy=None
        if direct
        else "UN R100 has an exception for such systems; ask the authority, and keep motor cables and terminals "
        "out of reach.",
        ladders=(ladder,),
    )


def _another_inverter(seen: Assessed) -> Ladder:
    motor, full, nominal = seen.case.motor, seen.si("pack.voltage_full") or 0.0, seen.si("pack.voltage_nominal") or 0.0

    def suits(part: Inverter) -> bool:
        covers = not exceeds(full, part.voltage_max.value) and not exceeds(part.voltage_min.value, nominal)
        return part.isolated and covers and (motor is None or part.feeds(motor))

    return another_part(seen, "drive.inverter.part", "inverter", suits)


def _another_dc_dc(seen: Assessed, now: DcDc) -> Ladder:
    full, empty = seen.si("pack.voltage_full") or 0.0, seen.si("pack.voltage_empty") or 0.0

    def suits(part: DcDc) -> bool:
        covers = not exceeds(full, part.voltage_max.value) and not exceeds(part.voltage_min.value, empty)
        return part.isolated and covers and part.power.value >= now.power.value

    return another_part(seen, "low_voltage.dc_dc.part", "DC-DC", suits)


@rule("pack")
def charger_isolation(seen: Assessed) -> Iterator[Finding]:
    """Does the charger keep the pack apart from the mains?"""
    full, charger = seen.si("pack.voltage_full") or 0.0, seen.case.charger
    if charger is None or charger.isolated:
        return

    def suits(part: Charger) -> bool:
        return part.isolated and part.voltage_min.value <= full <= part.voltage_max.value

    yield Finding(
        key="protection.charger_isolation",
        severity="stop",
        title="The charger does not separate the pack from the mains",
        detail=f"With {charger.title} the whole traction circuit is joined to the mains while it charges.",
        limit="isolated",
        value="not isolated",
        clause=from_memory("IEC 61851-1 and the charger maker's instructions"),
        ladders=(another_part(seen, "charging.charger.part", "charger", suits),),
    )
