"""Axles, gross mass, payload, tyres, springs."""

from __future__ import annotations

import math
from collections.abc import Iterator

from voltwright.build.fitted import Box
from voltwright.parts.tyres import index_for
from voltwright.rules.clause import from_memory, maker, practice
from voltwright.rules.finding import PERHAPS, Assessed, Finding, apart, likely
from voltwright.rules.rule import rule
from voltwright.rules.ways import fewer_in_series, fewer_seats, fewer_strings, less_load, moved_boxes, tyres_for_load

LEAST_TRAVEL = 0.040  # m; common practice: a bad road uses that much
LARGEST_RIDE_CHANGE = 0.025  # m; common practice: beyond this headlamps, steering and bump travel suffer


def box_mass(seen: Assessed, box: Box) -> float:
    """A box with its modules. [kg]"""
    return box.mass.value + box.modules * seen.case.module.mass.value


def perhaps(seen: Assessed, figure: str, key: str, what: str, limit: float) -> Iterator[Finding]:
    """A limit that is kept, but not by everything that the figure may be."""
    high, fails = seen.figures[figure].high, seen.failing(figure, limit, f"{what[0].lower()}{what[1:]} bears its load")
    if high is None or fails is None or fails <= PERHAPS:
        return
    said = apart(seen.kg, high, limit)
    yield Finding(
        key=key,
        severity="caution",
        title=f"{what} may turn out too heavy",
        detail=f"{seen.text(figure)} is within the limit of {said.limit}, but it may be {said.value}: some masses are not sure.",
        limit=said.limit,
        value=f"up to {said.value}",
        margin=said.margin,
        likelihood=likely(fails),
        clause=maker("the limit on the donor's plate or papers"),
        remedy="Measure what is assumed or unsure (the list of assumptions says what moves this figure), or keep that much in hand.",
    )


@rule("mass")
def axle_limit(seen: Assessed) -> Iterator[Finding]:
    """Does each axle, laden, carry no more than it may?"""
    limits = seen.case.build.donor.limits
    for axle, entry in (("front", limits.front_axle), ("rear", limits.rear_axle)):
        carried = seen.si(f"mass.{axle}_axle_laden")
        if entry is None or carried is None:
            continue
        if carried <= entry.value:
            yield from perhaps(
                seen, f"mass.{axle}_axle_laden", f"mass.{axle}_axle_perhaps", f"The {axle} axle", entry.value
            )
            continue
        fails = seen.failing(f"mass.{axle}_axle_laden", entry.value, f"the {axle} axle bears what it carries")
        said = apart(seen.kg, carried, entry.value)
        yield Finding(
            key=f"mass.{axle}_axle_limit",
            severity="stop",
            title=f"The {axle} axle is overloaded",
            detail=f"With the seats and load of the brief the {axle} axle carries {said.value}; it may carry {said.limit}.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            likelihood=likely(fails),
            clause=maker("the axle limit on the donor's plate or papers"),
            remedy="Or less load in the brief, or a lighter way to build.",
            ladders=(
                *moved_boxes(seen, rearwards=axle == "front")[:2],
                fewer_strings(seen),
                fewer_in_series(seen),
                less_load(seen),
            ),
        )


@rule("mass")
def gross_mass(seen: Assessed) -> Iterator[Finding]:
    """Does the laden car stay within its permitted gross mass?"""
    entry, laden = seen.case.build.donor.limits.gross, seen.si("mass.laden")
    if entry is None or laden is None:
        return
    if laden <= entry.value:
        yield from perhaps(seen, "mass.laden", "mass.gross_perhaps", "The car", entry.value)
        return
    over = laden - entry.value
    fails = seen.failing("mass.laden", entry.value, "the car stays within its permitted gross mass")
    said = apart(seen.kg, laden, entry.value)
    yield Finding(
        key="mass.gross_limit",
        severity="stop",
        title="The car is too heavy",
        detail=f"Laden as in the brief the car weighs {said.value}; it may weigh {said.limit}.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        likelihood=likely(fails),
        clause=maker("the permitted gross mass on the donor's plate or papers"),
        remedy=f"At least {seen.kg(over)} must be saved.",
        ladders=(fewer_strings(seen), fewer_in_series(seen), less_load(seen), fewer_seats(seen)),
    )


@rule("mass")
def payload_for_the_seats(seen: Assessed) -> Iterator[Finding]:
    """Is there payload for a person in every seat?"""
    left = seen.si("mass.payload_left")
    places = sum(seat.places for seat in seen.case.build.donor.seats)
    person = seen.case.build.person_mass.value
    need = places * person
    if left is None or left >= need:
        return
    fit = max(0, math.floor(left / person))
    said = apart(seen.kg, left, need)
    yield Finding(
        key="mass.payload_seats",
        severity="stop" if left <= 0 else "caution",
        title="Not every seat may be used",
        detail=f"{places} people of {seen.kg(person)} need {said.limit}; the permitted gross mass leaves {said.value}.",
        limit=said.limit,
        value=said.value,
        margin=said.margin,
        likelihood=likely(seen.failing("mass.payload_left", need, "every seat has its payload", least=True)),
        clause=practice("every seat in the papers must have its payload"),
        remedy=f"Register {fit} seats, or save {seen.kg(need - left)}.",
        ladders=(fewer_strings(seen), fewer_in_series(seen)),
    )


@rule("mass")
def tyre_load(seen: Assessed) -> Iterator[Finding]:
    """Do the tyres carry the laden axles?"""
    for axle in ("front", "rear"):
        reserve, carried = seen.si(f"mass.tyre_reserve_{axle}"), seen.si(f"mass.{axle}_axle_laden")
        if carried is None:
            continue
        index = index_for(carried / 2)
        need = f"load index {index} or more" if index else "a tyre for heavier vehicles"
        tyres = seen.case.build.donor.tyres
        marking = tyres.front if axle == "front" else tyres.rear
        if reserve is None:
            yield Finding(
                key=f"mass.tyre_unknown_{axle}",
                severity="caution",
                title=f"The load rating of the {axle} tyres is not known",
                detail=f"The marking '{marking}' names no load index; each {axle} tyre carries {seen.kg(carried / 2)} laden.",
                limit=need,
                value=f"{seen.kg(carried / 2)} a tyre",
                clause=from_memory("UN R30: the load index stands on the side wall"),
                remedy=f"Read the side wall: it must show {need}, or enter the load rating from the tyre maker's data.",
            )
        elif reserve < 0:
            allowed = carried / (1 - reserve)
            said = apart(seen.kg, carried, allowed)
            yield Finding(
                key=f"mass.tyre_load_{axle}",
                severity="stop",
                title=f"The {axle} tyres are overloaded",
                detail=f"Laden, the {axle} axle carries {said.value}; two tyres '{marking}' carry {said.limit}.",
                limit=said.limit,
                value=said.value,
                margin=said.margin,
                clause=from_memory("UN R30 annex 4: load index"),
                remedy=f"The tyres must show {need}.",
                ladders=(tyres_for_load(seen, axle),),
            )


@rule("mass")
def ride_height(seen: Assessed) -> Iterator[Finding]:
    """Do the old springs still hold the car near its height?"""
    for axle in ("front", "rear"):
        change, factor = seen.si(f"mass.ride_height_{axle}"), seen.si(f"mass.spring_factor_{axle}")
        if change is None or factor is None or abs(change) <= LARGEST_RIDE_CHANGE:
            continue
        verb = "sinks" if change < 0 else "rises"
        said = apart(seen.millimetres, abs(change), LARGEST_RIDE_CHANGE)
        yield Finding(
            key=f"mass.ride_height_{axle}",
            severity="caution",
            title=f"The car {verb} at the {axle}",
            detail=f"On the old springs the body {verb} by {said.value} at the {axle}: "
            "lamps, steering geometry and travel change.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            clause=practice(),
            remedy=f"Fit {axle} springs {factor:.2f} times as stiff as the old ones, of the same free length, or have them re-set."
            if change < 0
            else f"Fit shorter {axle} springs or lowering blocks, or bring mass back over this axle; it has become lighter.",
        )


@rule("mass")
def bump_travel(seen: Assessed) -> Iterator[Finding]:
    """Does the laden car keep some way to its bump stops?"""
    for axle in ("front", "rear"):
        left, factor = seen.si(f"mass.bump_travel_{axle}"), seen.si(f"mass.spring_factor_{axle}")
        if left is None or factor is None or left >= LEAST_TRAVEL:
            continue
        rests = left <= 0
        said = apart(seen.millimetres, left, LEAST_TRAVEL)
        yield Finding(
            key=f"mass.bump_travel_{axle}",
            severity="stop" if rests else "caution",
            title=f"Laden, the car rests on its {axle} bump stops" if rests
            else f"Laden, the {axle} wheels have little way to their bump stops",
            detail=f"On the old springs {seen.millimetres(max(0.0, left))} are left at the {axle}. On its stops an axle is not sprung: "
            "the car jumps aside on a bump, and body and dampers break.",
            limit=said.limit,
            value=said.value,
            margin=said.margin,
            likelihood=likely(
                seen.failing(f"mass.bump_travel_{axle}", LEAST_TRAVEL, f"the {axle} wheels keep their bump travel", least=True)
            ),
            clause=practice("some 40 mm at the wheel when laden"),
            remedy=f"Fit {axle} springs for the new load ({factor:.2f} times as stiff restore the unladen height).",
            ladders=(*moved_boxes(seen, rearwards=axle == "front")[:2], fewer_strings(seen), less_load(seen)),
        )  # fmt: skip
