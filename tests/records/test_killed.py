"""A program that is killed while it saves, fifty times: whatever it said was saved is there, and the database is whole.

This shows that no save is said to be done too soon. It does not show what happens when the power fails: what the system
was told to write survives the death of a program whether or not it has reached the disk.
"""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import text

from voltwright.records.records import Records

AT = datetime(2026, 11, 27, 9, 30, tzinfo=UTC)
KILLS = 50
LONGEST = 0.12  # s from the first save to the kill

# Loads everything once, then saves in a child for each line that it is given; a child says its number, then each save.
SAVER = """
import os, sys
from datetime import datetime
from voltwright.records.records import Records
folder, build, at = sys.argv[1], int(sys.argv[2]), datetime.fromisoformat(sys.argv[3])
for line in sys.stdin:
    child = os.fork()
    if child:
        os.waitpid(child, 0)
        os.write(1, b"gone\\n")
        continue
    os.write(1, b"%d\\n" % os.getpid())
    records = Records.open(folder)
    number = records.drafts.now(build).number
    while True:
        text = f"edit {number + 1} " + "x" * (number % 7 * 3000)
        number = records.drafts.save(build, text, since=number, who="Ann", at=at).number
        os.write(1, b"%d\\n" % number)
"""


def killed_once(saver: subprocess.Popen[str], wait: float) -> list[int]:
    """Let it save for a while, kill it, and return the numbers that it said were saved."""
    assert saver.stdin
    assert saver.stdout
    saver.stdin.write("\n")
    saver.stdin.flush()
    child = int(saver.stdout.readline())
    said = [int(saver.stdout.readline())]
    time.sleep(wait)
    os.kill(child, signal.SIGKILL)
    while (line := saver.stdout.readline()) != "gone\n":
        said.append(int(line))
    return said


def test_what_was_said_to_be_saved_is_there(tmp_path: Path) -> None:
    draw = random.Random(1729)  # noqa: S311 - no secret
    with Records.open(tmp_path) as records:
        build = records.cars.add_build(records.cars.add("C", who="Ann", at=AT).id, "b", "edit 1", who="Ann", at=AT).id
    words = (sys.executable, "-c", SAVER, str(tmp_path), str(build), AT.isoformat())
    with subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as saver:
        seen = 1
        for _ in range(KILLS):
            said = killed_once(saver, draw.uniform(0, LONGEST))
            with Records.open(tmp_path) as records:
                last = records.drafts.now(build)
                with records.store.reading() as connection:
                    assert connection.execute(text("PRAGMA integrity_check")).scalar() == "ok"
            assert said == list(range(seen + 1, said[-1] + 1)), "each save follows the last one that was there"
            assert last.number in (said[-1], said[-1] + 1), "one more may be saved and not said"
            assert last.text.split()[:2] == ["edit", str(last.number)]
            seen = last.number
        assert saver.stdin
        saver.stdin.close()
    with Records.open(tmp_path) as records:
        assert [each.number for each in records.drafts.log(build)] == list(range(1, seen + 1))
        assert all(records.drafts.at(build, each).text.split()[1] == str(each) for each in range(1, seen + 1))
    assert seen > KILLS
