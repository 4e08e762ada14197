"""What may be kept, checked before it reaches a database, so that both keep the same."""

from __future__ import annotations

import hashlib
import json
import re
from datetime import datetime
from typing import Any, TypedDict, TypeVar

from sqlalchemy import Row

from voltwright.quantity.depth import is_deeper
from voltwright.quantity.errors import AbsentError, EntryError, Problem

Kept = TypeVar("Kept")
DEEPEST = 50  # what is deeper could be kept, and then not be sent out any more
LONGEST_NAME = 200  # characters
LONGEST_REASON = 5_000
LONGEST_TEXT = 1_000_000
# A zero ends a text in one of the databases, half a character pair cannot be written in either.
_NOT_TO_BE_KEPT = re.compile("[\x00\ud800-\udfff]")


def sha256_of(content: str | bytes) -> str:
    """The fingerprint by which content is kept and checked."""
    return hashlib.sha256(content.encode() if isinstance(content, str) else content).hexdigest()


def aware(at: datetime) -> datetime:
    """A time that says where it is meant. Raises EntryError."""
    if at.utcoffset() is None:
        raise EntryError(Problem(f"the time {at} has no time zone", "a time with its zone", "hand over UTC"))
    return at


def text_of(text: str, what: str, longest: int = LONGEST_TEXT) -> str:
    """A text that can be kept, perhaps empty. Raises EntryError."""
    if len(text) > longest:
        raise EntryError(Problem(f"{what} has {len(text)} characters", f"up to {longest}", "shorten it"))
    odd = _NOT_TO_BE_KEPT.search(text)
    if odd:
        raise EntryError(
            Problem(f"{what} holds a character that is no text (U+{ord(odd[0]):04X})", "text", "take it out")
        )
    return text


def name_of(name: str, what: str) -> str:
    """A name in one line, without blanks at its ends. Raises EntryError."""
    name = text_of(name, what, LONGEST_NAME).strip()
    if not name or not name.isprintable():
        raise EntryError(Problem(f"{what} is empty or not one line", "a name in one line", "write a name"))
    return name


def plain(value: Any, what: str) -> Any:
    """The value as JSON gives it back, the same from both databases. Raises EntryError."""
    try:
        written = json.dumps(value, ensure_ascii=False, allow_nan=False)
    except (TypeError, ValueError, RecursionError) as cause:
        mend = "hand over texts, numbers, lists and tables of them"
        raise EntryError(Problem(f"{what} is no JSON: {cause}", "what JSON can hold", mend)) from None
    kept = json.loads(text_of(written, what))
    if is_deeper(kept, DEEPEST):
        raise EntryError(
            Problem(f"{what} is nested too deep", f"up to {DEEPEST} levels", "hand over flatter lists and tables")
        )
    return kept


class Signed(TypedDict):
    """Who did it, and when."""

    who: str
    at: datetime


def signed(who: str, at: datetime) -> Signed:
    """The two columns that say so. Raises EntryError."""
    return {"who": name_of(who, "the name of the person"), "at": aware(at)}


def made(kind: type[Kept], row: Row[Any]) -> Kept:
    """A row of a table as what it stands for, column by column."""
    return kind(**row._asdict())  # pyright: ignore[reportPrivateUsage] - so SQLAlchemy names it


def must_exist(row: Any, what: str) -> Any:
    """The row, if there is one. Raises AbsentError."""
    if row is None:
        raise AbsentError(Problem(f"there is no {what}", "what the records list", "look at the list again"))
    return row
