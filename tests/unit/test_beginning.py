"""A car in five answers: what was answered stands as typed, the rest is assumed and says so, and the whole is a build.

Where cars have their mass and what lies inside their outline is common practice, with no source.
"""

from __future__ import annotations

import itertools
import re
from dataclasses import replace

import pytest
from hypothesis import Phase, assume, example, given, settings
from hypothesis import strategies as st

from voltwright.assess.case import Case
from voltwright.assess.figures import PointFigures, work_out
from voltwright.build.beginning import Answers, begin
from voltwright.build.begun.answers import PLACES
from voltwright.build.begun.money import OF_ONE_EURO
from voltwright.build.document import Build
from voltwright.build.reader import BuildFile, loads
from voltwright.build.writer import changed
from voltwright.parts.battery import Module
from voltwright.parts.shelf import catalogue
from voltwright.quantity.entry import Entry
from voltwright.quantity.errors import BuildError
from voltwright.quantity.units import CURRENCIES
from voltwright.rules.dossier import assess
from voltwright.services.beginning import begun

COUPE = Answers(
    donor="Two-door coupé", year="1968", body="coupe", length="4.12 m", wheelbase="2.42 m", mass_kerb="1012 kg",
    range="100 km", cruise_speed="100 km/h", seats="2", keep_gearbox=True,
    motor="motor/pm-90kw-350v", module="module/nmc-12s-50ah", modules="16",
    title="Begun for a test", country="IE", currency="EUR",
)  # fmt: skip
HEAVIEST = 0.35  # of the donor: modules that no workshop would put more of into a car
BODIES = ("coupe", "roadster", "saloon", "estate", "van", "pickup", "other")
CHOICES = (
    ("motor/pm-90kw-350v", "module/nmc-12s-50ah", "16"),
    ("motor/induction-35kw-120v", "module/nca-6s70p-217ah", "5"),
    ("motor/series-45kw-144v", "module/lfp-4s-280ah", "12"),
    ("motor/pm-65kw-350v-geared", "module/nmc-18s-100ah", "5"),
)
# Where an answer stands in the build, beside the places of PLACES: the count as two numbers, and the gearbox.
ANSWERED = {*PLACES.values(), "drive.gearing.way", "brief.keep"}


def read(text: str) -> BuildFile:
    return loads(text, shelf=catalogue())


def entered(build: Build) -> dict[str, Entry]:
    return {path: each for path, each in build.entries() if each.origin.how != "assumed"}


def figures_of(built: BuildFile) -> PointFigures:
    return PointFigures(work_out(Case(built.build, built.shelf, built.beside)))


def must_be_plausible(built: BuildFile) -> None:
    """Common practice, no source: 35 to 65 % on the front axle, the centre of gravity below the belt, boxes inside the car."""
    figures, build = figures_of(built), built.build
    values = {
        key: figures[key].value for key in ("mass.front_axle", "mass.kerb", "mass.cg_height", "mass.front_axle_before")
    }
    front, kerb, height, before = (float(each) for each in values.values() if each is not None)
    assert 0.35 <= front / kerb <= 0.65
    assert 0.35 <= before / build.donor.mass_kerb.value <= 0.65
    assert 0.35 <= height <= 0.85
    size = build.donor.size
    nose, tail = -size.front_overhang.value, size.length.value - size.front_overhang.value
    for box in build.pack.boxes:
        assert nose <= box.x.value - box.length.value / 2, box.name
        assert box.x.value + box.length.value / 2 <= tail, box.name
        assert box.width.value <= size.width.value, box.name
    assert sum(box.modules for box in build.pack.boxes) == build.pack.module_count


@pytest.mark.parametrize(("body", "choice", "keep"), [*itertools.product(BODIES, CHOICES, (True, False))])
def test_every_body_becomes_a_build(body: str, choice: tuple[str, str, str], keep: bool) -> None:
    motor, module, modules = choice
    answers = replace(COUPE, body=body, motor=motor, module=module, modules=modules, keep_gearbox=keep)
    built = read(begin(answers, catalogue()))
    assert built.build.pack.module_count == int(modules)
    assert (built.build.drive.gearing.way == "gearbox-kept") is keep
    assert entered(built.build).keys() <= ANSWERED
    must_be_plausible(built)
    made = assess(built, with_bands=False, search=False)
    assert not [each.key for each in made.findings if each.key.startswith(("fit.", "data.place_outside"))]
    assert changed(built, "title", COUPE.title).document.text == built.document.text, "it goes round through the writer"


def test_answers_stand_as_they_were_typed() -> None:
    typed = replace(
        COUPE, length="13'6\"", wheelbase="95 in", mass_kerb="2230 lb", range="60 mi", cruise_speed="62 mph"
    )
    build = read(begin(typed, catalogue())).build
    for name in ("length", "wheelbase", "mass_kerb", "range", "cruise_speed"):
        section, *rest = PLACES[name].split(".")
        value = getattr(build, section)
        for each in rest:
            value = getattr(value, each)
        assert (value.text, value.origin.how) == (getattr(typed, name), "entered")
    assert build.donor.size.length.value == pytest.approx(13.5 * 0.3048)
    assert build.donor.mass_kerb.value == pytest.approx(2230 * 0.45359237)


@pytest.mark.parametrize("keep", [True, False])
def test_whatever_was_not_answered_says_so(keep: bool) -> None:
    """Quantities by their origin; everything else by the comment behind it. Names alone say nothing of the car."""
    text = begin(replace(COUPE, keep_gearbox=keep), catalogue())
    build = read(text).build
    assert entered(build).keys() == {
        "donor.mass_kerb", "donor.size.length", "donor.size.wheelbase", "brief.range", "brief.cruise_speed",
    }  # fmt: skip
    said = [
        "voltwright", "title", "currency", "country", "range", "cruise_speed", "seats", "year", "body", "mass_kerb", "length",
        "wheelbase", "name", *(["way", "keep"] if keep else []),
    ]  # fmt: skip
    allowed = re.compile(rf" *(- )?({'|'.join(said)}): .*")
    parts = {f"part: {COUPE.motor}", f"module: {COUPE.module}", f"title: {COUPE.donor}"}
    for line in text.splitlines():
        if line.endswith(":") or not line or line.startswith("#") or allowed.fullmatch(line) or line.strip() in parts:
            continue
        assert "how: assumed" in line or "# assumed: " in line, line
    for _, each in build.entries():
        assert each.origin.how != "assumed" or each.origin.reason


def test_a_search_leaves_fewer_stops_and_touches_no_answer() -> None:
    """The car of the examples has no stop; an inverter that joins both sides is exchanged for one that does not."""
    assert not assess(read(begun(COUPE, catalogue())), with_bands=False, search=False).has_stop
    series = replace(COUPE, motor="motor/series-45kw-144v", module="module/lfp-4s-280ah", modules="12")
    first, mended = (read(each) for each in (begin(series, catalogue()), begun(series, catalogue())))
    stops = [
        {each.key for each in assess(one, with_bands=False, search=False).findings if each.severity == "stop"}
        for one in (first, mended)
    ]
    assert stops[1] < stops[0]
    assert "protection.isolation.inverter" in stops[0] - stops[1]
    assert entered(mended.build).keys() == entered(first.build).keys()
    assert (mended.build.donor, mended.build.brief) == (first.build.donor, first.build.brief)
    assert "# assumed: " in next(line for line in mended.document.text.splitlines() if "part: inverter/" in line)


def test_a_setting_that_takes_a_stop_away_is_an_assumption() -> None:
    """Too much regeneration for these devices on a full pack: the share is set lower, and nobody entered it."""
    answers = replace(
        COUPE, body="pickup", motor="motor/induction-25kw-72v", module="module/lfp-8s-46ah", modules="20", mass_kerb="663 kg"
    )  # fmt: skip
    first, mended = (read(each(answers, catalogue())).build for each in (begin, begun))
    shares = [each.drive.regeneration.share for each in (first, mended)]
    assert shares[1].value < shares[0].value
    assert (shares[1].origin.how, bool(shares[1].origin.reason)) == ("assumed", True)
    assert entered(mended).keys() == entered(first).keys()


def test_every_currency_has_a_rate_and_every_bill_a_unit() -> None:
    assert {"EUR", *OF_ONE_EURO} == CURRENCIES
    for currency in CURRENCIES:
        build = read(begin(replace(COUPE, currency=currency, country="NZ"), catalogue())).build
        rate = build.costing.labour_rate
        assert rate is not None
        assert rate.unit.spelling == f"{currency}/h"
        assert (currency == "EUR") == ("EUR" not in build.costing.exchange)


def test_every_wrong_answer_is_told_at_once() -> None:
    wrong = Answers(
        donor="", year="soon", body="tram", length="2 m", wheelbase="2.4 m", mass_kerb="heavy", range="100 kg", cruise_speed="",
        seats="0", keep_gearbox=False, motor="motor/nobody", module="motor/pm-90kw-350v", modules="a few", title="\x1b[31m",
        country="Ireland", currency="eur",
    )  # fmt: skip
    with pytest.raises(BuildError) as caught:
        begin(wrong, catalogue())
    told = {each.path: each for each in caught.value.problems}
    assert list(told) == [name for name in vars(wrong) if name not in ("length", "keep_gearbox")]
    assert all(each.what and each.allowed and each.mend for path, each in told.items() if path != "title")
    assert told["wheelbase"].what == "the wheelbase (2.4 m) is not shorter than the car (2 m)"
    assert "coupe" in told["body"].allowed


@pytest.mark.parametrize("name", list(PLACES))
@pytest.mark.parametrize("text", ["", "x" * 5000, "{a: 1}", "~", "&a *a", "-1", "nan kg", "1e999", "null", "# no"])
def test_no_answer_ends_in_a_traceback(name: str, text: str) -> None:
    """Odd answers are refused as an error of the house, or stand as they were typed."""
    answers = replace(COUPE, **{name: text})
    try:
        built = read(begin(answers, catalogue()))
    except BuildError as error:
        refused = {each.path for each in error.problems}
    else:
        refused = set[str]()
        assert text in (built.build.title, built.build.donor.title)
    assert refused <= {*PLACES}, "each problem is that of a question"


@settings(max_examples=25, phases=(Phase.explicit, Phase.generate))
@given(
    mass=st.integers(500, 2500), body=st.sampled_from(BODIES), choice=st.sampled_from(CHOICES),
    keep=st.booleans(), seats=st.integers(1, 9), length=st.floats(3.2, 5.6), share=st.floats(0.52, 0.66),
)  # fmt: skip
def test_cars_of_any_mass_are_plausible(
    mass: int, body: str, choice: tuple[str, str, str], keep: bool, seats: int, length: float, share: float
) -> None:
    motor, module, modules = choice
    assume(int(modules) * catalogue().take(module, Module).mass.value <= HEAVIEST * mass)
    answers = replace(
        COUPE, body=body, mass_kerb=f"{mass} kg", length=f"{length:.2f} m", wheelbase=f"{share * length:.2f} m",
        seats=str(seats), motor=motor, module=module, modules=modules, keep_gearbox=keep,
    )  # fmt: skip
    built = read(begin(answers, catalogue()))
    assert sum(each.places for each in built.build.donor.seats) >= seats
    must_be_plausible(built)


@settings(max_examples=25, phases=(Phase.explicit, Phase.generate))
@example(count=1000, module="module/nmc-18s-100ah", motor="motor/pm-12kw-48v")
@example(count=997, module="module/nmc-8s-50ah", motor="motor/pm-180kw-650v")
@given(
    count=st.integers(1, 120),
    module=st.sampled_from(catalogue().ids("module")),
    motor=st.sampled_from(catalogue().ids("motor")),
)
def test_any_motor_any_module_any_count(count: int, module: str, motor: str) -> None:
    built = read(begin(replace(COUPE, module=module, modules=str(count), motor=motor), catalogue()))
    assert sum(box.modules for box in built.build.pack.boxes) == built.build.pack.module_count == count
    assert figures_of(built)["mass.kerb"].value is not None


@settings(max_examples=25, phases=(Phase.explicit, Phase.generate))
@given(
    length=st.floats(0.5, 19.9), share=st.floats(0.1, 0.99), mass=st.floats(1.0, 19000.0), seats=st.integers(1, 20),
    speed=st.floats(0.1, 399.0), year=st.integers(1880, 2100),
)  # fmt: skip
def test_cars_that_nobody_makes_still_become_a_build(
    length: float, share: float, mass: float, seats: int, speed: float, year: int
) -> None:
    odd = replace(
        COUPE, length=f"{length:.3f} m", wheelbase=f"{share * length:.3f} m", mass_kerb=f"{mass:.2f} kg", seats=str(seats),
        cruise_speed=f"{speed:.2f} km/h", year=str(year),
    )  # fmt: skip
    assert read(begin(odd, catalogue())).build.donor.year == year
