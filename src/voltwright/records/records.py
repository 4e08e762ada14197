"""The records of a workshop: the one door for whoever uses them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from pathlib import Path

from voltwright.records.attachments import Attachments
from voltwright.records.backup import Verified
from voltwright.records.cars import Cars
from voltwright.records.drafts import Drafts
from voltwright.records.opening import PATIENCE, open_store
from voltwright.records.own_parts import OwnParts
from voltwright.records.people import People
from voltwright.records.revisions import Revisions
from voltwright.records.settings import Settings
from voltwright.records.store import Store


@dataclass(frozen=True, eq=False)
class Records:
    """Open records; threads may share them. Whatever saves has it on the disk when it returns. Times come in as arguments."""

    store: Store

    @classmethod
    def open(cls, place: str | Path, *, patience: float = PATIENCE) -> Records:
        """Open the records in a folder, or on the server of a `postgresql://` URL; where there are none, begin them.

        `patience` is how many seconds a save waits for another. Raises StoreError, SchemaError where they are newer than
        this Voltwright, ReadOnlyError, FullError, BusyError, DamageError.
        """
        return cls(open_store(place, patience=patience))

    def backup(self, file: Path) -> Verified:
        """Write everything into one new SQLite file, verified, while others go on working. Raises OutputError, DamageError."""
        from voltwright.records.backup import backup

        return backup(self.store, file)

    @staticmethod
    def restore(file: Path, place: str | Path, *, replace: bool = False, at: datetime) -> Verified:
        """Put a backup into a place where there are no records, or with `replace` in their stead, keeping those aside.

        Raises FileError, DamageError, SchemaError, OutputError, BusyError; the place is then as it was.
        """
        from voltwright.records.backup import restore

        return restore(file, place, replace=replace, at=at)

    def close(self) -> None:
        self.store.close()

    def __enter__(self) -> Records:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @cached_property
    def cars(self) -> Cars:
        return Cars(self.store)

    @cached_property
    def drafts(self) -> Drafts:
        return Drafts(self.store)

    @cached_property
    def revisions(self) -> Revisions:
        return Revisions(self.store)

    @cached_property
    def attachments(self) -> Attachments:
        return Attachments(self.store)

    @cached_property
    def own_parts(self) -> OwnParts:
        return OwnParts(self.store)

    @cached_property
    def people(self) -> People:
        return People(self.store)

    @cached_property
    def settings(self) -> Settings:
        return Settings(self.store)
