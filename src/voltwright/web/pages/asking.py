"""The form of the five answers: each field with what it asks, why, and what is allowed; what is refused is told beside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from voltwright.quantity.errors import Problem
from voltwright.services.views import ChoiceView, QuestionView
from voltwright.web.pages.frame import DATA, SHOWN, Tag
from voltwright.web.pages.waiting import Waiting
from voltwright.web.words import t


class Questions:
    """All fields. `waiting` keeps what stands in each."""

    def __init__(self, asked: Sequence[QuestionView], waiting: Waiting) -> None:
        self._waiting = waiting
        self._fields: dict[str, _Field] = {}
        heads = {
            "donor": t("The donor: its size and weight"),
            "wishes": t("What the customer wants"),
            "motor": t("The motor"),
            "modules": t("The modules"),
            "where": t("Where from, and what it is called"),
        }
        with Tag("div", classes="questions"):
            for number, (answer, head) in enumerate(heads.items(), 1):
                with Tag("fieldset", classes=f"question of-{answer}"):
                    Tag("legend", f"{number}. {head}")
                    for each in asked:
                        if each.answer == answer:
                            self._fields[each.name] = _Field(each, waiting)

    @property
    def typed(self) -> dict[str, str]:
        """What stands in each, by its name."""
        return {name: self._waiting.typed.get(name, "") for name in self._fields}

    def complain(self, problems: Sequence[Problem]) -> list[str]:
        """Put what is wrong beside the fields, and clear what is right; what belongs to none is handed back."""
        wrong = {each.path: each for each in problems}
        for name, each in self._fields.items():
            each.complain(wrong.get(name))
        return [str(each) for each in problems if each.path not in self._fields]


class _Field:
    def __init__(self, asked: QuestionView, waiting: Waiting) -> None:
        self._asked, self._waiting = asked, waiting
        at = f"q-{asked.name}"
        with Tag("div", classes="field"):
            Tag("label", asked.label, "label", for_=at, **DATA)
            self._input = self._entry(at)
            self._beside = Tag("span", classes="beside", **DATA)
            Tag("span", asked.why, "state", id=f"{at}-why", **DATA)
            self._wrong = Tag("p", classes="wrong", role="alert", id=f"{at}-wrong", **DATA)
            with Tag("details", classes="more"):
                Tag("summary", "?", aria_label=t("About {what}", what=asked.label), **DATA)
                with Tag("dl"):
                    for head, text in ((t("Allowed"), asked.allowed), (t("To find out"), asked.measure)):
                        Tag("dt", head)
                        Tag("dd", text, **DATA)
            if any(each.part for each in asked.choices):
                _on_the_shelf(asked)

    def _entry(self, at: str) -> Tag:
        asked = self._asked
        told = {"id": at, "aria_describedby": f"{at}-why {at}-wrong"}
        if asked.choices and not asked.open:
            made = Tag("select", **told)
            with made:
                Tag("option", t("choose"), value="")
                for each in asked.choices:
                    Tag("option", _choice(each), value=each.value, **DATA)
        else:
            such = t("such as {example}", example=asked.example)
            known = {"list": f"{at}-known"} if asked.choices else {}
            made = Tag("input", type_="text", autocomplete="off", spellcheck="false", placeholder=such, **told, **known)
            if asked.choices:
                with Tag("datalist", id=f"{at}-known"):
                    for each in asked.choices:
                        Tag("option", each.label, value=each.value, **DATA)
        self._waiting.holds(made, asked.name, heard=self._changed)
        return made

    def _changed(self, typed: str) -> None:
        asked = self._asked
        self._input.props[SHOWN] = typed
        chosen = next((each for each in asked.choices if each.value == typed), None)
        self._beside.text = (chosen.label if asked.open else chosen.facts) if chosen else ""

    def complain(self, problem: Problem | None) -> None:
        """Where there is a list, that is what may be chosen here, and not what the build file takes."""
        asked = self._asked
        if problem and asked.choices:
            problem = replace(problem, allowed=asked.allowed)
        self._wrong.text = str(replace(problem, path="", line=None, file="")) if problem else ""
        self._input.props["aria-invalid"] = "true" if problem else "false"
        self._input.props[SHOWN] = self._waiting.typed.get(asked.name, "")
        self._input.update()


def _choice(choice: ChoiceView) -> str:
    """In a list: parts and currencies by their name alone, other words with what they mean."""
    return choice.label if choice.part or not choice.facts else f"{choice.label} ({choice.facts})"


def _on_the_shelf(asked: QuestionView) -> None:
    """What may be chosen, to be compared."""
    words = t("{what}: all that are on the shelf ({count})", what=asked.label, count=len(asked.choices))
    with Tag("details", classes="numbers-of"):
        Tag("summary", words)
        with (
            Tag("div", classes="wide", tabindex="0", role="region", aria_label=words),
            Tag("table", classes="list"),
        ):
            with Tag("thead"), Tag("tr"):
                Tag("th", asked.label, scope="col", **DATA)
                Tag("th", t("What it is"), scope="col")
                Tag("th", t("Price"), scope="col")
            with Tag("tbody"):
                for each in asked.choices:
                    with Tag("tr"):
                        Tag("th", each.label, scope="row", **DATA)
                        Tag("td", each.facts, **DATA)
                        Tag("td", each.part.price if each.part else "", "price", **DATA)


def text_field(label: str, name: str, waiting: Waiting, hint: str) -> None:
    """A field of the page itself, kept as the others are."""
    at = f"q-{name}"
    with Tag("div", classes="field"):
        Tag("label", label, "label", for_=at)
        entry = Tag("input", type_="text", id=at, autocomplete="off", aria_describedby=f"{at}-why")
        waiting.holds(entry, name)
        Tag("span", hint, "state", id=f"{at}-why")
