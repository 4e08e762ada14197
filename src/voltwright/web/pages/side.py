"""The part of a page that is drawn anew whenever something changed, and how findings and figures look in it."""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING, Any

from voltwright.services.views import DossierView, FigureView, FindingView, Group, JobView, MovedView, WorkingView
from voltwright.web.pages.form_page import DATA
from voltwright.web.pages.frame import Tag, Told, inside
from voltwright.web.words import t

if TYPE_CHECKING:
    from voltwright.web.pages.build_page import Desk, Seen


class Side:
    """One for each open page. `watches`: it waits for a job of its own."""

    watches = False

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self._job = ""

    async def begin(self) -> None:
        """What is drawn once, when the build is known."""

    def draw(self, seen: Seen) -> None:
        """What is drawn after each edit."""

    async def follow(self) -> None:
        """What is looked up anew after each edit."""

    def wait_for(self, job: JobView, going: Told, says: Callable[[JobView], str]) -> None:
        """Say how far a job is until it is over; it takes the place of one that was waited for before."""
        self._job, self._going, self._says, self.watches = job.id, going, says, True
        going.say(says(job))
        self.desk.watch()

    async def look(self) -> None:
        """Twice a second while it `watches`."""
        if not self.watches:
            return
        asked = self._job
        job = await inside(lambda: self.desk.shop.jobs.look(self.desk.visit.actor(), asked))
        if asked != self._job:
            return
        if not job.is_over:
            self._going.say(self._says(job))
            return
        self.watches = False
        self._going.clear()
        if job.state == "done":
            await self.done(job)
        else:
            self._going.complain(" ".join(map(str, job.error.problems)) if job.error else t("This was stopped."))

    async def done(self, job: JobView) -> None:
        """What becomes of a job that was waited for and has ended well."""


def making(job: JobView) -> str:
    """How far the papers are."""
    return t("Making the papers: {says}.", says=job.says) if job.says else t("Making the papers.")


def points(texts: Iterable[str], classes: str = "") -> None:
    """A list of what the dossier says."""
    with Tag("ul", classes=classes):
        for text in texts:
            Tag("li", text, **DATA)


def moved_of(seen: Seen) -> Mapping[str, MovedView]:
    """What the last edit moved, by key."""
    return {each.key: each for each in seen.moved.moved} if seen.moved else {}


def figure_table(desk: Desk, group: Group, moved: Mapping[str, MovedView], *, waits: bool) -> None:
    """Figures with what the last edit did to them; each opens its working. `waits`: the bands are not there yet."""
    with Tag("table", classes="figures"):
        Tag("caption", group.title, **DATA)
        with Tag("thead"), Tag("tr"):
            for head in (t("Figure"), t("Value"), t("Between"), t("Before")):
                Tag("th", head, scope="col")
        with Tag("tbody"):
            for each in group.figures:
                _figure(desk, each, moved.get(each.key), waits)


def _figure(desk: Desk, figure: FigureView, was: MovedView | None, waits: bool) -> None:
    with Tag("tr", classes="moved" if was else "", data_key=figure.key):
        with Tag("th", scope="row"):
            place = Tag("button", figure.label, "figure-name", aria_expanded="false", type_="button", **DATA)
        Tag("td", figure.printed, "value", **DATA)
        with Tag("td", classes="band"):
            if figure.band or figure.reason or not waits:
                Tag("span", figure.band or figure.reason, **DATA)
            else:
                Tag("span", t("pending"), "pending")
        with Tag("td", classes="was"):
            if was:
                mark = {"better": "▲", "worse": "▼", "": "•"}[was.verdict]
                words = {"better": t("better"), "worse": t("worse"), "": t("changed")}[was.verdict]
                Tag("span", f"{mark} {was.by or was.before}", f"by {was.verdict}", **DATA)
                Tag("span", f" {words}", "verdict")
    with Tag("tr", classes="working-row"):
        cell = Tag("td", classes="working", colspan="4")
    place.on("click", desk.doing(functools.partial(_unfold, desk, figure.key, place, cell)))


async def _unfold(desk: Desk, key: str, place: Tag, cell: Tag) -> None:
    """Open the working, or close it."""
    is_open = place.props["aria-expanded"] == "true"
    place.props["aria-expanded"] = "false" if is_open else "true"
    place.update()
    cell.clear()
    if is_open:
        return
    which = desk.which
    found = await inside(lambda: desk.shop.figures.explain(desk.visit.actor(), which, key, system=desk.units))
    with cell:
        _working(found)


def _working(found: WorkingView) -> None:
    if found.tree is None:
        Tag("p", found.figure.reason or found.figure.source, **DATA)
        return
    with Tag("ul", classes="tree"):
        _node(found.tree, 0)
    if found.figure.source:
        Tag("p", found.figure.source, "of", **DATA)


def _node(tree: Mapping[str, Any], depth: int) -> None:
    """One step of a working: what it is, its value, the law, then what went into it."""
    inputs = tree.get("inputs") or []
    said = f"{tree['label']} = {tree['value']} {tree['unit']}".strip()
    with Tag("li"):
        if not inputs:
            Tag("span", said, **DATA)
            Tag("span", str(tree.get("from") or tree.get("figure") or ""), "of", **DATA)
            return
        with Tag("details", **({"open": ""} if depth < 1 else {})):
            Tag("summary", said, **DATA)
            Tag("p", str(tree.get("equation", "")), "equation", **DATA)
            if tree.get("source"):
                Tag("p", str(tree["source"]), "of", **DATA)
            with Tag("ul"):
                for each in inputs:
                    _node(each, depth + 1)


def finding_card(desk: Desk, found: FindingView, *, brief: bool = False) -> None:
    """One finding, with the steps that put it right."""
    with Tag("article", classes=f"finding {found.severity}", data_key=found.key):
        with Tag("h3"):
            Tag("span", {"stop": t("stop"), "caution": t("caution"), "note": t("note")}[found.severity], "stamp")
            Tag("span", found.title, **DATA)
        if brief:
            return
        Tag("p", found.detail, **DATA)
        _numbers(found)
        if found.clause:
            Tag("p", found.clause, "clause", **DATA)
        _steps(desk, found)


def _numbers(found: FindingView) -> None:
    parts = (
        (t("now"), found.value),
        (t("limit"), found.limit),
        (t("margin"), found.margin),
        (t("likely"), found.likelihood),
    )
    if any(text for _, text in parts):
        with Tag("dl", classes="numbers"):
            for word, text in parts:
                if text:
                    Tag("dt", word)
                    Tag("dd", text, **DATA)


def _steps(desk: Desk, found: FindingView) -> None:
    assert desk.seen is not None
    for step in found.remedies if desk.may_edit else ():
        take = functools.partial(desk.take, found.key, step.number, desk.seen.draft.number)
        with Tag("p", classes="remedy"):
            Tag("span", step.says, **DATA)
            button = Tag(
                "button", t("Take this step"), aria_label=t("Take this step: {says}", says=step.says), type_="button"
            )
            button.on("click", desk.doing(take))
    if found.remedy and not (found.remedies and desk.may_edit):
        Tag("p", found.remedy, "remedy", **DATA)


def not_for_building(made: DossierView) -> None:
    """Why nobody may build from this."""
    if made.not_for_building:
        with Tag("section", classes="not-for-building"):
            Tag("h2", t("Not for building"))
            points(made.not_for_building)


def last_change(desk: Desk, seen: Seen) -> None:
    """What the last edit did: findings that came and went, and how many figures moved."""
    moved = seen.moved
    if moved is None:
        return
    with Tag("section", classes="last-change"):
        Tag("h2", t("What the last change did"))
        better = sum(each.verdict == "better" for each in moved.moved)
        worse = sum(each.verdict == "worse" for each in moved.moved)
        Tag(
            "p",
            t(
                "{count} figures moved: {better} for the better, {worse} for the worse.",
                count=len(moved.moved),
                better=better,
                worse=worse,
            ),
        )
        for head, found in ((t("New"), moved.appears), (t("Gone"), moved.goes)):
            if found:
                Tag("h3", head)
                for each in found:
                    finding_card(desk, each, brief=True)


def stops(desk: Desk, made: DossierView, most: int = 6) -> None:
    """The gravest findings in view on every page."""
    found = [each for each in made.findings if each.severity != "note"][:most]
    with Tag("section", classes="in-view"):
        Tag("h2", t("Findings"))
        if not found:
            Tag("p", t("No check found anything that stops this build or calls for caution."))
        for each in found:
            finding_card(desk, each, brief=each.severity != "stop")
        Tag("a", t("All findings"), href=desk.address("findings"))
