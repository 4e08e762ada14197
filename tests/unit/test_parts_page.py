"""The pages about parts: made from the schemas, and their examples are read as they stand."""

import importlib.util
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest

from voltwright.parts.base import Part
from voltwright.parts.datasheet import read_datasheet
from voltwright.parts.field_words import field_words, words_of
from voltwright.parts.fields import table_of
from voltwright.parts.kinds import KINDS

ROOT = Path(__file__).parents[2]
HOW_TO = ROOT / "docs" / "how-to" / "enter-a-datasheet.md"


@pytest.fixture(scope="module")
def tool() -> ModuleType:
    spec = importlib.util.spec_from_file_location("make_parts_page", ROOT / "tools" / "make_parts_page.py")
    assert spec is not None
    assert spec.loader is not None
    made = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(made)
    return made


def test_page_is_up_to_date(tool: ModuleType, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "argv", ["make_parts_page.py", "--check"])
    assert tool.main() == 0


def test_check_finds_an_old_page(tool: ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(sys, "argv", ["make_parts_page.py", "--check"])
    monkeypatch.setattr(tool, "PAGE", tmp_path / "parts.md")
    assert tool.main() == 1
    (tmp_path / "parts.md").write_text(tool.page() + "\nmore", encoding="utf-8")
    assert tool.main() == 1


def test_every_kind_and_field_is_on_the_page(tool: ModuleType) -> None:
    sections = dict(re.findall(r"^## (\S+)\n(.*?)(?=^## |\Z)", tool.page(), flags=re.M | re.S))
    shared = {"id", "kind", "title", "source", "grade", "remarks", "fields", "price"}
    for kind, schema in KINDS.items():
        assert set(re.findall(r"^\| `(\w+)` \|", sections[kind], flags=re.M)) == set(schema.model_fields) - shared


def test_every_field_and_column_has_words_and_none_are_left_over() -> None:
    fields = {(kind, path) for kind, schema in KINDS.items() for path in paths_of(schema)}
    used = {id(words_of(*each)) for each in fields}
    assert all(words_of(*each).label and words_of(*each).means for each in fields)
    assert [name for name, words in field_words().items() if id(words) not in used] == []


def paths_of(schema: type[Part]) -> Iterator[str]:
    """Every field, and every column of those that are tables."""
    yield from ("fields.source", "fields.grade")
    for name, info in schema.model_fields.items():
        columns = table_of(info)
        yield name
        yield from (f"{name}.{each}" for each in (columns.model_fields if columns else ()))


def test_examples_of_the_how_to_are_read(tmp_path: Path) -> None:
    found = re.findall(r"^```(yaml|csv)\n(.*?)^```", HOW_TO.read_text(encoding="utf-8"), flags=re.M | re.S)
    assert [suffix for suffix, _ in found] == ["yaml", "csv", "yaml"]
    sheets = []
    for number, (suffix, text) in enumerate(found):
        path = tmp_path / f"{number}.{suffix}"
        path.write_text(text, encoding="utf-8")
        sheets.append(read_datasheet(path))
        assert sheets[-1].problems == ()
    assert sheets[0].raw == sheets[1].raw
