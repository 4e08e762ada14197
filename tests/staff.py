"""Who works in the workshop of the tests, and its clock, which moves only when a test moves it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from voltwright.parts.shelf import catalogue
from voltwright.services.actor import Actor
from voltwright.services.views import JobView
from voltwright.services.workshop import Workshop

ANN, BEN, CAT = Actor("Ann", "owner"), Actor("Ben", "technician"), Actor("Cat", "viewer")


@dataclass
class Clock:
    now: datetime = datetime(2026, 11, 27, 9, 30, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now

    def move(self, time: timedelta) -> None:
        self.now += time


def at_its_end(shop: Workshop, actor: Actor, job: str) -> JobView:
    """A job once it has ended, or after a minute, which the first of all takes, for laws are compiled then."""
    for _ in range(3):
        if shop.jobs.look(actor, job, seconds=20).is_over:
            break
    return shop.jobs.look(actor, job)


def own(kind: str, **other: Any) -> dict[str, Any]:
    """A datasheet of the catalogue as an own part, with some values of its own."""
    return dict(catalogue()._raw[catalogue().ids(kind)[0]]) | {"id": f"{kind}/our-own"} | other
