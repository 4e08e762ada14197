"""The road: range, journeys that the car cannot do or falls behind on, what cells and motor bear meanwhile, and the model's fit."""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from itertools import pairwise

from voltwright.assess.road import CANNOT_MOVE
from voltwright.assess.trips import main_trip
from voltwright.kernels import trip as endings
from voltwright.kernels.journey import Driven
from voltwright.parts.trips import STEADY, trip_names, trip_title
from voltwright.physics.motor_fit import misfit_of_curve, misfit_of_points
from voltwright.quantity.entry import Entry
from voltwright.quantity.figure import amount
from voltwright.quantity.units import Unit
from voltwright.rules.clause import arithmetic, maker, practice
from voltwright.rules.finding import Assessed, Finding, Ladder, amperes, apart, exceeds, likely, whole_up
from voltwright.rules.rule import rule
from voltwright.rules.ways import downwards, more_strings, settings, upwards

HEAT = "motor heat"  # as the loops call that limit
WORTH_SAYING = 0.01  # of the time of a drive: a car that is held back for less keeps up with the traffic
FULL = 0.995  # of all charge; nothing can be given back above
POOR_LOSSES, POOR_CURVE = 0.03, 0.08
SIMULATED = arithmetic("simulated step by step; see docs/theory/trips.md")


def _asked(seen: Assessed) -> list[str]:
    """The trips that the customer asks for, by the names under which they are driven."""
    wanted = [each.driven_as for each in seen.case.build.duty.trips]
    if seen.case.build.brief.range_trip is not None:
        wanted.insert(0, main_trip(seen.case))
    return [name for name in dict.fromkeys(wanted) if name in seen.sheet.driven]


def _driven(seen: Assessed, name: str) -> Driven:
    return seen.sheet.driven[name].value


def _distance(seen: Assessed, metres: float) -> str:
    return amount(Unit("km").from_si(metres), Unit("km"), 0, seen.system)


@rule("road")
def moves_at_all(seen: Assessed) -> Iterator[Finding]:
    """Does the motor move the car at all?"""
    if seen.sheet.reasons.get("road.gradient_start") != CANNOT_MOVE:
        return
    yield Finding(
        key="road.cannot_move",
        severity="stop",
        title="The motor does not move the car",
        detail=f"At the wheels it gives {seen.text('drive.wheel_torque_peak')} in the lowest gear, "
        f"and the laden car of {seen.text('mass.laden')} does not start with that on the level.",
        limit="starts on the level",
        value=seen.text("drive.wheel_torque_peak"),
        remedy="Check the units of the motor's torque and of the gears; else a stronger motor or a shorter gear.",
    )


@rule()
def trips_known(seen: Assessed) -> Iterator[Finding]:
    """Is every trip known that the build names?"""
    brief, journeys = seen.case.build.brief, seen.case.build.duty.trips
    known = (*trip_names(), *seen.case.traces)
    places = [(f"duty.trips.{at}.trip", each.driven_as) for at, each in enumerate(journeys)]
    if brief.range_trip is not None and brief.range_trip not in {each.name for each in journeys}:
        places.insert(0, ("brief.range_trip", brief.range_trip))
    for place, name in places:
        if name in known:
            continue
        near = difflib.get_close_matches(name, known, n=2, cutoff=0.4)
        yield Finding(
            key="data.trip_unknown",
            severity="caution",
            title=f"Nothing says how the trip '{name}' is driven",
            detail=f"'{name}' ({place}) is neither a known trip nor a journey with a speed trace or route, so no figure is worked for it.",
            limit="a known trip, a speed trace, or a route",
            value=name,
            remedy=(f"Write {' or '.join(near)}; or" if near else "Write a name that 'voltwright trips list' shows, or")
            + " name the speed trace or the route of a drive (duty.trips[].trace, duty.trips[].route).",
        )


@rule("trips", trips=lambda case: frozenset((main_trip(case),)))
def range_wished(seen: Assessed) -> Iterator[Finding]:
    """Does the car go as far as the brief asks?"""
    wish, name = seen.case.build.brief.range, main_trip(seen.case)
    if wish is None or name not in seen.sheet.driven:
        return
    key = f"road.range.{name}"
    figure, far = seen.figures[key], seen.si(key)
    fails = seen.failing(key, wish.value, "the car goes as far as the brief asks", least=True)
    low = _surely(seen, name)
    high = figure.unit.to_si(figure.high) if figure.high is not None else far
    if far is not None and low is not None and not exceeds(wish.value, low):
        return
    short = far is None or exceeds(wish.value, far)
    if far is None:
        sure = f"{figure.reason}."
    elif short:
        lost = high is not None and exceeds(wish.value, high)
        sure = "Even the high end of the band falls short." if lost else "Only the high end of the band reaches it."
        sure = sure if figure.low is not None else ""
    else:
        sure = "Only the low end of the band falls short."
    band = figure.printed_band(seen.system)
    yield Finding(
        key="brief.range" if short else "brief.range_perhaps",
        severity="caution",
        title="The car does not go as far as the brief asks"
        if short
        else "The car may not go as far as the brief asks",
        detail=f"The brief asks {wish.text} on the trip '{trip_title(name)}'; the car goes {seen.text(key, wish.text)}"
        f"{f' ({band})' if band else ''}. {sure}".strip(),
        limit=wish.text,
        value=seen.text(key, wish.text),
        margin=None if far is None else _distance(seen, far - wish.value),
        likelihood=likely(fails),
        remedy=_further(seen, wish.value, far if short else low),
        ladders=(more_strings(seen), _more_of_the_charge(seen), _nearer(seen, wish)) if short else (),
    )


def _more_of_the_charge(seen: Assessed) -> Ladder:
    """Charging farther up, by whole percent."""
    full = seen.case.build.pack.window.full.value * 100
    return settings("pack.window.full", "Charge the pack up to", upwards(full, 1.0, 100.0), "%")


def _nearer(seen: Assessed, wish: Entry) -> Ladder:
    """A shorter promise, in steps of 5 km."""
    values = downwards(Unit("km").from_si(wish.value), 5.0, 5.0)
    return settings("brief.range", "Agree with the customer on", values, "km")


def _surely(seen: Assessed, name: str) -> float | None:
    """Range on a trip, at the low end of its band where there is one. [m]"""
    figure = seen.figures.get(f"road.range.{name}")
    known = None if figure is None else figure.value if figure.low is None else figure.low
    return None if figure is None or known is None else figure.unit.to_si(known)


def _further(seen: Assessed, wanted: float, far: float | None) -> str:
    """Ways to go so far: more of the charge, another string, or less speed."""
    window, strings = seen.case.build.pack.window, seen.case.build.pack.parallel
    slower = next((each for each in reversed(STEADY) if (_surely(seen, f"steady-{each}") or 0.0) >= wanted), None)
    ways: list[str] = []
    if far:
        share = (window.full.value - window.empty.value) * wanted / far
        if share <= 1.0:
            ways.append(f"use about {share:.0%} of the charge instead of {window.full.value - window.empty.value:.0%}")
        needed = max(strings + 1, whole_up(strings * wanted / far))
        more = needed - strings
        ways.append(
            f"fit {more} more string{'s' if more > 1 else ''} ({needed} in all; their mass takes a little of the gain)"
        )
    if slower is not None:
        ways.append(f"promise it at a steady {seen.speed(slower / 3.6)}")
    words = "; or ".join(ways) or "less drag, less mass, or a larger pack"
    return f"{words[0].upper()}{words[1:]}."


@rule("trips")
def trips_driven(seen: Assessed) -> Iterator[Finding]:
    """Can the car do the trips that are asked, and does it keep up?"""
    for name in _asked(seen):
        reason = seen.sheet.reasons.get(f"road.range.{name}")
        held, time = _driven(seen, name).held, _driven(seen, name).time
        limit = max(held, key=lambda each: held[each], default="")
        if reason is not None:
            yield Finding(
                key=f"road.trip.{name}",
                severity="caution",
                title=f"The car cannot do the trip '{trip_title(name)}'",
                detail=f"{reason[0].upper()}{reason[1:]}. Consumption and range on it are not known.",
                limit="98 % of the way in the time of the trip",
                value="fails",
                clause=SIMULATED,
                remedy=_stronger(limit),
            )
        elif limit and sum(held.values()) > WORTH_SAYING * time:
            all_limits = ", ".join(
                f"{each} for {held[each]:.0f} s" for each in sorted(held, key=lambda one: -held[one])
            )
            yield Finding(
                key=f"road.held_back.{name}",
                severity="caution" if HEAT in held else "note",
                title=f"The car falls behind on the trip '{trip_title(name)}'",
                detail=f"Driven until empty ({time:.0f} s) it is held back by {all_limits}. It comes through, but slower.",
                limit="no limit binds",
                value=f"{sum(held.values()) / time:.0%} of the time",
                clause=SIMULATED,
                remedy=_stronger(limit),
            )


_STRONGER = {
    HEAT: "A motor of more continuous power or better cooling, a shorter gear, or a calmer trip.",
    "motor torque or power": "A stronger motor, a shorter gear, or a pack of higher voltage where the motor's power follows it.",
    "pack current": "More strings in parallel, cells for more current, or a higher limit of BMS, fuse and inverter where those bind.",
    "pack voltage": "More modules in series or of lower resistance, or an inverter with a lower cut-off.",
    "grip": "Better tyres or more load on the driven axle; a driver slips the wheels there.",
    "motor speed": "A taller gear, or a motor that turns faster.",
}


def _stronger(limit: str) -> str:
    return _STRONGER.get(limit, "More torque at the wheels: a shorter gear or a stronger motor.")


@rule("trips", trips=lambda case: frozenset(each.driven_as for each in case.build.duty.trips))
def journeys_within_range(seen: Assessed) -> Iterator[Finding]:
    """Does the car get to the end of each journey of the duty?"""
    for each in seen.case.build.duty.trips:
        name, key = each.driven_as, f"road.range.{each.driven_as}"
        trace = seen.case.traces.get(each.name)
        way = each.distance.value if each.distance is not None else trace.distance if trace is not None else None
        far = seen.si(key)
        if way is None or far is None:
            continue
        figure, low = seen.figures[key], _surely(seen, name)
        fails = seen.failing(key, way, f"the car gets to the end of the journey '{each.name}'", least=True)
        if low is None or not exceeds(way, low):
            continue
        never, goes = exceeds(way, far), seen.text(key, _distance(seen, way))
        perhaps = "Only the low end of the band falls short." if not never else ""
        yield Finding(
            key=f"road.journey.{each.name}",
            severity="caution",
            title=f"The journey '{each.name}' is longer than the car goes"
            if never
            else f"The journey '{each.name}' may be longer than the car goes",
            detail=f"It is {_distance(seen, way)} long, and on such a trip ('{trip_title(name)}') the car goes {goes}"
            f"{f' ({figure.printed_band(seen.system)})' if figure.printed_band(seen.system) else ''}. {perhaps}".strip(),
            limit=goes,
            value=_distance(seen, way),
            margin=_distance(seen, far - way),
            likelihood=likely(fails),
            remedy=f"Charge on the way. {_further(seen, way, far if never else low)}",
            ladders=(more_strings(seen), _more_of_the_charge(seen)) if never else (),
        )


@rule()
def regeneration_when_full(seen: Assessed) -> Iterator[Finding]:
    """Can the motor brake when the pack is full?"""
    full, share = seen.case.build.pack.window.full, seen.case.build.drive.regeneration.share
    if full.value < FULL or share.value <= 0.0 or seen.case.motor is None:
        return
    yield Finding(
        key="road.regeneration_full",
        severity="note",
        title="With a full pack the motor cannot brake",
        detail="The pack is charged to the end, and a full cell takes nothing back. The first kilometres downhill are for the "
        "friction brakes alone, and the pedal feels different then.",
        limit=f"{FULL:.1%} charge",
        value=full.text,
        clause=maker("the cell maker's highest voltage"),
        remedy="Charge to 95 % (pack.window.full) where the car lives on a hill, let the inverter fade regeneration in as the "
        "charge falls, and tell the driver.",
    )


@rule("trips")
def pack_on_the_road(seen: Assessed) -> Iterator[Finding]:
    """Does the pack bear without end what cruising and the trips draw on average?"""
    limit = seen.si("pack.current_continuous")
    if limit is None or not seen.sheet.driven:
        return
    drawn = {f"on the trip '{trip_title(name)}'": _mean_current(seen, name) for name in _asked(seen)}
    speed = seen.case.build.brief.cruise_speed
    cruise = _current_at(seen, speed.value) if speed is not None else None
    if speed is not None and cruise is not None:
        drawn[f"at the cruising speed of {speed.text}"] = cruise
    if not drawn:
        return
    where = max(drawn, key=lambda each: drawn[each])
    if not exceeds(drawn[where], limit):
        return
    strings = seen.case.build.pack.parallel
    said = apart(amperes, drawn[where], limit)
    yield Finding(
        key="road.pack_current",
        severity="caution",
        title="Driving draws more from the pack than it may give continuously",
        detail=f"On average {where} the drive draws {said.value}; the pack may give {said.limit} continuously.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        clause=maker("the cell maker's continuous rating and that of what is in series with it"),
        remedy=f"About {max(strings + 1, whole_up(drawn[where] / limit * strings))} strings in parallel where the cells bind, "
        "a larger part where another one binds (explain pack.current_continuous), or less speed.",
        ladders=(more_strings(seen),),
    )


def _mean_current(seen: Assessed, name: str) -> float:
    """Current drawn on average over a trip, regeneration taken off. [A]"""
    run = _driven(seen, name)
    return run.drawn / run.time if run.time else 0.0


def _current_at(seen: Assessed, speed: float) -> float | None:
    """Current at a steady speed [m/s], straight between the steady trips that the car can do; None beyond them."""
    can = [each for each in STEADY if f"road.range.steady-{each}" in seen.sheet.nodes]
    for slow, fast in pairwise(can):
        if slow / 3.6 <= speed <= fast / 3.6 and _driven(seen, f"steady-{fast}").status == endings.EMPTY:
            share = (speed - slow / 3.6) / (fast / 3.6 - slow / 3.6)
            low, high = (_mean_current(seen, f"steady-{each}") for each in (slow, fast))
            return low + share * (high - low)
    return None


@rule()
def motor_data_fit(seen: Assessed) -> Iterator[Finding]:
    """Does the motor's datasheet agree with the model that drives the trips?"""
    motor = seen.case.motor
    if motor is None:
        return
    losses = misfit_of_points(points=motor.losses) if motor.losses is not None else 0.0
    if losses > POOR_LOSSES:
        yield Finding(
            key="data.motor_losses",
            severity="note",
            title="The motor's efficiencies do not fit a motor well",
            detail=f"Losses of windings, iron, air and a constant rest, fitted to the points of {motor.title}, miss the efficiency by "
            f"{losses:.1%} on average. Consumption is as unsure as that.",
            limit=f"{POOR_LOSSES:.0%}",
            value=f"{losses:.1%}",
            clause=practice(),
            remedy="Look for points in the wrong column or unit, and for points of motor and inverter together.",
        )
    curve = motor.torque_curve_peak
    off = misfit_of_curve(curve=curve.curve("peak torque"), power=motor.power_peak.value) if curve is not None else 0.0
    if off > POOR_CURVE:
        yield Finding(
            key="data.motor_curve",
            severity="note",
            title="The motor's torque curve is not followed closely",
            detail="Constant torque, constant power and pull-out, fitted to the curve of "
            f"{motor.title}, miss a point of it by {off:.0%}. Pace and slopes are as unsure as that.",
            limit=f"{POOR_CURVE:.0%}",
            value=f"{off:.0%}",
            clause=practice(),
            remedy="Look for a point in the wrong unit, and whether the curve is that of peak torque at one voltage.",
        )
