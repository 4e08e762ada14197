"""The tables as they are now, the same in SQLite and in PostgreSQL. How they came to be so stands in `migrations`."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import (
    JSON,
    Boolean,
    CheckConstraint,
    Column,
    DateTime,
    Dialect,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
)
from sqlalchemy.types import TypeDecorator, TypeEngine

HEAD = "0002"  # the newest step in `migrations`
POSTGRES_SCHEMA = "voltwright"


class Moment(TypeDecorator[datetime]):
    """An aware time, kept in UTC: text that sorts in SQLite, `timestamptz` in PostgreSQL."""

    impl = DateTime
    cache_ok = True

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[Any]:
        return dialect.type_descriptor(String(27) if dialect.name == "sqlite" else DateTime(timezone=True))

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> Any:
        if value is None or dialect.name != "sqlite":
            return value
        return value.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")

    def process_result_value(self, value: Any, dialect: Dialect) -> datetime | None:
        return datetime.fromisoformat(value) if isinstance(value, str) else value and value.astimezone(UTC)


def _moment() -> Column[datetime]:
    return Column("at", Moment, nullable=False)


def _who() -> Column[str]:
    """A name as it was then, so that a line of the log says for ever who it was."""
    return Column("who", Text, nullable=False)


def _text_hash() -> Column[str]:
    return Column("sha256", String(64), ForeignKey("texts.sha256"), nullable=False)


def _json(name: str) -> Column[Any]:
    return Column(name, JSON(none_as_null=True))


metadata = MetaData()

people = Table(
    "people",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("name", Text, nullable=False),
    Column("role", Text, CheckConstraint("role IN ('owner', 'technician', 'viewer')", "known_role"), nullable=False),
    Column("password", Text, nullable=False),
    Column("active", Boolean, nullable=False),
    _moment(),
    Index("one_person_a_name", "name", unique=True),
    sqlite_autoincrement=True,
)

cars = Table(
    "cars",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("name", Text, nullable=False),
    Column("customer", Text, nullable=False),
    Column("away", Boolean, nullable=False),
    _who(),
    _moment(),
    sqlite_autoincrement=True,
)

builds = Table(
    "builds",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("car", Integer, ForeignKey("cars.id"), nullable=False),
    Column("name", Text, nullable=False),
    Column("number", Integer, nullable=False),  # of the newest entry in the draft log
    Index("one_build_a_name", "car", "name", unique=True),
    sqlite_autoincrement=True,
)

# Each document once, however many entries and revisions have it.
texts = Table(
    "texts",
    metadata,
    Column("sha256", String(64), primary_key=True),
    Column("body", Text, nullable=False),
)

draft_log = Table(
    "draft_log",
    metadata,
    Column("build", Integer, ForeignKey("builds.id"), primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("kind", Text, CheckConstraint("kind IN ('begin', 'edit', 'undo', 'redo')", "known_kind"), nullable=False),
    Column("of", Integer),  # undo and redo: the entry that was taken back, or brought back
    Column("path", Text, nullable=False),
    _json("before"),
    _json("after"),
    _text_hash(),
    _who(),
    _moment(),
)

refused_edits = Table(
    "refused_edits",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("build", Integer, ForeignKey("builds.id"), nullable=False, index=True),
    Column("since", Integer, nullable=False),
    Column("met", Integer, nullable=False),
    Column("path", Text, nullable=False),
    _text_hash(),
    _who(),
    _moment(),
    sqlite_autoincrement=True,
)

revisions = Table(
    "revisions",
    metadata,
    Column("build", Integer, ForeignKey("builds.id"), primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("draft", Integer, nullable=False),
    Column("name", Text, nullable=False),
    Column("reason", Text, nullable=False),
    _text_hash(),
    Column("catalogue", Text, nullable=False),
    Column("version", Text, nullable=False),
    Column("headline", JSON, nullable=False),
    _who(),
    _moment(),
)

# A changed datasheet is a further row; a part that was taken off the shelf ends with a row without a document.
own_parts = Table(
    "own_parts",
    metadata,
    Column("part", Text, primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    _json("document"),
    _who(),
    _moment(),
)

settings = Table(
    "settings",
    metadata,
    Column("key", Text, primary_key=True),
    Column("value", JSON, nullable=False),
)

# The content of attachments, each once.
files = Table(
    "files",
    metadata,
    Column("sha256", String(64), primary_key=True),
    Column("content", LargeBinary, nullable=False),
)

attachments = Table(
    "attachments",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("car", Integer, ForeignKey("cars.id"), nullable=False, index=True),
    Column("name", Text, nullable=False),
    Column("note", Text, nullable=False),
    Column("size", Integer, nullable=False),
    Column("sha256", String(64), ForeignKey("files.sha256"), nullable=False),
    _who(),
    _moment(),
    sqlite_autoincrement=True,
)

KEPT_FOR_EVER = (texts, draft_log, refused_edits, revisions, own_parts)
