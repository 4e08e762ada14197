"""The law of the build's country: identity, structure, power, mass, historic status, approval; and how old the data are."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import TypeVar

from voltwright.assess.works import components_judged
from voltwright.parts.alterations import in_words
from voltwright.parts.countries import (
    Duty,
    Gross,
    Historic,
    Law,
    Pack,
    Points,
    ShareLimit,
    Structure,
    Voltage,
    pack_of,
    packs,
)
from voltwright.parts.drive import Motor
from voltwright.rules.clause import Clause, arithmetic
from voltwright.rules.finding import Assessed, Finding, Ladder, apart, exceeds, volts
from voltwright.rules.rule import rule
from voltwright.rules.ways import another_part, less_load

SHELF_LIFE = timedelta(days=365)
SomeLaw = TypeVar("SomeLaw", bound=Law)


def _pack(seen: Assessed) -> Pack | None:
    return pack_of(seen.case.build.country)


def _laws(seen: Assessed, kind: type[SomeLaw]) -> Iterator[tuple[str, SomeLaw]]:
    """The rules of a kind, each with the code of its country as it stands in the key of a finding."""
    if (pack := _pack(seen)) is not None:
        yield from ((pack.country.lower(), each) for each in pack.laws if isinstance(each, kind))


def clause_of(law: Law) -> Clause:
    """Text, region, edition and ground of a rule."""
    return Clause(f"{law.law}{f' ({law.region})' if law.region else ''}; {law.edition}", law.seen)


@rule()
def country_known(seen: Assessed) -> Iterator[Finding]:
    """Is there a rule pack for the country of the build?"""
    if _pack(seen) is None:
        country = seen.case.build.country
        yield Finding(
            key="country.none",
            severity="note",
            title="Nothing is known of the law of the country",
            detail=f"There is no rule pack for {country}." if country else "The build names no country.",
            limit=", ".join(packs()),
            value=country or "none",
            clause=arithmetic("the rule packs that come with Voltwright"),
            remedy="Ask the registration authority before you cut: identity, approval, power, mass and historic status.",
        )


@rule()
def data_old(seen: Assessed) -> Iterator[Finding]:
    """Were the texts of the rule pack seen within the last 12 months?"""
    pack = _pack(seen)
    oldest = pack.oldest if pack else None
    if pack is not None and oldest is not None and seen.today is not None and seen.today - oldest > SHELF_LIFE:
        yield Finding(
            key="country.data_old",
            severity="caution",
            title=f"Rule data were seen on {oldest.isoformat()}",
            detail=f"The rules of {pack.name} were last looked up more than 12 months before {seen.today.isoformat()}. Laws change.",
            limit="12 months",
            value=f"{(seen.today - oldest).days} days",
            clause=arithmetic("the days on which the texts were seen"),
            remedy=f"Ask {pack.authority}, or take a newer Voltwright.",
        )


@rule()
def from_memory_alone(seen: Assessed) -> Iterator[Finding]:
    """Does the pack hold rules whose text nobody saw?"""
    pack = _pack(seen)
    unseen = [each for each in pack.laws if each.seen == "memory"] if pack else []
    if pack is not None and unseen:
        yield Finding(
            key="country.from_memory",
            severity="note",
            title=f"Rules of {pack.name} that nobody has read",
            detail=f"{'; '.join(each.law for each in unseen)}.",
            clause=arithmetic("how far each text was seen"),
            remedy=f"Read them, or ask {pack.authority}, before you rely on them.",
        )


@rule("works")
def identity(seen: Assessed) -> Iterator[Finding]:
    """Does the car keep its identity by the points of its country?"""
    points = seen.si("works.identity_points")
    for code, law in _laws(seen, Points):
        lost = [each for each in components_judged(seen.case.build) if each.lost_by]
        missing = [each.component.name for each in lost if each.component.must_stay]
        if points is None or (points >= law.needed and not missing):
            continue
        told = "; ".join(f"{each.component.name}, {each.component.points}: {each.lost_by}" for each in lost)
        yield Finding(
            key=f"country.{code}.{law.id}",
            severity=law.severity,
            title=law.title if points < law.needed else f"The points do not count without the {missing[0]}",
            detail=f"{law.says} Lost here: {told}.",
            limit=f"{law.needed} points",
            value=f"{points:.0f} points",
            margin=f"{points - law.needed:+.0f} points".replace("-", "−"),
            clause=clause_of(law),
            remedy=law.remedy,
        )


@rule()
def structure(seen: Assessed) -> Iterator[Finding]:
    """Is the structure altered where the law of the country asks for something then?"""
    for code, law in _laws(seen, Structure):
        works = [
            each
            for each in seen.case.build.works
            if each.kind in law.kinds and each.where in law.where and (each.load_bearing or not law.load_bearing)
        ]
        count = sum(each.count for each in works)
        if works:
            yield Finding(
                key=f"country.{code}.{law.id}",
                severity=law.severity,
                title=law.title,
                detail=f"{law.says} Here: {'; '.join(f'{each.name} ({each.kind}, {in_words(each.where)})' for each in works)}.",
                value=f"{count} {'place' if count == 1 else 'places'}",
                clause=clause_of(law),
                remedy=law.remedy,
            )


@rule("works")
def shares(seen: Assessed) -> Iterator[Finding]:
    """Are power and mass within what the law of the country allows of the donor's?"""
    for code, law in _laws(seen, ShareLimit):
        value = seen.si(law.of)
        if value is None:
            continue
        low = law.least is not None and exceeds(law.least, value)
        high = law.most is not None and exceeds(value, law.most)
        if low or high:
            bounds = (law.least or 0.0) if low else (law.most or 0.0)
            yield Finding(
                key=f"country.{code}.{law.id}",
                severity=law.severity,
                title=law.title,
                detail=law.says,
                limit=f"{'at least' if low else 'at most'} {bounds * 100:.0f} %",
                value=seen.text(law.of),
                margin=f"−{abs(value - bounds) * 100:.0f} %",
                clause=clause_of(law),
                ladders=_other_motors(seen, law),
                remedy=law.remedy,
            )


def _other_motors(seen: Assessed, law: ShareLimit) -> tuple[Ladder, ...]:
    """Motors of the shelf whose power is within the limits."""
    engine, placed = seen.case.build.donor.drive_line.engine_power, seen.case.build.drive.motor
    if law.of == "works.mass_share" or engine is None or placed is None:
        return ()

    def suits(motor: Motor) -> bool:
        power = motor.power_continuous if law.of == "works.power_share" else motor.power_peak
        share = power.value * placed.count / engine.value
        return not exceeds(law.least or 0.0, share) and not (law.most is not None and exceeds(share, law.most))

    return (another_part(seen, "drive.motor.part", "motor", suits),)


@rule("mass")
def gross(seen: Assessed) -> Iterator[Finding]:
    """Is the laden car heavier than its maker allows, where the law of the country asks for something then?"""
    limit, laden = seen.case.build.donor.limits.gross, seen.si("mass.laden")
    for code, law in _laws(seen, Gross):
        if limit is not None and laden is not None and exceeds(laden, limit.value):
            said = apart(seen.kg, laden, limit.value)
            yield Finding(
                key=f"country.{code}.{law.id}",
                severity=law.severity,
                title=law.title,
                detail=law.says,
                limit=said.limit,
                value=said.value,
                margin=said.margin,
                clause=clause_of(law),
                ladders=(less_load(seen),),
                remedy=law.remedy,
            )


@rule("pack")
def voltage_class(seen: Assessed) -> Iterator[Finding]:
    """Is it high voltage by the law of the country?"""
    direct, alternating = seen.si("pack.voltage_full"), seen.si("pack.voltage_ac")
    for code, law in _laws(seen, Voltage):
        if exceeds(direct or 0.0, law.dc) or exceeds(alternating or 0.0, law.ac):
            kilohm = [(direct or 0.0) * each / 1000 for each in (law.ohm_per_volt_ac, law.ohm_per_volt_dc)]
            yield Finding(
                key=f"country.{code}.{law.id}",
                severity=law.severity,
                title=law.title,
                detail=f"{law.says} At {volts(direct or 0.0)} that is {kilohm[0]:.0f} kΩ, or {kilohm[1]:.0f} kΩ.",
                limit=f"{law.dc:.0f} V direct, {law.ac:.0f} V alternating",
                value=f"{volts(direct or 0.0)} direct, {volts(alternating or 0.0)} alternating",
                clause=clause_of(law),
                remedy=law.remedy,
            )


@rule()
def historic(seen: Assessed) -> Iterator[Finding]:
    """Is the car old enough for a status that a new drive may cost?"""
    year = seen.case.build.donor.year
    for code, law in _laws(seen, Historic):
        day: date | None = seen.today or law.seen_on
        if day is None or day.year - year >= law.years:
            yield Finding(
                key=f"country.{code}.{law.id}",
                severity=law.severity,
                title=law.title,
                detail=law.says,
                limit=f"{law.years} years",
                value=f"of {year}",
                clause=clause_of(law),
                remedy=law.remedy,
            )


@rule()
def duties(seen: Assessed) -> Iterator[Finding]:
    """Who must approve the car, and who must be told?"""
    for code, law in _laws(seen, Duty):
        yield Finding(
            key=f"country.{code}.{law.id}",
            severity=law.severity,
            title=law.title,
            detail=law.says,
            clause=clause_of(law),
            remedy=law.remedy,
        )
