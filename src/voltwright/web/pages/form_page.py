"""Draws forms: a field is saved as it is left, and says what is allowed, why it matters and how to find it out."""

from __future__ import annotations

import functools
from collections.abc import Awaitable, Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from nicegui import ui

from voltwright.services.views import FieldView, FormView, Problem
from voltwright.web.pages.adding import Doing, Save, single, whole
from voltwright.web.pages.frame import DATA, SHOWN, Tag, renew
from voltwright.web.pages.waiting import VALUE
from voltwright.web.words import t

TakeOut = Callable[[str], Awaitable[None]]


@dataclass
class Form:
    """The fields of one page. `save` and `take_out` do the work and tell what went wrong; without them nothing can be written.

    `prefix` stands before each path where the fields are written elsewhere than they are read: in a variant, in a datasheet.
    """

    save: Save | None
    take_out: TakeOut
    doing: Doing
    place_of_choice: Callable[[str], str]
    prefix: str = ""
    _place: Tag = field(init=False)
    _rows: dict[str, _Row] = field(init=False, default_factory=dict)
    _shape: object = None

    def __post_init__(self) -> None:
        self._place = Tag("div", classes="form")

    def show(self, forms: tuple[FormView, ...], *, anew: bool = False) -> None:
        """Fields that are there already are only renewed, so that nobody is thrown out of the one where they type.

        `anew`: what was refused is judged again by whoever shows it.
        """
        shape = tuple(map(_shape, forms))
        if shape == self._shape:
            for each in (each for form in forms for each in form.all_fields() if each.path in self._rows):
                self._rows[each.path].show(each, anew=anew)
            return
        self._shape, self._rows = shape, {}
        self._place.clear()
        with self._place:
            for each in forms:
                self._section(each, 2)
        ui.run_javascript("voltwright.drawn()")

    def complain(self, problems: Iterable[Problem]) -> list[str]:
        """Put what is wrong beside the fields; what belongs to none of them is handed back, with where it is."""
        beside: dict[str, list[str]] = {}
        rest: list[str] = []
        for each in problems:
            path = each.path.removeprefix(self.prefix).removesuffix(".value")
            if path in self._rows:
                beside.setdefault(path, []).append(_said(each))
            else:
                rest.append(str(each))
        for path, texts in beside.items():
            self._rows[path].complain(" ".join(texts))
        return rest

    def _section(self, form: FormView, level: int) -> None:
        if form.together:
            if self.save is not None:
                words = t("Enter {what}", what=form.title.lower())
                whole(form, words, f"{self.prefix}{form.path}", self.doing, self._saved)
            return
        with Tag("section", classes="group"):
            with Tag("div", classes="group-head"):
                Tag(f"h{min(level, 6)}", form.title, **DATA)
                if self.save and form.optional and not form.removable:
                    self._remove(form.path, form.title)
            for each in form.fields:
                self._one(each, form.removable)
            for each in form.groups:
                self._item(each, level) if form.removable else self._section(each, level + 1)
            if self.save and form.removable:
                self._adding(form)

    def _one(self, view: FieldView, removable: bool) -> None:
        with Tag("div", classes="line"):
            self._rows[view.path] = _Row(view, self)
            if removable and self.save:
                self._remove(view.path, view.label)

    def _item(self, form: FormView, level: int) -> None:
        with Tag("details", classes="item"):
            Tag("summary", form.title, **DATA)
            for each in form.fields:
                self._one(each, False)
            for each in form.groups:
                self._section(each, level + 2)
            if self.save:
                self._remove(form.path, form.title)

    def _remove(self, path: str, what: str) -> None:
        work = self.doing(functools.partial(self.take_out, f"{self.prefix}{path}"))
        Tag("button", t("Take out"), "quiet", aria_label=t("Take out {what}", what=what), type_="button").on(
            "click", work
        )

    def _adding(self, form: FormView) -> None:
        words = t("Add: {what}", what=form.one)
        place, doing, save = f"{self.prefix}{form.path}", self.doing, self._saved
        if form.new is None:
            single(form, words, place, doing, save)
        else:
            whole(form.new, words, place, doing, save, named=form.is_map, names=form.names)

    async def _saved(self, changes: Mapping[str, Any], taken: Callable[[], None] = lambda: None) -> None:
        assert self.save is not None
        await self.save({f"{self.prefix}{path}": value for path, value in changes.items()}, taken)


def _said(problem: Problem) -> str:
    """What is wrong with a field, without its path, which the reader sees by its place."""
    return str(replace(problem, path="", line=None, file=""))


class _Row:
    """One field: what is typed, in which state it is known, and below it all that a person may want to know of it."""

    def __init__(self, view: FieldView, form: Form) -> None:
        self._form, self._view, self._typed = form, view, view.typed
        self._refused: str | None = None
        self._nothing: Tag | None = None
        self._kept = f"{form.prefix}{view.path}"
        at = f"{'v' if form.prefix else 'f'}-{self._kept}"  # the values of a variant stand among its changes too
        self._whole = Tag("div", classes="field")
        with self._whole:
            Tag("label", view.label, "label", for_=at, **DATA)
            self._input = self._entry(at)
            self._beside = Tag("span", classes="beside", **DATA)
            if view.kind == "part" and form.save and (shelf := form.place_of_choice(view.path)):
                name = t("Choose from the shelf: {what}", what=view.label)
                Tag("a", t("Choose from the shelf"), "choose", href=shelf, aria_label=name)
            self._state = Tag("span", classes="state")
            self._wrong = Tag("p", classes="wrong", role="alert", id=f"{at}-wrong", **DATA)
            self._more()
        self.show(view)

    def _entry(self, at: str) -> Tag:
        view = self._view
        locked = {} if self._form.save and view.kind != "whole" else {"disabled": ""}
        if view.choices:
            made = Tag("select", id=at, data_path=self._kept, **DATA, **locked)
            with made:
                self._nothing = None if view.required and not self._form.prefix else Tag("option", value="", **DATA)
                for value, words in view.choices:
                    Tag("option", words, value=value, **DATA)
        else:
            made = Tag(
                "input",
                id=at,
                type_="text",
                autocomplete="off",
                spellcheck="false",
                data_path=self._kept,
                **DATA,
                **locked,
            )
        if self._form.save and view.kind != "whole":
            made.on("change", self._changed, js_handler=VALUE)
            made.on("overtaken", self._overtaken, js_handler=VALUE)
        return made

    def show(self, view: FieldView, *, anew: bool = False) -> None:
        """As it now stands; what was refused stays to be mended, until something else stands there."""
        if self._refused is not None and view.typed == self._view.typed and not anew:
            return
        is_known_otherwise = (view.how, view.note) != (self._view.how, self._view.note)
        self._view, self._typed, self._refused = view, view.typed, None
        if is_known_otherwise and self._told.default_slot.children:
            self._told.clear()
            self._unfold(None)
        assumed = view.shown if not view.typed else ""
        if self._nothing:
            self._nothing.text = dict(view.choices).get(assumed, assumed)
        renew(self._input, {SHOWN: view.typed} | ({} if view.choices else {"placeholder": assumed}))
        self._beside.text = f"= {view.shown}" if view.typed and view.shown else ""
        how = view.how if view.typed or view.how == "assumed" else ""
        self._state.text = self._state_of(view, how)
        self._whole.classes(replace=f"field {how}")
        self.complain("")

    @staticmethod
    def _state_of(view: FieldView, how: str) -> str:
        if view.otherwise:
            return t("changed by the variant")
        if view.required and not view.typed:
            return t("needed")
        return _STATES[how]() if how not in ("", "entered") else ""

    def complain(self, text: str) -> None:
        """Say what is wrong with what was typed; nothing takes it away."""
        if text:
            self._refused = self._typed
        self._wrong.text = text
        renew(self._input, {SHOWN: self._typed, "aria-invalid": "true" if text else "false"})

    async def _changed(self, event: Any) -> None:
        self._typed, self._refused = str(event.args), None
        renew(self._input, {SHOWN: self._typed})  # where it is not taken, what stood there comes back
        await self._form.doing(functools.partial(self._save, self._typed))()

    def _overtaken(self, event: Any) -> None:
        """It was typed over a value that is no longer there."""
        self._typed = str(event.args)
        now = self._view.typed or t("nothing")
        self.complain(t("Not saved: while you typed it became {now}. Enter yours again if it shall stand.", now=now))

    async def _save(self, typed: str) -> None:
        view = self._view
        if not typed.strip():
            await self._form.take_out(f"{self._form.prefix}{view.path}")
        else:
            # A new value was not weighed, nor read, because the old one was: how it is known is said anew.
            await self._form._saved({view.path if view.how in _FOUND_OUT else view.at: typed})

    async def _known(self, how: str, note: str) -> None:
        view = self._view
        value: dict[str, str] = {"value": view.typed or view.shown, "how": how}
        await self._form._saved({view.path: value | ({"note": note} if note else {})})

    def _more(self) -> None:
        """Sent when somebody opens it: of all fields it would be more than half of the page."""
        view = self._view
        with Tag("details", classes="more") as unfolds:
            Tag("summary", "?", aria_label=t("About {what}", what=view.label), **DATA)
            self._told = Tag("div")
        unfolds.on("toggle", self._unfold, js_handler="(event) => event.target.open && emit()")

    def _unfold(self, _: Any) -> None:
        if self._told.default_slot.children:
            return
        view = self._view
        with self._told:
            with Tag("dl"):
                for head, text in (
                    (t("What it is"), view.means), (t("Allowed"), view.allowed), (t("Why it matters"), view.why),
                    (t("To find out"), view.measure), (t("Reason"), view.note),
                ):  # fmt: skip
                    if text:
                        Tag("dt", head)
                        Tag("dd", text, **DATA)
            if view.kind == "quantity" and self._form.save:
                self._how()

    def _how(self) -> None:
        note = {"": self._view.note}

        async def noted(event: Any) -> None:
            note[""] = str(event.args)
            if self._view.typed:
                await self._form.doing(lambda: self._known(self._view.how or "entered", note[""]))()

        with Tag("div", classes="how"):
            with Tag("label"):
                Tag("span", t("How it is known"))
                made = Tag("select", aria_label=t("How it is known: {what}", what=self._view.label))
            with made:
                for each in ("", *_STATES):
                    chosen = {"selected": ""} if each == self._view.how and each else {}
                    Tag("option", _STATES[each]() if each else "", value=each, **chosen)
            with Tag("label"):
                Tag("span", t("Note"))
                entry = Tag("input", type_="text", autocomplete="off")
                entry.props[SHOWN] = self._view.note
                entry.on("change", noted, js_handler=VALUE)

        async def told(event: Any) -> None:
            how = str(event.args)
            if how:
                await self._form.doing(lambda: self._known(how, note[""]))()

        made.on("change", told, js_handler=VALUE)


_FOUND_OUT = ("measured", "datasheet")
_STATES: Mapping[str, Callable[[], str]] = {
    "entered": lambda: t("entered"),
    "measured": lambda: t("measured"),
    "datasheet": lambda: t("datasheet"),
    "assumed": lambda: t("assumed"),
}


def _shape(form: FormView) -> tuple[object, ...]:
    """What a form looks like, whatever stands in its fields."""
    fields = tuple((each.path, each.label, each.choices) for each in form.fields)
    return form.path, form.title, form.together, fields, tuple(map(_shape, form.groups))
