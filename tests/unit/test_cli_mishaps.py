"""The command line when something goes wrong around it: an unexpected error, a log, a pipe, a disk or a terminal that fails."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from helpers import Run, run_apart, runner
from voltwright.services import cases

ROOT = Path(__file__).parents[2]
GOLDEN = Path(__file__).parent / "golden" / "format-1.yaml"
TEXT = GOLDEN.read_text(encoding="utf-8")


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    (tmp_path / "car.yaml").write_text(TEXT, encoding="utf-8")
    return runner(capsys, tmp_path, monkeypatch)


def test_an_unexpected_error_goes_to_the_log(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object, **__: object) -> None:
        raise RuntimeError("the sky fell")

    monkeypatch.setattr(cases, "assess_file", fail)
    ended = run("assess", "car.yaml")
    assert (ended.code, ended.out) == (3, "")
    said = re.fullmatch(r"VW900: something went wrong .* Reference ([0-9a-f]{8}); details are in (\S+)\.\n", ended.err)
    assert said is not None
    assert "sky" not in ended.err
    log = Path(said[2])
    assert log == Path.cwd() / "home" / "errors.log"
    assert f"reference {said[1]}" in log.read_text(encoding="utf-8")
    assert "RuntimeError: the sky fell" in log.read_text(encoding="utf-8")
    log.write_text("x" * 600_000, encoding="utf-8")
    run("assess", "car.yaml")
    assert log.with_name("errors.log.1").stat().st_size == 600_000
    assert log.stat().st_size < 100_000


@pytest.mark.parametrize("home", ["car.yaml/inside", "\0", "x" * 300])
def test_a_log_that_cannot_be_written_is_no_second_error(run: Run, monkeypatch: pytest.MonkeyPatch, home: str) -> None:
    def fail(*_: object, **__: object) -> None:
        raise RuntimeError("the sky fell")

    monkeypatch.setattr(cases, "assess_file", fail)
    monkeypatch.setattr(os, "environ", dict(os.environ) | {"VOLTWRIGHT_HOME": home})
    ended = run("assess", "car.yaml")
    assert ended.code == 3
    assert "no details were kept" in ended.err


def test_stopping_is_no_error(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(cases, "assess_file", stop)
    assert run("assess", "car.yaml").code == 130


LONG_AND_SHORT = pytest.mark.parametrize(
    "words", [["--json", "--no-bands"], ["--figure", "mass.kerb"]], ids=["long", "short"]
)


@LONG_AND_SHORT
def test_a_reader_that_goes_away_is_no_error(words: list[str]) -> None:
    """As in `voltwright assess car.yaml --json | head -1`; the exit code still says whether a stop stands."""
    ours, theirs = os.pipe()
    os.close(ours)
    done = run_apart("assess", GOLDEN, *words, stdout=theirs)
    os.close(theirs)
    assert (done.returncode, done.stderr) == (0, b"")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no /dev/full")
@LONG_AND_SHORT
def test_a_full_disk_is_said(words: list[str]) -> None:
    with Path("/dev/full").open("wb") as full:
        done = run_apart("assess", GOLDEN, *words, stdout=full)
    assert done.returncode == 2
    assert done.stderr.startswith(b"VW501: ")
    assert b"No space left" in done.stderr
    assert b"Traceback" not in done.stderr


@pytest.mark.parametrize(
    "locale",
    [
        {"LC_ALL": "C"},
        {"LC_ALL": "POSIX", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
        {"PYTHONIOENCODING": "ascii"},
    ],
)
def test_a_terminal_that_knows_no_utf_8(tmp_path: Path, locale: dict[str, str]) -> None:
    path = tmp_path / "Coupé.yaml"
    path.write_text(TEXT, encoding="utf-8")
    done = run_apart("assess", path, "--no-bands", stdout=subprocess.PIPE, env=locale)
    assert (done.returncode, done.stderr) == (0, b"")
    assert "Ω" in done.stdout.decode("utf-8")
    failed = run_apart("assess", tmp_path / "Käfer.yaml", stdout=subprocess.PIPE, env=locale)
    assert failed.returncode == 2
    assert failed.stderr.startswith(b"VW201")


@pytest.mark.parametrize(
    ("words", "closed", "code"), [("assess", ">&- 2>&-", 0), ("explain", "2>&-", 2), ("explain", ">&- 2>&-", 2)]
)
def test_a_closed_output_is_no_error(words: str, closed: str, code: int) -> None:
    """What is meant for the error output goes nowhere else."""
    line = f'"$0" -m voltwright {words} "$1" {"none.none" if words == "explain" else "--no-bands"} {closed}'
    environment = os.environ | {"PYTHONPATH": str(ROOT / "src")}
    done = subprocess.run(
        ["sh", "-c", line, sys.executable, GOLDEN], env=environment, stdout=subprocess.PIPE, timeout=60, check=False
    )
    assert (done.returncode, done.stdout) == (code, b"")
