"""What every address of the interface takes: the workshop, who acts, and the forms of numbers, names and bodies."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Path, Query, Request, Response
from fastapi.responses import FileResponse
from pydantic import BaseModel, ConfigDict, Field
from starlette.types import Receive, Scope, Send

from voltwright.services.views import Actor, Asked, PaperFile, PassingFile, System, Which
from voltwright.services.workshop import Workshop
from voltwright.web.disposition import disposition
from voltwright.web.entrance import Entrance
from voltwright.web.refusals import SignedOutError

LARGEST = 2**31 - 1  # that PostgreSQL keeps as a number of a row


def _shop(request: Request) -> Workshop:
    return request.app.state.shop


def _entrance(request: Request) -> Entrance:
    return request.app.state.entrance


def _who(request: Request) -> Actor:
    """Raises SignedOutError."""
    visit = request.state.visit
    if visit is None:
        raise SignedOutError
    return visit.actor()


Shop = Annotated[Workshop, Depends(_shop)]
Inside = Annotated[Entrance, Depends(_entrance)]
Who = Annotated[Actor, Depends(_who)]
Id = Annotated[int, Path(ge=1, le=LARGEST)]
Number = Annotated[int, Field(ge=0, le=LARGEST)]
Units = Annotated[System, Query(description="Units of the words: metric, uk or us.")]


def _which(
    build: Id,
    edit: Annotated[Number | None, Query(description="As it stood after this edit.")] = None,
    revision: Annotated[Number | None, Query(description="As this revision holds it.")] = None,
    variant: Annotated[str, Query(description="With the changes of this variant.", max_length=200)] = "",
) -> Which:
    return Which(build, edit, revision, variant)


def _wanted(
    bands: Annotated[bool, Query(description="How sure each figure is; takes some seconds.")] = True,
    search: Annotated[bool, Query(description="Remedies of the findings; takes some seconds.")] = True,
    units: Units = "metric",
) -> Asked:
    return Asked(bands, search, units)


Meant = Annotated[Which, Depends(_which)]
Wanted = Annotated[Asked, Depends(_wanted)]


class ProblemBody(BaseModel):
    """Where it is, what is wrong, what is allowed, and how to mend it."""

    where: str
    what: str
    allowed: str
    mend: str


class ErrorBody(BaseModel):
    """Whatever is refused. `code` never changes its meaning."""

    code: str
    title: str
    problems: list[ProblemBody]


def router_of(tag: str) -> APIRouter:
    """A group of addresses. It is hung in as it is: to include it would make every address a second time, which takes long."""
    return APIRouter(prefix="/api", tags=[tag], responses={each: {"model": ErrorBody} for each in ("4XX", "5XX")})


class Body(BaseModel):
    """What is sent; a field that nobody knows is an error."""

    model_config = ConfigDict(extra="forbid", allow_inf_nan=False)


class Since(Body):
    """The number of the edit that was seen: somebody else's later one is never overwritten."""

    since: Number


class Changes(Since):
    """Values by their paths in the build file, as one would write them there."""

    changes: dict[str, Any] = Field(examples=[{"donor.mass_kerb": {"value": "1040 kg ± 5 kg", "how": "measured"}}])


def file_of(made: PaperFile, *, inline: bool = False) -> Response:
    """A file for the reader; only what Voltwright itself has made is shown in the browser."""
    return Response(
        made.content,
        media_type=made.media_type,
        headers={"Content-Disposition": disposition(made.name, inline=inline)},
    )


class Passing(FileResponse):
    """A file sent piece by piece from the disk, and removed there whether the reader took all of it or went away."""

    def __init__(self, made: PassingFile) -> None:
        headers = {"Content-Disposition": disposition(made.path.name)}
        super().__init__(made.path, media_type=made.media_type, headers=headers)
        self._made = made

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        try:
            await super().__call__(scope, receive, send)
        finally:
            self._made.remove()
