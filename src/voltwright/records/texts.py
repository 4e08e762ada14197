"""Documents by their fingerprint: each is kept once, and checked whenever it is read."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, Table

from voltwright.quantity.errors import DamageError, Problem
from voltwright.records.checks import sha256_of, text_of
from voltwright.records.schema import texts


def add_once(connection: Connection, table: Table, row: dict[str, Any]) -> None:
    """Insert a row whose key is the fingerprint of its content; where it is there already, leave it."""
    if connection.dialect.name == "sqlite":
        from sqlalchemy.dialects.sqlite import insert
    else:
        from sqlalchemy.dialects.postgresql import insert  # a tenth of a second at each start, for who needs it
    connection.execute(insert(table).values(row).on_conflict_do_nothing())


def keep(connection: Connection, body: str) -> str:
    """Keep a document and return its fingerprint."""
    sha256 = sha256_of(text_of(body, "the document"))
    add_once(connection, texts, {"sha256": sha256, "body": body})
    return sha256


def checked(content: Any, sha256: str, what: str) -> Any:
    """Content as it was kept. Raises DamageError where it is not that any more."""
    if sha256_of(content) != sha256:
        mend = "restore the last backup beside it and compare; keep a copy of the folder as it is"
        raise DamageError(Problem(f"{what} is not what was saved", f"content with the checksum {sha256}", mend))
    return content
