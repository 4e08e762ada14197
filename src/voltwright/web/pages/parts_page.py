"""The parts of the workshop: its own parts, and every datasheet in full."""

import functools
from collections.abc import Awaitable, Callable
from urllib.parse import urlencode

from fastapi import Request
from nicegui import ui

from voltwright.quantity.errors import VoltwrightError
from voltwright.services.views import Actor, AwayRow, OwnPart, PartRow, PartTable, PartView
from voltwright.services.workshop import Workshop
from voltwright.web.entrance import Visit
from voltwright.web.pages import sheet_page
from voltwright.web.pages.frame import DATA, Tag, Told, doing, framed, inside, refused, visit_of
from voltwright.web.words import t


def register(shop: Workshop) -> None:
    """Make the pages known."""

    @ui.page("/parts", response_timeout=20.0)
    async def own_parts(request: Request):
        visit, asked = visit_of(request), _kept(request)
        try:
            actor, own, away = await inside(lambda: _loaded(shop, visit))
        except VoltwrightError as error:
            return refused(error)
        with framed(actor, visit, t("Own parts")):
            back(asked)
            _own(own, asked, may=actor.may("parts.put"))
            if away:
                _away(shop, visit, away, may=actor.may("parts.put"))
        return None

    @ui.page("/parts/sheet", response_timeout=20.0)
    async def sheet(request: Request, part: str):
        visit, asked = visit_of(request), _kept(request)
        try:
            actor, view, log, named = await inside(lambda: _sheet(shop, visit, part))
        except VoltwrightError as error:
            return refused(error)
        with framed(actor, visit, view.row.title) as title:
            title.props["translate"] = "no"
            back(asked)
            told = Told()
            datasheet(view)
            if view.row.own:
                _history(shop, visit, actor, told, view.row, log, named, asked)
        return None

    sheet_page.register(shop)


def _kept(request: Request) -> dict[str, str]:
    """Where the reader came from: the build and the place for which a part is looked for, and the units."""
    asked = request.query_params
    known = {name: asked.get(name, "") for name in ("build", "place", "units")}
    return {name: text for name, text in known.items() if text} if known["build"].isdecimal() else {}


def back(asked: dict[str, str]) -> None:
    """The way back to the shelf of the build."""
    if "build" in asked:
        rest = {name: text for name, text in asked.items() if name != "build"}
        with Tag("p"):
            Tag(
                "a", t("Back to the parts shelf of the build"), href=f"/builds/{asked['build']}/shelf?{urlencode(rest)}"
            )


def _loaded(shop: Workshop, visit: Visit) -> tuple[Actor, tuple[PartRow, ...], tuple[AwayRow, ...]]:
    actor = visit.actor()
    return actor, tuple(each for each in shop.parts.list(actor) if each.own), shop.sheets.away(actor)


def _sheet(shop: Workshop, visit: Visit, part: str) -> tuple[Actor, PartView, tuple[OwnPart, ...], tuple[str, ...]]:
    actor = visit.actor()
    view = shop.parts.show(actor, part)
    if not view.row.own:
        return actor, view, (), ()
    return actor, view, shop.parts.log(actor, part), shop.sheets.stands_in(actor, part)


def _own(own: tuple[PartRow, ...], asked: dict[str, str], *, may: bool) -> None:
    Tag(
        "p",
        t(
            "What stands here is entered from datasheets of the makers, or measured on the bench. Builds name it as any part."
        ),
    )
    if may:
        with Tag("p"):
            Tag("a", t("Enter a part from a datasheet"), href=f"/parts/write?{urlencode(asked)}")
    if not own:
        Tag("p", t("No own part is on the shelf yet."))
        return
    with Tag("div", classes="wide", tabindex="0"), Tag("table", classes="list"):
        with Tag("thead"), Tag("tr"):
            for head in (t("Part"), t("Kind of part"), t("Price"), ""):
                Tag("th", head, scope="col") if head else Tag("td")
        with Tag("tbody"):
            for each in own:
                with Tag("tr"):
                    with Tag("th", scope="row"):
                        Tag("a", each.title, href=f"/parts/sheet?{urlencode({'part': each.id, **asked})}", **DATA)
                        Tag("span", each.id, "of", **DATA)
                    Tag("td", each.called, **DATA)
                    Tag("td", each.price, **DATA)
                    with Tag("td"):
                        if may:
                            Tag("a", t("Change"), aria_label=t("Change {what}", what=each.title),
                                href=f"/parts/write?{urlencode({'part': each.id, **asked})}")  # fmt: skip


def _away(shop: Workshop, visit: Visit, away: tuple[AwayRow, ...], *, may: bool) -> None:
    Tag("h2", t("Put away"))
    told = Told()
    with Tag("ul"):
        for row in away:
            with Tag("li"):
                Tag("span", f"{row.title} ({row.id}), {row.at:%d %b %Y}, {row.who} ", **DATA)
                if may:
                    work = doing(told, functools.partial(_bring_back, shop, visit, row.id))
                    name = t("Bring back {what}", what=row.title)
                    Tag("button", t("Bring back"), "quiet", type_="button", aria_label=name).on("click", work)


async def _bring_back(shop: Workshop, visit: Visit, part: str) -> None:
    def work() -> None:
        actor = visit.actor()
        last = shop.sheets.open(actor, part)
        shop.parts.put(actor, last.whole, since=last.number)

    await inside(work)
    ui.navigate.to("/parts")


def datasheet(view: PartView) -> None:
    """All that it says, from where, and whether anybody stands behind it."""
    if view.invented:
        Tag(
            "p",
            t("These data are invented: typical of the trade, and of no maker. Do not order, fuse or build by them."),
            "alert",
        )
    with Tag("p", classes="of"):
        Tag("span", f"{view.row.id} · {view.row.price}", **DATA)
    with Tag("p"):
        Tag("span", t("Source:"))
        Tag("span", f" {view.source}", **DATA)
    if view.remarks:
        Tag("p", view.remarks, **DATA)
    with Tag("div", classes="wide", tabindex="0"), Tag("table", classes="figures"):
        with Tag("thead"), Tag("tr"):
            for head in (t("Figure"), t("Value"), t("How it is known")):
                Tag("th", head, scope="col")
        with Tag("tbody"):
            for each in view.fields:
                with Tag("tr"):
                    Tag("th", each.name, scope="row", **DATA)
                    Tag("td", each.value, "value", **DATA)
                    Tag("td", each.known, **DATA)
    for each in view.tables:
        _table(each)
    if view.worth_adding:
        Tag("h2", t("Worth adding"))
        with Tag("ul"):
            for text in view.worth_adding:
                Tag("li", text, **DATA)


def _table(made: PartTable) -> None:
    with Tag("div", classes="wide", tabindex="0"), Tag("table", classes="figures numbers"):
        Tag("caption", made.title, **DATA)
        with Tag("thead"), Tag("tr"):
            for head in made.heads:
                Tag("th", head, scope="col", **DATA)
        with Tag("tbody"):
            for row in made.rows:
                with Tag("tr"):
                    for cell in row:
                        Tag("td", cell, **DATA)


def _history(
    shop: Workshop,
    visit: Visit,
    actor: Actor,
    told: Told,
    row: PartRow,
    log: tuple[OwnPart, ...],
    named: tuple[str, ...],
    asked: dict[str, str],
) -> None:
    """Of an own part: in which builds it stands, what its datasheet was before, and what can be done with it."""
    Tag("h2", t("Where it stands"))
    if not named:
        Tag("p", t("No build names it."))
    with Tag("ul"):
        for each in named:
            Tag("li", each, **DATA)
    Tag("p", t("Builds follow the newest datasheet; a saved revision keeps the figures that it had."), "of")
    may = actor.may("parts.put", "parts.take_off")
    if may:
        with Tag("p", classes="buttons"):
            Tag("a", t("Change the datasheet"), href=f"/parts/write?{urlencode({'part': row.id, **asked})}")
            away = doing(told, functools.partial(_put_away, shop, visit, row.id))
            Tag("button", t("Put it away"), type_="button").on("click", away)
    Tag("h2", t("Its datasheets"))
    with Tag("ol"):
        for each in log:
            with Tag("li"):
                said = t("put away") if each.document is None else t("datasheet")
                Tag("span", f"{each.at:%d %b %Y %H:%M} UTC, {each.who}: {said} ", **DATA)
                if may and each.document is not None and each is not log[-1]:
                    work = doing(told, _put_again(shop, visit, each, log[-1].number))
                    name = t("Make datasheet {number} the newest", number=each.number)
                    Tag("button", t("Make it the newest"), "quiet", type_="button", aria_label=name).on("click", work)


def _put_again(shop: Workshop, visit: Visit, old: OwnPart, since: int) -> Callable[[], Awaitable[None]]:
    async def put() -> None:
        await inside(lambda: shop.parts.put(visit.actor(), old.document or {}, since=since))
        ui.navigate.reload()

    return put


async def _put_away(shop: Workshop, visit: Visit, part: str) -> None:
    await inside(lambda: shop.parts.take_off(visit.actor(), part))
    ui.navigate.to("/parts")
