"""The parts shelf of a build: looked through, compared, and tried in a place before a part is put in."""

from __future__ import annotations

import functools
from collections.abc import Awaitable, Callable, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode

from nicegui import ui

from voltwright.quantity.errors import JobError, PartError
from voltwright.services.views import FitView, JobView, PlaceView, ShelfRow, ShelfView
from voltwright.web.pages.adding import select
from voltwright.web.pages.beside import otherwise, written
from voltwright.web.pages.form_page import Form
from voltwright.web.pages.frame import Tag, Told, inside
from voltwright.web.pages.leaves import leaf_that_writes
from voltwright.web.pages.shelf_table import CHECKED, MOST_BESIDE, Acts, Order, ordered, side_by_side, table
from voltwright.web.pages.side import Side
from voltwright.web.words import t

if TYPE_CHECKING:
    from voltwright.web.pages.build_page import Desk, Seen

FILTER = "shelf."


class ShelfSide(Side):
    """What is asked of the list stays while parts are tried and put in; each part of the kind is tried as a job."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._kind, self._place = "", desk.asked.get("place", "")
        self._asked: dict[str, str] = {}
        self._view: ShelfView | None = None
        self._places: tuple[PlaceView, ...] = ()
        self._picked: list[str] = []
        self._order, self._only_fitting, self._tried = Order(), False, 0

    async def begin(self) -> None:
        desk = self.desk
        with desk.own, Tag("div", classes="shelf"):
            self._head = Tag("div", classes="choosing")
            self._told = Told()
            with Tag("details", classes="filters"):
                Tag("summary", t("Filters"))
                self._filters = Form(self._ask, self._no_longer, desk.doing, lambda path: "", FILTER)
            self._trial = Tag("section", classes="trial")
            self._beside = Tag("section")
            self._list = Tag("div")
        await self._renew()

    # What is asked.

    async def _renew(self) -> None:
        """The list anew, and each of its parts tried anew."""
        await self._look_up()
        view = self._view
        if view is None or not view.kind:
            return
        await self._try_all(view.kind)

    async def _try_all(self, kind: str) -> None:
        """Each part of the kind in the build as it now stands."""
        desk, which = self.desk, self.desk.which
        self._tried = which.edit or 0
        self._places = ()
        await self.leave()
        self._draw_list()
        try:
            job = await inside(lambda: desk.shop.parts.fitting(desk.visit.actor(), which, kind))
        except (PartError, JobError) as error:
            self._told.say(" ".join(map(str, error.problems)))
            return
        if which.edit != self._tried or kind != self._kind:
            return  # another was begun meanwhile
        self.wait_for(job, self._told, _trying)

    async def _look_up(self) -> None:
        """Raises PartError where what is asked has no field beside which it could be told."""
        desk = self.desk
        try:
            self._view = await inside(
                lambda: desk.shop.choosing.shelf(
                    desk.visit.actor(), self._kind, place=self._place, asked=self._asked, system=desk.units
                )
            )
        except PartError as error:
            beside = [replace(each, path=f"{FILTER}{each.path}") for each in error.problems]
            if self._view is None or self._filters.complain(beside):
                self._place = ""
                raise
            return
        self._filters.show((self._view.filters,) if self._view.kind else ())
        self._kind = self._view.kind
        self._draw_head(self._view)

    async def _ask(self, changes: Mapping[str, Any], taken: Callable[[], None]) -> None:
        self._asked |= {path.removeprefix(FILTER): str(text) for path, text in changes.items()}
        await self._look_up()
        self._draw_list()
        taken()
        self.desk.is_saved(*changes)

    async def _no_longer(self, path: str) -> None:
        self._asked.pop(path.removeprefix(FILTER), None)
        await self._look_up()
        self._draw_list()
        self.desk.is_saved(path)

    def _draw_head(self, view: ShelfView) -> None:
        desk = self.desk
        self._head.clear()
        with self._head:
            with Tag("label", classes="field"):
                Tag("span", t("Kind of part"), "label")
                select(view.kinds, view.kind, self._choose, aria_label=t("Kind of part"))
            if view.place:
                with Tag("p"):
                    Tag("span", t("To stand at:"))
                    Tag("strong", f" {view.label} ", translate="no")
                    leaf = leaf_that_writes(view.place)
                    if leaf:
                        Tag("a", t("Back to {page}", page=leaf.title), href=desk.address(leaf.name))
            with Tag("p"):
                Tag("a", t("Enter a part from a datasheet"), href=f"/parts/write?{self._asking(kind=view.kind)}")
                Tag("span", " · ")
                Tag("a", t("Own parts of the workshop"), href=f"/parts?{self._asking()}")

    def _asking(self, **more: str) -> str:
        desk = self.desk
        known = {"build": str(desk.build), "place": self._place, "units": desk.units, **more}
        return urlencode({name: text for name, text in known.items() if text})

    async def _choose(self, kind: str) -> None:
        self._kind, self._place, self._asked, self._picked, self._order = kind, "", {}, [], Order()
        self._view, self._places = None, ()
        for each in (self._trial, self._beside, self._list):
            each.clear()
        self._told.clear()
        await self.desk.doing(self._renew)()

    # What each would do.

    async def follow(self) -> None:
        """After an edit, an undo too, each is tried anew; what was tried before it says nothing any more."""
        view, desk = self._view, self.desk
        if (
            view is None
            or not view.kind
            or desk.seen is None
            or desk.seen.made is None
            or desk.which.edit == self._tried
        ):
            return
        self._trial.clear()
        await self._try_all(view.kind)

    async def done(self, job: JobView) -> None:
        desk = self.desk
        self._places = await inside(lambda: desk.shop.jobs.result(desk.visit.actor(), job.id))
        if not self._place and self._places:
            self._place = self._places[0].path
        self._draw_list()

    def _here(self) -> PlaceView | None:
        return next((each for each in self._places if each.path == self._place), None)

    def _fits(self) -> dict[str, FitView]:
        here = self._here()
        return {each.id: each for each in here.fits} if here else {}

    def _draw_list(self) -> None:
        view, fits = self._view, self._fits()
        self._list.clear()
        if view is None or not view.kind:
            return
        rows = [
            each for each in view.rows if not self._only_fitting or (each.part.id in fits and fits[each.part.id].fits)
        ]
        with self._list:
            self._draw_places()
            Tag("p", t("{count} of {of} parts.", count=len(rows), of=view.of), "of")
            if not rows:
                Tag("p", t("No part is like that. Ask for less, or enter one from a datasheet."))
                return
            acts = Acts(self._turn, self._pick, self._attempt if self.desk.may_edit else None, self._sheet)
            table(view, ordered(tuple(rows), view, fits, self._order), fits, self._order, set(self._picked), acts)

    def _draw_places(self) -> None:
        """Where there are several places, which is meant; what stands whatever is fitted there; and the filter by what fits."""
        if len(self._places) > 1:
            with Tag("label", classes="field"):
                Tag("span", t("Place in the build"), "label")
                places = tuple((each.path, f"{each.label} ({each.path})") for each in self._places)
                select(places, self._place, self._move, aria_label=t("Place in the build"))
        here = self._here()
        if here is None:
            return
        for each in here.whatever:
            Tag("p", t("Whatever is fitted here, this stands: {finding}", finding=each.title), "of")
        with Tag("label", classes="only"):
            ticked = {"checked": ""} if self._only_fitting else {}
            box = Tag("input", type_="checkbox", **ticked)
            box.on("change", lambda event: self._only(bool(event.args)), js_handler=CHECKED)
            Tag("span", t("Only what fits"))

    def _move(self, place: str) -> None:
        self._place = place or self._place
        self._draw_list()

    def _only(self, wanted: bool) -> None:
        self._only_fitting = wanted
        self._draw_list()

    def _turn(self, column: str) -> Callable[[], Awaitable[None]]:
        async def turn() -> None:
            self._order = Order(column, self._order.column == column and not self._order.falling)
            self._draw_list()

        return turn

    def _sheet(self, part: str) -> str:
        return f"/parts/sheet?{self._asking(part=part)}"

    # Beside each other.

    async def _pick(self, part: str, wanted: bool) -> None:
        await self.desk.doing(functools.partial(self._picking, part, wanted))()

    async def _drop(self, part: str) -> None:
        await self._pick(part, False)
        self._draw_list()

    async def _picking(self, part: str, wanted: bool) -> None:
        desk = self.desk
        self._picked = [each for each in self._picked if each != part] + [part] * wanted
        if len(self._picked) > MOST_BESIDE:
            self._picked = self._picked[:MOST_BESIDE]
            self._draw_list()
            desk.told.complain(t("Four parts can stand beside each other. Leave one out first."))
            return
        picked = tuple(self._picked)
        self._beside.clear()
        if len(picked) < 2:
            return
        found = await inside(lambda: desk.shop.choosing.beside(desk.visit.actor(), picked, system=desk.units))
        with self._beside:
            Tag("h2", t("Beside each other"))
            side_by_side(found, self._sheet, self._drop)

    # In the build.

    def _attempt(self, row: ShelfRow) -> Callable[[], Awaitable[None]]:
        return self.desk.doing(functools.partial(self._try, row))

    async def _try(self, row: ShelfRow) -> None:
        desk, which = self.desk, self.desk.which
        fit = self._fits().get(row.part.id)
        changes = dict(fit.changes) if fit else {self._place: row.part.id}
        if not self._place:
            desk.told.complain(t("The build has no place for it yet: enter one on its page first."))
            return
        self._trial.clear()
        with self._trial:
            Tag("p", t("Being tried."), "waiting", role="status")
        try:
            other = await inside(
                lambda: desk.shop.choosing.tried(desk.visit.actor(), which, changes, system=desk.units)
            )
        finally:
            self._trial.clear()
        with self._trial:
            Tag("h2", t("What would change with {what}", what=row.part.title))
            written(other.changes)
            with Tag("p", classes="buttons"):
                put = desk.doing(functools.partial(self._put, changes))
                Tag("button", t("Put it in"), type_="button").on("click", put)
                Tag("button", t("Leave the build as it is"), "quiet", type_="button").on("click", self._trial.clear)
            otherwise(desk, other)
        ui.run_javascript("document.querySelector('.trial')?.scrollIntoView()")

    async def _put(self, changes: Mapping[str, Any]) -> None:
        desk = self.desk
        taken = await desk.edit(
            lambda actor, since: desk.shop.edits.change(actor, desk.build, dict(changes), since=since)
        )
        if taken:
            desk.told.say(t("It is in the build. Undo takes it out again."))

    def draw(self, seen: Seen) -> None:
        Tag(
            "p",
            t("Tried means: put in its place, the whole build judged again, and compared with the place empty."),
            "of",
        )


def _trying(job: JobView) -> str:
    return t("Each is tried in this build: {done} of {of}.", done=job.done, of=job.of)
