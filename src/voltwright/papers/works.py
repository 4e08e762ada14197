"""What is done to the car, whether it keeps its identity, and what the law of the country asks."""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.assess.works import components_judged
from voltwright.build.works import Work
from voltwright.papers.nodes import Column, Heading, Node, Prose, Table
from voltwright.parts.alterations import LASTING, in_words
from voltwright.parts.countries import Law, Pack, pack_of
from voltwright.rules.clause import HOW_SEEN
from voltwright.rules.dossier import Dossier

_WORKS = (
    Column("Work", 2.2), Column("Where", 1.1), Column("What", 1.2), Column("Bears load", 0), Column("Needed by", 1.2),
    Column("Put back by", 1.8),
)  # fmt: skip
_POINTS = (
    Column("Component", 1.6),
    Column("When original", 0, right=True),
    Column("Here", 0, right=True),
    Column("Why", 2.6),
)
_LAWS = (
    Column("What is asked", 2.0),
    Column("Where it stands", 2.2),
    Column("How far seen", 2.2),
    Column("Seen on", 0),
)


def works_section(dossier: Dossier) -> Iterator[Node]:
    """The section of the design paper."""
    yield Heading(1, "What is done to the car")
    works = dossier.build.works
    if works:
        yield Prose("What is drilled, cut or welded stays in the metal; what is bolted comes off again.", small=True)
        yield Table(_WORKS, tuple(map(_work, works)))
    else:
        yield Prose("Nobody has listed it (works in the build file).")
    if dossier.build.brief.keep:
        yield Prose(f"The customer wants kept: {'; '.join(dossier.build.brief.keep)}.")
    if dossier.build.brief.reversible:
        yield Prose("The customer wants the car to be one that can be put back as it was.")
    pack = pack_of(dossier.build.country)
    if pack is None:
        yield Prose(
            "Nothing is known here of the law of the country. Ask the registration authority before anybody cuts."
        )
        return
    yield from _identity(dossier, pack)
    yield Heading(2, f"The law of {pack.name}")
    day = (
        f"How old that is was judged on {dossier.judged_on}."
        if dossier.judged_on
        else "No day is named: its age was not judged."
    )
    yield Prose(
        f"No advice on law: {pack.authority} decides; ask before anybody cuts. What applies to this car stands among the findings. {day}",
        small=True,
    )
    yield Table(_LAWS, tuple(map(_law, pack.laws)))


def _work(each: Work) -> tuple[str, ...]:
    size = f", {each.size.text}" if each.size else ""
    bears = ("yes" if each.load_bearing else "no") if each.kind in LASTING else ""
    return (
        each.name,
        in_words(each.where),
        f"{each.count} × {each.kind}{size}",
        bears,
        each.needed_by or "",
        each.undone_by or "nobody says",
    )


def _identity(dossier: Dossier, pack: Pack) -> Iterator[Node]:
    """Component by component, where the country counts points."""
    rule = pack.points
    if rule is None:
        return
    yield Heading(2, "Identity")
    yield Prose(f"{rule.says} {rule.law}: {HOW_SEEN[rule.seen]}; {rule.edition}.", small=True)
    judged = components_judged(dossier.build)
    rows = [
        (each.component.name, str(each.component.points), str(each.points), each.lost_by or "counts as original")
        for each in judged
    ]
    whole = sum(each.component.points for each in judged)
    figure = dossier.figures["works.identity_points"]
    here = figure.printed() if figure.value is not None else "not known"
    first = [f"{each.points} of them for the {each.name}" for each in rule.components if each.must_stay]
    needed = ", ".join((f"{rule.needed} are needed", *first))
    rows.append(("In all", str(whole), here, needed if figure.value is not None else figure.reason))
    yield Table(_POINTS, tuple(rows))


def _law(each: Law) -> tuple[str, ...]:
    region = f" ({each.region})" if each.region else ""
    day = each.seen_on.isoformat() if each.seen_on else "never"
    return each.title, f"{each.law}{region}", f"{HOW_SEEN[each.seen]}; {each.edition}", day
