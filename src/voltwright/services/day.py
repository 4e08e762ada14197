"""Which day it is: the one that was named, else that of SOURCE_DATE_EPOCH, else that of the clock."""

from __future__ import annotations

import os
from datetime import UTC, date, datetime

from voltwright.quantity.errors import Problem, SettingError

VARIABLE = "SOURCE_DATE_EPOCH"  # seconds since 1970; what reproducible builds are made with


def today(named: date | None = None) -> date:
    """The day that judges how old rule data are. Raises SettingError where the variable is no number of seconds."""
    if named is not None:
        return named
    text = os.environ.get(VARIABLE)
    if not text:
        return date.today()
    try:
        return datetime.fromtimestamp(int(text), UTC).date()
    except (ValueError, OverflowError, OSError):
        what = f"the environment variable {VARIABLE} is '{text[:40]}'"
        raise SettingError(Problem(what, "whole seconds since 1970", "correct it, or take it out")) from None
