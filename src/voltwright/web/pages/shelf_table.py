"""How the shelf looks: the list of parts with what speaks against each, and datasheets beside each other."""

from __future__ import annotations

import functools
from collections.abc import Awaitable, Callable, Mapping
from dataclasses import dataclass
from typing import get_args

from voltwright.services.views import BesideView, FindingView, FitView, ShelfRow, ShelfView, Suits
from voltwright.web.pages.frame import DATA, Tag
from voltwright.web.words import t

CHECKED = "(event) => emit(event.target.checked)"
MOST_BESIDE = 4
Key = tuple[bool, float | str]


@dataclass(frozen=True)
class Order:
    """By which column, and whether the greatest stands first."""

    column: str = ""
    falling: bool = False


@dataclass(frozen=True)
class Acts:
    """What can be done in the list: order it, choose for the comparison, try in the build."""

    order: Callable[[str], Callable[[], Awaitable[None]]]
    pick: Callable[[str, bool], Awaitable[None]]
    attempt: Callable[[ShelfRow], Callable[[], Awaitable[None]]] | None
    sheet: Callable[[str], str]


def ordered(rows: tuple[ShelfRow, ...], view: ShelfView, fits: Mapping[str, FitView], order: Order) -> list[ShelfRow]:
    """The rows by one column; what a part does not state stands last either way."""

    def key(row: ShelfRow) -> float | str | None:
        if order.column == "part":
            return row.part.title.casefold()
        if order.column == "grade":
            return row.grade
        if order.column == "fits":
            fit = fits.get(row.part.id)
            return None if fit is None else float(get_args(Suits).index(fit.suits))
        names = [name for name, _ in view.columns]
        return row.cells[names.index(order.column)].key if order.column in names else None

    known = [row for row in rows if key(row) is not None]
    last = [row for row in rows if key(row) is None]
    return sorted(known, key=lambda row: _comparable(key(row)), reverse=order.falling) + last


def _comparable(key: float | str | None) -> Key:
    return isinstance(key, str), key if key is not None else ""


def table(
    view: ShelfView, rows: list[ShelfRow], fits: Mapping[str, FitView], order: Order, picked: set[str], acts: Acts
) -> None:
    """Every part with its main values; what speaks against it stands below its verdict."""
    heads = (("part", t("Part")), *view.columns, ("grade", t("How it is known")), ("fits", t("In this build")))
    with Tag("div", classes="wide", tabindex="0"), Tag("table", classes="list parts"):
        with Tag("thead"), Tag("tr"):
            Tag("th", t("Compare"), scope="col")
            for name, words in heads:
                _head(name, words, order, acts)
        with Tag("tbody"):
            for row in rows:
                _row(row, fits.get(row.part.id), picked, acts)


def _head(name: str, words: str, order: Order, acts: Acts) -> None:
    here = order.column == name
    turn = ("descending" if order.falling else "ascending") if here else "none"
    with Tag("th", scope="col", aria_sort=turn):
        mark = (" ▼" if order.falling else " ▲") if here else ""
        made = Tag("button", f"{words}{mark}", "sort", type_="button", aria_label=t("Sort by {what}", what=words))
        made.on("click", acts.order(name))


def _row(row: ShelfRow, fit: FitView | None, picked: set[str], acts: Acts) -> None:
    part = row.part
    with Tag("tr", data_part=part.id):
        with Tag("td"):
            here = {"checked": ""} if part.id in picked else {}
            box = Tag("input", type_="checkbox", aria_label=t("Compare {what}", what=part.title), **here)
            box.on("change", lambda event: acts.pick(part.id, bool(event.args)), js_handler=CHECKED)
        with Tag("th", scope="row"):
            Tag("a", part.title, href=acts.sheet(part.id), **DATA)
            Tag("span", f"{part.id}{', ' + t('own') if part.own else ''}", "of", **DATA)
        for cell in row.cells:
            Tag("td", cell.printed or "–", "number", **({} if cell.printed else {"aria_label": t("not stated")}))
        Tag("td", grade_words(row.grade), "grade")
        with Tag("td"):
            _verdict(fit)
            if acts.attempt and not (fit and (fit.now or fit.broken)):
                name = t("Try {what} in the build", what=part.title)
                Tag("button", t("Try it"), "quiet", type_="button", aria_label=name).on("click", acts.attempt(row))


def _verdict(fit: FitView | None) -> None:
    if fit is None:
        return
    words = {
        "fits": t("✓ fits"),
        "misses": t("fits, misses the brief:"),
        "burdens": t("fits, asks too much of the car:"),
        "not": t("✗ does not fit"),
    }[fit.suits]
    if fit.now:
        Tag("span", t("is in the build"), "verdict-of-fit")
    if not fit.now or fit.suits != "fits":
        Tag("span", words, "verdict-of-fit")
    if fit.broken:
        Tag("p", fit.broken, **DATA)
    if fit.reasons:
        first, *others = fit.reasons
        with Tag("details", classes="why"):
            Tag("summary", f"{first.title}{f' (+{len(others)})' if others else ''}", **DATA)
            for each in fit.reasons:
                _reason(each)


def _reason(found: FindingView) -> None:
    words = {"stop": t("stop"), "caution": t("caution"), "note": t("note")}[found.severity]
    with Tag("p"):
        Tag("strong", words)
        Tag("span", f" {found.title}. {found.detail}", **DATA)


def grade_words(grade: str) -> str:
    """How far figures can be trusted, in words."""
    return {
        "measured": t("measured"),
        "datasheet": t("datasheet"),
        "estimated": t("estimated"),
        "invented": t("invented"),
    }[grade]


def side_by_side(found: BesideView, sheet: Callable[[str], str], drop: Callable[[str], Awaitable[None]]) -> None:
    """Datasheets in columns: a row that differs says so in words, and so does a value that a datasheet lacks."""
    differing = sum(each.differs for each in found.lines)
    Tag("p", t("{differ} of {of} values differ.", differ=differing, of=len(found.lines)))
    with Tag("div", classes="wide", tabindex="0"), Tag("table", classes="list beside-parts"):
        with Tag("thead"), Tag("tr"):
            Tag("th", t("Datasheet"), scope="col")
            for part in found.parts:
                with Tag("th", scope="col"):
                    Tag("a", part.title, href=sheet(part.id), **DATA)
                    Tag("button", t("Leave out"), "quiet", type_="button",
                        aria_label=t("Leave out {what}", what=part.title)).on("click", functools.partial(drop, part.id))  # fmt: skip
            Tag("th", t("Difference"), scope="col")
        with Tag("tbody"):
            for line in found.lines:
                with Tag("tr", classes="differs" if line.differs else ""):
                    Tag("th", line.label, scope="row", **DATA)
                    for cell in line.cells:
                        Tag(
                            "td",
                            cell or t("– not in the datasheet"),
                            "number" if cell else "of",
                            **(DATA if cell else {}),
                        )
                    Tag("td", t("≠ differs") if line.differs else t("= the same"), "of")
