"""What a page of a build does with answers that come late, with a draft that has none, and with what is refused."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Coroutine, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import nullcontext
from types import SimpleNamespace
from typing import Any

import pytest

from staff import ANN
from voltwright.quantity.errors import BuildError, Problem
from voltwright.services.views import POINTS, RemedyView
from voltwright.web.pages import build_page, steps
from voltwright.web.pages.build_page import Desk
from voltwright.web.pages.leaves import Leaf

STEP = RemedyView("Leave the spare wheel out", {"donor.mass_kerb": "900 kg"})


def run(work: Coroutine[Any, Any, None]) -> None:
    """In a thread of its own: in this one the driver of the browser tests may hold a loop."""
    with ThreadPoolExecutor(1) as pool:
        pool.submit(asyncio.run, work).result()


async def settled() -> None:
    """Until everybody waits for something else."""
    for _ in range(20):
        await asyncio.sleep(0)


class Place:
    """Where something is drawn, without a browser."""

    def __init__(self, said: list[str] | None = None) -> None:
        self.said = said if said is not None else []

    def clear(self) -> None: ...

    def complain(self, text: str) -> None:
        self.said.append(text)

    def __enter__(self) -> None: ...
    def __exit__(self, *_: object) -> None: ...


class Made(str):
    """What was worked out, by a name."""

    asked = POINTS


class Page:
    """A page of which nothing is seen: `drawn` notes what would be, `best` is what the workshop answers in turn."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, best: list[Any]) -> None:
        self.drawn: list[str] = []
        self.begun: list[int] = []
        self.stopped: list[str] = []
        self.applied: list[dict[str, Any]] = []
        self.beside: list[str] = []
        self.number, self.answers = 1, best
        desk: Any = Desk.__new__(Desk)
        vars(desk).update(
            shop=SimpleNamespace(
                builds=SimpleNamespace(read=lambda _, which: SimpleNamespace(number=which.edit)),
                jobs=SimpleNamespace(stop=lambda _, job: self.stopped.append(job)),
                figures=SimpleNamespace(best=self._best, complete=self._complete),
                comparing=SimpleNamespace(moved=lambda *_, system: None),
                at_one_moment=nullcontext,
                mending=SimpleNamespace(apply=self._apply),
            ),
            visit=SimpleNamespace(actor=lambda: ANN),
            leaf=Leaf("summary", "Summary"),
            build=1, units="us", _one_at_a_time=asyncio.Lock(), _asked=0, _edits=0, seen=None,
            told=Place(), _controls=Place(), _outcome=Place(),
            side=SimpleNamespace(watches=False, follow=self._nothing, look=self._nothing),
            _timer=SimpleNamespace(active=False), _form=SimpleNamespace(complain=self._beside),
            _draw=lambda: self.drawn.append(f"{desk.seen.made or 'what is wrong'} of edit {desk.seen.draft.number}"),
        )  # fmt: skip
        self.desk: Desk = desk
        monkeypatch.setattr(
            build_page, "_opened", lambda *_: (ANN, SimpleNamespace(build=SimpleNamespace(number=self.number)))
        )
        monkeypatch.setattr(build_page, "inside", self._inside)

    async def _inside(self, work: Callable[[], Any]) -> Any:
        found = work()
        await asyncio.sleep(0)  # as after a thread, others have their turn
        made = getattr(found, "made", None)
        if asyncio.isfuture(made):
            await made
        return found

    async def _nothing(self) -> None: ...

    def _best(self, actor: object, which: Any, **asked: Any) -> Any:
        return self.answers.pop(0)(which.edit)

    def _complete(self, actor: object, which: Any, system: str) -> Any:
        self.begun.append(which.edit)
        return job(f"of {which.edit}")

    def _apply(self, *_: object, **named: Any) -> None:
        self.applied.append(named)
        if named["since"] == 99:
            raise BuildError([Problem("no mass", path="donor.mass_kerb"), Problem("no car", path="")])

    def _beside(self, problems: Sequence[Problem]) -> list[str]:
        self.beside += [each.path for each in problems if each.path]
        return [str(each) for each in problems if not each.path]


def job(name: str, **known: Any) -> Any:
    return SimpleNamespace(id=name, **known)


def made(edit: int) -> Made:
    return Made(f"figures of {edit}")


def test_a_draft_that_cannot_be_read_is_shown_with_what_is_wrong(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuses(_: int) -> None:
        raise BuildError(Problem("the part is not on the shelf"))

    page = Page(monkeypatch, [refuses])
    run(page.desk.again())
    assert page.drawn == ["what is wrong of edit 1"]
    assert page.desk.seen is not None
    assert str(page.desk.seen.wrong) or page.desk.seen.wrong


def test_an_older_answer_is_dropped_and_nothing_begun_for_it(monkeypatch: pytest.MonkeyPatch) -> None:
    async def both() -> None:
        late: asyncio.Future[None] = asyncio.get_running_loop().create_future()
        page = Page(monkeypatch, [lambda edit: late, lambda edit: Made("soon")])
        first = asyncio.create_task(page.desk.again())
        await settled()
        page.number = 2
        await page.desk.again()
        late.set_result(None)
        await first
        assert page.drawn == ["soon of edit 2"]
        assert page.begun == [2]

    run(both())


def test_bands_of_a_past_edit_are_not_drawn_over_a_newer_one(monkeypatch: pytest.MonkeyPatch) -> None:
    async def both() -> None:
        late: asyncio.Future[None] = asyncio.get_running_loop().create_future()
        page = Page(monkeypatch, [made, lambda edit: late, made])
        await page.desk.again()
        bands = asyncio.create_task(page.desk._more())
        await settled()
        page.number = 2
        await page.desk.again(moved_from=1)
        late.set_result(None)
        await bands
        assert page.drawn == ["figures of 1 of edit 1", "figures of 2 of edit 2"]

    run(both())


def test_bands_that_were_asked_for_while_an_edit_was_worked_out_are_dropped(monkeypatch: pytest.MonkeyPatch) -> None:
    async def both() -> None:
        soon, late = (asyncio.get_running_loop().create_future() for _ in range(2))
        page = Page(monkeypatch, [made, lambda edit: soon, lambda edit: late])
        await page.desk.again()
        monkeypatch.setattr(page.desk, "_complete", page._nothing)
        page.number = 2
        newer = asyncio.create_task(page.desk.again(moved_from=1))
        await settled()
        bands = asyncio.create_task(page.desk._more())
        await settled()
        soon.set_result(None)
        await newer
        late.set_result(None)
        await bands
        assert [each.rpartition(" of ")[2] for each in page.drawn] == ["edit 1", "edit 2"]

    run(both())


def test_a_stopped_job_is_not_looked_after_while_the_next_edit_is_worked_out(monkeypatch: pytest.MonkeyPatch) -> None:
    async def both() -> None:
        late: asyncio.Future[None] = asyncio.get_running_loop().create_future()
        page = Page(monkeypatch, [made, lambda edit: late])
        await page.desk.again()
        page.number = 2
        newer = asyncio.create_task(page.desk.again(moved_from=1))
        await settled()
        assert page.stopped == ["of 1"]
        await page.desk._look()
        assert len(page.drawn) == 1
        newer.cancel()

    run(both())


def test_two_presses_are_two_edits_and_no_conflict(monkeypatch: pytest.MonkeyPatch) -> None:
    async def both() -> None:
        page = Page(monkeypatch, [made] * 3)
        await page.desk.again()
        seen = list[int]()

        def undo(actor: object, since: int) -> Any:
            seen.append(since)
            page.number += 1

        await asyncio.gather(page.desk.edit(undo), page.desk.edit(undo))
        assert seen == [1, 2]

    run(both())


def test_a_job_of_a_past_edit_is_stopped(monkeypatch: pytest.MonkeyPatch) -> None:
    page = Page(monkeypatch, [made] * 2)
    run(page.desk.again())
    page.number = 2
    run(page.desk.again())
    assert page.stopped == ["of 1"]


def test_bands_are_those_of_the_edit_that_is_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    page = Page(monkeypatch, [made] * 2)
    run(page.desk.again())
    page.number = 2  # somebody else saved
    seen = page.desk.seen
    assert seen is not None
    run(page.desk._go_on(seen, job("of 1", state="running", is_over=False, done=0)))
    assert len(page.drawn) == 1
    run(page.desk._go_on(seen, job("of 1", state="running", is_over=False, done=1)))
    assert page.drawn == ["figures of 1 of edit 1"] * 2


def test_a_job_that_failed_is_told_and_not_begun_again(monkeypatch: pytest.MonkeyPatch) -> None:
    page = Page(monkeypatch, [made])
    run(page.desk.again())
    seen, said = page.desk.seen, list[str]()
    assert seen is not None
    monkeypatch.setattr(page.desk, "told", Place(said))
    error = SimpleNamespace(problems=["it went wrong."])
    run(page.desk._go_on(seen, job("of 1", state="failed", is_over=True, done=0, error=error)))
    assert (said, page.begun) == (["it went wrong."], [1])
    assert page.desk.seen is not None
    assert (page.desk.seen.put_off, page.desk.seen.waits_for_bands) == ("failed", False)


def test_a_step_is_of_the_draft_for_which_it_was_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    page = Page(monkeypatch, [made] * 3)
    run(page.desk.again())
    page.number = 2
    run(page.desk.again())
    monkeypatch.setattr(page.desk, "told", Place())
    told: list[str] = []
    monkeypatch.setattr(steps, "tell_taken", lambda _, step: told.append(step.says))
    run(steps.take(page.desk, "mass.gross", STEP, since=1))
    assert told == ["Leave the spare wheel out"]
    assert page.applied == [{"since": 1, "system": "us"}]


def test_what_is_wrong_stands_beside_its_field_and_the_rest_above(monkeypatch: pytest.MonkeyPatch) -> None:
    page = Page(monkeypatch, [made])
    run(page.desk.again())
    said: list[str] = []
    monkeypatch.setattr(page.desk, "told", Place(said))
    run(steps.take(page.desk, "mass.gross", STEP, since=99))
    assert page.beside == ["donor.mass_kerb"]
    assert said == ["No car."]
