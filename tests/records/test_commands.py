"""The commands of the records, as a person types them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from helpers import Run, runner
from voltwright.services import home

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], tmp_path: Path, place: str, monkeypatch: pytest.MonkeyPatch) -> Run:
    monkeypatch.setenv("VOLTWRIGHT_HOME", str(tmp_path / "home"))
    monkeypatch.delenv("VOLTWRIGHT_RECORDS", raising=False)
    if place.startswith("postgresql"):
        monkeypatch.setenv("VOLTWRIGHT_RECORDS", place)
    return runner(capsys, tmp_path, monkeypatch)


def said(run: Run, *words: str | Path) -> str:
    ended = run(*words)
    assert (ended.code, ended.err) == (0, "")
    return ended.out


def test_from_build_files_to_a_backup_and_back(run: Run, tmp_path: Path) -> None:
    assert "no car yet" in said(run, "records", "list")
    assert (
        said(run, "records", "import", EXAMPLES, "--by", "Ann")
        == "Kept: 3 cars, 3 builds, 3 other files, 0 own parts\n"
    )
    line = next(each for each in said(run, "records", "list").splitlines() if each.startswith("  van"))
    assert re.fullmatch(r"  van +1 edit, 0 revisions; last by Ann, 2026-11-27 \d\d:\d\d UTC", line)
    out = said(run, "backup", "saved.db")
    assert re.match(r"saved\.db \(\d\.\d MB\)\nVerified: 3 cars, 3 builds, 3 edits, 0 revisions, 3 attachments,", out)
    assert run("backup", "saved.db").err.startswith("VW501")
    assert run("restore", "saved.db").err.startswith("VW501")
    out = said(run, "restore", "saved.db", "--replace")
    assert "The records that were there are kept as " in out
    written, left = said(run, "records", "export", "out").splitlines()
    assert written == "Written: 3 cars, 3 builds, 3 other files, 0 own parts"
    assert left.startswith("Left behind: earlier edits, revisions, ")
    assert len(list((tmp_path / "out").glob("*/*.yaml"))) == 3 + 3


@pytest.mark.parametrize("place", ["sqlite"], indirect=True)
def test_what_changes_and_what_stays_out_is_said(run: Run, tmp_path: Path) -> None:
    (tmp_path / "in" / "a").mkdir(parents=True)
    (tmp_path / "in" / "a" / "car.yaml").write_text("name: Van / red\n")
    (tmp_path / "in" / "note.txt").touch()
    out = said(run, "records", "import", "in").splitlines()
    assert out[0] == "Kept: 1 car, 0 builds, 0 other files, 0 own parts"
    assert out[1].startswith("Not taken in: note.txt. ")
    assert "1 name changed to suit a file; car.yaml" in said(run, "records", "export", "out")


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("restore", "none.db"), "VW201"),
        (("records", "import", "none"), "VW201"),
        (("records", "import", EXAMPLES, "--by", " "), "VW609"),
    ],
)
@pytest.mark.parametrize("place", ["sqlite"], indirect=True)
def test_mistakes_are_told(run: Run, words: tuple[str, ...], code: str) -> None:
    ended = run(*words)
    assert ended.code == 2
    assert ended.err.startswith(code)


@pytest.mark.parametrize("place", ["sqlite"], indirect=True)
def test_who_uses_the_computer_signs_where_nobody_is_named(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LOGNAME", "carla")
    said(run, "records", "import", EXAMPLES)
    assert "last by carla" in said(run, "records", "list")


def test_the_folder_of_data_is_the_named_one_else_that_of_the_system(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("VOLTWRIGHT_HOME", "somewhere")
    monkeypatch.delenv("VOLTWRIGHT_RECORDS", raising=False)
    assert home.place_of_records() == home.home() == Path("somewhere")
    monkeypatch.setenv("VOLTWRIGHT_RECORDS", "postgresql://host/x")
    assert home.place_of_records() == "postgresql://host/x"
    monkeypatch.setenv("VOLTWRIGHT_HOME", "")
    assert home.home().name == "voltwright"
    assert home.home().is_absolute()
