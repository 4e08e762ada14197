"""`make bench`: its table and its file have the promised shape, and the commands of the house tell of it. Nothing is timed."""

import json
import math
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TOPICS = ("many_cars", "growth")
NAMES = ["many_cars.trip", "growth.step", "growth.car", "growth.heat_body", "growth.heat_hour"]


@pytest.fixture(scope="module")
def run(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, dict[str, dict[str, object]]]:
    out = tmp_path_factory.mktemp("bench") / "latest.json"
    words = (sys.executable, "-W", "error", "-m", "benchmarks", *TOPICS, "--small", "--out", str(out))
    done = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout, json.loads(out.read_text(encoding="utf-8"))


def test_every_comparison_has_its_columns(run) -> None:
    table, written = run
    assert list(written) == NAMES
    assert [line.split()[0] for line in table.splitlines()[1:]] == NAMES
    for row in written.values():
        assert list(row) == ["ours_s", "other_s", "ratio", "goal", "note"]
        assert row["ours_s"] > 0
        assert (
            row["ratio"] is None
            if row["other_s"] is None
            else math.isclose(row["ratio"], row["other_s"] / row["ours_s"])
        )
        assert row["goal"] is None or isinstance(row["goal"], float) or float(row["goal"].removesuffix("x")) > 1
        assert row["note"]


def test_every_topic_is_known_to_the_command() -> None:
    """A file of rows that nobody runs would go unseen."""
    with_rows = {file.stem for file in (ROOT / "benchmarks").glob("*.py") if "\ndef rows(" in file.read_text("utf-8")}
    said = subprocess.run(
        (sys.executable, "-m", "benchmarks", "--help"), cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert with_rows
    assert all(topic in said.stdout for topic in with_rows)


def test_the_commands_of_the_house_tell_of_it() -> None:
    told = subprocess.run(("make", "help"), cwd=ROOT, capture_output=True, text=True, check=True).stdout
    assert "make bench" in told
    assert "`make bench`" in (ROOT / "README.md").read_text(encoding="utf-8")
    ignored = subprocess.run(("git", "check-ignore", "-q", "benchmarks/latest.json"), cwd=ROOT, check=False)
    assert ignored.returncode == 0, "the result of one machine is not part of the project"
