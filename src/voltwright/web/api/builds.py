"""Builds: texts, edits, and revisions."""

from __future__ import annotations

from typing import Annotated

from fastapi import Path
from fastapi.responses import PlainTextResponse
from pydantic import Field

from voltwright.services.views import BuildNow, BuildRow, Draft, EditView, Entry, RefusedEdit, Revision, RevisionView
from voltwright.web.api.asked import Body, Changes, Id, Meant, Number, Shop, Since, Who, router_of

router = router_of("builds")


class NewBuild(Body):
    """The text of a build file under a name."""

    name: str = Field(examples=["as ordered"])
    text: str


class Called(Body):
    """Another name."""

    name: str


class Written(Since):
    """The whole text anew."""

    text: str


class TakenOut(Since):
    """What stands at a path of the build file."""

    path: str = Field(examples=["use.trips.1"])


class Named(Since):
    """A name for the draft as it stands."""

    name: str = Field(examples=["quote 2"])
    reason: str = ""


@router.post("/cars/{car}/builds", status_code=201)
def start_build(shop: Shop, who: Who, car: Id, body: NewBuild) -> BuildRow:
    """A new build of a car. What is wrong with the text is said all at once."""
    return shop.builds.start(who, car, body.name, body.text)


@router.get("/builds/{build}")
def read_build(shop: Shop, who: Who, which: Meant) -> Draft:
    """The text of a build, as it stands or stood, and the number of its newest edit."""
    return shop.builds.read(who, which)


@router.get("/builds/{build}/build.yaml", response_class=PlainTextResponse)
def build_file(shop: Shop, who: Who, which: Meant) -> str:
    """The build file as it is written, to be kept or opened elsewhere."""
    return shop.builds.read(who, which).text


@router.put("/builds/{build}/name")
def rename_build(shop: Shop, who: Who, build: Id, body: Called) -> BuildRow:
    """Give a build another name."""
    return shop.builds.rename(who, build, body.name)


@router.get("/builds/{build}/now")
def now(shop: Shop, who: Who, build: Id) -> BuildNow:
    """Whose car it is, the newest edit, and how many edits can be taken back or brought back."""
    return shop.builds.now(who, build)


@router.get("/builds/{build}/log")
def read_log(shop: Shop, who: Who, build: Id, after: Number = 0) -> tuple[Entry, ...]:
    """The edits after a number, oldest first."""
    return shop.builds.log(who, build, after=after)


@router.get("/builds/{build}/log/words")
def read_log_in_words(shop: Shop, who: Who, build: Id) -> tuple[EditView, ...]:
    """The last edits in words, the newest first."""
    return shop.builds.told(who, build)


@router.get("/builds/{build}/refused")
def read_refused(shop: Shop, who: Who, build: Id) -> tuple[RefusedEdit, ...]:
    """Texts that were refused because somebody else saved first."""
    return shop.builds.refused(who, build)


@router.patch("/builds/{build}")
def change_build(shop: Shop, who: Who, build: Id, body: Changes) -> Draft:
    """Set what stands at one path or more."""
    return shop.edits.change(who, build, body.changes, since=body.since)


@router.put("/builds/{build}/text")
def write_build(shop: Shop, who: Who, build: Id, body: Written) -> Draft:
    """Put another text in place of the whole."""
    return shop.edits.write(who, build, body.text, since=body.since)


@router.post("/builds/{build}/take-out")
def take_out(shop: Shop, who: Who, build: Id, body: TakenOut) -> Draft:
    """Take out a box, a trip, a variant."""
    return shop.edits.take_out(who, build, body.path, since=body.since)


@router.post("/builds/{build}/second-pack")
def second_pack(shop: Shop, who: Who, build: Id, body: Since) -> Draft:
    """Write a variant with a second pack in the load space."""
    return shop.edits.second_pack(who, build, since=body.since)


@router.post("/builds/{build}/undo")
def undo(shop: Shop, who: Who, build: Id, body: Since) -> Draft:
    """Take back the last edit that stands."""
    return shop.edits.undo(who, build, since=body.since)


@router.post("/builds/{build}/redo")
def redo(shop: Shop, who: Who, build: Id, body: Since) -> Draft:
    """Bring back what was taken back last."""
    return shop.edits.redo(who, build, since=body.since)


@router.get("/builds/{build}/revisions")
def list_revisions(shop: Shop, who: Who, build: Id) -> tuple[RevisionView, ...]:
    """The named saves, oldest first, with their figures then."""
    return shop.revisions.list(who, build)


@router.post("/builds/{build}/revisions", status_code=201)
def save_revision(shop: Shop, who: Who, build: Id, body: Named) -> Revision:
    """Name the draft; it is then kept for ever."""
    return shop.revisions.save(who, build, body.name, since=body.since, reason=body.reason)


@router.get("/builds/{build}/revisions/{number}", response_class=PlainTextResponse)
def read_revision(shop: Shop, who: Who, build: Id, number: Annotated[int, Path(ge=1, le=2**31 - 1)]) -> str:
    """The build file of a revision."""
    return shop.revisions.text(who, build, number)
