"""All findings, and what each step that mends one does to the rest of the car."""

from __future__ import annotations

from typing import TYPE_CHECKING

from voltwright.services.views import Severity
from voltwright.web.pages.frame import Tag
from voltwright.web.pages.side import Side, edit_of_steps, finding_card, last_change, not_for_building, points
from voltwright.web.words import t

if TYPE_CHECKING:
    from voltwright.web.pages.build_page import Desk, Seen


class FindingsSide(Side):
    """The gravest first."""

    has_bands = True

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._drawn: tuple[object, ...] = ()

    def show(self, seen: Seen, place: Tag) -> None:
        """Drawn anew where anything is otherwise; a step belongs to its edit."""
        made = seen.made
        assert made is not None
        edit = edit_of_steps(made.findings, seen)
        now = (made.not_for_building, seen.moved, made.findings, made.not_judged, edit)
        if now != self._drawn:
            self._drawn = now
            super().show(seen, place)

    def gone(self) -> None:
        self._drawn = ()

    def draw(self, seen: Seen) -> None:
        made = seen.made
        assert made is not None
        not_for_building(made.not_for_building)
        last_change(self.desk, seen.moved)
        if not made.findings:
            Tag("p", t("No check found anything to say."))
        heads: dict[Severity, str] = {"stop": t("Stops"), "caution": t("Cautions"), "note": t("Notes")}
        there: list[Severity] = [each for each in heads if made.count(each)]
        if len(there) > 1:
            with Tag("nav", classes="jumps", aria_label=t("Findings by how grave they are")):
                for each in there:
                    Tag("a", f"{heads[each]} ({made.count(each)})", href=f"#all-{each}")
        for grade in there:
            Tag("h2", heads[grade], id=f"all-{grade}")
            for each in made.findings:
                if each.severity == grade:
                    finding_card(self.desk, each)
        if made.not_judged:
            Tag("h2", t("Not judged"))
            points(made.not_judged)
        points(made.cautions, "cautions")
