"""Modules: how worn they are, how they stand, and how they are cooled."""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.quantity.figure import fixed
from voltwright.rules.clause import maker, practice
from voltwright.rules.finding import Assessed, Finding, Ladder, exceeds
from voltwright.rules.rule import rule
from voltwright.rules.ways import one_step

WORN = 0.80  # of the capacity when new; common practice: the end of the first life
GROWN = 1.5  # times the resistance when new
OLD = 10.0  # years


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
