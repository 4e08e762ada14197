"""What the page of a build does with answers that come late, and with a draft that has none."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any, cast

import pytest

from staff import ANN
from voltwright.quantity.errors import BuildError, Problem
from voltwright.web.pages import build_page
from voltwright.web.pages.build_page import _Sheet


class Page:
    """The page without a browser: it notes what is drawn; `best` and `drafts` are what the workshop answers in turn."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, best: list[Any]) -> None:
        self.drawn: list[str] = []
        self.stopped: list[str] = []
        self.applied: list[dict[str, Any]] = []
        self.number = 1
        self.answers = best
        place = SimpleNamespace(clear=lambda: self.drawn.append("cleared"))
        sheet: Any = _Sheet.__new__(_Sheet)
        vars(sheet).update(
            _shop=SimpleNamespace(
                jobs=SimpleNamespace(stop=lambda _, job: self.stopped.append(job)),
                figures=SimpleNamespace(best=self._best),
                mending=SimpleNamespace(apply=self._apply),
            ),
            _visit=SimpleNamespace(actor=lambda: ANN),
            _build=1, _units="us", _asked=0, _job=None, _paper_job="",
            _told=place, _ready=place, _body=place, _timer=SimpleNamespace(active=False), _controls=Place(),
            _draw_controls=lambda: self.drawn.append(f"controls of {sheet._draft.number}"),
            _draw=lambda: self.drawn.append(f"figures of {sheet._made}"),
        )  # fmt: skip
        self.sheet: _Sheet = sheet
        monkeypatch.setattr(build_page, "_draft", lambda *_: (ANN, SimpleNamespace(number=self.number)))
        monkeypatch.setattr(build_page, "inside", self._inside)

    async def _inside(self, work: Callable[[], Any]) -> Any:
        found = work()
        return await found if asyncio.iscoroutine(found) else found

    def _best(self, actor: object, which: Any, system: str) -> Any:
        return self.answers.pop(0)(which.edit)

    def _apply(self, *_: object, **named: Any) -> None:
        self.applied.append(named)


class Place:
    def clear(self) -> None: ...
    def __enter__(self) -> None: ...
    def __exit__(self, *_: object) -> None: ...


def job(name: str) -> Any:
    return SimpleNamespace(id=name)


def test_what_leads_back_is_drawn_before_figures_that_do_not_come(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuses(_: int) -> None:
        raise BuildError(Problem("the part is not on the shelf"))

    page = Page(monkeypatch, [refuses])
    with pytest.raises(BuildError):
        asyncio.run(page.sheet._again())
    assert "controls of 1" in page.drawn
    assert page.drawn[-1] == "cleared", "no figures of another edit are left under the words"


def test_an_older_answer_is_dropped_and_its_job_stopped(monkeypatch: pytest.MonkeyPatch) -> None:
    go = asyncio.Event()

    async def late(edit: int) -> Any:
        await go.wait()
        return f"late {edit}", job("late")

    async def soon(edit: int) -> Any:
        return f"soon {edit}", job("soon")

    page = Page(monkeypatch, [late, soon])

    async def both() -> None:
        first = asyncio.create_task(page.sheet._again())
        await asyncio.sleep(0)
        page.number = 2
        await page.sheet._again()
        go.set()
        await first

    asyncio.run(both())
    assert [each for each in page.drawn if each.startswith("figures")] == ["figures of soon 2"]
    assert page.stopped == ["late"]


def test_a_job_of_a_past_edit_is_stopped_before_the_next(monkeypatch: pytest.MonkeyPatch) -> None:
    page = Page(monkeypatch, [lambda edit: (edit, job(f"of {edit}"))] * 2)
    asyncio.run(page.sheet._again())
    page.number = 2
    asyncio.run(page.sheet._again())
    assert page.stopped == ["of 1"]


def test_a_step_is_of_the_draft_for_which_it_was_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    page = Page(monkeypatch, [lambda edit: (edit, None)] * 2)
    pressed: list[Any] = []

    class Drawn(Place):
        def __init__(self, *_: object, **__: object) -> None: ...
        def on(self, _: str, work: Any) -> None:
            pressed.append(work)

    monkeypatch.setattr(build_page, "Tag", Drawn)
    step = SimpleNamespace(number=3, says="a smaller box")
    texts = dict.fromkeys(("severity", "title", "detail", "limit", "value", "clause"), "")
    vars(page.sheet).update(_draft=SimpleNamespace(number=1), _may_edit=True)
    page.sheet._draw_finding(cast(Any, SimpleNamespace(key="mass.gross", remedies=(step,), **texts)))
    vars(page.sheet).update(_draft=SimpleNamespace(number=2))
    asyncio.run(pressed[0]())
    assert page.applied == [{"since": 1, "system": "us"}]
