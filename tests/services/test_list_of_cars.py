"""The list of cars: what stands in it, how one is found, and that many remain quick."""

from __future__ import annotations

from datetime import timedelta

import pytest
from sqlalchemy import insert

from staff import BEN, CAT, Clock
from voltwright.records.schema import builds, cars, draft_log, texts
from voltwright.services.garage import ON_A_PAGE
from voltwright.services.views import BuildRow, CarsPage, Which
from voltwright.services.workshop import Workshop

MANY = 2000


def names(page: CarsPage) -> list[str]:
    return [each.car.name for each in page.cars]


def test_a_line_says_who_edited_last_and_what_the_newest_revision_found(
    shop: Workshop, coupe: BuildRow, clock: Clock
) -> None:
    (line,) = shop.cars.browse(CAT).cars
    (first,) = line.builds
    assert (first.build, first.revision, first.stops, first.cautions) == (coupe, None, None, None)
    clock.move(timedelta(hours=1))
    shop.revisions.save(BEN, coupe.id, "quote", since=1)
    clock.move(timedelta(hours=1))
    shop.edits.change(BEN, coupe.id, {"donor.mass_kerb": "1500 kg"}, since=1)
    shop.revisions.save(BEN, coupe.id, "heavy", since=2)
    (line,) = shop.cars.browse(CAT).cars
    (heavy,) = line.builds
    found = shop.figures.assess(CAT, Which(coupe.id, revision=2))
    assert (heavy.revision, heavy.stops, heavy.cautions) == (2, found.count("stop"), found.count("caution"))
    assert found.count("stop") > 0, "else nothing is proved"
    assert line.last is not None
    assert (line.last.who, line.last.at) == ("Ben", clock.now)
    clock.move(timedelta(hours=1))
    other = shop.builds.start(BEN, coupe.car, "other", shop.builds.read(CAT, Which(coupe.id)).text)
    assert shop.cars.browse(CAT).cars[0].last == other
    clock.move(timedelta(hours=1))
    shop.edits.change(BEN, coupe.id, {"title": "Once more"}, since=2)
    assert (last := shop.cars.browse(CAT).cars[0].last) is not None
    assert last.id == coupe.id


def test_the_car_with_the_last_edit_stands_first_and_one_without_builds_stands_too(
    shop: Workshop, coupe: BuildRow, clock: Clock
) -> None:
    clock.move(timedelta(hours=1))
    bare = shop.cars.start(BEN, "Bare shell")
    assert names(shop.cars.browse(CAT)) == ["Bare shell", "Coupé of 1968 for a country doctor"]
    assert shop.cars.browse(CAT).cars[0].last is None
    clock.move(timedelta(hours=1))
    shop.edits.change(BEN, coupe.id, {"title": "Changed"}, since=1)
    assert names(shop.cars.browse(CAT))[0] == "Coupé of 1968 for a country doctor"
    shop.cars.change(BEN, bare.id, away=True)
    assert names(shop.cars.browse(CAT)) == ["Coupé of 1968 for a country doctor"]
    assert names(shop.cars.browse(CAT, away=True)) == ["Bare shell"]


@pytest.mark.parametrize(
    ("search", "found"),
    [
        ("coupé", ["Blue Coupé"]),
        ("COUPÉ", ["Blue Coupé"]),
        ("coupe\u0301", ["Blue Coupé"]),
        ("alder blue", ["Blue Coupé"]),
        ("%", ["100 % van"]),
        ("_", []),
        ("' OR 1=1 --", []),
        ("  ", ["100 % van", "Blue Coupé"]),
    ],
)
def test_words_find_a_car_by_its_name_or_its_customer(shop: Workshop, search: str, found: list[str]) -> None:
    shop.cars.start(BEN, "Blue Coupé", customer="Dr Alder")
    shop.cars.start(BEN, "100 % van", customer="The bakery")
    assert names(shop.cars.browse(CAT, search=search)) == found


def test_many_cars_come_page_by_page(shop: Workshop, clock: Clock) -> None:
    ids = range(1, MANY + 1)
    at = clock.now
    with shop._shared.records.store.writing() as connection:
        connection.execute(insert(texts), [{"sha256": "ab" * 32, "body": "x"}])
        signed = {"who": "Ann", "at": at}
        connection.execute(
            insert(cars), [{"id": n, "name": f"Car {n:04}", "customer": "C", "away": False} | signed for n in ids]
        )
        connection.execute(insert(builds), [{"id": n, "car": n, "name": "first", "number": 1} for n in ids])
        log = {"number": 1, "kind": "begin", "of": None, "path": "", "before": None, "after": None, "sha256": "ab" * 32}
        later = [log | {"build": n, "who": "Ben", "at": at + timedelta(minutes=n)} for n in ids]
        connection.execute(insert(draft_log), later)
    assert names(shop.cars.browse(CAT))[0] == "Car 2000"
    for page in (1, 2, 40):
        shown = shop.cars.browse(CAT, page=page)
        assert (shown.found, shown.page, shown.pages, len(shown.cars)) == (MANY, page, 40, ON_A_PAGE)
        assert all(len(each.builds) == 1 for each in shown.cars)
    assert names(shop.cars.browse(CAT, page=99)) == names(shop.cars.browse(CAT, page=40))
    assert names(shop.cars.browse(CAT, search="car 0017")) == ["Car 0017"]
