"""What does it cost? Each line is rounded to 0.01; a missing price is said, never counted as nothing."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from voltwright.assess.case import Case
from voltwright.assess.sheet import Sheet
from voltwright.build.costing import Task
from voltwright.physics import money as law
from voltwright.quantity.entry import Entry
from voltwright.quantity.provenance import Origin
from voltwright.quantity.work import Node, leaf, total, work

SUMS = ("cost.parts", "cost.labour", "cost.total", "cost.price", "cost.price_with_tax")


def assess_cost(case: Case, sheet: Sheet) -> None:
    """Enter every figure of the question `cost`."""
    missing = missing_prices(case)
    if missing:
        for key in ("cost.parts", *SUMS[2:]):
            sheet.lack(key, f"no price in {case.build.currency} for {'; '.join(missing)}")
    why = _no_labour(case)
    if why:
        for key in SUMS[1:]:
            sheet.lack(key, sheet.reasons.get(key, why))
    labour = None if why else sheet.add("cost.labour", _labour(case))
    if missing:
        return
    parts = sheet.add("cost.parts", _parts(case))
    if labour is None:
        return
    sheet.add("cost.total", total("Parts and labour", [parts, labour]))
    costing = case.build.costing
    dearer = total(
        "Price without tax",
        [
            _with(case, costing.margin_parts, parts, "Parts with margin", "Margin on parts"),
            _with(case, costing.margin_labour, labour, "Labour with margin", "Margin on labour"),
        ],
    )
    price = sheet.add("cost.price", dearer)
    sheet.add("cost.price_with_tax", _with(case, costing.tax, price, "Price with tax", "Tax"))


def _no_labour(case: Case) -> str:
    """Why labour cannot be priced, or nothing."""
    costing = case.build.costing
    if costing.labour_rate is None and not (costing.tasks and all(task.rate for task in costing.tasks)):
        return "no hourly rate is named (costing.labour_rate)"
    return "" if costing.tasks else "no task is named (costing.tasks)"


def _with(case: Case, share: Entry, amount: Node, label: str, name: str) -> Node:
    more = work(law.with_share, label, case.build.currency, amount=amount, share=case.leaf(share, name, "%"))
    return work(law.to_the_cent, label, case.build.currency, amount=more)


def quantities(case: Case) -> dict[str, Decimal]:
    """How many of each part are bought; the main cable is bought by the metre and not among them."""
    build, guard = case.build, case.build.pack.protection
    counts: dict[str, Decimal] = {build.pack.module: Decimal(build.pack.module_count)}

    def add(part_id: str | None, count: Decimal | int) -> None:
        if part_id and count:
            counts[part_id] = counts.get(part_id, Decimal(0)) + Decimal(count)

    for _, placed in build.placed():
        add(placed.part, placed.count)
    add(build.pack.bms.part, 1)
    add(guard.fuse, guard.fuses)
    add(guard.contactor, guard.contactors)
    add(guard.precharge_contactor, 1)
    add(guard.msd, guard.msds)
    add(guard.isolation_monitor, 1)
    add(build.charging.inlet, 1)
    return counts


def priced_parts(case: Case) -> tuple[str, ...]:
    """Every part that is bought, the cable by the metre included."""
    cable = case.build.pack.protection.main_cable
    return tuple(dict.fromkeys([*quantities(case), *([cable.part] if cable else [])]))


def price_of(case: Case, part_id: str) -> Node | None:
    """The price of one part in the currency of the build: the build's own, or the shelf's, exchanged where it must be."""
    title = case.shelf.any(part_id).title
    known = case.build.costing.prices.get(part_id) or case.shelf.any(part_id).price
    if known is None:
        return None
    return _in_currency(case, known, title)


def _in_currency(case: Case, price: Entry, title: str) -> Node | None:
    currency = price.unit.spelling
    node = case.leaf(price, f"Price of one {title}")
    if currency == case.build.currency:
        return node
    rate = case.build.costing.exchange.get(currency)
    if rate is None:
        return None
    bought = case.leaf(rate, f"{case.build.currency} for one {currency}")
    return work(law.exchanged, f"Price of one {title}", case.build.currency, price=node, rate=bought)


def missing_prices(case: Case) -> tuple[str, ...]:
    """What has no price in the currency of the build."""
    parts = [part_id for part_id in priced_parts(case) if price_of(case, part_id) is None]
    bought = [
        each.name for each in case.build.costing.purchases if _price_in_currency(case, each.price, each.name) is None
    ]
    boards = _boards(case)
    if boards is not None and _price_in_currency(case, *boards) is None:
        bought.append(boards[1])
    return (*sorted(parts), *bought)


def _price_in_currency(case: Case, price: Entry | None, title: str) -> Node | None:
    return _in_currency(case, price, title) if price is not None else None


def _boards(case: Case) -> tuple[Entry, str] | None:
    """Price and title of a BMS board, where the datasheet prices boards by themselves."""
    bms = case.bms
    return (bms.board_price, f"Monitor board: {bms.title}") if bms is not None and bms.board_price is not None else None


@dataclass(frozen=True)
class Line:
    """One line of the bill: what, how many of it or how much, and the price of one in the currency of the build, where it has one."""

    title: str
    many: Node
    price: Node | None


def bill(case: Case) -> list[Line]:
    """All that is bought. `cost.parts` is the sum of it."""
    lines = [
        _counted(case.shelf.any(part_id).title, count, price_of(case, part_id))
        for part_id, count in quantities(case).items()
    ]
    cable = case.build.pack.protection.main_cable
    if cable is not None:
        title = case.shelf.any(cable.part).title
        lines.append(Line(title, case.leaf(cable.length, f"Length of {title}", "m"), price_of(case, cable.part)))
    boards, count = _boards(case), case.build.pack.bms.boards
    if boards is not None and count:
        lines.append(_counted(boards[1], Decimal(count), _price_in_currency(case, *boards)))
    for each in case.build.costing.purchases:
        lines.append(_counted(each.name, Decimal(each.count), _price_in_currency(case, each.price, each.name)))
    return lines


def price_of_line(case: Case, line: Line) -> Node:
    """What a line comes to, to the cent."""
    assert line.price is not None
    amount = work(law.line_price, line.title, case.build.currency, count=line.many, price=line.price)
    return work(law.to_the_cent, line.title, case.build.currency, amount=amount)


def _parts(case: Case) -> Node:
    return total("Parts", [price_of_line(case, each) for each in bill(case)])


def _counted(title: str, count: Decimal, price: Node | None) -> Line:
    counted = Origin("by definition", reason="counted in the build")
    return Line(title, leaf(count, "1", f"Number of {title}", counted, symbol="n"), price)


def _labour(case: Case) -> Node:
    return total("Labour", [_task(case, task) for task in case.build.costing.tasks])


def _task(case: Case, task: Task) -> Node:
    rate = task.rate or case.build.costing.labour_rate
    assert rate is not None
    hourly = case.leaf(rate, "Hourly rate")
    worked = work(
        law.labour_price,
        task.name,
        case.build.currency,
        hours=case.leaf(task.hours, f"Hours: {task.name}", "h"),
        rate=hourly,
    )
    return work(law.to_the_cent, task.name, case.build.currency, amount=worked)
