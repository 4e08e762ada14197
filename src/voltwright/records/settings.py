"""Settings of the workshop: a value by its key."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import delete, insert, select

from voltwright.records.checks import name_of, plain
from voltwright.records.schema import settings
from voltwright.records.store import Store


@dataclass(frozen=True)
class Settings:
    """Values are what JSON can hold. They may be changed, and no log is kept of it."""

    store: Store

    def set(self, key: str, value: Any) -> None:
        """Set or replace a value."""
        key, value = name_of(key, "the key of the setting"), plain(value, "the value of the setting")
        with self.store.writing() as connection:
            connection.execute(delete(settings).where(settings.c.key == key))
            connection.execute(insert(settings).values(key=key, value=value))

    def all(self) -> dict[str, Any]:
        """Every setting by its key."""
        with self.store.reading() as connection:
            return {row.key: row.value for row in connection.execute(select(settings).order_by(settings.c.key))}
