"""Views of the list of cars. `views` hands them on by name."""

from __future__ import annotations

from dataclasses import dataclass

from voltwright.records.rows import BuildRow, Car


@dataclass(frozen=True)
class BuildLine:
    """A build in the list of cars: its newest revision, and how many stops and cautions were found when that was saved.

    None where there is no revision, or where it was saved before they were counted.
    """

    build: BuildRow
    revision: int | None
    stops: int | None
    cautions: int | None


@dataclass(frozen=True)
class CarLine:
    """A car in the list, with its builds in the order in which they came."""

    car: Car
    builds: tuple[BuildLine, ...]

    @property
    def last(self) -> BuildRow | None:
        """The build that was edited last."""
        return max((each.build for each in self.builds), key=lambda each: (each.at, each.id), default=None)


@dataclass(frozen=True)
class CarsPage:
    """A page of the list of cars, those first that were edited last. `found`: how many there are on all `pages`."""

    cars: tuple[CarLine, ...]
    found: int
    page: int
    pages: int


@dataclass(frozen=True)
class TakenIn:
    """The builds that came of files, and which files were not taken."""

    builds: tuple[BuildRow, ...]
    left: tuple[str, ...]


@dataclass(frozen=True)
class BuildNow:
    """A build and its car; `undoes` edits can be taken back, `redoes` that were taken back can be brought back."""

    car: Car
    build: BuildRow
    undoes: int
    redoes: int
