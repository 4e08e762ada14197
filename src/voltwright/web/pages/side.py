"""The part of a page that is drawn anew whenever something changed, and how findings and figures look in it."""

from __future__ import annotations

import functools
from collections.abc import Callable, Collection, Iterable, Mapping
from typing import TYPE_CHECKING, Any

from voltwright.services.views import FigureView, FindingView, Group, JobView, MovedView, OtherView, WorkingView
from voltwright.web.pages.form_page import DATA
from voltwright.web.pages.frame import Tag, Told, inside
from voltwright.web.words import t

if TYPE_CHECKING:
    from voltwright.web.pages.build_page import Desk, Seen


class Part:
    """A part of a page that is drawn anew only where what it shows has changed: little is sent, and nothing jumps."""

    def __init__(self, draw: Callable[..., None], tag: str = "div", classes: str = "") -> None:
        self._draw, self._place = draw, Tag(tag, classes=classes)
        self._shown: tuple[object, ...] | None = None

    def show(self, *what: object) -> None:
        """Draw this."""
        if what != self._shown:
            self._shown = what
            self._place.clear()
            with self._place:
                self._draw(*what)


class Side:
    """One for each open page. `watches`: it waits for a job of its own."""

    watches = False
    has_bands = False  # whether it shows something that comes with bands and remedies

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self._job, self._said, self._drawn_for = "", "", 0

    async def begin(self) -> None:
        """What is drawn once, when the build is known."""

    def show(self, seen: Seen, place: Tag) -> None:
        """What is seen in its place after each edit: drawn anew, if a page does not know better."""
        if self.has_bands or self._drawn_for != seen.draft.number:
            self._drawn_for = seen.draft.number
            place.clear()
            with place:
                self.draw(seen)

    def draw(self, seen: Seen) -> None:
        """What stands in the place."""

    def gone(self) -> None:
        """Something else stands in the place now."""
        self._drawn_for = 0

    async def follow(self) -> None:
        """What is looked up anew after each edit."""

    def wait_for(self, job: JobView, going: Told, says: Callable[[JobView], str]) -> None:
        """Say how far a job is until it is over; it takes the place of one that was waited for before."""
        self._job, self._going, self._says, self.watches = job.id, going, says, True
        self._said = says(job)
        going.say(self._said)
        self.desk.watch()

    async def leave(self) -> None:
        """Nobody waits for the job any more."""
        if self.watches:
            self.watches = False
            await self.desk.stop(self._job)

    async def look(self) -> None:
        """Some times a second while it `watches`."""
        if not self.watches:
            return
        asked = self._job
        job = await inside(lambda: self.desk.shop.jobs.look(self.desk.visit.actor(), asked))
        if asked != self._job:
            return
        if not job.is_over:
            if (said := self._says(job)) != self._said:
                self._said = said
                self._going.say(said)
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


class FigureTable:
    """Figures with what the last edit did to them; each opens its working. Rows that are there already are only renewed."""

    def __init__(self, desk: Desk, group: Group) -> None:
        self._desk = desk
        with Tag("table", classes="figures"):
            Tag("caption", group.title, **DATA)
            with Tag("thead"), Tag("tr"):
                for head in (t("Figure"), t("Value"), t("Between"), t("Before")):
                    Tag("th", head, scope="col")
            self._body = Tag("tbody")
        self._rows: dict[str, _Row] = {}

    def show(self, group: Group, moved: Mapping[str, MovedView], *, waits: bool) -> None:
        """The figures as they now are. `waits`: the bands are not there yet."""
        if [each.key for each in group.figures] != list(self._rows):
            self._body.clear()
            with self._body:
                self._rows = {each.key: _Row(self._desk, each) for each in group.figures}
        for each in group.figures:
            self._rows[each.key].show(each, moved.get(each.key), waits)

    async def renew_workings(self) -> None:
        """Of those that are open."""
        for each in self._rows.values():
            await each.renew_working()


class _Row:
    """One figure, and below it the place of its working."""

    def __init__(self, desk: Desk, figure: FigureView) -> None:
        self._desk, self._figure, self._is_open, self._worked = desk, figure, False, 0
        self._whole = Tag("tr", data_key=figure.key)
        with self._whole:
            with Tag("th", scope="row"):
                self._name = Tag("button", figure.label, "figure-name", aria_expanded="false", type_="button", **DATA)
            self._value = Tag("td", classes="value", **DATA)
            with Tag("td", classes="band"):
                self._band = Tag("span", **DATA)
                self._waits = Tag("span", classes="pending")
            with Tag("td", classes="was"):
                self._by, self._verdict = Tag("span"), Tag("span", classes="verdict")
        with Tag("tr", classes="working-row"):
            self._working = Tag("td", classes="working", colspan="4")
        self._name.on("click", desk.doing(self._unfold))

    def show(self, figure: FigureView, was: MovedView | None, waits: bool) -> None:
        self._figure = figure
        self._name.text, self._value.text = figure.label, figure.printed
        self._band.text = figure.band or figure.reason
        self._waits.text = t("pending") if waits and not self._band.text else ""
        self._whole.classes(replace="moved" if was else "")
        self._by.classes(replace=f"by {was.verdict}" if was else "")
        mark = {"better": "▲", "worse": "▼", "": "•"}[was.verdict] if was else ""
        words = {"better": t("better"), "worse": t("worse"), "": t("changed")}[was.verdict] if was else ""
        self._by.text = f"{mark} {was.by or was.before}" if was else ""
        self._verdict.text = f" {words}" if words else ""

    async def _unfold(self) -> None:
        """Open the working, or close it."""
        self._is_open = not self._is_open
        self._name.props["aria-expanded"] = "true" if self._is_open else "false"
        self._name.update()
        self._worked = 0
        self._working.clear()
        await self.renew_working()

    async def renew_working(self) -> None:
        desk = self._desk
        assert desk.seen is not None
        number = desk.seen.draft.number
        if not self._is_open or number == self._worked:
            return
        which, key = desk.which, self._figure.key
        found = await inside(lambda: desk.shop.figures.explain(desk.visit.actor(), which, key, system=desk.units))
        if not self._is_open or desk.seen.draft.number != number:
            return
        self._worked = number
        self._working.clear()
        with self._working:
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
        take = functools.partial(desk.take, found.key, step.changes, desk.seen.draft.number)
        with Tag("p", classes="remedy"):
            Tag("span", step.says, **DATA)
            button = Tag(
                "button", t("Take this step"), aria_label=t("Take this step: {says}", says=step.says), type_="button"
            )
            button.on("click", desk.doing(take))
    if found.remedy and not (found.remedies and desk.may_edit):
        Tag("p", found.remedy, "remedy", **DATA)


def not_for_building(reasons: tuple[str, ...]) -> None:
    """Why nobody may build from this."""
    if reasons:
        with Tag("section", classes="not-for-building"):
            Tag("h2", t("Not for building"))
            points(reasons)


def last_change(desk: Desk, moved: OtherView | None) -> None:
    """What the last edit did: findings that came and went, and how many figures moved."""
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


MOST_IN_VIEW = 6


def in_view(findings: Iterable[FindingView], questions: Collection[str] = ()) -> tuple[FindingView, ...]:
    """Every stop, and the gravest of what concerns some questions; without one, of all."""
    concerned = set(questions)
    stop = [each for each in findings if each.severity == "stop"]
    cautions = (each for each in findings if each.severity == "caution")
    here = [each for each in cautions if not concerned or concerned & set(each.questions)]
    return (*stop, *here[: max(0, MOST_IN_VIEW - len(stop))])


def edit_of_steps(findings: Iterable[FindingView], seen: Seen) -> int:
    """The edit for which the buttons of the steps are drawn: where there are some, they are drawn anew for each."""
    return seen.draft.number if any(each.remedies for each in findings) else 0


def stops(desk: Desk, found: tuple[FindingView, ...], others: int) -> None:
    """Findings in view on every page; `others`: how many stand elsewhere alone."""
    with Tag("section", classes="in-view"):
        Tag("h2", t("Findings on this page") if desk.leaf.questions else t("Findings"))
        if not found:
            Tag("p", t("No check found anything here that stops this build or calls for caution."))
        for each in found:
            finding_card(desk, each, brief=each.severity != "stop")
        all_of_them = t("All findings, with {count} more", count=others) if others else t("All findings")
        Tag("a", all_of_them, href=desk.address("findings"))
