"""The door to the database: one way to read, one way to write, and a write is on the disk when it returns."""

from __future__ import annotations

from collections.abc import Generator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, Engine

from voltwright.records.faults import told


@dataclass(frozen=True, eq=False)
class Store:
    """An open database. `place` names it in messages, without a password; `file` is None where it is on a server."""

    engine: Engine
    place: str
    file: Path | None = None

    @contextmanager
    def reading(self) -> Generator[Connection]:
        """All that is read inside is of one moment."""
        with told(self.place), self.engine.connect() as connection:
            if self.file is None:
                connection = connection.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)
            with connection.begin():
                yield connection

    @contextmanager
    def writing(self) -> Generator[Connection]:
        """All that is written inside is kept, or nothing is. On return it is on the disk."""
        with told(self.place), self.engine.connect() as connection, connection.execution_options(writes=True).begin():
            yield connection

    def close(self) -> None:
        self.engine.dispose()
