"""Who works in the workshop of the tests, and its clock, which moves only when a test moves it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from voltwright.services.actor import Actor

ANN, BEN, CAT = Actor("Ann", "owner"), Actor("Ben", "technician"), Actor("Cat", "viewer")


@dataclass
class Clock:
    now: datetime = datetime(2026, 11, 27, 9, 30, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now

    def move(self, time: timedelta) -> None:
        self.now += time
