"""A rotating log that is its owner's alone from the beginning: names, addresses and what a build holds stand in it."""

from __future__ import annotations

import logging.handlers
import os
from pathlib import Path
from typing import Any


class PrivateLog(logging.handlers.RotatingFileHandler):
    """Half a megabyte, and three older ones beside it."""

    def __init__(self, file: Path, *, encoding: str = "utf-8") -> None:
        super().__init__(file, maxBytes=500_000, backupCount=3, encoding=encoding, errors="backslashreplace")

    def _open(self) -> Any:  # called for each new file of the rotation too
        return open(self.baseFilename, self.mode, encoding=self.encoding, errors=self.errors, opener=_for_its_owner)


def _for_its_owner(path: str, flags: int) -> int:
    return os.open(path, flags, 0o600)
