"""Views of the log of edits. `views` hands them on by name."""

from __future__ import annotations

from dataclasses import dataclass

from voltwright.records.rows import Entry


@dataclass(frozen=True)
class EditLine:
    """One place that an edit changed, and the values in words; empty where nothing stood or stands. The whole text has no place."""

    path: str
    place: str
    before: str
    after: str


@dataclass(frozen=True)
class EditView:
    """An edit of the log, and what it changed in words."""

    entry: Entry
    lines: tuple[EditLine, ...]
