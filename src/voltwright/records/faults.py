"""What databases complain of, in the words of the house."""

from __future__ import annotations

import sqlite3
from collections.abc import Generator
from contextlib import contextmanager
from typing import Any

from sqlalchemy.exc import DBAPIError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from voltwright.quantity.errors import (
    BusyError,
    DamageError,
    EntryError,
    FullError,
    Problem,
    ReadOnlyError,
    StoreError,
    VoltwrightError,
)

READ_ONLY = Problem(
    "they may not be written",
    "a folder, or a database, of your own",
    "let the folder be written to, or name another in VOLTWRIGHT_HOME",
)
FULL = Problem("the disk is full", "room for what is kept", "make room and save again; what was saved before is there")
BUSY = Problem(
    "another program has kept them locked for too long",
    "one who writes at a time",
    "wait and save again; if it stays so, end the program that hangs",
)
DAMAGED = Problem(
    "the database is damaged, or is no database",
    "records that Voltwright wrote",
    "stop, keep a copy of the folder as it is, and restore the last backup",
)
TAKEN = Problem("the same was entered by somebody else at this moment", "one of each", "look at it again")

# Names of SQLite's codes, and the first digits of PostgreSQL's (appendix A of its manual); the first that fits counts.
_CAUSES: tuple[tuple[type[VoltwrightError], Problem, tuple[str, ...]], ...] = (
    (ReadOnlyError, READ_ONLY, ("SQLITE_READONLY", "SQLITE_PERM", "SQLITE_AUTH", "25006", "42501")),
    (FullError, FULL, ("SQLITE_FULL", "53100")),
    (BusyError, BUSY, ("SQLITE_BUSY", "SQLITE_LOCKED", "SQLITE_PROTOCOL", "55P03", "40001", "40P01", "53300")),
    (DamageError, DAMAGED, ("SQLITE_CORRUPT", "SQLITE_NOTADB", "XX001", "XX002")),
    (EntryError, TAKEN, ("SQLITE_CONSTRAINT_UNIQUE", "SQLITE_CONSTRAINT_PRIMARYKEY", "23505")),
)


def in_our_words(cause: BaseException, place: str) -> VoltwrightError:
    """The error of the house for one of a database. What is not known by its code is a StoreError with its words."""
    original: Any = getattr(cause, "orig", None) or cause
    code = getattr(original, "sqlite_errorname", None) or getattr(original, "sqlstate", None) or ""
    for error, problem, codes in _CAUSES:
        if code.startswith(codes):
            return error(Problem(problem.what, problem.allowed, problem.mend, place))
    words = " ".join(str(original).split())
    mend = "see that the folder is there, or that the server runs and lets you in, and try again"
    return StoreError(Problem(f"the database says '{words[:200]}'", "records that can be reached", mend, place))


@contextmanager
def told(place: str) -> Generator[None]:
    """Whatever a database complains of inside becomes an error of the house that names the place."""
    try:
        yield
    except (DBAPIError, sqlite3.Error, PoolTimeout) as cause:
        raise in_our_words(cause, place) from cause
