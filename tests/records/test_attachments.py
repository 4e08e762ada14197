"""Attachments: what was kept comes back byte by byte, or is said to be damaged."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from sqlalchemy import text

from voltwright.quantity.errors import AbsentError, DamageError, EntryError
from voltwright.records import attachments
from voltwright.records.records import Records

AT = datetime(2026, 11, 27, 9, 30, tzinfo=UTC)
CONTENT = bytes(range(256)) * 40


@pytest.fixture
def car(records: Records) -> int:
    return records.cars.add("Blue coupé", who="Ann", at=AT).id


def test_content_comes_back_byte_by_byte(records: Records, car: int) -> None:
    kept = records.attachments.add(car, "ticket.jpg", CONTENT, note="weighbridge", who="Ann", at=AT)
    assert records.attachments.read(kept.id) == CONTENT
    assert (kept.name, kept.note, kept.size, kept.who, kept.at) == ("ticket.jpg", "weighbridge", 10240, "Ann", AT)
    assert records.attachments.list(car) == records.cars.open(car).attachments == (kept,)
    empty = records.attachments.add(car, "empty", b"", who="Ann", at=AT)
    assert records.attachments.read(empty.id) == b""


def test_the_same_content_is_kept_once(records: Records, car: int) -> None:
    for name in ("a.jpg", "b.jpg", "a.jpg"):
        records.attachments.add(car, name, CONTENT, who="Ann", at=AT)
    with records.store.reading() as connection:
        assert connection.execute(text("SELECT count(*) FROM files")).scalar() == 1
    assert len(records.attachments.list(car)) == 3


def test_the_newest_of_a_name_counts(records: Records, car: int) -> None:
    for content in (b"old", b"new"):
        records.attachments.add(car, "trace.csv", content, who="Ann", at=AT)
    kept = records.attachments.list(car)
    assert records.attachments.read(attachments.newest(kept)["trace.csv"].id) == b"new"
    assert [records.attachments.read(each.id) for each in kept] == [b"old", b"new"]


def test_damage_is_told(records: Records, car: int) -> None:
    kept = records.attachments.add(car, "a.jpg", CONTENT, who="Ann", at=AT)
    with records.store.writing() as connection:
        connection.execute(text("UPDATE files SET content = :other"), {"other": CONTENT[:-1]})
    with pytest.raises(DamageError, match=f"Attachment {kept.id} is not what was saved"):
        records.attachments.read(kept.id)


def test_odd_attachments_are_refused(records: Records, car: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(attachments, "LARGEST", 100)
    with pytest.raises(EntryError, match="MB"):
        records.attachments.add(car, "a.jpg", b"x" * 101, who="Ann", at=AT)
    with pytest.raises(AbsentError, match="no car 7"):
        records.attachments.add(7, "a.jpg", b"x", who="Ann", at=AT)
    with pytest.raises(AbsentError, match="no attachment 3"):
        records.attachments.read(3)
    assert records.attachments.list(car) == ()
