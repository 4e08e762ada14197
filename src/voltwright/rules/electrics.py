"""The donor's own electrics: earth, voltage, the lost dynamo, what the ignition switch fed, and the low-voltage battery."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from voltwright.assess.low_voltage import battery_part
from voltwright.parts.power import Battery12V
from voltwright.quantity.figure import fixed
from voltwright.quantity.words import one
from voltwright.rules.clause import maker, practice
from voltwright.rules.finding import Assessed, Finding, Ladder, Severity, apart, exceeds, volts
from voltwright.rules.rule import rule
from voltwright.rules.ways import another_part, one_step

ABOVE_NOMINAL = 1.35  # charging voltage over the nominal of a system; common practice
SIX_VOLT = 9.0  # V; below it a donor is one of 6 V

# Charging voltage of a cell, least for a full battery and most that it bears continuously, and the cell's nominal voltage. [V]
# Common practice: makers' sheets differ by some hundredths of a volt.
CHARGING = {"lead-flooded": (2.0, 2.20, 2.43), "lead-agm": (2.0, 2.25, 2.45), "lfp": (3.2, 3.375, 3.65)}
CHARGING_CUSTOM = (
    "continuous charging voltage of a cell: lead 2.20 to 2.45 V, LFP 3.375 to 3.65 V; the battery maker's sheet decides"
)
FREEZING = 273.15  # K
BULKHEAD, BEHIND = 0.6, 0.4  # m; from the hips of people forwards to the dashboard, rearwards to the seat back


@rule()
def earth(seen: Assessed) -> Iterator[Finding]:
    """Is the donor's positive pole earthed?"""
    electrics, dc_dc = seen.case.build.donor.electrics, seen.case.dc_dc
    if electrics.earth != "positive":
        return
    what = dc_dc.title if dc_dc else "the DC-DC"
    change = "Change the donor to negative earth (donor.electrics.earth)"
    yield Finding(
        key="electrics.earth",
        severity="stop",
        title="The donor has its positive pole on the body",
        detail=f"Inverter, BMS and {what} expect the negative pole there; mixed polarity destroys them and can start a fire.",
        limit="negative earth",
        value="positive earth",
        clause=practice("one earthed pole in the whole car"),
        remedy="That is: turn the battery round, exchange the wires of ammeter, coil-fed gauges, wiper and heater motors with magnets, and "
        "take out a radio that knows one polarity only. Mark the car where the next mechanic looks first.",
        ladders=(one_step(change, {"donor.electrics.earth": "negative"}),),
    )


@rule()
def low_voltage(seen: Assessed) -> Iterator[Finding]:
    """Does the DC-DC make the voltage that the donor's lamps need, and the controllers of the conversion?"""
    donor, dc_dc = seen.case.build.donor.electrics.voltage.value, seen.case.dc_dc
    if dc_dc is None:
        yield Finding(
            key="electrics.dc_dc_missing",
            severity="caution",
            title="Nothing feeds the low-voltage side",
            detail="The dynamo or alternator goes with the engine, and the build names no DC-DC.",
            limit="a DC-DC",
            value="none",
            clause=practice(),
            remedy="Name a DC-DC under low_voltage.dc_dc.",
        )
    elif not donor <= dc_dc.voltage_out.value <= donor * ABOVE_NOMINAL:
        said = apart(volts, dc_dc.voltage_out.value, donor)
        yield Finding(
            key="electrics.voltage",
            severity="stop",
            title="The DC-DC makes another voltage than the donor has",
            detail=f"The donor has {said.limit}; {dc_dc.title} makes {said.value}.",
            limit=said.limit,
            value=said.value,
            clause=practice("charging voltage lies up to a third above the nominal"),
            ladders=(_convert(12 if dc_dc.voltage_out.value < 18 else 24), _for_donor(seen, donor)),
        )
    if donor < SIX_VOLT:
        yield Finding(
            key="electrics.six_volt",
            severity="caution",
            title="The donor has 6 V",
            detail="Coils of contactors, BMS, inverter and pumps are made for 12 V and do not close or wake at 6 V; a lamp takes twice the "
            "current of one for 12 V, through connectors of sixty years. A side of 12 V beside that of 6 V needs a converter of its own, "
            "and one earthed pole for both.",
            limit="12 V",
            value=volts(donor),
            clause=practice("conversions run on 12 V"),
            remedy="What stays at 6 V, such as the horn or a clock, gets a small converter from 12 V. Old wires of a 6 V car are "
            "thick enough.",
            ladders=(_convert(12),),
        )


def _convert(to: int) -> Ladder:
    what = f"Change the donor's lamps, flasher, wiper, horn, relays and gauges to {to} V (donor.electrics.voltage)"
    return one_step(what, {"donor.electrics.voltage": f"{to} V"})


def _for_donor(seen: Assessed, donor: float) -> Ladder:
    full = seen.case.build.pack.series * seen.case.module.groups_series * seen.case.cell.voltage_full.value
    return another_part(
        seen,
        "low_voltage.dc_dc.part",
        "DC-DC",
        lambda part: donor <= part.voltage_out.value <= ABOVE_NOMINAL * donor and part.voltage_max.value >= full,
    )


# What waits for a dynamo or an alternator when it is gone.
LEFT_BEHIND = {"dynamo": ("regulator", "charge lamp"), "alternator": ("charge lamp",)}


def _named(words: tuple[str, ...], wanted: str) -> bool:
    return any(wanted in each.casefold() for each in words)


@rule()
def generator(seen: Assessed) -> Iterator[Finding]:
    """Is the old dynamo or alternator out, with its regulator and its charge lamp?"""
    build = seen.case.build
    kind = build.donor.electrics.generator
    if kind == "none":
        return
    stays = [thing.name for thing in build.donor.stays if kind in thing.name.casefold()]
    if stays:
        yield Finding(
            key="electrics.generator_stays",
            severity="caution",
            title=f"The {kind} stays although nothing drives it",
            detail=f"Without the engine's belt '{stays[0]}' stands still. On a live wire {one(kind)} that stands still draws current "
            "like a motor "
            "and empties the battery.",
            clause=practice(f"the {kind} goes with the engine"),
            remedy=f"List it under donor.removed in place of donor.stays; close the {kind}'s wires off, each by itself.",
        )
    settled = (
        *build.low_voltage.taken_out,
        *build.low_voltage.fed_anew,
        *(thing.name for thing in build.donor.removed),
    )
    missing = [each for each in LEFT_BEHIND[kind] if not _named(settled, each)]
    if missing:
        yield Finding(
            key="electrics.charge_lamp",
            severity="note",
            title="What belonged to the old charging circuit is not settled",
            detail=f"Not settled: {', '.join(missing)}. A regulator that stays joined to the battery can feed it backwards; a charge lamp "
            "without its dynamo glows always or never, and drivers trust it.",
            limit="taken out, or fed anew",
            value=f"{len(missing)} open",
            clause=practice(),
            remedy="Join what is left with the wires of the old regulator as its maker's diagram says, let the lamp show a fault of "
            f"the DC-DC, and name {' and '.join(missing)} under low_voltage.taken_out or low_voltage.fed_anew.",
        )


# Fed by the ignition switch and of use to an engine alone; and instruments that lost what they measured.
ENGINE_ONLY = ("coil", "fuel pump", "choke", "distributor", "idle valve", "cut-off valve", "injection", "glow plug")
LOST_SENSE = ("rev counter", "tachometer", "fuel gauge", "oil pressure", "temperature gauge", "oil lamp")


@rule()
def ignition_loads(seen: Assessed) -> Iterator[Finding]:
    """Is everything that the ignition switch fed, fed anew or taken out?"""
    old, low = seen.case.build.donor.electrics.ignition_loads, seen.case.build.low_voltage
    fed, out = ({each.casefold() for each in names} for names in (low.fed_anew, low.taken_out))
    open_ends = [each for each in old if each.casefold() not in fed | out]
    if open_ends:
        yield Finding(
            key="electrics.ignition_loads",
            severity="caution",
            title="What the ignition switch fed has no feed any more",
            detail=f"Not settled: {', '.join(open_ends)}. Left on the old wire they go dead with the ignition circuit, or hang on "
            "it behind "
            "no fuse, as many old cars have them.",
            limit="each fed anew or taken out",
            value=f"{len(open_ends)} open",
            clause=practice("a relay that the key closes, and a fuse for each group"),
            remedy="Name each under low_voltage.fed_anew or low_voltage.taken_out.",
            ladders=(_settled(low.fed_anew, open_ends),),
        )
    twice = sorted(fed & out)
    if twice:
        yield Finding(
            key="electrics.fed_and_out",
            severity="caution",
            title="A load is said to be fed anew and to be taken out",
            detail=f"Both lists of low_voltage name {', '.join(twice)}.",
            remedy="Take it off the list where it does not belong.",
        )


@rule()
def fed_in_vain(seen: Assessed) -> Iterator[Finding]:
    """Is anything fed anew that served the engine, or that has nothing to show any more?"""
    known = {each.casefold() for each in seen.case.build.donor.electrics.ignition_loads}
    low = seen.case.build.low_voltage
    engines = [each for each in low.fed_anew if _any_of(ENGINE_ONLY, each)]
    if engines:
        yield Finding(
            key="electrics.engine_load",
            severity="caution",
            title="What served the engine is fed again",
            detail=f"Fed anew: {', '.join(engines)}. A coil at rest overheats; a pump runs dry; the wire of a coil may hold a "
            "resistor and not "
            "give 12 V to anything else.",
            clause=practice(),
            remedy="Name it under low_voltage.taken_out instead.",
        )
    blind = [each for each in low.fed_anew if each.casefold() in known and _any_of(LOST_SENSE, each)]
    if blind:
        yield Finding(
            key="electrics.instruments",
            severity="note",
            title="An instrument is fed and has nothing to show",
            detail=f"Fed anew: {', '.join(blind)}. Sparks, fuel, oil and coolant are gone, so it needs a signal from inverter or "
            "BMS. A gauge "
            "behind a voltage stabiliser of some 10 V wants that stabiliser, and its earth, kept.",
            clause=practice(),
            remedy="Plan a sender that speaks its language (pulses, or a resistance), or take it out.",
        )


def _any_of(words: tuple[str, ...], name: str) -> bool:
    return any(word in name.casefold() for word in words)


def _settled(fed: tuple[str, ...], more: list[str]) -> Ladder:
    says = f"Feed {', '.join(more)} anew through a relay and fuses (low_voltage.fed_anew)"
    return one_step(says, {"low_voltage.fed_anew": (*fed, *more)})


@rule()
def battery_and_voltage(seen: Assessed) -> Iterator[Finding]:
    """Has the low-voltage battery the voltage of the donor, and does the DC-DC charge it as it wants?"""
    battery, dc_dc, donor = battery_part(seen.case), seen.case.dc_dc, seen.case.build.donor.electrics.voltage.value
    if battery is None:
        return
    nominal = battery.voltage_nominal.value
    if not 0.9 * donor <= nominal <= 1.15 * donor:
        said = apart(volts, nominal, donor)
        yield Finding(
            key="electrics.battery_voltage",
            severity="stop",
            title="The low-voltage battery is not of the donor's voltage",
            detail=f"The donor has {said.limit}; {battery.title} has {said.value}.",
            limit=said.limit,
            value=said.value,
            clause=practice(),
            ladders=(_another_battery(seen, lambda part: 0.9 * donor <= part.voltage_nominal.value <= 1.15 * donor),),
        )
    if dc_dc is None:
        return
    gives, (least, most) = dc_dc.voltage_out.value, charging_window(battery)
    if exceeds(gives, most):
        yield _charged_wrongly(seen, battery, "electrics.battery_overcharged", "stop", most, gives)
    elif exceeds(least, gives):
        yield _charged_wrongly(seen, battery, "electrics.battery_undercharged", "caution", least, gives)


def charging_window(battery: Battery12V) -> tuple[float, float]:
    """Least and most voltage that charges a battery continuously. [V]"""
    each, least, most = CHARGING[battery.technology]
    cells = max(1, round(battery.voltage_nominal.value / each))
    return cells * least, cells * most


def _charged_wrongly(
    seen: Assessed, battery: Battery12V, key: str, severity: Severity, limit: float, gives: float
) -> Finding:
    too_much = severity == "stop"
    low, high = charging_window(battery)
    said = apart(volts, gives, limit)
    return Finding(
        key=key,
        severity=severity,
        title=f"The DC-DC {'overcharges' if too_much else 'never fills'} the low-voltage battery",
        detail=f"It gives {said.value}; {battery.title} wants {fixed(low, 1)} to {volts(high)}. "
        + (
            "A lead battery boils dry and gives off gas that explodes; one of LFP is cut off by its own protection, or burns."
            if too_much
            else "A lead battery that is never full sulphates; one of LFP stays half empty."
        ),
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=practice(CHARGING_CUSTOM),
        remedy="Or set the output of the DC-DC, where it can be set, and enter its datasheet so.",
        ladders=(
            another_part(seen, "low_voltage.dc_dc.part", "DC-DC", lambda part: low <= part.voltage_out.value <= high),
            _another_battery(seen, lambda part: charging_window(part)[0] <= gives <= charging_window(part)[1]),
        ),
    )


def _another_battery(seen: Assessed, suits: Callable[[Battery12V], bool]) -> Ladder:
    return another_part(seen, "low_voltage.battery.part", "battery", suits)


@rule()
def battery_place(seen: Assessed) -> Iterator[Finding]:
    """May a battery of that kind lie where it lies, and be charged in the cold?"""
    battery, placed, build = battery_part(seen.case), seen.case.build.low_voltage.battery, seen.case.build
    if battery is None or placed is None:
        return
    first, last = (pick(seat.x.value for seat in build.donor.seats) for pick in (min, max))
    if battery.technology == "lead-flooded" and first - BULKHEAD <= placed.x.value <= last + BEHIND:
        yield Finding(
            key="electrics.battery_gas",
            severity="caution",
            title="A battery that gives off gas lies where people sit",
            detail=f"{battery.title} is vented; when it is charged it gives off hydrogen and a mist of acid, and spills when the car "
            f"lies on its side. At {seen.metres(placed.x.value)} behind the front axle it is between dashboard and seat back.",
            limit="outside the cabin, or a vented box",
            value="in the cabin",
            clause=practice("a sealed box with a hose to the outside; local codes decide"),
            remedy="Move it outside the cabin, or into a box with a hose to the outside.",
            ladders=(_another_battery(seen, lambda part: part.technology != "lead-flooded"),),
        )
    coldest = build.duty.climate.coldest.value
    if battery.technology == "lfp" and coldest < FREEZING and build.duty.parking.place != "heated-garage":
        yield Finding(
            key="electrics.battery_cold",
            severity="note",
            title="The low-voltage battery must not be charged in frost",
            detail=f"Down to {seen.degrees(coldest)} the DC-DC would charge {battery.title}. Lithium cells below 0 °C are spoilt by it; "
            "a battery with its own protection refuses, and lamps hang on the DC-DC alone.",
            limit=seen.degrees(FREEZING),
            value=seen.degrees(coldest),
            clause=maker("the cell makers' lowest charging temperature"),
            remedy="A battery with a heater or a cold cut-off.",
            ladders=(_another_battery(seen, lambda part: part.technology != "lfp"),),
        )
