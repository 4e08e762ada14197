"""The parts of a build for its papers: how many, how well known, at what price; and every source that was used."""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.assess.cost import price_of, quantities
from voltwright.papers.nodes import Column, Prose, Table
from voltwright.parts.base import Part
from voltwright.quantity.figure import amount, fixed
from voltwright.quantity.source import Source, reference
from voltwright.rules.dossier import Dossier

_COLUMNS = (
    Column("Part", 3.4), Column("Number", 0, right=True), Column("Grade of its data", 1.7), Column("Source of its data", 2.2),
    Column("Price of one", 0, right=True),
)  # fmt: skip


def parts_table(dossier: Dossier) -> Table:
    """Every part with the grade and source of its datasheet and the price of one."""
    cable = dossier.build.pack.protection.main_cable
    counts: dict[str, object] = {**quantities(dossier.case)}
    if cable is not None:
        counts[cable.part] = fixed(cable.length.value, 1).removesuffix(".0")
    rows = [_part_row(dossier, part_id, counts.get(part_id)) for part_id in dossier.case.part_ids]
    rows += [
        (
            each.name,
            str(each.count),
            "bought",
            "the build file",
            amount(float(each.price.exact), each.price.unit, 2, "metric") if each.price else "no price",
        )
        for each in dossier.build.costing.purchases
    ]
    return Table(_COLUMNS, tuple(rows))


def _part_row(dossier: Dossier, part_id: str, count: object) -> tuple[str, ...]:
    part = dossier.case.shelf.any(part_id)
    if count is None and part.kind == "cell":
        return f"{part.title} ({part.id})", "in the module", _grade(part), _source(part), "in the module"
    price = price_of(dossier.case, part_id)
    number = f"{count or 0} m" if part.kind == "cable" else str(count or 0)
    shown = amount(float(price.value), price.unit, 2, "metric") if price else "no price"
    return f"{part.title} ({part.id})", number, _grade(part), _source(part), shown


def _grade(part: Part) -> str:
    """The grade of the datasheet, and of the fields that differ from it."""
    others = [f"{name} {reason.grade}" for name, reason in part.fields.items() if reason.grade != part.grade]
    return f"{part.grade}; {', '.join(others)}" if others else part.grade


def _source(part: Part) -> str:
    return short_source(Source(part.source).short)


def short_source(text: str) -> str:
    """A source in few words: what no publication says is called common practice."""
    return "common practice" if text == Source("typical-practice").short else text


def sources_table(dossier: Dossier) -> tuple[Table, Prose]:
    """Every source that a law, a value or a datasheet of this build names, with the places in it, and how far it was read."""
    places: dict[str, list[str]] = {}
    for source in _sources(dossier):
        here = places.setdefault(source.key, [])
        if source.place and source.place not in here:
            here.append(source.place)
    rows = tuple(
        (str(reference(key)), "; ".join(sorted(places[key])))
        for key in sorted(places, key=lambda key: str(reference(key)).lower())
    )
    said = "In brackets: how far the text itself was read. “From memory” and “no source” are to be checked before anything rests on them."
    return Table((Column("Source", 3), Column("Places used", 2)), rows), Prose(said, small=True)


def _sources(dossier: Dossier) -> Iterator[Source]:
    for figure in dossier.figures.values():
        for node in figure.node.walk() if figure.node else ():
            if node.law and node.law.source:
                yield node.law.source
            if node.origin and node.origin.source:
                yield node.origin.source
    yield from (entry.origin.source for _, entry in dossier.build.entries() if entry.origin.source)
    yield from (Source(dossier.case.shelf.any(part_id).source) for part_id in dossier.case.part_ids)
