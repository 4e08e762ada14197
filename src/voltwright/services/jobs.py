"""Long work in threads: it tells how far it is, can be stopped, and goes on when nobody watches.

Threads do: the kernels and the typesetter let go of the interpreter lock, and everything else is short. Who asks for much
waits behind who asks for little: of all who wait, the one for whom least is being worked is served next, then in turn.
"""

from __future__ import annotations

import secrets
import threading
from collections import Counter, OrderedDict, deque
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any, Literal

from voltwright.quantity.errors import JobError, Problem, VoltwrightError
from voltwright.services.mishaps import Mishap, logged

State = Literal["waiting", "running", "done", "failed", "stopped"]
ENDED = ("done", "failed", "stopped")
WORKERS = 2
MOST_WAITING = 20  # of one actor
MOST_ENDED = 40
KEPT_FOR = timedelta(hours=12)


class Stopped(Exception):  # noqa: N818 - it is no error
    """Somebody asked this job to stop. Raised out of `Progress`, caught by the worker."""


@dataclass(eq=False)
class _Job:
    """One piece of work. Whoever reads or changes it holds the lock of its `Jobs`."""

    id: str
    who: str
    title: str
    work: Callable[[Progress], Any]
    begun: datetime
    key: Hashable = None
    state: State = "waiting"
    done: int = 0
    of: int = 0
    says: str = ""
    result: Any = None
    error: VoltwrightError | None = None
    mishap: Mishap | None = None
    ended: datetime | None = None
    stop: threading.Event = field(default_factory=threading.Event)


@dataclass(frozen=True)
class JobNow:
    """A job as it stands: `done` of `of` pieces, and what is being done. One of `error` and `mishap` says why it failed."""

    id: str
    who: str
    title: str
    state: State
    done: int
    of: int
    says: str
    begun: datetime
    ended: datetime | None
    error: VoltwrightError | None
    mishap: Mishap | None


@dataclass(frozen=True)
class Progress:
    """What work is given: called between two pieces it tells how far it is, and ends the work where it is to stop."""

    _jobs: Jobs
    _job: _Job

    def __call__(self, done: int, of: int, says: str = "") -> None:
        """Raises Stopped."""
        if self._job.stop.is_set():
            raise Stopped
        self._jobs.tell(self._job, done, of, says)


class Jobs:
    """The jobs of a workshop. They belong to it and not to a page: whoever began one finds it again, by its id or in the list."""

    def __init__(
        self,
        clock: Callable[[], datetime],
        *,
        workers: int = WORKERS,
        most: int = MOST_ENDED,
        kept: timedelta = KEPT_FOR,
    ) -> None:
        self._clock, self._workers, self._most, self._kept_for = clock, workers, most, kept
        self._jobs: OrderedDict[str, _Job] = OrderedDict()
        self._waiting: OrderedDict[str, deque[_Job]] = OrderedDict()
        self._running: Counter[str] = Counter()
        self._changed = threading.Condition()
        self._threads: list[threading.Thread] = []
        self._closed = False

    def begin(self, who: str, title: str, work: Callable[[Progress], Any], *, key: Hashable = None) -> JobNow:
        """Put work in the row; with a key, a job of the same actor and key that has not ended is given instead.

        Raises JobError where too much of the same actor waits already.
        """
        with self._changed:
            self._forget()
            for job in self._jobs.values():
                if key is not None and (job.who, job.key) == (who, key) and job.ended is None and not job.stop.is_set():
                    return _now(job)
            row = self._waiting.setdefault(who, deque())
            if self._closed or len(row) >= MOST_WAITING:
                what = "Voltwright is ending" if self._closed else f"{len(row)} jobs of yours are waiting already"
                raise JobError(Problem(what, f"up to {MOST_WAITING} that wait", "wait for some, or stop them"))
            job = _Job(secrets.token_urlsafe(12), who, title, work, self._clock(), key)
            self._jobs[job.id] = job
            row.append(job)
            if len(self._threads) < self._workers:
                thread = threading.Thread(target=self._work, name=f"job-{len(self._threads)}", daemon=True)
                self._threads.append(thread)
                thread.start()
            self._changed.notify_all()
            return _now(job)

    def look(self, job_id: str) -> JobNow:
        """Raises JobError where there is no such job, or no longer."""
        with self._changed:
            return _now(self._job(job_id))

    def list(self, who: str | None = None) -> tuple[JobNow, ...]:
        """The jobs of one actor, or all; the newest first."""
        with self._changed:
            self._forget()
            return tuple(_now(job) for job in reversed(self._jobs.values()) if who in (None, job.who))

    def stop(self, job_id: str) -> JobNow:
        """Ask a job to stop. One that waits never begins; one that runs ends at its next piece; one that ended stays as it is."""
        with self._changed:
            job = self._job(job_id)
            job.stop.set()
            if job.state == "waiting":
                self._waiting[job.who].remove(job)
                self._end(job, "stopped")
            return _now(job)

    def result(self, job_id: str) -> Any:
        """What a job made. Raises what it failed with, and JobError where it is not done."""
        with self._changed:
            job = self._job(job_id)
            if job.error is not None:
                raise job.error
            if job.state != "done":
                what = str(job.mishap) if job.mishap else f"the job is {job.state}"
                raise JobError(Problem(what, "a job that is done", "begin it again" if job.ended else "wait for it"))
            return job.result

    def wait(self, job_id: str, seconds: float) -> JobNow:
        """The job when it has ended, or after so many seconds as it then is."""
        with self._changed:
            job = self._job(job_id)
            self._changed.wait_for(lambda: job.state in ENDED, seconds)
            return _now(job)

    def close(self, seconds: float = 5.0) -> None:
        """Stop everything, and wait so long for what runs."""
        with self._changed:
            self._closed = True
            for job in self._jobs.values():
                job.stop.set()
                if job.state == "waiting":
                    self._end(job, "stopped")
            self._waiting.clear()
            self._changed.notify_all()
            threads = tuple(self._threads)
        for thread in threads:
            thread.join(seconds / len(threads))

    def tell(self, job: _Job, done: int, of: int, says: str) -> None:
        with self._changed:
            job.done, job.of, job.says = done, of, says
            self._changed.notify_all()

    def _work(self) -> None:
        while (job := self._next()) is not None:
            state, result, error, mishap = _outcome(job, Progress(self, job))
            with self._changed:
                job.result, job.error, job.mishap = result, error, mishap
                self._running[job.who] -= 1
                self._end(job, state)

    def _next(self) -> _Job | None:
        """The job whose turn it is, as soon as there is one; None at the end."""
        with self._changed:
            while not self._closed:
                ready = [who for who, row in self._waiting.items() if row]
                if ready:
                    who = min(ready, key=self._running.__getitem__)  # the first of those for whom least is worked
                    job = self._waiting[who].popleft()
                    self._waiting.move_to_end(who)
                    self._running[who] += 1
                    job.state = "running"
                    self._changed.notify_all()
                    return job
                self._changed.wait()
        return None

    def _end(self, job: _Job, state: State) -> None:
        job.state, job.ended, job.work = state, self._clock(), _nothing
        self._changed.notify_all()

    def _job(self, job_id: str) -> _Job:
        self._forget()
        if job_id not in self._jobs:
            what, mend = "there is no such job any more", "begin it again"
            raise JobError(Problem(what, f"jobs that ended in the last {self._kept_for}", mend))
        return self._jobs[job_id]

    def _forget(self) -> None:
        """Results are kept for a time, and so many of them; the rows of who waits for nothing go too."""
        since = self._clock() - self._kept_for
        ended = [job for job in self._jobs.values() if job.ended is not None]
        old = [job for job in ended if job.ended and job.ended < since]
        made = [job for job in ended if job.result is not None]
        bare = [job for job in ended if job.result is None]  # they push out no papers
        spare = [each for row in (made, bare) for each in row[: max(0, len(row) - self._most)]]
        for job in {each.id: each for each in (*old, *spare)}:
            del self._jobs[job]
        for who in [each for each, row in self._waiting.items() if not row and not self._running[each]]:
            del self._waiting[who]
            del self._running[who]


def _nothing(_: Progress) -> None:
    """In place of work that is over, so that what it held can go."""


def _outcome(job: _Job, progress: Progress) -> tuple[State, Any, VoltwrightError | None, Mishap | None]:
    """Do the work; whatever happens, this thread lives on."""
    try:
        if job.stop.is_set():
            return "stopped", None, None, None
        return "done", job.work(progress), None, None
    except Stopped:
        return "stopped", None, None, None
    except VoltwrightError as error:
        return "failed", None, error, None
    except Exception:
        return "failed", None, None, logged()


def _now(job: _Job) -> JobNow:
    names = ("id", "who", "title", "state", "done", "of", "says", "begun", "ended", "error", "mishap")
    return JobNow(**{name: getattr(job, name) for name in names})
