"""What is done to the car: what stays in its metal, and how the converted car compares with the donor."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from voltwright.assess.case import Case
from voltwright.assess.sheet import Sheet, constant, counted, nothing, of_several
from voltwright.build.document import Build
from voltwright.build.works import Work
from voltwright.parts.alterations import LASTING
from voltwright.parts.countries import Component, pack_of
from voltwright.physics import alteration as law
from voltwright.physics.motor import share_of_power
from voltwright.quantity.work import Node, total, work

NO_WORKS = "the build does not list what is done to the car (works)"
COUNTED = {"hole": "works.holes", "cut": "works.cuts", "weld": "works.welds"}


def assess_works(case: Case, sheet: Sheet) -> None:
    """Enter every figure of the question `works`."""
    _lasting(case, sheet)
    _identity(case, sheet)
    _power(case, sheet)
    _mass(case, sheet)


def _lasting(case: Case, sheet: Sheet) -> None:
    listed = list(enumerate(case.build.works))
    if not listed:
        for key in (*COUNTED.values(), "works.load_bearing"):
            sheet.lack(key, NO_WORKS)
        return
    for kind, key in COUNTED.items():
        sheet.add(key, _sum(f"Each {kind}", [pair for pair in listed if pair[1].kind == kind]))
    bearing = [pair for pair in listed if pair[1].load_bearing and pair[1].kind in LASTING]
    sheet.add("works.load_bearing", _sum("What bears load", bearing))


def _sum(label: str, listed: Sequence[tuple[int, Work]]) -> Node:
    terms = [counted(each.count, each.name, f"works.{at}.count") for at, each in listed]
    return total(label, terms, "1") if terms else nothing(label, "1")


def _power(case: Case, sheet: Sheet) -> None:
    placed, motor, engine = case.build.drive.motor, case.motor, case.build.donor.drive_line.engine_power
    keys = ("works.power_share", "works.power_share_peak")
    if placed is None or motor is None or engine is None:
        lacking = "names no motor (drive.motor)" if motor is None else "names no donor.drive_line.engine_power"
        for key in keys:
            sheet.lack(key, f"the build {lacking}")
        return
    before = case.leaf(engine, "Power of the old engine")
    for key, each, words in zip(keys, (motor.power_continuous, motor.power_peak), ("Continuous", "Peak"), strict=True):
        one = case.leaf(each, f"{words} power of one, {motor.title}")
        power = of_several(placed.count, one, "drive.motor.count")
        sheet.add(key, work(share_of_power, key, "%", power=power, rated=before))


def _mass(case: Case, sheet: Sheet) -> None:
    kerb = sheet.nodes.get("mass.kerb")
    if kerb is None:
        sheet.lack("works.mass_share", sheet.reasons.get("mass.kerb", "nothing is left of the car"))
        return
    before = case.leaf(case.build.donor.mass_kerb, "Kerb mass of the donor")
    sheet.add("works.mass_share", work(law.mass_share, "works.mass_share", mass=kerb, before=before))


@dataclass(frozen=True)
class Judged:
    """A component of a rule of points: whether it counts as original, and why not."""

    component: Component
    lost_by: str

    @property
    def points(self) -> int:
        return 0 if self.lost_by else self.component.points


def components_judged(build: Build) -> tuple[Judged, ...]:
    """Each component of the rule of points of the build's country; nothing where there is no such rule."""
    pack = pack_of(build.country)
    rule = pack.points if pack else None
    return tuple(Judged(each, _lost_by(each, build)) for each in rule.components) if rule else ()


def _lost_by(component: Component, build: Build) -> str:
    """Why a component no longer counts as original; nothing where it does."""
    if component.always:
        return "leaves the car"
    way = build.drive.gearing.way
    if way in component.ways:
        return f"drive.gearing.way is {way}"
    names = [each.name for each in build.works if each.kind in component.kinds and each.where in component.where]
    return "; ".join(names)


def _identity(case: Case, sheet: Sheet) -> None:
    judged = components_judged(case.build)
    key = "works.identity_points"
    if not judged:
        sheet.lack(key, "no rule of points is known for the country of the build (country)")
    elif not case.build.works:
        sheet.lack(key, NO_WORKS)
    else:
        sheet.add(key, total("Points", [_points(each) for each in judged], "1"))


def _points(judged: Judged) -> Node:
    known = judged.component
    state = f"lost: {judged.lost_by}" if judged.lost_by else "counts as original"
    return constant(float(judged.points), "1", known.name, f"{state}; {known.points} when original", "n")
