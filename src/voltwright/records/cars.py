"""Cars of the workshop, and the builds of each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, Select, func, insert, select, update

from voltwright.quantity.errors import EntryError, Problem
from voltwright.records import attachments, drafts, revisions
from voltwright.records.checks import LONGEST_NAME, made, must_exist, name_of, signed, text_of
from voltwright.records.rows import Attachment, BuildRow, Car, Revision
from voltwright.records.schema import builds, cars, draft_log
from voltwright.records.store import Store


@dataclass(frozen=True)
class CarFile:
    """All that is kept of one car but for the documents themselves. Revisions stand in order of build and number."""

    car: Car
    builds: tuple[BuildRow, ...]
    revisions: tuple[Revision, ...]
    attachments: tuple[Attachment, ...]


@dataclass(frozen=True)
class Standing:
    """A build as it stands in a list, with its newest revision if it has any."""

    build: BuildRow
    revision: Revision | None


@dataclass(frozen=True)
class Cars:
    """Nothing here is deleted: a car that is done with is put away."""

    store: Store

    def add(self, name: str, *, customer: str = "", who: str, at: datetime) -> Car:
        """A new car, without builds yet."""
        row = {"name": name_of(name, "the name of the car"), "customer": _customer(customer), "away": False}
        with self.store.writing() as connection:
            made = connection.execute(insert(cars).values(row | signed(who, at)).returning(cars.c.id)).scalar_one()
            return _car(connection, made)

    def change(
        self, car: int, *, name: str | None = None, customer: str | None = None, away: bool | None = None
    ) -> Car:
        """Correct what is given. Raises AbsentError."""
        given = {
            "name": None if name is None else name_of(name, "the name of the car"),
            "customer": None if customer is None else _customer(customer),
            "away": away,
        }
        with self.store.writing() as connection:
            _car(connection, car)
            wanted = {key: value for key, value in given.items() if value is not None}
            if wanted:
                connection.execute(update(cars).where(cars.c.id == car).values(wanted))
            return _car(connection, car)

    def list(self, *, away: bool = False) -> tuple[Car, ...]:
        """Cars, those first that were edited last; or those that were put away."""
        with self.store.reading() as connection:
            found = [_as_car(row) for row in connection.execute(_cars().where(cars.c.away == away))]
        return tuple(sorted(found, key=lambda car: (car.edited or car.at, car.id), reverse=True))

    def standing(self, which: Sequence[int]) -> tuple[Standing, ...]:
        """The builds of some cars in order of car and build, each with its newest revision."""
        asked = _builds().where(builds.c.car.in_(which)).order_by(builds.c.car, builds.c.id)
        with self.store.reading() as connection:
            rows = tuple(map(_as_build, connection.execute(asked)))
            kept = revisions.listed(connection, builds.c.car.in_(which) & revisions.is_newest())
        last = {each.build: each for each in kept}
        return tuple(Standing(each, last.get(each.id)) for each in rows)

    def open(self, car: int) -> CarFile:
        """Everything of one car. Raises AbsentError."""
        with self.store.reading() as connection:
            rows = connection.execute(_builds().where(builds.c.car == car).order_by(builds.c.id))
            return CarFile(
                _car(connection, car),
                tuple(map(_as_build, rows)),
                revisions.listed(connection, builds.c.car == car),
                attachments.listed(connection, car),
            )

    def build(self, build: int) -> BuildRow:
        """One build, with the car to which it belongs. Raises AbsentError."""
        with self.store.reading() as connection:
            found = connection.execute(_builds().where(builds.c.id == build)).first()
        return _as_build(must_exist(found, f"build {build}"))

    def add_build(self, car: int, name: str, text: str, *, who: str, at: datetime) -> BuildRow:
        """A new build of a car, its document being edit 1. Raises EntryError where the car has one of that name."""
        name = name_of(name, "the name of the build")
        with self.store.writing() as connection:
            _car(connection, car)
            _must_be_free(connection, car, name)
            row = {"car": car, "name": name, "number": 0}
            made = connection.execute(insert(builds).values(row).returning(builds.c.id)).scalar_one()
            drafts.begin(connection, made, text, who, at)
            return _as_build(connection.execute(_builds().where(builds.c.id == made)).one())

    def rename_build(self, build: int, name: str) -> BuildRow:
        """Give a build another name. Raises AbsentError, and EntryError where the car has one of that name."""
        name = name_of(name, "the name of the build")
        with self.store.writing() as connection:
            now = must_exist(connection.execute(_builds().where(builds.c.id == build)).first(), f"build {build}")
            if now.name != name:
                _must_be_free(connection, now.car, name)
                connection.execute(update(builds).where(builds.c.id == build).values(name=name))
            return _as_build(connection.execute(_builds().where(builds.c.id == build)).one())


def _must_be_free(connection: Connection, car: int, name: str) -> None:
    taken = select(builds.c.id).where(builds.c.car == car, builds.c.name == name)
    if connection.execute(taken).first():
        mend = "give it another name, or edit the one that is there"
        raise EntryError(Problem(f"the car has a build '{name}' already", "one build of a name", mend))


def _customer(name: str) -> str:
    return text_of(name, "the customer", LONGEST_NAME).strip()


def _cars() -> Select[Any]:
    counted = (
        select(builds.c.car, func.count().label("builds"), func.max(draft_log.c.at).label("edited"))
        .join(draft_log, (draft_log.c.build == builds.c.id) & (draft_log.c.number == builds.c.number))
        .group_by(builds.c.car)
        .subquery()
    )
    return select(cars, func.coalesce(counted.c.builds, 0).label("builds"), counted.c.edited).outerjoin(
        counted, counted.c.car == cars.c.id
    )


def _car(connection: Connection, car: int) -> Car:
    return _as_car(must_exist(connection.execute(_cars().where(cars.c.id == car)).first(), f"car {car}"))


def _as_car(row: Row[Any]) -> Car:
    return made(Car, row)


def _builds() -> Select[Any]:
    newest = (draft_log.c.build == builds.c.id) & (draft_log.c.number == builds.c.number)
    return select(builds, draft_log.c.who, draft_log.c.at).join(draft_log, newest)


def _as_build(row: Row[Any]) -> BuildRow:
    return made(BuildRow, row)
