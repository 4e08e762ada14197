"""Numbers of public law: points of identity, limits of power and mass, voltage classes, isolation for each volt, ages."""

from __future__ import annotations

from typing import Any

import pytest

from helpers import dossier
from voltwright.parts.countries import Historic, Points, ShareLimit, Voltage, packs
from voltwright.physics import alteration as law
from voltwright.physics.motor import share_of_power
from voltwright.rules.rule import AC_LIMIT, DC_LIMIT

FORUM = "gov.uk guidance on radically altered vehicles, as copied on an owners' forum"
DIRECT_GOV = "direct.gov.uk, page DG_10014199 on radically altered vehicles, read in a stored copy"
VSB_14 = "Vehicle Standards Bulletin 14, section LA, as summed up on a hobby wiki"
CFR_305 = "49 CFR 571.305, S3, as quoted on a forum"
PRESS_305 = "FMVSS 305 as changed in June 2010, as reported by the press"
UN_R100 = "UN Regulation 100, 5.1.3, as copied on a site of clauses"
ORDER_PRESS = "French order of 13 March 2020, annex III, as told by the press"
ORDER_JOURNAL = "French order of 13 March 2020, as told by a trade journal of 2022"
POINTS = ("works.identity_points",)

# component: points in the table
TABLE = {
    "chassis or body shell": 5, "suspension, front and back": 2, "axles, both": 2, "transmission": 2, "steering": 2, "engine": 1,
}  # fmt: skip


def rule(country: str, name: str) -> Any:
    return next(each for each in packs()[country].laws if each.id == name)


@pytest.mark.parametrize("component", TABLE)
def test_points_of_a_component(published, component: str) -> None:
    known: Points = rule("GB", "points")
    got = next(each.points for each in known.components if each.name == component)
    published.check(
        source=FORUM, law="identity points", asked=component, expected=TABLE[component], got=got, absolute=0.0,
        why="a table", keys=POINTS,
    )  # fmt: skip


# what the conversion costs, by hand from the table: 14 with everything
EXAMPLES: list[tuple[str, dict[str, Any], int]] = [
    ("the engine out, all else original", {}, 13),
    ("engine and transmission out", {"drive.gearing": {"way": "direct"}}, 11),
    ("engine and transmission out, the shell cut", {"drive.gearing": {"way": "direct"}, "works.4.kind": "cut"}, 6),
]


@pytest.mark.parametrize(("asked", "changes", "expected"), EXAMPLES, ids=[each[0] for each in EXAMPLES])
def test_points_of_a_conversion(published, asked: str, changes: dict[str, Any], expected: int) -> None:
    got = dossier({"country": "GB", **changes}).figures["works.identity_points"].value
    assert got is not None
    published.check(
        source=f"{FORUM}; added up by hand", law="identity points", asked=asked, expected=expected, got=got,
        absolute=0.0, why="whole points", keys=POINTS,
    )  # fmt: skip


@pytest.mark.parametrize("source", [FORUM, DIRECT_GOV])
def test_points_that_are_needed(published, source: str) -> None:
    published.check(
        source=source, law="identity points", asked="points to keep the number", expected=8, got=rule("GB", "points").needed,
        absolute=0.0, why="a number of the text", keys=POINTS,
    )  # fmt: skip


def test_five_of_them_are_the_shell(published) -> None:
    known: Points = rule("GB", "points")
    got = sum(each.points for each in known.components if each.must_stay)
    published.check(
        source=FORUM, law="identity points", asked="points that must be the shell's", expected=5, got=got, absolute=0.0,
        why="a number of the text", keys=POINTS,
    )  # fmt: skip


# source, country, rule, side, share that is just allowed, what is compared
LIMITS = [
    (VSB_14, "AU", "power", "most", 120.0, "share_of_power", "works.power_share"),
    (ORDER_PRESS, "FR", "power", "least", 65.0, "share_of_power", "works.power_share_peak"),
    (ORDER_PRESS, "FR", "power", "most", 100.0, "share_of_power", "works.power_share_peak"),
    (ORDER_JOURNAL, "FR", "power", "most", 100.0, "share_of_power", "works.power_share_peak"),
    (ORDER_JOURNAL, "FR", "mass", "most", 120.0, "mass_share", "works.mass_share"),
]


@pytest.mark.parametrize(("source", "country", "name", "side", "percent", "formula", "key"), LIMITS)
def test_limit_of_power_or_mass(
    published, source: str, country: str, name: str, side: str, percent: float, formula: str, key: str
) -> None:
    """The share by the law of physics at the limit of the text is the limit of the pack."""
    known: ShareLimit = rule(country, name)
    assert known.of == key
    limit = getattr(known, side)
    if formula == "share_of_power":
        got = limit - share_of_power(power=percent * 500.0, rated=50000.0)
    else:
        got = limit - law.mass_share(mass=percent * 10.0, before=1000.0)
    published.check(
        source=source, law=formula, asked=f"{country}: {side} allowed, less {percent:g} %", expected=0.0, got=got,
        absolute=1e-12, why="a number of the text", keys=(key,),
    )  # fmt: skip


def test_voltage_at_which_high_voltage_begins(published) -> None:
    known: Voltage = rule("US", "voltage")
    for asked, expected, data, program in (
        ("direct", 60.0, known.dc, DC_LIMIT),
        ("alternating", 30.0, known.ac, AC_LIMIT),
    ):
        for where, got in (("pack", data), ("rules", program)):
            published.check(
                source=CFR_305, law="voltage class", asked=f"{asked}, in the {where} [V]", expected=expected, got=got,
                absolute=0.0, why="a number of the text", keys=("pack.voltage_full", "pack.voltage_ac"),
            )  # fmt: skip


@pytest.mark.parametrize("source", [PRESS_305, UN_R100])
def test_isolation_for_each_volt(published, source: str) -> None:
    known: Voltage = rule("US", "voltage")
    for asked, expected, got in (("AC", 500.0, known.ohm_per_volt_ac), ("DC", 100.0, known.ohm_per_volt_dc)):
        published.check(
            source=source, law="isolation for each volt", asked=f"{asked} [Ω/V]", expected=expected, got=got, absolute=0.0,
            why="a number of the text",
        )  # fmt: skip


AGES = [
    ("Department for Transport, substantial change guidance, as printed by owners' clubs", "GB", 40),
    ("§ 23 StVZO, as told by an inspection body", "DE", 30),
    ("Code de la route R. 311-1, 6.3, as quoted by the press", "FR", 30),
    ("a page of 2017 on Swiss veteran vehicles", "CH", 30),
    ("directive 2014/45/EU art. 3 (7), from memory", "IE", 30),
]


@pytest.mark.parametrize(("source", "country", "years"), AGES)
def test_age_of_historic_status(published, source: str, country: str, years: int) -> None:
    known: Historic = rule(country, "historic")
    published.check(
        source=source, law="age of historic status", asked=f"{country} [years]", expected=years, got=known.years, absolute=0.0,
        why="a number of the text",
    )  # fmt: skip
