"""Long work: progress, stop, fair turns, errors without tracebacks, results that are kept for a time."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import timedelta
from pathlib import Path

import pytest

from staff import ANN, BEN, CAT, Clock
from voltwright.quantity.errors import EntryError, JobError, Problem
from voltwright.services.jobs import MOST_WAITING, Jobs, Progress
from voltwright.services.shown import job_view
from voltwright.services.workshop import Workshop


@pytest.fixture
def one(clock: Clock) -> Iterator[Jobs]:
    """Jobs with a single worker, so that turns can be counted."""
    made = Jobs(clock, workers=1)
    yield made
    made.close()


class Held:
    """Work that waits until it is let go."""

    def __init__(self) -> None:
        self.begun, self.go = threading.Event(), threading.Event()

    def __call__(self, progress: Progress) -> str:
        progress(1, 3, "half way")
        self.begun.set()
        assert self.go.wait(10)
        progress(2, 3, "nearly there")
        return "made"


def test_a_job_tells_how_far_it_is_and_keeps_what_it_made(one: Jobs) -> None:
    work = Held()
    job = one.begin("Ann", "papers", work)
    assert work.begun.wait(10)
    now = one.look(job.id)
    assert (now.state, now.done, now.of, now.says) == ("running", 1, 3, "half way")
    with pytest.raises(JobError, match=r"The job is running.*wait for it"):
        one.result(job.id)
    work.go.set()
    assert one.wait(job.id, 10).state == "done"
    assert one.result(job.id) == "made"


def test_a_job_ends_at_its_next_piece_when_it_is_stopped(one: Jobs) -> None:
    work, waiting = Held(), Held()
    running, later = one.begin("Ann", "first", work), one.begin("Ann", "second", waiting)
    assert work.begun.wait(10)
    assert one.stop(later.id).state == "stopped"
    assert one.stop(running.id).state == "running"
    work.go.set()
    assert one.wait(running.id, 10).state == "stopped"
    assert not waiting.begun.is_set()
    with pytest.raises(JobError, match=r"The job is stopped.*begin it again"):
        one.result(running.id)
    assert one.wait(one.begin("Ann", "third", lambda progress: 3).id, 10).state == "done", "the worker lives on"


def test_turns_are_fair(one: Jobs) -> None:
    order: list[str] = []

    def noted(name: str) -> Callable[[Progress], None]:
        return lambda progress: order.append(name)

    first = Held()
    one.begin("Ann", "first", first)
    assert first.begun.wait(10)
    rows = [("Ann", "a1"), ("Ann", "a2"), ("Ann", "a3"), ("Ben", "b1"), ("Cat", "c1"), ("Ben", "b2")]
    last = [one.begin(who, name, noted(name)) for who, name in rows]
    first.go.set()
    assert all(one.wait(each.id, 10).state == "done" for each in last)
    assert order == ["a1", "b1", "c1", "a2", "b2", "a3"]


def test_one_actor_cannot_take_every_worker(clock: Clock) -> None:
    jobs = Jobs(clock, workers=2)
    held = [Held() for _ in range(4)]
    mine = [jobs.begin("Ann", str(number), each) for number, each in enumerate(held[:3])]
    assert held[0].begun.wait(10)
    assert held[1].begun.wait(10)
    other = jobs.begin("Ben", "short", held[3])
    held[0].go.set()
    assert held[3].begun.wait(10), "Ben is served before the third of Ann"
    assert not held[2].begun.is_set()
    for each in held:
        each.go.set()
    assert {jobs.wait(each.id, 10).state for each in (*mine, other)} == {"done"}
    jobs.close()


def test_an_unexpected_error_becomes_a_reference_number(
    one: Jobs, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("VOLTWRIGHT_HOME", str(tmp_path))

    def broken(progress: Progress) -> None:
        raise ZeroDivisionError("a secret of the house")

    job = one.wait(one.begin("Ann", "papers", broken).id, 10)
    assert job.state == "failed"
    view = job_view(job)
    assert view.error is not None
    assert view.error.code == "VW900"
    said = str(view.error.problems[0])
    assert "Traceback" not in said
    assert "secret" not in said
    assert job.mishap is not None
    assert job.mishap.number in said
    log = (tmp_path / "errors.log").read_text(encoding="utf-8")
    assert f"reference {job.mishap.number}" in log
    assert "a secret of the house" in log
    with pytest.raises(JobError, match=job.mishap.number):
        one.result(job.id)


def test_an_error_of_the_house_stays_itself(one: Jobs) -> None:
    def refused(progress: Progress) -> None:
        raise EntryError(Problem("too large", "smaller", "cut it"))

    job = one.wait(one.begin("Ann", "papers", refused).id, 10)
    view = job_view(job)
    assert view.error is not None
    assert (view.state, view.error.code) == ("failed", "VW609")
    with pytest.raises(EntryError, match="Too large"):
        one.result(job.id)


def test_results_are_kept_for_a_time_and_so_many(clock: Clock) -> None:
    jobs = Jobs(clock, workers=1, most=2, kept=timedelta(hours=1))
    ids = [jobs.wait(jobs.begin("Ann", str(number), lambda progress: None).id, 10).id for number in range(3)]
    assert [each.id for each in jobs.list("Ann")] == [ids[2], ids[1]]
    clock.move(timedelta(hours=2))
    with pytest.raises(JobError, match="no such job any more"):
        jobs.look(ids[2])
    assert jobs.list() == ()
    jobs.close()


def test_work_that_made_nothing_pushes_no_result_out(clock: Clock) -> None:
    with closing(Jobs(clock, most=3)) as jobs:
        papers = jobs.begin("Ann", "papers", lambda _: "made")
        assert jobs.wait(papers.id, 10).state == "done"
        for number in range(9):
            jobs.wait(jobs.begin("Ben", f"bands {number}", lambda _: None).id, 10)
        assert jobs.result(papers.id) == "made"
        assert len(jobs.list("Ben")) <= 4


def test_too_many_that_wait_are_refused(one: Jobs) -> None:
    first = Held()
    one.begin("Ann", "first", first)
    assert first.begun.wait(10)
    for number in range(MOST_WAITING):
        one.begin("Ann", str(number), lambda progress: None)
    with pytest.raises(JobError, match="20 jobs of yours are waiting already"):
        one.begin("Ann", "one more", lambda progress: None)
    assert one.begin("Ben", "his first", lambda progress: None).state == "waiting"
    first.go.set()


def test_the_same_work_of_the_same_actor_is_one_job(one: Jobs) -> None:
    work = Held()
    job = one.begin("Ann", "papers", work, key="k")
    assert one.begin("Ann", "papers", work, key="k").id == job.id
    assert one.begin("Ben", "papers", lambda progress: None, key="k").id != job.id
    work.go.set()
    one.wait(job.id, 10)
    assert one.begin("Ann", "papers", work, key="k").id != job.id


def test_the_end_of_the_program_stops_all(clock: Clock) -> None:
    jobs, work = Jobs(clock, workers=1), Held()
    running, waiting = jobs.begin("Ann", "first", work), jobs.begin("Ann", "second", lambda progress: None)
    assert work.begun.wait(10)
    work.go.set()
    jobs.close()
    assert jobs.look(waiting.id).state == "stopped"
    assert jobs.look(running.id).state in ("stopped", "done")
    with pytest.raises(JobError, match="Voltwright is ending"):
        jobs.begin("Ann", "third", lambda progress: None)


def test_a_job_is_found_again_by_its_actor_and_by_an_owner_alone(shop: Workshop) -> None:
    job = shop._shared.jobs.begin("Ben", "his", lambda progress: "made")
    assert shop.jobs.look(BEN, job.id, seconds=10).state == "done"
    assert [each.id for each in shop.jobs.list(BEN)] == [job.id]
    assert shop.jobs.result(BEN, job.id) == "made"
    assert [each.id for each in shop.jobs.list(ANN)] == [job.id]
    assert shop.jobs.list(CAT) == ()
    for asked in (shop.jobs.look, shop.jobs.result, shop.jobs.stop):
        with pytest.raises(JobError, match="no such job"):
            asked(CAT, job.id)
