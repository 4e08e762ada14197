"""A build: its pages, what is written on each, and what becomes of it at once."""

import asyncio
import base64
import json
from collections.abc import Awaitable, Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Any, Literal
from urllib.parse import urlencode

from fastapi import Request
from fastapi.responses import RedirectResponse
from nicegui import ui

from voltwright.quantity.errors import BuildError, ConflictError, JobError, VoltwrightError
from voltwright.services.views import (
    Actor,
    BuildNow,
    DossierView,
    Draft,
    DrawingView,
    FormView,
    JobView,
    OtherView,
    PictureView,
    System,
    Which,
)
from voltwright.services.workshop import Workshop
from voltwright.web.entrance import Visit
from voltwright.web.pages import sides
from voltwright.web.pages.charts_place import Charts
from voltwright.web.pages.controls import MOST_TOLD, Controls
from voltwright.web.pages.form_page import Form
from voltwright.web.pages.frame import DATA, Tag, Told, doing, framed, inside, refused, visit_of
from voltwright.web.pages.leaves import Leaf, contents, leaf_of
from voltwright.web.pages.part import Part
from voltwright.web.pages.refusing import Beside, tell_conflict
from voltwright.web.words import t

PutOff = Literal["", "busy", "failed"]
Edit = Callable[[Actor, int], Draft]  # what somebody does to a draft, by the number of the edit that they saw
WATCHED = 2.0  # s between two looks whether somebody else saved
LOOKED = 0.05  # s between two looks at a job
SENT = 0.02  # s in which what was drawn is on its way, before long work takes the interpreter


def register(shop: Workshop) -> None:
    """Make the pages known."""

    @ui.page("/builds/{build}")
    async def first(build: int, units: System = "metric"):
        return RedirectResponse(f"/builds/{build}/summary?units={units}", 303)

    @ui.page("/builds/{build}/{name}", response_timeout=60.0)
    async def build_page(request: Request, build: int, name: str, units: System = "metric"):
        visit, leaf = visit_of(request), leaf_of(name)
        try:
            actor, now = await inside(lambda: _opened(shop, visit, build))
        except VoltwrightError as error:
            return refused(error)
        if leaf is None:
            return RedirectResponse(f"/builds/{build}/summary?units={units}", 303)
        with framed(actor, visit, heading(now, leaf)) as title:
            Desk(shop, visit, actor, now, units, leaf, title, dict(request.query_params))
        return None


def heading(now: BuildNow, leaf: Leaf) -> str:
    """Whose car it is, and which page."""
    customer = f" ({now.car.customer})" if now.car.customer else ""
    return t("{car}: {page}", car=f"{now.car.name}{customer}", page=leaf.title)


def _opened(shop: Workshop, visit: Visit, build: int) -> tuple[Actor, BuildNow]:
    actor = visit.actor()
    return actor, shop.builds.now(actor, build)


@dataclass(frozen=True)
class Seen:
    """What is known at one moment: the draft, what is written on this page, what follows, and what the last edit moved.

    `put_off`: why bands and remedies are not being worked out.
    """

    now: BuildNow
    draft: Draft
    forms: tuple[FormView, ...] = ()
    made: DossierView | None = None
    job: JobView | None = None
    moved: OtherView | None = None
    pictures: tuple[PictureView, ...] = ()
    drawings: tuple[DrawingView, ...] = ()
    wrong: VoltwrightError | None = None
    put_off: PutOff = ""

    @property
    def lacks(self) -> bool:
        """Whether there is more to come than is shown."""
        return self.made is not None and not (self.made.asked.bands and self.made.asked.search)

    @property
    def waits_for_bands(self) -> bool:
        return self.made is not None and not self.made.asked.bands and not self.put_off


class Desk:
    """One page of a build that is open in a browser. What it shows is worked out in a thread, drawn at once, and drawn
    again when bands and remedies are there."""

    def __init__(
        self,
        shop: Workshop,
        visit: Visit,
        actor: Actor,
        now: BuildNow,
        units: System,
        leaf: Leaf,
        title: Tag,
        asked: Mapping[str, str],
    ) -> None:
        self.shop, self.visit, self.build, self.asked = shop, visit, now.build.id, asked
        self.leaf = replace(leaf, assumptions=True) if asked.get("begun") else leaf
        self.units: System = units
        self.may_edit = actor.may("edits.change", "edits.undo", "mending.apply")
        self.seen: Seen | None = None
        self._title, self._asked, self._edits, self._told_of = title, 0, 0, 0
        self._one_at_a_time = asyncio.Lock()
        self._of = Tag("p", classes="of-build", **DATA)
        self._contents()
        self.told = Told()
        self._controls = Controls(self, self.undo, self._redo)
        with Tag("div", classes="desk"):
            with Tag("div", classes="written"):
                self._form = Form(
                    self._save if self.may_edit else None,
                    self._take_out,
                    self.doing,
                    lambda path: self.address("shelf", place=path),
                )
                self.own = Tag("div", classes="own")
            with Tag("div", classes="told-beside"):
                self.first = Tag("div")
                with Tag("div", classes="drawings"):
                    self._car = Part(_car)
                self.charts = Charts(self.address_of_numbers)
                self._outcome = Tag("div", classes="outcome", aria_live="off")
        with self._outcome:
            Tag("p", t("Being worked out. The first time after an installation this takes a minute."), "waiting")
        self.side = sides.of(self)
        ui.timer(0.01, self.doing(self._begin), once=True)
        self._timer = ui.timer(LOOKED, self.doing(self._look), active=False)
        ui.timer(WATCHED, self.doing(self._look_for_others))

    def doing(self, work: Callable[[], Awaitable[None]]) -> Callable[[], Awaitable[None]]:
        """A click that tells what goes wrong with it."""
        return doing(self.told, work)

    def address(self, name: str, **asked: str) -> str:
        """Where another page of this build is."""
        return f"/builds/{self.build}/{name}?{urlencode({'units': self.units, **asked})}"

    def address_of_numbers(self, name: str) -> str:
        """Where a file with the numbers of a picture is, or the workbook with those of all."""
        assert self.seen is not None
        asked = f"edit={self.seen.draft.number}&units={self.units}"
        return f"/api/builds/{self.build}/tables/{name}?{asked}"

    @property
    def which(self) -> Which:
        """The document that is shown."""
        assert self.seen is not None
        return Which(self.build, edit=self.seen.draft.number)

    # What is drawn once.

    def _contents(self) -> None:
        with Tag("nav", classes="contents", aria_label=t("Pages of this build")):
            for head, leaves in contents():
                with Tag("div"):
                    Tag("span", head, "head-of")
                    for each in leaves:
                        here = {"aria_current": "page"} if each.name == self.leaf.name else {}
                        Tag("a", each.title, href=self.address(each.name), **here)

    # What is worked out in a thread.

    def _look_up(self, moved_from: int, old: Seen | None) -> Seen:
        """Everything that the page shows. Where the document cannot be read, the draft and what is wrong with it.

        `old`: more is known of the same edit now; what is written and drawn is as it was.
        """
        actor, now = _opened(self.shop, self.visit, self.build)
        which = Which(self.build, edit=old.draft.number if old else now.build.number)
        draft = old.draft if old else self.shop.builds.read(actor, which)
        with self.shop.at_one_moment():
            try:
                if old:
                    return self._worked_out(actor, which, replace(old, now=now))
                return self._worked_out(actor, which, self._written(actor, which, Seen(now, draft), moved_from))
            except VoltwrightError as error:
                return Seen(now, draft, wrong=error)

    def _worked_out(self, actor: Actor, which: Which, seen: Seen) -> Seen:
        """Figures, findings and pictures, as far as they are known."""
        figures, leaf = self.shop.figures, self.leaf
        made = figures.best(
            actor, which, system=self.units, questions=leaf.questions, with_assumptions=leaf.assumptions
        )
        asked = (figures.pictures(actor, which, each, system=self.units) for each in leaf.questions)
        return replace(seen, made=made, pictures=tuple(each for found in asked for each in found))

    def _written(self, actor: Actor, which: Which, seen: Seen, moved_from: int) -> Seen:
        """What bands leave as it is: the form, the car to scale, and what the last edit moved."""
        shop, leaf, units = self.shop, self.leaf, self.units
        forms = shop.forms.show(actor, which, leaf.paths, system=units) if leaf.paths else ()
        drawings = shop.figures.drawings(actor, which, system=units) if leaf.drawings else ()
        moved = None
        if moved_from and moved_from != which.edit:
            with suppress(VoltwrightError):  # the edit before could not be read
                moved = shop.comparing.moved(actor, replace(which, edit=moved_from), which, system=units)
        return replace(seen, forms=forms, drawings=drawings, moved=moved)

    def watch(self) -> None:
        """Look after jobs from now on."""
        self._timer.active = True

    # What happens.

    async def _begin(self) -> None:
        ui.run_javascript("voltwright.scheme()")
        await self.again()
        await self.side.begin()
        self.form_is_kept()

    def form_is_kept(self) -> None:
        """What was typed and not yet saved stays in the tab, and is saved when the page is there again."""
        ui.run_javascript(f"voltwright.keep({self.build})")

    async def again(self, moved_from: int = 0) -> None:
        """Look everything up and draw it; an answer that comes after a later one is dropped."""
        self._asked += 1
        asked, old = self._asked, self.seen
        if moved_from and old:
            self.seen = replace(old, job=None)  # nobody looks after it any more
            await self._stop(old.job)
        seen = await inside(lambda: self._look_up(moved_from, None))
        if asked != self._asked:
            return
        if old and old.draft.number == seen.draft.number and not moved_from:
            seen = replace(seen, moved=old.moved, job=old.job)
        await self._show(seen)
        if old and old.draft.number != seen.draft.number:
            await self._stop(old.job)

    async def _more(self) -> None:
        """Look up what is known by now of the edit that is shown. What others saved meanwhile is told, and not slipped in."""
        asked, old = self._asked, self.seen
        seen = await inside(lambda: self._look_up(0, old))
        if asked == self._asked and self.seen is old:
            await self._show(seen)

    async def _show(self, seen: Seen) -> None:
        self.seen = seen
        self._draw()
        try:
            await self.side.follow()
        finally:
            await self._complete()
        self._timer.active = (self.seen.job is not None) or self.side.watches

    async def _complete(self) -> None:
        """What is not known yet is worked out after what is known was sent."""
        seen = self.seen
        if seen is None or not seen.lacks:
            self.seen = seen and replace(seen, job=None)
            return
        await asyncio.sleep(SENT)
        actor, which = self.visit.actor, Which(self.build, edit=seen.draft.number)
        job = await inside(lambda: self.shop.figures.complete(actor(), which, system=self.units))
        if self.seen is not seen:
            kept = self.seen.job if self.seen else None
            if job is not None and not (kept and kept.id == job.id):
                await self._stop(job)
            return
        self.seen = replace(seen, job=job)
        if job is None:
            self._put_off("busy")

    def _put_off(self, why: PutOff) -> None:
        assert self.seen is not None
        self.seen = replace(self.seen, job=None, put_off=why)
        self._draw()

    def _draw(self) -> None:
        seen = self.seen
        assert seen is not None
        self._draw_heading(seen)
        self._controls.show(seen)
        self._form.show(seen.forms)
        self.charts.show(seen.pictures)
        self._car.show(*seen.drawings)
        if seen.made is not None:
            self.side.show(seen, self._outcome)
            return
        self.side.gone()
        self._outcome.clear()
        with self._outcome:
            Tag("p", " ".join(map(str, seen.wrong.problems)) if seen.wrong else "", "alert", **DATA)

    def _draw_heading(self, seen: Seen) -> None:
        if (title := heading(seen.now, self.leaf)) != self._title.text:
            self._title.text = title
            ui.page_title(f"{title} - Voltwright")
        named = [t("Build {name}", name=seen.now.build.name), *([seen.made.title] if seen.made else [])]
        self._of.text = ": ".join(named)

    async def _look(self) -> None:
        """Is what was begun done?"""
        seen = self.seen
        if seen is not None and seen.job is not None:
            job = seen.job.id
            now = await inside(lambda: self.shop.jobs.look(self.visit.actor(), job))
            if self.seen is seen:
                await self._go_on(seen, now)
        await self.side.look()
        self._timer.active = (self.seen is not None and self.seen.job is not None) or self.side.watches

    async def _go_on(self, seen: Seen, job: JobView) -> None:
        """As far as the job is: the bands are there, or all is, or it ended otherwise."""
        assert seen.made is not None
        if job.state == "failed":
            self._put_off("failed")
            self.told.complain(" ".join(map(str, job.error.problems)) if job.error else t("This was stopped."))
        elif job.is_over or (job.done and not seen.made.asked.bands):
            await self._more()

    async def _look_for_others(self) -> None:
        """Has somebody else saved? What is shown stays until its reader wants the newer."""
        seen = self.seen
        if seen is None or self._edits:
            return
        told, since, known = self.shop.builds.told, seen.draft.number, self._told_of
        newer = await inside(lambda: told(self.visit.actor(), self.build, after=since, most=MOST_TOLD, known=known))
        if newer and self.seen is seen and not self._edits:
            self._told_of = newer[0].entry.number
            self._controls.tell_newer(newer, self._show_newer)
        await self.side.look_for_others()

    async def _show_newer(self) -> None:
        assert self.seen is not None
        await self.again(moved_from=self.seen.draft.number)
        ui.run_javascript("voltwright.putBack('held')")

    async def edit(
        self, work: Edit, form: Beside | None = None, *, again: bool = True, taken: Callable[[], None] = lambda: None
    ) -> bool:
        """Do an edit of the draft that is shown, and show what becomes of it; whether it was taken.

        `form`: beside whose fields to say what is wrong, where they are not those of the page. `again`: where somebody else saved
        first, it can be done to what they saved as well. `taken` is called when it is saved, before that is shown.
        """
        self._edits += 1
        try:
            async with self._one_at_a_time:  # else a second press would be refused for what the first one saved
                assert self.seen is not None
                return await self._edit(work, self.seen.draft.number, form, again, taken)
        finally:
            self._edits -= 1

    async def _edit(self, work: Edit, since: int, form: Beside | None, again: bool, taken: Callable[[], None]) -> bool:
        try:
            await inside(lambda: work(self.visit.actor(), since))
        except BuildError as error:
            rest = (form or self._form).complain(error.problems)
            if rest:
                self.told.complain(" ".join(rest))
            return False
        except ConflictError as error:
            await self.again()
            self._tell_conflict(error, work if again else None, taken)
            return False
        self.told.clear()
        taken()
        await self.again(moved_from=since)
        return True

    def _tell_conflict(self, error: ConflictError, work: Edit | None, taken: Callable[[], None]) -> None:
        async def on_top() -> None:
            assert work is not None
            await self.edit(work, taken=taken)

        first = t("Somebody else saved first. The newest stands here now; yours is kept, and shown below.")
        newer = (
            t("Edit {number}: {who}, {path}", number=each.number, who=each.who, path=each.path) for each in error.newer
        )
        tell_conflict(self.told, error, first, newer, self.doing(on_top) if work else None)

    async def _save(self, changes: Mapping[str, Any], taken: Callable[[], None]) -> None:
        change, again = self.shop.edits.change, not any(map(_names_an_item, changes))
        await self.edit(lambda actor, since: change(actor, self.build, changes, since=since), again=again, taken=taken)
        self.is_saved(*changes)

    async def _take_out(self, path: str) -> None:
        take_out, again = self.shop.edits.take_out, not _names_an_item(path)
        await self.edit(lambda actor, since: take_out(actor, self.build, path, since=since), again=again)
        self.is_saved(path)

    def is_saved(self, *paths: str) -> None:
        """Kept, or refused with the reason beside it: the tab need not hold it any longer."""
        for path in paths:
            ui.run_javascript(f"voltwright.saved({self.build}, {json.dumps(path.removesuffix('.value'))})")

    async def undo(self) -> None:
        """Take back the edit that is shown."""
        await self.edit(lambda actor, since: self.shop.edits.undo(actor, self.build, since=since))

    async def _redo(self) -> None:
        await self.edit(lambda actor, since: self.shop.edits.redo(actor, self.build, since=since))

    async def _stop(self, job: JobView | None) -> None:
        if job is not None:
            await self.stop(job.id)

    async def stop(self, job: str) -> None:
        """Nobody waits for it any more."""
        with suppress(JobError):  # it ended long ago
            await inside(lambda: self.shop.jobs.stop(self.visit.actor(), job))


def _names_an_item(path: str) -> bool:
    """Whether a path counts items of a list: among what somebody else saved the number may stand for another one."""
    return any(each.isdigit() for each in path.split("."))


def _car(*drawings: DrawingView) -> None:
    """The car to scale, as an image: nothing in it can act."""
    for each in drawings:
        content = base64.b64encode(each.svg.encode()).decode()
        with Tag("figure", classes="drawing", tabindex="0"):
            Tag("figcaption", each.title, **DATA)
            Tag("img", src=f"data:image/svg+xml;base64,{content}", alt=each.alt, **DATA)
