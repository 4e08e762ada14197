"""What is typed and waits for a button: the tab of the browser keeps it, and after a reload it is there again."""

from __future__ import annotations

import functools
import json
from collections.abc import Callable, Mapping
from typing import Any

from nicegui import ui

from voltwright.web.pages.frame import SHOWN, Tag, renew
from voltwright.web.words import t

VALUE = "(event) => emit(event.target.value)"
OVERTAKEN = "(event) => emit(event.target.value, event.detail)"
Heard = Callable[[str], None]  # what stands in a field now


class Waiting:
    """Fields that go in together. `typed` is what stands in each, by its name; `place` tells them from others of the page.

    Drawn where it is made: the line that says that something typed before is here again. `overtaken` is what it says where
    somebody saved meanwhile, given what it was typed over.
    """

    def __init__(self, place: str, overtaken: Callable[[str], str] | None = None) -> None:
        self.typed: dict[str, str] = {}
        self._place, self._overtaken_says = place, overtaken
        self._entries: dict[str, tuple[Tag, str, Heard | None]] = {}
        self._note = Tag("div", classes="kept", role="status")

    def holds(self, entry: Tag, name: str, *, stands: str = "", heard: Heard | None = None) -> None:
        """Keep what is typed in a field in which `stands` something; `heard` is told of each change."""
        self._entries[name] = entry, stands, heard
        entry.props["data-path"], entry.props["data-waits"] = self._path(name), ""
        entry.on("change", lambda event: self._hear(name, str(event.args)), js_handler=VALUE)
        entry.on("kept", functools.partial(self._kept, name), js_handler=VALUE)
        entry.on("overtaken", functools.partial(self._overtaken, name), js_handler=OVERTAKEN)

    def stands(self, name: str, text: str) -> None:
        """Something else stands in a field by now."""
        entry, _, heard = self._entries.get(name, (None, "", None))
        if entry is not None:
            self._entries[name] = entry, text, heard

    def went_in(self, sent: Mapping[str, str] | None = None, *, leave: bool = False) -> None:
        """It is saved, or thrown away. `sent`: what was `typed` when it was sent off; a field in which something else was typed since
        keeps it. `leave`: the fields are filled by whoever shows what was saved.
        """
        texts: dict[str, tuple[str | None, str | None]] = {}
        for name, (entry, stands, _) in self._entries.items():
            went = None if sent is None else sent.get(name, stands)
            if went not in (None, self.typed.get(name, stands)):
                continue
            texts[self._path(name)] = went, None if leave else stands
            if not leave:
                self._hear(name, stands)
                if SHOWN in entry.props:
                    renew(entry, {SHOWN: stands})
        self._note.clear()
        ui.run_javascript(f"voltwright.drop({json.dumps(texts)})")

    def _path(self, name: str) -> str:
        return f"{self._place} {name}"

    def _hear(self, name: str, text: str) -> None:
        self.typed[name] = text
        if heard := self._entries[name][2]:
            heard(text)

    def _kept(self, name: str, event: Any) -> None:
        self._hear(name, str(event.args))
        if not self._note.default_slot.children:
            self._say(t("What you typed before is here again."))

    def _overtaken(self, name: str, event: Any) -> None:
        text, over = map(str, event.args)
        self._hear(name, text)
        self._note.clear()
        says = self._overtaken_says or (
            lambda over: t("What you typed before is here again; it was {over} then.", over=over)
        )
        self._say(says(over))

    def _say(self, text: str) -> None:
        with self._note:
            Tag("p", text)
            Tag("button", t("Throw it away"), "quiet", type_="button").on("click", lambda: self.went_in())
