"""The text of the build file, to be written as a whole, and where something in it cannot be as it stands."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from nicegui import ui

from voltwright.quantity.errors import FormatError, Problem
from voltwright.web.pages.frame import DATA, SHOWN, Tag
from voltwright.web.pages.side import Side
from voltwright.web.pages.waiting import Waiting
from voltwright.web.words import t

if TYPE_CHECKING:
    from voltwright.web.pages.build_page import Seen

MOST_TOLD = 8  # what is wrong, before it is only counted
AREA = "document.querySelector('textarea.whole')"
PRESSED = f"() => {{ {AREA}.readOnly = true; emit() }}"  # what was typed while it is saved would be lost
MISSING = "this is missing"  # told last: often it follows from a name that is wrong


class TextSide(Side):
    """The whole document, for those who like to write it."""

    async def begin(self) -> None:
        desk = self.desk
        self._text, self._since, self._is_typed = "", 0, False
        self._stands = ("", 0)
        with desk.own:
            Tag("p", t("Every line that it may hold stands in the reference of the build file."), "of")
            self._waiting = Waiting("file", self._overtaken)
            self._wrong = Tag("div", classes="wrongs", role="alert")
            self._area = Tag("textarea", classes="whole", rows="36", spellcheck="false", aria_label=t("Text of the build file"),
                             **({} if desk.may_edit else {"readonly": ""}))  # fmt: skip
            if desk.may_edit:
                self._area.on("input", self._typing, js_handler="() => emit()", throttle=0.5)
                self._waiting.holds(self._area, "text", heard=self._heard)
                Tag("button", t("Save"), type_="button").on("click", desk.doing(self._save), js_handler=PRESSED)
        self._fill()

    def _typing(self) -> None:
        self._is_typed = True

    def _heard(self, text: str) -> None:
        """As it was left; as it stands where nothing was typed, or what was is thrown away."""
        stands, number = self._stands
        self._text, self._is_typed = text, text != stands
        if not self._is_typed:
            self._since = number

    def _overtaken(self, since: str) -> str:
        """It is saved from the edit with which it began: what others saved since is shown before it goes on top."""
        self._since = int(since)
        return t(
            "What you typed before is here again. It began with edit {number}, and others saved since: saving shows you both.",
            number=since,
        )

    def _fill(self) -> None:
        """The newest text, unless its reader is writing another; that one is saved from where it began, or refused and kept."""
        draft = self.desk.seen.draft if self.desk.seen else None
        if draft is None or draft.number == self._since or (self._is_typed and draft.text != self._text):
            return
        self._since, self._text, self._is_typed = draft.number, draft.text, False
        self._stands = draft.text, draft.number
        self._waiting.stands("text", draft.text)
        self._area.props["data-over"], self._area.props[SHOWN] = str(draft.number), draft.text
        self._area.update()

    async def _save(self) -> None:
        """The text as it stands when it is saved: after a refusal its writer may have put both together."""
        desk, began, write = self.desk, [self._since], self.desk.shop.edits.write
        self._wrong.clear()
        try:
            await desk.edit(
                lambda actor, since: write(actor, desk.build, self._text, since=began.pop() if began else since),
                self,
                taken=self._taken,
            )
        except FormatError as error:
            self.complain(error.problems)
        finally:
            ui.run_javascript(f"{AREA}.readOnly = false")

    def _taken(self) -> None:
        self._wrong.clear()
        self._is_typed = False
        self._waiting.went_in(leave=True)

    def complain(self, problems: Iterable[Problem]) -> list[str]:
        """Each with its line, to which a press leads, and its path; nothing is left to be told elsewhere."""
        found = sorted(problems, key=lambda each: (each.what == MISSING, each.line or 0))
        self._wrong.clear()
        with self._wrong:
            Tag("p", t("Not saved; your text stands below as you typed it."), "alert")
            with Tag("ol"):
                for each in found[:MOST_TOLD]:
                    with Tag("li"):
                        _told(each)
            if (more := len(found) - MOST_TOLD) > 0:
                Tag("p", t("And {count} more; mend these first.", count=more), "of")
        return []

    def draw(self, seen: Seen) -> None:
        if hasattr(self, "_area"):
            self._fill()
        Tag(
            "a",
            t("Download the build file"),
            href=f"/api/builds/{self.desk.build}/build.yaml?edit={seen.draft.number}",
            download="build.yaml",
        )


def _told(problem: Problem) -> None:
    """Where it is, what it is, what is allowed, and how to mend it."""
    with Tag("p"):
        if line := problem.line:
            button = Tag("button", t("Line {number}", number=line), "quiet", type_="button")
            button.on("click", lambda: ui.run_javascript(f"voltwright.toLine({line})"))
            Tag("span", " ")
        if problem.path:
            Tag("strong", problem.path, **DATA)
            Tag("span", ": ")
        Tag("span", problem.what, **DATA)
    with Tag("dl"):
        for head, text in ((t("Allowed"), problem.allowed), (t("To mend it"), problem.mend)):
            if text:
                Tag("dt", head)
                Tag("dd", text, **DATA)
