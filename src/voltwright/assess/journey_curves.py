"""What the simulations have to show, as plots: a trip, where its energy went, range against speed, a charge.

The data come from the trees of the figures, so that a plot shows what the figures say.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from voltwright.assess.case import Case, celsius
from voltwright.assess.curves import charges_plot, charging_plot, energy_plot, range_plot, trip_plot
from voltwright.assess.trips import PARTS, main_trip
from voltwright.kernels.journey import Driven, Journey, drive_once
from voltwright.parts.trips import STEADY
from voltwright.physics.charging import charging_time
from voltwright.quantity.band import NO_SPREADS, Spreads, bands_along
from voltwright.quantity.figure import Figure
from voltwright.quantity.plot import Axis, Bars, Lines, Mark, Number, Panel, Series
from voltwright.quantity.units import Unit
from voltwright.quantity.work import Node, evaluate_all

ROUNDING = 1e-9  # of the whole energy: what a part has by rounding alone
PIECES = 60  # of a charging curve
MOST_POINTS = 1500  # of a trip's line
MILD = 20.0  # °C: the air of every range but that of the coldest day
COLDER = tuple(MILD - 5.0 * step for step in range(9))  # °C


def trip_lines(figures: Mapping[str, Figure], name: str) -> Lines | None:
    """A trip as it is driven once from the highest used charge; None where the car cannot do it."""
    figure = figures.get(f"road.range.{name}")
    if figure is None or figure.node is None:
        return None
    driven = next(node for node in figure.node.walk() if isinstance(node.value, Driven))
    given = {each: node.value for each, node in driven.inputs.items()}
    asked: Journey = given["asked"]
    course = drive_once(**given).course
    assert course is not None
    every = max(1, len(course.power) // MOST_POINTS)
    seconds: Any = (np.arange(len(course.power)) + 1) * asked.step
    wanted = asked.speed[1 : len(course.power) + 1] * 3.6
    return trip_plot(
        seconds[::every],
        wanted[::every],
        course.speed[1:][::every] * 3.6,
        course.power[::every] / 1000,
        course.charge[::every],
        name=asked.title,
    )


def energy_bars(figures: Mapping[str, Figure]) -> Bars | None:
    """Where the energy of the customer's trip went; None where it was not driven."""
    found = _driven_once(figures)
    if found is None:
        return None
    asked, driven = found
    some = [part for part in PARTS if abs(driven.ledger[part]) > ROUNDING * driven.chemistry]
    return energy_plot(some, [driven.ledger[part] / 3.6e6 for part in some], name=asked.title)


def _driven_once(figures: Mapping[str, Figure]) -> tuple[Journey, Driven] | None:
    figure = figures.get("road.energy.air")
    if figure is None or figure.node is None:
        return None
    driven = next(node for node in figure.node.walk() if isinstance(node.value, Driven))
    return driven.inputs["asked"].value, driven.value


def range_lines(figures: Mapping[str, Figure]) -> Lines | None:
    """Range against steady speed with its band; None where the car holds fewer than two of the speeds."""
    known = [
        (speed, figures[f"road.range.steady-{speed}"]) for speed in STEADY if f"road.range.steady-{speed}" in figures
    ]
    held = [(float(speed), figure) for speed, figure in known if figure.value is not None]
    if len(held) < 2:
        return None
    speeds, values = [speed for speed, _ in held], [figure.value for _, figure in held]
    if any(figure.low is None for _, figure in held):
        return range_plot(speeds, values)
    return range_plot(speeds, values, [each.low for _, each in held], [each.high for _, each in held])


def cold_lines(case: Case, figures: Mapping[str, Figure], spread: Spreads = NO_SPREADS) -> Lines | None:
    """Range on the customer's trip over outside temperature, the heater on: the figure of the coldest day, reworked at others.

    With its band where the figure has one, on the draws of `spread`.

    None where that figure is missing.
    """
    name = main_trip(case)
    figure, mild = figures["road.range_cold"], figures.get(f"road.range.{name}")
    if any(each.name == name and each.temperature for each in case.build.duty.trips):
        mild = None  # that one is driven on a day of its own
    if figure.node is None:
        return None
    driven = next(node for node in figure.node.walk() if isinstance(node.value, Driven))
    coldest, least = driven.inputs["car"].inputs["temperature"], case.cell.temperature_discharge_min.value
    outside = sorted({each for each in map(celsius, COLDER) if each >= least} | {coldest.value})
    spaced: Any = np.array(outside)
    km: Any = evaluate_all({"": figure.node}, {id(coldest): spaced})[""] / 1000
    known = _known(km)
    low, high = ((), ()) if figure.low is None else _band_of(figure.node, coldest, outside, spread)
    line = Series("heater on", tuple(each - celsius(0) for each in outside), known, low, high)
    marks = [Mark("x", coldest.shown, "coldest design day")]
    if mild is not None and mild.value is not None:
        marks.append(Mark("y", mild.value, "mild day, heater off:"))
    most = max(each for each in (*known, *high, marks[-1].at if marks[-1].of == "y" else None) if each is not None)
    return Lines(
        f"Range in the cold: {driven.inputs['asked'].value.title}",
        f"Range on the customer's trip over outside temperature with the heater on{', with its likely band' if low else ''}, "
        "shorter the colder, beside the range on a mild day with the heater off.",
        Axis("Outside temperature", Unit("°C")),
        (Panel(Axis("Range", Unit("km")), (line,), tuple(marks), low=0.0, high=1.2 * most),),
    )


def _known(km: Any) -> tuple[Number, ...]:
    return tuple(float(each) if np.isfinite(each) else None for each in km)


def _band_of(
    node: Node, coldest: Node, outside: list[float], spread: Spreads
) -> tuple[tuple[Number, ...], tuple[Number, ...]]:
    """Both ends of the likely range at each temperature. [km]"""
    low, high = bands_along(node, coldest, outside, spread)
    return _known(np.array(low) / 1000), _known(np.array(high) / 1000)


def charging_lines(figures: Mapping[str, Figure]) -> Lines | None:
    """Charging from the lowest to the highest used charge at every supply at which it is possible."""
    family = "charge.time_full."
    courses = {
        key.removeprefix(family): _charge(figure.node)
        for key, figure in figures.items()
        if key.startswith(family) and figure.node is not None
    }
    if not courses:
        return None
    if len(courses) == 1:
        ((name, course),) = courses.items()
        return charging_plot(*course, name=f"supply '{name}'")
    return charges_plot(courses)


def _charge(node: Node) -> tuple[Any, Any, Any]:
    """Hours, power into the pack [kW] and charge [1] of a charge that was worked out."""
    known: dict[str, Any] = {each: one.value for each, one in node.inputs.items()}
    spaced: Any = np.linspace
    charge: Any = spaced(known["start"], known["end"], PIECES + 1)
    hours: Any = np.asarray(charging_time(**{**known, "end": charge})) / 3600
    rest, resistance = known["pack"].at(charge)
    current = known["limits"].at(rest, resistance)
    return hours, (rest + resistance * current) * current / 1000, charge
