"""What stands above each page of a build: undo and redo, units, the edit that is shown, and what others saved since."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Sequence
from typing import TYPE_CHECKING

from voltwright.services.views import DossierView, Entry, Severity
from voltwright.web.pages.frame import DATA, Tag, moment
from voltwright.web.pages.units_row import units_row
from voltwright.web.words import t

if TYPE_CHECKING:
    from voltwright.web.pages.build_page import Desk, Seen

MOST_TOLD = 3  # edits of others, the newest


class Controls:
    """The buttons are drawn once, so that whoever uses the keyboard stays on them."""

    def __init__(self, desk: Desk, undo: Callable[[], Awaitable[None]], redo: Callable[[], Awaitable[None]]) -> None:
        self._desk = desk
        self._undo: Tag | None = None
        self._redo: Tag | None = None
        with Tag("div", classes="controls"):
            with Tag("div", classes="buttons"):
                if desk.may_edit:
                    self._undo, self._redo = self._button(t("Undo"), undo), self._button(t("Redo"), redo)
                self._units()
            self._edit = Tag("p", classes="of")
            self._state = Tag("div", classes="state-of")
        self._newer = Tag("div", classes="newer", role="status", aria_live="polite")

    def _button(self, words: str, work: Callable[[], Awaitable[None]]) -> Tag:
        made = Tag("button", words, type_="button", disabled="")
        made.on("click", self._desk.doing(work))
        return made

    def _units(self) -> None:
        desk = self._desk
        with Tag("span", classes="units", role="group", aria_label=t("Units")):
            units_row(desk.units, lambda system: f"/builds/{desk.build}/{desk.leaf.name}?units={system}")

    def show(self, seen: Seen) -> None:
        """As it now stands."""
        for button, count in ((self._undo, seen.now.undoes), (self._redo, seen.now.redoes)):
            if button is not None:
                _able(button, count > 0)
        self._edit.clear()
        with self._edit:
            Tag("span", t("Edit {number}, {who},", number=seen.draft.number, who=seen.draft.who), **DATA)
            Tag("span", " ")
            moment(seen.draft.at)
        self._state.clear()
        with self._state:
            if seen.made is not None:
                self._count(seen.made)
            self._waits(seen)
        self._newer.clear()

    def _count(self, made: DossierView) -> None:
        with Tag("p", classes="count"):
            grades: tuple[tuple[Severity, str], ...]
            grades = (("stop", t("stops")), ("caution", t("cautions")), ("note", t("notes")))
            for severity, words in grades:
                Tag("a", f"{made.count(severity)} {words}", f"stamp-{severity}", href=self._desk.address("findings"))

    def _waits(self, seen: Seen) -> None:
        if seen.job:
            Tag("p", t("Bands and remedies are still being worked out."), "waiting")
        elif seen.made is not None and not seen.made.asked.bands:
            Tag(
                "p", t("Bands and remedies have to wait: too much of yours is being worked out. Come back later."), "of"
            )

    def tell_newer(self, found: Sequence[Entry], seen: Seen, show: Callable[[], Awaitable[None]]) -> None:
        """What others saved since; nothing on the page changes until its reader wants it."""
        labels = {each.path: each.label for form in seen.forms for each in form.all_fields()}
        self._newer.clear()
        with self._newer:
            for each in found[-MOST_TOLD:]:
                what = labels.get(each.path.removesuffix(".value"), each.path) or t("the text of the build file")
                Tag("p", _told(each.kind, each.who, what), **DATA)
            button = Tag("button", t("Show it"), type_="button").on("click", self._desk.doing(show))
            button.on("mousedown", js_handler="(event) => event.preventDefault()")  # whoever types stays in the field


def _able(button: Tag, able: bool) -> None:
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
