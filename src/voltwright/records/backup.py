"""Backup and restore. A backup is the records as one SQLite file, whichever database they came from, and is verified whole.

So it also moves a workshop from one database to the other.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
from collections.abc import Generator, Mapping
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, func, insert, inspect, select, text

from voltwright.quantity.errors import (
    BusyError,
    DamageError,
    FileError,
    OutputError,
    Problem,
    StoreError,
    VoltwrightError,
)
from voltwright.records import opening
from voltwright.records.checks import aware
from voltwright.records.faults import told
from voltwright.records.schema import POSTGRES_SCHEMA, metadata
from voltwright.records.store import Store
from voltwright.records.verify import counted, verified

_BEGINS = b"SQLite format 3\0"  # SQLite's description of its file format, 1.3.1
_ALLOWED = "a file that 'voltwright backup' wrote"
_NAME_ANOTHER = "name another backup; your records are untouched"


@dataclass(frozen=True)
class Verified:
    """What a backup or a restore holds, all of it checked: rows of each table, and the old records that were kept aside."""

    rows: Mapping[str, int]
    size: int
    aside: str = ""


def backup(store: Store, file: Path) -> Verified:
    """Write everything into one new file while others go on working. Raises OutputError, DamageError, FullError.

    The file is there whole and verified, or not at all; one that is there already is never overwritten, and no folder is
    made for it.
    """
    if file.exists():
        mend = "give another name, such as one with the date"
        what = "a file of that name is there already"
        raise OutputError(Problem(what, "a file that does not exist yet", mend, file=file.name))
    if not file.parent.is_dir():  # made here, a stick that is not plugged in would be a folder of this disk
        mend = "plug in the stick or disk, or make the folder first"
        raise OutputError(Problem(f"there is no folder {file.parent}", "a folder that is there", mend, file=file.name))
    with _folder_beside(file) as folder, closing(opening.open_store(folder)) as target:
        with store.reading() as source:
            expected = counted(source)
            if store.file is None:
                with target.writing() as copy:
                    _copy_rows(source, copy)
            else:
                _copy_pages(source, target)
        rows = _same(expected, target)
        target.close()
        made = folder / opening.FILE
        _settle(made)
        size = made.stat().st_size
        made.replace(file)
        _to_disk(file.parent)
    return Verified(rows, size)


def restore(file: Path, place: str | Path, *, replace: bool = False, at: datetime) -> Verified:
    """Put the records of a backup into a folder or database. Raises FileError, DamageError, SchemaError, OutputError, BusyError.

    Where there are records already, that is refused unless `replace`; the old ones are then kept aside under a name
    with the time. Everything is verified before anything is touched.
    """
    _must_look_like_one(file)
    stamp = f"{aware(at).astimezone(UTC):%Y%m%dT%H%M%SZ}"
    if opening.is_address(place):
        with tempfile.TemporaryDirectory() as folder, closing(_taken_in(file, Path(folder))) as source:
            return _into_database(source, str(place), replace, stamp)
    return _into_folder(file, Path(place), replace, stamp)


@contextmanager
def _folder_beside(file: Path) -> Generator[Path]:
    """A temporary folder on the same disk, so that the result can be moved to its name in one step."""
    try:
        folder = tempfile.mkdtemp(prefix=".voltwright-", dir=file.parent)
    except OSError as cause:
        mend = "choose a folder where you may write, with room left"
        raise OutputError(Problem(f"{file} cannot be written: {cause.strerror}", "a folder of yours", mend)) from None
    try:
        yield Path(folder)
    except OSError as cause:
        mend = "choose a folder where you may write, with room left"
        raise OutputError(Problem(f"{file} cannot be written: {cause.strerror}", "a folder of yours", mend)) from None
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _must_look_like_one(file: Path) -> None:
    """Raises FileError where a backup cannot be what stands there."""
    if file.is_dir():
        raise FileError(Problem(f"{file} is a folder", "the file of a backup", "name the file in it", file=file.name))
    try:
        with file.open("rb") as stream:
            begins = stream.read(len(_BEGINS))
    except FileNotFoundError:
        what = f"there is no file {file}"
        raise FileError(Problem(what, "a backup", "check the name and the folder", file=file.name)) from None
    except OSError as cause:
        what, mend = f"{file} cannot be read: {cause.strerror}", "check who may read it"
        raise FileError(Problem(what, "a backup", mend, file=file.name)) from None
    if begins != _BEGINS:
        raise FileError(Problem("this file is no backup", _ALLOWED, _NAME_ANOTHER, file=file.name))


def _taken_in(file: Path, folder: Path) -> Store:
    """A copy of a backup, brought up to date and verified. Raises FileError where it is none or not whole, SchemaError."""
    shutil.copy2(file, folder / opening.FILE)
    (folder / opening.FILE).chmod(0o600)
    try:
        store = opening.open_store(folder, begin=False)
        with store.reading() as connection:
            verified(connection)
    except (DamageError, StoreError) as error:
        lead = "this file is no whole backup" if isinstance(error, DamageError) else "this file is no backup"
        said = [Problem(f"{lead}: {each.what}", _ALLOWED, _NAME_ANOTHER, file=file.name) for each in error.problems]
        raise FileError(said) from None
    except VoltwrightError as error:
        raise type(error)([_named(each, file) for each in error.problems]) from None
    return store


def _named(problem: Problem, file: Path) -> Problem:
    return Problem(problem.what, problem.allowed, problem.mend, file=file.name)


def _copy_pages(source: Connection, target: Store) -> None:
    """SQLite's own online backup; the transaction of the source has fixed the moment."""
    driver: Any = source.connection.driver_connection
    target.close()
    assert target.file
    with told(target.place), closing(sqlite3.connect(target.file)) as copy:
        driver.backup(copy)


def _copy_rows(source: Connection, target: Connection) -> None:
    """Every row of every table, those first to which others refer; then the counters go on behind the last id."""
    for table in metadata.sorted_tables:
        for rows in source.execute(select(table).execution_options(yield_per=20)).mappings().partitions():
            target.execute(insert(table), [dict(row) for row in rows])
    if target.dialect.name == "sqlite":
        return
    for table in metadata.sorted_tables:
        if table.c.get("id") is not None:
            last = select(func.coalesce(func.max(table.c.id), 1), func.count(table.c.id) > 0).select_from(table)
            highest, any_row = target.execute(last).one()
            counter = func.pg_get_serial_sequence(f"{POSTGRES_SCHEMA}.{table.name}", "id")
            target.execute(select(func.setval(counter, highest, any_row)))


def _same(expected: Mapping[str, int], copy: Store) -> dict[str, int]:
    with copy.reading() as connection:
        rows = verified(connection)
    if rows != expected:
        differ = ", ".join(name for name in rows if rows[name] != expected.get(name))
        raise DamageError(Problem(f"the copy has other rows than the records in {differ}", "a true copy", "try again"))
    return rows


def _settle(file: Path) -> None:
    """Everything into the one file, and onto the disk."""
    with told(str(file)), closing(sqlite3.connect(file)) as connection:
        connection.execute("PRAGMA journal_mode = DELETE")
    _to_disk(file)


def _to_disk(path: Path) -> None:
    with suppress(OSError):  # not every system can do this with a folder
        handle = os.open(path, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _must_be_free(there: bool, replace: bool, place: str) -> None:
    if there and not replace:
        mend = "name another place, or say --replace; the old records are then kept aside"
        raise OutputError(Problem(f"there are records already in {place}", "a place without records", mend))


def _into_folder(file: Path, home: Path, replace: bool, stamp: str) -> Verified:
    target, aside = home / opening.FILE, ""
    _must_be_free(target.exists(), replace, str(home))
    _make(home)
    with _folder_beside(target) as folder:
        with closing(_taken_in(file, folder)) as source, source.reading() as connection:
            rows = counted(connection)
        made = folder / opening.FILE
        _settle(made)
        if target.exists():
            kept = _free_name(home, f"records-before-{stamp}")
            _lay_aside(target, kept)
            aside = kept.name
        made.replace(target)
        _to_disk(home)
    return Verified(rows, target.stat().st_size, aside)


def _make(home: Path) -> None:
    try:
        home.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as cause:
        mend = "choose a folder where you may write, with room left"
        raise OutputError(Problem(f"{home} cannot be made: {cause.strerror}", "a folder of yours", mend)) from None


def _free_name(home: Path, name: str) -> Path:
    kept, count = home / f"{name}.db", 1
    while kept.exists():
        count += 1
        kept = home / f"{name}-{count}.db"
    return kept


def _lay_aside(target: Path, kept: Path) -> None:
    """Give the old file a second name. There is always one under the first, so that nobody begins new records in between."""
    log, kept_log = (each.with_name(f"{each.name}-wal") for each in (target, kept))
    if log.exists():
        shutil.copy2(
            log, kept_log
        )  # SQLite takes it away when it is opened: into a database that is whole, else to nowhere
    try:
        with told(str(target)), closing(sqlite3.connect(target, timeout=1)) as connection:
            connection.execute("PRAGMA journal_mode = DELETE")  # refused while others have it open
        kept_log.unlink(missing_ok=True)
    except BusyError:
        kept_log.unlink(missing_ok=True)
        mend = "end every other Voltwright that uses them"
        raise BusyError(Problem("the old records are in use", "records that nobody uses", mend, str(target))) from None
    except DamageError:
        pass  # a reason to restore
    for end in ("-wal", "-shm"):
        target.with_name(target.name + end).unlink(missing_ok=True)
    try:
        kept.hardlink_to(target)
    except OSError:
        shutil.copy2(target, kept)
    _to_disk(kept)


def _into_database(source: Store, address: str, replace: bool, stamp: str) -> Verified:
    """All in one transaction: the old tables get another name, the new ones are made, filled and verified."""
    store, aside = opening.reach(address), ""
    with closing(store), source.reading() as old, store.writing() as connection:
        there = inspect(connection).has_schema(POSTGRES_SCHEMA)
        _must_be_free(there, replace, store.place)
        if there:
            aside = f"{POSTGRES_SCHEMA}_before_{stamp.lower()}"
            connection.execute(text(f"ALTER SCHEMA {POSTGRES_SCHEMA} RENAME TO {aside}"))
        connection.execute(text(f"CREATE SCHEMA {POSTGRES_SCHEMA}"))
        opening.migrate(connection)
        _copy_rows(old, connection)
        rows = verified(connection)
        if rows != counted(old):
            raise DamageError(Problem("the restored records are not those of the backup", "a true copy", "try again"))
    return Verified(rows, 0, aside)
