"""The low-voltage side: what the DC-DC must give, how long the small battery bears, driving without it and parked."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from voltwright.assess.case import Case
from voltwright.assess.low_voltage_loads import Consumer, Mode, consumers
from voltwright.assess.sheet import Sheet, assumed_between, constant, counted, of_several
from voltwright.parts.low_voltage_cable import cable_of, cable_source
from voltwright.parts.power import Battery12V
from voltwright.physics import consumption
from voltwright.physics import low_voltage as law
from voltwright.quantity.provenance import Origin
from voltwright.quantity.source import Source
from voltwright.quantity.work import Node, greatest, leaf, total, work

RATED_HOURS = 20 * 3600.0  # s; capacities of starter batteries are those of a discharge in 20 hours
MONTH = 30.4375 * 86400.0  # s
HALF = 0.5
NO_DC_DC = "the build names no DC-DC"
NO_BATTERY = "the build names no low-voltage battery"
HAZARD_WATTS, HAZARD_SHARE, HAZARD_TIME = 92.0, 0.5, 2 * 3600.0  # four of 21 W and their repeaters; W, 1, s
WAKE_WATTS, WAKE_TIME = 60.0, 300.0  # coils, BMS and controllers until the DC-DC gives; W, s
BATTERY_KEYS = (
    "wiring.battery_time", "wiring.battery_capacity", "wiring.battery_needed", "wiring.standing_days", "wiring.standing_days_half",
)  # fmt: skip


@dataclass(frozen=True)
class Habits:
    """How a kind of low-voltage battery behaves, each as anything between two values.

    `full`: charge to which it is kept. `flat`: charge at which it no longer wakes the car. `lost`: self-discharge in a month.
    """

    full: tuple[float, float]
    flat: float
    lost: tuple[float, float]
    exponent: tuple[float, float]


HABITS = {
    "lead-flooded": Habits((0.80, 0.95), 0.2, (0.04, 0.06), (1.15, 1.3)),
    "lead-agm": Habits((0.85, 1.0), 0.2, (0.01, 0.03), (1.05, 1.15)),
    "lfp": Habits((0.90, 1.0), 0.1, (0.02, 0.03), (1.0, 1.05)),
}


@dataclass(frozen=True)
class Small:
    """The low-voltage battery as the laws see it."""

    voltage: Node
    capacity: Node
    full: Node
    flat: Node
    lost: Node
    exponent: Node
    usable: Node


def assess_low_voltage(case: Case, sheet: Sheet) -> None:
    """Enter the figures of the low-voltage side, of the question `wiring`."""
    every, battery = consumers(case), _battery(case)
    _needed(case, sheet, every, battery)
    _converter(case, sheet)
    standing = total("Loads of the parked car, by their use", _terms(every, "standing"), "W")
    current = work(law.load_current, "Standing current", power=standing, voltage=_nominal(case))
    current = sheet.add("wiring.standing_current", current)
    if battery is None:
        for key in BATTERY_KEYS:
            sheet.lack(key, NO_BATTERY)
    else:
        _without_converter(case, sheet, every, battery)
        _parked(case, sheet, battery, current)
    _from_pack(case, sheet, standing)


def _terms(every: Iterable[Consumer], mode: Mode, how: str = "mean") -> list[Node]:
    return [getattr(each, how) for each in every if mode in each.when]


def _nominal(case: Case) -> Node:
    """Nominal voltage of the low-voltage side."""
    part = battery_part(case)
    if part is not None:
        return case.leaf(part.voltage_nominal, f"Nominal voltage of the battery, {part.title}")
    return case.leaf(case.build.donor.electrics.voltage, "Nominal voltage of the low-voltage side")


def _running(case: Case) -> Node:
    """Voltage of the low-voltage side while the DC-DC gives."""
    if case.dc_dc is not None:
        return case.leaf(case.dc_dc.voltage_out, f"Output of the DC-DC, {case.dc_dc.title}")
    return _nominal(case)


def battery_part(case: Case) -> Battery12V | None:
    """The datasheet of the low-voltage battery."""
    placed = case.build.low_voltage.battery
    return case.shelf.take(placed.part, Battery12V) if placed else None


def _battery(case: Case) -> Small | None:
    placed, part = case.build.low_voltage.battery, battery_part(case)
    if placed is None or part is None:
        return None
    habits, kind = HABITS[part.technology], f"usual for {part.technology}"
    old = "a battery loses capacity over its years; test it at a battery dealer's"
    drain = Source("self-discharge-survey")
    capacity = work(
        law.aged_capacity,
        "Capacity of the low-voltage battery as it ages",
        count=counted(placed.count, "Low-voltage batteries", "low_voltage.battery.count"),
        capacity=case.leaf(part.capacity, f"Capacity when new, {part.title}"),
        health=assumed_between("Health of the low-voltage battery", "%", old, 0.7, 1.0),
    )
    full = assumed_between(
        "Charge to which the low-voltage battery is kept",
        "%",
        f"{kind}; rest it a night and read its voltage",
        *habits.full,
    )
    flat = leaf(habits.flat, "%", "Charge at which it no longer wakes the car", Origin("by definition", reason=kind))
    lost = assumed_between(
        "Self-discharge of the low-voltage battery in a month",
        "%",
        f"{kind} in a cool place, {drain.short}; ask its maker",
        *habits.lost,
    )
    exponent = assumed_between(
        "Peukert's exponent", "1", f"{kind}; two discharges at different currents tell it", *habits.exponent
    )
    usable = work(law.usable_share, "Usable share of the low-voltage battery", start=full, end=flat)
    return Small(_nominal(case), capacity, full, flat, lost, exponent, usable)


def _needed(case: Case, sheet: Sheet, every: tuple[Consumer, ...], battery: Small | None) -> None:
    """What the DC-DC must give: by use, for hours on a wet night, while charging, and with everything on at once."""
    refill = [] if battery is None else [_refill(case, battery)]
    sheet.add("wiring.dcdc_power_mean", total("Low-voltage loads by their use", _terms(every, "driving"), "W"))
    night = total("A wet night: all that can stay on", [*_terms(every, "driving", "lasting"), *refill], "W")
    plugged = total("While the car charges", [*_terms(every, "charging", "lasting"), *refill], "W")
    sheet.add("wiring.dcdc_power", greatest("What the DC-DC must give for hours", [night, plugged], "W"))
    sheet.add("wiring.dcdc_power_charging", plugged)
    sheet.add("wiring.dcdc_power_all", total("Everything at once", [*_terms(every, "driving", "power"), *refill], "W"))


def _refill(case: Case, battery: Small) -> Node:
    reason = "a battery that stood for weeks should be full after a day's drive; set the charging current of the DC-DC"
    return work(
        law.recharging_power,
        "Recharging the low-voltage battery",
        capacity=battery.capacity,
        voltage=_running(case),
        time=assumed_between(
            "Time in which the low-voltage battery is recharged", "h", reason, 8 * 3600.0, 12 * 3600.0
        ),
    )


def _converter(case: Case, sheet: Sheet) -> None:
    """Its rating against the need, and the current in its output cable."""
    placed, part = case.build.low_voltage.dc_dc, case.dc_dc
    if placed is None or part is None:
        for key in ("wiring.dcdc_reserve", "wiring.dcdc_from_battery", "wiring.dcdc_current", "wiring.feed_drop"):
            sheet.lack(key, NO_DC_DC)
        return
    rating = of_several(
        placed.count, case.leaf(part.power, f"Power of the DC-DC, {part.title}"), "low_voltage.dc_dc.count"
    )
    need, peak = sheet.nodes["wiring.dcdc_power"], sheet.nodes["wiring.dcdc_power_all"]
    sheet.add("wiring.dcdc_reserve", work(law.reserve, "Reserve of the DC-DC", rating=rating, needed=need))
    sheet.add("wiring.dcdc_from_battery", work(law.from_battery, "From the battery", needed=peak, rating=rating))
    current = sheet.add("wiring.dcdc_current", work(law.load_current, "Output", power=rating, voltage=_running(case)))
    _feed(case, sheet, current)


def _feed(case: Case, sheet: Sheet, current: Node) -> None:
    """What is lost between the DC-DC and the battery."""
    feed = case.build.low_voltage.feed
    if feed is None:
        sheet.lack("wiring.feed_drop", "the build does not name the cable from the DC-DC to the battery")
        return
    kind = Origin("by definition", reason=f"copper of {feed.cross_section.text} at 20 °C", source=cable_source())
    metre = leaf(cable_of(feed.cross_section.value).ohm_per_metre, "mΩ/m", "Resistance of a metre of that cable", kind)
    length = case.leaf(feed.length, "Length of the output cable")
    sheet.add("wiring.feed_drop", work(law.feed_drop, "Lost", current=current, resistance=metre, length=length))


def _without_converter(case: Case, sheet: Sheet, every: tuple[Consumer, ...], battery: Small) -> None:
    """How long the battery alone carries a wet night; and what hazard lamps and waking the car ask of it."""
    night = total("A wet night without the DC-DC", _terms(every, "driving", "lasting"), "W")
    alone = {
        "usable": battery.usable,
        "hours": constant(
            RATED_HOURS, "h", "Hours of the rated capacity", "EN 50342-1 rates starter batteries so", "t"
        ),
        "capacity": battery.capacity,
        "current": work(law.load_current, "Current of a wet night", power=night, voltage=battery.voltage),
        "exponent": battery.exponent,
    }
    sheet.add("wiring.battery_time", work(law.battery_time, "Time on the battery alone", **alone))
    sheet.add("wiring.battery_capacity", battery.capacity)
    custom = "common practice, no source"
    flashing = work(
        consumption.mean_power,
        "Hazard lamps, flashing",
        power=constant(HAZARD_WATTS, "W", "Four of 21 W and repeaters", custom, "P"),
        use=constant(HAZARD_SHARE, "%", "Share of the time that they are lit", custom, "s"),
    )
    waking = constant(WAKE_WATTS, "W", "Coils, BMS and controllers until the DC-DC gives", custom, "P")
    needs = [
        _capacity_for("Hazard lamps for two hours", flashing, HAZARD_TIME, battery),
        _capacity_for("Waking the car, five minutes", waking, WAKE_TIME, battery),
    ]
    sheet.add("wiring.battery_needed", total("Capacity needed", needs, "Ah"))


def _capacity_for(label: str, power: Node, time: float, battery: Small) -> Node:
    span = constant(time, "h", f"{label}: how long", "common practice, no source", "t")
    return work(law.capacity_needed, label, power=power, time=span, voltage=battery.voltage, usable=battery.usable)


def _parked(case: Case, sheet: Sheet, battery: Small, current: Node) -> None:
    """Days until the battery is flat, and until it is half empty."""
    if case.build.low_voltage.parked == "dc-dc":
        for key in ("wiring.standing_days", "wiring.standing_days_half"):
            sheet.lack(key, "the DC-DC keeps the battery charged while the car is parked")
        return
    month = constant(MONTH, "d", "A month", "a twelfth of a year", "t")
    loss = work(law.self_discharge, "Self-discharge", capacity=battery.capacity, lost=battery.lost, time=month)
    half = constant(HALF, "%", "Half charge: below it a lead battery ages quickly", "common practice, no source", "s")
    given = {"capacity": battery.capacity, "start": battery.full, "current": current, "loss": loss}
    sheet.add("wiring.standing_days", work(law.standing_time, "Days until flat", **given, end=battery.flat))
    sheet.add("wiring.standing_days_half", work(law.standing_time, "Days until half empty", **given, end=half))


def _from_pack(case: Case, sheet: Sheet, standing: Node) -> None:
    """Days until the pack is at its lowest used charge where it feeds the parked car."""
    key, part, build = "wiring.standing_days_pack", case.dc_dc, case.build
    if build.low_voltage.parked == "battery":
        sheet.lack(key, "the DC-DC is off while the car is parked")
        return
    if part is None:
        sheet.lack(key, NO_DC_DC)
        return
    unknown = "usual, the datasheet does not name it; read a clamp meter in its input"
    own = (
        case.leaf(part.standing_power, f"What the DC-DC itself takes, {part.title}")
        if part.standing_power is not None
        else assumed_between("What the DC-DC itself takes", "W", unknown, 2.0, 10.0)
    )
    efficiency = case.leaf(part.efficiency, "Efficiency of the DC-DC", "%")
    power = work(law.standing_power, "Drain of the parked car", power=standing, efficiency=efficiency, own=own)
    given = {
        "energy": sheet.nodes["pack.energy_gross"],
        "charge": case.leaf(build.duty.parking.charge, "Charge at which the car is parked", "%"),
        "empty": case.leaf(build.pack.window.empty, "Lowest charge that is used", "%"),
        "power": power,
    }
    sheet.add(key, work(law.pack_standing_time, "Days until the pack is down", **given))
