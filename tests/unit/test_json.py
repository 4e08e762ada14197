"""The dossier as text: the data themselves, a line for each figure, finding and assumption."""

from __future__ import annotations

import json

from tests.helpers import dossier


def test_text_is_the_data_line_by_line() -> None:
    made = dossier()
    data, text = made.as_data(), made.as_json()
    assert json.loads(text) == data
    rows = len(data["figures"]) + len(data["findings"]) + len(data["assumptions"])
    rows += len(data["not_for_building"]) + len(data["not_judged"])
    assert rows < len(text.splitlines()) < rows + 20
    assert "\\u" not in text
