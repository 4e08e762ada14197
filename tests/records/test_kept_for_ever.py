"""What is kept for ever cannot be changed, not even by plain SQL, in either database."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from sqlalchemy import text

from voltwright.quantity.errors import ConflictError, DamageError, StoreError
from voltwright.records.records import Records
from voltwright.records.revisions import WorkedOut
from voltwright.records.schema import KEPT_FOR_EVER

AT = datetime(2026, 11, 27, 9, 30, tzinfo=UTC)
MADE_WITH = WorkedOut("ab" * 32, "0.1.0", {"mass.kerb": {"value": 1143.0, "unit": "kg"}})
FUSE = {
    "id": "fuse/own-160a", "kind": "fuse", "title": "Fuse from the drawer", "source": "own-measurement",
    "grade": "measured",
}  # fmt: skip


@pytest.fixture
def filled(records: Records) -> Records:
    """One row at least in every table that is kept for ever."""
    car = records.cars.add("Blue coupé", who="Ann", at=AT)
    build = records.cars.add_build(car.id, "as ordered", "one", who="Ann", at=AT).id
    records.drafts.save(build, "two", since=1, who="Ann", at=AT)
    with pytest.raises(ConflictError):
        records.drafts.save(build, "three", since=1, who="Ben", at=AT)
    records.revisions.save(build, "quote", since=2, reason="sent", worked_out=MADE_WITH, who="Ann", at=AT)
    with records.store.writing() as connection:
        connection.execute(
            text("INSERT INTO own_parts (part, number, document, who, at) VALUES ('fuse/a', 1, '{}', 'Ann', :at)"),
            {"at": "2026-11-27T09:30:00.000000Z"},
        )
    return records


def contents(records: Records) -> dict[str, list[tuple[object, ...]]]:
    with records.store.reading() as connection:
        return {table.name: [tuple(row) for row in connection.execute(table.select())] for table in KEPT_FOR_EVER}


def attempts(table: str, column: str, postgresql: bool) -> list[str]:
    always = [
        f"UPDATE {table} SET {column} = {column}",
        f"DELETE FROM {table}",
        f"WITH gone AS (SELECT 1) DELETE FROM {table} WHERE 1 = (SELECT * FROM gone)",
    ]
    if postgresql:
        return [
            *always,
            f"TRUNCATE {table} CASCADE",
            f"MERGE INTO {table} USING (SELECT 1) AS s ON true WHEN MATCHED THEN DELETE",
        ]
    changed = {"texts": "body"}.get(table, "who")
    columns = "*" if table != "texts" else "sha256, body || 'x'"
    return [
        *always,
        f"REPLACE INTO {table} SELECT {columns} FROM {table}",
        f"INSERT OR REPLACE INTO {table} SELECT {columns} FROM {table}",
        f"UPDATE OR REPLACE {table} SET {changed} = 'x'",
    ]


@pytest.mark.parametrize("table", [each.name for each in KEPT_FOR_EVER])
def test_the_database_itself_refuses(filled: Records, table: str) -> None:
    before = contents(filled)
    assert before[table]
    column = "body" if table == "texts" else "who"
    for attempt in attempts(table, column, filled.store.file is None):
        with pytest.raises(StoreError, match="for ever"), filled.store.writing() as connection:
            connection.execute(text(attempt))
        assert contents(filled) == before, attempt


@pytest.mark.parametrize("child", ["draft_log", "builds"])
def test_what_leads_to_it_cannot_go_either(filled: Records, child: str) -> None:
    before = contents(filled)
    with pytest.raises(StoreError), filled.store.writing() as connection:
        connection.execute(text("DELETE FROM cars" if child == "builds" else "DELETE FROM builds"))
    assert contents(filled) == before


def test_a_text_that_was_changed_behind_our_back_is_told(filled: Records) -> None:
    """Somebody with enough rights can take a trigger away; the checksum then tells."""
    with filled.store.writing() as connection:
        on = "" if filled.store.file else " ON texts"
        connection.execute(text(f"DROP TRIGGER texts_no_update{on}"))
        connection.execute(text("UPDATE texts SET body = body || ' more'"))
    for read in (
        lambda: filled.drafts.now(1),
        lambda: filled.drafts.refused(1),
        lambda: filled.revisions.text(1, 1),
    ):
        with pytest.raises(DamageError, match="not what was saved"):
            read()
