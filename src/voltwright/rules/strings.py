"""Strings in parallel: how they share, how they are joined, what equal voltage hides, and what a new module adds."""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.parts.battery import Module
from voltwright.quantity.figure import fixed
from voltwright.rules.clause import arithmetic, practice
from voltwright.rules.finding import Assessed, Finding, apart, exceeds, percent
from voltwright.rules.rule import DC_LIMIT, rule
from voltwright.rules.ways import fewer_strings, one_step

UNEVEN = 1.1  # times an equal part of the current; common practice
AGREE = 0.005  # of the capacity when new: half of what is printed
HIDDEN = 0.10  # of the charge; common practice: farther apart than this, strings are not joined
LEFT = 0.02  # of the usable energy
UNUSED = 0.05  # of a new module
PROCEDURE = (
    "A person qualified for high voltage joins them, by the makers' instructions: charge each string to full by itself, with its own "
    "balancing; let it rest for some hours; measure each at its own terminals with the same meter, links open; join them one by one "
    "at a small part of the difference that they would bear, never in frost, never by closing a link by hand onto a difference, and "
    "measure the current of each."
)


def _percent(share: float) -> str:
    return percent(share)


def _is_used(seen: Assessed) -> bool:
    condition = seen.case.build.pack.condition
    return seen.case.module.stock == "salvaged" or (condition is not None and condition.health.value < 1.0)


@rule("strings")
def strings_joined(seen: Assessed) -> Iterator[Finding]:
    """How far may the voltages of parallel strings differ when they are joined?"""
    if seen.case.build.pack.parallel < 2:
        return
    used, most, current = _is_used(seen), seen.text("pack.join_voltage_difference"), seen.text("pack.join_current")
    yield Finding(
        key="pack.strings_joined",
        severity="caution" if used or (seen.si("pack.voltage_full") or 0.0) > DC_LIMIT else "note",
        title="Used strings in parallel do not share alike" if used else "Join strings only when their voltages agree",
        detail=f"At {most} apart the fuller string drives as much current through the other as everything in the loop bears. A full "
        f"string on empty ones drives {current} in the first moment and turns {seen.text('pack.join_heat')} into heat. "
        f"Strings that read the same voltage may still be {seen.text('pack.join_hidden_charge')} of their charge apart."
        + (" The string of less resistance carries more current, and ages first." if used else ""),
        limit=f"{most} at the very most, and nothing in frost",
        clause=arithmetic("what the loop bears, times its resistance of milliseconds"),
        remedy=(
            "Sort the modules on the bench, so that the strings have the same capacity and resistance in sum. "
            if used
            else ""
        )
        + PROCEDURE,
        ladders=(fewer_strings(seen),) if used else (),
    )


@rule("strings")
def equal_voltage(seen: Assessed) -> Iterator[Finding]:
    """Can strings that read the same voltage be far apart in charge?"""
    hidden = seen.si("pack.join_hidden_charge")
    if seen.case.build.pack.parallel < 2 or hidden is None or not exceeds(hidden, HIDDEN):
        return
    yield Finding(
        key="pack.equal_voltage",
        severity="caution",
        title="Equal voltage is not equal charge in this pack",
        detail=f"The voltage of these cells is nearly level over much of their charge: strings that read the same may be "
        f"{_percent(hidden)} of their charge apart. Later, where the voltage is steep, up to "
        f"{seen.text('pack.join_hidden_current')} may flow between them that nobody asked for.",
        limit=_percent(HIDDEN),
        value=_percent(hidden),
        margin=f"{fixed(100 * (HIDDEN - hidden), 0)} percentage points",
        clause=practice("strings are joined within a tenth of their charge"),
        remedy="Never join these strings by voltage alone: charge each to full by itself until its own balancing has ended, then join. "
        "A monitor that reads the cells more exactly hides less.",
    )


@rule("strings")
def first_empty(seen: Assessed) -> Iterator[Finding]:
    """Do unequal strings leave energy behind when the first of them is empty?"""
    drawn, whole = seen.si("pack.energy_usable_strings"), seen.si("pack.energy_usable")
    if drawn is None or whole is None or not exceeds(1.0 - drawn / whole, LEFT):
        return
    left = 1.0 - drawn / whole
    said = apart(percent, left, LEFT)
    yield Finding(
        key="pack.string_first_empty",
        severity="caution",
        title="One string is empty before the others",
        detail=f"When the first is down, the strings are {seen.text('pack.string_charge_apart')} of their charge apart, and "
        f"{said.value} of the usable energy stays in the others. Range is told without this.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=arithmetic("a steady current that would draw the pack in two hours, against the whole of it"),
        remedy="Sort the modules on the bench so that each string has as many weak ones as the next.",
        ladders=(fewer_strings(seen),),
    )


@rule("strings")
def module_replaced(seen: Assessed) -> Iterator[Finding]:
    """What does one new module add to a worn string?"""
    unused = seen.si("pack.replaced_unused")
    if unused is None or not exceeds(unused, UNUSED):
        return
    yield Finding(
        key="pack.module_replaced",
        severity="note",
        title="A new module in a worn string adds little",
        detail=f"The string holds what its weakest module holds. Of a new one {_percent(unused)} would never be used, the string gains no "
        f"more than up to its next weakest module, and {seen.text('pack.replaced_resistance')} of its resistance goes.",
        value=_percent(unused),
        clause=practice("the weakest group sets what a series string holds"),
        remedy="Replace a module by one of the same kind and about the same health, charged alike before it goes in; keep new ones for a "
        "string of their own.",
    )


@rule("pack")
def strings_unequal(seen: Assessed) -> Iterator[Finding]:
    """Does one string carry much more of the current than its part?"""
    strings, share = seen.case.build.pack.parallel, seen.si("pack.string_share")
    if strings < 2 or share is None or not exceeds(share * strings, UNEVEN):
        return
    yield Finding(
        key="pack.strings_unequal",
        severity="caution",
        title="One string carries more of the current than its part",
        detail=f"The string of least resistance carries {_percent(share)} of the current; {strings} strings alike would carry "
        f"{_percent(1 / strings)} each. The pack's currents are counted so that this string keeps to the limits of its cells; it also "
        "wears first. When the driver lifts off after a hard pull the others push current into it, and after a charge it does into "
        "them.",
        limit=_percent(UNEVEN / strings),
        value=_percent(share),
        margin=f"{fixed(100 * (UNEVEN / strings - share), 0)} percentage points",
        clause=practice("strings share the current within a tenth"),
        remedy="Sort the modules on the bench so that each string has as many weak ones as the next.",
        ladders=(fewer_strings(seen),),
    )


@rule()
def strings_mixed(seen: Assessed) -> Iterator[Finding]:
    """Are all strings of the same modules?"""
    pack, own = seen.case.build.pack, seen.case.module
    found = pack.condition.strings if pack.condition else ()
    others = {each.module for each in found if each.module is not None} - {own.id}
    for other in (seen.case.shelf.take(each, Module) for each in sorted(others)):
        same_cell = other.cell == own.cell
        alike = same_cell and (other.groups_series, other.cells_parallel) == (own.groups_series, own.cells_parallel)
        detail = f"The pack is worked out with {own.title} ({own.id}); a string is of {other.title} ({other.id})."
        if not same_cell:
            detail += " Cells of another kind have another voltage at every charge: they drive current through each other without "
            detail += "end, and no monitor can balance that."
        elif not alike:
            detail += " It has other numbers of cells in series or in parallel: joined strings need as many in series, and share "
            detail += "the current by how many stand in parallel. Neither is worked out here, so the figures are wrong."
        yield Finding(
            key="pack.strings_mixed",
            severity="caution" if alike else "stop",
            title="Strings of different modules in one pack" if same_cell else "Strings of different cells in one pack",
            detail=detail,
            limit="the same cells, as many in series",
            value=other.id,
            clause=practice("only strings of the same cells are joined in parallel"),
            remedy="Enter resistance and health of that string as the bench found them."
            if alike
            else "Leave that string out, or build it of the same modules.",
            ladders=(fewer_strings(seen),),
        )


@rule()
def weakest_string(seen: Assessed) -> Iterator[Finding]:
    """Does the health of the pack agree with that of its strings?"""
    condition = seen.case.build.pack.condition
    if condition is None or not condition.strings:
        return
    weakest = min((each.health for each in condition.strings), key=lambda health: health.value)
    if abs(weakest.value - condition.health.value) <= AGREE:
        return
    yield Finding(
        key="pack.string_health",
        severity="caution",
        title="The health of the pack is not that of its weakest string",
        detail=f"pack.condition.health is {condition.health.text}, and the weakest string has {weakest.text}. The strings count.",
        limit=weakest.text,
        value=condition.health.text,
        clause=practice("the weakest module of the pack counts"),
        remedy="Enter the same in both places.",
        ladders=(one_step(f"Write {weakest.text} for pack.condition.health", {"pack.condition.health": weakest.text}),),
    )
