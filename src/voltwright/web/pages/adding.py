"""What goes into a form at once: a section, or a further item of a list. Until all of it is typed it waits."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Mapping
from typing import Any

from voltwright.services.views import Choices, FieldView, FormView
from voltwright.web.pages.frame import DATA, Tag
from voltwright.web.pages.waiting import VALUE, Waiting
from voltwright.web.words import t

Save = Callable[
    [Mapping[str, Any], Callable[[], None]], Awaitable[None]
]  # values by their paths; called once they are in
Doing = Callable[[Callable[[], Awaitable[None]]], Callable[[], Awaitable[None]]]


class Adding:
    """A section that unfolds. Its fields are named by their paths below it, whatever the number of the item will be."""

    def __init__(self, words: str, path: str, doing: Doing, add: Callable[[Waiting], Awaitable[None]]) -> None:
        with Tag("details", classes="adding") as self._whole:
            Tag("summary", words)
            self._waiting = Waiting(f"add {path}")
        self._doing, self._add = doing, add

    def blank(self, name: str, label: str, view: FieldView | None = None, choices: Choices = ()) -> None:
        """A field that keeps what is typed until the whole goes in."""
        with self._whole, Tag("label", classes="field"):
            Tag("span", label, "label", **DATA)
            if choices := view.choices if view else choices:
                entry = select(choices, "", None, aria_label=label, **DATA)
            else:
                hint = view.allowed if view else ""
                entry = Tag("input", type_="text", autocomplete="off", placeholder=hint, aria_label=label, **DATA)
            self._waiting.holds(entry, name)

    def button(self) -> None:
        """At its end."""

        async def add() -> None:
            await self._add(self._waiting)

        with self._whole:
            Tag("button", t("Add"), type_="button").on("click", self._doing(add))


def single(form: FormView, words: str, place: str, doing: Doing, save: Save) -> None:
    """A further item that is one value, behind its name where the items have names."""

    async def add(waiting: Waiting) -> None:
        sent = dict(waiting.typed)
        at = sent.get("name", "").strip() if form.is_map else str(len(form.fields))
        await save({f"{form.path}.{at}": sent.get("value", "")}, lambda: waiting.went_in(sent))

    section = Adding(words, place, doing, add)
    if form.is_map:
        section.blank("name", t("Name"))
    section.blank("value", t("Value"))
    section.button()


def whole(
    form: FormView, words: str, place: str, doing: Doing, save: Save, *, named: bool = False, names: Choices = ()
) -> None:
    """A section of which nothing is there yet. `place`: where it will be, without the number or name that it gets."""

    async def add(waiting: Waiting) -> None:
        sent = dict(waiting.typed)
        path = f"{form.path}{sent.get('', '').strip()}"
        typed = {name: text for name, text in sent.items() if name and text.strip()}
        await save({f"{path}{name}": text for name, text in typed.items()} or {path: {}}, lambda: waiting.went_in(sent))

    section = Adding(words, place, doing, add)
    if named:
        section.blank("", t("Name"), choices=names)
    for each in form.all_fields():
        section.blank(each.path.removeprefix(form.path), f"{each.label} *" if each.required else each.label, each)
    section.button()


def select(choices: Choices, now: str, chosen: Callable[[str], Any] | None, **attributes: str) -> Tag:
    """A choice of values with their words, and at the head nothing."""
    made = Tag("select", **attributes)
    with made:
        for value, words in (("", ""), *choices):
            Tag("option", words, value=value, **DATA, **({"selected": ""} if value == now else {}))
    if chosen is not None:
        made.on("change", lambda event: chosen(str(event.args)), js_handler=VALUE)
    return made
