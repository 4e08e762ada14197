"""What is done to the car, and whether it can be undone: holes, cuts and welds, and what the customer wants kept."""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.build.works import Work
from voltwright.parts.alterations import LASTING, in_words
from voltwright.rules.clause import arithmetic, practice
from voltwright.rules.finding import Assessed, Finding
from voltwright.rules.rule import rule
from voltwright.rules.wishes import asks_to_be_put_back, read_wish

HOLDING = frozenset(("bolted", "bonded", "weld"))
FIGURES = {"hole": "works.holes", "cut": "works.cuts", "weld": "works.welds"}


@rule("works")
def lasting_works(seen: Assessed) -> Iterator[Finding]:
    """Which holes, cuts and welds does the chosen way need?"""
    works = [each for each in seen.case.build.works if each.kind in LASTING]
    if not works:
        return
    numbers = {kind: int(seen.si(key) or 0) for kind, key in FIGURES.items()}
    yield Finding(
        key="works.list",
        severity="note",
        title="What stays in the metal of the car",
        detail=_sentence(seen, works),
        value=", ".join(_many(number, kind) for kind, number in numbers.items() if number),
        clause=arithmetic("counted from works in the build file"),
        remedy="Look for a way that needs fewer: holes that are there already, clamps, brackets on old mountings.",
    )


@rule()
def works_listed(seen: Assessed) -> Iterator[Finding]:
    """Does the build say what is done to the car?"""
    brief = seen.case.build.brief
    if seen.case.build.works:
        return
    asked = bool(brief.keep) or brief.reversible
    yield Finding(
        key="works.unlisted",
        severity="caution" if asked else "note",
        title="Nobody has listed what is done to the car",
        detail="Holes, cuts and welds are not known, so nothing is said of what can be undone"
        + (", nor of what the customer wants kept." if asked else "."),
        limit="each hole, cut and weld",
        value="none listed",
        clause=practice("cutting is decided on paper first"),
        remedy="List them under works: what, where, how many, whether the metal bears load, and how it is put back.",
    )


@rule("works")
def load_bearing(seen: Assessed) -> Iterator[Finding]:
    """Is metal cut, drilled or welded that carries load?"""
    works = [each for each in seen.case.build.works if each.load_bearing and each.kind in LASTING]
    if not works:
        return
    yield Finding(
        key="works.load_bearing",
        severity="caution",
        title="Metal that bears load is drilled, cut or welded",
        detail=f"{_sentence(seen, works)} "
        "It carries the axles, the belts or the crash; a hole or a weld in the wrong place weakens it.",
        limit="0",
        value=str(int(seen.si("works.load_bearing") or 0)),
        clause=practice("load-bearing metal is altered only to a drawing that somebody answers for"),
        remedy="Move it to metal that bears nothing, or have a person who may sign for it draw, make and check it.",
    )


@rule()
def kept(seen: Assessed) -> Iterator[Finding]:
    """Does a work go against what the customer wants kept?"""
    works = seen.case.build.works
    for number, text in enumerate(seen.case.build.brief.keep, 1):
        wish = read_wish(text)
        against = [each for each in works if wish.against(each)]
        if against:
            yield Finding(
                key=f"works.keep.{number}",
                severity="caution",
                title=f"The customer asked: {text}",
                detail=f"{_sentence(seen, against)} Read as: {wish.as_read}.",
                limit=text,
                value=_many(sum(each.count for each in against), "work", "works") + " against it",
                clause=arithmetic("works in the build file against brief.keep"),
                remedy="Find a way without, or agree on it with the customer in writing and change brief.keep.",
            )


@rule()
def keep_not_read(seen: Assessed) -> Iterator[Finding]:
    """Is there a wish that no check can read?"""
    works, texts = seen.case.build.works, seen.case.build.brief.keep
    unread = [text for text in texts if not _is_read(text) and not any(map(read_wish(text).against, works))]
    if works and unread:
        yield Finding(
            key="works.keep_unread",
            severity="note",
            title="Read for yourself what the customer wants kept",
            detail=f"No check understands: {'; '.join(unread)}. No work is named like it.",
            clause=arithmetic("the words that are understood stand in the how-to about works"),
            remedy="Go through the works with the customer's words in hand.",
        )


def _is_read(text: str) -> bool:
    wish = read_wish(text)
    return bool(wish.kinds or wish.places or wish.put_back)


@rule()
def put_back(seen: Assessed) -> Iterator[Finding]:
    """Can everything be undone where the car must be able to be put back?"""
    if not asks_to_be_put_back(seen.case.build.brief):
        return
    works = [each for each in seen.case.build.works if each.kind != "bolted" and each.undone_by is None]
    if works:
        yield Finding(
            key="works.cannot_be_undone",
            severity="caution",
            title="The car must be able to be put back, and nobody says how",
            detail=f"Without undone_by: {'; '.join(_told(seen, each) for each in works)}.",
            limit="a way back for each",
            value=f"{len(works)} without",
            clause=arithmetic("works in the build file against brief.reversible and brief.keep"),
            remedy="Say in undone_by how each is put back, such as 'plug and paint' or 'kept in the customer's store'.",
        )


@rule()
def boxes_held(seen: Assessed) -> Iterator[Finding]:
    """Does each box say how it is held?"""
    works = seen.case.build.works
    for box in seen.case.build.pack.boxes:
        if works and box.modules and not any(each.needed_by == box.name and each.kind in HOLDING for each in works):
            yield Finding(
                key=f"works.box_not_held.{box.name}",
                severity="caution",
                title=f"Nobody says how box {box.name} is held",
                detail=f"No work of the kind bolted, weld or bonded is needed_by {box.name}.",
                limit="bolted, welded or bonded to something named",
                value="not said",
                clause=practice("a box that comes loose in a crash kills"),
                remedy=f"Add to works how box {box.name} is mounted, with needed_by: {box.name}.",
            )


@rule()
def works_needed(seen: Assessed) -> Iterator[Finding]:
    """Is what needs a work still in the build?"""
    known = _named_things(seen)
    for number, each in enumerate(seen.case.build.works, 1):
        if each.needed_by is not None and each.needed_by not in known:
            yield Finding(
                key=f"works.not_needed.{number}",
                severity="caution",
                title=f"Needed by nothing in the build: {each.name}",
                detail=f"needed_by names '{each.needed_by}'; no box, extra or fitted part is called that.",
                limit=", ".join(sorted(name for name in known if "/" not in name and "." not in name)) or "none",
                value=each.needed_by,
                clause=arithmetic("names and paths of the build file"),
                remedy="Correct the name, or take the work out: this way may no longer need it.",
            )


def _named_things(seen: Assessed) -> frozenset[str]:
    """Names of boxes and extras; paths and ids of fitted parts."""
    build = seen.case.build
    names = {each.name for each in (*build.pack.boxes, *build.extras)}
    for path, part_id in build.part_ids():
        names |= {path, path.removesuffix(".part"), part_id}
    return frozenset(names)


def _told(seen: Assessed, work: Work) -> str:
    """`front box brackets: 4 holes of 9 mm, chassis, load-bearing`."""
    size = f" of {work.size.text}" if work.size else ""
    bearing = ", load-bearing" if work.load_bearing else ""
    many = _many(work.count, work.kind) if work.kind in LASTING else f"{work.count} {work.kind}"
    return f"{work.name}: {many}{size}, {in_words(work.where)}{bearing}"


def _sentence(seen: Assessed, works: list[Work]) -> str:
    return f"{'; '.join(_told(seen, each) for each in works)}."


def _many(number: int, one: str, several: str = "") -> str:
    return f"{number} {one if number == 1 else several or f'{one}s'}"
