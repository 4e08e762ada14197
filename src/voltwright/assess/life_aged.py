"""The car after ten years: how far and how fast with the capacity that is left and the resistance that the cells then have."""

from __future__ import annotations

from dataclasses import replace

from voltwright.assess.case import Case, celsius
from voltwright.assess.pack import FOUR_FIFTHS, Arrangement, power_at
from voltwright.assess.sheet import CONDITION, Sheet, constant
from voltwright.assess.trips import enter_time, main_trip
from voltwright.kernels import gather
from voltwright.kernels import journey as run
from voltwright.physics import ageing as law
from voltwright.physics import cell_dynamics
from voltwright.quantity.work import work

RANGE, POWER = "life.range_at_10_years", "life.power_at_10_years"
PACE = {
    "life.time_0_50_at_10_years": ("road.time_0_50", 0.0, 50.0),
    "life.time_0_100_at_10_years": ("road.time_0_100", 0.0, 100.0),
}
AGED = (RANGE, POWER, *PACE)


def assess_aged(case: Case, sheet: Sheet, made: Arrangement) -> None:
    """Enter range, power and pace after ten years; capacity and resistance then are known."""
    aged = replace(made, growth=sheet.nodes["life.resistance_at_10_years"])
    mild = constant(celsius(25), "°C", "Cell temperature", CONDITION, "T")
    sheet.add(POWER, power_at(case, sheet, aged, FOUR_FIFTHS, mild))
    _range(case, sheet, made)
    _pace(case, sheet, aged)


def _range(case: Case, sheet: Sheet, made: Arrangement) -> None:
    trip = main_trip(case)
    way = sheet.nodes.get(f"road.range.{trip}")
    if way is None:
        sheet.lack(RANGE, sheet.reasons.get(f"road.range.{trip}", f"there is no trip '{trip}'"))
        return
    far = work(
        law.range_when_aged, "Range after ten years", way=way, capacity=sheet.nodes["life.capacity_at_10_years"],
        health=made.health, taken=sheet.nodes[f"road.consumption.{trip}"], lost=sheet.nodes["road.energy.cells"],
        aged=sheet.nodes["life.resistance_at_10_years"], growth=made.growth,
    )  # fmt: skip
    sheet.add(RANGE, far)


def _pace(case: Case, sheet: Sheet, aged: Arrangement) -> None:
    """The same sprint with worn cells; where new ones do not get there, neither do they."""
    known = sheet.simulated
    for key, (now, *_) in PACE.items():
        if now not in sheet.nodes:
            sheet.lack(key, sheet.reasons.get(now, "the car is not known"))
    left = {key: ends for key, (now, *ends) in PACE.items() if now in sheet.nodes}
    if known is None or not left:
        return
    factor = work(
        cell_dynamics.cell_factor, "Resistance of the pack by that of a new cell, after ten years",
        cells_series=aged.cells_series, cells_parallel=aged.cells_parallel, growth=aged.growth,
    )  # fmt: skip
    car = work(gather.with_worn_cells, "The car at full power with worn cells", car=known.sprinter, cell_factor=factor)
    sprint = work(run.sprint, "Sprint at full power with worn cells", car=car, cells=known.cells, rise=known.rise)
    for key, (slow, fast) in left.items():
        enter_time(case, sheet, key, sprint, slow, fast)
