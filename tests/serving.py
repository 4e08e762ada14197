"""A server in a process of its own, as a workshop runs it."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

SOURCE = Path(__file__).parents[1] / "src"


@dataclass
class Served:
    """Where it is, and what it said when it began."""

    address: str
    said: str
    process: subprocess.Popen[str]


def environment(home: Path) -> dict[str, str]:
    return os.environ | {"PYTHONPATH": str(SOURCE), "VOLTWRIGHT_HOME": str(home)}


@contextmanager
def served(home: Path, *words: str, ends: int = 0) -> Iterator[Served]:
    """Serve on a free port until the block is left; then it must end by itself, without a complaint.

    `ends` is how: where a test kills it, minus the number of the signal.
    """
    command = (sys.executable, "-u", "-m", "voltwright", "serve", "--port", "0", *words)
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "text": True}
    with subprocess.Popen(command, env=environment(home), **pipes) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        said = process.stdout.readline()
        found = re.search(r"https?://localhost:\d+", said)
        if found is None:
            process.kill()
            raise AssertionError(f"{said}{process.stderr.read()}")
        try:
            yield Served(found[0], said, process)
        finally:
            process.send_signal(signal.SIGINT)
            _, complained = process.communicate(timeout=30)
        assert (process.returncode, complained) == (ends, ""), f"{process.returncode}: {complained[-2000:]}"
