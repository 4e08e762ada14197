"""What do parallel strings give together, what flows when they are joined, and what does a new module do in a worn string?"""

from __future__ import annotations

import functools
from dataclasses import dataclass

from voltwright.assess.at_once import at_once
from voltwright.assess.case import Case, celsius
from voltwright.assess.pack import Arrangement, arrangement, cable_of, temperature_of
from voltwright.assess.sheet import CONDITION, Sheet, assumed, constant, counted
from voltwright.build.fitted import FoundString
from voltwright.kernels import strings as drawing
from voltwright.physics import cell as law
from voltwright.physics import cell_dynamics
from voltwright.physics import strings as string_law
from voltwright.quantity.provenance import Origin
from voltwright.quantity.work import Node, leaf, least, total, work

HALF = 0.5
TWO_HOURS, END_HOURS = 2 * 3600.0, 20 * 3600.0  # s
READ = 0.010  # V; of a cell, where no BMS says better
TOGETHER = ("pack.energy_usable_strings", "pack.string_charge_apart", "pack.string_share_drawn")
REPLACED = ("pack.replaced_unused", "pack.replaced_resistance")


@dataclass(frozen=True)
class Join:
    """One string and the others to which it is joined: round the loop, and what each side holds."""

    loop_at_once: Node
    loop: Node
    string: Node
    others: Node
    between: Node


def assess_strings(case: Case, sheet: Sheet) -> None:
    """Enter every figure of the pack's strings."""
    made = arrangement(case)
    _together(case, sheet, made)
    _joined(case, sheet, made)
    _replaced(sheet, made)


def _window(case: Case) -> tuple[Node, Node]:
    window = case.build.pack.window
    return (
        case.leaf(window.empty, "Lowest charge that is used", "%"),
        case.leaf(window.full, "Highest charge that is used", "%"),
    )


def _together(case: Case, sheet: Sheet, made: Arrangement) -> None:
    """What unequal strings give until the first of them is empty."""
    found = case.build.pack.condition.strings if case.build.pack.condition else ()
    if len({_what(each) for each in found}) < 2:
        why = "the pack is one string" if case.build.pack.parallel == 1 else "the strings are taken as alike"
        for key in TOGETHER:
            sheet.lack(key, why)
        return
    (empty, _), each = _window(case), [_string(case, made, at) for at in range(len(found))]
    strings = functools.reduce(
        lambda first, second: work(string_law.beside, "Strings side by side", first=first, second=second), each
    )
    hours = constant(TWO_HOURS, "h", "Hours in which the whole is drawn", CONDITION, "t")
    current = work(string_law.current_over, "Current", capacity=sheet.nodes["pack.capacity"], hours=hours)
    drawn = work(
        drawing.draw_until_first_empty,
        "Drawn until the first is empty",
        strings=strings,
        current=current,
        empty=empty,
    )
    sheet.add(TOGETHER[0], work(drawing.energy_of_strings, "Energy", drawn=drawn))
    sheet.add(TOGETHER[1], work(drawing.charge_apart, "Charge apart", drawn=drawn))
    sheet.add(TOGETHER[2], work(drawing.share_drawn, "Largest share", drawn=drawn))


def _what(found: FoundString) -> tuple[object, ...]:
    """What tells a string from another."""
    placed = (each and each.text for each in (found.temperature, found.cable))
    return (found.health.text, found.resistance_growth, *placed)


def _string(case: Case, made: Arrangement, at: int) -> Node:
    """One string as the bench found it, at the highest charge that is used and 25 °C."""
    assert case.build.pack.condition is not None
    found, module = case.build.pack.condition.strings[at], case.module
    where = f"pack.condition.strings.{at}.resistance_growth"
    label = f"Resistance of string {at + 1} as a multiple of new"
    growth = leaf(found.resistance_growth, "1", label, Origin("entered", where=where), symbol="g")
    cells = counted(module.cells_parallel, "Cells in parallel in a module", f"{module.id}: cells_parallel")
    one = constant(1.0, "1", "Strings", "one of them", "n")
    health = case.leaf(found.health, f"Health of string {at + 1}", "%")
    _, full = _window(case)
    return work(
        string_law.one_string,
        f"String {at + 1}",
        capacity=_capacity(case, cells, health),
        charge=full,
        factor=work(
            cell_dynamics.cell_factor,
            "Resistance by that of a new cell",
            cells_series=made.cells_series,
            cells_parallel=cells,
            growth=growth,
        ),
        links=total(
            "Links and cables of one string",
            [
                work(law.pack_links, "Links", modules_series=made.modules_series, strings=one, links=made.links),
                cable_of(case, found),
            ],
        ),
        temperature=temperature_of(case, found),
        cells_series=made.cells_series,
        table=case.open_circuit,
        resistances=case.resistance_10s,
    )


def _capacity(case: Case, cells: Node, health: Node) -> Node:
    """What one string holds at a health."""
    if case.module.capacity is not None:
        one = constant(1.0, "1", "Strings", "one of them", "n")
        each = case.leaf(case.module.capacity, "Capacity of a module, new")
        return work(
            law.capacity_in_parallel, "Capacity of a string", cells_parallel=one, cell_capacity=each, health=health
        )
    each = case.leaf(case.cell.capacity, "Capacity of a cell, new")
    return work(
        law.capacity_in_parallel, "Capacity of a string", cells_parallel=cells, cell_capacity=each, health=health
    )


def _joined(case: Case, sheet: Sheet, made: Arrangement) -> None:
    """What flows when one string is joined to the others, or to one like it."""
    join, (empty, full) = _join(case, made), _window(case)
    difference = sheet.add(
        "pack.join_voltage_difference",
        work(string_law.difference_for, "Difference", current=_bears(case), loop=join.loop_at_once),
    )
    high, low = (_rest(case, made, charge) for charge in (full, empty))
    window = work(string_law.difference_of, "From empty to full", high=high, low=low)
    sheet.add(
        "pack.join_current", work(string_law.equalising_current, "Current", difference=window, loop=join.loop_at_once)
    )
    _heat(case, sheet, made, join)
    hours = constant(END_HOURS, "h", "Hours of the current at which they agree", "a twentieth of the capacity", "t")
    end = work(string_law.current_over, "Current at which they agree", capacity=join.string, hours=hours)
    time = {
        "loop": join.loop,
        "between": join.between,
        "slope": _slope(case, made),
        "difference": difference,
        "end": end,
    }
    sheet.add("pack.join_time", work(string_law.equalising_time, "Time", **time))
    _hidden(case, sheet, made, join)


def _join(case: Case, made: Arrangement) -> Join:
    """One string and all others; where there is but one, a second like it."""
    half = constant(HALF, "%", "Charge", CONDITION, "s")
    mild = constant(celsius(25), "°C", "Cell temperature", CONDITION, "T")
    others = counted(max(1, case.build.pack.parallel - 1), "Strings to which it is joined", "pack.parallel")
    cells = counted(case.module.cells_parallel, "Cells in parallel in a module", f"{case.module.id}: cells_parallel")
    string = _capacity(case, cells, made.health)
    rest = work(law.capacity_in_parallel, "Capacity of the others", cells_parallel=others, cell_capacity=string,
                health=constant(1.0, "%", "Alike", "strings taken as alike"))  # fmt: skip
    loops = [
        work(
            string_law.loop_of_join,
            f"Loop{time}",
            string=_ohm(case, made, cells, table, half, mild, time),
            others=others,
        )
        for table, time in ((at_once(case), ", milliseconds"), (case.resistance_10s, ", 10 s"))
    ]
    between = work(string_law.capacity_between, "Capacity between them", first=string, second=rest)
    return Join(loops[0], loops[1], string, rest, between)


def _ohm(case: Case, made: Arrangement, cells: Node, table: Node, charge: Node, warm: Node, time: str) -> Node:
    """Resistance of one string."""
    known = {"charge": charge, "temperature": warm, "table": table}
    return work(
        law.pack_resistance,
        f"Resistance of one string{time}",
        cells_series=made.cells_series,
        cells_parallel=cells,
        cell_ohm=work(law.cell_resistance, f"Resistance of a cell{time}", **known),
        growth=made.growth,
        modules_series=made.modules_series,
        strings=constant(1.0, "1", "Strings", "one of them", "n"),
        links=made.links,
    )


def _bears(case: Case) -> Node:
    """The current that everything in the loop bears for long."""
    cells = counted(case.module.cells_parallel, "Cells in parallel in a module", f"{case.module.id}: cells_parallel")
    limits = [
        work(law.current_in_parallel, "charging current of its cells", cells_parallel=cells,
             cell_current=case.leaf(case.cell.current_charge, "Charging current, of each")),
        work(law.current_in_parallel, "discharge current of the cells of another", cells_parallel=cells,
             cell_current=case.leaf(case.cell.current_continuous, "Cells, continuous, of each")),
    ]  # fmt: skip
    devices = (
        (case.contactor and case.contactor.current_continuous, "Contactor, continuous"),
        (case.fuse and case.fuse.current_rated, "Fuse, rating"),
        (case.msd and case.msd.current_continuous, "Service disconnect, continuous"),
    )
    limits += [case.leaf(current, label) for current, label in devices if current is not None]
    return least("What everything in the loop bears", limits)


def _rest(case: Case, made: Arrangement, charge: Node) -> Node:
    each = work(law.open_circuit_voltage, "Open-circuit voltage of a cell", charge=charge, table=case.open_circuit)
    return work(law.voltage_in_series, "Voltage of a string at rest", cells_series=made.cells_series, cell_voltage=each)


def _slope(case: Case, made: Arrangement) -> Node:
    half = constant(HALF, "%", "Charge", CONDITION, "s")
    each = work(string_law.slope_at, "Slope of the open-circuit curve, one cell", charge=half, table=case.open_circuit)
    return work(law.voltage_in_series, "Slope of a string", cells_series=made.cells_series, cell_voltage=each)


def _heat(case: Case, sheet: Sheet, made: Arrangement, join: Join) -> None:
    """A full string joined to empty ones: what one gives and the others take, by the open-circuit curve."""
    empty, full = _window(case)
    sides = {"first": join.string, "second": join.others}
    together = work(string_law.charge_together, "Charge at which they come to rest", high=full, low=empty, **sides)
    gives, takes = (
        work(
            law.usable_energy,
            label,
            cells_series=made.cells_series,
            mean_voltage=work(
                law.mean_open_circuit_voltage, "Mean voltage of a cell", empty=low, full=high, table=case.open_circuit
            ),
            capacity=capacity,
            empty=low,
            full=high,
        )
        for label, capacity, low, high in (
            ("What the full string gives", join.string, together, full),
            ("What the empty ones take", join.others, empty, together),
        )
    )
    sheet.add("pack.join_heat", work(string_law.heat_of_joining, "Heat", given=gives, taken=takes))


def _hidden(case: Case, sheet: Sheet, made: Arrangement, join: Join) -> None:
    """How far apart in charge strings may be that read the same, and what that drives later."""
    (empty, full), bms = _window(case), case.bms
    if bms is not None and bms.accuracy is not None:
        share = case.leaf(bms.accuracy, "Error of a cell voltage, as a share of it", "%")
        nominal = case.leaf(case.cell.voltage_nominal, "Nominal voltage of a cell")
        error = work(string_law.error_of_reading, "Error of a cell voltage", voltage=nominal, share=share)
    else:
        error = assumed("Error of a cell voltage", "V", "usual for a monitor or a good hand meter", READ, READ / 2)
    apart = work(string_law.readings_apart, "By which two readings alike may differ", error=error)
    ends = {"empty": empty, "full": full, "table": case.open_circuit}
    hidden = sheet.add("pack.join_hidden_charge", work(string_law.hidden_charge, "Hidden", difference=apart, **ends))
    later = work(string_law.difference_later, "Difference of a cell later", apart=hidden, **ends)
    volts = work(
        law.voltage_in_series, "Difference of the strings later", cells_series=made.cells_series, cell_voltage=later
    )
    sheet.add(
        "pack.join_hidden_current", work(string_law.equalising_current, "Current", difference=volts, loop=join.loop)
    )


def _replaced(sheet: Sheet, made: Arrangement) -> None:
    """What one new module does in a worn string."""
    if made.health.value >= 1.0 and made.growth.value <= 1.0:
        for key in REPLACED:
            sheet.lack(key, "the modules count as new")
        return
    fresh = constant(1.0, "%", "Health of the new module", CONDITION, "h_c")
    alike = constant(1.0, "1", "Resistance of the new module as a multiple of new", CONDITION, "g")
    sheet.add(REPLACED[0], work(string_law.unused_of_new, "Unused", string=made.health, fresh=fresh))
    known = {"growth": made.growth, "fresh": alike, "modules_series": made.modules_series}
    after = work(string_law.growth_after_replacing, "Resistance afterwards as a multiple of new", **known)
    sheet.add(REPLACED[1], work(string_law.part_gone, "Part that goes", before=made.growth, after=after))
