"""The resistance of a cell in the first milliseconds: by its table, or else as a usual share of that of ten seconds."""

from __future__ import annotations

from voltwright.assess.case import Case, origin_of
from voltwright.quantity.provenance import Origin
from voltwright.quantity.table import Grid
from voltwright.quantity.work import Node, leaf

AT_ONCE_SHARE = 0.6  # of the 10 s resistance, where the cell's table of milliseconds is missing


def at_once(case: Case) -> Node:
    """The table of resistance over charge and temperature, milliseconds."""
    known = case.cell.resistance_ms
    if known is not None:
        table = known.grid("resistance of a cell over charge and temperature, milliseconds")
        return leaf(table, "mΩ", str(table), origin_of(case.cell, "resistance_ms"))
    grid: Grid = case.resistance_10s.value
    rows = tuple(tuple(AT_ONCE_SHARE * each for each in row) for row in grid.z)
    usual = "a usual share of the 10 s resistance: the cell has no table of milliseconds"
    made = Grid(grid.x, grid.y, rows, "resistance of a cell, milliseconds")
    return leaf(made, "mΩ", str(made), Origin("assumed", reason=usual))
