"""Work that ends after the reader has left the page: nobody is told, and only a real mishap stands in the log."""

from __future__ import annotations

import asyncio
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from voltwright.quantity.errors import EntryError, Problem
from voltwright.web.pages import frame
from voltwright.web.pages.frame import Told, doing


class Gone:
    """The element of a page that is no more, as the web library leaves it."""

    @property
    def client(self) -> Any:
        raise RuntimeError("The client this element belongs to has been deleted.")

    def clear(self) -> None:
        assert self.client

    def __enter__(self) -> Gone:
        return self

    def __exit__(self, *_: object) -> None:
        """Nothing to leave."""


@pytest.mark.parametrize(
    ("error", "logged"),
    [
        (EntryError(Problem("no name")), 0),
        (RuntimeError("The client ... has been deleted."), 0),
        (ValueError("odd"), 1),
    ],
    ids=["told in words", "no page", "mishap"],
)
def test_nobody_is_told_on_a_page_that_is_gone(
    error: Exception, logged: int, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    notes: list[int] = []
    monkeypatch.setattr(frame, "mishaps", SimpleNamespace(logged=lambda: notes.append(1) or "logged"))
    told = Told.__new__(Told)
    told._place = Gone()  # pyright: ignore[reportAttributeAccessIssue]

    async def work() -> None:
        raise error

    async def pressed() -> None:
        await doing(told, work)()

    with ThreadPoolExecutor(1) as pool:  # here a loop of the browser tests may be running
        pool.submit(asyncio.run, pressed()).result()
    assert len(notes) == logged
