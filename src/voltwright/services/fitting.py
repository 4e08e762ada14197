"""Which parts of the shelf fit a build: each is put in its place, and judged by every rule."""

from __future__ import annotations

import difflib
import itertools
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from pathlib import Path
from typing import Any, Literal, get_args

from voltwright.assess.case import Case
from voltwright.assess.cost import price_of
from voltwright.assess.figures import PointFigures, work_out
from voltwright.build.altered import altered
from voltwright.build.document import Build
from voltwright.build.reader import BuildFile, kind_at, load
from voltwright.papers.text import MARKS
from voltwright.parts.kinds import KINDS
from voltwright.quantity.errors import PartError, Problem
from voltwright.rules.dossier import as_json
from voltwright.rules.finding import ORDER, Assessed, Finding
from voltwright.rules.rule import all_rules
from voltwright.rules.ways import Watched, monitors_for

# Places that hold the id of a part and nothing else, so that a part can be tried where the build names none yet.
BARE = {
    "pack.bms.part": "bms",
    "charging.inlet": "inlet",
    "pack.protection.fuse": "fuse",
    "pack.protection.contactor": "contactor",
    "pack.protection.precharge_contactor": "contactor",
    "pack.protection.msd": "msd",
    "pack.protection.isolation_monitor": "isolation-monitor",
}
# Where the build must name a part with its position (a cable with its length) before others can be tried there.
NAMED_FIRST = {
    "motor": "drive.motor", "inverter": "drive.inverter", "gear-unit": "drive.gearing.gear_unit", "charger": "charging.charger",
    "dc-dc": "low_voltage.dc_dc", "battery-12v": "low_voltage.battery", "heater": "comfort.cabin_heater or comfort.pack_heater",
    "cable": "pack.protection.main_cable", "pump": "fitted", "radiator": "fitted", "fan": "fitted",
}  # fmt: skip

Suits = Literal["fits", "misses", "burdens", "not"]  # the best first
# Beginnings of keys that say nothing of voltage, current, space or mechanics: what was wished, and what the car as a whole bears
# or its papers show.
WISHES = ("brief.", "data.wish_", "road.trip.", "road.journey.", "charge.overnight.", "works.keep")
BURDENS = ("mass.", "brakes.", "towing.", "tyres.", "country.", "data.", "heat.", "life.")
WORDS: dict[str, str] = {
    "fits": "These suit",
    "misses": "These fit, and miss the brief",
    "burdens": "These fit, and ask too much of the car",
    "not": "These do not fit",
}

Tell = Callable[[int, int, str], None]


def _nobody(done: int, of: int, says: str) -> None:
    pass


@dataclass(frozen=True)
class Fit:
    """One part in one place: its price in the currency of the build, and what speaks against it, the worst first.

    `also`: what must change with it. `broken`: why its datasheet cannot be used.
    """

    id: str
    title: str
    price: Decimal | None
    now: bool
    reasons: tuple[Finding, ...] = ()
    also: Mapping[str, Any] = field(default_factory=dict[str, Any])
    broken: str = ""

    @property
    def suits(self) -> Suits:
        """Whether it fits; where it does, and something speaks against it all the same, whether that is a wish or the car."""
        kinds = {_kind_of(each) for each in self.reasons}
        if self.broken or "not" in kinds:
            return "not"
        return "burdens" if "burdens" in kinds else "misses" if kinds else "fits"

    @property
    def fits(self) -> bool:
        """Whether nothing speaks against it by voltage, current, space or mechanics."""
        return self.suits != "not"

    def as_data(self) -> dict[str, Any]:
        """As plain data, ready for JSON."""
        names = ("key", "severity", "title", "detail")
        return {
            "id": self.id,
            "title": self.title,
            "price": None if self.price is None else float(self.price),
            "now": self.now,
            "fits": self.fits,
            "suits": self.suits,
            "also": dict(self.also),
            "reasons": [{name: getattr(each, name) for name in names} for each in self.reasons],
            "broken": self.broken or None,
        }


@dataclass(frozen=True)
class Place:
    """A place of the build, what may stand there in the order of the price, and the stops that stand whatever does."""

    path: str
    kind: str
    currency: str
    fits: tuple[Fit, ...]
    whatever: tuple[Finding, ...]

    def as_data(self) -> dict[str, Any]:
        """As plain data, ready for JSON."""
        stops = [{"key": each.key, "title": each.title} for each in self.whatever]
        return {"currency": self.currency, "parts": [each.as_data() for each in self.fits], "whatever_is_fitted": stops}


def fitting(path: Path, kind: str) -> tuple[Place, ...]:
    """Every place of a build file where a kind of part stands, with all parts of the shelf tried there.

    Raises PartError where there is no such kind, no such part on the shelf, or no such place in the build.
    """
    return fitting_of(load(path), kind)


def fitting_of(built: BuildFile, kind: str, tell: Tell = _nobody) -> tuple[Place, ...]:
    """The same of a build that was read. `tell` hears of each part before it is tried: how many were, of how many, and its id."""
    if kind not in KINDS:
        raise no_kind(kind, sorted(KINDS))
    if not built.shelf.ids(kind):
        what = f"the shelf holds no part of the kind {kind}"
        raise PartError(Problem(what, mend="import a datasheet ('voltwright parts import')"))
    places = _places(built, kind)
    if not places:
        raise PartError(_no_place(kind))
    tries = len(places) * len(built.shelf.ids(kind))
    count = itertools.count()
    return tuple(_tried(built, kind, each, lambda part_id: tell(next(count), tries, part_id)) for each in places)


def no_kind(kind: str, known: list[str]) -> PartError:
    """What to say of a kind that there is not."""
    near = difflib.get_close_matches(kind, known, n=1)
    mend = f"write {near[0]}" if near else "write one of them"
    return PartError(Problem(f"there is no kind of part '{kind[:40]}'", ", ".join(known), mend))


def _no_place(kind: str) -> Problem:
    if kind == "cell":
        what, mend = "a cell has no place of its own in a build", "ask for module: each names its cell"
    else:
        what = f"the build names no {kind}, so it has no place in which to try one"
        mend = f"name any {kind} with its place under {NAMED_FIRST[kind]}, and ask again"
    return Problem(what, mend=mend)


def _places(built: BuildFile, kind: str) -> list[str]:
    """The paths at which the build names such a part, or could with nothing more than an id."""
    named = [path for path, part_id in built.build.part_ids() if part_id.split("/")[0] == kind]
    return named + [path for path, here in BARE.items() if here == kind and path not in named]


def _tried(built: BuildFile, kind: str, path: str, tell: Callable[[str], None]) -> Place:
    now = Case(built.build, built.shelf, built.beside)
    named = dict(now.build.part_ids()).get(path)
    tried: list[tuple[Fit, tuple[Finding, ...] | None]] = []
    for part_id in now.shelf.ids(kind):
        tell(part_id)
        tried.append(_try(now, path, part_id, named))
    whatever = _whatever(now, path, [found for _, found in tried if found is not None])
    known = {each.key: each for each in _judged(now)}
    fits = (
        fit if found is None else replace(fit, reasons=_against(fit, found, known, whatever)) for fit, found in tried
    )
    ranks = get_args(Suits)
    order = sorted(fits, key=lambda each: (ranks.index(each.suits), each.price is None, each.price or 0, each.id))
    return Place(path, kind_at(path) or kind, now.build.currency, tuple(order), tuple(whatever.values()))


def _judged(case: Case) -> tuple[Finding, ...]:
    """What all rules find of a case, the worst first; notes are left out."""
    sheet = work_out(case)
    seen = Assessed(case, sheet, PointFigures(sheet))
    found = (finding for each in all_rules() for finding in each(seen) if finding.severity != "note")
    return tuple(sorted(found, key=lambda each: (ORDER[each.severity], each.key)))


def _try(now: Case, path: str, part_id: str, named: str | None) -> tuple[Fit, tuple[Finding, ...] | None]:
    """A part in its place and all that is found there; None where it cannot be tried."""
    fit = Fit(part_id, part_id, None, part_id == named)
    try:
        part = now.shelf.any(part_id)
        case, also = _with(now, path, part_id)
    except PartError as error:
        return replace(fit, broken="; ".join(str(each) for each in error.problems)), None
    price = price_of(now, part_id)
    fit = replace(fit, title=part.title, price=price.value if price else None)
    if case is None:
        return replace(fit, broken="with it the build is not valid"), None
    return replace(fit, also=also), _judged(case)


def _with(before: Case, path: str, part_id: str) -> tuple[Case | None, dict[str, Any]]:
    """The case with a part in a place; where it is a module or a BMS, boards and sensors follow."""
    build = altered(before.build, {path: part_id})
    case = Case(build, before.shelf, before.beside) if build else None
    if case is None or path not in ("pack.module", "pack.bms.part"):
        return case, {}
    pack = before.build.pack
    was, now = (Watched(pack.series, pack.parallel, each.module, each.bms) for each in (before, case))
    also = monitors_for(pack, was, now)
    build = altered(case.build, also)
    return (Case(build, before.shelf, before.beside) if build else None), also


def _whatever(now: Case, path: str, tried: list[tuple[Finding, ...]]) -> dict[str, Finding]:
    """Stops that no part in this place is to blame for: they stand with every one, and without one too.

    Where the place cannot be empty, those that say the same of every part have nothing to do with it.
    """
    empty = _without(now.build, path)
    others = [] if empty is None else [_judged(Case(empty, now.shelf, now.beside))]
    stops = [{each.key: each for each in one if each.severity == "stop"} for one in (*tried, *others)]
    common = {key: each for key, each in stops[0].items() if all(key in one for one in stops)} if stops else {}
    if empty is not None:
        return common
    return {key: each for key, each in common.items() if all(one[key].detail == each.detail for one in stops)}


def _without(build: Build, path: str) -> Build | None:
    """The build with nothing in a place; None where something must stand there."""
    if path in BARE:
        return altered(build, {path: None})
    place = path.removesuffix(".part")
    listed, _, at = place.rpartition(".")
    if listed == "fitted":
        return altered(build, {listed: build.fitted[: int(at)] + build.fitted[int(at) + 1 :]})
    return altered(build, {place: None})


def _against(
    fit: Fit, found: tuple[Finding, ...], known: Mapping[str, Finding], whatever: Mapping[str, Finding]
) -> tuple[Finding, ...]:
    """What speaks against a part: a stop though the build has it now, unless it stands whatever is fitted and does not name
    the part; a caution only where it is new, and the part takes no stop away."""
    left = {each.key for each in found}
    mends = any(each.severity == "stop" and key not in left for key, each in known.items())

    def counts(each: Finding) -> bool:
        if each.severity != "stop":
            return each.key not in known and not mends
        return each.key not in whatever or fit.title in f"{each.title} {each.detail}"

    of_its_own = f".{fit.id.split('/')[0]}"  # pack.voltage_limit.motor says more of a motor than what follows from it
    ranks = tuple(reversed(get_args(Suits)))
    against = filter(counts, found)

    def rank(each: Finding) -> tuple[int, int, bool]:
        return ranks.index(_kind_of(each)), ORDER[each.severity], not each.key.endswith(of_its_own)

    return tuple(sorted(against, key=rank))


def _kind_of(reason: Finding) -> Suits:
    """What a reason says of a part: that it does not fit, or that it does and what else is wrong."""
    if reason.key.startswith(WISHES):
        return "misses"
    return "burdens" if reason.key.startswith(BURDENS) else "not"


def as_data(places: Iterable[Place]) -> str:
    """All places as JSON, by their paths."""
    return as_json({each.path: each.as_data() for each in places})


def told(places: Iterable[Place]) -> Iterator[str]:
    """All places in lines for people."""
    for number, place in enumerate(places):
        if number:
            yield ""
        best = sum(each.suits == "fits" for each in place.fits)
        yield f"{place.path}: {best} of {len(place.fits)} suit; prices of one in {place.currency}, the lowest first"
        for finding in place.whatever:
            yield f"  {MARKS[finding.severity]}  {finding.title}, whatever is fitted here"
        for suits, group in itertools.groupby(place.fits, lambda each: each.suits):
            if suits != "fits":
                yield f"{WORDS[suits]}:"
            for each in group:
                yield _line(each)
                if suits != "fits":
                    yield f"      {_why(each)}"


def _line(fit: Fit) -> str:
    price = "no price" if fit.price is None else f"{fit.price:.2f}"
    also = "".join(f"; {path}: {value}" for path, value in fit.also.items())
    return f"  {fit.id:36} {price:>10}  {fit.title}{' (in the build now)' if fit.now else ''}{also}"


def _why(fit: Fit) -> str:
    if fit.broken:
        return fit.broken
    first, more = fit.reasons[0], len(fit.reasons) - 1
    return f"{MARKS[first.severity]}  {first.title}" + (f" (and {more} more)" if more else "")
