"""The wheel is whole: built, installed away from the repository, and used there."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from zipfile import ZipFile

import pytest

ROOT = Path(__file__).parents[2]
SOURCE = ROOT / "src"
STOP_STANDS = 1  # exit code: a stop finding stands, which is an answer


def command(*words: str | Path, cwd: Path, path: Path | None = None, allowed: tuple[int, ...] = (0,)) -> str:
    """Run this Python with these words, as a user would who has only the packages in `path` (and the lock)."""
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}
    if path:
        environment["PYTHONPATH"] = str(path)
    done = subprocess.run(
        [sys.executable, *words], cwd=cwd, env=environment, capture_output=True, text=True, timeout=300, check=False
    )
    assert done.returncode in allowed, f"{words}: exit code {done.returncode}\n{done.stdout}\n{done.stderr}"
    return done.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    command("-m", "hatchling", "build", "-t", "wheel", "-d", folder, cwd=ROOT)
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def away(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the installed wheel in `site` and the example build beside it."""
    folder = tmp_path_factory.mktemp("away")
    pip = ("-m", "pip", "--disable-pip-version-check", "install", "--quiet", "--no-index", "--no-deps")
    command(*pip, "--target", folder / "site", wheel, cwd=folder)
    shutil.copy(ROOT / "examples" / "coupe.yaml", folder)
    return folder


def test_wheel_holds_every_source_file(wheel: Path) -> None:
    """Code, catalogue, references, fonts, templates and examples alike."""
    files = {
        file.relative_to(SOURCE).as_posix()
        for file in (SOURCE / "voltwright").rglob("*")
        if file.is_file() and "__pycache__" not in file.parts
    }
    files |= {f"voltwright/examples/{file.name}" for file in (ROOT / "examples").iterdir()}
    held = {name for name in ZipFile(wheel).namelist() if ".dist-info/" not in name}
    assert held == files


def test_copy_is_the_one_that_runs(away: Path) -> None:
    """Otherwise the tests below would prove nothing."""
    where = command("-c", "import voltwright; print(voltwright.__file__)", cwd=away, path=away / "site")
    assert Path(where.strip()).is_relative_to(away / "site")


def test_assess_answers_the_same_from_the_wheel(away: Path) -> None:
    words = ("-m", "voltwright", "assess", "coupe.yaml", "--json")
    answer = command(*words, cwd=away, path=away / "site", allowed=(0, STOP_STANDS))
    assert {"figures", "findings", "assumptions"} <= json.loads(answer).keys()
    assert answer == command(*words, cwd=away, path=SOURCE, allowed=(0, STOP_STANDS))


def test_records_are_begun_from_the_wheel(away: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The steps by which the database gets its shape are in it."""
    monkeypatch.setenv("VOLTWRIGHT_HOME", str(away / "home"))
    words = ("-m", "voltwright", "records")
    assert "3 cars" in command(*words, "import", ROOT / "examples", cwd=away, path=away / "site")
    assert (away / "home" / "records.db").is_file()


def test_examples_come_out_of_the_wheel(away: Path) -> None:
    program = (
        "from voltwright.records.records import Records\n"
        "from voltwright.services.workshop import Workshop\n"
        "from voltwright.services.actor import LOCAL_OWNER\n"
        "with Workshop(Records.open('kept')) as shop:\n"
        "    shop.builds.start_example(LOCAL_OWNER, 'van')\n"
        "    print(*shop.builds.examples(LOCAL_OWNER), len(shop.attachments.list(LOCAL_OWNER, 1)))"
    )
    assert command("-c", program, cwd=away, path=away / "site").split() == ["coupe", "roadster", "van", "2"]


def test_papers_come_out_of_the_wheel(away: Path) -> None:
    out = away / "papers"
    words = ("-m", "voltwright", "papers", "coupe.yaml", "--out", out)
    command(*words, cwd=away, path=away / "site", allowed=(0, STOP_STANDS))
    assert (out / "design.pdf").read_bytes().startswith(b"%PDF-")
    assert json.loads((out / "dossier.json").read_text(encoding="utf-8"))["figures"]
