"""Where the pictures of a page stand: each with its numbers as a table and as a file."""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterable

from nicegui import ui
from nicegui.events import GenericEventArguments

from voltwright.quantity.plot import Heat, Table
from voltwright.services.views import PictureView
from voltwright.web.pages.chart_ink import DARK, LIGHT
from voltwright.web.pages.charts import height_of, options
from voltwright.web.pages.frame import DATA, Tag
from voltwright.web.words import t

MOST_ROWS = 400  # in a table on the page; the file has all


class Charts:
    """Drawn once and then only renewed, so that nothing jumps. `address` gives a file with numbers."""

    def __init__(self, address: Callable[[str], str]) -> None:
        self._address = address
        self._place = Tag("div", classes="charts")
        self._drawn: dict[str, tuple[ui.echart, Tag, Tag]] = {}
        self._now: dict[str, PictureView] = {}
        self._open: set[str] = set()
        self._ink = LIGHT
        ui.on("scheme", self._colour)  # sent by the browser when the page opens, and when its reader turns to the other

    def show(self, pictures: tuple[PictureView, ...]) -> None:
        """The pictures as they now are."""
        if tuple(each.key for each in pictures) != tuple(self._drawn):
            self._place.clear()
            self._drawn = {}
            with self._place:
                for each in pictures:
                    self._drawn[each.key] = self._figure(each)
        before, self._now = self._now, {each.key: each for each in pictures}
        self._draw(key for key, each in self._now.items() if before.get(key) != each)
        for each in pictures:
            self._numbers(each.key)

    def _colour(self, event: GenericEventArguments) -> None:
        self._ink = DARK if event.args else LIGHT
        self._draw(self._now)

    def _draw(self, keys: Iterable[str]) -> None:
        for key in keys:
            plot, (chart, _, caption) = self._now[key].plot, self._drawn[key]
            caption.text = self._now[key].title
            chart.props["aria-label"] = self._now[key].alt
            chart.options.clear()
            chart.options.update(options(plot, self._ink))
            chart.style(f"height: {height_of(plot)}px")
            chart.update()

    def _figure(self, picture: PictureView) -> tuple[ui.echart, Tag, Tag]:
        with Tag("figure", classes="picture"):
            caption = Tag("figcaption", picture.title, **DATA)
            renderer = "canvas" if isinstance(picture.plot, Heat) else "svg"  # a map has thousands of fields
            chart = ui.echart(options(picture.plot, self._ink), renderer=renderer).classes("chart")
            chart.props.update({"role": "img", "aria-label": picture.alt, **DATA})
            with Tag("details", classes="numbers-of") as unfolds:
                Tag("summary", t("The same in numbers"))
                numbers = Tag("div", classes="wide", tabindex="0")
            unfolds.on(
                "toggle", functools.partial(self._unfold, picture.key), js_handler="(event) => emit(event.target.open)"
            )
        return chart, numbers, caption

    def _unfold(self, key: str, event: GenericEventArguments) -> None:
        (self._open.add if event.args else self._open.discard)(key)
        self._numbers(key)

    def _numbers(self, key: str) -> None:
        """A table has thousands of cells: it is there while somebody looks at it."""
        picture, numbers = self._now[key], self._drawn[key][1]
        numbers.clear()
        if key not in self._open:
            return
        with numbers:
            with Tag("p"):
                Tag("a", t("Download (CSV)"), href=self._address(f"{key}.csv"), download=f"{key}.csv")
                Tag("span", ", ")
                book = "workbook.xlsx"
                Tag("a", t("All tables in one workbook (XLSX)"), href=self._address(book), download=book)
            _table(picture.plot.table())


def _table(table: Table) -> None:
    with Tag("table", classes="list"):
        with Tag("thead"), Tag("tr"):
            for head in table.heads:
                Tag("th", head, scope="col", **DATA)
        with Tag("tbody"):
            for row in table.rows[:MOST_ROWS]:
                with Tag("tr"):
                    for cell in row:
                        Tag("td", cell if isinstance(cell, str) else "" if cell is None else f"{cell:.5g}", **DATA)
