"""Revisions: named saves, each with its whole document and what it was worked out with. They are never overwritten."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Connection, func, insert, select

from voltwright.records import drafts, texts
from voltwright.records.checks import LONGEST_NAME, LONGEST_REASON, made, must_exist, name_of, plain, signed, text_of
from voltwright.records.rows import Revision
from voltwright.records.schema import builds, draft_log, revisions
from voltwright.records.store import Store


@dataclass(frozen=True)
class WorkedOut:
    """What the figures of a revision come from: hash of the parts and files, version of Voltwright, and the figures of page 1 by key."""

    catalogue: str
    version: str
    headline: Mapping[str, Any]


@dataclass(frozen=True)
class Revisions:
    """The revisions of all builds."""

    store: Store

    def save(
        self, build: int, name: str, *, since: int, reason: str, worked_out: WorkedOut, who: str, at: datetime
    ) -> Revision:
        """Name the draft as it stands after edit `since`. Raises ConflictError where that is not the newest any more."""
        row: dict[str, Any] = {
            "build": build,
            "draft": since,
            "name": name_of(name, "the name of the revision"),
            "reason": text_of(reason, "the reason", LONGEST_REASON),
            "catalogue": text_of(worked_out.catalogue, "the hash of the parts", LONGEST_NAME),
            "version": text_of(worked_out.version, "the version", LONGEST_NAME),
            "headline": plain(dict(worked_out.headline), "the headline"),
            **signed(who, at),
        }
        with drafts.from_newest(self.store, build, since) as connection:
            last = connection.execute(select(func.max(revisions.c.number)).where(revisions.c.build == build)).scalar()
            of_draft = select(draft_log.c.sha256).where(draft_log.c.build == build, draft_log.c.number == since)
            row |= {"number": (last or 0) + 1, "sha256": connection.execute(of_draft).scalar_one()}
            connection.execute(insert(revisions).values(row))
            return Revision(**row)

    def list(self, build: int) -> tuple[Revision, ...]:
        """The revisions of a build, oldest first."""
        with self.store.reading() as connection:
            return listed(connection, revisions.c.build == build)

    def text(self, build: int, number: int) -> str:
        """The document of a revision. Raises AbsentError, and DamageError where it is not the one that was saved."""
        asked = select(revisions.c.sha256, texts.texts.c.body).join(texts.texts)
        what = f"revision {number} of build {build}"
        with self.store.reading() as connection:
            found = connection.execute(asked.where(revisions.c.build == build, revisions.c.number == number)).first()
        row = must_exist(found, what)
        return texts.checked(row.body, row.sha256, what)


def is_newest() -> ColumnElement[bool]:
    """Of a revision: its build has none after it."""
    other = revisions.alias()
    last = select(func.max(other.c.number)).where(other.c.build == revisions.c.build).scalar_subquery()
    return revisions.c.number == last


def listed(connection: Connection, which: ColumnElement[bool]) -> tuple[Revision, ...]:
    """Revisions in order of build and number."""
    asked = select(revisions).join(builds).where(which).order_by(revisions.c.build, revisions.c.number)
    return tuple(made(Revision, row) for row in connection.execute(asked))
