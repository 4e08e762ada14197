"""The page on the interface: its examples are sent and answered so, and its addresses are those of the program."""

from __future__ import annotations

import importlib.util
import json
import re
from pathlib import Path
from typing import Any

from at_the_door import Site

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "reference" / "interface.md").read_text(encoding="utf-8")
EXAMPLES = re.findall(r"^```http\n(\w+) (\S+)\n(.*?)```\n```json\n(.*?)```$", PAGE, flags=re.M | re.S)


def test_examples_are_answered_as_shown(local: Site) -> None:
    assert len(EXAMPLES) == PAGE.count("```http") >= 8
    client = local.caller()
    del client.headers["Origin"]
    client.headers["X-Voltwright"] = "a program"
    for method, path, body, shown in EXAMPLES:
        answer = client.request(method, path, json=json.loads(body) if body else None)
        missing = _differs(json.loads(shown), answer.json())
        assert missing == [], (method, path, answer.text[:500])
    weighed = client.get("/api/builds/1/figures/mass.kerb").text
    assert "1034" in weighed
    assert "measured; donor.mass_kerb; weighbridge" in weighed, "what the page sends keeps how it is known"


def _differs(shown: Any, got: Any) -> list[Any]:
    """What is shown and not answered; an answer may hold more."""
    if isinstance(shown, dict):
        return [each for key, value in shown.items() for each in _differs(value, got.get(key))]
    return [] if shown == got else [(shown, got)]


def test_addresses_are_those_of_the_program() -> None:
    tool = ROOT / "tools" / "make_interface_page.py"
    spec = importlib.util.spec_from_file_location("make_interface_page", tool)
    assert spec is not None
    assert spec.loader is not None
    made = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(made)
    assert made.page() == PAGE
