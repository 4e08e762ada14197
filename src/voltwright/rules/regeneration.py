"""Regeneration: what a braking motor does to the voltage and the cells of a full or a cold pack, and to the contactors."""

from __future__ import annotations

import math
from collections.abc import Iterator

from voltwright.parts.protection import Contactor
from voltwright.physics.cell_dynamics import REGEN_RAMP, cold_share
from voltwright.quantity.figure import fixed
from voltwright.rules.clause import arithmetic, maker, practice
from voltwright.rules.finding import Assessed, Finding, Ladder, amperes, apart, exceeds, volts
from voltwright.rules.rule import DC_LIMIT, no_trips, rule
from voltwright.rules.terminals import HALF, NO_LIMIT, current_given_back, power_given_back, terminals
from voltwright.rules.voltage import as_key, bears, with_rating
from voltwright.rules.ways import another_part, downwards, fewer_in_series, less_braking, settings

ON_THE_BUS = ("charger", "DC-DC", "cabin heater", "pack heater", "isolation monitor")  # beside the inverter


@rule("pack")
def charge_limit_set(seen: Assessed) -> Iterator[Finding]:
    """Is the limit to which the pack is charged one that the cells bear?"""
    limit, full = seen.case.build.pack.voltage_limit_full, seen.si("pack.voltage_full")
    if limit is None or full is None or not exceeds(limit.value, full):
        return
    said = apart(volts, limit.value, full)
    yield Finding(
        key="pack.voltage_limit_set",
        severity="stop",
        title="The charge limit is set above what the cells bear",
        detail=f"The build sets {said.value}; {seen.case.build.pack.series} of these modules in series bear {said.limit}. "
        "Overcharged cells can catch fire.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=maker("the cell maker's highest voltage"),
        ladders=(_voltage_held(limit.value, full),),
    )


def _voltage_held(above: float, full: float) -> Ladder:
    """The voltage at which charger and inverter hold, from what would be reached down to what the cells bear, by 0.5 V."""
    held = math.floor(2 * full) / 2  # no higher than the cells bear
    values = downwards(min(above, held + 0.5), 0.5, held - 1.0)
    return settings("pack.voltage_limit_full", "Set charger and inverter to hold the pack at", values, "V", 1)


def _reached(seen: Assessed, charge: float | None = None) -> float | None:
    """Highest voltage that the permitted regeneration makes from a charge on, by default the highest used, at 25 °C. [V]"""
    power, takes = power_given_back(seen), seen.si("pack.current_regen")
    if power is None or takes is None:
        return None
    pack = terminals(seen, seen.case.build.pack.window.full.value if charge is None else charge)
    reached = pack.charged_with(current_given_back(pack, power, takes))
    limit = seen.case.build.pack.voltage_limit_full
    return reached if limit is None else max(pack.rest, min(reached, limit.value))


_ABOVE_CLASS = (
    f" It would also pass {DC_LIMIT:.0f} V, from where on it is high voltage: the pack counts as less only as long as that limit is set, "
    "and proven at commissioning."
)


@rule("drive")
def regeneration_voltage(seen: Assessed) -> Iterator[Finding]:
    """Does regeneration on a full pack stay below what the cells bear?"""
    reached, full = _reached(seen), seen.si("pack.voltage_full")
    if reached is None or full is None or not exceeds(reached, full):
        return
    window = seen.case.build.pack.window.full
    rest = terminals(seen, window.value).rest
    said = apart(volts, reached, full)
    yield Finding(
        key="pack.regeneration_voltage",
        severity="caution",
        title="Regeneration on a full pack lifts the cells above their limit",
        detail=f"From {window.text} charge regeneration would lift the pack to {said.value}; the cells bear {said.limit}. "
        "Every figure takes it that the inverter holds that limit, and the build does not say that it is set."
        + (_ABOVE_CLASS if exceeds(reached, DC_LIMIT) and not exceeds(full, DC_LIMIT) else ""),
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=maker("the cell maker's highest voltage; rest voltage and the resistance of 10 s"),
        remedy="The BMS must say to the inverter how much it may give back, and open the contactors if it is not obeyed.",
        ladders=(
            _voltage_held(reached, full),
            _less_full(seen, full),
            less_braking(seen, max(0.0, full - rest) / max(reached - rest, 1e-9)),
        ),
    )


def _less_full(seen: Assessed, full: float) -> Ladder:
    """A lower highest charge, by 1 %; nearly the current of now lifts the pack from there."""
    window = seen.case.build.pack.window
    values = downwards(window.full.value * 100, 1.0, max(50.0, window.empty.value * 100 + 10))
    enough = next((each for each in values if not exceeds(_reached(seen, each / 100) or 0.0, full)), None)
    return settings("pack.window.full", "Charge to no more than", values, "%", near=enough)


@rule("drive")
def device_under_regeneration(seen: Assessed) -> Iterator[Finding]:
    """Does every device bear the pack at its highest used charge plus regeneration?"""
    reached, full, empty = _reached(seen), seen.si("pack.voltage_full"), seen.si("pack.voltage_empty")
    if reached is None or full is None or empty is None or not exceeds(reached, full):
        return
    for name, path, part, rating in with_rating(seen, "voltage_max"):
        if exceeds(full, rating) or not exceeds(reached, rating):
            continue
        said = apart(volts, reached, rating)
        yield Finding(
            key=f"pack.voltage_regeneration.{as_key(name)}",
            severity="stop",
            title=f"The {name} does not bear regeneration on a full pack",
            detail=f"With the regeneration that is permitted the pack comes to {said.value}; {part.title} bears {said.limit}. "
            f"At full charge and at rest it has {volts(full)}.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            clause=maker("the device maker's absolute limit"),
            ladders=(
                _voltage_held(reached, full),
                another_part(seen, path, name, bears(reached, empty, part)),
                fewer_in_series(seen),
            ),
        )


@rule("drive")
def regeneration_current(seen: Assessed) -> Iterator[Finding]:
    """Does regeneration give no more current than the cells take, mild and on the coldest day?"""
    power, takes = power_given_back(seen), seen.si("pack.current_regen")
    if power is None or takes is None:
        return
    given = current_given_back(terminals(seen, HALF), power, NO_LIMIT)
    if exceeds(given, takes):
        said = apart(amperes, given, takes)
        yield Finding(
            key="pack.regeneration_current",
            severity="caution",
            title="Regeneration gives more current than the cells take",
            detail=f"At half charge the braking motor gives {said.value}; the pack takes {said.limit} for some seconds. "
            "Every figure takes it that the inverter is set to no more.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            clause=maker("the cell maker's current in regeneration"),
            remedy=f"Set the inverter's current of regeneration to {amperes(math.floor(takes))}.",
            ladders=(less_braking(seen, takes / given),),
        )
    yield from _cold(seen, given, takes)


def _cold(seen: Assessed, given: float, takes: float) -> Iterator[Finding]:
    coldest, least = seen.case.build.duty.climate.coldest, seen.case.cell.temperature_charge_min
    share = float(cold_share(temperature=coldest.value, coldest=least.value, ramp=REGEN_RAMP))
    if coldest.value < least.value or not exceeds(given, share * takes):  # below that, pack.cold_charging says it
        return
    said = apart(amperes, given, share * takes)
    yield Finding(
        key="pack.regeneration_cold",
        severity="note",
        title="On a cold day the motor brakes less",
        detail=f"At {seen.degrees(coldest.value)} the pack takes {said.limit}; the braking motor gives {said.value}. "
        "The brake pedal feels different then, and the friction brakes do more.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=practice(
            f"monitors lower the current over some {REGEN_RAMP:.0f} K above the coldest charging temperature"
        ),
        remedy="See that BMS and inverter lower regeneration together, and tell the driver.",
    )


@rule("trips", trips=no_trips)
def devices_at_speed(seen: Assessed) -> Iterator[Finding]:
    """Does all that shares the inverter's terminals bear the voltage of a fast motor when the contactors open?"""
    crest, inverter, full = seen.si("drive.back_emf_peak"), seen.case.inverter, seen.si("pack.voltage_full")
    if crest is None or inverter is None or full is None:
        return
    for name, path, part, rating in with_rating(seen, "voltage_max"):
        if name not in ON_THE_BUS or exceeds(full, rating) or not exceeds(crest, rating):
            continue
        said = apart(volts, crest, rating)
        yield Finding(
            key=f"drive.back_emf_device.{as_key(name)}",
            severity="stop",
            title=f"The {name} does not bear what the fast motor makes",
            detail=f"At {seen.text('drive.motor_speed_max_used')} the motor makes {said.value} by itself. When the contactors open, or "
            f"the inverter lets go, that stands at the terminals of the inverter, and {part.title} bears {said.limit}.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            clause=maker("the device maker's absolute limit"),
            remedy=f"On the pack's side of the contactors, behind a contactor of its own, the {name} does not see it.",
            ladders=(another_part(seen, path, name, bears(crest, seen.si("pack.voltage_empty") or 0.0, part)),),
        )
    if exceeds(crest, full):
        said = apart(volts, crest, full)
        yield Finding(
            key="drive.back_emf_pack",
            severity="caution",
            title="Turning fast, the motor makes more voltage than the full pack has",
            detail=f"At {seen.text('drive.motor_speed_max_used')} it makes {said.value}; the full pack has {said.limit}. If the "
            "inverter lets go there, the motor brakes the car and charges the pack, and nothing limits it.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            clause=arithmetic("crest of the back-EMF against the voltage of the full pack"),
            remedy="Let the motor turn slower (a higher gear), or a motor of lower back-EMF. The inverter must know what to do when "
            "the contactors open at speed; ask its maker.",
        )


@rule("drive")
def contactor_backwards(seen: Assessed) -> Iterator[Finding]:
    """Do the main contactors break the current of regeneration too?"""
    contactor, power, takes = seen.case.contactor, power_given_back(seen), seen.si("pack.current_regen")
    if contactor is None or power is None or takes is None or not contactor.polarised:
        return
    current = current_given_back(terminals(seen, HALF), power, takes)
    yield Finding(
        key="pack.contactor_polarised",
        severity="caution",
        title="The main contactors break in one direction, and regeneration flows in the other",
        detail=f"{contactor.title} is polarised: its blow-out magnets draw the arc out one way. Regeneration and charging flow the "
        f"other way, here up to {amperes(current)}; in that direction it breaks less.",
        limit="no polarity",
        value="polarised",
        clause=maker("the contactor maker's breaking capacity in reverse"),
        remedy=f"Ask the maker for its breaking capacity in reverse and see that it is above {fixed(current, 0)} A; mount each "
        "with its plus towards the plus of the pack; let the inverter end regeneration before the contactors open.",
        ladders=(_unpolarised(seen, contactor),),
    )


def _unpolarised(seen: Assessed, now: Contactor) -> Ladder:
    full = seen.si("pack.voltage_full") or 0.0

    def suits(part: Contactor) -> bool:
        carries = part.current_continuous.value >= now.current_continuous.value
        return not part.polarised and carries and not exceeds(full, part.voltage_max.value)

    return another_part(seen, "pack.protection.contactor", "contactor", suits)
