"""The first page: the cars of the workshop, found by their names, renamed, put away and taken back."""

from __future__ import annotations

import functools
from typing import Annotated
from urllib.parse import urlencode

from fastapi import Query, Request
from nicegui import ui

from voltwright.quantity.errors import VoltwrightError
from voltwright.services.views import Actor, BuildLine, CarLine, CarsPage
from voltwright.services.workshop import Workshop
from voltwright.web.entrance import Visit
from voltwright.web.pages.frame import DATA, Tag, Told, doing, framed, inside, refused, visit_of
from voltwright.web.pages.renaming import Renaming
from voltwright.web.words import t

LONGEST_SEARCH = 200
MANY = 8  # fewer cars are seen at a glance, and need no search


def register(shop: Workshop) -> None:
    """Make the page known."""

    @ui.page("/", response_timeout=20.0)
    async def cars(
        request: Request,
        search: Annotated[str, Query(max_length=LONGEST_SEARCH)] = "",
        away: bool = False,
        page: Annotated[int, Query(ge=1, le=10**9)] = 1,
    ):
        visit = visit_of(request)
        here = Cars(shop, visit, search.strip(), away, page)
        try:
            actor, found = await inside(here.look_up)
        except VoltwrightError as error:
            return refused(error)
        with framed(actor, visit, t("Cars put away") if away else t("Cars")):
            here.begin(actor, found)
        return None


class Cars:
    """The page as it is open in one browser."""

    def __init__(self, shop: Workshop, visit: Visit, search: str, away: bool, page: int) -> None:
        self.shop, self.visit = shop, visit
        self._search, self._away, self._page = search, away, page
        self.may_change = False

    def look_up(self) -> tuple[Actor, CarsPage]:
        """What the page shows."""
        actor = self.visit.actor()
        return actor, self.shop.cars.browse(actor, search=self._search, away=self._away, page=self._page)

    def begin(self, actor: Actor, found: CarsPage) -> None:
        """Draw it for the first time."""
        self.may_change = actor.may("cars.change", "builds.rename")
        with Tag("div", classes="controls"):
            if actor.may("builds.begin"):
                Tag("a", t("Start a car"), "button", href="/start")
            if self._search or found.pages > 1 or found.found > MANY:
                self._searching()
            if self._away:
                Tag("a", t("Back to the cars in work"), href="/")
            else:
                Tag("a", t("Cars put away"), href="/?away=true")
        self.told = Told()
        self._list = Tag("div", classes="wide-list")
        self._draw(found)

    async def again(self) -> None:
        """Draw the list as it now is."""
        _, found = await inside(self.look_up)
        self._draw(found)

    def _searching(self) -> None:
        with Tag("form", method="get", action="/", role="search", classes="search"):
            Tag("label", t("Name of car or customer"), for_="search")
            Tag("input", type_="search", name="search", id="search", maxlength=str(LONGEST_SEARCH), value=self._search)
            if self._away:
                Tag("input", type_="hidden", name="away", value="true")
            Tag("button", t("Search"))

    def _draw(self, found: CarsPage) -> None:
        self._list.clear()
        with self._list:
            if not found.cars:
                self._nothing()
                return
            if self._search:
                with Tag("p"):
                    Tag("span", t("{count} found.", count=found.found))
                    Tag("a", t("Show all"), href=self._address(search=""))
            with Tag("table", classes="list cars"):
                with Tag("thead"), Tag("tr"):
                    for head in (
                        t("Car"),
                        t("Customer"),
                        t("Builds, and what their newest revisions found"),
                        t("Last edit"),
                    ):
                        Tag("th", head, scope="col")
                    if self.may_change:
                        with Tag("td"):
                            Tag("span", "")
                with Tag("tbody"):
                    for each in found.cars:
                        self._row(each)
            self._pages(found)

    def _nothing(self) -> None:
        if self._search:
            Tag("p", t("No car and no customer has this in its name:"))
            Tag("p", self._search, **DATA)
            Tag("a", t("Show all"), href=self._address(search=""))
        elif self._away:
            Tag("p", t("No car was put away. When one is handed over and paid, it can rest here, with all its papers."))
        elif self.may_change:
            Tag("p", t("No car is kept here yet. Start the first: five answers will do, or try an example."))
        else:
            Tag("p", t("No car is kept here yet. As soon as somebody starts one, it stands here."))

    def _row(self, line: CarLine) -> None:
        with Tag("tr"):
            Tag("th", line.car.name, scope="row", **DATA)
            Tag("td", line.car.customer, "customer", **DATA)
            with Tag("td"), Tag("ul", classes="plain-list"):
                for each in line.builds:
                    with Tag("li"):
                        Tag("a", each.build.name, href=f"/builds/{each.build.id}", **DATA)
                        _found(each)
            last = line.last
            with Tag("td", classes="when"):
                if last:
                    Tag("span", f"{last.at:%d %b %Y %H:%M} UTC, {last.who}", **DATA)
                else:
                    Tag("span", t("no build yet"))
            button = self._change_button(line.car.name) if self.may_change else None
        if button is not None:
            with Tag("tr", classes="working-row"):
                cell = Tag("td", classes="working", colspan="5")
            renaming = Renaming(self, line, button, cell)
            button.on("click", doing(self.told, renaming.turn))

    def _change_button(self, name: str) -> Tag:
        with Tag("td", classes="acts"):
            words = t("Change {what}", what=name)
            return Tag("button", t("Change"), "quiet", aria_label=words, type_="button", aria_expanded="false")

    async def put(self, car: int, name: str, away: bool) -> None:
        """Put a car away or take it back, and offer to undo it."""
        await inside(lambda: self.shop.cars.change(self.visit.actor(), car, away=away))
        await self.again()
        words = t("Put away: {name}", name=name) if away else t("Taken back: {name}", name=name)
        self.told.say(words)
        with self.told.more():
            button = Tag("button", t("Undo"), "quiet", type_="button")
        button.on("click", doing(self.told, functools.partial(self._back, car, not away)))

    async def _back(self, car: int, away: bool) -> None:
        await inside(lambda: self.shop.cars.change(self.visit.actor(), car, away=away))
        self.told.clear()
        await self.again()

    def _pages(self, found: CarsPage) -> None:
        if found.pages == 1:
            return
        with Tag("nav", classes="controls", aria_label=t("Pages of the list")):
            if found.page > 1:
                Tag("a", t("Earlier page"), href=self._address(page=found.page - 1))
            Tag(
                "span", t("Page {page} of {pages}, {count} cars", page=found.page, pages=found.pages, count=found.found)
            )
            if found.page < found.pages:
                Tag("a", t("Next page"), href=self._address(page=found.page + 1))

    def _address(self, *, search: str | None = None, page: int = 1) -> str:
        words = self._search if search is None else search
        asked = {"search": words, "away": "true" if self._away else "", "page": str(page) if page > 1 else ""}
        given = urlencode({key: value for key, value in asked.items() if value})
        return f"/?{given}" if given else "/"


def _found(line: BuildLine) -> None:
    """What was found when the build was saved last, in words and by their look."""
    if line.revision is None:
        Tag("span", t("no revision yet"), "of")
    elif line.stops is None or line.cautions is None:
        Tag("span", t("revision {number}", number=line.revision), "of")
    else:
        for count, words, look in (
            (line.stops, t("stops"), "stamp-stop"), (line.cautions, t("cautions"), "stamp-caution"),
        ):  # fmt: skip
            Tag("span", f"{count} {words}", look if count else "of")
        Tag("span", t("revision {number}", number=line.revision), "of")
