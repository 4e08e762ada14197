"""The low-voltage side: DC-DC, battery and cable against what hangs on them, driving, failed and parked."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from voltwright.assess.low_voltage import MONTH, battery_part
from voltwright.assess.low_voltage_loads import USUAL_LOADS, names_driving_loads
from voltwright.parts.power import Battery12V, DcDc
from voltwright.quantity.figure import fixed
from voltwright.rules.clause import from_memory, practice
from voltwright.rules.finding import Assessed, Finding, Ladder, Rung, exceeds, likely
from voltwright.rules.rule import rule
from voltwright.rules.ways import another_part, counts, downwards, settings, upwards

HOUR, DAY = 3600.0, 86400.0  # s
LEAST_RESERVE = 0.15  # of the rating; common practice: a DC-DC gives less when it is hot
LEAST_TIME = HOUR / 2  # common practice: off the motorway and to a place of safety
HOLIDAY = 14 * DAY  # common practice: two weeks at the airport
LEAST_WATTS = 5.0


@rule("low_voltage")
def converter_rating(seen: Assessed) -> Iterator[Finding]:
    """Does the DC-DC give what must be given for hours?"""
    reserve, need, dc_dc = seen.si("wiring.dcdc_reserve"), seen.si("wiring.dcdc_power"), seen.case.dc_dc
    if dc_dc is None or reserve is None or need is None:
        return
    if exceeds(0.0, reserve):
        fails = seen.failing("wiring.dcdc_reserve", 0.0, "the DC-DC carries a wet night", least=True)
        yield Finding(
            key="electrics.dcdc_overloaded",
            severity="stop",
            title="The DC-DC is too small for a wet night",
            detail=f"Lamps, wipers, blower, pumps and coils take {seen.text('wiring.dcdc_power')} for hours; {dc_dc.title} cannot "
            "give that. "
            "The battery goes flat while the car drives, and the contactors open on the road.",
            limit=_watts(need / (1 - reserve)),
            value=_watts(need),
            margin=_watts(need / (1 - reserve) - need),
            clause=practice("everything that can stay on, at once, with a battery that is being recharged"),
            likelihood=likely(fails),
            ladders=(_larger(seen, need), _more_converters(seen), *_fewer_loads(seen)),
        )
    elif exceeds(LEAST_RESERVE, reserve):
        fails = seen.failing("wiring.dcdc_reserve", LEAST_RESERVE, "the DC-DC has something to spare", least=True)
        yield Finding(
            key="electrics.dcdc_reserve",
            severity="caution",
            title="The DC-DC has little to spare on a wet night",
            detail=f"{seen.text('wiring.dcdc_reserve')} of its rating are left. Hot, or in a bay without air, a DC-DC gives less "
            "than its plate "
            "says.",
            limit=f"{LEAST_RESERVE:.0%} to spare".replace("%", " %"),
            value=seen.text("wiring.dcdc_reserve"),
            clause=practice("a sixth to spare; the DC-DC maker's derating curve decides"),
            likelihood=likely(fails),
            ladders=(_larger(seen, need / (1 - LEAST_RESERVE)), _more_converters(seen), *_fewer_loads(seen)),
        )


@rule("low_voltage")
def everything_at_once(seen: Assessed) -> Iterator[Finding]:
    """Who gives what the DC-DC cannot when everything is on at once?"""
    need, missing, dc_dc = seen.si("wiring.dcdc_power"), seen.si("wiring.dcdc_from_battery"), seen.case.dc_dc
    if dc_dc is None or need is None or missing is None:
        return
    if missing > 0 and battery_part(seen.case) is None:
        yield Finding(
            key="electrics.peak_uncovered",
            severity="caution",
            title="With everything on at once nothing gives what the DC-DC cannot",
            detail=f"Horn, brake lamps, indicators and pumps together ask {seen.text('wiring.dcdc_from_battery')} more than "
            f"{dc_dc.title} gives, "
            "and there is no battery. A DC-DC that protects itself switches off; lamps go out and the contactors open.",
            limit="0 W",
            value=seen.text("wiring.dcdc_from_battery"),
            clause=practice("a battery beside the DC-DC"),
            remedy="A battery under low_voltage.battery.",
            ladders=(_larger(seen, (seen.si("wiring.dcdc_power_all") or need)), *_fewer_loads(seen)),
        )


def _watts(value: float) -> str:
    return f"{fixed(value, 0)} W"


def _larger(seen: Assessed, power: float) -> Ladder:
    """DC-DCs of the same output that give so much, the smallest first."""
    now = seen.case.dc_dc
    full, empty = seen.si("pack.voltage_full") or 0.0, seen.si("pack.voltage_empty") or 0.0

    def suits(part: DcDc) -> bool:
        like = now is None or abs(part.voltage_out.value - now.voltage_out.value) < 0.1 * now.voltage_out.value
        bears = part.voltage_min.value <= empty and part.voltage_max.value >= full
        return like and bears and part.power.value >= power

    return another_part(seen, "low_voltage.dc_dc.part", "DC-DC", suits, lambda part: part.power.value)


def _more_converters(seen: Assessed) -> Ladder:
    placed = seen.case.build.low_voltage.dc_dc
    now = placed.count if placed else 1
    return counts(
        "low_voltage.dc_dc.count", "Fit {number} DC-DCs side by side, if their maker allows it", now + 1, now + 2
    )


def _fewer_loads(seen: Assessed, when: Callable[[str], bool] = lambda when: when != "standing") -> Iterator[Ladder]:
    """The largest load of the build that stays on, smaller by 5 W at a time."""
    loads = [
        (each.power.value, at, each)
        for at, each in enumerate(seen.case.build.loads_12v)
        if when(each.when) and not each.short
    ]
    if loads:
        power, at, load = max(loads, key=lambda each: (each[0], -each[1]))
        values = downwards(power, 5.0, LEAST_WATTS)
        yield settings(f"loads_12v.{at}.power", f"Fit for '{load.name}' what takes", values, "W")


@rule()
def loads_named(seen: Assessed) -> Iterator[Finding]:
    """Are all loads named that every donor has, where some are named?"""
    build = seen.case.build
    if not names_driving_loads(seen.case):
        return
    names = " ".join(each.name.casefold() for each in build.loads_12v)
    left = [each for each in USUAL_LOADS if not any(word in names for word in SIGNS[each.name])]
    if not left:
        return
    low, high = (sum(each.watts[at] for each in left) for at in (0, 1))
    yield Finding(
        key="electrics.loads_left_out",
        severity="note",
        title="Loads that every car has are not named",
        detail=f"Where loads_12v names any load, nothing else is assumed. Not named: {', '.join(each.name for each in left)}; "
        f"usually {low:.0f} to {high:.0f} W together when all are on.",
        limit="all named",
        value=f"{len(left)} not named",
        clause=practice(),
        remedy="Name them under loads_12v with the power that a clamp meter shows; horn, brake lamps and indicators with short: true.",
    )


# By which words a usual load is known among those that are named.
SIGNS = {
    "Head lamps, dipped": ("head", "dipped"),
    "Side, tail, number-plate and instrument lamps": ("tail", "side", "lamps", "lights"),
    "Wipers": ("wiper",),
    "Heater blower": ("blower", "fan", "demist"),
    "Radio and accessories": ("radio", "accessor", "stereo"),
    "Brake lamps": ("brake lamp", "stop lamp", "brake light"),
    "Indicators, all four as hazard lamps": ("indicator", "hazard", "flasher", "turn signal"),
    "Horn": ("horn",),
}


@rule()
def windscreen(seen: Assessed) -> Iterator[Finding]:
    """Does anything clear the windscreen now that the engine's heat is gone?"""
    build = seen.case.build
    words = ("heater", "demist", "defrost", "heated", "blower")
    loads = [each.name.casefold() for each in (*build.loads_12v, *build.loads_traction) if each.when != "standing"]
    if build.comfort.cabin_heater is not None or any(word in each for each in loads for word in words):
        return
    yield Finding(
        key="electrics.windscreen",
        severity="caution",
        title="Nothing heats the cabin or clears the windscreen",
        detail="The donor's heater lived on the engine's coolant or exhaust. Breath freezes on a cold windscreen within minutes.",
        limit="a heater, or a heated screen",
        value="none",
        clause=from_memory(
            "UN and EU rules for type approval ask a closed car to clear its windscreen; local codes decide for an old one"
        ),
        remedy="Name a heater under comfort.cabin_heater, or a heated screen or blower under loads_12v (150 to 300 W for a heated screen).",
    )


@rule("low_voltage")
def battery_missing(seen: Assessed) -> Iterator[Finding]:
    """Does anything stand behind the DC-DC when it fails?"""
    battery, low = battery_part(seen.case), seen.case.build.low_voltage
    if battery is None:
        yield Finding(
            key="electrics.battery_missing",
            severity="caution",
            title="No low-voltage battery stands behind the DC-DC",
            detail="When the DC-DC fails, lamps, brake pump and contactors fail in the same moment. "
            + (
                "Nothing wakes the parked car either: the contactors that feed the DC-DC need 12 V to close."
                if low.parked == "battery"
                else "Only while the pack feeds the DC-DC day and night does the car wake."
            ),
            limit="a battery",
            value="none",
            clause=practice("a battery of 12 V that carries the car to a place of safety"),
            remedy="Name one under low_voltage.battery, with its place.",
        )


@rule("low_voltage")
def battery_alone(seen: Assessed) -> Iterator[Finding]:
    """How long do contactors, lamps and the brake's pump live on the battery when the DC-DC fails?"""
    battery, time = battery_part(seen.case), seen.si("wiring.battery_time")
    if battery is None or time is None or not exceeds(LEAST_TIME, time):
        return
    fails = seen.failing("wiring.battery_time", LEAST_TIME, "the battery alone carries the car to safety", least=True)
    yield Finding(
        key="electrics.battery_time",
        severity="caution",
        title="When the DC-DC fails the battery does not carry the car to safety",
        detail=f"On a wet night {battery.title} alone keeps contactors, lamps, wipers and brake pump going for "
        f"{fixed(time / 60, 0)} minutes.",
        limit=f"{LEAST_TIME / 60:.0f} min",
        value=f"{fixed(time / 60, 0)} min",
        margin=f"{fixed((time - LEAST_TIME) / 60, 0)} min",
        clause=practice("half an hour: off the motorway and to a place of safety"),
        likelihood=likely(fails),
        remedy="A lamp on the dashboard must tell the driver at once that the DC-DC gives nothing.",
        ladders=(
            _larger_battery(seen),
            _more_batteries(seen),
            *_fewer_loads(seen, lambda when: when in ("driving", "always")),
        ),
    )


@rule("low_voltage")
def battery_small(seen: Assessed) -> Iterator[Finding]:
    """Does the battery bear two hours of hazard lamps and then wake the car?"""
    need, has, battery = seen.si("wiring.battery_needed"), seen.si("wiring.battery_capacity"), battery_part(seen.case)
    if battery is not None and need is not None and has is not None and exceeds(need, has):
        yield Finding(
            key="electrics.battery_small",
            severity="caution",
            title="The low-voltage battery is too small for hazard lamps and a start",
            detail=f"Two hours of hazard lamps and waking the car after them take {seen.text('wiring.battery_needed')}; aged, "
            f"{battery.title} "
            f"has {seen.text('wiring.battery_capacity', seen.text('wiring.battery_needed'))}.",
            limit=seen.text("wiring.battery_needed"),
            value=seen.text("wiring.battery_capacity", seen.text("wiring.battery_needed")),
            clause=practice("two hours of hazard lamps"),
            ladders=(_larger_battery(seen), _more_batteries(seen)),
        )


def _larger_battery(seen: Assessed) -> Ladder:
    """Batteries of the same voltage and more capacity, the smallest first."""
    now = battery_part(seen.case)

    def suits(part: Battery12V) -> bool:
        if now is None or part.technology != now.technology:
            return False
        return part.voltage_nominal.value == now.voltage_nominal.value and part.capacity.value > now.capacity.value

    return another_part(seen, "low_voltage.battery.part", "battery", suits, lambda part: part.capacity.value)


def _more_batteries(seen: Assessed) -> Ladder:
    placed = seen.case.build.low_voltage.battery
    now = placed.count if placed else 1
    return counts("low_voltage.battery.count", "Fit {number} batteries alike side by side", now + 1, now + 2)


@rule("low_voltage")
def standing(seen: Assessed) -> Iterator[Finding]:
    """Does the parked car wake again after a holiday and after its winter rest?"""
    build, days = seen.case.build, seen.si("wiring.standing_days")
    rest = build.duty.lay_up.months * MONTH
    if days is not None and exceeds(HOLIDAY, days):
        yield Finding(
            key="electrics.standing_days",
            severity="caution",
            title="After a holiday the car does not wake",
            detail=f"{seen.text('wiring.standing_current')} flow while the car is parked; after {_days(days)} the battery no "
            "longer closes the "
            f"contactors, and after {seen.text('wiring.standing_days_half')} it is half empty, below which a lead battery ages quickly.",
            limit=_days(HOLIDAY),
            value=_days(days),
            margin=_days(days - HOLIDAY),
            clause=practice("two weeks at the airport"),
            likelihood=likely(
                seen.failing("wiring.standing_days", HOLIDAY, "the car wakes after a holiday", least=True)
            ),
            remedy="Find what never sleeps with a milliammeter in the battery's lead, or fit a switch in that lead.",
            ladders=(*_less_standing(seen), _larger_battery(seen), _more_batteries(seen), _on_the_pack(seen)),
        )
    if days is not None and exceeds(rest, days) and not exceeds(HOLIDAY, rest):
        yield Finding(
            key="electrics.lay_up",
            severity="note",
            title="The winter rest empties the low-voltage battery",
            detail=f"The car rests for {_days(rest)}; after {_days(days)} its battery no longer closes the contactors, and a "
            "charger on the plug "
            "may then not wake either. A lead battery that stands empty is spoilt, and one of LFP cut off.",
            limit=_days(rest),
            value=_days(days),
            margin=_days(days - rest),
            clause=practice(),
            remedy="Take the earth lead off, or keep the battery on a small charger; tell the owner in writing.",
        )
    yield from _on_pack_found(seen, rest)


def _on_pack_found(seen: Assessed, rest: float) -> Iterator[Finding]:
    pack = seen.si("wiring.standing_days_pack")
    longest = max(rest, HOLIDAY)
    if pack is None or not exceeds(longest, pack):
        return
    yield Finding(
        key="electrics.standing_pack",
        severity="caution",
        title="The parked car empties its pack through the DC-DC",
        detail=f"Parked for {_days(longest)} with the DC-DC on, the pack is at its lowest used charge after {_days(pack)}. Below "
        "that the BMS "
        "must switch the DC-DC off, or cells are spoilt.",
        limit=_days(longest),
        value=_days(pack),
        margin=_days(pack - longest),
        clause=practice(),
        ladders=(
            _parked(seen, "battery", "Let the DC-DC sleep while the car is parked (low_voltage.parked)"),
            settings(
                "duty.parking.charge",
                "Park the car at a charge of",
                upwards(seen.case.build.duty.parking.charge.value * 100, 5, 95),
                "%",
            ),
            *_less_standing(seen),
        ),
    )


def _parked(seen: Assessed, on: str, says: str) -> Ladder:
    now = seen.case.build.low_voltage.parked
    return Ladder(lambda: (Rung(says, {"low_voltage.parked": on}),) if now != on else ())


def _on_the_pack(seen: Assessed) -> Ladder:
    if seen.case.dc_dc is None:
        return Ladder(lambda: ())
    return _parked(seen, "dc-dc", "Leave the DC-DC on while the car is parked (low_voltage.parked)")


def _less_standing(seen: Assessed) -> Iterator[Ladder]:
    """The largest standing load that the build names, smaller by half a watt at a time."""
    loads = [
        (each.power.value * each.use.value, at, each)
        for at, each in enumerate(seen.case.build.loads_12v)
        if each.when in ("standing", "always")
    ]
    if loads:
        _, at, load = max(loads, key=lambda each: (each[0], -each[1]))
        values = downwards(load.power.value, 0.5, 0.5)
        yield settings(f"loads_12v.{at}.power", f"Bring down what '{load.name}' draws to", values, "W", 1)


def _days(value: float) -> str:
    return f"{fixed(value / DAY, 0)} d"
