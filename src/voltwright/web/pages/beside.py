"""One build beside another: which figures move, which way, and which findings come and go."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from voltwright.services.views import ChangeView, MovedView, OtherView
from voltwright.web.pages.figure_table import by_how_much
from voltwright.web.pages.frame import DATA, Tag
from voltwright.web.pages.side import finding_card
from voltwright.web.words import t

if TYPE_CHECKING:
    from voltwright.web.pages.build_page import Desk


def written(changes: Iterable[ChangeView]) -> None:
    """What is changed, in words; the path small behind it, for whoever writes the build file by hand."""
    with Tag("ul", classes="changes"):
        for each in changes:
            with Tag("li", **DATA):
                Tag("span", f"{each.place}: {each.value}")
                Tag("span", f" {each.path}", "path")


def otherwise(desk: Desk, other: OtherView) -> None:
    """Findings first, then the figures of the summary that move, then all others."""
    for head, found in (
        (t("New"), other.appears),
        (t("Gone"), other.goes),
        (t("Graver"), other.heavier),
        (t("Less grave"), other.lighter),
    ):
        if found:
            Tag("h3", head)
            for each in found:
                finding_card(desk, each, brief=True)
    if not other.moved:
        Tag("p", t("No figure moves."))
        return
    made = desk.seen.made if desk.seen else None
    first = {each.key for group in made.headline for each in group.figures} if made else set[str]()
    main = [each for each in other.moved if each.key in first]
    rest = [each for each in other.moved if each.key not in first]
    if main:
        _table(main)
    if rest:
        with Tag("details", **({} if main else {"open": ""})):
            Tag("summary", t("{count} more figures move", count=len(rest)) if main else t("Figures that move"))
            _table(rest)


def _table(moved: Iterable[MovedView]) -> None:
    with Tag("div", classes="wide", tabindex="0"), Tag("table", classes="figures"):
        with Tag("thead"), Tag("tr"):
            for head in (t("Figure"), t("Build"), t("With it"), t("Difference")):
                Tag("th", head, scope="col")
        with Tag("tbody"):
            for each in moved:
                with Tag("tr", data_key=each.key):
                    Tag("th", each.label, scope="row", **DATA)
                    Tag("td", each.before, data_head=t("Build"), **DATA)
                    Tag("td", each.after, data_head=t("With it"), **DATA)
                    with Tag("td"):
                        by, words = by_how_much(each)
                        Tag("span", by, f"by {each.verdict}", **DATA)
                        Tag("span", words, "verdict")
