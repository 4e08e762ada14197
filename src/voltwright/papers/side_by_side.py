"""What the faces of a comparison share: figures that people ask of a build first, what is worth a line, an effect in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from voltwright.assess.trips import main_trip
from voltwright.build.in_words import Change, InWords
from voltwright.papers.summary import groups
from voltwright.papers.trips_table import of_a_trip
from voltwright.quantity.band import NO_SPREADS
from voltwright.quantity.figure import NO_FIGURE
from voltwright.rules.comparison import Beside, Comparison, Moved
from voltwright.rules.dossier import Dossier
from voltwright.rules.elsewhere import Effect
from voltwright.rules.finding import ORDER, Finding

AS_IT_IS = "as it is"
LATER = " (those that ask for bands, such as a verdict that hangs on a guess, are not counted)"
MOST_TITLES = 4
NEITHER = "Neither good nor bad by itself"
NEW, WORSENED, EASED, GONE = "New findings", "Findings that weigh more", "Findings that weigh less", "Findings that go"


def findings_by_fate(made: Beside) -> tuple[tuple[str, tuple[Finding, ...]], ...]:
    """What becomes of the findings, the worst first."""
    return (NEW, made.appears), (WORSENED, made.heavier), (EASED, made.lighter), (GONE, made.goes)


def headline_rows(made: Comparison, system: str) -> Iterator[tuple[str, ...]]:
    """Label, the build, then each variant: those figures that stand on the first page of the design paper."""
    for _, keys in groups(made.base):
        for key, label in keys:
            dossiers = (made.base, *(each.dossier for each in made.variants))
            found = [each.figures.get(key) for each in dossiers]
            yield label, *(NO_FIGURE if each is None else each.printed(system) for each in found)
    counted = "Stops, cautions, notes"
    if made.base.spreads is NO_SPREADS:
        counted += LATER
    yield counted, *(_counts(each) for each in (made.base, *(each.dossier for each in made.variants)))


def _counts(dossier: Dossier) -> str:
    weights = [each.severity for each in dossier.findings]
    return " / ".join(str(weights.count(name)) for name in ("stop", "caution", "note"))


def changes_in_words(changes: Mapping[str, Any], of: Dossier) -> tuple[Change, ...]:
    """What is changed, in words; `of` is the dossier of the build in which the changes are made, or would be."""
    return tuple(InWords(of.build, of.case.shelf).changes(changes))


def told(made: Beside, moved: tuple[Moved, ...]) -> tuple[tuple[Moved, ...], int]:
    """Of figures that move those that are worth a line, and how many more there are of trips that nobody asked for."""
    asked = {main_trip(made.dossier.case), *(each.name for each in made.dossier.build.duty.trips)}
    shown = tuple(each for each in moved if not of_a_trip(each.key) or each.key.rpartition(".")[2] in asked)
    return shown, len(moved) - len(shown)


def certainty(each: Moved) -> str:
    """Whether the likely cases agree on the way that a figure moves."""
    return "" if each.sure else "not sure"


def effect(one: Effect, system: str) -> str:
    """What a remedy does elsewhere, in one line: figures of page 1 that move, and other findings that come, go, or weigh otherwise."""
    made = one.made
    moved = {each.key: each for each in made.moved}
    labels = [(key, label) for _, keys in groups(made.dossier) for key, label in keys if key in moved]
    said = [f"{label} {_by(moved[key], system)}" for key, label in labels]
    fates = (
        ("brings", made.appears),
        ("worsens", made.heavier),
        ("eases", made.lighter),
        ("also mends", one.also_goes),
    )
    for word, found in fates:
        said += [f"{word} {_titles(found)}"] if found else []
    return "; ".join(said) or "moves no figure of page 1 and no other finding"


def _titles(found: tuple[Finding, ...]) -> str:
    """`2 cautions (“one”, “other”)`: the worst first, and no more titles than a line or two hold."""
    weights = [each.severity for each in found]
    counts = [(weights.count(each), each) for each in ORDER]
    numbers = ", ".join(f"{count} {name}{'s' if count > 1 else ''}" for count, name in counts if count)
    titles = ", ".join(f"“{each.title}”" for each in found[:MOST_TITLES])
    more = len(found) - MOST_TITLES
    return f"{numbers} ({titles}{f' and {more} more' if more > 0 else ''})"


def _by(each: Moved, system: str) -> str:
    return each.printed(system) or f"{each.before.printed(system)} → {each.after.printed(system)}"
