"""Life: does the battery last as long as it should, what would make it last longer, and how far is the model to be trusted?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from voltwright.assess.case import Case
from voltwright.assess.life import MODELS, rated_cycles
from voltwright.assess.life_stress import PLACES, YEAR
from voltwright.assess.low_voltage import MONTH
from voltwright.assess.trips import main_trip
from voltwright.build.field_words import choice_words
from voltwright.kernels import lives
from voltwright.quantity.figure import fixed
from voltwright.rules.clause import copied, practice
from voltwright.rules.finding import Assessed, Finding, Ladder, Rung, exceeds, likely, percent
from voltwright.rules.rule import rule
from voltwright.rules.ways import counts, downwards, more_strings, settings, upwards

PROMISED = 10 * YEAR  # s; common practice: what customers are told
HALF = 0.5
LEAST_PARKED, LEAST_LIMIT = 40.0, 50.0  # %: lower is of no use to a driver
ADVISED, LESS_FULL = 0.5, 0.8  # charge at which a car should stand, and that is enough on usual days
WORN = 0.8  # capacity at which a battery is said to be at its end
GAIN = 0.05 * YEAR  # s; less is not worth telling
APART = 1.5  # times; a rule of thumb that is nearer agrees
DAY = 86400.0
DAYS = 7  # of a week, on each of which the car is plugged in at most once
COLD = (
    278.15  # K; below it, at the rates of a home charger, cells that are charged plate lithium, which no law here knows
)


@dataclass(frozen=True)
class Measured:
    """What a law was measured at: temperatures of stored cells [K], charge at which they stood [1], C-rates."""

    coldest: float
    hottest: float
    charges: tuple[float, float]
    rates: tuple[float, float]


# Rates a little wider than the papers': a tenth more or less moves nothing that anybody could tell.
MEASURED = {
    "schmalstieg-2014": Measured(308.15, 323.15, (0.20, 0.95), (0.0, 1.2)),
    "naumann": Measured(273.15, 333.15, (0.0, 1.0), (0.1, 1.1)),
}
TESTED = "one to two and a half years"


def _trips(case: Case) -> frozenset[str]:
    return frozenset((main_trip(case), *(each.driven_as for each in case.build.duty.trips)))


def _years(seconds: float, more: int = 0) -> str:
    return f"{fixed(seconds / YEAR, 1 + more)} years"


def _given(seen: Assessed) -> dict[str, Any] | None:
    """What the years of life were worked from; None where they were not."""
    node = seen.sheet.nodes.get("life.capacity_at_10_years")
    return None if node is None else {name: each.value for name, each in node.inputs["lived"].inputs.items()}


def _longer(seen: Assessed) -> tuple[Ladder, ...]:
    """What makes a battery last longer: standing less full, charging less far, a cooler place, more cells."""
    duty = seen.case.build.duty
    parked, limit = 100 * duty.parking.charge.value, 100 * duty.habit.limit.value
    return (
        settings("duty.parking.charge", "Park the car at", downwards(parked, 5.0, LEAST_PARKED), "%"),
        settings("duty.habit.limit", "Stop charging at", downwards(limit, 5.0, LEAST_LIMIT), "%"),
        counts("duty.habit.times_per_week", "Plug in {number} times a week", int(duty.habit.times_per_week) + 1, DAYS),
        _cooler(seen),
        more_strings(seen),
    )


def _cooler(seen: Assessed) -> Ladder:
    """Places that keep the cells cooler than the present one."""
    place, words = seen.case.build.duty.parking.place, choice_words("duty.parking.place")

    def warmth(name: str) -> float:
        return sum(PLACES[name].warmer) + (100.0 if PLACES[name].least else 0.0)

    cooler = sorted((name for name in PLACES if warmth(name) < warmth(place)), key=warmth, reverse=True)
    return Ladder(
        lambda: tuple(
            Rung(f"Let it stand: {words[name]} (duty.parking.place)", {"duty.parking.place": name}) for name in cooler
        )
    )


def _of_used_cells(seen: Assessed) -> str:
    if seen.case.build.pack.condition is None:
        return "Plan to replace the battery by then."
    return (
        "The past of used cells is not known: take a module out when it warms or loses charge by itself, and plan to replace "
        "the battery by then."
    )


def _so_far(seen: Assessed, years: float) -> str:
    """What used cells lost in each year so far, beside what the model goes on with."""
    condition, given = seen.case.build.pack.condition, _given(seen)
    if condition is None or given is None or condition.age <= 0.0 or years <= 0.0:
        return ""
    health = float(given["health"])
    lost, left = (1.0 - health) / condition.age, max(health - WORN, 0.0) / (years / YEAR)
    return (
        f" So far they lost {fixed(100 * lost, 1)} percentage points a year, in another car; by the model it is {fixed(100 * left, 1)} "
        "on this duty. Where those differ much, believe neither before a year of readings."
    )


def _borrowed(seen: Assessed) -> str:
    chemistry = seen.case.cell.chemistry
    if not MODELS[chemistry].is_borrowed:
        return ""
    return f" For {chemistry.upper()} cells there was no law to be had: that of NMC cells stands for it, with a wider band."


def _together(seen: Assessed) -> str:
    """What each change of habit is worth, and all of them together; empty where none helps."""
    given, habit = _given(seen), seen.case.build.duty.habit
    if given is None:
        return ""
    steps: dict[str, dict[str, Any]] = {}
    if habit.times_per_week < DAYS:
        steps["plugging in every day"] = {"charges": float(DAYS)}
    if exceeds(habit.limit.value, LESS_FULL):
        steps[f"stopping the charge at {percent(LESS_FULL)}"] = {"limit": LESS_FULL}
    if exceeds(float(given["parked"]), ADVISED):
        steps[f"parking at {percent(ADVISED)}"] = {"parked": ADVISED}
    if len(steps) > 1:
        every = {name: value for change in steps.values() for name, value in change.items()}
        steps["all of it together"] = every
    worth = {words: _gained(given, changes) for words, changes in steps.items()}
    helps = [f"{words} {gain / YEAR:+.1f}" for words, gain in worth.items() if gain > GAIN]
    return f"Years that habits are worth, by the model: {', '.join(helps)}. " if helps else ""


def _gained(given: dict[str, Any], changes: dict[str, Any]) -> float:
    """By how much later 80 % are left; after 30 years nothing is said. [s]"""
    longest = lives.YEARS * YEAR
    now, then = (
        min(longest, each if each == each else longest)
        for each in (lives.lived(**given).to_end, lives.lived(**{**given, **changes}).to_end)
    )
    return then - now


@rule("life", trips=_trips)
def lasts(seen: Assessed) -> Iterator[Finding]:
    """Does the battery keep 80 % of its rated capacity for ten years?"""
    years = seen.si("life.years_to_80")
    if years is None or not exceeds(PROMISED, years):
        return
    yield Finding(
        key="life.short",
        severity="caution",
        title="The battery is down to 80 % within ten years",
        detail=f"By the model it takes {_years(years)}, or {seen.text('life.distance_to_80')}; "
        f"{percent(seen.si('life.calendar_share') or 0.0)} of what it loses in ten years is by standing. Below 80 % no law here "
        f"holds: cells may then fail fast.{_so_far(seen, years)}{_borrowed(seen)} {_of_used_cells(seen)}",
        limit=_years(PROMISED),
        value=_years(years),
        margin=_years(years - PROMISED),
        clause=practice("ten years are what customers are told"),
        likelihood=likely(seen.failing("life.years_to_80", PROMISED, "80 % are left for ten years", least=True)),
        remedy=f"{_together(seen)}Tell the customer when the battery will be due, and what it costs.",
        ladders=_longer(seen),
    )


@rule("life", trips=_trips)
def keeps_the_range(seen: Assessed) -> Iterator[Finding]:
    """Does the car go as far as the brief asks for ten years?"""
    years, wish = seen.si("life.years_to_brief_range"), seen.case.build.brief.range
    if years is None or wish is None or not exceeds(PROMISED, years):
        return
    yield Finding(
        key="life.brief_range",
        severity="caution",
        title="The range falls below that of the brief within ten years",
        detail=f"The brief asks {wish.text}; by capacity alone the car goes so far for {_years(years)}, and after ten, with the greater "
        f"losses of worn cells, {seen.text('life.range_at_10_years')}.",
        limit=_years(PROMISED),
        value=_years(years),
        margin=_years(years - PROMISED),
        clause=practice("ten years are what customers are told"),
        likelihood=likely(
            seen.failing("life.years_to_brief_range", PROMISED, "the range of the brief lasts ten years", least=True)
        ),
        remedy="Promise the range that is left when the battery is old.",
        ladders=_longer(seen),
    )


@rule("life", trips=_trips)
def stands_full(seen: Assessed) -> Iterator[Finding]:
    """Does the battery lose more by standing than by driving, and what would standing less full be worth?"""
    share, given = seen.si("life.calendar_share"), _given(seen)
    if share is None or given is None or not exceeds(share, HALF):
        return
    parked = float(given["parked"])
    worth = _worth(given, {"parked": ADVISED}) if parked > ADVISED + 0.01 else ""
    place = (
        "" if seen.case.build.duty.parking.place != "outdoors-in-the-sun" else " Shade helps as much as charge does."
    )
    yield Finding(
        key="life.standing",
        severity="note",
        title="The battery ages by standing more than by driving",
        detail=f"Of what it loses in ten years {percent(share)} are by standing, at {percent(parked)} charge; distance matters less. "
        "Heat and standing full hasten it.",
        limit=percent(HALF),
        value=percent(share),
        margin=f"{fixed(100 * (HALF - share), 0)} percentage points",
        clause=copied("the laws of ageing that the working names"),
        remedy=(f"Parking at {percent(ADVISED)} instead of {percent(parked)}: {worth}. " if worth else "")
        + "Charge it just before it is driven, and let it stand about half full."
        + place,
    )


def _worth(given: dict[str, Any], changes: dict[str, Any]) -> str:
    """What a change is worth: years until 80 %, or capacity after ten years where that takes too long."""
    now, then = lives.lived(**given), lives.lived(**{**given, **changes})
    if now.to_end > 0.0 and then.to_end <= lives.YEARS * YEAR:
        return f"{(then.to_end - now.to_end) / YEAR:+.1f} years until 80 % are left"
    points = 100.0 * (then.capacity[10] - now.capacity[10])
    return f"{points:+.1f} percentage points of capacity after ten years"


@rule("life", trips=_trips)
def rule_of_thumb(seen: Assessed) -> Iterator[Finding]:
    """Does the rule of thumb, rated cycles times range, agree with the model?"""
    thumb, given = seen.si("life.rule_of_thumb_years"), _given(seen)
    if thumb is None or given is None:
        return
    lived = lives.lived(**given)
    years = lived.to_end if lived.to_end == lived.to_end else lives.LONGEST * YEAR
    if years <= 0.0 or 1 / APART <= thumb / years <= APART:
        return
    share = seen.si("life.calendar_share") or 0.0
    more = thumb > years
    cause = (
        f"It leaves out standing, by which {percent(share)} of the loss of ten years comes, and that the first cycles take the most."
        if more
        else "It counts each cycle as a whole one; those of this duty are shallow, and shallow ones wear less."
    )
    known = seen.si("life.years_to_80")
    by_model = "more than 30 years" if known is None else _years(known)
    used = "" if float(given["health"]) > 0.995 else " It also takes the modules as new."
    yield Finding(
        key="life.rule_of_thumb",
        severity="note",
        title="The rule of thumb promises more than the model"
        if more
        else "The rule of thumb promises less than the model",
        detail=f"{rated_cycles(seen.case).value:.0f} rated cycles times the range of one charge make "
        f"{seen.text('life.rule_of_thumb_distance')}, {_years(thumb)} of this duty; the model says {by_model}. "
        f"{cause}{used}",
        limit=f"within {fixed(APART, 1)} times",
        value=f"{fixed(max(thumb / years, years / thumb), 1)} times apart",
        clause=practice("rated cycles times range"),
        remedy="Quote the model with its band, and say that nobody has driven this pack for so long.",
    )


@rule("life", trips=_trips)
def outside_the_model(seen: Assessed) -> Iterator[Finding]:
    """Does the duty stay within what the laws of ageing were measured at?"""
    given = _given(seen)
    if given is None:
        return
    known = MEASURED[given["model"]]
    said = [*_beyond_heat(seen, given, known), *_beyond_charge(given, known), *_beyond_cold(seen, given)]
    if not said:
        return
    cool = (
        f" Cells below {seen.degrees(known.coldest)} were not tested either, which the law's own dependence on temperature carries on to."
        if exceeds(known.coldest, min(float(each) for each in given["months"].kelvin))
        else ""
    )
    first, *others = (each for each, _ in said)
    mends = "; ".join(dict.fromkeys(mend for _, mend in said))
    yield Finding(
        key="life.outside_model",
        severity="note",
        title="The duty lies outside what the laws of ageing were measured at",
        detail=f"{'; '.join((first[0].upper() + first[1:], *others))}. Life is a guess there, and mostly shorter. Ten years are carried on "
        f"from tests of {TESTED} in any case.{cool}",
        clause=copied("validity of the laws that the working names"),
        remedy=f"{mends[0].upper()}{mends[1:]}; promise less.",
    )


def _beyond_heat(seen: Assessed, given: dict[str, Any], known: Measured) -> Iterator[tuple[str, str]]:
    """What lies outside, and what would mend it."""
    hot, rate = max(float(each) for each in given["months"].kelvin) + float(given["rise"]), float(given["rate"])
    if exceeds(hot, known.hottest):
        yield (
            f"cells of {seen.degrees(hot)} are {fixed(hot - known.hottest, 0)} K above {seen.degrees(known.hottest)}, the hottest that was "
            "measured",
            "keep the pack out of the heat",
        )
    least, most = known.rates
    if not least <= rate <= most:
        times, way = (rate / most, "above") if rate > most else (least / max(rate, 1e-3), "below")
        measured = f"{fixed(least, 1)} to {fixed(most, 1)}C"
        said = f"a mean rate of {fixed(rate, 2)}C is {fixed(times, 1)} times {way} the {measured} that were measured"
        yield said, "charge fast less often" if rate > most else "take it as it is"


def _beyond_charge(given: dict[str, Any], known: Measured) -> Iterator[tuple[str, str]]:
    """The same for the charge at which it stands."""
    least, most = known.charges
    rests = {"parked": float(given["parked"])}
    if float(given["rest"]) > 0.0:
        rests["laid up"] = float(given["laid_up"])
    for how, charge in rests.items():
        if exceeds(charge, most) or exceeds(least, charge):
            apart = charge - most if charge > most else least - charge
            yield (
                f"a car {how} at {percent(charge)} is {fixed(100 * apart, 0)} percentage points outside the {percent(least)} to "
                f"{percent(most)} that were measured",
                f"leave the car {how} between {percent(least)} and {percent(most)}",
            )


def _beyond_cold(seen: Assessed, given: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """The same for charging in the cold."""
    driven = sorted(float(each) for each in given["months"].kelvin)[int(float(given["rest"])) :]
    if driven and exceeds(COLD, min(driven)):
        yield (
            f"cells that are used and charged at {seen.degrees(min(driven))} in a cold month are {fixed(COLD - min(driven), 0)} K below "
            f"{seen.degrees(COLD)}, under which charging plates lithium",
            "warm the pack before it is charged in the cold",
        )


@rule("pack")
def age_known(seen: Assessed) -> Iterator[Finding]:
    """Is it known how old modules are that are not new?"""
    condition = seen.case.build.pack.condition
    if seen.case.module.stock == "new" or (condition is not None and condition.age > 0.0):
        return
    yield Finding(
        key="life.age_unknown",
        severity="note",
        title="Nobody knows how old the modules are",
        detail=f"They are {seen.case.module.stock}; years on a shelf age cells too. Life is worked from their measured health alone, "
        "as if they had aged evenly.",
        clause=practice(),
        remedy="Read the date on the module's label and enter it (pack.condition.age).",
    )


@rule("life", trips=_trips)
def laid_up(seen: Assessed) -> Iterator[Finding]:
    """Does the pack outlast the winter rest at the charge at which it is laid up?"""
    days, rest = seen.si("life.lay_up_days_pack"), seen.case.build.duty.lay_up.months * MONTH
    if days is None or not exceeds(rest, days):
        return
    charge = seen.case.build.duty.lay_up.charge or seen.case.build.duty.parking.charge
    yield Finding(
        key="life.lay_up",
        severity="caution",
        title="The winter rest drains the pack to its lowest used charge",
        detail=f"Laid up at {charge.text} it gets there after {fixed(days / DAY, 0)} d, and the rest lasts {fixed(rest / DAY, 0)} d. "
        "Cells that are drained to nothing are spoilt, and must not be charged again.",
        limit=f"{fixed(rest / DAY, 0)} d",
        value=f"{fixed(days / DAY, 0)} d",
        margin=f"{fixed((days - rest) / DAY, 0)} d",
        clause=practice(),
        likelihood=likely(seen.failing("life.lay_up_days_pack", rest, "the pack outlasts the winter rest", least=True)),
        remedy="Open the service disconnect, look at the charge each month, and write that into the owner's papers.",
        ladders=(settings("duty.lay_up.charge", "Lay the car up at", upwards(100 * charge.value, 5.0, 90.0), "%"),),
    )
