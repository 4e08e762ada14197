"""Use cases of jobs: find them again, watch them, stop them, take what they made."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from voltwright.quantity.errors import JobError, Problem
from voltwright.services.actor import Actor, use_case
from voltwright.services.jobs import JobNow, Jobs
from voltwright.services.shared import Shared
from voltwright.services.shown import job_view
from voltwright.services.views import JobView

LONGEST_LOOK = 20.0  # s; a connection of the interface, and a thread, is held so long


@dataclass(frozen=True)
class Watching:
    """Everybody sees their own jobs, an owner those of all. To others a job does not exist."""

    _shared: Shared

    @use_case("jobs.list")
    def list(self, actor: Actor) -> tuple[JobView, ...]:
        """The jobs of an actor, the newest first."""
        who = None if actor.role == "owner" else actor.name
        return tuple(map(job_view, self._shared.jobs.list(who)))

    @use_case("jobs.look")
    def look(self, actor: Actor, job_id: str, *, seconds: float = 0.0) -> JobView:
        """A job as it stands; where it has not ended, so many seconds are waited, up to 20. Raises JobError."""
        job_of(self._shared.jobs, actor, job_id)
        return job_view(self._shared.jobs.wait(job_id, min(max(seconds, 0.0), LONGEST_LOOK)))

    @use_case("jobs.result")
    def result(self, actor: Actor, job_id: str) -> Any:
        """What a job has made: a view. Raises what it failed with, and JobError where it is not done."""
        job_of(self._shared.jobs, actor, job_id)
        return self._shared.jobs.result(job_id)

    @use_case("jobs.stop")
    def stop(self, actor: Actor, job_id: str) -> JobView:
        """Ask a job to stop. It ends at its next piece. Raises JobError."""
        job_of(self._shared.jobs, actor, job_id)
        return job_view(self._shared.jobs.stop(job_id))


def job_of(jobs: Jobs, actor: Actor, job_id: str) -> JobNow:
    """A job that is the actor's to see. Raises JobError."""
    found = jobs.look(job_id)
    if actor.role != "owner" and found.who != actor.name:
        raise JobError(Problem("there is no such job any more", "jobs of your own", "look at the list of your jobs"))
    return found
