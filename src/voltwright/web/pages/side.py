"""The part of a page that is drawn anew whenever something changed, and how findings and figures look in it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from typing import TYPE_CHECKING

from voltwright.services.views import FindingView, JobView, MovedView, OtherView
from voltwright.web.pages.frame import DATA, Tag, Told, inside
from voltwright.web.pages.steps import Steps
from voltwright.web.words import t

if TYPE_CHECKING:
    from voltwright.web.pages.build_page import Desk, Seen


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

    async def look_for_others(self) -> None:
        """What others did that is no edit, every two seconds."""

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
        if found.remedies:
            Steps(desk, found)
        if found.advice:
            Tag("p", found.advice, "remedy", **DATA)
        if found.paths:
            with Tag("p", classes="of"):
                Tag("span", t("In the build file: "))
                Tag("span", ", ".join(found.paths), "path", **DATA)


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
        Tag("p", _how_many_moved(moved))
        for head, found in ((t("New"), moved.appears), (t("Gone"), moved.goes)):
            if found:
                Tag("h3", head)
                for each in found:
                    finding_card(desk, each, brief=True)


def _how_many_moved(moved: OtherView) -> str:
    better, worse = (sum(each.verdict == verdict for each in moved.moved) for verdict in ("better", "worse"))
    if not moved.moved:
        return t("No figure moved.")
    if len(moved.moved) == 1:
        return t("One figure moved: {key}.", key=moved.moved[0].label)
    return t(
        "{count} figures moved: {better} for the better, {worse} for the worse.",
        count=len(moved.moved), better=better, worse=worse,
    )  # fmt: skip


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
