"""A server that is killed while several save over HTTP, three times on the same records: whatever it acknowledged is there.

This shows that no edit is acknowledged too soon, and that what a killed server leaves can be opened and gone on with. It does not
prove safety when the power fails: what the system was told to write survives the death of a program whether or not it has
reached the disk.
"""

from __future__ import annotations

import random
import signal
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path

import httpx2
from benchmarks.many_users import MOST_TRIES, PROGRAM, Kept, holes
from sqlalchemy import text

from serving import Served, served
from voltwright.records.records import Records

KILLS = 3
SAVERS = 4  # of two builds
LONGEST = 1.5  # s from the first acknowledged edit to the kill


@dataclass
class Savers:
    """Threads that save without a pause until the server is gone."""

    address: str
    said: str
    builds: list[int]
    kept: list[Kept] = field(default_factory=list)
    odd: list[str] = field(default_factory=list)

    def until_killed(self, site: Served, wait: float) -> None:
        workers = [threading.Thread(target=self._save, args=(each,)) for each in range(SAVERS)]
        for each in workers:
            each.start()
        for _ in range(600):
            if self.kept or self.odd:
                break
            time.sleep(0.05)
        time.sleep(wait)
        site.process.send_signal(signal.SIGKILL)
        for each in workers:
            each.join(60)

    def _save(self, who: int) -> None:
        build, count = self.builds[who % len(self.builds)], 0
        with httpx2.Client(base_url=self.address, headers=PROGRAM, timeout=60) as client:
            try:
                since = client.get(f"/api/builds/{build}").json()["number"]
                while True:
                    count += 1
                    since = self._edit(client, build, since, f"{self.said} saver {who} edit {count}")
            except httpx2.TransportError:  # killed
                return

    def _edit(self, client: httpx2.Client, build: int, since: int, title: str) -> int:
        for _ in range(MOST_TRIES):
            answer = client.patch(f"/api/builds/{build}", json={"since": since, "changes": {"title": title}})
            if answer.status_code == 200:
                self.kept.append(Kept(build, answer.json()["number"], title))
                return answer.json()["number"]
            if answer.status_code != 409:
                self.odd.append(f"{answer.status_code} {answer.text[:300]}")
            since = client.get(f"/api/builds/{build}").json()["number"]
        return since


def test_what_a_killed_server_acknowledged_is_there(tmp_path: Path) -> None:
    home, draw = tmp_path / "home", random.Random(1729)  # noqa: S311 - no secret
    builds: list[int] = []
    kept: list[Kept] = []
    for kill in range(KILLS):
        with served(home, ends=-signal.SIGKILL) as site:
            if not builds:
                client = httpx2.Client(base_url=site.address, headers=PROGRAM, timeout=60)
                builds = [client.post("/api/examples/coupe", json={"name": str(each)}).json()["id"] for each in (1, 2)]
                client.close()
            savers = Savers(site.address, f"kill {kill}", builds)
            savers.until_killed(site, draw.uniform(0, LONGEST))
        assert savers.odd == []
        assert savers.kept, "the log goes on after a kill"
        kept += savers.kept
        must_be_whole(home, builds, kept, unsaid=SAVERS * (kill + 1))
    assert not (home / "errors.log").exists()


def must_be_whole(home: Path, builds: list[int], kept: list[Kept], *, unsaid: int) -> None:
    """Open what is left: every acknowledged edit stands at its number, and each document is that of its edit.

    So many more may be saved and not acknowledged: one of each saver at each kill.
    """
    with Records.open(home) as records:
        with records.store.reading() as connection:
            assert connection.execute(text("PRAGMA integrity_check")).scalar() == "ok"
            assert connection.execute(text("PRAGMA foreign_key_check")).all() == []
        there = 0
        for build in builds:
            log = records.drafts.log(build)
            assert holes(build, [each.number for each in log]) == []
            titles = {each.number: each.after for each in log}
            mine = [each for each in kept if each.build == build]
            assert [each for each in mine if titles.get(each.number) != each.title] == []
            for number in range(2, len(log) + 1):
                assert f"title: {titles[number]}\n" in records.drafts.at(build, number).text
            there += len(log) - 1
        assert len({(each.build, each.number) for each in kept}) == len(kept), "no number is given twice"
        assert len(kept) <= there <= len(kept) + unsaid
