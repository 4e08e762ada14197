"""The workshop's own parts, in the schema of the catalogue. A changed datasheet is a further one; the old one stays.

A change names the number of the datasheet that it started from; where somebody else put a later one there it is refused.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, func, insert, select

from voltwright.quantity.errors import ConflictError, Newer, Problem
from voltwright.records.checks import made, must_exist, plain, signed
from voltwright.records.drafts import difference
from voltwright.records.rows import OwnPart
from voltwright.records.schema import own_parts
from voltwright.records.store import Store


@dataclass(frozen=True)
class OwnParts:
    """Datasheets by the id of their part."""

    store: Store

    def put(self, datasheet: Mapping[str, Any], *, since: int = 0, who: str, at: datetime) -> OwnPart:
        """Keep a datasheet; the same once more makes no new one. `since`: the number of the one that was seen, 0 for a new part.

        Raises PartError listing all that is wrong with it, and ConflictError where another one stands there.
        """
        from voltwright.parts.datasheet import canonical  # a few hundred milliseconds that reading needs not

        document = plain(canonical(datasheet), "the datasheet")
        return self._add(document["id"], document, who, at, since)

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
        with self.store.reading() as connection:
            return _log(connection, part)

    def _add(
        self, part: str, document: dict[str, Any] | None, who: str, at: datetime, since: int | None = None
    ) -> OwnPart:
        with self.store.writing() as connection:
            log = _log(connection, part)
            last = log[-1] if log else None
            if last is not None and last.document == document:
                return last
            if document is not None and last is not None and since not in _starts(last):
                raise _conflict(log, since or 0, document)
            row: dict[str, Any] = {"part": part, "number": (last.number if last else 0) + 1, "document": document}
            row |= signed(who, at)
            connection.execute(insert(own_parts).values(row))
            return OwnPart(**row)


def _log(connection: Connection, part: str) -> tuple[OwnPart, ...]:
    asked = select(own_parts).where(own_parts.c.part == part).order_by(own_parts.c.number)
    return tuple(made(OwnPart, row) for row in connection.execute(asked))


def _starts(last: OwnPart) -> tuple[int, ...]:
    """From which numbers a further datasheet may start: of a part that was taken off the shelf a new one may begin, too."""
    return (last.number,) if last.document is not None else (last.number, 0)


def _conflict(log: tuple[OwnPart, ...], since: int, document: Mapping[str, Any]) -> ConflictError:
    """What the others and the refused datasheet change."""
    last = log[-1]
    base = next((each.document for each in log if each.number == since), None)
    newer = [Newer(each.number, each.who, each.at, each.part) for each in log if each.number > since or each is last]
    seen = f"datasheet {since}" if since else "no datasheet"
    done = f"put datasheet {last.number} there" if last.document else f"put it away (number {last.number})"
    what = f"you started from {seen} of '{last.part}'; {last.who} {done} since"
    mend = f"look at both differences and save anew from number {last.number}"
    theirs = difference(_lines(base), _lines(last.document), "as you saw it", "as it is now")
    yours = difference(_lines(base), _lines(document), "as you saw it", "as you would have it")
    return ConflictError(Problem(what, f"a change of datasheet {last.number}", mend), newer, theirs, yours)


def _lines(document: Mapping[str, Any] | None) -> str:
    return json.dumps(document, indent=1, ensure_ascii=False, sort_keys=True) if document else ""
