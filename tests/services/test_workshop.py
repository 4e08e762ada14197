"""Cars from the first entry to the backup: beginnings, pictures, revisions, parts, people."""

from __future__ import annotations

import dataclasses
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from helpers import EXAMPLES
from staff import ANN, BEN, CAT, at_its_end, own
from voltwright.papers.cautions import MARK_WORDS
from voltwright.papers.pictures import PICTURES
from voltwright.parts.shelf import catalogue
from voltwright.quantity.errors import (
    AbsentError,
    BuildError,
    ConflictError,
    EntryError,
    FigureError,
    FormatError,
    PartError,
)
from voltwright.quantity.plot import Bars
from voltwright.services.actor import Actor
from voltwright.services.beginning import answers_of
from voltwright.services.views import POINTS, Answers, Asked, BuildRow, Which
from voltwright.services.workshop import Workshop


def test_a_car_begins_with_a_text_and_ends_put_away(shop: Workshop) -> None:
    car = shop.cars.start(BEN, "Dr Alder's coupé", customer="Dr Alder")
    text = (EXAMPLES / "coupe.yaml").read_text(encoding="utf-8")
    build = shop.builds.start(BEN, car.id, "first", text)
    assert shop.builds.read(CAT, Which(build.id)).text == text
    with pytest.raises(EntryError, match="build 'first' already"):
        shop.builds.start(BEN, car.id, "first", text)
    with pytest.raises(FormatError, match="voltwright: 1"):
        shop.builds.start(BEN, car.id, "second", "title: nothing\n")
    with pytest.raises(AbsentError, match="no car 9"):
        shop.builds.start(BEN, 9, "second", text)
    shop.cars.change(BEN, car.id, name="The doctor's", away=True)
    assert shop.cars.list(CAT) == ()
    assert [each.name for each in shop.cars.list(CAT, away=True)] == ["The doctor's"]
    assert [each.name for each in shop.cars.open(CAT, car.id).builds] == ["first"]


def test_an_example_comes_with_the_files_that_it_names(shop: Workshop) -> None:
    assert shop.builds.examples(CAT).keys() == {"coupe", "roadster", "van"}
    van = shop.builds.start_example(BEN, "van", customer="The bakery")
    assert {each.name for each in shop.attachments.list(CAT, van.car)} == {"bakery-round.csv", "coast-down.csv"}
    assert shop.figures.assess(CAT, Which(van.id), POINTS).figures["road.consumption.town"].value
    with pytest.raises(AbsentError, match=r"no example 'tram'.*coupe, roadster, van"):
        shop.builds.start_example(BEN, "tram")


def test_a_car_begins_with_five_answers(shop: Workshop) -> None:
    """The example of every question is an answer to it, and whatever may be chosen is taken."""
    asked = {each.name: each for each in shop.builds.questions(CAT)}
    assert list(asked) == [each.name for each in dataclasses.fields(Answers)]
    assert list(dict.fromkeys(each.answer for each in asked.values())) == [
        "donor",
        "wishes",
        "motor",
        "modules",
        "where",
    ]
    assert all(each.label and each.allowed and each.example for each in asked.values())
    for name in ("motor", "module"):
        rows = tuple(each.part for each in asked[name].choices)
        assert rows == shop.parts.list(CAT, name)
    for each in asked.values():
        assert not each.choices or each.example in {one.value for one in each.choices}
    answers = answers_of({name: each.example for name, each in asked.items()})
    row = shop.builds.begin(BEN, answers, customer="The keeper")
    assert shop.cars.open(CAT, row.car).car.name == answers.title
    dossier = shop.figures.assess(CAT, Which(row.id), POINTS)
    assert dossier.count("stop") == 0
    assert {each.path for each in dossier.assumptions} >= {"donor.axles.front", "pack.boxes.0.x", "costing.labour_rate"}
    cars = shop.cars.list(CAT)
    with pytest.raises(BuildError) as caught:
        shop.builds.begin(BEN, replace(answers, body="tram", motor="motor/none", seats="many"))
    assert [each.path for each in caught.value.problems] == ["body", "seats", "motor"]
    assert shop.cars.list(CAT) == cars, "no car is left behind"


def test_answers_are_told_by_their_names() -> None:
    with pytest.raises(BuildError) as caught:
        answers_of({"weelbase": "2.4 m", "keep_gearbox": "perhaps"})
    assert [each.mend for each in caught.value.problems] == ["write wheelbase", "answer yes or no"]
    assert answers_of({"keep_gearbox": "No", "body": "van"}) == answers_of({"body": "van", "keep_gearbox": "false"})


def test_a_file_that_the_car_has_not_is_missed(shop: Workshop) -> None:
    car = shop.cars.start(BEN, "van")
    text = (EXAMPLES / "van.yaml").read_text(encoding="utf-8")
    with pytest.raises(BuildError, match=r"the car has no file 'bakery-round\.csv'.*add the file to the car"):
        shop.builds.start(BEN, car.id, "first", text)
    for name in ("../../van.yaml", "/etc/hostname"):
        with pytest.raises(BuildError, match="leads out of the folder"):
            shop.builds.start(BEN, car.id, "first", text.replace("bakery-round.csv", name))


def test_pictures_come_at_once_and_with_bands_when_these_are_known(shop: Workshop, coupe: BuildRow) -> None:
    which = Which(coupe.id)
    known = {each.key: each for each in shop.figures.pictures(CAT, which)}
    assert [*known] == [*PICTURES], "the example has every picture"
    axles = known["mass.axles"].plot
    assert isinstance(axles, Bars)
    assert not axles.low
    shop.figures.assess(CAT, which)
    _, banded = shop.figures.pictures(CAT, which, "mass")
    assert (banded.key, banded.question, banded.alt) == ("mass.axles", "mass", banded.plot.alt)
    assert isinstance(banded.plot, Bars)
    assert banded.plot.low
    _, pounds = shop.figures.pictures(CAT, which, "mass", system="us")
    assert pounds.plot.table().heads[1] == "Axle load (lb)"
    assert shop.figures.pictures(CAT, which, "no such question") == ()


def test_drawings_are_those_of_the_papers_and_say_what_must_not_be_built(shop: Workshop, coupe: BuildRow) -> None:
    evil = "<script>alert(1)</script>"
    shop.edits.change(BEN, coupe.id, {"title": evil, "donor.removed.0.name": evil}, since=1)
    side, plan = shop.figures.drawings(CAT, Which(coupe.id), system="us")
    assert (side.key, plan.key, plan.title) == ("side", "plan", f"Plan view of {evil}")
    for each in (side, plan):
        root = ElementTree.fromstring(each.svg)  # noqa: S314 our own text
        said = ["".join(text.itertext()) for text in root.iter("{http://www.w3.org/2000/svg}text")]
        assert MARK_WORDS in said
        assert evil in said
        assert [found for found in root.iter() if found.tag.endswith("script")] == []
    assert "lb" in side.svg


def test_a_view_says_what_the_papers_say(shop: Workshop, coupe: BuildRow) -> None:
    view = shop.figures.assess(CAT, Which(coupe.id), POINTS)
    kerb = view.figures["mass.kerb"]
    assert kerb.printed == f"{kerb.value:.0f} kg"
    assert (kerb.unit, kerb.better) == ("kg", "less")
    assert [group.title for group in view.headline] == ["On the road, and price", "Mass", "Battery"]
    assert view.not_for_building
    assert view.cautions
    assert view.count("stop") == sum(each.severity == "stop" for each in view.findings)
    working = shop.figures.explain(CAT, Which(coupe.id), "mass.kerb")
    assert working.tree is not None
    assert "Kerb mass" in working.text
    with pytest.raises(FigureError, match=r"mass\.kerb"):
        shop.figures.explain(CAT, Which(coupe.id), "mass.kerbs")


def test_a_revision_keeps_its_text_and_its_figures(shop: Workshop, coupe: BuildRow) -> None:
    kept = shop.revisions.save(BEN, coupe.id, "quoted", since=1, reason="the customer asked")
    assert (kept.number, kept.draft, kept.version) == (1, 1, "0.1.0")
    assert kept.headline["mass.kerb"]["printed"].endswith(" kg")
    assert kept.headline["mass.kerb"]["low"] < kept.headline["mass.kerb"]["high"]
    shop.edits.change(BEN, coupe.id, {"brief.load": "60 kg"}, since=1)
    with pytest.raises(ConflictError):
        shop.revisions.save(BEN, coupe.id, "late", since=1)
    assert "load: 40 kg" in shop.revisions.text(CAT, coupe.id, 1)
    assert "load: 40 kg" in shop.builds.read(CAT, Which(coupe.id, revision=1)).text
    (view,) = shop.revisions.list(CAT, coupe.id)
    assert (view.same_parts, view.same_version) == (True, True)
    assert ("Kerb", kept.headline["mass.kerb"]["printed"]) in view.headline
    motor = shop._shared.built(Which(coupe.id)).build.drive.motor
    assert motor is not None
    shop.parts.put(BEN, dict(catalogue()._raw[motor.part]) | {"mass": "1 kg"})
    assert not shop.revisions.list(CAT, coupe.id)[0].same_parts
    with pytest.raises(AbsentError, match="no revision 2"):
        shop.figures.assess(CAT, Which(coupe.id, revision=2), POINTS)


def test_a_revision_knows_that_a_file_beside_it_changed(shop: Workshop) -> None:
    van = shop.builds.start_example(BEN, "van")
    shop.revisions.save(BEN, van.id, "quoted", since=1)
    assert shop.revisions.list(CAT, van.id)[0].same_parts
    rows = (EXAMPLES / "bakery-round.csv").read_text(encoding="utf-8").splitlines()
    shop.attachments.add(BEN, van.car, "bakery-round.csv", "\n".join(rows[: len(rows) // 2]).encode())
    assert not shop.revisions.list(CAT, van.id)[0].same_parts


def test_a_build_gets_another_name(shop: Workshop, coupe: BuildRow) -> None:
    assert shop.builds.rename(BEN, coupe.id, " as quoted ").name == "as quoted"
    assert shop.builds.rename(BEN, coupe.id, "as quoted").number == 1
    text = shop.builds.read(CAT, Which(coupe.id)).text
    other = shop.builds.start(BEN, coupe.car, "coupe", text)
    with pytest.raises(EntryError, match="build 'as quoted' already"):
        shop.builds.rename(BEN, other.id, "as quoted")
    with pytest.raises(AbsentError, match="no build 99"):
        shop.builds.rename(BEN, 99, "as quoted")
    with pytest.raises(EntryError, match="not one line"):
        shop.builds.rename(BEN, other.id, "two\nlines")


def test_a_car_is_driven_over_a_trip(shop: Workshop, coupe: BuildRow) -> None:
    assert "nedc" in {each.name for each in shop.figures.trips(CAT)}
    made = shop.figures.trip(CAT, Which(coupe.id), "nedc")
    assert [each.key for each in made.figures] == [
        "road.consumption.nedc",
        "road.consumption_wall.nedc",
        "road.range.nedc",
    ]
    assert made.seconds.count("\n") == 1181, "a head, and a row for each second of the trip"
    assert any("air" in line for line in made.lines)
    with pytest.raises(BuildError, match="write nedc"):
        shop.figures.trip(CAT, Which(coupe.id), "nedcs")


def test_parts_are_tried_in_a_build_and_one_that_fits_is_put_there(shop: Workshop, coupe: BuildRow) -> None:
    job = shop.parts.fitting(CAT, Which(coupe.id), "fuse")
    done = at_its_end(shop, CAT, job.id)
    assert (done.state, done.of) == ("done", len(catalogue().ids("fuse")))
    (place,) = shop.jobs.result(CAT, job.id)
    assert {each.id for each in place.fits} == set(catalogue().ids("fuse"))
    chosen = next(each for each in place.fits if not each.broken and not each.now)
    draft = shop.edits.change(BEN, coupe.id, chosen.changes, since=1)
    assert f"fuse: {chosen.id}" in draft.text
    with pytest.raises(PartError, match="write fuse"):
        shop.parts.fitting(CAT, Which(coupe.id), "fuze")


def test_own_parts_are_put_on_the_shelf_and_taken_off(shop: Workshop, coupe: BuildRow) -> None:
    assert shop.parts.put(BEN, own("fuse", title="Fuse of the bench")).row.own
    assert "fuse/our-own" in {each.id for each in shop.parts.list(CAT, "fuse") if each.own}
    with pytest.raises(PartError) as caught:
        shop.parts.put(BEN, {"kind": "fuse", "id": "fuse/../../x", "mass": "heavy"})
    assert len(caught.value.problems) > 2
    with pytest.raises(PartError, match="cell/none"):
        shop.parts.put(BEN, own("module", cell="cell/none"))
    shop.edits.change(BEN, coupe.id, {"pack.protection.fuse": "fuse/our-own"}, since=1)
    with pytest.raises(EntryError, match=r"'fuse/our-own' stands in Coupé of 1968.*coupe"):
        shop.parts.take_off(BEN, "fuse/our-own")
    shop.edits.undo(BEN, coupe.id, since=2)
    shop.parts.take_off(BEN, "fuse/our-own")
    assert "fuse/our-own" not in {each.id for each in shop.parts.list(CAT, "fuse")}
    assert [each.document is None for each in shop.parts.log(CAT, "fuse/our-own")] == [False, True]
    with pytest.raises(AbsentError, match="own part"):
        shop.parts.take_off(BEN, catalogue().ids("fuse")[0])
    with pytest.raises(PartError, match="no kind of part 'fuze'"):
        shop.parts.list(CAT, "fuze")


def test_people_come_through_the_door(shop: Workshop) -> None:
    dan = shop.people.add(ANN, "Dan", "owner", "four old tyres")
    eva = shop.people.add(ANN, "Eva", "viewer", "five old tyres")
    first = shop.door.sign_in("Eva", "five old tyres")
    assert first
    assert shop.door.still(first) == Actor("Eva", "viewer")
    assert shop.door.sign_in("Eva", "four old tyres") is None
    shop.people.set_own_password(Actor("Eva", "viewer"), "five old tyres", "six new tyres")
    with pytest.raises(EntryError, match="The old password is wrong"):
        shop.people.set_own_password(Actor("Eva", "viewer"), "five old tyres", "seven new tyres")
    assert shop.door.still(first) is None, "a session ends with the password"
    again = shop.door.sign_in("Eva", "six new tyres")
    assert again
    shop.people.change(ANN, eva.id, role="technician")
    assert shop.door.still(again) == Actor("Eva", "technician"), "a session has the role of now"
    shop.people.change(ANN, eva.id, active=False)
    assert shop.door.still(again) is None
    with pytest.raises(EntryError, match="Nobody would be owner"):
        shop.people.change(ANN, dan.id, role="viewer")


def test_a_backup_holds_the_records(shop: Workshop, coupe: BuildRow) -> None:
    kept = shop.backups.make(ANN)
    assert kept.path.name == "voltwright-20261127T093000Z.db"
    assert kept.path.read_bytes().startswith(b"SQLite format 3\x00")
    kept.remove()
    assert not kept.path.parent.exists()
    shop.settings.set(ANN, "units", "uk")
    assert shop.settings.all(ANN) == {"units": "uk"}


def test_bands_and_remedies_are_in_the_whole(shop: Workshop, coupe: BuildRow) -> None:
    whole = shop.figures.assess(CAT, Which(coupe.id), Asked(system="us"))
    assert whole.figures["mass.kerb"].band.count(" to ") == 1
    assert whole.figures["mass.kerb"].printed.endswith(" lb")
    assert any(each.remedies for each in whole.findings)
    assert any(each.worth for each in whole.assumptions)
