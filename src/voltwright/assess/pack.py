"""What is the battery? Cells in groups, groups in modules, modules in strings, strings in parallel."""

from __future__ import annotations

from dataclasses import dataclass

from voltwright.assess.case import Case, celsius
from voltwright.assess.motor_model import continuous_here
from voltwright.assess.sheet import CONDITION, Sheet, assumed, constant, counted, nothing
from voltwright.build.fitted import FoundString
from voltwright.parts.drive import Inverter, Motor
from voltwright.physics import cell as law
from voltwright.physics import mass as mass_law
from voltwright.quantity.entry import Entry
from voltwright.quantity.provenance import Origin
from voltwright.quantity.work import Node, greatest, leaf, least, total, work

HALF, FOUR_FIFTHS, TENTH = 0.5, 0.8, 0.1


@dataclass(frozen=True)
class Arrangement:
    """How many of what stand in series and in parallel, and how worn they are.

    `share`: the largest share of the current that one string carries, where the strings are not alike.
    """

    cells_series: Node
    cells_parallel: Node
    modules_series: Node
    strings: Node
    health: Node
    growth: Node
    links: Node
    share: Node | None = None


def assess_pack(case: Case, sheet: Sheet) -> None:
    """Enter every figure of the question `pack`."""
    made = arrangement(case)
    _counts(case, sheet, made)
    _voltages(case, sheet, made)
    _energy(case, sheet, made)
    _currents(case, sheet, made)
    _power(case, sheet, made)
    _motor(case, sheet, made)
    _mass(case, sheet)


def arrangement(case: Case) -> Arrangement:
    """The pack as the build names it."""
    pack, module = case.build.pack, case.module
    series = counted(pack.series, "Modules in series", "pack.series")
    strings = counted(pack.parallel, "Strings in parallel", "pack.parallel")
    groups = counted(module.groups_series, "Cell groups in series in a module", f"{module.id}: groups_series")
    cells = counted(module.cells_parallel, "Cells in parallel in a module", f"{module.id}: cells_parallel")
    in_series = work(law.product, "Cell groups in series", first=groups, second=series)
    found = _found(case, strings, cells, in_series)
    return Arrangement(
        in_series,
        work(law.product, "Cells in parallel", first=cells, second=strings),
        series,
        strings,
        found.health if found else _health(case),
        found.growth if found else _growth(case),
        case.leaf(module.resistance_links, "Links of one module"),
        found.share if found else None,
    )


@dataclass(frozen=True)
class Found:
    """Unequal strings together: health, growth of resistance, and the largest share of the current that one of them carries."""

    health: Node
    growth: Node
    share: Node


def _found(case: Case, strings: Node, cells: Node, in_series: Node) -> Found | None:
    """What the bench found of each string, where it was entered."""
    found = case.build.pack.condition.strings if case.build.pack.condition else ()
    if not found:
        return None
    healths = [case.leaf(each.health, f"Health of string {at}", "%") for at, each in enumerate(found, 1)]
    places = [f"pack.condition.strings.{at}.resistance_growth" for at in range(len(found))]
    each_grown = [
        leaf(
            each.resistance_growth,
            "1",
            f"Resistance of string {at} as a multiple of new",
            Origin("entered", where=where),
            symbol="g",
        )
        for at, (each, where) in enumerate(zip(found, places, strict=True), 1)
    ]
    together = total("Conductance of all strings", [_conductance(each) for each in each_grown])
    placed = [
        _conductance(_in_place(case, each, grown, cells, in_series))
        for each, grown in zip(found, each_grown, strict=True)
    ]
    most, shared = (
        greatest("Greatest conductance of a string", placed),
        total("Conductance of all where they stand", placed),
    )
    return Found(
        work(law.mean_health, "Health of all strings", sum_of_health=total("Health, summed", healths), strings=strings),
        work(law.growth_of_strings, "Resistance as a multiple of new", strings=strings, conductances=together),
        work(law.largest_string_share, "Largest share", greatest=most, conductances=shared),
    )


def _conductance(growth: Node) -> Node:
    return work(law.string_conductance, "Conductance of the string", growth=growth)


def _in_place(case: Case, found: FoundString, growth: Node, cells: Node, in_series: Node) -> Node:
    """The growth with the string's own cables and temperature, where it has any."""
    if found.cable is None and found.temperature is None:
        return growth
    half = constant(HALF, "%", "Charge", CONDITION, "s")
    warm, mild = (
        work(
            law.cell_resistance, "Resistance of a cell, 10 s", charge=half, temperature=each, table=case.resistance_10s
        )
        for each in (temperature_of(case, found), constant(celsius(25), "°C", "Cell temperature", CONDITION, "T"))
    )
    return work(
        law.growth_in_place, "Resistance where it stands, as a multiple of new", growth=growth, warm_ohm=warm, mild_ohm=mild,
        cable=cable_of(case, found), cells_parallel=cells, cells_series=in_series,
    )  # fmt: skip


def temperature_of(case: Case, found: FoundString) -> Node:
    """Temperature of the cells of a string while the others are mild."""
    if found.temperature is None:
        return constant(celsius(25), "°C", "Cell temperature", CONDITION, "T")
    return case.leaf(found.temperature, "Temperature of the string", "°C")


def cable_of(case: Case, found: FoundString) -> Node:
    """What the cables of a string add beyond those of the others."""
    if found.cable is None:
        return constant(0.0, "mΩ", "Cables of the string", "as long as those of the others", "R")
    return case.leaf(found.cable, "Cables of the string, beyond the others")


def _health(case: Case) -> Node:
    condition, module = case.build.pack.condition, case.module
    if condition is not None:
        return case.leaf(condition.health, "Health: capacity as a share of new", "%")
    if module.health is not None:
        return case.leaf(module.health, "Health: capacity as a share of new", "%")
    if module.stock == "salvaged":
        return assumed(
            "Health: capacity as a share of new",
            "%",
            "salvaged and not measured; test the modules on the bench",
            0.80,
            0.12,
        )
    return constant(1.0, "%", "Health: capacity as a share of new", f"{module.stock} modules, taken as new", "h_c")


def _growth(case: Case) -> Node:
    label = "Resistance as a multiple of new"
    condition = case.build.pack.condition
    if condition is not None and condition.resistance_growth is not None:
        return leaf(
            condition.resistance_growth,
            "1",
            label,
            Origin("entered", where="pack.condition.resistance_growth"),
            symbol="g",
        )
    if case.module.stock == "salvaged" or condition is not None:
        return assumed(label, "1", "used modules, resistance not measured; test them on the bench", 1.4, 0.4)
    return constant(1.0, "1", label, f"{case.module.stock} modules, taken as new", "g")


def _counts(case: Case, sheet: Sheet, made: Arrangement) -> None:
    sheet.add("pack.cells_series", made.cells_series)
    sheet.add("pack.cells_parallel", made.cells_parallel)
    sheet.add("pack.cell_count", work(law.product, "Cells", first=made.cells_series, second=made.cells_parallel))
    sheet.add("pack.module_count", work(law.product, "Modules", first=made.modules_series, second=made.strings))
    alike = constant(1.0, "1", "Conductance of a string", "strings taken as alike", "y_s")
    share = made.share or work(law.largest_string_share, "Share", greatest=alike, conductances=made.strings)
    sheet.add("pack.string_share", share)


def _voltages(case: Case, sheet: Sheet, made: Arrangement) -> None:
    module, cell = case.module, case.cell
    if module.voltage_nominal is not None:
        each = case.leaf(module.voltage_nominal, "Nominal voltage of a module")
        nominal = work(law.voltage_in_series, "Nominal voltage", cells_series=made.modules_series, cell_voltage=each)
    else:
        nominal = _in_series(case, made, cell.voltage_nominal, "Nominal voltage")
    sheet.add("pack.voltage_nominal", nominal)
    sheet.add("pack.voltage_full", _in_series(case, made, cell.voltage_full, "Full voltage"))
    full = sheet.nodes["pack.voltage_full"]
    sheet.add("pack.voltage_ac", work(law.alternating_voltage, "Alternating voltage", direct_voltage=full))
    sheet.add("pack.voltage_empty", _in_series(case, made, cell.voltage_empty, "Least voltage"))


def _in_series(case: Case, made: Arrangement, cell_voltage: Entry, label: str) -> Node:
    each = case.leaf(cell_voltage, f"{label} of a cell")
    return work(law.voltage_in_series, label, cells_series=made.cells_series, cell_voltage=each)


def _energy(case: Case, sheet: Sheet, made: Arrangement) -> None:
    if case.module.capacity is not None:
        each = case.leaf(case.module.capacity, "Capacity of a module, new")
        inputs = {"cells_parallel": made.strings, "cell_capacity": each}
    else:
        inputs = {
            "cells_parallel": made.cells_parallel,
            "cell_capacity": case.leaf(case.cell.capacity, "Capacity of a cell, new"),
        }
    capacity = sheet.add("pack.capacity", work(law.capacity_in_parallel, "Capacity", health=made.health, **inputs))
    nominal = sheet.nodes["pack.voltage_nominal"]
    sheet.add("pack.energy_gross", work(law.nominal_energy, "Energy", voltage=nominal, capacity=capacity))
    window = {
        "empty": case.leaf(case.build.pack.window.empty, "Lowest charge that is used", "%"),
        "full": case.leaf(case.build.pack.window.full, "Highest charge that is used", "%"),
    }
    mean = work(
        law.mean_open_circuit_voltage, "Mean voltage of a cell in the window", table=case.open_circuit, **window
    )
    usable = work(
        law.usable_energy,
        "Usable energy",
        cells_series=made.cells_series,
        mean_voltage=mean,
        capacity=capacity,
        **window,
    )
    sheet.add("pack.energy_usable", usable)


def _currents(case: Case, sheet: Sheet, made: Arrangement) -> None:
    cell, module, pack = case.cell, case.module, case.build.pack
    strings, cells = _that_count(case, made)
    continuous = [_parallel(case, cells, cell.current_continuous, "Cells, continuous")]
    peak = [_parallel(case, cells, cell.current_peak, "Cells, 10 s")]
    if module.current_continuous is not None:
        continuous.append(_parallel(case, strings, module.current_continuous, "Module terminals, continuous"))
    if module.current_peak is not None:
        peak.append(_parallel(case, strings, module.current_peak, "Module terminals, 10 s"))
    if case.contactor is not None:
        continuous.append(case.leaf(case.contactor.current_continuous, "Contactor, continuous"))
    if case.msd is not None:
        continuous.append(
            _one_or_each(
                case, strings, pack.protection.msds, case.msd.current_continuous, "Service disconnect, continuous"
            )
        )
    if case.fuse is not None:
        continuous.append(_one_or_each(case, strings, pack.protection.fuses, case.fuse.current_rated, "Fuse, rating"))
    if pack.bms.current_limit is not None:
        limit = case.leaf(pack.bms.current_limit, "Limit set in the BMS")
        continuous.append(limit)
        peak.append(limit)
    sheet.add("pack.current_continuous", least("Continuous current", continuous))
    sheet.add("pack.current_peak", least("Peak current", peak))
    sheet.add("pack.current_charge", _parallel(case, cells, cell.current_charge, "Charging current"))
    sheet.add("pack.current_regen", _parallel(case, cells, cell.current_regen, "Regeneration current"))


def _that_count(case: Case, made: Arrangement) -> tuple[Node, Node]:
    """Strings, and cells in parallel, by which a limit of one of them is taken: fewer than there are where they are unequal."""
    if made.share is None:
        return made.strings, made.cells_parallel
    strings = work(law.strings_that_count, "Strings that count", share=made.share)
    module = case.module
    cells = counted(module.cells_parallel, "Cells in parallel in a module", f"{module.id}: cells_parallel")
    return strings, work(law.product, "Cells in parallel that count", first=cells, second=strings)


def _one_or_each(case: Case, strings: Node, count: int, current: Entry, label: str) -> Node:
    """The limit of a device that stands once in the whole pack, or once in each string."""
    each = count >= case.build.pack.parallel > 1
    return _parallel(case, strings, current, label) if each else case.leaf(current, label)


def _parallel(case: Case, count: Node, current: Entry, label: str) -> Node:
    return work(
        law.current_in_parallel, label, cells_parallel=count, cell_current=case.leaf(current, f"{label}, of each")
    )


def least_voltage(case: Case, sheet: Sheet) -> Node:
    """The voltage below which nothing may be drawn: the cells' limit, or the inverter's if that is higher."""
    limits = [sheet.nodes["pack.voltage_empty"]]
    if case.inverter is not None:
        limits.append(case.leaf(case.inverter.voltage_min, "Lower cut-off of the inverter"))
    return greatest("Least voltage under load", limits)


def full_voltages(case: Case, sheet: Sheet) -> list[Node]:
    """The voltages to which the pack may be charged: that of its cells, and the limit that the build sets."""
    limit = case.build.pack.voltage_limit_full
    return [sheet.nodes["pack.voltage_full"], *([case.leaf(limit, "Charge limit set for the pack")] if limit else [])]


def highest_voltage(case: Case, sheet: Sheet, inverter: Inverter) -> Node:
    """The voltage above which nothing may be given back."""
    of_inverter = case.leaf(inverter.voltage_max, "Highest voltage of the inverter")
    return least("Highest voltage under regeneration", [*full_voltages(case, sheet), of_inverter])


def resistance_at(
    case: Case, made: Arrangement, charge: Node, temperature: Node, table: Node | None = None, time: str = ", 10 s"
) -> Node:
    """Resistance of the pack at a charge and temperature: that of 10 s, or of another table and the `time` in its name."""
    each = work(
        law.cell_resistance,
        f"Resistance of a cell{time}",
        charge=charge,
        temperature=temperature,
        table=table or case.resistance_10s,
    )
    return work(
        law.pack_resistance,
        f"Resistance of the pack{time}",
        cells_series=made.cells_series,
        cells_parallel=made.cells_parallel,
        cell_ohm=each,
        growth=made.growth,
        modules_series=made.modules_series,
        strings=made.strings,
        links=made.links,
    )


def links_of(made: Arrangement) -> Node:
    """Resistance of all links."""
    return work(
        law.pack_links,
        "Links of the pack",
        modules_series=made.modules_series,
        strings=made.strings,
        links=made.links,
    )


def rest_voltage_at(case: Case, made: Arrangement, charge: Node) -> Node:
    """Open-circuit voltage of the pack at a charge."""
    each = work(law.open_circuit_voltage, "Open-circuit voltage of a cell", charge=charge, table=case.open_circuit)
    return work(
        law.voltage_in_series, "Open-circuit voltage of the pack", cells_series=made.cells_series, cell_voltage=each
    )


def _power(case: Case, sheet: Sheet, made: Arrangement) -> None:
    mild = constant(celsius(25), "°C", "Cell temperature", CONDITION, "T")
    cold = case.leaf(case.build.duty.climate.coldest, "Coldest design day", "°C")
    half = constant(HALF, "%", "Charge", CONDITION, "s")
    sheet.add("pack.resistance", resistance_at(case, made, half, mild))
    _power_at(case, sheet, made, FOUR_FIFTHS, mild, ("pack.power_peak", "pack.voltage_peak_power"))
    cold_keys = ("pack.power_empty_cold", "pack.voltage_empty_cold")
    if cold.value < case.cell.temperature_discharge_min.value:
        for key in cold_keys:
            sheet.lack(key, "the coldest design day is below the temperature at which the cells may be discharged")
        return
    _power_at(case, sheet, made, TENTH, cold, cold_keys)


def power_at(case: Case, sheet: Sheet, made: Arrangement, charge: float, temperature: Node) -> Node:
    """The most that the pack gives for ten seconds at a charge, within every limit."""
    at = constant(charge, "%", "Charge", CONDITION, "s")
    rest = rest_voltage_at(case, made, at)
    resistance = resistance_at(case, made, at, temperature)
    given = {"rest_voltage": rest, "least_voltage": least_voltage(case, sheet), "resistance": resistance}
    limit = sheet.nodes["pack.current_peak"]
    current = work(law.greatest_current, "Current within every limit", limit=limit, **given)
    return work(law.power_at_current, "Power", rest_voltage=rest, resistance=resistance, current=current)


def _power_at(
    case: Case, sheet: Sheet, made: Arrangement, charge: float, temperature: Node, keys: tuple[str, str]
) -> None:
    power = sheet.add(keys[0], power_at(case, sheet, made, charge, temperature))
    if power.inputs["current"].value > 0:
        sheet.add(keys[1], work(law.terminal_voltage, "Voltage", **power.inputs))
    else:
        sheet.lack(keys[1], "no power can be drawn: the voltage at rest is already below what is allowed under load")


def _motor(case: Case, sheet: Sheet, made: Arrangement) -> None:
    motor, inverter = case.motor, case.inverter
    if motor is None or inverter is None:
        for key in ("pack.full_power_lost_below", "pack.current_motor_continuous"):
            sheet.lack(key, "the build names no motor" if motor is None else "the build names no inverter")
        return
    mild = constant(celsius(25), "°C", "Cell temperature", CONDITION, "T")
    _continuous_current(
        case, sheet, made, mild, _from_pack(case, motor, inverter, continuous_here(case, sheet, motor), "continuous")
    )
    node = work(
        law.charge_where_power_fails,
        "Charge where full power is lost",
        power=_from_pack(case, motor, inverter, case.leaf(motor.power_peak, "The motor's peak power"), "peak"),
        cells_series=made.cells_series,
        cells_parallel=made.cells_parallel,
        growth=made.growth,
        links=links_of(made),
        limit=drive_current(case, sheet, inverter),
        least_voltage=least_voltage(case, sheet),
        temperature=mild,
        table=case.open_circuit,
        resistances=case.resistance_10s,
    )
    sheet.add("pack.full_power_lost_below", node)


def drive_current(case: Case, sheet: Sheet, inverter: Inverter) -> Node:
    """What the drive may draw for a short time: the pack's limit, or the inverter's if that is lower."""
    taken = case.leaf(inverter.current_dc_peak, "Inverter, direct current for a short time")
    return least("Current that the drive may draw", [sheet.nodes["pack.current_peak"], taken])


def _from_pack(case: Case, motor: Motor, inverter: Inverter, shaft: Node, which: str) -> Node:
    return work(
        law.power_from_pack,
        f"Power from the pack for the motor's {which} power",
        shaft_power=shaft,
        motor_efficiency=case.leaf(motor.efficiency_best, "Best efficiency of the motor", "%"),
        inverter_efficiency=case.leaf(inverter.efficiency, "Efficiency of the inverter", "%"),
    )


def _continuous_current(case: Case, sheet: Sheet, made: Arrangement, mild: Node, power: Node) -> None:
    half = constant(HALF, "%", "Charge", CONDITION, "s")
    rest, resistance = rest_voltage_at(case, made, half), resistance_at(case, made, half, mild)
    most = work(law.matched_power, "The most that the pack can give at all", rest_voltage=rest, resistance=resistance)
    if power.value > most.value:
        sheet.lack("pack.current_motor_continuous", "the pack cannot give the motor's continuous power at any current")
        return
    current = work(law.current_for_power, "Current", rest_voltage=rest, resistance=resistance, power=power)
    sheet.add("pack.current_motor_continuous", current)


def _mass(case: Case, sheet: Sheet) -> None:
    count = constant(float(case.build.pack.module_count), "1", "Modules in all", "series × parallel", "n")
    each = case.leaf(case.module.mass, f"One module, {case.module.title}")
    modules = work(mass_law.mass_of_several, "Modules", count=count, mass_each=each)
    boxes = [case.leaf(box.mass, f"Box {box.name}, all but its modules") for box in case.build.pack.boxes]
    sheet.add("pack.mass", total("Pack with its boxes", [modules, *(boxes or [nothing("Boxes", "kg")])]))
