"""Routes: what the file did not say or had too much of, slopes that no road has, and what is left in the pack at the end."""

from __future__ import annotations

from collections.abc import Iterator

from voltwright.assess.case import Case
from voltwright.build.brief import DutyTrip
from voltwright.parts.profile import Profile
from voltwright.physics.mass import STANDARD_GRAVITY
from voltwright.quantity.figure import amount
from voltwright.quantity.units import Unit
from voltwright.rules.clause import arithmetic, from_memory, maker, practice
from voltwright.rules.finding import Assessed, Finding, apart, exceeds, likely, percent
from voltwright.rules.rule import no_trips, rule
from voltwright.rules.ways import more_strings

STEEP = 0.20  # rise over run: steeper public roads have names
RESERVE = 0.10  # of the whole charge: what a driver wants to see at the end
LARGE = 50.0  # m of climb taken away: less is nothing to speak of
GALE = 17.2  # m/s: force 8 of the Beaufort scale, at 10 m above the ground


def _routes(case: Case) -> Iterator[tuple[str, Profile]]:
    for name, trace in case.traces.items():
        if trace.profile is not None:
            yield name, trace.profile


@rule("mass", trips=no_trips)
def heights_of_a_route(seen: Assessed) -> Iterator[Finding]:
    """Does each route know its heights, and are they those of a road?"""
    for name, profile in _routes(seen.case):
        if profile.climb is None or profile.climb_removed is None:
            yield Finding(
                key=f"road.route_level.{name}",
                severity="note",
                title=f"The route '{name}' has no heights",
                detail=f"{profile.file} names no height, or too few. The road is taken as level, so that what climbing costs is "
                f"unknown: each 100 m of it take {_climbing(seen)} at the wheels, of which the way down gives back a part.",
                limit="heights along the whole route",
                value="none",
                clause=practice(),
                remedy="Record it with a receiver that writes heights, or draw it on a map that knows them.",
            )
            continue
        if profile.climb_removed > max(LARGE, profile.climb):
            yield Finding(
                key=f"road.route_climb.{name}",
                severity="note",
                title=f"More climbing was taken out of the route '{name}' than is left",
                detail=f"Its points go up by {_metres(seen, profile.climb + profile.climb_removed)} in all; "
                f"{_metres(seen, profile.climb)} are left once ups and downs that a receiver invents are gone. A road of many "
                "short hills would lose some of them too.",
                limit=f"no more than is left ({_metres(seen, profile.climb)})",
                value=_metres(seen, profile.climb_removed),
                clause=practice(),
                remedy="Compare with the heights of a map; record with a barometer.",
            )
        if exceeds(profile.steepest, STEEP):
            yield Finding(
                key=f"road.route_steep.{name}",
                severity="caution",
                title=f"The route '{name}' is steeper somewhere than roads are",
                detail=f"Its steepest slope is {profile.steepest:.0%}. Heights of a map fall into the valley below a bridge and rise "
                "over the mountain above a tunnel, and the car is simulated on that.",
                limit=f"{STEEP:.0%}",
                value=f"{profile.steepest:.0%}",
                clause=practice("steeper public roads are rare enough to have names"),
                remedy="Look at its heights (the picture of the route); correct them in the file where there is no such hill.",
            )


@rule(trips=no_trips)
def points_of_a_route(seen: Assessed) -> Iterator[Finding]:
    """Was each route read as it is, or was something left out or taken instead?"""
    for name, profile in _routes(seen.case):
        said = [each for each in profile.remarks if not each.startswith("there are no heights")]
        if said:
            yield Finding(
                key=f"road.route_points.{name}",
                severity="note",
                title=f"Not all points of the route '{name}' are used",
                detail=f"Of {profile.file}: {'; '.join(said)}.",
                limit="every point as it stands",
                value=f"{len(said)} departure{'s' * (len(said) > 1)}",
                clause=practice("described in docs/theory/routes.md"),
                remedy="Nothing need be done where the route looks right; else record it anew.",
            )


@rule("trips", trips=lambda case: frozenset(case.traces))
def charge_at_the_end(seen: Assessed) -> Iterator[Finding]:
    """Is something left in the pack at the end of each journey that was recorded or drawn?"""
    lowest = seen.case.build.pack.window.empty.value
    for name in seen.case.traces:
        key, limit = f"road.arrival_charge.{name}", lowest + RESERVE
        left = seen.si(key)
        figure = seen.figures.get(key)
        if left is None or figure is None:
            continue
        fails = seen.failing(key, limit, f"something is left at the end of the journey '{name}'", least=True)
        if not exceeds(limit, left):
            continue
        said = apart(percent, left, limit)
        yield Finding(
            key=f"road.arrival.{name}",
            severity="caution",
            title=f"Little is left at the end of the journey '{name}'",
            detail=f"One drive from the highest used charge ends at {said.value}; {lowest:.0%} is the lowest that is used. Cold, a head "
            f"wind or a detour takes what is left. On such drives the car goes {seen.text(f'road.range.{name}')}.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            likelihood=likely(fails),
            clause=practice("a tenth of the charge in hand"),
            remedy="Charge on the way or at its end, drive slower, or fit more of the pack.",
            ladders=(more_strings(seen),),
        )


def _own(case: Case) -> Iterator[DutyTrip]:
    """Journeys with a route or a trace of their own."""
    return (each for each in case.build.duty.trips if each.name in case.traces)


@rule("mass", trips=no_trips)
def payload_of_a_journey(seen: Assessed) -> Iterator[Finding]:
    """Is what each journey carries no more than the car may, and no less than its driver?"""
    left, person = seen.si("mass.payload_left"), seen.case.build.person_mass.value
    for each in _own(seen.case):
        if each.payload is None:
            continue
        carried = each.payload.value
        if left is not None and exceeds(carried, left):
            said = apart(seen.kg, carried, max(left, 0.0))
            yield Finding(
                key=f"road.journey_payload.{each.name}",
                severity="caution",
                title=f"The journey '{each.name}' carries more than the car may",
                detail=f"People and luggage of this drive are {said.value}; {said.limit} are left between the kerb mass and the "
                "permitted gross mass. The figures of the drive hold for the load as it is entered.",
                limit=said.limit,
                value=said.value,
                margin=said.margin,
                clause=maker("the permitted gross mass on the donor's plate or papers"),
                remedy=f"Enter no more than {said.limit} as its payload, or make the car lighter.",
            )
        elif exceeds(person, carried):
            said = apart(seen.kg, carried, person)
            yield Finding(
                key=f"road.journey_payload.{each.name}",
                severity="note",
                title=f"The journey '{each.name}' carries less than one person",
                detail=f"People and luggage of this drive are {said.value}, and one person is taken as {said.limit}. The driver counts "
                "among them.",
                limit=f"at least {said.limit}",
                value=said.value,
                clause=arithmetic("the mass of one person as it is entered or assumed"),
                remedy="Add the driver to the payload of the journey.",
            )


@rule(trips=no_trips)
def wind_of_a_journey(seen: Assessed) -> Iterator[Finding]:
    """Is the wind of each journey one in which people drive?"""
    for each in _own(seen.case):
        if each.wind is None or not exceeds(abs(each.wind.value), GALE):
            continue
        said = apart(lambda value, more=0: _pace(seen, value, more), abs(each.wind.value), GALE)
        yield Finding(
            key=f"road.journey_wind.{each.name}",
            severity="note",
            title=f"The wind of the journey '{each.name}' is a gale",
            detail=f"It is entered with {said.value}; a gale begins at {said.limit}. What it does from the side, on the drag and on a "
            "light car's path, is not worked out, and near the ground the wind is weaker than the weather service says.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            clause=from_memory("Beaufort scale of the World Meteorological Organization, force 8"),
            remedy="Enter the mean wind at car height, about two thirds of what is told for 10 m above the ground.",
        )


@rule("trips", trips=no_trips)
def limits_of_a_journey(seen: Assessed) -> Iterator[Finding]:
    """Does the car reach the speeds that each journey asks, section by section?"""
    top = seen.si("road.top_speed")
    for each in _own(seen.case):
        fastest = max(seen.case.traces[each.name].speed, default=0.0)  # after bends, and as far as it can speed up
        if top is None or not exceeds(fastest, top):
            continue
        said = apart(lambda value, more=0: _pace(seen, value, more), fastest, top)
        yield Finding(
            key=f"road.journey_limit.{each.name}",
            severity="note",
            title=f"The car does not reach every speed of the journey '{each.name}'",
            detail=f"It asks for {said.value} somewhere; on the level the car reaches {said.limit}. There it is driven at full power and "
            "stays behind.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            clause=arithmetic("top speed on the level, laden"),
            remedy=f"Enter at most {said.limit} (speed, limits).",
        )


def _pace(seen: Assessed, value: float, more: int = 0) -> str:
    return amount(Unit("km/h").from_si(value), Unit("km/h"), more, seen.system)


def _climbing(seen: Assessed) -> str:
    """Energy that lifts the laden car by 100 m."""
    joule = (seen.si("mass.laden") or 0.0) * STANDARD_GRAVITY * 100.0
    return amount(Unit("kWh").from_si(joule), Unit("kWh"), 2, seen.system)


def _metres(seen: Assessed, metres: float) -> str:
    return amount(metres, Unit("m"), 0, seen.system)
