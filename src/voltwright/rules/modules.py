"""Modules: how worn they are, how strings of them are joined, how they stand, and how they are cooled."""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.parts.battery import Module
from voltwright.quantity.figure import fixed
from voltwright.rules.clause import arithmetic, maker, practice
from voltwright.rules.finding import Assessed, Finding, Ladder, exceeds, volts
from voltwright.rules.rule import rule
from voltwright.rules.terminals import HALF, terminals
from voltwright.rules.ways import fewer_strings, one_step

WORN = 0.80  # of the capacity when new; common practice: the end of the first life
GROWN = 1.5  # times the resistance when new
OLD = 10.0  # years
UNEVEN = 1.1  # times an equal part of the current; common practice
AGREE = 0.005  # of the capacity when new: half of what is printed


def _is_used(seen: Assessed) -> bool:
    condition = seen.case.build.pack.condition
    return seen.case.module.stock == "salvaged" or (condition is not None and condition.health.value < 1.0)


def _percent(share: float) -> str:
    return f"{fixed(100 * share, 0)} %"


@rule("pack")
def worn(seen: Assessed) -> Iterator[Finding]:
    """Are the modules past their first life, by capacity, resistance or age?"""
    condition = seen.case.build.pack.condition
    health, growth = (
        float(seen.sheet.nodes[key].inputs[name].value)
        for key, name in (("pack.capacity", "health"), ("pack.resistance", "growth"))
    )
    if health < WORN:
        yield Finding(
            key="pack.worn",
            severity="caution",
            title="The modules hold less than is usual at the end of their first life",
            detail=f"They hold {_percent(health)} of what they held when new. Below {_percent(WORN)} many cells "
            "lose capacity faster and faster.",
            limit=_percent(WORN),
            value=_percent(health),
            margin=f"{fixed(100 * (health - WORN), 0)} percentage points",
            clause=practice("80 % of the capacity when new ends the first life"),
            remedy="Other modules, or tell the customer that range will shrink fast and that the pack is the next thing to replace.",
        )
    if exceeds(growth, GROWN):
        yield Finding(
            key="pack.resistance_grown",
            severity="caution",
            title="The resistance of the modules has grown much",
            detail=f"It is {fixed(growth, 2)} times that when new: so much more heat, so much less power in the cold. "
            "A single bad cell in a module can be the cause.",
            limit=fixed(GROWN, 2),
            value=fixed(growth, 2),
            margin=fixed(GROWN - growth, 2),
            clause=practice("one and a half times the resistance when new"),
            remedy="Measure each cell group by itself on the bench and leave out the worst module.",
        )
    if condition is not None and condition.age > OLD:
        yield Finding(
            key="pack.old_modules",
            severity="caution",
            title="The modules are old",
            detail=f"They are {fixed(condition.age, 0)} years old. Seals, insulation and sensors age too, however good the cells are.",
            limit=f"{fixed(OLD, 0)} years",
            value=f"{fixed(condition.age, 0)} years",
            margin=f"{fixed(OLD - condition.age, 0)} years",
            clause=practice("ten years"),
            remedy="Look into every module for swelling, leaks and corrosion, test its insulation, and promise no long life.",
        )


@rule("pack")
def strings_joined(seen: Assessed) -> Iterator[Finding]:
    """How far may the voltages of parallel strings differ when they are joined?"""
    strings, takes = seen.case.build.pack.parallel, seen.si("pack.current_charge")
    if strings < 2 or takes is None:
        return
    loop = 2.0 * strings * terminals(seen, HALF, short=True).ohm
    apart, used = takes / strings * loop, _is_used(seen)
    yield Finding(
        key="pack.strings_joined",
        severity="caution" if used else "note",
        title="Used strings in parallel do not share alike" if used else "Join strings only when their voltages agree",
        detail=f"At {volts(apart)} apart the stronger string charges the weaker one with all that it may take. Equal voltage is not "
        "equal charge, with LFP least of all."
        + (" The string of less resistance carries more current, and ages first." if used else ""),
        value=volts(apart),
        clause=arithmetic("charging current of one string times the resistance of both"),
        remedy=(
            "Sort the modules on the bench, so that the strings have the same capacity and resistance in sum; measure the current of "
            "each string. "
            if used
            else ""
        )
        + "Charge each string to full by itself before they are joined for the first time, and close the link only while they are "
        "within a volt of each other (common practice, no source).",
        ladders=(fewer_strings(seen),) if used else (),
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


@rule()
def upright(seen: Assessed) -> Iterator[Finding]:
    """Can modules that must stand upright do so in their boxes?"""
    module = seen.case.module
    low = [
        each.name
        for each in seen.case.build.pack.boxes
        if module.upright_only and each.modules and exceeds(module.height.value, each.height.value)
    ]
    if not low:
        return
    yield Finding(
        key="fit.upright",
        severity="stop",
        title="Modules that must stand upright cannot stand in their box",
        detail=f"{module.title} is {seen.millimetres(module.height.value)} high and may not lie; too low for it: {', '.join(low)}.",
        limit=seen.millimetres(module.height.value),
        clause=maker("the module maker's instructions: upright alone"),
        remedy="Higher boxes, or modules that may lie.",
    )


@rule()
def cooling_channels(seen: Assessed) -> Iterator[Finding]:
    """Do the modules suit the way in which the pack is cooled?"""
    module, cooling = seen.case.module, seen.case.build.pack.cooling
    if cooling == "liquid" and not module.coolant_channels:
        yield Finding(
            key="pack.no_channels",
            severity="caution",
            title="The pack is cooled by liquid, and its modules have no channels",
            detail=f"{module.title} has nothing for a coolant to flow through. It wants a cooling plate on its face, with a thermal pad, "
            "and that plate must be kept apart from the cells.",
            limit="channels, or plates",
            value="neither named",
            clause=maker("the module maker's datasheet"),
            remedy="Name the plates under extras, with their mass.",
            ladders=(_cooled_by("none"), _cooled_by("air")),
        )
    elif cooling == "none" and module.coolant_channels:
        yield Finding(
            key="pack.channels_unused",
            severity="note",
            title="The coolant channels of the modules stay empty",
            detail=f"{module.title} is made to be cooled, and its maker's current ratings may count on that.",
            limit="coolant",
            value="none",
            clause=maker("the module maker's datasheet"),
            remedy="Cool with liquid; or drain, dry and plug the channels, and ask the maker what they may give without coolant.",
        )


def _cooled_by(what: str) -> Ladder:
    words = {"none": "Leave the pack without cooling", "air": "Cool the pack with air"}
    return one_step(f"{words[what]} (pack.cooling)", {"pack.cooling": what})
