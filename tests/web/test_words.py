"""All words of the pages stand in one catalogue."""

from __future__ import annotations

import ast
import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from voltwright.web import words

PAGES = Path(words.__file__).parent
CATALOGUE = json.loads((PAGES / "words.json").read_text(encoding="utf-8"))


def used() -> Iterator[str]:
    for file in PAGES.rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "t":
                text = node.args[0]
                assert isinstance(text, ast.Constant), f"{file.name}:{node.lineno}: a text that no catalogue can hold"
                yield str(text.value)


def test_the_catalogue_holds_what_the_pages_say_and_nothing_else() -> None:
    assert sorted(set(used())) == CATALOGUE


def test_what_stands_in_braces_is_filled_in() -> None:
    assert words.t("Take out {what}", what="the front box") == "Take out the front box"
    with pytest.raises(KeyError):
        words.t("Nobody says this")


def test_the_pseudo_language_marks_every_word(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(words.LANGUAGE, words.PSEUDO)
    words._catalogue.cache_clear()
    try:
        assert words.t("Undo") == "⟦Undo⟧"
    finally:
        words._catalogue.cache_clear()
