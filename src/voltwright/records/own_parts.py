"""The workshop's own parts, in the schema of the catalogue. A changed datasheet is a further one; the old one stays."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, func, insert, select

from voltwright.records.checks import made, must_exist, plain, signed
from voltwright.records.rows import OwnPart
from voltwright.records.schema import own_parts
from voltwright.records.store import Store


@dataclass(frozen=True)
class OwnParts:
    """Datasheets by the id of their part."""

    store: Store

    def put(self, datasheet: Mapping[str, Any], *, who: str, at: datetime) -> OwnPart:
        """Keep a datasheet; the same once more makes no new one. Raises PartError listing all that is wrong with it."""
        from voltwright.parts.datasheet import canonical  # a few hundred milliseconds that reading needs not

        document = plain(canonical(datasheet), "the datasheet")
        return self._add(document["id"], document, who, at)

    def take_off(self, part: str, *, who: str, at: datetime) -> OwnPart:
        """Take a part off the shelf; its datasheets stay in the log. Raises AbsentError."""
        must_exist(self.shelved().get(part), f"own part '{part}'")
        return self._add(part, None, who, at)

    def shelved(self) -> dict[str, Mapping[str, Any]]:
        """The datasheets that count, by id."""
        newest = select(own_parts.c.part, func.max(own_parts.c.number).label("number")).group_by(own_parts.c.part)
        last = newest.subquery()
        mine = (own_parts.c.part == last.c.part) & (own_parts.c.number == last.c.number)
        asked = select(own_parts.c.part, own_parts.c.document).join(last, mine).order_by(own_parts.c.part)
        with self.store.reading() as connection:
            return {row.part: row.document for row in connection.execute(asked) if row.document is not None}

    def put_away(self) -> tuple[str, ...]:
        """The ids of the parts that were on the shelf once, and are not now."""
        known, asked = self.shelved(), select(own_parts.c.part).distinct().order_by(own_parts.c.part)
        with self.store.reading() as connection:
            return tuple(part for part in connection.execute(asked).scalars() if part not in known)

    def log(self, part: str) -> tuple[OwnPart, ...]:
        """Every datasheet that a part has had, oldest first."""
        asked = select(own_parts).where(own_parts.c.part == part).order_by(own_parts.c.number)
        with self.store.reading() as connection:
            return tuple(made(OwnPart, row) for row in connection.execute(asked))

    def _add(self, part: str, document: dict[str, Any] | None, who: str, at: datetime) -> OwnPart:
        with self.store.writing() as connection:
            last = _last(connection, part)
            if last is not None and last.document == document:
                return last
            row: dict[str, Any] = {"part": part, "number": (last.number if last else 0) + 1, "document": document}
            row |= signed(who, at)
            connection.execute(insert(own_parts).values(row))
            return OwnPart(**row)


def _last(connection: Connection, part: str) -> OwnPart | None:
    asked = select(own_parts).where(own_parts.c.part == part).order_by(own_parts.c.number.desc()).limit(1)
    row = connection.execute(asked).first()
    return made(OwnPart, row) if row else None
