"""The figures of a question, and the summary of a build."""

from __future__ import annotations

from typing import TYPE_CHECKING

from voltwright.services.views import DossierView, Group
from voltwright.web.pages.frame import Tag
from voltwright.web.pages.side import Side, figure_table, last_change, moved_of, not_for_building, points, stops
from voltwright.web.words import t

if TYPE_CHECKING:
    from voltwright.web.pages.build_page import Seen


class QuestionSide(Side):
    """What the dossier answers to the questions of the page; on pages without one, what the customer asks first."""

    def draw(self, seen: Seen) -> None:
        made = seen.made
        assert made is not None
        moved = moved_of(seen)
        for group in self._groups(made):
            figure_table(self.desk, group, moved, waits=seen.job is not None)
        last_change(self.desk, seen)
        stops(self.desk, made)
        points(made.cautions, "cautions")

    def _groups(self, made: DossierView) -> tuple[Group, ...]:
        asked = self.desk.leaf.questions
        if not asked:
            return made.headline
        return tuple(
            each for each in made.questions if any(figure.key.split(".")[0] in asked for figure in each.figures)
        )


class SummarySide(Side):
    """Page 1 of the dossier."""

    def draw(self, seen: Seen) -> None:
        made = seen.made
        assert made is not None
        not_for_building(made)
        with Tag("div", classes="headline"):
            for group in made.headline:
                figure_table(self.desk, group, moved_of(seen), waits=seen.job is not None)
        last_change(self.desk, seen)
        stops(self.desk, made)
        if made.not_judged:
            Tag("h2", t("Not judged"))
            points(made.not_judged)
        Tag("h2", t("Before you touch anything"))
        points(made.cautions, "cautions")
