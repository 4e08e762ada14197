"""Files of a car, by the fingerprint of their content: photographs, weighbridge tickets, speed traces."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, insert, select

from voltwright.quantity.errors import EntryError, Problem
from voltwright.records import texts
from voltwright.records.checks import LONGEST_REASON, made, must_exist, name_of, sha256_of, signed, text_of
from voltwright.records.rows import Attachment
from voltwright.records.schema import attachments, cars, files
from voltwright.records.store import Store

LARGEST = 64_000_000  # bytes; photographs and scans are far below it


@dataclass(frozen=True)
class Attachments:
    """A file of the same name again stands beside the older one; the newest counts. The same content is kept once."""

    store: Store

    def add(self, car: int, name: str, content: bytes, *, note: str = "", who: str, at: datetime) -> Attachment:
        """Keep a file. Raises AbsentError, and EntryError where it is too large."""
        if len(content) > LARGEST:
            what, allowed = f"the file has {len(content) / 1e6:.0f} MB", f"up to {LARGEST / 1e6:.0f} MB"
            raise EntryError(Problem(what, allowed, "make it smaller, or keep it elsewhere and note where"))
        row: dict[str, Any] = {"car": car, "name": name_of(name, "the name of the file"), "size": len(content)}
        row |= {"note": text_of(note, "the note", LONGEST_REASON), "sha256": sha256_of(content)} | signed(who, at)
        with self.store.writing() as connection:
            must_exist(connection.execute(select(cars.c.id).where(cars.c.id == car)).first(), f"car {car}")
            texts.add_once(connection, files, {"sha256": row["sha256"], "content": content})
            return Attachment(
                id=connection.execute(insert(attachments).values(row).returning(attachments.c.id)).scalar_one(), **row
            )

    def read(self, attachment: int) -> bytes:
        """The content. Raises AbsentError, and DamageError where it is not the one that was kept."""
        asked = select(files.c.content, files.c.sha256).join(attachments).where(attachments.c.id == attachment)
        what = f"attachment {attachment}"
        with self.store.reading() as connection:
            row = must_exist(connection.execute(asked).first(), what)
        return texts.checked(row.content, row.sha256, what)

    def list(self, car: int) -> tuple[Attachment, ...]:
        """The files of a car, oldest first."""
        with self.store.reading() as connection:
            return listed(connection, car)


def listed(connection: Connection, car: int) -> tuple[Attachment, ...]:
    """The files of a car, oldest first."""
    asked = select(attachments).where(attachments.c.car == car).order_by(attachments.c.id)
    return tuple(made(Attachment, row) for row in connection.execute(asked))


def newest(kept: Iterable[Attachment]) -> dict[str, Attachment]:
    """The newest file of each name."""
    return {each.name: each for each in sorted(kept, key=lambda each: each.id)}
