"""From the first entry to the papers: cars, revisions, comparing, parts, remedies, papers, people."""

from __future__ import annotations

import csv
import dataclasses
import io
import json
import math
import threading
from collections.abc import Iterator
from dataclasses import replace
from types import SimpleNamespace
from typing import Any
from xml.etree import ElementTree

import openpyxl
import pytest

from helpers import EXAMPLES
from staff import ANN, BEN, CAT, at_its_end
from voltwright.papers import typst_render
from voltwright.papers.cautions import MARK_WORDS, SHORT
from voltwright.papers.pictures import PICTURES
from voltwright.papers.tables_csv import safe_cell
from voltwright.parts.shelf import catalogue
from voltwright.quantity.errors import (
    AbsentError,
    BuildError,
    ConflictError,
    EntryError,
    FigureError,
    FormatError,
    JobError,
    OutputError,
    PartError,
)
from voltwright.quantity.plot import Bars
from voltwright.services import printing
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


def test_variants_revisions_and_builds_stand_side_by_side(shop: Workshop, coupe: BuildRow) -> None:
    shop.revisions.save(BEN, coupe.id, "quoted", since=1)
    shop.edits.change(BEN, coupe.id, {"brief.load": "60 kg"}, since=1)
    other = shop.builds.start_example(BEN, "roadster")
    variant = next(iter(shop._shared.built(Which(coupe.id)).build.variants))
    first = Which(coupe.id)
    seen = shop.comparing.compare(
        CAT, first, (Which(coupe.id, variant=variant), Which(coupe.id, revision=1), Which(other.id))
    )
    assert seen.names == ("coupe", variant, "coupe, revision 1", "roadster")
    of_variant, of_revision, _ = seen.others
    assert of_variant.changes
    moved = {each.key: each for each in of_revision.moved}
    assert (moved["mass.laden"].by, moved["mass.laden"].verdict) == ("−20 kg", "better")
    assert all(len(row) == 5 for row in seen.rows[:-1])
    for none in ((), (first,) * 9):
        for ask in (shop.comparing.compare, shop.comparing.begin, shop.papers.compare):
            with pytest.raises(FigureError, match="1 to 8"):
                ask(CAT, first, none)


def test_a_comparison_is_made_as_a_job_and_as_a_paper(shop: Workshop, coupe: BuildRow) -> None:
    first, variant = Which(coupe.id), next(iter(shop._shared.built(Which(coupe.id)).build.variants))
    seen = shop.comparing.begin(CAT, first, (replace(first, variant=variant),))
    paper = shop.papers.compare(CAT, first, (replace(first, variant=variant),))
    done = at_its_end(shop, CAT, seen.id)
    assert (done.state, done.of, done.says) == ("done", 2, f"coupe, {variant}")
    view = shop.jobs.result(CAT, seen.id)
    assert any(each.band for each in view.others[0].moved)
    assert at_its_end(shop, CAT, paper.id).state == "done"
    assert shop.papers.list(CAT, paper.id) == ("comparison.pdf",)
    assert shop.papers.file(CAT, paper.id, "comparison.pdf").content.startswith(b"%PDF-")
    with pytest.raises(JobError, match="This job makes no papers"):
        shop.papers.list(CAT, seen.id)


def test_what_two_builds_have_in_common_does_not_blur_their_difference(shop: Workshop, coupe: BuildRow) -> None:
    """Of A ± b nine tenths lie within b, so 60 ± 10 kg of load in place of 40 kg are 10 to 30 kg more, whatever the donor weighs."""
    shop.edits.change(BEN, coupe.id, {"brief.load": "60 kg ± 10 kg"}, since=1)
    view = shop.comparing.compare(CAT, Which(coupe.id, edit=1), (Which(coupe.id),), bands=True)
    laden = next(each for each in view.others[0].moved if each.key == "mass.laden")
    assert (laden.by, laden.band, laden.sure) == ("+20 kg", "+10 to +30 kg", True)


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


def test_prices_in_two_currencies_have_no_difference(shop: Workshop, coupe: BuildRow) -> None:
    other = shop.builds.start_example(BEN, "coupe", car_name="another")
    text = shop.builds.read(CAT, Which(other.id)).text
    shop.edits.write(BEN, other.id, text.replace(" EUR", " GBP").replace("currency: EUR", "currency: GBP"), since=1)
    seen = shop.comparing.compare(CAT, Which(coupe.id), (Which(other.id),))
    labour = next(each for each in seen.others[0].moved if each.key == "cost.labour")
    assert (labour.by, labour.verdict) == ("", "")
    assert (labour.before[-3:], labour.after[-3:]) == ("EUR", "GBP")


def test_a_remedy_is_taken_as_an_edit_and_the_finding_goes(shop: Workshop, coupe: BuildRow) -> None:
    shop.edits.change(BEN, coupe.id, {"donor.limits.rear_axle": "600 kg"}, since=1)
    view = shop.figures.assess(CAT, Which(coupe.id))
    finding = next(each for each in view.findings if each.remedies)
    effects = shop.mending.effects(CAT, Which(coupe.id), finding.key)
    assert [each.remedy for each in effects] == list(finding.remedies)
    assert all(each.in_short for each in effects)
    steps = json.loads(json.dumps(dict(finding.remedies[0].changes)))
    with pytest.raises(FigureError, match=r"The step '.*: 9999 kg' is no longer among those .*; nothing was changed"):
        shop.mending.apply(BEN, coupe.id, finding.key, dict.fromkeys(steps, "9999 kg"), since=2)
    with pytest.raises(FigureError, match="nothing was changed"):  # as JSON may bring it
        shop.mending.apply(BEN, coupe.id, finding.key, dict.fromkeys(steps, math.nan), since=2)
    draft = shop.mending.apply(BEN, coupe.id, finding.key, steps, since=2)
    assert draft.number == 3
    assert finding.key not in {each.key for each in shop.figures.assess(CAT, Which(coupe.id)).findings}
    entry = shop.builds.log(CAT, coupe.id)[-1]
    assert set(entry.path.split(", ")) == set(finding.remedies[0].changes)
    with pytest.raises(FigureError, match=f"no finding '{finding.key}'"):
        shop.mending.apply(BEN, coupe.id, finding.key, steps, since=3)


def test_a_repair_that_a_step_asks_for_is_not_yet_measured(shop: Workshop, coupe: BuildRow) -> None:
    shop.edits.change(BEN, coupe.id, {"donor.brakes.parking_force": "1500 N", "brief.park_gradient": "25 %"}, since=1)
    key = "brakes.hold_gradient"
    seen = {each.key: each for each in shop.figures.assess(CAT, Which(coupe.id)).findings}
    assert "brakes.parking_unmeasured" not in seen, "the first force was entered"
    steps = next(each.changes for each in seen[key].remedies if "donor.brakes.parking_force" in each.changes)
    shop.mending.apply(BEN, coupe.id, key, steps, since=2)
    now = {each.key: each for each in shop.figures.assess(CAT, Which(coupe.id)).findings}
    assert key not in now
    assert steps["donor.brakes.parking_force"] in now["brakes.parking_unmeasured"].detail
    text = shop.builds.read(CAT, Which(coupe.id)).text
    assert "how: assumed" in text.partition("parking_force:")[2].partition("}")[0]


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


def own(kind: str, **other: Any) -> dict[str, Any]:
    return dict(catalogue()._raw[catalogue().ids(kind)[0]]) | {"id": f"{kind}/our-own"} | other


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


def test_papers_are_made_as_a_job(shop: Workshop, coupe: BuildRow) -> None:
    job = shop.papers.make(CAT, Which(coupe.id), date="27 November 2026")
    with pytest.raises(JobError):
        shop.papers.file(CAT, job.id, "design.pdf")
    assert at_its_end(shop, CAT, job.id).state == "done"
    paper = shop.papers.file(CAT, job.id, "design.pdf")
    assert (paper.media_type, paper.content[:5]) == ("application/pdf", b"%PDF-")
    assert shop.papers.file(CAT, job.id, "side-view.svg").content.startswith(b"<?xml")
    data = json.loads(shop.papers.file(CAT, job.id, "dossier.json").content)
    assert data == json.loads(shop.figures.as_json(CAT, Which(coupe.id)))
    for name in ("../records.db", "other.pdf"):
        with pytest.raises(JobError, match=r"design\.pdf, side-view\.svg, dossier\.json"):
            shop.papers.file(CAT, job.id, name)
    again = shop.papers.make(ANN, Which(coupe.id), date="27 November 2026")
    assert shop.jobs.look(ANN, again.id, seconds=5).state == "done", "they are known already"


def test_what_the_typesetter_kept_is_given_back(
    shop: Workshop, coupe: BuildRow, monkeypatch: pytest.MonkeyPatch
) -> None:
    forgot: list[str] = []
    monkeypatch.setattr(typst_render, "forget", lambda: forgot.append("once"))
    for job in (shop.papers.make(CAT, Which(coupe.id)), shop.papers.compare(CAT, Which(coupe.id), [Which(coupe.id)])):
        assert at_its_end(shop, CAT, job.id).state == "done"
    assert forgot == ["once", "once"]


def test_papers_can_be_stopped(shop: Workshop, coupe: BuildRow) -> None:
    job = shop.papers.make(CAT, Which(coupe.id))
    shop.jobs.stop(CAT, job.id)
    assert at_its_end(shop, CAT, job.id).state == "stopped"


def test_papers_are_stopped_between_two_remedies(
    shop: Workshop, coupe: BuildRow, monkeypatch: pytest.MonkeyPatch
) -> None:
    worked, go = list[int](), threading.Event()

    def steps(*_: object, **__: object) -> Iterator[SimpleNamespace]:
        for number in range(100):
            worked.append(number)
            assert number == 0 or go.wait(10)
            yield SimpleNamespace(remedy=SimpleNamespace(says="Fit a smaller pack"))

    monkeypatch.setattr(printing, "elsewhere", steps)
    job = shop.papers.make(CAT, Which(coupe.id))
    while len(worked) < 2:
        assert not shop.jobs.look(CAT, job.id, seconds=0.1).is_over
    assert shop.jobs.look(CAT, job.id).says == "what else changes: Fit a smaller pack"
    shop.jobs.stop(CAT, job.id)
    go.set()
    assert shop.jobs.look(CAT, job.id, seconds=10).state == "stopped"
    assert worked == [0, 1]


def rows_of(content: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(content.decode("utf-8-sig"))))


def test_nothing_in_a_table_acts_in_a_spreadsheet(shop: Workshop, coupe: BuildRow) -> None:
    evil = '=HYPERLINK("http://example.invalid","fuse")'
    shop.parts.put(BEN, own("fuse", title=evil))
    shop.edits.change(BEN, coupe.id, {"pack.protection.fuse": "fuse/our-own"}, since=1)
    (row,) = [each for each in rows_of(shop.papers.table(CAT, Which(coupe.id), "parts.csv").content) if evil in each[0]]
    assert row[0].startswith("'=")
    figures = {row[0]: row for row in rows_of(shop.papers.table(CAT, Which(coupe.id), "figures.csv").content)}
    assert float(figures["mass.kerb"][2]) > 500
    cells = [cell for name in ("figures.csv", "findings.csv", "parts.csv", "assumptions.csv", "road.traction.csv")
             for row in rows_of(shop.papers.table(CAT, Which(coupe.id), name).content) for cell in row]  # fmt: skip
    acting = [cell for cell in cells if cell[:1] in ("=", "+", "@", "\t", "\r")]
    assert [cell for cell in acting if not cell[1:].replace(".", "").isdigit()] == []
    with pytest.raises(OutputError, match="no table 'all"):
        shop.papers.table(CAT, Which(coupe.id), "all.csv")
    with pytest.raises(OutputError, match="no table 'figures'"):
        shop.papers.table(CAT, Which(coupe.id), "figures")


def test_numbers_of_a_picture_are_those_of_its_plot(shop: Workshop, coupe: BuildRow) -> None:
    which = Which(coupe.id)
    heads, *rows = rows_of(shop.papers.table(CAT, which, "mass.axles.csv", system="us").content)
    _, picture = shop.figures.pictures(CAT, which, "mass", system="us")
    table = picture.plot.table()
    assert tuple(heads) == table.heads
    assert [float(row[1]) for row in rows] == pytest.approx([row[1] for row in table.rows])
    shop.edits.change(BEN, coupe.id, {"duty.climate.coldest": "-35 °C"}, since=1)
    with pytest.raises(OutputError, match=r"nothing to show as 'road\.range_over_temperature'"):
        shop.papers.table(CAT, which, "road.range_over_temperature.csv")


def test_a_workbook_holds_every_table_and_picture_and_no_text_acts_in_it(shop: Workshop, coupe: BuildRow) -> None:
    """Read back by another library than the one that wrote it."""
    evil = '=HYPERLINK("http://example.invalid","fuse")'
    shop.parts.put(BEN, own("fuse", title=evil))
    shop.edits.change(BEN, coupe.id, {"pack.protection.fuse": "fuse/our-own", "title": evil}, since=1)
    which = Which(coupe.id)
    made = shop.papers.workbook(CAT, which, system="us")
    assert (made.name, made.media_type.rpartition(".")[2]) == ("workbook.xlsx", "sheet")
    book = openpyxl.load_workbook(io.BytesIO(made.content))
    assert book.sheetnames == ["read first", "figures", "findings", "parts", "assumptions", *PICTURES]
    every = [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.value is not None]
    assert {cell.data_type for cell in every} == {"s", "n"}, "texts and numbers, no formula"
    assert [cell.hyperlink for cell in every if cell.hyperlink] == []
    assert book["read first"]["A1"].value == evil
    assert any(str(row[0].value).startswith(evil) for row in book["parts"].iter_rows())
    view = shop.figures.assess(CAT, which)
    told = {row[0]: row for row in book["figures"].iter_rows(min_row=2, values_only=True)}
    assert told.keys() == view.figures.keys()
    for key, figure in view.figures.items():
        assert told[key][2] == (None if figure.value is None else pytest.approx(figure.value)), key
    assert len([*book["findings"].iter_rows()]) == len(view.findings) + 1
    for each in shop.figures.pictures(CAT, which, system="us"):
        heads, *rows = book[each.key].iter_rows(values_only=True)
        assert heads == each.plot.table().heads
        assert len(rows) == len(each.plot.table().rows)
    said = [row[1] for row in book["read first"].iter_rows(values_only=True) if row[0] == "caution"]
    assert set(SHORT) < set(said)
    assert shop.papers.workbook(CAT, which, system="us").content == made.content, "the same bytes"


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("=1+1", "'=1+1"), ("  =1+1", "'  =1+1"), ("+49 30", "'+49 30"), ("-2+3", "'-2+3"), ("@SUM(A1)", "'@SUM(A1)"),
        ("\t=1", "' =1"), ("＝1", "'＝1"), ("|calc", "'|calc"), ("-12.5", "-12.5"), ("-1e-05", "-1e-05"), ("fuse", "fuse"), (None, ""),
    ],
)  # fmt: skip
def test_a_cell_is_shown_and_not_run(typed: str | None, shown: str) -> None:
    assert safe_cell(typed) == shown


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
