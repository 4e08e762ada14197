"""Cars, builds and revisions: what is saved comes back, and a second saver is told."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from voltwright.quantity.errors import AbsentError, ConflictError, EntryError
from voltwright.records.records import Records
from voltwright.records.revisions import WorkedOut

AT = datetime(2026, 11, 27, 9, 30, tzinfo=UTC)
HEADLINE = {"mass.kerb": {"value": 1143.0, "unit": "kg", "low": 1138.0, "high": None}, "road.range.ü": None}
MADE_WITH = WorkedOut("ab" * 32, "0.1.0", HEADLINE)


def begun(records: Records, car: str = "Blue coupé", build: str = "as ordered", text: str = "one") -> int:
    made = records.cars.add(car, customer="A. Nobody", who="Ann", at=AT)
    return records.cars.add_build(made.id, build, text, who="Ann", at=AT).id


def test_a_revision_holds_the_draft_and_what_it_was_worked_out_with(records: Records) -> None:
    build = begun(records)
    records.drafts.save(build, "two", since=1, who="Ben", at=AT)
    saved = records.revisions.save(build, "Quote 1", since=2, reason="by post", worked_out=MADE_WITH, who="Ann", at=AT)
    records.drafts.save(build, "three", since=2, who="Ben", at=AT)
    assert (saved.number, saved.draft, saved.name, saved.reason, saved.who, saved.at) == (
        1, 2, "Quote 1", "by post", "Ann", AT,
    )  # fmt: skip
    assert (saved.catalogue, saved.version, saved.headline) == ("ab" * 32, "0.1.0", HEADLINE)
    assert records.revisions.list(build) == (saved,)
    assert records.revisions.text(build, 1) == "two"


def test_revisions_are_numbered_by_build(records: Records) -> None:
    first, second = begun(records), begun(records, "Van")
    for build in (first, second, first):
        records.revisions.save(build, "r", since=1, reason="", worked_out=MADE_WITH, who="Ann", at=AT)
    assert [each.number for each in records.revisions.list(first)] == [1, 2]
    assert [each.number for each in records.revisions.list(second)] == [1]


def test_a_draft_that_moved_on_is_not_named(records: Records) -> None:
    build = begun(records)
    records.drafts.save(build, "two", since=1, who="Ben", at=AT)
    with pytest.raises(ConflictError, match="Ben saved up to edit 2") as refused:
        records.revisions.save(build, "Quote", since=1, reason="", worked_out=MADE_WITH, who="Ann", at=AT)
    assert "+two" in refused.value.theirs
    assert records.revisions.list(build) == ()


def test_unknown_revisions_are_named(records: Records) -> None:
    build = begun(records)
    with pytest.raises(AbsentError, match=f"no revision 3 of build {build}"):
        records.revisions.text(build, 3)


def test_nan_is_no_figure(records: Records) -> None:
    build = begun(records)
    odd = WorkedOut("", "", {"mass.kerb": float("nan")})
    with pytest.raises(EntryError, match="no JSON"):
        records.revisions.save(build, "r", since=1, reason="", worked_out=odd, who="Ann", at=AT)
    assert records.revisions.list(build) == ()


def test_the_list_has_those_first_that_were_edited_last(records: Records) -> None:
    older, newer = begun(records, "Older"), begun(records, "Newer")
    records.drafts.save(newer, "two", since=1, who="Ann", at=AT + timedelta(hours=1))
    records.drafts.save(older, "two", since=1, who="Ben", at=AT + timedelta(hours=2))
    bare = records.cars.add("Without builds", who="Ann", at=AT - timedelta(days=1))
    assert [(car.name, car.builds, car.edited) for car in records.cars.list()] == [
        ("Older", 1, AT + timedelta(hours=2)),
        ("Newer", 1, AT + timedelta(hours=1)),
        ("Without builds", 0, None),
    ]
    records.cars.change(bare.id, away=True, name=" Renamed ", customer="B. Nobody")
    assert len(records.cars.list()) == 2
    (put_away,) = records.cars.list(away=True)
    assert (put_away.name, put_away.customer, put_away.away) == ("Renamed", "B. Nobody", True)


def test_a_car_opens_with_builds_and_revisions(records: Records) -> None:
    first = begun(records)
    car = records.cars.list()[0].id
    second = records.cars.add_build(car, "second pack", "x", who="Ben", at=AT)
    for build, name in ((second.id, "b"), (first, "a")):
        records.revisions.save(build, name, since=1, reason="", worked_out=MADE_WITH, who="Ann", at=AT)
    opened = records.cars.open(car)
    assert [(each.name, each.number, each.who) for each in opened.builds] == [
        ("as ordered", 1, "Ann"), ("second pack", 1, "Ben"),
    ]  # fmt: skip
    assert [(each.build, each.name) for each in opened.revisions] == [(first, "a"), (second.id, "b")]


def test_names_of_builds_are_their_own_within_a_car(records: Records) -> None:
    begun(records)
    car = records.cars.list()[0].id
    with pytest.raises(EntryError, match="has a build 'as ordered' already"):
        records.cars.add_build(car, " as ordered ", "x", who="Ann", at=AT)
    begun(records, "Another car")


@pytest.mark.parametrize("name", ["", "  ", "two\nlines", "x" * 201, "a\0b", "bell\a"])
def test_odd_names_are_refused(records: Records, name: str) -> None:
    with pytest.raises(EntryError):
        records.cars.add(name, who="Ann", at=AT)
    with pytest.raises(EntryError):
        records.cars.add("Car", who=name, at=AT)
    assert records.cars.list() == ()


def test_unknown_cars_are_named(records: Records) -> None:
    for ask in (
        lambda: records.cars.open(5),
        lambda: records.cars.change(5, away=True),
        lambda: records.cars.add_build(5, "b", "x", who="Ann", at=AT),
    ):
        with pytest.raises(AbsentError, match="There is no car 5"):
            ask()


def test_words_of_people_are_never_commands(records: Records) -> None:
    odd = "Robert'); DROP TABLE cars;-- %s :name {0} \\ \""
    build = begun(records, odd, odd, odd)
    records.drafts.save(build, odd + "2", since=1, who=odd, at=AT)
    assert records.cars.list()[0].name == odd
    assert records.drafts.now(build).text == odd + "2"
