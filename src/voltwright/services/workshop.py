"""The workshop: every use case that pages, interface and command line share, by what it is about.

Each takes the actor first and looks itself whether that actor may (`actor.py` has the table).
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import datetime
from functools import cached_property

from voltwright.records.records import Records
from voltwright.services import day
from voltwright.services.attaching import Attachments
from voltwright.services.cache import Cache
from voltwright.services.choosing import Choosing
from voltwright.services.comparing import Comparing
from voltwright.services.editing import Edits
from voltwright.services.figuring import Figures
from voltwright.services.forms import Forms
from voltwright.services.garage import Builds, Cars
from voltwright.services.jobs import Jobs
from voltwright.services.mending import Mending
from voltwright.services.office import Backups, Door, People, Settings
from voltwright.services.printing import Papers
from voltwright.services.saving import Revisions
from voltwright.services.shared import Shared
from voltwright.services.sheets import Sheets
from voltwright.services.stocking import Parts
from voltwright.services.watching import Watching


class Workshop:
    """One for each process. Threads may share it; `close` ends its jobs and then the records."""

    def __init__(
        self,
        records: Records,
        *,
        clock: Callable[[], datetime] = day.now,
        cache: Cache | None = None,
        jobs: Jobs | None = None,
    ) -> None:
        self._shared = Shared(records, clock, cache or Cache(), jobs or Jobs(clock))
        self.door = Door(records)

    def at_one_moment(self) -> AbstractContextManager[None]:
        """For who shows much of one build: what this thread asks for inside belongs together."""
        return self._shared.at_one_moment()

    def close(self) -> None:
        self._shared.jobs.close()
        self._shared.records.close()

    def __enter__(self) -> Workshop:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    @cached_property
    def cars(self) -> Cars:
        return Cars(self._shared)

    @cached_property
    def builds(self) -> Builds:
        return Builds(self._shared)

    @cached_property
    def edits(self) -> Edits:
        return Edits(self._shared)

    @cached_property
    def revisions(self) -> Revisions:
        return Revisions(self._shared)

    @cached_property
    def figures(self) -> Figures:
        return Figures(self._shared)

    @cached_property
    def forms(self) -> Forms:
        return Forms(self._shared)

    @cached_property
    def comparing(self) -> Comparing:
        return Comparing(self._shared)

    @cached_property
    def mending(self) -> Mending:
        return Mending(self._shared)

    @cached_property
    def parts(self) -> Parts:
        return Parts(self._shared)

    @cached_property
    def choosing(self) -> Choosing:
        return Choosing(self._shared)

    @cached_property
    def sheets(self) -> Sheets:
        return Sheets(self._shared)

    @cached_property
    def papers(self) -> Papers:
        return Papers(self._shared)

    @cached_property
    def attachments(self) -> Attachments:
        return Attachments(self._shared)

    @cached_property
    def jobs(self) -> Watching:
        return Watching(self._shared)

    @cached_property
    def people(self) -> People:
        return People(self._shared)

    @cached_property
    def settings(self) -> Settings:
        return Settings(self._shared)

    @cached_property
    def backups(self) -> Backups:
        return Backups(self._shared)
