"""People who work with the records, and their passwords, of which only a hash is kept."""

from __future__ import annotations

import secrets
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, get_args
from unicodedata import normalize

from sqlalchemy import Connection, Row, insert, select, update

from voltwright.quantity.errors import EntryError, Problem
from voltwright.records.checks import LONGEST_NAME, aware, must_exist, name_of, sha256_of, text_of
from voltwright.records.rows import Person, Role
from voltwright.records.schema import people
from voltwright.records.store import Store

SHORTEST_PASSWORD, LONGEST_PASSWORD = 8, 1000  # characters
_NOBODY = "nobody has this password, but to say so takes as long as for a wrong one"


@dataclass(frozen=True)
class Entered:
    """Somebody who showed their password, and a stamp by which to know later whether it is still theirs."""

    person: Person
    stamp: str = field(repr=False)


@dataclass(frozen=True)
class People:
    """Nobody is deleted: who leaves is not active any more. There is always an active owner once there was one."""

    store: Store

    def add(self, name: str, role: Role, password: str, *, at: datetime) -> Person:
        """A new person. Raises EntryError where the name is taken, capitals or not, or the password too short."""
        name, hashed = name_of(name, "the name"), _hash(password)
        with self.store.writing() as connection:
            taken = next((each for each in connection.scalars(select(people.c.name)) if _same(each, name)), None)
            if taken is not None:
                mend = "add a letter of the family name, or make the one who left active again"
                allowed = "a name of their own, whatever letters are capitals"
                raise EntryError(Problem(f"there is a '{taken}' already", allowed, mend))
            row = {"name": name, "role": _role(role), "password": hashed, "active": True, "at": aware(at)}
            made = connection.execute(insert(people).values(row).returning(people.c.id)).scalar_one()
            return _person(connection, made)

    def list(self) -> tuple[Person, ...]:
        """Everybody, by name, those who left included."""
        with self.store.reading() as connection:
            return tuple(_as_person(row) for row in connection.execute(select(people).order_by(people.c.name)))

    def change(self, person: int, *, role: Role | None = None, active: bool | None = None) -> Person:
        """Raises AbsentError, and EntryError where no active owner would be left."""
        given = {"role": None if role is None else _role(role), "active": active}
        with self.store.writing() as connection:
            _person(connection, person)
            wanted = {key: value for key, value in given.items() if value is not None}
            owners = connection.execute(_owners().with_for_update()).scalars().all()
            if wanted:
                connection.execute(update(people).where(people.c.id == person).values(wanted))
            if owners and not connection.execute(_owners()).first():
                mend = "make somebody else an owner first"
                raise EntryError(Problem("nobody would be owner any more", "one active owner at least", mend))
            return _person(connection, person)

    def set_password(self, person: int, password: str) -> None:
        """Raises AbsentError, and EntryError where it is too short."""
        hashed = _hash(password)
        with self.store.writing() as connection:
            _person(connection, person)
            connection.execute(update(people).where(people.c.id == person).values(password=hashed))

    def enter(self, name: str, password: str) -> Entered | None:
        """The active person of exactly that name and password, or None; a wrong name takes as long to refuse as a wrong password.

        Raises EntryError where nobody could have them.
        """
        name, password = text_of(name, "the name", LONGEST_NAME), text_of(password, "the password", LONGEST_PASSWORD)
        with self.store.reading() as connection:
            row = connection.execute(select(people).where(people.c.name == name.strip())).first()
        right = _matches(row.password if row else _dummy(), password)
        return Entered(_as_person(row), _stamp(row.password)) if row and right and row.active else None

    def still(self, name: str, stamp: str) -> Person | None:
        """Who entered with that stamp; None where they left, or their password was changed since."""
        with self.store.reading() as connection:
            row = connection.execute(select(people).where(people.c.name == name)).first()
        return _as_person(row) if row and row.active and secrets.compare_digest(_stamp(row.password), stamp) else None


def _same(one: str, other: str) -> bool:
    """Whether people would take one name for the other: capitals, and ways to write an accent, do not tell two apart."""
    return normalize("NFKC", one).casefold() == normalize("NFKC", other).casefold()


def _stamp(hashed: str) -> str:
    """Another one for each password that is set, the same one again included, for each has a salt of its own."""
    return sha256_of(hashed)


def _owners() -> Any:
    return select(people.c.id).where(people.c.role == "owner", people.c.active)


def _role(role: str) -> str:
    if role not in get_args(Role):
        raise EntryError(Problem(f"'{role}' is no role", ", ".join(get_args(Role)), "choose one of them"))
    return role


def _hash(password: str) -> str:
    from argon2 import PasswordHasher

    if len(text_of(password, "the password", LONGEST_PASSWORD)) < SHORTEST_PASSWORD:
        what = f"the password has {len(password)} characters"
        raise EntryError(Problem(what, f"at least {SHORTEST_PASSWORD}", "take a few words that belong to nothing"))
    return PasswordHasher().hash(password)


def _dummy() -> str:
    global _dummy_hash
    _dummy_hash = _dummy_hash or _hash(_NOBODY)
    return _dummy_hash


_dummy_hash = ""


def _matches(hashed: str, password: str) -> bool:
    from argon2 import PasswordHasher
    from argon2.exceptions import VerificationError

    try:
        return PasswordHasher().verify(hashed, password)
    except VerificationError:
        return False


def _person(connection: Connection, person: int) -> Person:
    return _as_person(
        must_exist(connection.execute(select(people).where(people.c.id == person)).first(), f"person {person}")
    )


def _as_person(row: Row[Any]) -> Person:
    return Person(row.id, row.name, row.role, row.active, row.at)
