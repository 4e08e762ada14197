"""Variants beside the base."""

from __future__ import annotations

from typing import TYPE_CHECKING

from voltwright.services.views import ComparisonView, OtherView, Which
from voltwright.web.pages.form_page import DATA
from voltwright.web.pages.frame import Tag, inside
from voltwright.web.pages.side import Side, finding_card, points
from voltwright.web.words import t

if TYPE_CHECKING:
    from voltwright.web.pages.build_page import Seen


class VariantsSide(Side):
    """The names come with the form; the comparison is worked out when it is asked for."""

    def draw(self, seen: Seen) -> None:
        names = [each.path.partition(".")[2] for form in seen.forms for each in form.groups]
        if not names:
            Tag(
                "p",
                t("This build has no variants yet. A variant is a named set of changes, assessed beside the build."),
            )
            return
        Tag("button", t("Compare with the build"), type_="button").on(
            "click", self.desk.doing(lambda: self._compare(tuple(names)))
        )
        self._place = Tag("div", classes="comparison")

    async def _compare(self, names: tuple[str, ...]) -> None:
        desk, which = self.desk, self.desk.which
        others = [Which(which.build, edit=which.edit, variant=each) for each in names[:8]]
        desk.told.say(t("Being compared."))
        found = await inside(lambda: desk.shop.comparing.compare(desk.visit.actor(), which, others, system=desk.units))
        desk.told.clear()
        self._place.clear()
        with self._place:
            _side_by_side(found)
            for each in found.others:
                self._other(each)

    def _other(self, other: OtherView) -> None:
        with Tag("details", classes="item"):
            Tag("summary", other.name, **DATA)
            if other.why:
                Tag("p", other.why, **DATA)
            points((f"{path}: {value}" for path, value in other.changes))
            with Tag("table", classes="figures"):
                with Tag("thead"), Tag("tr"):
                    for head in (t("Figure"), t("Build"), t("Variant"), t("Difference")):
                        Tag("th", head, scope="col")
                with Tag("tbody"):
                    for each in other.moved:
                        with Tag("tr"):
                            Tag("th", each.label, scope="row", **DATA)
                            for text in (each.before, each.after):
                                Tag("td", text, **DATA)
                            mark = {"better": "▲ ", "worse": "▼ ", "": ""}[each.verdict]
                            Tag("td", f"{mark}{each.by}", f"by {each.verdict}", **DATA)
            for head, found in (
                (t("New"), other.appears),
                (t("Gone"), other.goes),
                (t("Graver"), other.heavier),
                (t("Less grave"), other.lighter),
            ):
                if found:
                    Tag("h3", head)
                    for each in found:
                        finding_card(self.desk, each, brief=True)


def _side_by_side(found: ComparisonView) -> None:
    with Tag("div", classes="wide"), Tag("table", classes="figures"):
        with Tag("thead"), Tag("tr"):
            Tag("th", t("Figure"), scope="col")
            for name in found.names:
                Tag("th", name, scope="col", **DATA)
        with Tag("tbody"):
            for label, *cells in found.rows:
                with Tag("tr"):
                    Tag("th", label, scope="row", **DATA)
                    for cell in cells:
                        Tag("td", cell, **DATA)
