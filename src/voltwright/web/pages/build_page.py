"""One build: what stops it, its figures with their bands, what was found, and its papers."""

import functools
from collections.abc import Callable
from contextlib import suppress
from typing import Literal

from fastapi import Request
from nicegui import ui

from voltwright.quantity.errors import JobError, VoltwrightError
from voltwright.services.views import Actor, DossierView, Draft, FindingView, JobView, System, Which
from voltwright.services.workshop import Workshop
from voltwright.web.entrance import Visit
from voltwright.web.pages.frame import Tag, Told, doing, framed, inside, refused, visit_of

UNITS: dict[System, str] = {"metric": "metric", "uk": "imperial (UK)", "us": "US"}


def register(shop: Workshop) -> None:
    """Make the page known."""

    @ui.page("/builds/{build}", response_timeout=60.0)
    async def build_page(request: Request, build: int, units: Literal["metric", "uk", "us"] = "metric"):
        visit = visit_of(request)
        try:
            actor, _ = await inside(lambda: _draft(shop, visit, build))
        except VoltwrightError as error:
            return refused(error)
        with framed(actor, visit, "A build") as title:
            _Sheet(shop, visit, actor, build, units, title)
        return None


def _draft(shop: Workshop, visit: Visit, build: int) -> tuple[Actor, Draft]:
    actor = visit.actor()
    return actor, shop.builds.read(actor, Which(build))


class _Sheet:
    """Draws what leads back, then what is known and, as soon as the job is done, the whole."""

    _draft: Draft
    _made: DossierView

    def __init__(self, shop: Workshop, visit: Visit, actor: Actor, build: int, units: System, title: Tag) -> None:
        self._shop, self._visit, self._build, self._title = shop, visit, build, title
        self._units: System = units
        self._may_edit = actor.may("edits.undo", "edits.redo", "mending.apply")
        self._told = Told()
        self._controls = Tag("div", classes="controls")
        self._ready = Tag("div", classes="ready")
        self._body = Tag("div", classes="sheet")
        self._asked = 0
        self._job: JobView | None = None
        self._paper_job = ""
        with self._body:
            Tag("p", "Being worked out. The first time after an installation this takes a minute.", "waiting")
        ui.timer(0.1, doing(self._told, self._again), once=True)
        self._timer = ui.timer(1.0, doing(self._told, self._look), active=False)

    def _draw(self) -> None:
        made = self._made
        self._title.text = made.title
        ui.page_title(f"{made.title} - Voltwright")
        self._body.clear()
        with self._body:
            if self._job:
                Tag("p", "Bands and remedies are still being worked out.", "waiting")
            elif not made.asked.bands:
                Tag(
                    "p",
                    "Bands and remedies have to wait: too much of yours is being worked out. Come back later.",
                    "of",
                )
            if made.not_for_building:
                with Tag("section", classes="not-for-building"):
                    Tag("h2", "Not for building")
                    _points(made.not_for_building)
            _figures(made)
            Tag("h2", "What was found")
            for each in made.findings:
                self._draw_finding(each)
            _points(made.cautions)

    def _draw_controls(self) -> None:
        draft = self._draft
        Tag("p", f"Edit {draft.number}, {draft.at:%d %b %Y %H:%M} UTC, {draft.who}", "of")
        with Tag("p", classes="units"):
            Tag("span", "Units: ")
            for system, words in UNITS.items():
                if system == self._units:
                    Tag("strong", words)
                else:
                    Tag("a", words, href=f"/builds/{self._build}?units={system}")
        with Tag("div", classes="buttons"):
            Tag("button", "Make the papers").on("click", doing(self._told, self._print))
            if self._may_edit:
                Tag("button", "Undo").on("click", doing(self._told, self._undo))
                Tag("button", "Redo").on("click", doing(self._told, self._redo))

    def _draw_finding(self, found: FindingView) -> None:
        with Tag("article", classes=f"finding {found.severity}"):
            with Tag("h3"):
                Tag("span", found.severity, "stamp")
                Tag("span", found.title)
            Tag("p", found.detail)
            if found.limit or found.value:
                parts = (("now", found.value), ("limit", found.limit), ("margin", found.margin))
                Tag("p", "; ".join(f"{word} {text}" for word, text in parts if text), "numbers")
            if found.clause:
                Tag("p", found.clause, "clause")
            if found.remedies and self._may_edit:
                for step in found.remedies:
                    take = functools.partial(self._take, found.key, step.number, self._draft.number)
                    with Tag("p", classes="remedy"):
                        Tag("span", step.says)
                        Tag("button", "Take this step", aria_label=f"Take this step: {step.says}").on(
                            "click", doing(self._told, take)
                        )
            elif found.remedy:
                Tag("p", found.remedy, "remedy")

    async def _look(self) -> None:
        """Is what was begun done?"""
        job = self._job
        if job is not None:
            now = await inside(functools.partial(self._now, job.id))
            if now.is_over:
                await self._again()
        await self._look_at_papers()
        self._watch()

    def _watch(self) -> None:
        self._timer.active = self._job is not None or bool(self._paper_job)

    def _now(self, job: str) -> JobView:
        return self._shop.jobs.look(self._visit.actor(), job)

    async def _look_at_papers(self) -> None:
        if not self._paper_job:
            return
        job = await inside(functools.partial(self._now, self._paper_job))
        if not job.is_over:
            self._told.say(f"Making the papers: {job.says or job.state}.")
            return
        self._paper_job = ""
        if job.state != "done":
            self._told.complain(
                " ".join(map(str, job.error.problems)) if job.error else f"The papers were {job.state}."
            )
            return
        self._told.clear()
        with self._ready:
            Tag("a", "Design paper (PDF)", href=f"/api/jobs/{job.id}/papers/design.pdf", target="_blank")

    async def _print(self) -> None:
        which = Which(self._build, edit=self._draft.number)
        job = await inside(lambda: self._shop.papers.make(self._visit.actor(), which, system=self._units))
        self._ready.clear()
        self._paper_job = job.id
        self._told.say("Making the papers.")
        self._timer.active = True

    async def _undo(self) -> None:
        since = self._draft.number
        await self._edit(lambda: self._shop.edits.undo(self._visit.actor(), self._build, since=since))

    async def _redo(self) -> None:
        since = self._draft.number
        await self._edit(lambda: self._shop.edits.redo(self._visit.actor(), self._build, since=since))

    async def _take(self, key: str, number: int, since: int) -> None:
        """A step is that of the draft for which it was drawn, whatever the page shows when it is pressed."""
        apply = self._shop.mending.apply
        await self._edit(lambda: apply(self._visit.actor(), self._build, key, number, since=since, system=self._units))

    async def _edit(self, work: Callable[[], Draft]) -> None:
        await inside(work)
        self._ready.clear()  # those papers were of the edit before
        await self._again()

    async def _again(self) -> None:
        """Show the newest. What leads back stands there before the figures, which a draft that cannot be read does not have."""
        self._asked += 1
        asked, job, self._job = self._asked, self._job, None
        await self._stop(job)
        _, draft = await inside(lambda: _draft(self._shop, self._visit, self._build))
        if asked != self._asked:
            return
        self._draft = draft
        self._told.clear()
        self._controls.clear()
        with self._controls:
            self._draw_controls()
        try:
            made, job = await inside(lambda: self._best(draft.number))
        except VoltwrightError:
            if asked != self._asked:
                return
            self._body.clear()
            raise
        if asked != self._asked:  # somebody asked anew meanwhile
            await self._stop(job)
            return
        self._made, self._job = made, job
        self._watch()
        self._draw()

    def _best(self, edit: int) -> tuple[DossierView, JobView | None]:
        return self._shop.figures.best(self._visit.actor(), Which(self._build, edit=edit), system=self._units)

    async def _stop(self, job: JobView | None) -> None:
        """Nobody waits for it any more."""
        if job is not None:
            with suppress(JobError):  # it ended long ago
                await inside(lambda: self._shop.jobs.stop(self._visit.actor(), job.id))


def _figures(made: DossierView) -> None:
    for group in made.headline:
        with Tag("table", classes="figures"):
            Tag("caption", group.title)
            with Tag("thead"), Tag("tr"):
                for head in ("Figure", "Value", "Between"):
                    Tag("th", head, scope="col")
            with Tag("tbody"):
                for each in group.figures:
                    with Tag("tr"):
                        Tag("th", each.label, scope="row")
                        Tag("td", each.printed, "value")
                        Tag("td", each.band or each.reason, "band")


def _points(texts: tuple[str, ...]) -> None:
    with Tag("ul"):
        for text in texts:
            Tag("li", text)
