"""The log of errors that nobody expected."""

from __future__ import annotations

from pathlib import Path

import pytest

from voltwright.services import mishaps


def test_an_error_cannot_write_an_entry_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("VOLTWRIGHT_HOME", str(tmp_path))
    try:
        raise ValueError("wrong\nreference 00000000\rreference 11111111\u2028reference 22222222")
    except ValueError:
        mishap = mishaps.logged()
    lines = (tmp_path / "errors.log").read_text(encoding="utf-8").splitlines()
    assert [each for each in lines if not each.startswith("    ")] == [f"reference {mishap.number}"]
    assert sum("00000000" in each for each in lines) >= 1
