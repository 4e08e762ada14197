"""The reference pages are those of the code: made pages are up to date, and the command line is described whole."""

import importlib.util
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest
from typer.testing import CliRunner

from helpers import dossier
from voltwright.assess.keys import FAMILIES, KEYS
from voltwright.cli import app
from voltwright.quantity.errors import ALL
from voltwright.rules.rule import all_rules

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


MADE = ["reference/figures.md", "reference/findings.md", "reference/errors.md", "theory/mass.md"]


@pytest.mark.parametrize("page", MADE)
def test_check_finds_an_old_page(
    tool: ModuleType, page: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    for folder in ("reference", "theory"):
        (tmp_path / folder).mkdir()
        for each in (DOCS / folder).glob("*.md"):
            (tmp_path / folder / each.name).write_text(each.read_text(encoding="utf-8"), encoding="utf-8")
    monkeypatch.setattr(tool, "DOCS", tmp_path)
    monkeypatch.setattr(sys, "argv", ["make_reference.py", "--check"])
    assert Path(page).name not in tool.stale()
    right = (tmp_path / page).read_text(encoding="utf-8")
    start = right.rindex("\n| `") if page.startswith("reference") else right.rindex("<!-- end of laws")
    (tmp_path / page).write_text(f"{right[:start]}\nold\n{right[start:]}", encoding="utf-8")
    assert tool.main() == 1
    assert Path(page).name in capsys.readouterr().out
    monkeypatch.setattr(sys, "argv", ["make_reference.py"])
    tool.main()
    assert (tmp_path / page).read_text(encoding="utf-8") == right


def test_laws_without_a_page_are_named(tool: ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "theory").mkdir()
    monkeypatch.setattr(tool, "DOCS", tmp_path)
    assert {"cell", "mass", "money"} <= set(tool.unshown())


def text(name: str) -> str:
    return (DOCS / "reference" / name).read_text(encoding="utf-8")


def test_pages_name_everything() -> None:
    keys = [*KEYS, *(f"{family}.{known.of}" for family, known in FAMILIES.items())]
    assert [key for key in keys if f"| `{key}` |" not in text("figures.md")] == []
    assert [error.code for error in ALL if f"| `{error.code}` |" not in text("errors.md")] == []
    assert [each.name for each in all_rules() if f"Check `{each.name}`;" not in text("findings.md")] == []


LISTED = [
    re.compile(re.sub(r"[A-Z_]{2,}", lambda name: ".+", key))
    for key in re.findall(r"^\| `([^`]+)` \| (?:stop|caution|note)", text("findings.md"), flags=re.M)
]


def test_findings_of_helper_functions_are_listed() -> None:
    rows = text("findings.md")
    for row in (
        "| `mass.AXLE_axle_perhaps` | caution | The AXLE axle may turn out too heavy |",
        "| `mass.gross_perhaps` | caution | The car may turn out too heavy |",
        "| `bms.sensors` | caution |",
    ):
        assert row in rows


@pytest.mark.parametrize("name", ["coupe", "roadster", "van"])
def test_every_finding_of_an_example_is_listed(name: str) -> None:
    found = dossier({"pack.bms.part": None, "donor.mass_kerb": "1900 kg ± 90 kg"}, name, with_bands=True).findings
    assert found
    assert [each.key for each in found if not any(known.fullmatch(each.key) for known in LISTED)] == []


def test_a_finding_to_which_no_check_leads_is_told(tool: ModuleType, monkeypatch: pytest.MonkeyPatch) -> None:
    assert tool.unlisted() == []
    fewer = tuple(each for each in all_rules() if each.name != "gross_mass")
    monkeypatch.setattr("findings_in_source.all_rules", lambda: fewer)
    (told,) = tool.unlisted()  # the helper behind it is still called by the rule on axles
    assert told.startswith("no check leads to the finding in voltwright.rules.mass, line ")


def sections_of(help_text: str) -> dict[str, list[str]]:
    """The lines of each part of a `--help`; continued lines are left out."""
    parts = re.findall(r"^(\w+):\n((?:  .*\n|\n(?=  ))+)", help_text, flags=re.M)
    return {name: re.findall(r"^  (\S.*)$", body, flags=re.M) for name, body in parts}


def commands(name: str = "voltwright") -> Iterator[tuple[str, dict[str, list[str]]]]:
    """Every command by its full name, with what its `--help` says of it."""
    told = CliRunner().invoke(app, [*name.split()[1:], "--help"], env={"COLUMNS": "200"})
    assert told.exit_code == 0, told.output
    said = sections_of(told.output)
    yield name, said
    for line in said.get("Commands", []):
        yield from commands(f"{name} {line.split()[0]}")


COMMANDS = dict(commands())
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
    said = COMMANDS[name]
    real = {line.split()[0] for line in said.get("Arguments", [])}
    for line in said["Options"]:
        head = re.split(r"\s{2,}", line)[0]
        names = re.findall(r"--[\w-]+", head)
        real.update(names)
        told = " ".join(described.get(each, "") for each in names)
        for choice in re.findall(r"[\w-]+", (re.search(r"<(.*)>", head) or ["", ""])[1]):
            assert f"`{choice}`" in told, f"{names} may be {choice}"
        metavar = re.search(r" ([A-Z]+)$", head)
        assert metavar is None or f"{names[0]} {metavar[1]} " in told, head
    assert described.keys() == real


def test_sections_are_of_real_commands() -> None:
    assert set(re.findall(r"^## (voltwright .+)$", PAGE, flags=re.M)) == COMMANDS.keys() - {"voltwright"}
