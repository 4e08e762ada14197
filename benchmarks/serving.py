"""The server with one user: from the command to the first page, and what it holds in memory once a whole build was shown."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import IO

from benchmarks.table import Row, Setting, median

MOST = 350.0  # MB


def rows(setting: Setting) -> Iterator[Row]:
    with tempfile.TemporaryDirectory() as folder:
        server = _Server(Path(folder))
        try:
            begin = median(server.begin_anew, 1 if setting.small else 5)
            held = server.held_after_one_user()
        finally:
            server.end()
    told = "yes" if held <= MOST else "no"
    note = f"then {held:.0f} MB after a whole build was shown, below {MOST:.0f} MB: {told}; nothing to compare with"
    yield Row("serving.first_page", begin, None, 3.0, note)


class _Server:
    """One in a process of its own; `begin_anew` returns when the first page was answered."""

    def __init__(self, home: Path) -> None:
        self._environment = os.environ | {"VOLTWRIGHT_HOME": str(home), "PYTHONDONTWRITEBYTECODE": ""}
        self._process: subprocess.Popen[str] | None = None
        self._address = ""

    def begin_anew(self) -> None:
        self.end()
        words = (sys.executable, "-m", "voltwright", "serve", "--port", "0")
        self._process = subprocess.Popen(  # noqa: S603 - our own command
            words, env=self._environment, stdout=subprocess.PIPE, text=True
        )
        assert self._process.stdout is not None
        self._address = _address(self._process.stdout)
        while True:
            try:
                self._ask("/")
                return
            except OSError:
                time.sleep(0.01)

    def held_after_one_user(self) -> float:
        """Resident memory after an example was begun and its whole dossier shown. [MB]"""
        assert self._process is not None
        build = json.loads(self._ask("/api/examples/coupe", b"{}"))["id"]
        self._ask(f"/builds/{build}")
        self._ask(f"/api/builds/{build}/dossier")
        pages = int(Path(f"/proc/{self._process.pid}/statm").read_text(encoding="ascii").split()[1])
        return pages * os.sysconf("SC_PAGE_SIZE") / 1e6

    def end(self) -> None:
        if self._process is not None:
            self._process.terminate()
            self._process.communicate()

    def _ask(self, path: str, body: bytes | None = None) -> bytes:
        headers = {"X-Voltwright": "benchmark", "Content-Type": "application/json"}
        asked = urllib.request.Request(f"{self._address}{path}", body, headers)  # noqa: S310 - our own server
        with urllib.request.urlopen(asked, timeout=300) as answer:  # noqa: S310
            return answer.read()


def _address(said: IO[str]) -> str:
    return next(word for word in said.readline().split() if word.startswith("http"))
