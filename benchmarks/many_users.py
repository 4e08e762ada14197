"""Many who edit at once over HTTP, at one server: what was acknowledged, refused and lost, and how long they waited.

A user changes one value every few seconds from the edit that was seen last; of a build that others edit too that is often not
the newest, and the refusal names the one to start from.
"""

from __future__ import annotations

import os
import re
import resource
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import httpx2

from benchmarks.table import Row, Setting

SOURCE = Path(__file__).parents[1] / "src"
PROGRAM = {"X-Voltwright": "benchmark"}
MOST_TRIES = 50


def rows(setting: Setting) -> Iterator[Row]:
    users, every, lasts = (4, 0.5, 3.0) if setting.small else (20, 5.0, 60.0)
    before = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
    with tempfile.TemporaryDirectory(dir=Path.cwd()) as home, serving(Path(home)) as address:
        day = Day(address, users=users, every=every)
        day.work(lasts)
        lost = day.lost()
    if day.errors or lost:
        raise RuntimeError(f"errors: {day.errors[:3]}; lost: {lost[:3]}")
    busy = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime - before
    waits = sorted(each.waited for each in day.kept)
    slow = waits[int(len(waits) * 0.95)]
    note = (
        f"{users} users, an edit each {every:g} s for {lasts:g} s in {len(day.builds)} builds: {len(waits)} edits kept and "
        f"none lost; {day.conflicts} told conflicts, tried again and counted in; 95 % within {slow * 1000:.0f} ms; "
        f"the server took {busy:.0f} s of processor, its start included"
    )
    yield Row("many_users.edit", statistics.median(waits), None, 0.600, note)


@dataclass(frozen=True)
class Kept:
    """An edit that the server said it had kept: its number in the build, what was written, and how long that took. [s]"""

    build: int
    number: int
    title: str
    waited: float = 0.0


@dataclass
class Day:
    """Users at one server. Of every five, three have a build for themselves, and two share one."""

    address: str
    users: int
    every: float = 5.0  # s
    builds: list[int] = field(default_factory=list)
    kept: list[Kept] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)
    conflicts: int = 0

    def __post_init__(self) -> None:
        self._lock = threading.Lock()
        with self._client() as client:
            for each in range(self.users):
                if each % 5 == 4:
                    self.builds.append(self.builds[-1])
                    continue
                made = client.post("/api/examples/coupe", json={"name": f"Car {each + 1}"})
                self.builds.append(made.raise_for_status().json()["id"])
        self._of_user, self.builds = self.builds, list(dict.fromkeys(self.builds))

    def work(self, lasts: float) -> None:
        """All edit for so many seconds."""
        begun = time.perf_counter()
        workers = [threading.Thread(target=self._user, args=(each, begun, lasts)) for each in range(self.users)]
        for each in workers:
            each.start()
        for each in workers:
            each.join()

    def lost(self) -> list[str]:
        """Acknowledged edits that the log does not hold at their number, and holes in the log."""
        found: list[str] = []
        with self._client() as client:
            for build in self.builds:
                log = client.get(f"/api/builds/{build}/log").raise_for_status().json()
                found += holes(build, [each["number"] for each in log])
                by_number = {each["number"]: each["after"] for each in log}
                found += [
                    f"{each}" for each in self.kept if each.build == build and by_number.get(each.number) != each.title
                ]
                newest = max(by_number, key=int)
                text = client.get(f"/api/builds/{build}").json()["text"]
                if newest > 1 and f"title: {by_number[newest]}\n" not in text:
                    found.append(f"build {build} does not stand as edit {newest} left it")
        return found

    def _user(self, who: int, begun: float, lasts: float) -> None:
        build, since, number = self._of_user[who], 1, 0
        with self._client() as client:
            while (at := (number + who / self.users) * self.every) < lasts:
                time.sleep(max(0.0, begun + at - time.perf_counter()))
                number += 1
                try:
                    since = self._edit(client, build, since, f"user {who + 1} edit {number}")
                except Exception as error:
                    self.errors.append(repr(error))
                    return

    def _edit(self, client: httpx2.Client, build: int, since: int, title: str) -> int:
        """Try until it is kept; the number of the edit. Raises RuntimeError for any answer but a told conflict."""
        begun = time.perf_counter()
        for _ in range(MOST_TRIES):
            answer = client.patch(f"/api/builds/{build}", json={"since": since, "changes": {"title": title}})
            told: Any = answer.json()
            if answer.status_code == 200:
                with self._lock:
                    self.kept.append(Kept(build, told["number"], title, time.perf_counter() - begun))
                return told["number"]
            if answer.status_code != 409 or not told["newer"] or not told["kept"]:
                raise RuntimeError(f"{answer.status_code} {answer.text[:300]}")
            since = told["newer"][-1]["number"]
            with self._lock:
                self.conflicts += 1
        raise RuntimeError(f"{MOST_TRIES} tries, and each time somebody else was first")

    def _client(self) -> httpx2.Client:
        return httpx2.Client(base_url=self.address, headers=PROGRAM, timeout=60)


def holes(build: int, numbers: list[int]) -> list[str]:
    """What is wrong with the numbers of a log, which must go from 1 to its last without a gap and in order."""
    whole = numbers == list(range(1, len(numbers) + 1))
    return [] if whole else [f"build {build}: the log does not go from 1 to its last, but {numbers}"]


@contextmanager
def serving(home: Path) -> Iterator[str]:
    """The address of a server on loopback."""
    words = (sys.executable, "-u", "-m", "voltwright", "serve", "--port", "0")
    around = os.environ | {"PYTHONPATH": str(SOURCE), "VOLTWRIGHT_HOME": str(home)}
    with subprocess.Popen(words, env=around, stdout=subprocess.PIPE, text=True) as process:  # noqa: S603 - our own program
        try:
            said = process.stdout.readline() if process.stdout else ""
            found = re.search(r"https?://localhost:\d+", said)
            if found is None:
                raise RuntimeError(f"the server did not begin: {said}")
            yield found[0]
        finally:
            process.terminate()
