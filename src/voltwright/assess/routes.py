"""The duty's own traces and routes driven once: what is left in the pack at the end, how warm its cells became, what was climbed."""

from __future__ import annotations

from voltwright.assess.case import Case
from voltwright.assess.sheet import Sheet
from voltwright.assess.simulated_car import Simulated
from voltwright.kernels import journey as run
from voltwright.kernels import trip as endings
from voltwright.quantity.provenance import Origin
from voltwright.quantity.work import Node, leaf, work

DRIVEN_ONCE = ("road.arrival_charge", "road.cell_warmest")
CLIMBED = ("road.climb", "road.climb_removed")
OF_A_ROUTE = (*DRIVEN_ONCE, *CLIMBED)


def own_journeys(case: Case, known: dict[str, run.Journey]) -> list[str]:
    """The journeys with a trace or a route of their own, of those that are driven."""
    return [name for name in known if name in case.traces]


def assess_routes(case: Case, sheet: Sheet, made: Simulated | None, known: dict[str, run.Journey]) -> None:
    """Enter what each own journey leaves in the pack, and what it climbs."""
    for name in own_journeys(case, known):
        _climb(case, sheet, name)
        if made is None or f"road.range.{name}" not in sheet.nodes:
            why = sheet.reasons.get(f"road.range.{name}", "the car is not known")
            for family in DRIVEN_ONCE:
                sheet.lack(f"{family}.{name}", why)
            continue
        _once(sheet, made, name, known[name])


def _once(sheet: Sheet, made: Simulated, name: str, asked: run.Journey) -> None:
    until_empty: Node = sheet.driven[name]
    car, way = until_empty.inputs["car"], until_empty.inputs["asked"]
    once = work(run.drive_once, f"Driven once: {asked.title}", car=car, cells=made.cells, asked=way)
    outcome: run.Driven = once.value
    if outcome.status != endings.WHOLE:
        why = f"the pack is empty after {outcome.way / 1000:.0f} km of {asked.way / 1000:.0f} km"
        sheet.lack(f"road.arrival_charge.{name}", why)
    else:
        sheet.add(f"road.arrival_charge.{name}", work(run.charge_left_of, "Charge left", driven=once, car=car))
    sheet.add(f"road.cell_warmest.{name}", work(run.warmest_of, "Warmest cell", driven=once))


def _climb(case: Case, sheet: Sheet, name: str) -> None:
    profile = case.traces[name].profile
    if profile is None:
        return
    origin = Origin("measured", where=profile.file, reason="from the heights of the route")
    for family, value, label in zip(CLIMBED, (profile.climb, profile.climb_removed), ("Climb", "Removed"), strict=True):
        key = f"{family}.{name}"
        if value is None:
            sheet.lack(key, f"{profile.file} has no heights")
        else:
            sheet.add(key, leaf(value, "m", label, origin))
