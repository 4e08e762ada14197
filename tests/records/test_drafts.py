"""The draft log: nothing is lost, order is that of the numbers, and of two people the second is told of the first."""

from __future__ import annotations

import threading
import time
from datetime import UTC, datetime, timedelta, timezone
from typing import Any

import pytest

from voltwright.quantity.errors import AbsentError, ConflictError, EntryError
from voltwright.records import drafts
from voltwright.records.drafts import Change
from voltwright.records.records import Records

AT = datetime(2026, 11, 27, 9, 30, tzinfo=UTC)
TEXT = "voltwright: 1\ntitle: Coupé of 1968\npack:\n  series: 5\n"


@pytest.fixture
def build(records: Records) -> int:
    car = records.cars.add("Blue coupé", customer="A. Nobody", who="Ann", at=AT)
    return records.cars.add_build(car.id, "as ordered", TEXT, who="Ann", at=AT).id


def save(
    records: Records, build: int, text: str, since: int, who: str = "Ann", at: datetime = AT, **change: Any
) -> int:
    return records.drafts.save(build, text, since=since, who=who, at=at, change=Change(**change)).number


def test_a_build_begins_with_its_document(records: Records, build: int) -> None:
    draft = records.drafts.now(build)
    assert (draft.number, draft.text, draft.who, draft.at) == (1, TEXT, "Ann", AT)
    (entry,) = records.drafts.log(build)
    assert (entry.kind, entry.of, entry.path) == ("begin", None, "")


def test_every_edit_is_kept_whole(records: Records, build: int) -> None:
    text = TEXT.replace("5", "6")
    assert save(records, build, text, 1, "Ben", AT + timedelta(hours=1), path="pack.series", before="5", after="6") == 2
    assert records.drafts.now(build).text == text
    assert records.drafts.at(build, 1).text == TEXT
    (entry,) = records.drafts.log(build, after=1)
    assert (entry.number, entry.kind, entry.who, entry.at) == (2, "edit", "Ben", AT + timedelta(hours=1))
    assert (entry.path, entry.before, entry.after) == ("pack.series", "5", "6")


@pytest.mark.parametrize(
    "value", [None, 0, 1.5, "", "7 kg ± 1 kg", ["a", None], {"value": "Ω", "how": "measured"}, False]
)
def test_values_come_back_as_they_were(records: Records, build: int, value: object) -> None:
    save(records, build, TEXT + "#", 1, before=value, after=value)
    entry = records.drafts.log(build)[-1]
    assert (entry.before, entry.after) == (value, value)
    assert type(entry.after) is type(value)


def test_the_same_text_again_is_no_edit(records: Records, build: int) -> None:
    assert save(records, build, TEXT, 1) == 1
    assert len(records.drafts.log(build)) == 1


def test_undo_and_redo_are_further_entries(records: Records, build: int) -> None:
    save(records, build, "two", 1, path="a", before=1, after=2)
    save(records, build, "three", 2)
    undo, redo = records.drafts.undo, records.drafts.redo
    assert undo(build, since=3, who="Ben", at=AT).text == "two"
    assert undo(build, since=4, who="Ben", at=AT).text == TEXT
    with pytest.raises(EntryError, match="nothing to undo"):
        undo(build, since=5, who="Ben", at=AT)
    assert redo(build, since=5, who="Ben", at=AT).text == "two"
    assert redo(build, since=6, who="Ben", at=AT).text == "three"
    with pytest.raises(EntryError, match="nothing to redo"):
        redo(build, since=7, who="Ben", at=AT)
    log = records.drafts.log(build)
    assert [(each.kind, each.of) for each in log] == [
        ("begin", None), ("edit", None), ("edit", None), ("undo", 3), ("undo", 2), ("redo", 2), ("redo", 3),
    ]  # fmt: skip
    assert [(each.path, each.before, each.after) for each in log if each.of == 2] == [("a", 2, 1), ("a", 1, 2)]


def test_an_edit_ends_what_can_be_brought_back(records: Records, build: int) -> None:
    save(records, build, "two", 1)
    records.drafts.undo(build, since=2, who="Ann", at=AT)
    save(records, build, "other", 3)
    with pytest.raises(EntryError, match="nothing to redo"):
        records.drafts.redo(build, since=4, who="Ann", at=AT)
    assert records.drafts.undo(build, since=4, who="Ann", at=AT).text == TEXT
    assert records.drafts.redo(build, since=5, who="Ann", at=AT).text == "other"


def test_the_second_of_two_is_told_and_loses_nothing(records: Records, build: int) -> None:
    theirs, yours = TEXT.replace("5", "6"), TEXT.replace("Coupé", "Red coupé")
    save(records, build, theirs, 1, "Ann", AT + timedelta(minutes=4), path="pack.series")
    with pytest.raises(ConflictError) as refused:
        save(records, build, yours, 1, "Ben", AT + timedelta(minutes=5), path="title")
    told = refused.value
    assert [(each.number, each.who, each.path) for each in told.newer] == [(2, "Ann", "pack.series")]
    assert "Ann saved up to edit 2 since, the last on 2026-11-27 at 09:34 UTC" in str(told)
    assert "-  series: 5\n+  series: 6" in told.theirs
    assert "title" not in "".join(line for line in told.theirs.splitlines() if line[0] in "+-")
    assert "-title: Coupé of 1968\n+title: Red coupé of 1968" in told.yours
    assert records.drafts.now(build).text == theirs
    (kept,) = records.drafts.refused(build)
    assert (kept.id, kept.text, kept.since, kept.met, kept.who, kept.path) == (told.kept, yours, 1, 2, "Ben", "title")


def test_who_is_refused_holds_up_nobody_while_texts_are_compared(
    records: Records, build: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Comparing takes as long as it takes; that the others can save meanwhile is shown by one who does."""
    save(records, build, "two", 1)
    known, other = drafts.difference, records.cars.add("Red van", customer="", who="Ann", at=AT)
    saved: list[int] = []

    def meanwhile(*texts: str) -> str:
        saved.append(records.cars.add_build(other.id, f"build {len(saved)}", TEXT, who="Ann", at=AT).id)
        return known(*texts)

    monkeypatch.setattr(drafts, "difference", meanwhile)
    for work in (
        lambda: save(records, build, "three", 1),
        lambda: records.drafts.undo(build, since=1, who="Ben", at=AT),
    ):
        with pytest.raises(ConflictError):
            work()
    assert len(saved) == 3, "both differences of the edit, and that of the others for the undo"


def test_texts_of_very_many_lines_are_not_compared(records: Records, build: int) -> None:
    """The time grows with the square of the lines, and worse: these would take some minutes."""
    lines = [f"{each % 90}" for each in range(100_000)]
    save(records, build, "\n".join(lines), 1)
    begun = time.monotonic()
    with pytest.raises(ConflictError) as refused:
        save(records, build, "\n".join(reversed(lines)), 1)
    assert time.monotonic() - begun < 5
    assert refused.value.yours.endswith("as you would have it: 100000 lines; too many to be set side by side")
    assert refused.value.kept


def test_undo_names_what_it_started_from_too(records: Records, build: int) -> None:
    save(records, build, "two", 1)
    with pytest.raises(ConflictError) as refused:
        records.drafts.undo(build, since=1, who="Ben", at=AT)
    assert refused.value.kept is None
    assert records.drafts.now(build).text == "two"


def test_a_number_from_before_a_restored_backup_loses_nothing(records: Records, build: int) -> None:
    with pytest.raises(ConflictError, match="the log ends with edit 1") as refused:
        save(records, build, "much later", 9)
    assert "+much later" in refused.value.yours
    assert [each.text for each in records.drafts.refused(build)] == ["much later"]


def test_a_clock_that_was_set_back_keeps_the_order(records: Records, build: int) -> None:
    for number in range(1, 5):
        save(records, build, f"text {number + 1}", number, at=AT - timedelta(days=number))
    log = records.drafts.log(build)
    assert [each.number for each in log] == [1, 2, 3, 4, 5]
    assert [each.at for each in log] == [AT - timedelta(days=each) for each in range(5)]
    assert records.drafts.now(build).text == "text 5"


def test_times_are_kept_in_utc_and_need_a_zone(records: Records, build: int) -> None:
    save(records, build, "two", 1, at=datetime(2026, 7, 1, 1, 0, 0, 123456, timezone(timedelta(hours=2))))
    at = records.drafts.now(build).at
    assert at == datetime(2026, 6, 30, 23, 0, 0, 123456, UTC)
    assert at.utcoffset() == timedelta(0)
    with pytest.raises(EntryError, match="no time zone"):
        save(records, build, "three", 2, at=datetime(2026, 7, 1))
    assert records.drafts.now(build).number == 2


@pytest.mark.parametrize("text", ["a\0b", "half a pair \ud83d", "x" * 1_000_001], ids=["zero", "surrogate", "long"])
def test_what_is_no_text_is_refused_by_both(records: Records, build: int, text: str) -> None:
    with pytest.raises(EntryError):
        save(records, build, text, 1)
    assert records.drafts.now(build).text == TEXT


def test_unknown_builds_and_edits_are_named(records: Records, build: int) -> None:
    for ask in (lambda: records.drafts.now(99), lambda: save(records, 99, TEXT, 1)):
        with pytest.raises(AbsentError, match="There is no build 99"):
            ask()
    with pytest.raises(AbsentError, match="no edit 7 of build"):
        records.drafts.at(build, 7)


def test_many_at_once_leave_one_unbroken_log(records: Records, build: int) -> None:
    """Six threads save at once, each starting again from what it is told; nobody's text is lost."""
    wins: list[tuple[int, str]] = []

    def work(name: str) -> None:
        for turn in range(8):
            text = f"{name} {turn}"
            while True:
                since = records.drafts.now(build).number
                try:
                    wins.append((save(records, build, text, since, name), text))
                    break
                except ConflictError:
                    continue

    threads = [threading.Thread(target=work, args=(f"person {each}",)) for each in range(6)]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    assert sorted(number for number, _ in wins) == list(range(2, 50))
    assert [entry.number for entry in records.drafts.log(build)] == list(range(1, 50))
    assert all(records.drafts.at(build, number).text == text for number, text in wins)
