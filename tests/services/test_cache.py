"""What was worked out once is not worked out again, and only those who ask the same share it."""

from __future__ import annotations

import threading
import time
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta

import pytest

from helpers import EXAMPLES
from staff import ANN, BEN, Clock, at_its_end
from voltwright.papers.named import named
from voltwright.parts.shelf import catalogue
from voltwright.records.revisions import WorkedOut
from voltwright.rules import elsewhere
from voltwright.rules.dossier import assess
from voltwright.services import shared
from voltwright.services.cache import Cache
from voltwright.services.jobs import MOST_WAITING, WORKERS
from voltwright.services.views import POINTS, Asked, BuildRow, Which
from voltwright.services.workshop import Workshop

AT = Clock().now


class Counted:
    """Counts how often it is asked, and is slow enough that others come meanwhile."""

    def __init__(self) -> None:
        self.times, self.begun, self.go = 0, threading.Event(), threading.Event()

    def __call__(self) -> int:
        self.times += 1
        self.begun.set()
        assert self.go.wait(10)
        return 42


def test_two_who_ask_at_once_wait_for_one_computation() -> None:
    cache, made = Cache(), Counted()
    with ThreadPoolExecutor(3) as pool:
        answers = [pool.submit(cache.get, "key", made) for _ in range(3)]
        assert made.begun.wait(10)
        assert cache.known("key") is None
        made.go.set()
        assert [each.result(10) for each in answers] == [42, 42, 42]
    assert made.times == 1
    assert cache.known("key") == 42


def test_an_error_is_not_kept_and_another_one_tries() -> None:
    cache, begun, go = Cache(), threading.Event(), threading.Event()

    def fails() -> int:
        begun.set()
        assert go.wait(10)
        raise ValueError("of whom it was")

    with ThreadPoolExecutor(2) as pool:
        first = pool.submit(cache.get, "key", fails)
        assert begun.wait(10)
        second = pool.submit(cache.get, "key", lambda: 7)
        go.set()
        with pytest.raises(ValueError, match="of whom it was"):
            first.result(10)
        assert second.result(10) == 7


def test_it_is_bounded_and_what_was_asked_for_last_stays() -> None:
    cache = Cache(most=2)
    for key in "ab":
        cache.get(key, key.upper)
    cache.get("a", lambda: "not made again")
    cache.get("c", "c".upper)
    assert len(cache) == 2
    assert [cache.known(key) for key in "abc"] == ["A", None, "C"]


def test_what_is_looked_at_stays_too() -> None:
    cache = Cache(most=2)
    for key in "ab":
        cache.get(key, key.upper)
    assert cache.known("a") == "A"
    cache.get("c", "c".upper)
    assert [cache.known(key) for key in "abc"] == ["A", None, "C"]


@pytest.fixture
def assessed(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The titles of the builds that were really worked out."""
    seen: list[str] = []
    real = shared.assess

    def counted(built, **asked):  # pyright: ignore[reportMissingParameterType]
        seen.append(built.build.title)
        return real(built, **asked)

    monkeypatch.setattr(shared, "assess", counted)
    return seen


def test_a_second_ask_is_not_worked_out(shop: Workshop, coupe: BuildRow, assessed: list[str]) -> None:
    first = shop.figures.assess(ANN, Which(coupe.id), POINTS)
    assert shop.figures.assess(BEN, Which(coupe.id), POINTS) == first
    assert len(assessed) == 1


def test_another_question_is_another_answer(shop: Workshop, coupe: BuildRow, assessed: list[str]) -> None:
    shop.figures.assess(ANN, Which(coupe.id), POINTS)
    imperial = shop.figures.assess(ANN, Which(coupe.id), Asked(bands=False, search=False, system="uk"))
    assert len(assessed) == 2
    assert imperial.figures["mass.kerb"].printed.endswith(" lb")


def test_a_comment_changes_nothing_and_a_value_does(shop: Workshop, coupe: BuildRow, assessed: list[str]) -> None:
    before = shop.figures.assess(ANN, Which(coupe.id), POINTS)
    text = shop.builds.read(ANN, Which(coupe.id)).text
    shop.edits.write(ANN, coupe.id, f"{text}\n# looked through again\n", since=1)
    assert shop.figures.assess(ANN, Which(coupe.id), POINTS) == before
    assert len(assessed) == 1
    shop.edits.change(ANN, coupe.id, {"brief.load": "60 kg"}, since=2)
    after = shop.figures.assess(ANN, Which(coupe.id), POINTS)
    assert len(assessed) == 2
    assert after.figures["mass.laden"].value == pytest.approx((before.figures["mass.laden"].value or 0) + 20)


def test_another_version_of_a_part_makes_a_new_one(shop: Workshop, coupe: BuildRow, assessed: list[str]) -> None:
    before = shop.figures.assess(ANN, Which(coupe.id), POINTS)
    motor = shop._shared.built(Which(coupe.id)).build.drive.motor
    assert motor is not None
    sheet = dict(catalogue()._raw[motor.part])
    shop.parts.put(ANN, sheet | {"mass": "1 kg"})
    after = shop.figures.assess(ANN, Which(coupe.id), POINTS)
    assert len(assessed) == 2
    assert (after.figures["mass.kerb"].value or 0) < (before.figures["mass.kerb"].value or 0) - 10


def test_a_part_that_is_not_used_matters_to_a_search_alone(
    shop: Workshop, coupe: BuildRow, assessed: list[str]
) -> None:
    searched = Asked(bands=False)
    for asked in (POINTS, searched):
        shop.figures.assess(ANN, Which(coupe.id), asked)
    fuse = next(each for each in catalogue().ids("fuse"))
    shop.parts.put(ANN, dict(catalogue()._raw[fuse]) | {"id": "fuse/our-own"})
    shop.figures.assess(ANN, Which(coupe.id), POINTS)
    assert len(assessed) == 2
    shop.figures.assess(ANN, Which(coupe.id), searched)
    assert len(assessed) == 3


def test_remedies_are_searched_on_the_shelf_of_now(shop: Workshop, coupe: BuildRow) -> None:
    """Though points and bands were worked out before the part was there."""
    shop.edits.change(BEN, coupe.id, {"pack.protection.contactor": "contactor/450v-20a"}, since=1)
    which, bands = Which(coupe.id), Asked(search=False)
    shop.figures.assess(ANN, which, bands)
    sheet = dict(catalogue()._raw["contactor/450v-250a"]) | {"id": "contactor/our-own", "price": "1 EUR"}
    shop.parts.put(ANN, sheet)
    found = shop.figures.assess(ANN, which)
    at_once = assess(shop._shared.built(which), today=shop._shared.today())
    says = [step.says for each in found.findings for step in each.remedies]
    assert says == [named(step.says) for each in at_once.findings for step in each.remedies]
    assert any(
        value == "contactor/our-own"
        for each in found.findings
        for step in each.remedies
        for value in step.changes.values()
    )


def test_another_file_beside_the_build_makes_a_new_one(shop: Workshop, assessed: list[str]) -> None:
    van = shop.builds.start_example(ANN, "van")
    before = shop.figures.assess(ANN, Which(van.id), POINTS)
    rows = (EXAMPLES / "bakery-round.csv").read_text(encoding="utf-8").splitlines()
    shorter = "\n".join(rows[: len(rows) // 2]) + "\n"
    shop.attachments.add(ANN, van.car, "bakery-round.csv", shorter.encode())
    after = shop.figures.assess(ANN, Which(van.id), POINTS)
    assert len(assessed) == 2
    assert after.figures["road.consumption.town"] != before.figures["road.consumption.town"]


def test_another_day_is_judged_anew(shop: Workshop, coupe: BuildRow, clock: Clock, assessed: list[str]) -> None:
    shop.figures.assess(ANN, Which(coupe.id), POINTS)
    clock.move(timedelta(days=1))
    shop.figures.assess(ANN, Which(coupe.id), POINTS)
    assert len(assessed) == 2


def test_many_revisions_push_no_dossier_out_and_are_read_once(
    shop: Workshop, coupe: BuildRow, assessed: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    shop._shared.cache = Cache(most=4)
    shop.figures.assess(ANN, Which(coupe.id), POINTS)
    read: list[str] = []
    known = shared.from_document

    def counted(document, *rest):  # pyright: ignore[reportMissingParameterType]
        read.append(document.text)
        return known(document, *rest)

    monkeypatch.setattr(shared, "from_document", counted)
    records, text = shop._shared.records, shop.builds.read(ANN, Which(coupe.id)).text
    worked_out = WorkedOut("", "0.1.0", {})
    for since in range(1, 7):
        records.drafts.save(coupe.id, f"{text}# {since}\n", since=since, who="Ann", at=AT)
        records.revisions.save(
            coupe.id, f"no. {since}", since=since + 1, reason="", worked_out=worked_out, who="Ann", at=AT
        )
    for _ in range(2):
        shop.revisions.list(ANN, coupe.id)
    assert len(read) == 6
    shop.figures.assess(ANN, Which(coupe.id, edit=1), POINTS)
    assert len(assessed) == 1


def test_points_come_at_once_and_the_whole_later(shop: Workshop, coupe: BuildRow, assessed: list[str]) -> None:
    which = Which(coupe.id)
    points = shop.figures.best(ANN, which)
    assert (points.asked, points.figures["mass.kerb"].band) == (POINTS, "")
    job = shop.figures.complete(ANN, which)
    again = shop.figures.complete(ANN, which)
    assert job is not None
    assert again is not None
    assert again.id == job.id
    assert at_its_end(shop, ANN, job.id).state == "done"
    whole = shop.figures.best(ANN, which)
    assert whole.asked == Asked()
    assert whole.figures["mass.kerb"].band
    assert any(each.remedies for each in whole.findings)
    assert len(assessed) == 3, "points, bands, remedies"


def test_bands_can_be_shown_before_remedies(shop: Workshop, coupe: BuildRow) -> None:
    bands = Asked(search=False)
    shop.figures.assess(ANN, Which(coupe.id), bands)
    made = shop.figures.best(ANN, Which(coupe.id))
    assert (made.asked, bool(made.figures["mass.kerb"].band)) == (bands, True)
    assert shop.figures.complete(ANN, Which(coupe.id)) is not None


def test_what_was_worked_out_by_pieces_is_the_same_as_at_once(shop: Workshop, coupe: BuildRow) -> None:
    built = shop.figures._shared.built(Which(coupe.id))
    at_once = assess(built, today=shop.figures._shared.today())
    shop.figures.assess(ANN, Which(coupe.id), POINTS)
    shop.figures.assess(ANN, Which(coupe.id), Asked(search=False))
    assert shop.figures.as_json(ANN, Which(coupe.id)) == at_once.as_json()


def test_who_has_too_much_waiting_sees_the_points(shop: Workshop, coupe: BuildRow) -> None:
    go = threading.Event()
    try:
        for _ in range(WORKERS + MOST_WAITING):
            shop._shared.jobs.begin(ANN.name, "long", lambda _: go.wait(60))
            time.sleep(0.01)
        points = shop.figures.best(ANN, Which(coupe.id))
        assert shop.figures.complete(ANN, Which(coupe.id)) is None
        assert not points.asked.bands
        assert points.figures["mass.kerb"].printed
        assert shop.figures.complete(BEN, Which(coupe.id)) is not None
    finally:
        go.set()


def test_the_build_as_it_is_is_not_worked_again_for_its_remedies(
    shop: Workshop, coupe: BuildRow, assessed: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    shop.edits.change(BEN, coupe.id, {"donor.limits.rear_axle": "600 kg", "donor.limits.gross": "1300 kg"}, since=1)
    made = shop.figures.assess(ANN, Which(coupe.id))
    keys = [each.key for each in made.findings if each.remedies][:2]
    assert len(keys) == 2
    assessed.clear()
    mended: list[str] = []
    known = elsewhere.assess

    def counted(built, **asked):  # pyright: ignore[reportMissingParameterType]
        mended.append(built.build.title)
        return known(built, **asked)

    monkeypatch.setattr(elsewhere, "assess", counted)
    steps = [each.remedy for key in keys for each in shop.mending.effects(ANN, Which(coupe.id), key)]
    assert len(mended) <= len(steps)
    assert assessed == []


def test_a_remedy_is_the_one_that_its_reader_saw(shop: Workshop, coupe: BuildRow, assessed: list[str]) -> None:
    """Steps are round in the reader's units, so that another system may offer others."""
    shop.edits.change(BEN, coupe.id, {"donor.limits.rear_axle": "600 kg"}, since=1)
    finding = next(
        each for each in shop.figures.assess(ANN, Which(coupe.id), Asked(system="us")).findings if each.remedies
    )
    assessed.clear()
    shop.mending.apply(BEN, coupe.id, finding.key, finding.remedies[0].changes, since=2, system="us")
    assert assessed == []
    assert set(shop.builds.log(ANN, coupe.id)[-1].path.split(", ")) == set(finding.remedies[0].changes)
