"""What stands above each page of a build: undo and redo, units, the edit that is shown, and what others saved since."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from voltwright.services.views import EditView, Severity
from voltwright.web.pages.frame import DATA, Tag, moment
from voltwright.web.pages.part import Part
from voltwright.web.pages.units_row import units_row
from voltwright.web.words import t

if TYPE_CHECKING:
    from voltwright.web.pages.build_page import Desk, Seen

KEPT = ("place", "variant", "begun")  # what an address says beside the units
MOST_TOLD = 3  # edits of others, the newest


class Controls:
    """The buttons are drawn once, so that whoever uses the keyboard stays on them."""

    def __init__(self, desk: Desk, undo: Callable[[], Awaitable[None]], redo: Callable[[], Awaitable[None]]) -> None:
        self._desk = desk
        self._undo: Tag | None = None
        self._redo: Tag | None = None
        self._number = 0
        with Tag("div", classes="controls"):
            with Tag("div", classes="buttons"):
                if desk.may_edit:
                    self._undo, self._redo = self._button(t("Undo"), undo), self._button(t("Redo"), redo)
                self._units()
            self._edit = Part(_edit, "p", "of")
            with Tag("div", classes="state-of"):
                self._count, self._more = Part(self._counts), Part(_waits)
        self._newer = Tag("div", classes="newer", role="status", aria_live="polite")

    def _button(self, words: str, work: Callable[[], Awaitable[None]]) -> Tag:
        made = Tag("button", words, type_="button", disabled="")
        made.on("click", self._desk.doing(work))
        return made

    def _units(self) -> None:
        desk = self._desk
        with Tag("span", classes="units", role="group", aria_label=t("Units")):
            kept = {name: desk.asked[name] for name in KEPT if desk.asked.get(name)}
            units_row(desk.units, lambda system: desk.address(desk.leaf.name, **kept | {"units": system}))

    def show(self, seen: Seen) -> None:
        """As it now stands."""
        for button, count in ((self._undo, seen.now.undoes), (self._redo, seen.now.redoes)):
            if button is not None:
                _able(button, count > 0)
        self._edit.show(seen.draft.number, seen.draft.who, seen.draft.at)
        if made := seen.made:
            grades: tuple[tuple[Severity, str, str], ...]
            grades = (
                ("stop", t("stop"), t("stops")), ("caution", t("caution"), t("cautions")), ("note", t("note"), t("notes")),
            )  # fmt: skip
            counts = [(severity, made.count(severity), one, more) for severity, one, more in grades]
            self._count.show(
                *(
                    (f"stamp-{severity}" if count else "", f"{count} {one if count == 1 else more}")
                    for severity, count, one, more in counts
                )
            )
            self._more.show(True, made.asked.bands, made.asked.search, seen.put_off)
        else:
            self._count.show()
            self._more.show(False, False, False, "")
        if seen.draft.number != self._number:  # bands of the same edit take back nothing that was told
            self._number = seen.draft.number
            self._newer.clear()

    def _counts(self, *grades: tuple[str, str]) -> None:
        if grades:
            with Tag("p", classes="count"):
                for stamp, words in grades:
                    Tag("a", words, stamp, href=self._desk.address("findings"))

    def tell_newer(self, found: Sequence[EditView], show: Callable[[], Awaitable[None]]) -> None:
        """What others saved since; nothing on the page changes until its reader wants it."""
        self._newer.clear()
        with self._newer:
            for each in reversed(found):
                what = ", ".join(line.place or t("the text of the build file") for line in each.lines)
                Tag("p", _told(each.entry.kind, each.entry.who, what), **DATA)
            button = Tag("button", t("Show it"), type_="button").on("click", self._desk.doing(show))
            button.on("mousedown", js_handler="(event) => event.preventDefault()")  # whoever types stays in the field


def _edit(number: int, who: str, at: datetime) -> None:
    Tag("span", t("Edit {number}, {who},", number=number, who=who), **DATA)
    Tag("span", " ")
    moment(at)


def _waits(known: bool, bands: bool, remedies: bool, put_off: str) -> None:
    """There is always a line, so that nothing below it moves when the work is done."""
    if not known:
        return
    if remedies:
        Tag("p", t("Bands and remedies are worked out."), "of")
    elif put_off == "failed":
        Tag("p", t("Bands and remedies could not be worked out."), "of")
    elif put_off:
        Tag("p", t("Bands and remedies have to wait: too much of yours is being worked out. Come back later."), "of")
    elif bands:
        Tag("p", t("Remedies are still being worked out."), "waiting")
    else:
        Tag("p", t("Bands and remedies are still being worked out."), "waiting")


def _able(button: Tag, able: bool) -> None:
    if able == ("disabled" not in button.props):
        return
    if able:
        button.props.pop("disabled", None)
    else:
        button.props["disabled"] = ""
    button.update()


def _told(kind: str, who: str, what: str) -> str:
    if kind == "undo":
        return t("{who} took back: {what}.", who=who, what=what)
    if kind == "redo":
        return t("{who} brought back: {what}.", who=who, what=what)
    return t("{who} changed: {what}.", who=who, what=what)
