"""Errors that nobody expected: the person gets a reference number, the details go to a rotating log."""

from __future__ import annotations

import logging
import secrets
import threading
from dataclasses import dataclass

from voltwright.services.home import home
from voltwright.services.private_log import PrivateLog

CODE = "VW900"
_ONE_AT_A_TIME = threading.Lock()


@dataclass(frozen=True)
class Mishap:
    """The number under which an unexpected error stands in the log, and where that is."""

    number: str
    where: str

    def __str__(self) -> str:
        return f"something went wrong that Voltwright did not expect. Reference {self.number}; {self.where}"


class _Indented(logging.Formatter):
    """What belongs to an entry stands in from the margin: whatever an error says, it cannot look like an entry of its own."""

    def format(self, record: logging.LogRecord) -> str:
        return "\n    ".join(super().format(record).splitlines())


def logged() -> Mishap:
    """Write the error that is being handled to the log. Never raises."""
    number = secrets.token_hex(4)
    logger = logging.getLogger("voltwright.errors")
    logger.propagate = False
    with _ONE_AT_A_TIME:
        try:
            folder = home()
            folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            handler = PrivateLog(folder / "errors.log")
        except (OSError, RuntimeError, ValueError) as cause:
            return Mishap(number, f"no details were kept, for the log cannot be written ({cause})")
        handler.setFormatter(_Indented())
        logger.addHandler(handler)
        logger.error("reference %s", number, exc_info=True)
        handler.close()
        logger.removeHandler(handler)
    return Mishap(number, f"details are in {folder / 'errors.log'}")
