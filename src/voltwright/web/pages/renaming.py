"""The names of a car, its customer and its builds, to be changed in the list; and the button that puts the car away."""

from __future__ import annotations

import functools
from typing import TYPE_CHECKING, Any

from voltwright.services.views import CarLine
from voltwright.web.pages.frame import DATA, SHOWN, Tag, Told, doing, inside
from voltwright.web.pages.waiting import VALUE
from voltwright.web.words import t

if TYPE_CHECKING:
    from voltwright.web.pages.cars_page import Cars


class Renaming:
    """Opens below a row. Nothing is changed before it is saved; what is refused stays as it was typed."""

    def __init__(self, page: Cars, line: CarLine, button: Tag, place: Tag) -> None:
        self._page, self._line, self._button, self._place = page, line, button, place
        self._typed: dict[str, str] = {}

    async def turn(self) -> None:
        """Open it, or close it."""
        is_open = self._button.props["aria-expanded"] == "true"
        self._button.props["aria-expanded"] = "false" if is_open else "true"
        self._button.update()
        self._place.clear()
        self._typed.clear()
        if not is_open:
            with self._place:
                self._draw()

    def _draw(self) -> None:
        car = self._line.car
        with Tag("section", classes="renaming", aria_label=car.name):
            self._field("name", t("Name of the car"), car.name)
            self._field("customer", t("Customer"), car.customer)
            for each in self._line.builds:
                self._field(f"build {each.build.id}", t("Name of the build"), each.build.name)
            told = Told()
            with Tag("div", classes="buttons"):
                Tag("button", t("Save the names"), type_="button").on("click", doing(told, self._save))
                words = t("Take the car back") if car.away else t("Put the car away")
                put = functools.partial(self._page.put, car.id, car.name, not car.away)
                Tag("button", words, "quiet", type_="button").on("click", doing(told, put))

    def _field(self, name: str, label: str, now: str) -> None:
        at = f"c-{self._line.car.id}-{name.replace(' ', '-')}"
        with Tag("div", classes="field"):
            Tag("label", label, "label", for_=at)
            entry = Tag("input", type_="text", id=at, autocomplete="off", **DATA)
            entry.props[SHOWN] = now
        entry.on("change", functools.partial(self._keep, entry, name), js_handler=VALUE)

    def _keep(self, entry: Tag, name: str, event: Any) -> None:
        self._typed[name] = entry.props[SHOWN] = str(event.args)

    async def _save(self) -> None:
        typed = dict(self._typed)
        await inside(lambda: self._saved(typed))
        self._page.told.say(t("The names are saved."))
        await self._page.again()

    def _saved(self, typed: dict[str, str]) -> None:
        shop, actor = self._page.shop, self._page.visit.actor()
        if typed.keys() & {"name", "customer"}:
            shop.cars.change(actor, self._line.car.id, name=typed.get("name"), customer=typed.get("customer"))
        for each in self._line.builds:
            name = typed.get(f"build {each.build.id}")
            if name is not None:
                shop.builds.rename(actor, each.build.id, name)
