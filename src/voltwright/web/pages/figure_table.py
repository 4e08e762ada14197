"""Figures on a page: a row for each, or a row for each trip; every one of them opens its working."""

from __future__ import annotations

import functools
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from voltwright.quantity.figure import NO_FIGURE
from voltwright.services.views import BillLine, FigureView, Group, MovedView, TripFigures, WorkingView
from voltwright.web.pages.frame import DATA, Tag, inside
from voltwright.web.pages.part import Part
from voltwright.web.words import t

if TYPE_CHECKING:
    from voltwright.web.pages.build_page import Desk

Moves = Mapping[str, MovedView]


class FigureTable:
    """Figures with what the last edit did to them; each opens its working. Rows that are there already are only renewed."""

    def __init__(self, desk: Desk, group: Group) -> None:
        self._desk = desk
        with Tag("table", classes="figures answers"):
            Tag("caption", group.title, **DATA)
            with Tag("thead"), Tag("tr"):
                for head in (t("Figure"), t("Value"), t("Between"), t("Before")):
                    Tag("th", head, scope="col")
            self._body = Tag("tbody")
        self._trips_place = Tag("div", classes="trips")
        self._bill = Part(_bill)
        self._rows: dict[str, _Row] = {}
        self._trips: dict[str, _TripRow] = {}

    def show(self, group: Group, moved: Moves, *, waits: bool) -> None:
        """The figures as they now are. `waits`: the bands are not there yet."""
        plain = group.plain
        if [each.key for each in plain] != list(self._rows):
            self._body.clear()
            with self._body:
                self._rows = {each.key: _Row(self._desk, each) for each in plain}
        for each in plain:
            self._rows[each.key].show(each, moved.get(each.key), waits)
        if [each.name for each in group.trips] != list(self._trips):
            self._trips_place.clear()
            with self._trips_place:
                self._trips = dict(_trips(self._desk, group))
        for trip in group.trips:
            self._trips[trip.name].show(trip, moved, waits)
        self._bill.show(group.bill_sum, *group.bill)

    async def renew_workings(self) -> None:
        """Of those that are open."""
        for each in (*self._rows.values(), *self._trips.values()):
            await each.working.renew()


def _bill(comes_to: str, *lines: BillLine) -> None:
    """Every line of the parts, whose sum is the figure above."""
    if not lines:
        return
    heads = (t("Number"), t("Price of one"), t("Sum"), t("Price known from"))
    with Tag("table", classes="list cards bill"):
        Tag("caption", t("Bill of materials"))
        with Tag("thead"), Tag("tr"):
            for head in (t("Part"), *heads):
                Tag("th", head, scope="col")
        with Tag("tbody"):
            for each in lines:
                with Tag("tr"):
                    Tag("th", each.title, scope="row", **DATA)
                    for head, text in zip(heads, (each.many, each.each, each.comes_to, each.known), strict=True):
                        Tag("td", text, data_head=head, **DATA)
        if comes_to:
            with Tag("tfoot"), Tag("tr"):
                Tag("th", t("All parts, at cost"), scope="row")
                for text in ("", "", comes_to, ""):
                    Tag("td", text, **DATA)


def _trips(desk: Desk, group: Group) -> list[tuple[str, _TripRow]]:
    """The customer's trips first; all others are folded below them."""
    asked, others = ([each for each in group.trips if each.asked is wanted] for wanted in (True, False))
    made = list[tuple[str, _TripRow]]()
    if asked:
        Tag("h2", t("Trips of the customer"))
        made += _trips_table(desk, group.trip_heads, asked)
    if others:
        with Tag("details", classes="item"):
            Tag("summary", t("Other trips ({count})", count=len(others)))
            made += _trips_table(desk, group.trip_heads, others)
    return made


def _trips_table(desk: Desk, heads: Sequence[str], trips: Sequence[TripFigures]) -> list[tuple[str, _TripRow]]:
    with Tag("table", classes="list cards"):
        with Tag("thead"), Tag("tr"):
            Tag("th", t("Trip"), scope="col")
            for head in heads:
                Tag("th", head, scope="col", **DATA)
        with Tag("tbody"):
            return [(each.name, _TripRow(desk, each, heads)) for each in trips]


class _Working:
    """The place below a row where the working of one figure is unfolded."""

    def __init__(self, desk: Desk, columns: int) -> None:
        self._desk, self._worked, self._open = desk, 0, ""
        self._button: Tag | None = None
        with Tag("tr", classes="working-row"):
            self._place = Tag("td", classes="working", colspan=str(columns))

    async def unfold(self, key: str, button: Tag) -> None:
        """Open the working of a figure in place of another one, or close it."""
        if self._button:
            self._say(self._button, is_open=False)
        self._open, self._worked = "" if self._open == key else key, 0
        self._button = button
        self._say(button, is_open=bool(self._open))
        self._place.clear()
        await self.renew()

    @staticmethod
    def _say(button: Tag, *, is_open: bool) -> None:
        button.props["aria-expanded"] = "true" if is_open else "false"
        button.update()

    async def renew(self) -> None:
        """As it is after the last edit, where it is open."""
        desk = self._desk
        assert desk.seen is not None
        number, key = desk.seen.draft.number, self._open
        if not key or number == self._worked:
            return
        which = desk.which
        found = await inside(lambda: desk.shop.figures.explain(desk.visit.actor(), which, key, system=desk.units))
        if self._open != key or desk.seen.draft.number != number:
            return
        self._worked = number
        self._place.clear()
        with self._place:
            _working(found)


class _Row:
    """One figure, and below it the place of its working."""

    def __init__(self, desk: Desk, figure: FigureView) -> None:
        self._whole = Tag("tr", data_key=figure.key)
        with self._whole:
            with Tag("th", scope="row"):
                self._name = Tag("button", figure.label, "figure-name", aria_expanded="false", type_="button", **DATA)
            self._value = Tag("td", classes="value", **DATA)
            with Tag("td", classes="band") as self._between:
                self._band = Tag("span", **DATA)
                self._waits = Tag("span", classes="pending")
            with Tag("td", classes="was") as self._before:
                self._by, self._verdict = Tag("span"), Tag("span", classes="verdict")
        self.working = _Working(desk, 4)
        self._name.on("click", desk.doing(functools.partial(self.working.unfold, figure.key, self._name)))

    def show(self, figure: FigureView, was: MovedView | None, waits: bool) -> None:
        self._name.text, self._value.text = figure.label, figure.printed
        self._band.text = figure.band or figure.reason
        self._waits.text = t("pending") if waits and not self._band.text else ""
        self._whole.classes(replace="moved" if was else "")
        _show_move(self._by, self._verdict, was)
        self._give_room(bool(figure.reason) and was is None)

    def _give_room(self, is_reason: bool) -> None:
        """Why there is no figure takes the place of what was before as well."""
        if is_reason == ("hidden" in self._before.props):
            return
        if is_reason:
            self._between.props["colspan"], self._before.props["hidden"] = "2", ""
        else:
            del self._between.props["colspan"], self._before.props["hidden"]
        self._between.update()
        self._before.update()


class _TripRow:
    """The figures of a trip side by side; why there is none stands once."""

    def __init__(self, desk: Desk, trip: TripFigures, heads: Sequence[str]) -> None:
        with Tag("tr"):
            with Tag("th", scope="row"):
                Tag("span", trip.title, **DATA)
                self._reason = Tag("span", classes="of", **DATA)
            cells = [(each.key, _Cell(each, head)) for each, head in zip(trip.figures, heads, strict=True)]
        self._cells = dict(cells)
        self.working = _Working(desk, 1 + len(heads))
        for key, cell in self._cells.items():
            cell.button.on("click", desk.doing(functools.partial(self.working.unfold, key, cell.button)))

    def show(self, trip: TripFigures, moved: Moves, waits: bool) -> None:
        self._reason.text = " ".join(dict.fromkeys(each.reason for each in trip.figures if each.value is None))
        for each in trip.figures:
            self._cells[each.key].show(each, moved.get(each.key), waits)


class _Cell:
    """A figure below the head of its column: value, band, and what the last edit did to it."""

    def __init__(self, figure: FigureView, head: str) -> None:
        self._place = Tag("td", data_head=head, data_key=figure.key)
        with self._place:
            self.button = Tag("button", "", "figure-name", aria_expanded="false", type_="button", **DATA)
            self._band = Tag("span", classes="of", **DATA)
            self._waits = Tag("span", classes="pending")
            self._by, self._verdict = Tag("span"), Tag("span", classes="verdict")

    def show(self, figure: FigureView, was: MovedView | None, waits: bool) -> None:
        self.button.text, self._band.text = figure.printed, figure.band
        name = f"{figure.label}: {figure.printed}"
        if self.button.props.get("aria-label") != name:
            self.button.props["aria-label"] = name
            self.button.update()
        self._waits.text = t("pending") if waits and not figure.band and figure.value is not None else ""
        self._place.classes(replace="moved" if was else "")
        _show_move(self._by, self._verdict, was)


def by_how_much(moved: MovedView) -> tuple[str, str]:
    """How far a figure moved, or what it was where that is no number; and which way that is."""
    mark = {"better": "▲", "worse": "▼", "": "•"}[moved.verdict]
    words = {"better": t("better"), "worse": t("worse"), "": t("changed")}[moved.verdict]
    was = t("none before") if moved.before == NO_FIGURE else t("before: {before}", before=moved.before)
    return f"{mark} {moved.by or was}", f", {words}"


def _show_move(by: Tag, verdict: Tag, was: MovedView | None) -> None:
    by.classes(replace=f"by {was.verdict}" if was else "")
    by.text, verdict.text = by_how_much(was) if was else ("", "")


def _working(found: WorkingView) -> None:
    if found.tree is None:
        Tag("p", found.figure.reason or found.figure.source, **DATA)
        return
    with Tag("ul", classes="tree"):
        _node(found.tree, 0)
    if found.figure.source:
        Tag("p", found.figure.source, "of", **DATA)


def _node(tree: Mapping[str, Any], depth: int) -> None:
    """One step of a working: what it is, its value, the law, then what went into it."""
    inputs = tree.get("inputs") or []
    said = f"{tree['label']} = {tree['printed']} {tree['unit']}".strip()
    with Tag("li"):
        if not inputs:
            Tag("span", said, **DATA)
            Tag("span", str(tree.get("from") or tree.get("figure") or ""), "of", **DATA)
            return
        with Tag("details", **({"open": ""} if depth < 1 else {})):
            Tag("summary", said, **DATA)
            Tag("p", str(tree.get("equation", "")), "equation", **DATA)
            if tree.get("source"):
                Tag("p", str(tree["source"]), "of", **DATA)
            with Tag("ul"):
                for each in inputs:
                    _node(each, depth + 1)
