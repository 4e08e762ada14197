"""Trips side by side: what each asks of the battery and of the wall, and how far the car comes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from voltwright.assess.keys import family_of
from voltwright.assess.trips import FAMILIES
from voltwright.papers.nodes import Column, Heading, Node, Prose, Table
from voltwright.parts.trips import trip_title
from voltwright.quantity.figure import Figure

_COLUMNS = (
    Column("Trip", 1.6),
    Column("At the battery", 1.0, right=True),
    Column("Band", 1.0, right=True),
    Column("At the wall", 1.0, right=True),
    Column("Band", 1.0, right=True),
    Column("Range", 0.9, right=True),
    Column("Band", 1.0, right=True),
)


def of_a_trip(key: str) -> bool:
    """Whether a figure stands in this table."""
    return family_of(key) in FAMILIES


def trips_table(figures: Mapping[str, Figure], system: str) -> Iterator[Node]:
    """A row for each trip that the car can do; below it those that it cannot, and why."""
    names = [key.removeprefix("road.range.") for key in figures if key.startswith("road.range.")]
    done = [name for name in names if figures[f"road.range.{name}"].value is not None]
    if names:
        yield Heading(3, "Trips")
        yield Prose(
            "Each trip is driven by simulation again and again until the lowest charge that is used: keys road.consumption.TRIP, "
            "road.consumption_wall.TRIP and road.range.TRIP. Only the customer's trip has its working below; the others are worked alike.",
            small=True,
        )
    if done:
        yield Table(_COLUMNS, tuple(_row(figures, name, system) for name in done))
    for name in names:
        if name not in done:
            yield Prose(f"{trip_title(name)}: {figures[f'road.range.{name}'].reason}.", small=True)


def _row(figures: Mapping[str, Figure], name: str, system: str) -> tuple[str, ...]:
    cells = [trip_title(name)]
    for family in FAMILIES:
        figure = figures[f"{family}.{name}"]
        cells += [figure.printed(system), figure.printed_band(system)]
    return tuple(cells)
