"""The list of the shelf is put in order by any column; what a part does not state stands last."""

from __future__ import annotations

import pytest

from voltwright.services.views import Cell, FitView, FormView, PartRow, ShelfRow, ShelfView
from voltwright.web.pages.shelf_table import Order, ordered


def row(name: str, mass: float | None, grade: str = "datasheet") -> ShelfRow:
    return ShelfRow(PartRow(name, "motor", "Motor", name.upper(), "", own=False), grade, (Cell(str(mass or ""), mass),))


ROWS = (row("b", 2.0), row("c", None, "invented"), row("a", 10.0))
VIEW = ShelfView("motor", (("motor", "Motor"),), "", "", (("mass", "Mass"),), ROWS, 3, FormView("", "", ""))
FITS = {"a": FitView("a", "A", "", now=False, suits="not", reasons=(), broken="", changes={}),
        "b": FitView("b", "B", "", now=False, suits="misses", reasons=(), broken="", changes={})}  # fmt: skip


@pytest.mark.parametrize(
    ("order", "names"),
    [
        (Order("mass"), "bac"),
        (Order("mass", falling=True), "abc"),
        (Order("part"), "abc"),
        (Order("part", falling=True), "cba"),
        (Order("fits"), "bac"),
        (Order("grade", falling=True), "cba"),
        (Order(), "bca"),
    ],
)
def test_the_list_is_ordered_by_any_column(order: Order, names: str) -> None:
    found = "".join(each.part.id for each in ordered(ROWS, VIEW, FITS, order))
    assert found == names
