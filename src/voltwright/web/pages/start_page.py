"""The page on which a car is started: with five answers, from an example, or from files."""

from __future__ import annotations

import functools
import json
from collections.abc import Awaitable, Callable
from typing import Any

from fastapi import Request
from nicegui import ui

from voltwright.quantity.errors import BuildError, Problem, VoltwrightError
from voltwright.services.beginning import answers_of
from voltwright.services.taking_in import MOST_BYTES
from voltwright.services.views import Actor, QuestionView, System
from voltwright.services.workshop import Workshop
from voltwright.web.entrance import Visit
from voltwright.web.pages.asking import Questions, text_field
from voltwright.web.pages.frame import DATA, Tag, Told, doing, framed, inside, refused, visit_of
from voltwright.web.pages.units_row import units_row
from voltwright.web.pages.waiting import Waiting
from voltwright.web.words import t

KEPT = "start"  # under this name the browser's tab keeps what was typed
STARTS = ("builds.begin", "builds.start_example", "builds.take_in")


def register(shop: Workshop) -> None:
    """Make the page known."""

    @ui.page("/start", response_timeout=20.0)
    async def start(request: Request, units: System = "metric"):
        visit = visit_of(request)
        try:
            actor, asked, examples = await inside(lambda: _loaded(shop, visit, units))
        except VoltwrightError as error:
            return refused(error)
        with framed(actor, visit, t("Start a car")):
            if actor.may(*STARTS):
                Start(shop, visit, units, asked, examples)
            else:
                Tag("p", t("You may look at everything here. To start a car, ask an owner to change your role."))
        return None


def _loaded(shop: Workshop, visit: Visit, units: System) -> tuple[Actor, tuple[QuestionView, ...], dict[str, str]]:
    actor = visit.actor()
    return actor, shop.builds.questions(actor, system=units), shop.builds.examples(actor)


class Start:
    """The page as it is open in one browser. One thing at a time: while a car is begun no second one is."""

    def __init__(
        self, shop: Workshop, visit: Visit, units: System, asked: tuple[QuestionView, ...], examples: dict[str, str]
    ) -> None:
        self._shop, self._visit = shop, visit
        self._units: System = units
        self._is_busy = False
        Tag("p", t("Three ways lead to a new car. Whatever you choose, all of it can be changed afterwards."))
        self._waiting = Waiting("answer")
        with Tag("section", classes="called"):
            text_field(
                t("Name of the car"), "name", self._waiting, t("May stay empty: then it is called as its build.")
            )
            text_field(t("Customer"), "customer", self._waiting, t("May stay empty."))
        self._by_answers(asked)
        self._by_example(examples)
        self._by_files()
        ui.timer(0.01, self._kept, once=True)

    def _kept(self) -> None:
        ui.run_javascript(f"voltwright.keep({json.dumps(KEPT)})")

    def _by_answers(self, asked: tuple[QuestionView, ...]) -> None:
        Tag("h2", t("With five answers"))
        Tag(
            "p",
            t(
                "Estimates will do. Everything else is assumed as such cars usually are, and marked so until you measure it."
            ),
        )
        with Tag("div", classes="controls units"):
            units_row(self._units, lambda system: f"/start?units={system}")
        self._questions = Questions(asked, self._waiting)
        button = Tag("button", t("Start with these answers"), type_="button", classes="first")
        told = Told()
        button.on("click", self._once(button, told, self._begin))

    def _by_example(self, examples: dict[str, str]) -> None:
        Tag("h2", t("Begin with an example"))
        Tag("p", t("Invented cars, to try things with. Each becomes a car of its own here."))
        with Tag("ul", classes="buttons"):
            made = {name: _button_in_list(title) for name, title in examples.items()}
        told = Told()
        for name, button in made.items():
            button.on("click", self._once(button, told, functools.partial(self._begin_example, name)))

    def _by_files(self) -> None:
        Tag("h2", t("From a build file"))
        Tag(
            "p",
            t(
                "A build file (.yaml), with the traces and own datasheets that it names; or the folder of a car, as exported."
            ),
        )
        with Tag("div", classes="files"):
            with Tag("label"):
                Tag("span", t("Files"), "label")
                Tag(
                    "input", type_="file", multiple="", data_sent="", accept=".yaml,.yml,.csv,.json,.pdf,.jpg,.png,.gpx"
                )
            with Tag("label"):
                Tag("span", t("Or a folder"), "label")
                Tag("input", type_="file", webkitdirectory="", data_sent="")
        button = Tag("button", t("Take these files in"), type_="button")
        told = Told()
        button.on(
            "click",
            functools.partial(self._sent, told),
            js_handler=f"async () => emit(await voltwright.send({MOST_BYTES}))",
        )

    def _once(self, button: Tag, told: Told, work: Callable[[], Awaitable[None]]) -> Callable[[], Awaitable[None]]:
        """Work that takes its time: the button shows it, and a second click does nothing."""
        words = button.text

        async def worked() -> None:
            if self._is_busy:
                return
            self._is_busy = True
            told.clear()
            _busy(button, t("Being worked out …"))
            try:
                await doing(told, work)()
            finally:
                self._is_busy = False
                _busy(button, "", words)

        return worked

    async def _begin(self) -> None:
        typed, (name, customer) = self._questions.typed, self._named
        self._questions.complain(())
        try:
            row = await inside(
                lambda: self._shop.builds.begin(self._visit.actor(), answers_of(typed), name=name, customer=customer)
            )
        except BuildError as error:
            rest = self._questions.complain(error.problems)
            ui.run_javascript("document.querySelector('[aria-invalid=true]')?.focus()")
            raise BuildError(Problem(_to_mend(len(error.problems) - len(rest)), mend=" ".join(rest))) from None
        self._lead_to(f"{self._address(row.id)}&begun=true")

    async def _begin_example(self, name: str) -> None:
        start, (called, customer) = self._shop.builds.start_example, self._named
        row = await inside(lambda: start(self._visit.actor(), name, car_name=called, customer=customer))
        self._lead_to(self._address(row.id))

    @property
    def _named(self) -> tuple[str, str]:
        """The names of the car and its customer."""
        return self._waiting.typed.get("name", ""), self._waiting.typed.get("customer", "")

    async def _sent(self, told: Told, event: Any) -> None:
        """What the interface said of the files that the browser sent to it."""
        said: dict[str, Any] = event.args
        if said.get("builds"):
            self._taken(told, said["builds"], said["left"])
        elif said.get("signed_out"):
            ui.navigate.to("/sign-in")
        elif said.get("lost"):
            told.complain(t("The files did not arrive. Look whether the server is there, and try again."))
        elif said.get("too_large"):
            most, size = f"{MOST_BYTES / 1e6:.0f} MB", f"{said['too_large'] / 1e6:.0f} MB"
            told.complain(
                t(
                    "The files have {size} together; up to {most} are taken. Leave photographs out.",
                    size=size,
                    most=most,
                )
            )
        else:
            told.complain(t("Nothing was kept."))
            with told.more(), Tag("ul"):
                for each in said.get("problems", ()):
                    Tag("li", str(Problem(each["what"], each["allowed"], each["mend"], each["where"])), **DATA)

    def _taken(self, told: Told, builds: list[dict[str, Any]], left: list[str]) -> None:
        """To the build where there is one, and nothing more to say."""
        ui.run_javascript(f"voltwright.forget({json.dumps(KEPT)})")
        if len(builds) == 1 and not left:
            ui.navigate.to(self._address(builds[0]["id"]))
            return
        told.say(t("Taken in:"))
        with told.more():
            with Tag("ul"):
                for each in builds:
                    with Tag("li"):
                        Tag("a", each["name"], href=self._address(each["id"]), **DATA)
            if left:
                Tag("p", t("Not taken in, as no build names them or nothing of that kind is kept:"))
                with Tag("ul"):
                    for name in left:
                        Tag("li", name, **DATA)

    def _address(self, build: int) -> str:
        return f"/builds/{build}/summary?units={self._units}"

    def _lead_to(self, address: str) -> None:
        ui.run_javascript(f"voltwright.forget({json.dumps(KEPT)})")
        ui.navigate.to(address)


def _button_in_list(words: str) -> Tag:
    with Tag("li"):
        return Tag("button", words, type_="button", **DATA)


def _busy(button: Tag, words: str, before: str = "") -> None:
    """It works, or is itself again."""
    if words:
        button.text = words
        button.props["aria-busy"], button.props["disabled"] = "true", True
    else:
        button.text = before
        button.props.pop("aria-busy", None)
        button.props.pop("disabled", None)
    button.update()


def _to_mend(count: int) -> str:
    return (
        t("One answer needs another look; what is wrong stands beside it.")
        if count == 1
        else t("{count} answers need another look; what is wrong stands beside each.", count=count)
    )
