"""How a command speaks: results to the output, complaints to the error output, and nothing that people wrote steers the terminal."""

from __future__ import annotations

import contextlib
import os
import sys

from voltwright.papers.inert import inert
from voltwright.quantity.errors import OutputError, Problem


def harmless(text: str) -> str:
    """Nothing that people wrote may steer the terminal."""
    return "\n".join(inert(line) for line in text.split("\n"))


def say(text: str, *, data: bool = False) -> None:
    """Print; data goes out as it is. A reader that went away, such as `head`, is no error: the exit code still answers."""
    try:
        print(text if data else harmless(text), flush=True)
    except OSError as cause:
        _forget_output()
        if not isinstance(cause, BrokenPipeError):
            what, mend = f"the output cannot be written: {cause.strerror}", "make room, or write it elsewhere"
            raise OutputError(Problem(what, "a place with room left", mend)) from None


def complain(text: str) -> None:
    """Print to the error output, where there is one."""
    if sys.stderr is not None:  # as it is where the shell closed it
        with contextlib.suppress(OSError):
            print(harmless(text), file=sys.stderr, flush=True)


def _forget_output() -> None:
    """Send what is left in the buffer to nowhere, or Python would try once more when it ends, and fail."""
    with contextlib.suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)
