"""The journal of the doors: who came in, who was refused. One line of JSON for each, so that no text can begin a line of its own."""

from __future__ import annotations

import json
import logging
import logging.handlers
import os
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

LONGEST = 200  # characters of what others wrote
_LOGGER = "voltwright.doors"


class _Private(logging.handlers.RotatingFileHandler):
    """Who signs in, and from where, is for the owner of the records alone."""

    def _open(self) -> Any:
        def opener(name: str, flags: int) -> int:
            return os.open(name, flags, 0o600)

        return open(self.baseFilename, self.mode, encoding=self.encoding, opener=opener)


class Journal:
    """Lines in a rotating file, or nowhere where none is named or it cannot be written."""

    def __init__(self, file: Path | None, clock: Callable[[], datetime]) -> None:
        self._clock = clock
        self._logger = logging.Logger(_LOGGER, logging.INFO)
        if file is not None:
            try:
                file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
                self._logger.addHandler(_Private(file, maxBytes=500_000, backupCount=3, encoding="ascii"))
            except OSError:
                return  # the doors work without it

    def note(self, what: str, address: str, **more: str) -> None:
        """Write a line: the time in UTC, what happened, from where, and what else is known."""
        line = {"at": self._clock().isoformat(timespec="seconds"), "what": what, "from": address} | more
        self._logger.info("%s", json.dumps({key: value[:LONGEST] for key, value in line.items()}))

    def close(self) -> None:
        for handler in list(self._logger.handlers):
            handler.close()
            self._logger.removeHandler(handler)
