"""The bill of materials of a build in words: the lines whose sum is the figure of the parts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from voltwright.assess.cost import Line, bill, price_of_line
from voltwright.quantity.figure import few, to_the_cent, unit_name
from voltwright.quantity.work import Node
from voltwright.rules.dossier import Dossier

NO_PRICE = "no price"


@dataclass(frozen=True)
class BillLine:
    """What is bought, how many, at which price each, what that comes to, both to the cent, and how the price is known."""

    title: str
    many: str
    each: str
    comes_to: str
    known: str


def bill_of(made: Dossier) -> Iterator[BillLine]:
    """Every line, in the order of the working of `cost.parts`."""
    for line in bill(made.case):
        many = f"{few(line.many.shown)} {unit_name(line.many.unit)}".strip()
        if line.price is None:
            yield BillLine(line.title, many, NO_PRICE, "", "")
            continue
        amount = price_of_line(made.case, line)
        each, comes_to = (to_the_cent(node.shown, node.unit) for node in (line.price, amount))
        yield BillLine(line.title, many, each, comes_to, _known(line))


def sum_of_bill(made: Dossier) -> str:
    """What all lines come to; nothing where a price is missing."""
    parts = made.figures["cost.parts"]
    return "" if parts.value is None else to_the_cent(parts.value, parts.unit)


def _known(line: Line) -> str:
    """Of a price that was exchanged, how it is known in its own money."""
    assert line.price is not None
    node: Node = line.price if line.price.is_leaf else line.price.inputs["price"]
    if node.origin is None:
        return ""
    if node.origin.where.startswith("costing."):
        return "the build file"
    return ", ".join(filter(None, (node.origin.how, node.origin.grade if node.origin.grade != node.origin.how else "")))
