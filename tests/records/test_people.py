"""People, settings and own parts."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from typing import Any

import pytest
from sqlalchemy import text

from voltwright.parts.shelf import catalogue
from voltwright.quantity.errors import AbsentError, ConflictError, EntryError, PartError
from voltwright.records.records import Records
from voltwright.records.rows import Person

AT = datetime(2026, 11, 27, 9, 30, tzinfo=UTC)


def entered(records: Records, name: str, password: str) -> Person | None:
    known = records.people.enter(name, password)
    return known.person if known else None


def test_a_person_is_known_by_name_and_password(records: Records) -> None:
    ann = records.people.add("Ann", "owner", "four old tyres", at=AT)
    assert entered(records, " Ann ", "four old tyres") == ann
    assert entered(records, "Ann", "four old tyre") is None
    assert entered(records, "Ben", "four old tyres") is None
    records.people.set_password(ann.id, "five new tyres")
    assert entered(records, "Ann", "four old tyres") is None
    assert entered(records, "Ann", "five new tyres") == ann


def test_a_stamp_holds_as_long_as_the_password(records: Records) -> None:
    ann = records.people.add("Ann", "owner", "four old tyres", at=AT)
    records.people.add("Ben", "viewer", "four old tyres", at=AT)
    first, of_ben = (records.people.enter(name, "four old tyres") for name in ("Ann", "Ben"))
    assert first
    assert of_ben
    assert records.people.still("Ann", first.stamp) == ann
    assert records.people.still("Nobody", first.stamp) is None
    assert records.people.still("Ann", of_ben.stamp) is None, "the same password is no common stamp"
    assert first.stamp not in repr(first)
    records.people.set_password(ann.id, "four old tyres")
    assert records.people.still("Ann", first.stamp) is None, "nor is the same one set anew"
    assert records.people.still("Ben", of_ben.stamp)


def test_only_a_hash_of_the_password_is_kept(records: Records) -> None:
    for name in ("Ann", "Ben"):
        records.people.add(name, "viewer", "four old tyres", at=AT)
    with records.store.reading() as connection:
        hashes = connection.execute(text("SELECT password FROM people")).scalars().all()
    assert all(each.startswith("$argon2id$") for each in hashes)
    assert len(set(hashes)) == 2, "each has its own salt"


def test_who_left_stays_in_the_list(records: Records) -> None:
    records.people.add("Ann", "owner", "four old tyres", at=AT)
    ben = records.people.add("Ben", "technician", "four old tyres", at=AT)
    records.people.change(ben.id, active=False)
    assert entered(records, "Ben", "four old tyres") is None
    assert [(each.name, each.role, each.active, each.at) for each in records.people.list()] == [
        ("Ann", "owner", True, AT), ("Ben", "technician", False, AT),
    ]  # fmt: skip


def test_an_owner_is_left(records: Records) -> None:
    ann = records.people.add("Ann", "owner", "four old tyres", at=AT)
    ben = records.people.add("Ben", "viewer", "four old tyres", at=AT)
    with pytest.raises(EntryError, match="Nobody would be owner"):
        records.people.change(ann.id, active=False)
    with pytest.raises(EntryError, match="Nobody would be owner"):
        records.people.change(ann.id, role="viewer")
    records.people.change(ben.id, role="owner")
    assert records.people.change(ann.id, role="viewer").role == "viewer"


def test_odd_people_are_refused(records: Records) -> None:
    records.people.add("Ann", "owner", "four old tyres", at=AT)
    for words in (("Ann", "viewer", "four old tyres"), ("Ben", "king", "four old tyres"), ("Ben", "viewer", "short")):
        with pytest.raises(EntryError):
            records.people.add(*words, at=AT)  # pyright: ignore[reportArgumentType]
    with pytest.raises(AbsentError, match="no person 9"):
        records.people.change(9, active=True)
    assert len(records.people.list()) == 1


@pytest.mark.parametrize(("first", "second"), [("Cat", "cat"), ("Strauß", "STRAUSS"), ("Zoë", "Zoe\u0308")])
def test_capitals_and_accents_make_no_second_person(records: Records, first: str, second: str) -> None:
    """Both databases compare letter by letter, so that one would take the other in."""
    records.people.add(first, "viewer", "four old tyres", at=AT)
    with pytest.raises(EntryError, match=f"There is a '{first}' already"):
        records.people.add(second, "owner", "five new tyres", at=AT)
    assert [each.name for each in records.people.list()] == [first]
    assert entered(records, second, "four old tyres") is None, "who signs in types the name as it was entered"


@pytest.mark.parametrize("value", [None, 0, "metric", ["a", 1.5], {"currency": "€"}])
def test_settings_come_back(records: Records, value: Any) -> None:
    assert records.settings.all() == {}
    records.settings.set("units", "uk")
    records.settings.set("units", value)
    assert records.settings.all() == {"units": value}


def datasheet(**changes: Any) -> dict[str, Any]:
    """A fuse of the catalogue, as one's own."""
    sheet = json.loads(json.dumps(catalogue()._raw[catalogue().ids("fuse")[0]]))
    return sheet | {"id": "fuse/own-drawer", "title": "From the drawer"} | changes


def test_an_own_part_stands_on_the_shelf(records: Records) -> None:
    records.own_parts.put(datasheet(), who="Ann", at=AT)
    shelf = catalogue().with_own(records.own_parts.shelved())
    assert shelf.any("fuse/own-drawer").title == "From the drawer"
    assert set(catalogue().ids()) < set(shelf.ids())


def test_every_datasheet_of_a_part_stays(records: Records) -> None:
    first = records.own_parts.put(datasheet(), who="Ann", at=AT)
    assert records.own_parts.put(datasheet(), who="Ben", at=AT) == first, "the same again is no new one"
    second = records.own_parts.put(datasheet(title="Measured again"), since=1, who="Ben", at=AT)
    records.own_parts.take_off("fuse/own-drawer", who="Ann", at=AT)
    assert records.own_parts.shelved() == {}
    log = records.own_parts.log("fuse/own-drawer")
    assert log[:2] == (first, second)
    assert (log[2].number, log[2].document, log[2].who) == (3, None, "Ann")
    with pytest.raises(AbsentError, match="no own part 'fuse/own-drawer'"):
        records.own_parts.take_off("fuse/own-drawer", who="Ann", at=AT)
    assert records.own_parts.put(datasheet(), who="Ann", at=AT).number == 4


def test_a_datasheet_is_not_saved_over_a_later_one(records: Records) -> None:
    """The second is refused and sees both differences; what the first saved stands."""
    put = records.own_parts.put
    put(datasheet(), who="Ann", at=AT)
    put(datasheet(title="Of Ann"), since=1, who="Ann", at=AT)
    for since in (1, 0, 3):
        with pytest.raises(ConflictError, match="Ann put datasheet 2 there since") as refused:
            put(datasheet(title="Of Ben"), since=since, who="Ben", at=AT)
        assert "Of Ben" in refused.value.yours
        assert [each.number for each in refused.value.newer] == ([2] if since else [1, 2]), (
            "the last always, to go on from"
        )
    with pytest.raises(ConflictError) as refused:
        put(datasheet(title="Of Ben"), since=1, who="Ben", at=AT)
    assert '- "title": "From the drawer"' in refused.value.theirs
    assert '+ "title": "Of Ann"' in refused.value.theirs
    assert records.own_parts.shelved()["fuse/own-drawer"]["title"] == "Of Ann"
    assert put(datasheet(title="Of Ben"), since=2, who="Ben", at=AT).number == 3
    records.own_parts.take_off("fuse/own-drawer", who="Ann", at=AT)
    with pytest.raises(ConflictError, match=r"Ann put it away \(number 4\) since"):
        put(datasheet(title="Of Ben again"), since=3, who="Ben", at=AT)


def test_a_datasheet_that_is_not_whole_is_refused(records: Records) -> None:
    with pytest.raises(PartError):
        records.own_parts.put(datasheet(kind="fusee"), who="Ann", at=AT)
    assert records.own_parts.shelved() == {}
