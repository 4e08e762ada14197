"""Views of figures, one by one and together. `views` hands them on by name."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from voltwright.services.bill import BillLine


@dataclass(frozen=True)
class FigureView:
    """One figure. `value`, `low`, `high` are in `unit`, that of the contract; `printed` and `band` are as the reader wants them.

    `better` says whether more of it is good, less is, or neither by itself; `reason` why there is no value.
    """

    key: str
    label: str
    printed: str
    band: str
    reason: str
    value: float | None
    unit: str
    low: float | None
    high: float | None
    source: str
    better: Literal["more", "less", ""]


@dataclass(frozen=True)
class TripFigures:
    """The figures of one trip; `asked`: the customer drives it, or judges the range by it."""

    name: str
    title: str
    asked: bool
    figures: tuple[FigureView, ...]


@dataclass(frozen=True)
class Group:
    """Figures that stand together under a title; those of trips are in `trips` too, each figure below its head in `trip_heads`.

    Where the price stands, `bill` has every line of the parts, and `bill_sum` what they come to, where every price is known.
    """

    title: str
    figures: tuple[FigureView, ...]
    trip_heads: tuple[str, ...] = ()
    trips: tuple[TripFigures, ...] = ()
    bill: tuple[BillLine, ...] = ()
    bill_sum: str = ""

    @property
    def plain(self) -> tuple[FigureView, ...]:
        """Those that belong to no trip."""
        of_trips = {each.key for trip in self.trips for each in trip.figures}
        return tuple(each for each in self.figures if each.key not in of_trips)
