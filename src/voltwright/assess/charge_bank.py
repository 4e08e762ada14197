"""The pack as charging sees it, the charges between which it is charged, and what it then holds."""

from __future__ import annotations

from dataclasses import dataclass

from voltwright.assess.case import Case, celsius, origin_of
from voltwright.assess.pack import Arrangement, arrangement, links_of, resistance_at, rest_voltage_at
from voltwright.assess.sheet import CONDITION, Sheet, constant
from voltwright.assess.supply import Limits
from voltwright.physics import cell as cell_law
from voltwright.physics import charging as law
from voltwright.quantity.provenance import Origin
from voltwright.quantity.source import Source
from voltwright.quantity.work import Node, leaf, work

END_HOURS = 20 * 3600.0  # s; charging ends at the capacity over 20 hours


@dataclass(frozen=True)
class Bank:
    """The pack as charging sees it, and the charges between which it is charged."""

    made: Arrangement
    source: Node
    capacity: Node
    ends: Node
    empty: Node
    full: Node

    def rest(self, case: Case, charge: Node) -> Node:
        return rest_voltage_at(case, self.made, charge)

    def resistance(self, case: Case, charge: Node) -> Node:
        table, temperature = self.source.inputs["resistances"], self.source.inputs["temperature"]
        return resistance_at(case, self.made, charge, temperature, table, "")


def bank_of(case: Case, sheet: Sheet) -> Bank:
    made, window = arrangement(case), case.build.pack.window
    capacity = sheet.nodes["pack.capacity"]
    hours = leaf(
        END_HOURS,
        "h",
        "Hours of the current that ends a charge",
        Origin("by definition", reason="a twentieth of the capacity", source=Source("typical-practice")),
    )
    source = {
        "cells_series": made.cells_series,
        "cells_parallel": made.cells_parallel,
        "growth": made.growth,
        "links": links_of(made),
        "temperature": _temperature(case),
        "table": case.open_circuit,
        "resistances": _resistances(case),
    }
    return Bank(
        made,
        work(law.pack_source, "The pack while it is charged", **source),
        capacity,
        work(law.end_current, "Current that ends a charge", capacity=capacity, hours=hours),
        case.leaf(window.empty, "Lowest charge that is used", "%"),
        case.leaf(window.full, "Highest charge that is used", "%"),
    )


def _temperature(case: Case) -> Node:
    heated = case.build.charging.target_temperature
    if heated is not None:
        return case.leaf(heated, "Cells are brought to this temperature for charging", "°C")
    return constant(celsius(25), "°C", "Cell temperature", CONDITION, "T")


def _resistances(case: Case) -> Node:
    """Charging lasts: resistance over minutes where the cell's datasheet has it, else that over 10 s."""
    table = case.cell.resistance_minutes
    if table is None:
        return case.resistance_10s
    grid = table.grid("resistance of a cell over charge and temperature, minutes")
    return leaf(grid, "mΩ", str(grid), origin_of(case.cell, "resistance_minutes"))


def inputs_of(bank: Bank, limits: Limits) -> dict[str, Node]:
    return {"limits": limits.record, "pack": bank.source}


def reached(bank: Bank, limits: Limits, target: Node) -> Node:
    inputs = inputs_of(bank, limits)
    return work(law.charge_reached, "Charge at which charging ends", target=target, end_current=bank.ends, **inputs)


def stored(case: Case, bank: Bank, empty: Node, full: Node) -> Node:
    """Energy that the chemistry holds between two charges."""
    between = {"empty": empty, "full": full}
    mean = work(
        cell_law.mean_open_circuit_voltage, "Mean voltage of a cell between them", table=case.open_circuit, **between
    )
    return work(
        cell_law.usable_energy,
        "Energy between the two charges",
        cells_series=bank.made.cells_series,
        mean_voltage=mean,
        capacity=bank.capacity,
        **between,
    )
