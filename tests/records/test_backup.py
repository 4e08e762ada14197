"""Backups are whole, verified and portable; a restore overwrites nothing unasked and loses nothing asked."""

from __future__ import annotations

import sqlite3
import threading
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import text

from voltwright.quantity.errors import (
    BusyError,
    ConflictError,
    DamageError,
    FileError,
    OutputError,
    SchemaError,
    StoreError,
)
from voltwright.records.records import Records
from voltwright.records.revisions import WorkedOut
from voltwright.records.schema import metadata

AT = datetime(2026, 11, 27, 9, 30, tzinfo=UTC)


def fill(records: Records, name: str = "Blue coupé") -> None:
    """A row at least in every table, own parts by plain SQL for speed."""
    car = records.cars.add(name, customer="Ä. Nobody", who="Ann", at=AT).id
    build = records.cars.add_build(car, "as ordered", "one Ω", who="Ann", at=AT).id
    records.drafts.save(build, "two", since=1, who="Ann", at=AT)
    with pytest.raises(ConflictError):
        records.drafts.save(build, "three", since=1, who="Ben", at=AT)
    made = WorkedOut("ab" * 32, "0.1.0", {"mass.kerb": {"value": 1143.0, "low": None}})
    records.revisions.save(build, "quote", since=2, reason="sent", worked_out=made, who="Ann", at=AT)
    for content in (b"", bytes(range(256)) * 1000):
        records.attachments.add(car, "ticket.jpg", content, who="Ann", at=AT)
    records.people.add("Ann", "owner", "four old tyres", at=AT)
    records.settings.set("units", {"system": "uk"})
    with records.store.writing() as connection:
        row = {"part": "fuse/a", "number": 1, "document": {"id": "fuse/a"}, "who": "Ann", "at": AT}
        connection.execute(metadata.tables["own_parts"].insert().values(row))


def contents(records: Records) -> dict[str, list[tuple[Any, ...]]]:
    with records.store.reading() as connection:
        return {
            name: sorted(map(tuple, connection.execute(table.select())), key=repr)
            for name, table in metadata.tables.items()
        }


@pytest.fixture(params=["sqlite", "postgresql"])
def elsewhere(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Another empty place, of each kind."""
    return str(tmp_path / "elsewhere") if request.param == "sqlite" else request.getfixturevalue("new_database")()


@pytest.fixture
def saved(tmp_path: Path) -> Path:
    """A backup of SQLite records."""
    with Records.open(tmp_path / "origin") as records:
        fill(records)
        records.backup(tmp_path / "saved.db")
    return tmp_path / "saved.db"


def test_a_backup_moves_a_workshop(records: Records, elsewhere: str, tmp_path: Path) -> None:
    fill(records)
    before = contents(records)
    (tmp_path / "new folder").mkdir()
    made = records.backup(tmp_path / "new folder" / "saved.db")
    assert made.rows == {name: len(rows) for name, rows in before.items()}
    assert made.size == (tmp_path / "new folder" / "saved.db").stat().st_size
    restored = Records.restore(tmp_path / "new folder" / "saved.db", elsewhere, at=AT)
    assert (restored.rows, restored.aside) == (made.rows, "")
    with Records.open(elsewhere) as there:
        assert contents(there) == before
        assert there.people.enter("Ann", "four old tyres")
        assert there.cars.add("Next", who="Ann", at=AT).id == 2, "numbers go on behind the last"
        assert there.drafts.save(1, "three", since=2, who="Ann", at=AT).number == 3
        with pytest.raises(StoreError, match="for ever"), there.store.writing() as connection:
            connection.execute(text("DELETE FROM revisions"))


def test_a_backup_is_one_file_and_all_there_is(records: Records, tmp_path: Path) -> None:
    fill(records)
    (tmp_path / "to").mkdir()
    records.backup(tmp_path / "to" / "saved.db")
    assert [each.name for each in (tmp_path / "to").iterdir()] == ["saved.db"]
    with closing(sqlite3.connect(f"file:{tmp_path / 'to' / 'saved.db'}?mode=ro", uri=True)) as plain:
        assert plain.execute("PRAGMA journal_mode").fetchone() == ("delete",)
        assert plain.execute("SELECT name FROM cars").fetchall() == [("Blue coupé",)]


def test_others_go_on_working_meanwhile(records: Records, tmp_path: Path) -> None:
    fill(records)
    stop = threading.Event()
    saved = [2]

    def work() -> None:
        while not stop.is_set():
            number = saved[-1]
            saved.append(records.drafts.save(1, f"{number} {'x' * 20000}", since=number, who="Ann", at=AT).number)

    worker = threading.Thread(target=work)
    worker.start()
    try:
        made = [records.backup(tmp_path / f"saved-{each}.db") for each in range(3)]
    finally:
        stop.set()
        worker.join()
    counts = [each.rows["draft_log"] for each in made]
    assert counts == sorted(counts)
    assert saved == list(range(2, saved[-1] + 1))
    assert saved[-1] > 2


def test_a_backup_overwrites_nothing(records: Records, tmp_path: Path) -> None:
    (tmp_path / "saved.db").write_bytes(b"last week")
    with pytest.raises(OutputError, match="is there already"):
        records.backup(tmp_path / "saved.db")
    assert (tmp_path / "saved.db").read_bytes() == b"last week"
    with pytest.raises(OutputError, match="there is no folder"):
        records.backup(tmp_path / "saved.db" / "x.db")


def test_a_stick_that_is_not_plugged_in_is_told(records: Records, tmp_path: Path) -> None:
    with pytest.raises(OutputError, match=r"^x\.db: there is no folder .*stick.* To mend it: plug in the stick"):
        records.backup(tmp_path / "stick" / "x.db")
    assert not (tmp_path / "stick").exists()


def test_damaged_records_make_no_backup(records: Records, tmp_path: Path) -> None:
    fill(records)
    with records.store.writing() as connection:
        connection.execute(text("UPDATE builds SET number = 7"))
    with pytest.raises(DamageError, match="Build 1 has 7 edits, and its log holds 2 up to 2"):
        records.backup(tmp_path / "saved.db")
    assert not [each for each in tmp_path.iterdir() if each.name != "home"]


def change(file: Path, *statements: str) -> None:
    with closing(sqlite3.connect(file)) as connection:
        for each in statements:
            connection.execute(each)
        connection.commit()


DAMAGES = {
    "the document": ("DROP TRIGGER texts_no_update", "UPDATE texts SET body = body || ' '"),
    "the attachment": ("UPDATE files SET content = x'00' WHERE length(content) > 0",),
    "refers to one": ("DROP TRIGGER draft_log_no_delete", "DELETE FROM cars"),
    "its log holds 1": ("DROP TRIGGER draft_log_no_delete", "DELETE FROM draft_log WHERE number = 2"),
    "is not the edit": ("DROP TRIGGER revisions_no_update", "UPDATE revisions SET draft = 1"),
}


@pytest.mark.parametrize("told", DAMAGES)
def test_a_damaged_backup_is_not_restored(saved: Path, tmp_path: Path, told: str) -> None:
    change(saved, *DAMAGES[told])
    with pytest.raises(
        FileError, match=f"^saved.db: this file is no whole backup: .*{told}.* your records are untouched"
    ):
        Records.restore(saved, tmp_path / "there", at=AT)
    assert list((tmp_path / "there").iterdir()) == []


def test_half_a_backup_is_not_restored(saved: Path, tmp_path: Path) -> None:
    saved.write_bytes(saved.read_bytes()[: saved.stat().st_size // 2])
    with pytest.raises(FileError, match=r"saved.db: this file is no whole backup: .*To mend it: name another backup"):
        Records.restore(saved, tmp_path / "there", at=AT)


def test_what_is_no_backup_is_told(saved: Path, tmp_path: Path) -> None:
    (tmp_path / "empty.db").touch()
    (tmp_path / "README.md").write_text("# How to\n" * 100)
    for name in ("empty.db", "README.md"):
        with pytest.raises(
            FileError, match=f"^{name}: this file is no backup. Allowed: a file that 'voltwright backup'"
        ):
            Records.restore(tmp_path / name, tmp_path / "there", at=AT)
    change(tmp_path / "other.db", "CREATE TABLE music (id INTEGER)")
    with pytest.raises(FileError, match=r"other.db: this file is no backup: .*another program"):
        Records.restore(tmp_path / "other.db", tmp_path / "there", at=AT)
    with pytest.raises(FileError, match=r"is a folder\. .*name the file in it"):
        Records.restore(tmp_path, tmp_path / "there", at=AT)
    with pytest.raises(FileError, match="there is no file"):
        Records.restore(tmp_path / "none.db", tmp_path / "there", at=AT)
    change(saved, "UPDATE alembic_version SET version_num = '9999'")
    with pytest.raises(SchemaError, match=r"saved.db: .*newer Voltwright"):
        Records.restore(saved, tmp_path / "there", at=AT)


def test_records_are_replaced_only_when_asked_and_kept_aside(saved: Path, elsewhere: str) -> None:
    with Records.open(elsewhere) as there:
        there.cars.add("Old one", who="Ann", at=AT)
    with pytest.raises(OutputError, match="There are records already"):
        Records.restore(saved, elsewhere, at=AT)
    with Records.open(elsewhere) as there:
        assert [car.name for car in there.cars.list()] == ["Old one"]
    restored = Records.restore(saved, elsewhere, replace=True, at=AT)
    with Records.open(elsewhere) as there:
        assert [car.name for car in there.cars.list()] == ["Blue coupé"]
        if there.store.file:
            with closing(sqlite3.connect(there.store.file.with_name(restored.aside))) as old:
                assert old.execute("SELECT name FROM cars").fetchall() == [("Old one",)]
            assert "20261127T093000Z" in restored.aside
        else:
            with there.store.reading() as connection:
                names = connection.execute(text(f"SELECT name FROM {restored.aside}.cars")).scalars().all()
            assert names == ["Old one"]
    assert Records.restore(saved, elsewhere, replace=True, at=AT.replace(minute=31)).aside != restored.aside


@pytest.mark.parametrize("elsewhere", ["postgresql"], indirect=True)
def test_who_is_connected_to_a_server_sees_the_restored_records(saved: Path, elsewhere: str) -> None:
    """The driver prepares what it is asked often; that must not go on asking the tables that were kept aside."""
    with Records.open(elsewhere) as there:
        there.cars.add("Old one", who="Ann", at=AT)
        for _ in range(20):
            assert [car.name for car in there.cars.list()] == ["Old one"]
        Records.restore(saved, elsewhere, replace=True, at=AT)
        assert [car.name for car in there.cars.list()] == ["Blue coupé"]
        assert there.drafts.save(1, "three", since=2, who="Ann", at=AT).number == 3


def test_records_in_use_are_not_replaced(saved: Path, tmp_path: Path) -> None:
    with Records.open(tmp_path / "there") as there:
        there.cars.add("Old one", who="Ann", at=AT)
        with pytest.raises(BusyError, match="end every other Voltwright"):
            Records.restore(saved, tmp_path / "there", replace=True, at=AT)
        assert [car.name for car in there.cars.list()] == ["Old one"]
    assert sorted(each.name for each in (tmp_path / "there").iterdir()) == ["records.db"]


def test_damaged_records_are_replaced_and_kept_aside(saved: Path, tmp_path: Path) -> None:
    there = tmp_path / "there"
    there.mkdir()
    (there / "records.db").write_bytes(b"not a database, " * 300)
    (there / "records.db-wal").write_bytes(b"its last saves")
    restored = Records.restore(saved, there, replace=True, at=AT)
    assert (there / restored.aside).read_bytes() == b"not a database, " * 300
    assert (there / f"{restored.aside}-wal").read_bytes() == b"its last saves"
    with Records.open(there) as records:
        assert [car.name for car in records.cars.list()] == ["Blue coupé"]


def test_an_older_backup_is_brought_up_to_date(saved: Path, tmp_path: Path) -> None:
    change(saved, "DROP TABLE attachments", "DROP TABLE files", "UPDATE alembic_version SET version_num = '0001'")
    before = saved.read_bytes()
    Records.restore(saved, tmp_path / "there", at=AT)
    assert saved.read_bytes() == before
    assert [each.name for each in (tmp_path / "there").iterdir()] == ["records.db"]
    with Records.open(tmp_path / "there") as records:
        assert records.attachments.list(1) == ()
        assert records.drafts.now(1).text == "two"
