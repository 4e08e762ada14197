"""The draft log: every accepted edit of a build, in order, for ever. To undo is a further entry.

Order is that of the numbers, whatever the clocks say. An edit names the number that it started from; where somebody else
saved in the meantime it is refused, and the refused text is kept among the refused edits.
"""

from __future__ import annotations

import difflib
from collections.abc import Generator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row, insert, select, update

from voltwright.quantity.errors import ConflictError, EntryError, Newer, Problem
from voltwright.records import texts
from voltwright.records.checks import LONGEST_NAME, Signed, made, must_exist, plain, signed, text_of
from voltwright.records.rows import Draft, Entry, Kind, RefusedEdit
from voltwright.records.schema import builds, draft_log, refused_edits
from voltwright.records.store import Store

MOST_COMPARED = 2000  # lines: several times a long build file; the time that it takes grows with the square


@dataclass(frozen=True)
class Change:
    """What an edit did, for people: the path in the document, and what stood there before and after."""

    path: str = ""
    before: Any = None
    after: Any = None


WHOLE = Change()


class Step(NamedTuple):
    """What an entry adds to the log, but for its number and who signed it."""

    kind: Kind
    change: Change
    sha256: str
    of: int | None = None


@dataclass(frozen=True)
class _Met:
    """What a refused edit met: who saved what since, the document that both started from and that of now; `text` was refused."""

    since: int
    head: int
    newer: list[Newer]
    base: str
    now: str
    text: str | None = None
    kept: int | None = None

    def conflict(self) -> ConflictError:
        """What the others and the refused text change; to compare takes a while, so that it is done when all is written."""
        theirs = difference(self.base, self.now, "as you saw it", "as it is now")
        yours = "" if self.text is None else difference(self.base, self.text, "as you saw it", "as you would have it")
        aside = "" if self.kept is None else f"; what you sent is kept as refused edit {self.kept}"
        mend = f"look at both differences and save anew from edit {self.head}{aside}"
        what = f"you started from edit {self.since}; {_since(self.newer, self.head)}"
        return ConflictError(Problem(what, f"a change of edit {self.head}", mend), self.newer, theirs, yours, self.kept)


@dataclass(frozen=True)
class Drafts:
    """The drafts of all builds. `since` is always the number of the edit that the person saw."""

    store: Store

    def now(self, build: int) -> Draft:
        """The document as it stands. Raises AbsentError."""
        with self.store.reading() as connection:
            return _draft(connection, build, _head(connection, build))

    def at(self, build: int, number: int) -> Draft:
        """The document as it stood after an edit. Raises AbsentError."""
        with self.store.reading() as connection:
            return _draft(connection, build, number)

    def log(self, build: int, after: int = 0) -> tuple[Entry, ...]:
        """The edits after a number, oldest first."""
        with self.store.reading() as connection:
            return _entries(connection, build, after)

    def steps(self, build: int) -> tuple[int, int]:
        """How many edits can be taken back, and how many that were can be brought back."""
        with self.store.reading() as connection:
            standing, undone = _standing(connection, build)
        return max(0, len(standing) - 1), len(undone)

    def save(self, build: int, text: str, *, since: int, who: str, at: datetime, change: Change = WHOLE) -> Draft:
        """Keep an edit: the whole document, and what was changed in it. The same text again makes no entry.

        Raises ConflictError where somebody else saved first; the text is then among `refused`.
        """
        met = None
        with self.store.writing() as connection:
            head = _head(connection, build, lock=True)
            if head != since:
                met = _refuse(connection, build, since, head, text, change.path, signed(who, at))
            elif text != _draft(connection, build, head).text:
                sha256 = texts.keep(connection, text)
                head = _append(connection, build, head, Step("edit", change, sha256), signed(who, at))
            draft = _draft(connection, build, head)
        if met:  # the refused text is on the disk by now, and nobody waits for the differences
            raise met.conflict()
        return draft

    def undo(self, build: int, *, since: int, who: str, at: datetime) -> Draft:
        """Take back the last edit that stands. Raises EntryError where none does, ConflictError."""
        return self._step(build, "undo", since, who, at)

    def redo(self, build: int, *, since: int, who: str, at: datetime) -> Draft:
        """Bring back the last edit that was taken back. Raises EntryError where none was since the last edit, ConflictError."""
        return self._step(build, "redo", since, who, at)

    def _step(self, build: int, kind: Kind, since: int, who: str, at: datetime) -> Draft:
        with from_newest(self.store, build, since) as connection:
            standing, undone = _standing(connection, build)
            source = standing[1:] if kind == "undo" else undone  # the text it began with cannot be taken back
            if not source:
                raise EntryError(Problem(f"there is nothing to {kind}", "an edit", f"save one before you {kind} it"))
            of = _entry(connection, build, source[-1])
            seen = _entry(connection, build, standing[-2]) if kind == "undo" else of
            before, after = (of.after, of.before) if kind == "undo" else (of.before, of.after)
            step = Step(kind, Change(of.path, before, after), seen.sha256, of.number)
            return _draft(connection, build, _append(connection, build, since, step, signed(who, at)))

    def refused(self, build: int) -> tuple[RefusedEdit, ...]:
        """Texts that were refused because somebody else saved first, oldest first."""
        asked = select(refused_edits, texts.texts.c.body.label("text")).join(texts.texts)
        with self.store.reading() as connection:
            rows = connection.execute(asked.where(refused_edits.c.build == build).order_by(refused_edits.c.id)).all()
        for row in rows:
            texts.checked(row.text, row.sha256, f"refused edit {row.id}")
        return tuple(made(RefusedEdit, row) for row in rows)


def begin(connection: Connection, build: int, text: str, who: str, at: datetime) -> None:
    """The first entry of a new build."""
    _append(connection, build, 0, Step("begin", WHOLE, texts.keep(connection, text)), signed(who, at))


@contextmanager
def from_newest(store: Store, build: int, since: int) -> Generator[Connection]:
    """To write with the build locked. Raises ConflictError where `since` is not its newest edit."""
    met = None
    with store.writing() as connection:
        head = _head(connection, build, lock=True)
        if head == since:
            yield connection
        else:
            met = _met(connection, build, since, head)
    if met:
        raise met.conflict()


def _head(connection: Connection, build: int, *, lock: bool = False) -> int:
    asked = select(builds.c.number).where(builds.c.id == build)
    return must_exist(connection.execute(asked.with_for_update() if lock else asked).first(), f"build {build}")[0]


def _append(connection: Connection, build: int, head: int, step: Step, by: Signed) -> int:
    number, change = head + 1, step.change
    row: dict[str, Any] = {"build": build, "number": number, "kind": step.kind, "of": step.of, "sha256": step.sha256}
    row |= {
        "path": text_of(change.path, "the path", LONGEST_NAME),
    }
    row |= {"before": plain(change.before, "the value before"), "after": plain(change.after, "the value after")}
    connection.execute(insert(draft_log).values(row | by))
    connection.execute(update(builds).where(builds.c.id == build).values(number=number))
    return number


def _entry(connection: Connection, build: int, number: int) -> Entry:
    asked = select(draft_log).where(draft_log.c.build == build, draft_log.c.number == number)
    return _as_entry(must_exist(connection.execute(asked).first(), f"edit {number} of build {build}"))


def _entries(connection: Connection, build: int, after: int) -> tuple[Entry, ...]:
    asked = select(draft_log).where(draft_log.c.build == build, draft_log.c.number > after)
    return tuple(_as_entry(row) for row in connection.execute(asked.order_by(draft_log.c.number)))


def _as_entry(row: Row[Any]) -> Entry:
    return made(Entry, row)


def _draft(connection: Connection, build: int, number: int) -> Draft:
    asked = select(draft_log.c.who, draft_log.c.at, draft_log.c.sha256, texts.texts.c.body).join(texts.texts)
    found = connection.execute(asked.where(draft_log.c.build == build, draft_log.c.number == number)).first()
    what = f"edit {number} of build {build}"
    row = must_exist(found, what)
    return Draft(build, number, texts.checked(row.body, row.sha256, what), row.who, row.at)


def _standing(connection: Connection, build: int) -> tuple[list[int], list[int]]:
    """Numbers of the edits that stand, and of those that were taken back and can be brought back; the last is the next."""
    standing: list[int] = []
    undone: list[int] = []
    asked = select(draft_log.c.number, draft_log.c.kind).where(draft_log.c.build == build)
    for number, kind in connection.execute(asked.order_by(draft_log.c.number)):
        if kind == "undo":
            undone.append(standing.pop())
        elif kind == "redo":
            standing.append(undone.pop())
        else:
            standing.append(number)
            undone.clear()
    return standing, undone


def _refuse(connection: Connection, build: int, since: int, head: int, text: str, path: str, by: Signed) -> _Met:
    row: dict[str, Any] = {"build": build, "since": since, "met": head, "path": text_of(path, "the path", LONGEST_NAME)}
    row |= {"sha256": texts.keep(connection, text)} | by
    kept = connection.execute(insert(refused_edits).values(row).returning(refused_edits.c.id)).scalar_one()
    return replace(_met(connection, build, since, head), text=text, kept=kept)


def _met(connection: Connection, build: int, since: int, head: int) -> _Met:
    newer = [Newer(each.number, each.who, each.at, each.path) for each in _entries(connection, build, since)]
    now = _draft(connection, build, head).text
    base = _draft(connection, build, since).text if 0 < since < head else now
    return _Met(since, head, newer, base, now)


def _since(newer: list[Newer], head: int) -> str:
    if not newer:
        return f"the log ends with edit {head}, as after the return to a backup"
    names = " and ".join(dict.fromkeys(each.who for each in newer))
    return f"{names} saved up to edit {head} since, the last on {newer[-1].at:%Y-%m-%d at %H:%M} UTC"


def difference(old: str, new: str, was: str, is_now: str) -> str:
    """Two texts as a unified diff, where they are not too long to be compared."""
    before, after = old.splitlines(), new.splitlines()
    if old != new and max(len(before), len(after)) > MOST_COMPARED:
        return f"{was}: {len(before)} lines; {is_now}: {len(after)} lines; too many to be set side by side"
    return "\n".join(difflib.unified_diff(before, after, was, is_now, lineterm=""))
