"""Which day it is, and what time: the one that was named, else that of SOURCE_DATE_EPOCH, else that of the clock."""

from __future__ import annotations

import os
from datetime import UTC, date, datetime

from voltwright.quantity.errors import Problem, SettingError

VARIABLE = "SOURCE_DATE_EPOCH"  # seconds since 1970; what reproducible builds are made with


def today(named: date | None = None) -> date:
    """The day that judges how old rule data are. Raises SettingError where the variable is no number of seconds."""
    if named is not None:
        return named
    set_by = _set()
    return date.today() if set_by is None else set_by.date()


def now() -> datetime:
    """The moment that is written into records, in UTC. Raises SettingError as above."""
    return _set() or datetime.now(UTC)


def _set() -> datetime | None:
    text = os.environ.get(VARIABLE)
    if not text:
        return None
    try:
        return datetime.fromtimestamp(int(text), UTC)
    except (ValueError, OverflowError, OSError):
        what = f"the environment variable {VARIABLE} is '{text[:40]}'"
        raise SettingError(Problem(what, "whole seconds since 1970", "correct it, or take it out")) from None
