"""Use cases of the owner: people, settings, backups; and the door, where people say who they are."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass, field
from datetime import UTC
from pathlib import Path
from typing import Any

from voltwright.quantity.errors import EntryError, Problem
from voltwright.records.records import Records
from voltwright.services.actor import Actor, use_case
from voltwright.services.shared import Shared
from voltwright.services.views import PassingFile, Person, Role


class OldPasswordError(EntryError):
    """Somebody guesses the password of a person who is signed in, or mistyped it."""


@dataclass(frozen=True)
class SignedIn:
    """What a session keeps of somebody: the name, and a stamp of the password that they showed."""

    name: str
    stamp: str = field(repr=False)


@dataclass(frozen=True)
class Door:
    """Before anybody acts. What it hands out is an actor; nothing else of the workshop can be had without one."""

    _records: Records

    def sign_in(self, name: str, password: str) -> SignedIn | None:
        """Who has this name and password and still works here. A wrong name takes as long to refuse as a wrong password.

        Raises EntryError where nobody could have them.
        """
        known = self._records.people.enter(name, password)
        return SignedIn(known.person.name, known.stamp) if known else None

    def still(self, before: SignedIn) -> Actor | None:
        """Somebody who signed in before, with the role of now; None where they left or have another password, whoever gave it.

        To be asked whenever a session comes back.
        """
        known = self._records.people.still(before.name, before.stamp)
        return Actor(known.name, known.role) if known else None


@dataclass(frozen=True)
class People:
    """Who works here. Nobody is deleted, and an active owner is always left."""

    _shared: Shared

    @use_case("people.list")
    def list(self, actor: Actor) -> tuple[Person, ...]:
        """Everybody by name, those who left included."""
        return self._shared.records.people.list()

    @use_case("people.add")
    def add(self, actor: Actor, name: str, role: Role, password: str) -> Person:
        """Somebody new. Raises EntryError where the name is taken or the password too short."""
        return self._shared.records.people.add(name, role, password, at=self._shared.clock())

    @use_case("people.change")
    def change(self, actor: Actor, person: int, *, role: Role | None = None, active: bool | None = None) -> Person:
        """Give another role, or let go and take back. Raises AbsentError, and EntryError where no owner would be left."""
        return self._shared.records.people.change(person, role=role, active=active)

    @use_case("people.set_password")
    def set_password(self, actor: Actor, person: int, password: str) -> None:
        """Give somebody a new password. Raises AbsentError, EntryError."""
        self._shared.records.people.set_password(person, password)

    @use_case("people.set_own_password")
    def set_own_password(self, actor: Actor, old: str, new: str) -> None:
        """Change one's own password. Raises EntryError where the old one is wrong or the new one too short."""
        known = self._shared.records.people.enter(actor.name, old)
        if known is None:
            raise OldPasswordError(Problem("the old password is wrong", "your own", "type it again, or ask an owner"))
        self._shared.records.people.set_password(known.person.id, new)


@dataclass(frozen=True)
class Settings:
    """What holds for the whole workshop."""

    _shared: Shared

    @use_case("settings.all")
    def all(self, actor: Actor) -> dict[str, Any]:
        """Every setting by its key."""
        return self._shared.records.settings.all()

    @use_case("settings.set")
    def set(self, actor: Actor, key: str, value: Any) -> None:
        """Set or replace one; values are what JSON can hold. Raises EntryError."""
        self._shared.records.settings.set(key, value)


@dataclass(frozen=True)
class Backups:
    """Everything in one file, verified."""

    _shared: Shared

    @use_case("backups.make")
    def make(self, actor: Actor) -> PassingFile:
        """The records as they are now, for the owner to keep in another place. Raises OutputError, DamageError, FullError."""
        name = f"voltwright-{self._shared.clock().astimezone(UTC):%Y%m%dT%H%M%SZ}.db"
        made = PassingFile(Path(tempfile.mkdtemp(prefix="voltwright-backup-")) / name, "application/vnd.sqlite3")
        try:
            self._shared.records.backup(made.path)
        except BaseException:
            made.remove()
            raise
        return made
