"""The journal of the doors: who came in, who was refused. One line of JSON for each, so that no text can begin a line of its own."""

from __future__ import annotations

import json
import logging
import threading
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from voltwright.services.private_log import PrivateLog

LONGEST = 200  # characters of what others wrote
_LOGGER = "voltwright.doors"
_APART = timedelta(minutes=1)
_MOST = 10_000  # addresses whose tries are counted at once


@dataclass
class _Turned:
    """Tries that were turned away from one address since its last line."""

    since: datetime
    tries: int = 0


class Journal:
    """Lines in a rotating file, or nowhere where none is named or it cannot be written."""

    def __init__(self, file: Path | None, clock: Callable[[], datetime]) -> None:
        self._clock = clock
        self._turned: dict[str, _Turned] = {}
        self._lock = threading.Lock()
        self._logger = logging.Logger(_LOGGER, logging.INFO)
        if file is not None:
            try:
                file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
                self._logger.addHandler(PrivateLog(file, encoding="ascii"))
            except OSError:
                return  # the doors work without it

    def note(self, what: str, address: str, **more: str) -> None:
        """Write a line: the time in UTC, what happened, from where, and what else is known."""
        line = {"at": self._clock().isoformat(timespec="seconds"), "what": what, "from": address} | more
        self._logger.info("%s", json.dumps({key: value[:LONGEST] for key, value in line.items()}))

    def turned_away(self, address: str) -> None:
        """A try that was not looked at, for its wait still ran: the first makes a line, further ones one a minute with their number."""
        now = self._clock()
        with self._lock:
            self._tell_turned(now)
            known = self._turned.get(address)
            if known is not None:
                known.tries += 1
            elif len(self._turned) < _MOST:
                self._turned[address] = _Turned(now)
                self.note("must wait", address, tries="1")

    def _tell_turned(self, now: datetime | None) -> None:
        """The lines that are due; at the end all that were not told yet."""
        due = [each for each, known in self._turned.items() if now is None or not now - known.since < _APART]
        for address in due:
            tries = self._turned.pop(address).tries
            if tries:
                self.note("must wait", address, tries=str(tries))
                if now is not None:
                    self._turned[address] = _Turned(now)

    def close(self) -> None:
        with self._lock:
            self._tell_turned(None)
        for handler in list(self._logger.handlers):
            handler.close()
            self._logger.removeHandler(handler)
