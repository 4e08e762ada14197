"""The first page: the cars of the workshop and the builds of each."""

from fastapi import Request
from nicegui import ui

from voltwright.quantity.errors import VoltwrightError
from voltwright.services.views import Actor, CarFile
from voltwright.services.workshop import Workshop
from voltwright.web.entrance import Visit
from voltwright.web.pages.frame import Tag, Told, doing, framed, inside, refused, visit_of


def register(shop: Workshop) -> None:
    """Make the page known."""

    @ui.page("/", response_timeout=20.0)
    async def cars(request: Request):
        visit = visit_of(request)
        try:
            actor, files = await inside(lambda: _loaded(shop, visit))
        except VoltwrightError as error:
            return refused(error)
        with framed(actor, visit, "Cars"):
            _table(files)
            if actor.may("builds.start_example"):
                await _beginning(shop, visit)
        return None


def _loaded(shop: Workshop, visit: Visit) -> tuple[Actor, tuple[CarFile, ...]]:
    actor = visit.actor()
    return actor, tuple(shop.cars.open(actor, each.id) for each in shop.cars.list(actor))


def _table(files: tuple[CarFile, ...]) -> None:
    if not files:
        Tag("p", "No car is kept here yet.")
        return
    with Tag("table", classes="list"):
        with Tag("thead"), Tag("tr"):
            for head in ("Car", "Customer", "Build", "Last edit"):
                Tag("th", head, scope="col")
        with Tag("tbody"):
            for file in files:
                for build in file.builds or (None,):
                    with Tag("tr"):
                        Tag("td", file.car.name)
                        Tag("td", file.car.customer)
                        with Tag("td"):
                            if build:
                                Tag("a", build.name, href=f"/builds/{build.id}")
                        Tag("td", f"{build.at:%d %b %Y %H:%M} UTC, {build.who}" if build else "no build yet")


async def _beginning(shop: Workshop, visit: Visit) -> None:
    """A button for each example."""
    examples = await inside(lambda: shop.builds.examples(visit.actor()))
    Tag("h2", "Begin with an example")
    Tag("p", "Invented cars, to try things with. Each becomes a car of its own here.")
    told = Told()
    with Tag("ul", classes="buttons"):
        for name, title in examples.items():

            async def begin(name: str = name) -> None:
                row = await inside(lambda: shop.builds.start_example(visit.actor(), name))
                ui.navigate.to(f"/builds/{row.id}")

            with Tag("li"):
                Tag("button", title).on("click", doing(told, begin))
