"""The parts shelf: what there is of a kind, and what of it fits this build."""

from __future__ import annotations

import functools
from typing import TYPE_CHECKING

from voltwright.services.views import FitView, PartRow, PlaceView
from voltwright.web.pages.form_page import DATA, VALUE
from voltwright.web.pages.frame import Tag, Told, inside
from voltwright.web.pages.side import Side
from voltwright.web.words import t

if TYPE_CHECKING:
    from voltwright.web.pages.build_page import Desk, Seen


class ShelfSide(Side):
    """All parts at first; of one kind, each is tried in its places."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._job = self._kind = ""

    async def begin(self) -> None:
        desk = self.desk
        rows = await inside(lambda: desk.shop.parts.list(desk.visit.actor()))
        self._rows = rows
        kinds = tuple(dict.fromkeys(each.kind for each in rows))
        with desk.own:
            with Tag("label", classes="field"):
                Tag("span", t("Kind of part"), "label")
                made = Tag("select", aria_label=t("Kind of part"))
                with made:
                    for each in ("", *kinds):
                        Tag("option", each, value=each, **DATA)
                made.on("change", self._chosen, js_handler=VALUE)
            self._going = Told()
            self._place = Tag("div")

    async def _chosen(self, event: object) -> None:
        self._kind = str(getattr(event, "args", ""))
        await self.desk.doing(self._list)()

    async def _list(self) -> None:
        desk, kind, which = self.desk, self._kind, self.desk.which
        self._place.clear()
        if not kind:
            return
        with self._place:
            _plain([each for each in self._rows if each.kind == kind])
        job = await inside(lambda: desk.shop.parts.fitting(desk.visit.actor(), which, kind))
        self._job, self.watches = job.id, True
        self._going.say(t("Each is tried in this build."))
        desk.watch()

    async def look(self) -> None:
        desk = self.desk
        if not self.watches:
            return
        job = await inside(lambda: desk.shop.jobs.look(desk.visit.actor(), self._job))
        if not job.is_over:
            self._going.say(t("Each is tried in this build: {done} of {of}.", done=job.done, of=job.of))
            return
        self.watches = False
        self._going.clear()
        if job.state != "done":
            self._going.complain(" ".join(map(str, job.error.problems)) if job.error else t("This was stopped."))
            return
        found = await inside(lambda: desk.shop.jobs.result(desk.visit.actor(), job.id))
        if found:
            self._place.clear()
            with self._place:
                for each in found:
                    self._fits(each)

    def _fits(self, place: PlaceView) -> None:
        with Tag("section", classes="group"):
            Tag("h2", place.path, **DATA)
            with Tag("div", classes="wide"), Tag("table", classes="list"):
                with Tag("thead"), Tag("tr"):
                    for head in (t("Part"), t("Price"), t("Fits"), t("What speaks against it"), ""):
                        Tag("th", head, scope="col")
                with Tag("tbody"):
                    for each in place.fits:
                        self._fit(each)

    def _fit(self, fit: FitView) -> None:
        with Tag("tr"):
            with Tag("th", scope="row"):
                Tag("span", fit.title, **DATA)
                Tag("span", fit.id, "of", **DATA)
            Tag("td", fit.price, **DATA)
            Tag("td", t("fitted now") if fit.now else t("yes") if fit.fits else t("no"))
            Tag("td", fit.broken or "; ".join(each.title for each in fit.reasons), **DATA)
            with Tag("td"):
                if self.desk.may_edit and not fit.now and not fit.broken and fit.changes:
                    take = self.desk.doing(functools.partial(self._put, fit))
                    Tag("button", t("Put it in"), aria_label=t("Put in {what}", what=fit.title), type_="button").on(
                        "click", take
                    )

    async def _put(self, fit: FitView) -> None:
        desk = self.desk
        await desk.edit(lambda actor, since: desk.shop.edits.change(actor, desk.build, dict(fit.changes), since=since))
        await self._list()

    def draw(self, seen: Seen) -> None:
        Tag(
            "p",
            t("Tried means: put in its place, the whole build judged again, and compared with the place empty."),
            "of",
        )


def _plain(rows: list[PartRow]) -> None:
    with Tag("table", classes="list"):
        with Tag("thead"), Tag("tr"):
            for head in (t("Part"), t("Price"), t("Whose")):
                Tag("th", head, scope="col")
        with Tag("tbody"):
            for each in rows:
                with Tag("tr"):
                    Tag("th", each.title, scope="row", **DATA)
                    Tag("td", each.price, **DATA)
                    Tag("td", t("own") if each.own else t("catalogue"))
