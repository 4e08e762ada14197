"""A datasheet is written: field by field, or from a file; it goes on the shelf when it is whole."""

import asyncio
import base64
import binascii
import json
from collections.abc import Callable, Mapping
from typing import Any, cast
from urllib.parse import urlencode

from fastapi import Request
from nicegui import ui

from voltwright.quantity.errors import ConflictError, PartError, Problem, VoltwrightError
from voltwright.services.views import SheetView, System
from voltwright.services.workshop import Workshop
from voltwright.web.entrance import Visit
from voltwright.web.pages.adding import Choices, select
from voltwright.web.pages.form_page import Form
from voltwright.web.pages.frame import DATA, Tag, Told, doing, framed, inside, refused, visit_of
from voltwright.web.pages.refusing import tell_conflict
from voltwright.web.words import t

FILE = "(event) => voltwright.file(event, emit)"
MOST_BYTES = 500_000


def register(shop: Workshop) -> None:
    """Make the page known."""

    @ui.page("/parts/write", response_timeout=20.0)
    async def write(request: Request, part: str = "", kind: str = "", units: System = "metric"):
        visit = visit_of(request)
        try:
            actor, kinds, view = await inside(lambda: _loaded(shop, visit, part, kind, units))
        except VoltwrightError as error:
            return refused(error)
        asked = request.query_params
        kept = {name: asked[name] for name in ("build", "place") if asked.get(name)}
        with framed(actor, visit, t("Change a datasheet") if part else t("Enter a part from a datasheet")):
            Writing(shop, visit, units, kinds, view, kept, may=actor.may("parts.put"))
        return None


def _loaded(shop: Workshop, visit: Visit, part: str, kind: str, units: System) -> tuple[Any, Choices, SheetView | None]:
    actor = visit.actor()
    kinds = shop.choosing.shelf(actor).kinds
    if part:
        return actor, kinds, shop.sheets.open(actor, part, system=units)
    return actor, kinds, shop.sheets.fill(actor, kind, {}, system=units) if kind else None


class Writing:
    """What is written so far stays in the tab of the browser, and comes back when the page does."""

    def __init__(
        self,
        shop: Workshop,
        visit: Visit,
        units: System,
        kinds: Choices,
        view: SheetView | None,
        kept: Mapping[str, str],
        *,
        may: bool,
    ) -> None:
        self._shop, self._visit, self._view, self._kept = shop, visit, view, kept
        self._units: System = units
        self._one_at_a_time = asyncio.Lock()
        self._may, self._pressed = may, False
        self._since = view.number if view else 0
        self._told = Told()
        if view is None or view.new:
            self._beginning(kinds)
        self._head = Tag("div")
        with Tag("div", classes="sheet"):
            self._form = Form(self._save if may else None, self._take_out, self._doing, lambda path: "", prefix="")
        self._foot = Tag("div")
        if view is not None:
            self._show(view)
        ui.timer(0.01, self._doing(self._remember), once=True)

    def _doing(self, work: Any) -> Any:
        return doing(self._told, work)

    def _beginning(self, kinds: Choices) -> None:
        with Tag("div", classes="beginning"):
            with Tag("label", classes="field"):
                Tag("span", t("Kind of part"), "label")
                now = self._view.kind if self._view else ""
                select(kinds, now, self._choose, aria_label=t("Kind of part"))
            with Tag("label", classes="field"):
                Tag("span", t("Or from a file (YAML, JSON, CSV)"), "label")
                Tag("input", type_="file", accept=".yaml,.yml,.json,.csv", aria_label=t("File with a datasheet")).on(
                    "change", self._upload, js_handler=FILE
                )

    def _choose(self, kind: str) -> None:
        if kind:
            ui.navigate.to(f"/parts/write?{urlencode({'kind': kind, 'units': self._units, **self._kept})}")

    @property
    def _name(self) -> str:
        """Under which the tab keeps it."""
        view = self._view
        return "" if view is None else view.kind if view.new else str(view.whole["id"])

    async def _remember(self) -> None:
        """What was written before the page was left, if anything was."""
        if self._view is None:
            return
        held = await ui.run_javascript(f"voltwright.held({json.dumps(self._name)})", timeout=20.0)
        raw = cast(dict[str, Any], held).get("raw") if isinstance(held, dict) else None
        if isinstance(raw, dict) and raw != dict(self._view.raw):
            await self._here_again(cast(dict[str, Any], raw), int(cast(dict[str, Any], held)["since"]))
        ui.run_javascript(f"voltwright.keep({json.dumps(self._name)})")

    async def _here_again(self, raw: dict[str, Any], since: int) -> None:
        """What was written goes on from the datasheet with which it began, whoever saved another one since."""
        is_overtaken, self._since = since != self._since, since
        await self._fill(raw)
        self._told.say(
            t(
                "What you typed before is here again. Somebody else saved this datasheet since: putting yours on the shelf shows you both."
            )
            if is_overtaken
            else t("What you typed before is here again.")
        )
        with self._told.more():
            Tag("button", t("Throw it away"), "quiet", type_="button").on("click", self._thrown_away)

    def _thrown_away(self) -> None:
        ui.run_javascript(f"voltwright.forget({json.dumps(self._name)}); location.reload()")

    async def _upload(self, event: Any) -> None:
        await self._doing(lambda: self._read(cast(dict[str, Any], event.args)))()

    async def _read(self, file: Mapping[str, Any]) -> None:
        name = str(file.get("name", ""))[:200]
        content = _bytes(str(file.get("content", "")))
        if int(file.get("size", 0)) > MOST_BYTES or len(content) > MOST_BYTES:
            what = f"{name} is larger than {MOST_BYTES // 1000} kB"
            raise PartError(Problem(what, "the datasheet of one part", "name a file that a person wrote"))
        view = await inside(lambda: self._shop.sheets.read(self._visit.actor(), name, content, system=self._units))
        self._told.say(t("Read. Look at it before you put it on the shelf."))
        self._pressed = True
        self._show(view)
        self._hold()
        ui.run_javascript(f"voltwright.keep({json.dumps(self._name)})")

    # What is written.

    async def _save(self, changes: Mapping[str, Any], taken: Callable[[], None]) -> None:
        await self._fill(changes=changes, taken=taken)

    async def _take_out(self, path: str) -> None:
        await self._fill(without=path)

    async def _fill(
        self,
        raw: Mapping[str, Any] | None = None,
        *,
        changes: Mapping[str, Any] | None = None,
        without: str = "",
        taken: Callable[[], None] = lambda: None,
    ) -> None:
        async with self._one_at_a_time:
            now = self._view
            assert now is not None
            view = await inside(
                lambda: self._shop.sheets.fill(
                    self._visit.actor(),
                    now.kind,
                    now.raw if raw is None else raw,
                    changes=changes,
                    without=without,
                    new=now.new,
                    system=self._units,
                )
            )
            self._told.clear()
            taken()
            self._show(view)
            self._hold(*(changes or {}), *([without] if without else []))

    def _hold(self, *paths: str) -> None:
        """The tab keeps the whole, and no single field of it any longer."""
        assert self._view is not None
        name = json.dumps(self._name)
        said = "".join(f"voltwright.saved({name}, {json.dumps(each.removesuffix('.value'))});" for each in paths)
        ui.run_javascript(
            f"{said} voltwright.hold({name}, {json.dumps({'raw': dict(self._view.raw), 'since': self._since})})"
        )

    def _show(self, view: SheetView) -> None:
        self._view = view
        self._form.show(view.forms, anew=True)
        told = (*view.problems, *(view.missing if self._pressed else ()))
        rest = self._form.complain(told)
        self._head.clear()
        with self._head:
            if not view.new:
                Tag("h2", str(view.whole["title"]), **DATA)
                Tag("p", str(view.whole["id"]), "of", **DATA)
            Tag("p", view.title, "of", **DATA)
            Tag(
                "p",
                t("Copy figures in the units in which the maker prints them. Guess no rating that protects people."),
                "of",
            )
        self._foot.clear()
        with self._foot:
            self._standing(view, rest)

    def _standing(self, view: SheetView, rest: list[str]) -> None:
        for text in rest:
            Tag("p", text, "alert", **DATA)
        if view.missing or view.problems:
            said = t("{missing} figures are still needed, {wrong} cannot be as they stand.",
                     missing=len(view.missing), wrong=len(view.problems))  # fmt: skip
            Tag("p", said, role="status")
        else:
            Tag("p", t("It is whole."), role="status")
        if view.worth_adding:
            Tag("p", t("Worth adding, if the maker says it:"))
            with Tag("ul"):
                for text in view.worth_adding:
                    Tag("li", text, **DATA)
        if self._may:
            Tag("button", t("Put it on the shelf"), type_="button").on("click", self._doing(self._put))

    async def _put(self) -> None:
        async with self._one_at_a_time:  # what was typed last is read first
            view = self._view
        assert view is not None
        if view.missing or view.problems:
            self._pressed = True
            self._show(view)
            self._told.complain(t("It is not whole yet: what is missing or wrong stands beside the fields."))
            return
        put, since = self._shop.parts.put, self._since
        try:
            kept = await inside(lambda: put(self._visit.actor(), view.whole, since=since))
        except ConflictError as error:
            await self._tell_conflict(view, error)
            return
        ui.run_javascript(f"voltwright.forget({json.dumps(self._name)})")
        ui.navigate.to(f"/parts/sheet?{urlencode({'part': kept.row.id, 'units': self._units, **self._kept})}")

    async def _tell_conflict(self, view: SheetView, error: ConflictError) -> None:
        """A new part gets another id; a datasheet that was changed goes on top of theirs, where its writer wants it."""
        if view.new:
            await self._fill()
            self._told.complain(
                t(
                    "Somebody else put a part of this id on the shelf meanwhile. Look at the id, and put yours there again."
                )
            )
            return

        async def on_top() -> None:
            self._since = error.newer[-1].number
            await self._put()

        first = t("Somebody else saved this datasheet first. Yours stands here as you wrote it.")
        newer = (t("Datasheet {number}: {who}", number=each.number, who=each.who) for each in error.newer)
        tell_conflict(self._told, error, first, newer, self._doing(on_top))
        with self._told.more():
            Tag("button", t("Throw mine away"), "quiet", type_="button").on("click", self._thrown_away)


def _bytes(text: str) -> bytes:
    try:
        return base64.b64decode(text, validate=True)
    except binascii.Error:
        return b""
