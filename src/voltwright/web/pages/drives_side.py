"""Beside the duty: files of drives (routes and speed traces), which are added to the car and then named by a journey."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from nicegui import ui

from voltwright.quantity.errors import Problem
from voltwright.web.pages.figures_side import QuestionSide
from voltwright.web.pages.frame import DATA, Tag, Told, inside
from voltwright.web.words import t

if TYPE_CHECKING:
    from voltwright.web.pages.build_page import Desk

ENDINGS = (".gpx", ".csv")


class DrivesSide(QuestionSide):
    """A file goes to the interface as it is; of a name that is there already the newest counts."""

    def __init__(self, desk: Desk) -> None:
        super().__init__(desk)
        self._car = 0

    async def begin(self) -> None:
        desk = self.desk
        now = await inside(lambda: desk.shop.builds.now(desk.visit.actor(), desk.build))
        self._car = now.car.id
        with desk.own:
            Tag("h2", t("Files of drives"))
            if desk.may_edit:
                with Tag("label", classes="field"):
                    Tag("span", t("Add a route or a speed trace (GPX, CSV)"), "label")
                    field = Tag("input", type_="file", accept=",".join(ENDINGS))
                    field.on(
                        "change", self._sent, js_handler=f"(event) => voltwright.keepFile({self._car}, event, emit)"
                    )
                self._told = Told()
            self._place = Tag("div")
        await self._list()

    async def _sent(self, event: Any) -> None:
        """What the interface said of the file."""
        said: Mapping[str, Any] = event.args
        if said.get("signed_out"):
            ui.navigate.to("/sign-in")
        elif said.get("lost"):
            self._told.complain(t("The files did not arrive. Look whether the server is there, and try again."))
        elif "problems" in said:
            self._told.complain(t("Nothing was kept."))
            with self._told.more(), Tag("ul"):
                for each in said["problems"]:
                    Tag("li", str(Problem(each["what"], each["allowed"], each["mend"])), **DATA)
        else:
            name = str(said.get("name", ""))
            self._told.say(
                t("{name} is kept. Write its name under a journey, as its route or its speed trace.", name=name)
            )
            await self._list()

    async def _list(self) -> None:
        desk = self.desk
        kept = await inside(lambda: desk.shop.attachments.list(desk.visit.actor(), self._car))
        names = sorted({each.name for each in kept if each.name.lower().endswith(ENDINGS)})
        self._place.clear()
        with self._place:
            if not names:
                Tag("p", t("None was added yet."))
                return
            with Tag("ul", classes="downloads"):
                for name in names:
                    Tag("li", name, **DATA)
