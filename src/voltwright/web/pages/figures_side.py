"""The figures of a question, and the summary of a build."""

from __future__ import annotations

from typing import TYPE_CHECKING

from voltwright.services.views import AssumptionView, DossierView, FindingView, Group, OtherView
from voltwright.web.pages.assumptions_side import address_of_field
from voltwright.web.pages.figure_table import FigureTable
from voltwright.web.pages.frame import DATA, Tag
from voltwright.web.pages.part import Part
from voltwright.web.pages.side import (
    Side,
    edit_of_steps,
    in_view,
    last_change,
    moved_of,
    not_for_building,
    points,
    stops,
)
from voltwright.web.words import t

if TYPE_CHECKING:
    from voltwright.web.pages.build_page import Desk, Seen


MOST_ASSUMED = 8  # told when a car was begun, those that matter most


class QuestionSide(Side):
    """What the dossier answers to the questions of the page; on pages without one, what the customer asks first."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._tables: dict[str, FigureTable] = {}
        self._laid: tuple[str, ...] | None = None

    def show(self, seen: Seen, place: Tag) -> None:
        """Only what has changed is sent to the browser."""
        made = seen.made
        assert made is not None
        groups, moved = self._groups(made), moved_of(seen)
        titles = tuple(each.title for each in groups)
        if titles != self._laid:
            self._laid = titles
            place.clear()
            with place:
                self._lay_out(groups)
        for each in groups:
            self._tables[each.title].show(each, moved, waits=seen.waits_for_bands)
        self._renew(made, seen)

    def gone(self) -> None:
        self._tables, self._laid = {}, None

    async def follow(self) -> None:
        for each in self._tables.values():
            await each.renew_workings()

    def _groups(self, made: DossierView) -> tuple[Group, ...]:
        return made.questions if self.desk.leaf.questions else made.headline

    def _lay_out(self, groups: tuple[Group, ...]) -> None:
        self._tables = {each.title: FigureTable(self.desk, each) for each in groups}
        self._not_judged = Part(_not_judged)
        self._judged()
        self._cautions = Part(lambda texts: points(texts, "cautions"))

    def _judged(self) -> None:
        def moved(found: OtherView | None) -> None:
            last_change(self.desk, found)

        def gravest(found: tuple[FindingView, ...], others: int, _: int) -> None:
            stops(self.desk, found, others)

        self._moved, self._stops = Part(moved), Part(gravest)

    def _renew(self, made: DossierView, seen: Seen) -> None:
        self._not_judged.show(made.not_judged if self.desk.leaf.not_judged else ())
        self._moved.show(seen.moved)
        found = in_view(made.findings, self.desk.leaf.questions)
        self._stops.show(found, len(made.findings) - len(found), edit_of_steps(found, seen))
        self._cautions.show(made.cautions)


class SummarySide(QuestionSide):
    """Page 1 of the dossier; of a car that was just begun, also what was assumed for it."""

    _assumed: Part | None = None

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        with desk.first:
            self._reasons = Part(not_for_building)

    async def begin(self) -> None:
        desk = self.desk
        if desk.asked.get("begun"):
            with desk.own:
                self._assumed = Part(self._tell_assumed)
            if desk.seen and desk.seen.made:
                self._show_assumed(desk.seen.made, desk.seen)

    def _show_assumed(self, made: DossierView, seen: Seen) -> None:
        """Those that matter most are known with the bands."""
        if self._assumed is not None:
            first = () if seen.waits_for_bands else made.assumptions[:MOST_ASSUMED]
            self._assumed.show(first, len(made.assumptions))

    def _tell_assumed(self, first: tuple[AssumptionView, ...], count: int) -> None:
        Tag("h2", t("What was assumed"))
        Tag(
            "p",
            t(
                "Beside your answers {count} values were taken as such cars usually are. Measure what matters most first:",
                count=count,
            ),
        )
        if not first:
            Tag("p", t("Which matter most is being worked out."), "of")
        with Tag("dl", classes="assumed-list"):
            for each in first:
                with Tag("dt"):
                    Tag("a", each.label, href=address_of_field(self.desk, each.path), **DATA)
                Tag("dd", each.value, **DATA)
        Tag("a", t("All assumptions, with the reason for each"), href=self.desk.address("assumptions"))

    def _lay_out(self, groups: tuple[Group, ...]) -> None:
        with Tag("div", classes="headline"):
            self._tables = {each.title: FigureTable(self.desk, each) for each in groups}
        self._judged()
        self._not_judged, self._cautions = Part(_not_judged), Part(_cautions)

    def _renew(self, made: DossierView, seen: Seen) -> None:
        super()._renew(made, seen)
        self._show_assumed(made, seen)
        self._reasons.show(made.not_for_building)

    def gone(self) -> None:
        super().gone()
        self._reasons.show(())


def _not_judged(texts: tuple[str, ...]) -> None:
    if texts:
        Tag("h2", t("Not judged"))
        points(texts)


def _cautions(texts: tuple[str, ...]) -> None:
    Tag("h2", t("Before you touch anything"))
    points(texts, "cautions")
