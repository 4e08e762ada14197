"""What the doors refuse, with the status of HTTP; and every error of the house in the form in which programs read it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from voltwright.quantity.errors import (
    AbsentError,
    BusyError,
    ConflictError,
    DamageError,
    DoorError,
    FigureError,
    FullError,
    JobError,
    Problem,
    ReadOnlyError,
    RequestError,
    RoleError,
    SchemaError,
    StoreError,
    VoltwrightError,
)
from voltwright.services.views import ErrorView


class SignedOutError(DoorError):
    """Nobody is signed in, or no longer."""

    status = 401

    def __init__(self) -> None:
        super().__init__(Problem("nobody is signed in here", "people of the workshop", "sign in"))


class WrongPasswordError(DoorError):
    """It is not said which of the two is wrong."""

    status = 401

    def __init__(self) -> None:
        mend = "type both again; an owner can give you a new password"
        super().__init__(Problem("name or password is wrong", "a name and its password", mend))


class MustWaitError(DoorError):
    """Too many tries that failed."""

    status = 429

    def __init__(self, seconds: float) -> None:
        self.seconds = max(1, round(seconds))
        what = "there were too many wrong tries from here or with this name"
        super().__init__(Problem(what, "one try after a wait that grows", f"wait {self.seconds} s and try again"))


class ForeignError(DoorError):
    """The request is not one that our own pages, or a program that means it, would send."""

    status = 403


class TooLargeError(RequestError):
    """More bytes than this address takes."""

    status = 413

    def __init__(self, most: int) -> None:
        super().__init__(Problem("more was sent than is taken here", f"up to {most / 1e6:.0f} MB", "send less at once"))


class NoAddressError(RequestError):
    """Nothing is served at this address."""

    status = 404


_STATUS: tuple[tuple[type[VoltwrightError], int], ...] = (
    (RoleError, 403),
    (AbsentError, 404),
    (FigureError, 404),
    (ConflictError, 409),
    (JobError, 409),
    (DamageError, 500),
    (SchemaError, 503),
    (StoreError, 503),
    (ReadOnlyError, 503),
    (BusyError, 503),
    (FullError, 507),
)


def status_of(error: VoltwrightError) -> int:
    """The status of HTTP (RFC 9110; 507 of RFC 4918). What is wrong with what was handed in is 422."""
    known = getattr(error, "status", None)
    return known or next((status for kind, status in _STATUS if isinstance(error, kind)), 422)


def headers_of(error: VoltwrightError) -> Mapping[str, str]:
    """What HTTP wants beside the status."""
    return {"Retry-After": str(error.seconds)} if isinstance(error, MustWaitError) else {}


def as_data(error: ErrorView) -> dict[str, Any]:
    """Code, title and each problem: where, what, allowed, mend. Of a conflict also what the others did."""
    data: dict[str, Any] = {
        "code": error.code,
        "title": error.title,
        "problems": [
            {"where": _where(each), "what": each.what, "allowed": each.allowed, "mend": each.mend}
            for each in error.problems
        ],
    }
    if error.newer:
        data |= {"newer": [asdict(each) for each in error.newer], "theirs": error.theirs, "yours": error.yours,
                 "kept": error.kept}  # fmt: skip
    return data


def _where(problem: Problem) -> str:
    return ":".join(str(each) for each in (problem.file, problem.line, problem.path) if each)
