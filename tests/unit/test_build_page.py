"""The page about the build file: made from the schema and the defaults, and complete."""

from __future__ import annotations

import importlib.util
import re
import sys
from pathlib import Path
from types import ModuleType

import pytest

from voltwright.build.field_words import field_words
from voltwright.build.paths import all_paths, all_spots
from voltwright.build.reader import defaults
from voltwright.quantity.document import parse

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "docs" / "reference" / "build-file.md"


@pytest.fixture(scope="module")
def tool() -> ModuleType:
    spec = importlib.util.spec_from_file_location("make_build_page", ROOT / "tools" / "make_build_page.py")
    assert spec is not None
    assert spec.loader is not None
    made = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(made)
    return made


def test_page_is_up_to_date(tool: ModuleType, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "argv", ["make_build_page.py", "--check"])
    assert tool.main() == 0


def test_check_finds_an_old_page(tool: ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(sys, "argv", ["make_build_page.py", "--check"])
    monkeypatch.setattr(tool, "PAGE", tmp_path / "build-file.md")
    assert tool.main() == 1
    (tmp_path / "build-file.md").write_text(tool.page() + "\nmore", encoding="utf-8")
    assert tool.main() == 1


def rows() -> dict[str, list[str]]:
    """The cells of each path."""
    found = re.findall(r"^\| [^|`]+ \| `(\S+)` \| (.*) \|$", PAGE.read_text(encoding="utf-8"), flags=re.M)
    return {path: [cell.strip() for cell in rest.split(" | ")] for path, rest in found}


def test_every_path_of_the_schema_stands_on_the_page_once() -> None:
    text = PAGE.read_text(encoding="utf-8")
    assert set(rows()) == {path for path, _ in all_paths()}
    assert all(text.count(f"| `{path}` |") == 1 for path, _ in all_paths())


def test_every_quantity_says_its_unit_and_range() -> None:
    cells = rows()
    for path, here in all_spots():
        if here.expect is not None:
            unit, bounds = cells[path][0].split("; ")[:2]
            assert unit in (here.expect.unit, "plain number", "money", "money an hour"), path
            assert re.fullmatch(r"(above|at least) \S+ and at most \S+", bounds), path


def test_every_default_stands_on_the_page_with_its_reason() -> None:
    cells = rows()
    for default in defaults():
        _, left_out, measure = cells[default.path]
        assert left_out.startswith("assumed ")
        assert default.text("coupe") in left_out
        assert left_out.endswith(default.note)
        assert measure == default.measure


def test_every_line_says_what_it_is_and_how_to_find_out() -> None:
    text = PAGE.read_text(encoding="utf-8")
    for path, cells in rows().items():
        words = field_words(path)
        assert text.count(f"| {words.label} | `{path}` |") == 1, path
        assert cells[2] == words.measure, path


def test_what_must_be_given_is_what_the_schema_asks() -> None:
    needed = {path for path, cell in rows().items() if cell[1] == "must be given"}
    assert {"voltwright", "title", "donor.mass_kerb", "pack.series"} <= needed
    assert not {"workshop", "brief.range", "pack.parallel", "person_mass"} & needed


def test_the_example_on_the_page_is_yaml() -> None:
    (block,) = re.findall(r"^```yaml\n(.*?)^```", PAGE.read_text(encoding="utf-8"), flags=re.M | re.S)
    assert parse(block).root["mass_kerb"]["how"] == "measured"
