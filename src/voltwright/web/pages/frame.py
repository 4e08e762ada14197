"""What all pages share: plain elements, the head with who is signed in, and how something is done and told."""

from __future__ import annotations

import json
from collections.abc import Awaitable, Callable, Generator, Mapping
from contextlib import contextmanager
from datetime import UTC, datetime
from typing import Any, Self, TypeVar

from fastapi import Request
from fastapi.responses import RedirectResponse, Response
from nicegui import run, ui
from nicegui.elements.mixins.text_element import TextElement

from voltwright.quantity.errors import VoltwrightError
from voltwright.services import mishaps
from voltwright.services.views import Actor
from voltwright.web.entrance import Visit
from voltwright.web.plain_page import said
from voltwright.web.refusals import SignedOutError, status_of
from voltwright.web.words import t

Result = TypeVar("Result")
DATA = {"translate": "no"}  # what the dossier or a person says, in the language in which they say it


class Tag(TextElement):
    """An element of HTML with a text, which the browser takes as text whatever is in it."""

    def __init__(self, tag: str, text: str = "", classes: str = "", **attributes: str) -> None:
        super().__init__(tag=tag, text=text)
        if classes:
            self.classes(classes)
        for name, value in attributes.items():
            self.props[name.rstrip("_").replace("_", "-")] = value

    def clear(self) -> Self:
        """Take out what is in it; where nothing is, nothing is sent."""
        return super().clear() if self.default_slot.children else self

    def _to_dict(self) -> dict[str, Any]:
        """As it is sent. It is replaced as a whole, so that Vue need not watch what is in it: a page is drawn in half the time."""
        return super()._to_dict() | {"__v_skip": True}


def moment(at: datetime) -> Tag:
    """A time by the clock of the reader; in UTC for the pointer that rests on it."""
    at = at if at.tzinfo else at.replace(tzinfo=UTC)
    made = Tag("time", datetime=at.isoformat(), title=f"{at.astimezone(UTC):%d %b %Y %H:%M} UTC", **DATA)
    shown = "toLocaleString('en-GB', {dateStyle: 'medium', timeStyle: 'short'})"
    made.props[":textContent"] = f"new Date({json.dumps(at.isoformat())}).{shown}"
    return made


# What stands in a field. With the dot the browser is given it only when it changes: as a plain `value` it would be put back
# whenever anything on the page is drawn anew, over what somebody is just typing.
SHOWN = ".value"


def renew(tag: Tag, props: Mapping[str, str]) -> None:
    """Give an element these attributes, and send it only where one of them has changed."""
    if any(tag.props.get(name) != value for name, value in props.items()):
        tag.props.update(props)
        tag.update()


async def inside(work: Callable[[], Result]) -> Result:
    """Work that reads records or computes, in a thread, so that everybody else is served meanwhile."""
    found: Any = await run.io_bound(work)
    return found


def visit_of(request: Request) -> Visit:
    """Who asks for the page; the guard has let nobody else through."""
    return request.state.visit


def refused(error: VoltwrightError) -> Response:
    """In place of a page: to the sign-in, or what is wrong in words."""
    if isinstance(error, SignedOutError):
        return RedirectResponse("/sign-in", 303)
    return said(error.title.capitalize(), " ".join(map(str, error.problems)), status_of(error), from_the_shop=True)


@contextmanager
def framed(actor: Actor, visit: Visit, title: str) -> Generator[Tag]:
    """Head and main part of a page, which is given its heading."""
    ui.page_title(f"{title} - Voltwright")
    with Tag("header", classes="head"):
        with Tag("nav", aria_label=t("Where you are")):
            Tag("a", "Voltwright", href="/", translate="no")
            Tag("a", t("Own parts"), href="/parts")
        if visit.entrance.doors.lan:
            with Tag("form", method="post", action="/sign-out", classes="who"):
                Tag("span", f"{actor.name}, {actor.role}", translate="no")
                Tag("button", t("Sign out"))
        else:
            Tag("span", actor.name, classes="who", translate="no")
    with Tag("div", classes="main"):  # Quasar puts all of it into an element `main`
        yield Tag("h1", title)


class Told:
    """The place where a page says what became of a click; a screen reader hears it."""

    def __init__(self) -> None:
        self._place = Tag("div", classes="told", role="status", aria_live="polite")

    def clear(self) -> None:
        """Say nothing."""
        self._place.clear()

    def say(self, text: str) -> None:
        """What is going on."""
        self._show("p", text, "")

    def complain(self, text: str) -> None:
        """What went wrong."""
        self._show("p", text, "alert")

    def more(self) -> Tag:
        """Where more can be said below it."""
        return self._place

    @property
    def is_gone(self) -> bool:
        """Whether the reader has left the page, and nobody is there to be told."""
        try:
            return self._place.client.is_deleted
        except RuntimeError:  # as the web library says it of an element whose page is no more
            return True

    def _show(self, tag: str, text: str, classes: str) -> None:
        if self.is_gone:
            return
        self._place.clear()
        with self._place:
            Tag(tag, text, classes)


def doing(told: Told, work: Callable[[], Awaitable[None]]) -> Callable[[], Awaitable[None]]:
    """What a button does: whatever goes wrong is told in words, and who is signed out signs in again.

    It is done from where it is told: the button itself may be drawn anew by what it does, and would be gone then.
    """

    async def done() -> None:
        try:
            with told.more():
                await work()
        except SignedOutError:
            ui.navigate.to("/sign-in")
        except VoltwrightError as error:
            told.complain(" ".join(map(str, error.problems)))
        except Exception as error:
            if not (isinstance(error, RuntimeError) and told.is_gone):  # there was no page to draw on any more
                told.complain(f"{mishaps.logged()}.")

    return done
