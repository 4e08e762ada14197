"""What the records hand out: plain, frozen, in words of the workshop. Times are aware and in UTC."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

Role = Literal["owner", "technician", "viewer"]
Kind = Literal["begin", "edit", "undo", "redo"]


@dataclass(frozen=True)
class Car:
    """A car of the workshop; `away` cars are off the list. `edited` is when one of its builds last changed, None without builds."""

    id: int
    name: str
    customer: str
    away: bool
    who: str
    at: datetime
    builds: int = 0
    edited: datetime | None = None


@dataclass(frozen=True)
class BuildRow:
    """A build of a car; `number` is that of its newest edit, `who` and `at` tell of that edit."""

    id: int
    car: int
    name: str
    number: int
    who: str
    at: datetime


@dataclass(frozen=True)
class Entry:
    """One line of the draft log. `of` is the edit that an undo took back or a redo brought back."""

    build: int
    number: int
    kind: Kind
    of: int | None
    path: str
    before: Any
    after: Any
    sha256: str
    who: str
    at: datetime


@dataclass(frozen=True)
class Draft:
    """The document of a build as it stood after edit `number`."""

    build: int
    number: int
    text: str
    who: str
    at: datetime


@dataclass(frozen=True)
class RefusedEdit:
    """A text that was refused because somebody else saved first: it started from edit `since` and met edit `met`."""

    id: int
    build: int
    since: int
    met: int
    path: str
    sha256: str
    who: str
    at: datetime
    text: str


@dataclass(frozen=True)
class Revision:
    """A named save, for ever. `draft` is the edit that it holds, `catalogue` the hash of the parts it was worked out with."""

    build: int
    number: int
    draft: int
    name: str
    reason: str
    sha256: str
    catalogue: str
    version: str
    headline: Mapping[str, Any]
    who: str
    at: datetime


@dataclass(frozen=True)
class Attachment:
    """A file of a car; `size` in bytes."""

    id: int
    car: int
    name: str
    note: str
    size: int
    sha256: str
    who: str
    at: datetime


@dataclass(frozen=True)
class OwnPart:
    """One datasheet of a part of the workshop; the newest number counts. None where it was taken off the shelf."""

    part: str
    number: int
    document: Mapping[str, Any] | None
    who: str
    at: datetime


@dataclass(frozen=True)
class Person:
    """Somebody who works with the records; who left stays in the list and is not active."""

    id: int
    name: str
    role: Role
    active: bool
    at: datetime
