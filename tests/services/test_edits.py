"""Two people edit one build: nothing is lost, nothing wrong is saved, and every edit says who did what."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import pytest

from staff import ANN, BEN, CAT
from voltwright.quantity import document
from voltwright.quantity.errors import AbsentError, BuildError, ConflictError, EntryError
from voltwright.services.views import POINTS, BuildRow, ErrorView, Which
from voltwright.services.workshop import Workshop


def text_of(shop: Workshop, build: BuildRow) -> str:
    return shop.builds.read(CAT, Which(build.id)).text


def test_one_value_is_changed_in_any_unit_and_nothing_else(shop: Workshop, coupe: BuildRow) -> None:
    before = text_of(shop, coupe)
    draft = shop.edits.change(BEN, coupe.id, {"donor.limits.gross": "3000 lb"}, since=1)
    assert draft.text == before.replace("gross: 1380 kg", "gross: 3000 lb")
    entry = shop.builds.log(CAT, coupe.id)[-1]
    assert (entry.number, entry.path, entry.before, entry.after, entry.who) == (
        2, "donor.limits.gross", "1380 kg", "3000 lb", "Ben",
    )  # fmt: skip


def test_of_an_edit_the_new_value_alone_is_read(
    shop: Workshop, coupe: BuildRow, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Reading keeps the processor busy for all: twenty who edit at once must not wait for one another's whole texts."""
    shop.edits.change(BEN, coupe.id, {"title": "First"}, since=1)
    read: list[str] = []
    known = document.load_tree

    def counted(text: str, file: str) -> object:
        read.append(text)
        return known(text, file)

    monkeypatch.setattr(document, "load_tree", counted)
    shop.edits.change(BEN, coupe.id, {"title": "Second"}, since=2)
    with pytest.raises(ConflictError):
        shop.edits.change(ANN, coupe.id, {"title": "Third"}, since=2)
    assert read == ["- Second\n", "- Third\n"]


def test_several_places_are_one_edit(shop: Workshop, coupe: BuildRow) -> None:
    changes = {"brief.load": "60 kg", "brief.seats": "3", "brief.reversible": "false"}
    draft = shop.edits.change(BEN, coupe.id, changes, since=1)
    assert draft.number == 2
    for line in ("  load: 60 kg\n", "  seats: 3\n", "  reversible: false\n"):
        assert line in draft.text, "a whole number and true or false are no texts in quotes"
    entry = shop.builds.log(CAT, coupe.id)[-1]
    assert entry.path == "brief.load, brief.seats, brief.reversible"
    assert entry.before == {"brief.load": "40 kg", "brief.seats": 2, "brief.reversible": True}


def test_what_the_reader_refuses_is_not_saved(shop: Workshop, coupe: BuildRow) -> None:
    with pytest.raises(BuildError) as caught:
        shop.edits.change(BEN, coupe.id, {"donor.limits.gross": "3000 furlongs"}, since=1)
    view = ErrorView.of(caught.value)
    assert view.problems[0].path == "donor.limits.gross"
    assert view.problems[0].mend
    with pytest.raises(BuildError, match="nothing stands at this path"):
        shop.edits.take_out(BEN, coupe.id, "pack.nothing", since=1)
    with pytest.raises(BuildError):
        shop.edits.write(BEN, coupe.id, "voltwright: 1\ntitle: half a car\n", since=1)
    with pytest.raises(BuildError, match="0 changes in one edit"):
        shop.edits.change(BEN, coupe.id, {}, since=1)
    assert shop.builds.log(CAT, coupe.id)[-1].number == 1


@pytest.mark.parametrize(
    "path", ["", ".", "..", "donor..year", "__class__.x", "a" * 300, "costing.prices.../../x", "pack.boxes.99"]
)
def test_hostile_paths_are_refused(shop: Workshop, coupe: BuildRow, path: str) -> None:
    with pytest.raises((BuildError, EntryError)):
        shop.edits.change(BEN, coupe.id, {path: "1 kg"}, since=1)
    assert shop.builds.log(CAT, coupe.id)[-1].number == 1


def test_what_stands_at_a_path_is_taken_out(shop: Workshop, coupe: BuildRow) -> None:
    before = shop._shared.built(Which(coupe.id)).build
    name = next(reversed(before.variants))
    draft = shop.edits.take_out(BEN, coupe.id, f"variants.{name}", since=1)
    assert list(shop._shared.built(Which(coupe.id)).build.variants) == list(before.variants)[:-1]
    assert "# An invented car" in draft.text, "comments stay"
    shop.edits.take_out(BEN, coupe.id, "brief.keep.0", since=2)
    assert shop._shared.built(Which(coupe.id)).build.brief.keep == ("the old dashboard",)
    entry = shop.builds.log(CAT, coupe.id)[-1]
    assert (entry.path, entry.before, entry.after) == ("brief.keep.0", "no cuts in the body", None)


def test_a_second_pack_is_one_edit_that_writes_a_variant(shop: Workshop, coupe: BuildRow) -> None:
    before = text_of(shop, coupe)
    draft = shop.edits.second_pack(BEN, coupe.id, since=1)
    assert before.rstrip() in draft.text.replace("\r", "")
    assert "second-pack:" in draft.text
    entry = shop.builds.log(CAT, coupe.id)[-1]
    assert (entry.path, entry.before, entry.who) == ("variants.second-pack", None, "Ben")
    again = shop.edits.second_pack(BEN, coupe.id, since=2)
    assert "second-pack-2:" in again.text
    with pytest.raises(ConflictError):
        shop.edits.second_pack(ANN, coupe.id, since=1)
    assert shop.edits.undo(BEN, coupe.id, since=3).text == draft.text


def test_undo_and_redo_are_edits_too(shop: Workshop, coupe: BuildRow) -> None:
    began = text_of(shop, coupe)
    shop.edits.change(BEN, coupe.id, {"brief.load": "60 kg"}, since=1)
    edited = text_of(shop, coupe)
    assert shop.edits.undo(ANN, coupe.id, since=2).text == began
    assert shop.edits.redo(BEN, coupe.id, since=3).text == edited
    assert [(each.kind, each.who) for each in shop.builds.log(CAT, coupe.id)] == [
        ("begin", "Ann"), ("edit", "Ben"), ("undo", "Ann"), ("redo", "Ben"),
    ]  # fmt: skip
    with pytest.raises(EntryError, match="nothing to redo"):
        shop.edits.redo(BEN, coupe.id, since=4)


def test_the_second_of_two_is_told_and_keeps_their_text(shop: Workshop, coupe: BuildRow) -> None:
    shop.edits.change(BEN, coupe.id, {"brief.load": "60 kg"}, since=1)
    with pytest.raises(ConflictError) as caught:
        shop.edits.change(ANN, coupe.id, {"brief.seats": 1}, since=1)
    view = ErrorView.of(caught.value)
    assert [(each.number, each.who, each.path) for each in view.newer] == [(2, "Ben", "brief.load")]
    assert "+  load: 60 kg" in view.theirs
    assert "+  seats: 1" in view.yours
    (kept,) = shop.builds.refused(CAT, coupe.id)
    assert (kept.id, kept.who) == (view.kept, "Ann")
    assert "  seats: 1\n" in kept.text
    assert "  seats: 2\n" in text_of(shop, coupe)
    for step in (shop.edits.undo, shop.edits.redo):
        with pytest.raises(ConflictError):
            step(ANN, coupe.id, since=1)


def test_an_edit_from_before_the_return_to_a_backup_is_kept(shop: Workshop, coupe: BuildRow) -> None:
    """A page that stood open meanwhile names a number that the log does not know any more."""
    with pytest.raises(ConflictError, match="the log ends with edit 1") as caught:
        shop.edits.change(BEN, coupe.id, {"brief.seats": 1}, since=9)
    assert "+  seats: 1" in caught.value.yours
    with pytest.raises(ConflictError):
        shop.edits.take_out(BEN, coupe.id, "brief.keep.0", since=9)
    kept = shop.builds.refused(CAT, coupe.id)
    assert [each.since for each in kept] == [9, 9]
    assert "  seats: 1\n" in kept[0].text
    assert "no cuts in the body" not in kept[1].text


def test_of_many_who_save_at_once_one_is_first(shop: Workshop, coupe: BuildRow) -> None:
    def saved(load: int) -> int | None:
        try:
            return shop.edits.change(BEN, coupe.id, {"brief.load": f"{load} kg"}, since=1).number
        except ConflictError:
            return None

    with ThreadPoolExecutor(4) as pool:
        numbers = list(pool.map(saved, (50, 60, 70, 80)))
    assert sorted(numbers, key=str) == [2, None, None, None]
    assert len(shop.builds.refused(CAT, coupe.id)) == 3


def test_a_build_that_is_not_there(shop: Workshop) -> None:
    with pytest.raises(AbsentError, match="There is no"):
        shop.edits.change(ANN, 77, {"brief.seats": 1}, since=1)
    with pytest.raises(AbsentError, match="There is no build 77"):
        shop.figures.assess(CAT, Which(77), POINTS)


def test_an_edit_mends_a_build_that_cannot_be_read_any_more(shop: Workshop, coupe: BuildRow) -> None:
    text = text_of(shop, coupe)
    broken = shop._shared.records.drafts.save(
        coupe.id, text.replace("gross: 1380 kg", "gross: heavy"), since=1, who="import", at=shop._shared.clock()
    )
    with pytest.raises(BuildError, match="heavy"):
        shop.figures.assess(CAT, Which(coupe.id), POINTS)
    assert shop.edits.change(BEN, coupe.id, {"donor.limits.gross": "1380 kg"}, since=broken.number).text == text


def test_a_variant_is_started_and_changed_by_paths(shop: Workshop, coupe: BuildRow) -> None:
    shop.edits.change(BEN, coupe.id, {"variants.short": {"why": "half as far", "changes": {}}}, since=1)
    shop.edits.change(BEN, coupe.id, {"variants.short.changes.pack.series": "7"}, since=2)
    (form,) = shop.forms.show(BEN, Which(coupe.id, variant="short"), ["pack"])
    assert next(each.typed for each in form.fields if each.path == "pack.series") == "7"
    with pytest.raises(BuildError) as refused:
        shop.edits.change(BEN, coupe.id, {"variants.short.changes.donor.mass_kerb": "heavy"}, since=3)
    assert [each.path for each in refused.value.problems] == ["variants.short.changes.donor.mass_kerb"]
    draft = shop.edits.take_out(BEN, coupe.id, "variants.short.changes.pack.series", since=3)
    assert "pack.series" not in draft.text


def test_variants_that_go_round_in_a_circle_are_refused_in_words(shop: Workshop, coupe: BuildRow) -> None:
    chain = {"variants.one": {"changes": {}}, "variants.two": {"of": "one", "changes": {}}}
    shop.edits.change(BEN, coupe.id, chain, since=1)
    with pytest.raises(BuildError, match="one → two → one"):
        shop.edits.change(BEN, coupe.id, {"variants.one.of": "two"}, since=2)
    with pytest.raises(BuildError, match="rests on 'one'"):
        shop.edits.take_out(BEN, coupe.id, "variants.one", since=2)


@pytest.mark.parametrize("number", ["²", "7" * 5000])
def test_a_number_that_no_list_has_is_refused_in_words(shop: Workshop, coupe: BuildRow, number: str) -> None:
    with pytest.raises(BuildError, match="names no place in a list"):
        shop.edits.change(BEN, coupe.id, {f"pack.boxes.{number}.mass": "15 kg"}, since=1)


def test_the_log_is_told_in_words(shop: Workshop, coupe: BuildRow) -> None:
    """An item by its name as long as it is sure that it is the one; nothing that came in as a dict."""
    change = shop.edits.change
    change(BEN, coupe.id, {"pack.boxes.1.modules": "7", "donor.body": "saloon"}, since=1)
    box = {"name": "boot-box", "modules": 8, "mass": "14 kg", "x": "2.5 m", "z": "0.5 m"}
    change(BEN, coupe.id, {"pack.boxes.2": box | dict.fromkeys(("length", "width", "height"), "500 mm")}, since=2)
    change(BEN, coupe.id, {"pack.boxes.2.mass": "15 kg", "drive.motor.part": "motor/pm-30kw-350v"}, since=3)
    shop.edits.undo(BEN, coupe.id, since=4)
    told = shop.builds.told(CAT, coupe.id)
    assert [each.entry.number for each in told] == [5, 4, 3, 2, 1]
    said = {each.entry.number: [(line.place, line.before, line.after) for line in each.lines] for each in told}
    assert said[4][0] == ("Boxes of the battery › boot-box › Mass without its modules", "14 kg", "15 kg")
    motors = (
        "Permanent-magnet motor, 90 kW, 350 V class, liquid cooled",
        "Small permanent-magnet motor, 30 kW, 350 V class, liquid cooled",
    )
    assert said[4][1] == ("Motor", *motors)
    assert said[5] == [(place, after, before) for place, before, after in said[4]]
    assert said[3] == [("Boxes of the battery › box 3", "", "boot-box")]
    assert said[2] == [("Boxes of the battery › box 2 › Modules in it", "8", "7"),
                       ("The car as it arrives › Kind of body", "Coupé", "Saloon")]  # fmt: skip
    assert said[1] == [("", "", "")]
    assert shop.builds.told(CAT, coupe.id, after=5) == ()
    assert shop.builds.told(CAT, coupe.id, after=3, known=5) == (), "told already"
    assert len(shop.builds.told(CAT, coupe.id, after=3, known=4)) == 2
    assert len(shop.builds.told(CAT, coupe.id, most=2)) == 2
