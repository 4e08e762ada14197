"""Checks that everything is there and is what was saved: the database, each checksum, each unbroken log."""

from __future__ import annotations

from collections.abc import Iterator

from sqlalchemy import Connection, Table, func, select, text

from voltwright.quantity.errors import DamageError, Problem
from voltwright.records import texts
from voltwright.records.schema import builds, draft_log, files, metadata, revisions


def verified(connection: Connection) -> dict[str, int]:
    """Rows of each table, all checked. Raises DamageError naming what is wrong."""
    wrong = (
        [*_of_sqlite(connection), *_gaps(connection)] if connection.dialect.name == "sqlite" else [*_gaps(connection)]
    )
    if wrong:
        mend = "keep a copy of it as it is, and use another backup"
        raise DamageError(Problem("; ".join(wrong[:5]), "records that are whole", mend))
    _contents(connection, texts.texts, "body", "the document")
    _contents(connection, files, "content", "the attachment")
    return counted(connection)


def counted(connection: Connection) -> dict[str, int]:
    """Rows of each table."""
    return {
        name: connection.execute(select(func.count()).select_from(table)).scalar_one()
        for name, table in sorted(metadata.tables.items())
    }


def _of_sqlite(connection: Connection) -> Iterator[str]:
    said = connection.execute(text("PRAGMA integrity_check")).scalars().all()
    if said != ["ok"]:
        yield f"the database is damaged ({said[0]})"
    for row in connection.execute(text("PRAGMA foreign_key_check")):
        yield f"a row of {row[0]} refers to one of {row[2]} that is not there"


def _gaps(connection: Connection) -> Iterator[str]:
    """Logs that do not run from 1 to the number of their build, and revisions that name no edit or another text."""
    counted = select(
        builds.c.id, builds.c.number, func.count(draft_log.c.number), func.coalesce(func.max(draft_log.c.number), 0)
    )
    joined = counted.outerjoin(draft_log, draft_log.c.build == builds.c.id).group_by(builds.c.id, builds.c.number)
    for build, number, count, last in connection.execute(joined.order_by(builds.c.id)):
        if not number == count == last:
            yield f"build {build} has {number} edits, and its log holds {count} up to {last}"
    same = (draft_log.c.build == revisions.c.build) & (draft_log.c.number == revisions.c.draft)
    odd = select(revisions.c.build, revisions.c.number).outerjoin(draft_log, same)
    where = draft_log.c.sha256.is_(None) | (draft_log.c.sha256 != revisions.c.sha256)
    for build, number in connection.execute(odd.where(where)):
        yield f"revision {number} of build {build} is not the edit that it names"


def _contents(connection: Connection, table: Table, column: str, what: str) -> None:
    asked = select(table.c.sha256, table.c[column]).execution_options(yield_per=20)
    for row in connection.execute(asked):
        texts.checked(row[1], row[0], f"{what} {row[0][:12]}")
