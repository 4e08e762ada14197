"""The scripts behind the make targets answer as they promise."""

import os
import subprocess
from pathlib import Path

import pytest

SCRIPTS = Path(__file__).parents[2] / "scripts"


def script(name: str, *words: str | Path, path: Path | None = None) -> subprocess.CompletedProcess[str]:
    """Run a script; commands in `path` stand in for the system's own."""
    environment = dict(os.environ)
    if path:
        environment["PATH"] = f"{path}:{environment['PATH']}"
    return subprocess.run(
        [SCRIPTS / name, *words], env=environment, capture_output=True, text=True, timeout=60, check=False
    )


def stand_in(file: Path, body: str) -> Path:
    file.write_text(f"#!/bin/sh\n{body}\n", encoding="utf-8")
    file.chmod(0o755)
    return file


def test_nothing_is_said_where_nothing_is_missing() -> None:
    done = script("need.sh", "sh", "anything:true")
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


def test_user_without_rights_is_told_the_line_to_run(tmp_path: Path) -> None:
    stand_in(tmp_path / "id", "echo 1000")
    stand_in(tmp_path / "apt-get", "echo must not run; exit 9")
    done = script("need.sh", "first:false", "sh", "second:false", path=tmp_path)
    assert done.returncode == 2
    assert done.stdout == ""
    assert done.stderr.splitlines()[-1].strip() == "sudo apt-get install -y --no-install-recommends first second"


def test_root_gets_it_installed(tmp_path: Path) -> None:
    stand_in(tmp_path / "id", "echo 0")
    stand_in(tmp_path / "dpkg", "exit 0")
    stand_in(tmp_path / "apt-get", f'echo "$@" >> {tmp_path}/asked')
    done = script("need.sh", f"thing:test -e {tmp_path}/asked", path=tmp_path)
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "asked").read_text(encoding="utf-8").splitlines() == [
        "update",
        "install -y --no-install-recommends thing",
    ]


def test_an_installation_that_does_not_help_is_said(tmp_path: Path) -> None:
    stand_in(tmp_path / "id", "echo 0")
    stand_in(tmp_path / "dpkg", "exit 0")
    stand_in(tmp_path / "apt-get", "exit 0")
    assert script("need.sh", "thing:false", path=tmp_path).returncode == 2


@pytest.mark.parametrize(("code", "expected"), [(0, 0), (1, 0), (2, 2), (70, 70)])
def test_run_takes_a_standing_stop_for_an_answer(tmp_path: Path, code: int, expected: int) -> None:
    fake = stand_in(tmp_path / "voltwright", f'echo "$1"; exit {code}')
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "design.pdf").touch()
    done = script("run.sh", fake, "coupe.yaml", tmp_path / "out")
    assert done.returncode == expected, done.stderr
    assert ("a stop finding stands" in done.stdout) == (code == 1)
    assert ("design.pdf" in done.stdout) == (expected == 0)
