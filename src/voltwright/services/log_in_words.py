"""The log of edits as people read it: at which place, what stood there before, and what stands there since."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, cast

from voltwright.build.in_words import InWords
from voltwright.build.variants import list_of
from voltwright.parts.shelf import Shelf
from voltwright.quantity.document import Document
from voltwright.records.rows import Entry
from voltwright.services.views import EditLine, EditView

NOTHING = ""


def in_words(log: Sequence[Entry], now: Document, shelf: Shelf) -> Iterator[EditView]:
    """The newest first. `now` is the document after the last of them.

    An item of a list is told by its name as long as no later edit moved the items of its list; before that by its number.
    """
    numbered: frozenset[str] = frozenset()
    every = False
    for entry in reversed(log):
        changes = _changes(entry)
        every = every or not all(path for path, _, _ in changes)
        numbered |= {around for path, _, _ in changes if (around := list_of(path))}
        words = InWords(None if every else now.root, shelf, numbered)
        yield EditView(entry, tuple(_line(words, *each) for each in changes))


def _changes(entry: Entry) -> list[tuple[str, Any, Any]]:
    """Path, before and after; of an edit of many places each."""
    if "," not in entry.path and not entry.path.endswith("…"):
        return [(entry.path, entry.before, entry.after)]
    before, after = _by_path(entry.before), _by_path(entry.after)
    return [(path, before.get(path), after.get(path)) for path in dict.fromkeys((*before, *after))]


def _by_path(told: Any) -> Mapping[str, Any]:
    return cast(Mapping[str, Any], told) if isinstance(told, Mapping) else {}


def _line(words: InWords, path: str, before: Any, after: Any) -> EditLine:
    new = {path: after if after is not None else before}
    said = (NOTHING if each is None else words.value(path, each) for each in (before, after))
    return EditLine(path, words.place(path, new) if path else "", *said)
