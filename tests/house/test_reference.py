"""The reference pages are those of the code: made pages are up to date, and the command line is described whole."""

import importlib.util
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest
from click import Argument, Command, Context, Group, Option
from typer.main import get_command

from voltwright.assess.keys import KEYS
from voltwright.cli import app
from voltwright.quantity.errors import ALL
from voltwright.rules.finding import all_rules

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"


@pytest.fixture(scope="module")
def tool() -> ModuleType:
    spec = importlib.util.spec_from_file_location("make_reference", ROOT / "tools" / "make_reference.py")
    assert spec is not None
    assert spec.loader is not None
    made = importlib.util.module_from_spec(spec)
    sys.modules["make_reference"] = made
    spec.loader.exec_module(made)
    return made


def test_made_pages_are_up_to_date(tool: ModuleType) -> None:
    assert tool.stale() == []


@pytest.mark.parametrize("page", ["reference/figures.md", "reference/findings.md", "reference/errors.md", "theory/mass.md"])
def test_check_finds_an_old_page(
    tool: ModuleType, page: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for folder in ("reference", "theory"):
        (tmp_path / folder).mkdir()
        for each in (DOCS / folder).glob("*.md"):
            (tmp_path / folder / each.name).write_text(each.read_text(encoding="utf-8"), encoding="utf-8")
    monkeypatch.setattr(tool, "DOCS", tmp_path)
    monkeypatch.setattr(sys, "argv", ["make_reference.py", "--check"])
    assert tool.main() == 0
    old = (tmp_path / page).read_text(encoding="utf-8")
    (tmp_path / page).write_text(old.replace("axle", "axis").replace("file", "paper"), encoding="utf-8")
    assert tool.main() == 1
    assert Path(page).name in capsys.readouterr().out
    monkeypatch.setattr(sys, "argv", ["make_reference.py"])
    assert tool.main() == 0
    assert (tmp_path / page).read_text(encoding="utf-8").count("axis") <= old.count("axis") + 1 or page != "theory/mass.md"


def test_laws_without_a_page_are_named(tool: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "theory").mkdir()
    monkeypatch.setattr(tool, "DOCS", tmp_path)
    assert tool.unshown() == ["cell", "mass", "money"]


def text(name: str) -> str:
    return (DOCS / "reference" / name).read_text(encoding="utf-8")


def test_pages_name_everything() -> None:
    assert [key for key in KEYS if f"| `{key}` |" not in text("figures.md")] == []
    assert [error.code for error in ALL if f"| `{error.code}` |" not in text("errors.md")] == []
    assert [each.__name__ for each in all_rules() if f"Check `{each.__name__}`." not in text("findings.md")] == []


def commands(command: Command, name: str = "voltwright") -> Iterator[tuple[str, Command]]:
    """Every command with its full name, groups included."""
    yield name, command
    if isinstance(command, Group):
        for each, inner in command.commands.items():
            yield from commands(inner, f"{name} {each}")


COMMANDS = dict(commands(get_command(app)))
PAGE = text("command-line.md")


def section_of(name: str) -> str:
    found = re.search(rf"^## {name}\n(.*?)(?=^## |\Z)", PAGE, flags=re.M | re.S)
    assert found, f"no section on {name}"
    return found[1]


def test_there_are_commands() -> None:
    assert {"voltwright assess", "voltwright parts import"} <= COMMANDS.keys()


@pytest.mark.parametrize("name", [each for each in COMMANDS if each != "voltwright"])
def test_command_is_described_whole(name: str) -> None:
    """Every argument, option and choice is in the table of its command, and nothing else is."""
    rows = re.findall(r"^\| `([^`]+)` \| (.+) \|$", section_of(name), flags=re.M)
    described = {words.split()[0]: f"{words} {meaning}" for words, meaning in rows}
    context = Context(COMMANDS[name])
    real: set[str] = set()
    for parameter in COMMANDS[name].get_params(context):
        if isinstance(parameter, Argument):
            names = [str(parameter.metavar)]
        else:
            assert isinstance(parameter, Option)
            names = [*parameter.opts, *parameter.secondary_opts]
        real.update(names)
        for choice in getattr(parameter.type, "choices", ()):
            word = str(getattr(choice, "value", choice))
            assert any(f"`{word}`" in described.get(each, "") for each in names), f"{names} may be {word}"
        if isinstance(parameter, Option) and parameter.metavar:
            assert any(f"{each} {parameter.metavar}" in described.get(each, "") for each in names), names
    assert described.keys() == real


def test_sections_are_of_real_commands() -> None:
    assert set(re.findall(r"^## (voltwright .+)$", PAGE, flags=re.M)) == COMMANDS.keys() - {"voltwright"}
