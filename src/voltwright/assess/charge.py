"""How long does charging take? For each supply of the build, over the used charge and from 20 to 80 %."""

from __future__ import annotations

from typing import Any

from voltwright.assess.case import Case
from voltwright.assess.charge_bank import Bank, bank_of, inputs_of, reached, stored
from voltwright.assess.charge_cold import at_target, cold_energy, cold_supply
from voltwright.assess.habit import assess_habit
from voltwright.assess.sheet import CONDITION, Sheet, constant
from voltwright.assess.supply import Limits, fits_station, inlet_of, limits_of, station_window, why_no_pins
from voltwright.assess.trips import main_trip
from voltwright.build.brief import Supply
from voltwright.kernels import journey as run
from voltwright.parts.trips import trip_title
from voltwright.physics import charging as law
from voltwright.physics import consumption
from voltwright.quantity.work import Node, greatest, work

FIFTH, FOUR_FIFTHS = 0.2, 0.8
SHORT = 0.02  # of full; a charge that ends nearer than this to its aim counts as there
FAMILIES = ("time_full", "time_20_80", "range_per_hour", "power_wall", "current_pack")


def assess_charge(case: Case, sheet: Sheet) -> None:
    """Enter every figure of the question `charge`."""
    bank = bank_of(case, sheet)
    first = True
    for index, supply in enumerate(case.build.supplies):
        if any(supply.name == other.name for other in case.build.supplies[:index]):
            continue
        free = limits_of(case, sheet, supply, index)
        limits = _why_not(case, sheet, supply, bank) or at_target(case, sheet, free)
        _supply(case, sheet, supply.name, bank, limits)
        cold = cold_supply(case, sheet, supply.name, bank, _why_no_window(case, sheet, supply, bank) or free)
        if supply.kind == "ac" and first:
            first = False
            _wall_energy(case, sheet, bank, limits)
            cold_energy(sheet, supply.name, cold)
    if first:
        _no_wall(sheet, "the build names no supply of alternating current")
        sheet.lack("charge.wall_energy_full_cold", "the build names no supply of alternating current")
    _dc(case, sheet, bank)
    assess_habit(case, sheet, bank)


def _why_not(case: Case, sheet: Sheet, supply: Supply, bank: Bank) -> str:
    """Why a supply cannot charge this pack at all, before any limit is asked; empty where it can."""
    cell, warm = case.cell, bank.source.inputs["temperature"].value
    if not cell.temperature_charge_min.value <= warm <= cell.temperature_charge_max.value:
        return "the cells must not be charged at this temperature (charging.target_temperature)"
    return _why_no_window(case, sheet, supply, bank)


def _why_no_window(case: Case, sheet: Sheet, supply: Supply, bank: Bank) -> str:
    """Why a station's voltages do not suit the pack; empty where they do, or where the supply is no station."""
    if supply.kind == "ac" or why_no_pins(inlet_of(case)):
        return ""
    if fits_station(case, sheet, supply, bank.rest(case, bank.empty)).value:
        return ""
    lowest, highest = station_window(case, supply)
    return (
        f"the pack's voltage leaves what the station and the inlet bear ({lowest.value:.0f} to {highest.value:.0f} V)"
    )


def _supply(case: Case, sheet: Sheet, name: str, bank: Bank, limits: Limits | str) -> None:
    if isinstance(limits, str):
        for family in FAMILIES:
            sheet.lack(f"charge.{family}.{name}", limits)
        return
    fifth = constant(FIFTH, "%", "Charge", CONDITION, "s")
    most = constant(FOUR_FIFTHS, "%", "Charge at the end", CONDITION, "s")
    _span(case, sheet, f"charge.time_full.{name}", bank, limits, bank.empty, bank.full)
    if bank.full.value < FOUR_FIFTHS:
        sheet.lack(f"charge.time_20_80.{name}", "the highest charge that is used is below 80 %")
    else:
        _span(case, sheet, f"charge.time_20_80.{name}", bank, limits, fifth, most)
    _range(case, sheet, name, bank)
    _moment(case, sheet, name, bank, limits, fifth)


def _why_not_there(case: Case, bank: Bank, limits: Limits, start: Node, target: Node, end: Node) -> str:
    """Why a charge does not get where it should; empty where it does."""
    starts = limits.charger_starts
    rest = bank.rest(case, start).value
    if starts is not None and rest < starts.value:
        return f"the charger works from {starts.value:.0f} V; at the start the pack rests at {rest:.0f} V"
    if limits.current.value <= 0 or limits.power.value <= 0:
        return "no power comes from this supply"
    if end.value < target.value - SHORT:
        return f"at full voltage the current has fallen to its end at {end.value:.0%} charge"
    return ""


def _span(case: Case, sheet: Sheet, key: str, bank: Bank, limits: Limits, start: Node, target: Node) -> None:
    end = reached(bank, limits, target)
    why = _why_not_there(case, bank, limits, start, target, end)
    if why:
        sheet.lack(key, why)
        return
    sheet.add(
        key, work(law.charging_time, "Time", start=start, end=end, capacity=bank.capacity, **inputs_of(bank, limits))
    )


def _range(case: Case, sheet: Sheet, name: str, bank: Bank) -> None:
    key, trip = f"charge.range_per_hour.{name}", main_trip(case)
    time, spent = sheet.nodes.get(f"charge.time_20_80.{name}"), sheet.nodes.get(f"road.consumption.{trip}")
    if time is None:
        sheet.lack(key, sheet.reasons[f"charge.time_20_80.{name}"])
        return
    if spent is None:
        why = sheet.reasons.get(f"road.consumption.{trip}", "")
        sheet.lack(key, f"the consumption of the trip '{trip_title(trip)}' is not known" + (f": {why}" if why else ""))
        return
    energy = stored(
        case,
        bank,
        constant(FIFTH, "%", "Charge at the start", CONDITION, "s"),
        constant(FOUR_FIFTHS, "%", "Charge at the end", CONDITION, "s"),
    )
    sheet.add(key, work(law.range_per_time, "Range gained", energy=energy, consumption=spent, time=time))


def _moment(case: Case, sheet: Sheet, name: str, bank: Bank, limits: Limits, charge: Node) -> None:
    """Current and power at 20 % charge; the working shows which limit binds."""
    keys = {each: f"charge.{each}.{name}" for each in ("current_pack", "power_wall")}
    why = sheet.reasons.get(f"charge.time_20_80.{name}", "") if bank.full.value >= FOUR_FIFTHS else ""
    if why:
        for key in keys.values():
            sheet.lack(key, why)
        return
    rest, resistance = bank.rest(case, charge), bank.resistance(case, charge)
    known: dict[str, Any] = {"rest_voltage": rest, "resistance": resistance}
    current = work(
        law.charging_current, "Current", limit=limits.current, power=limits.power, most_voltage=limits.voltage, **known
    )
    made = sheet.add(keys["current_pack"], current)
    power = work(law.charging_power, "Power into the pack", current=made, **known)
    if limits.efficiency is not None:
        power = work(law.power_from_wall, "Power from the wall", power=power, efficiency=limits.efficiency)
    sheet.add(keys["power_wall"], power)


def _wall_energy(case: Case, sheet: Sheet, bank: Bank, limits: Limits | str) -> None:
    """What a whole charge takes from the wall, and what each trip does."""
    key = "charge.wall_energy_full"
    name = next((each for each in reversed(sheet.entered) if each.startswith("charge.time_full.")), "")
    if isinstance(limits, str) or limits.efficiency is None or name not in sheet.nodes:
        _no_wall(sheet, sheet.reasons[name])
        return
    time = sheet.nodes[name]
    given = work(law.charging_energy, "Energy into the pack", **time.inputs)
    whole = sheet.add(
        key, work(law.energy_from_wall, "Energy from the wall", energy=given, efficiency=limits.efficiency)
    )
    held = stored(case, bank, time.inputs["start"], time.inputs["end"])
    for trip, driven in sheet.driven.items():
        if f"road.range.{trip}" not in sheet.nodes:
            continue
        chemistry = work(run.chemistry_of, "Energy from the chemistry of the cells", "kWh", driven=driven)
        put_back = {"chemistry": chemistry, "wall": whole, "stored": held}
        energy = work(consumption.put_back, "Energy from the wall to put it back", "kWh", **put_back)
        far = sheet.nodes[f"road.range.{trip}"]
        by_way = work(consumption.energy_by_way, "Consumption at the wall", energy=energy, way=far)
        sheet.add(f"road.consumption_wall.{trip}", by_way)


def _no_wall(sheet: Sheet, why: str) -> None:
    keys = [f"road.consumption_wall.{trip}" for trip in sheet.driven if f"road.range.{trip}" in sheet.nodes]
    for key in ("charge.wall_energy_full", *keys):
        sheet.lack(key, why)


def _dc(case: Case, sheet: Sheet, bank: Bank) -> None:
    """1 where the pack can be charged by direct current at any station of the build, else 0."""
    rest = bank.rest(case, bank.empty)
    stations = [each for each in case.build.supplies if each.kind == "dc"]
    fits = [fits_station(case, sheet, station, rest) for station in stations or [None]]
    sheet.add("charge.dc_possible", fits[0] if len(fits) == 1 else greatest("Direct-current charging", fits))
