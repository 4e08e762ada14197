"""Folders of build files go in and come out the same; nothing lands outside of the folder."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from voltwright.build.reader import load
from voltwright.parts.shelf import catalogue
from voltwright.quantity.errors import BuildError, EntryError, FileError, OutputError
from voltwright.records.folders import Moved, hand_out, take_in
from voltwright.records.records import Records
from voltwright.rules.dossier import assess

AT = datetime(2026, 11, 27, 9, 30, tzinfo=UTC)
EXAMPLES = Path(__file__).parents[2] / "examples"
COUPE = (EXAMPLES / "coupe.yaml").read_text(encoding="utf-8")
COUPE_CAR, VAN = "Coupé of 1968 for a country doctor", "Light van of 1974 for a bakery round"
(FITTED,) = (each for each in catalogue().ids("fuse") if f" {each}\n" in COUPE)
FUSE: dict[str, Any] = json.loads(json.dumps(catalogue()._raw[FITTED]))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The examples, an own fuse beside them, and a folder of a car with two builds."""
    home = tmp_path / "folder"
    shutil.copytree(EXAMPLES, home)
    (home / "parts").mkdir()
    own = FUSE | {"id": "fuse/own", "title": "From the drawer"}
    (home / "parts" / "fuse--own.json").write_text(json.dumps(own), encoding="utf-8")
    (home / "coupe.yaml").write_text(COUPE.replace(FITTED, "fuse/own"), encoding="utf-8")
    (home / "Red roadster").mkdir()
    shutil.copy(EXAMPLES / "seaside.gpx", home / "Red roadster")
    for name in ("first", "second"):
        shutil.copy(EXAMPLES / "roadster.yaml", home / "Red roadster" / f"{name}.yaml")
    return home


def test_what_goes_in_comes_out_the_same(records: Records, folder: Path, tmp_path: Path) -> None:
    moved = take_in(records, folder, who="Ann", at=AT)
    assert moved == Moved(cars=4, builds=5, files=4, parts=1)
    assert hand_out(records, tmp_path / "out") == moved
    written = {str(each.relative_to(tmp_path / "out")) for each in (tmp_path / "out").rglob("*") if each.is_file()}
    assert written == {
        *(f"{each}/car.yaml" for each in (COUPE_CAR, VAN, "Red roadster", "Roadster of 1962 for the promenade")),
        "Coupé of 1968 for a country doctor/coupe.yaml",
        "Coupé of 1968 for a country doctor/parts/fuse--own.json",
        "Light van of 1974 for a bakery round/bakery-round.csv",
        "Light van of 1974 for a bakery round/coast-down.csv",
        "Light van of 1974 for a bakery round/van.yaml",
        "Red roadster/first.yaml",
        "Red roadster/seaside.gpx",
        "Red roadster/second.yaml",
        "Roadster of 1962 for the promenade/roadster.yaml",
        "Roadster of 1962 for the promenade/seaside.gpx",
    }
    for name in ("coupe", "van"):
        (after,) = (tmp_path / "out").glob(f"*/{name}.yaml")
        assert after.read_bytes() == (folder / f"{name}.yaml").read_bytes()
        before, now = (assess(load(each), with_bands=False, search=False) for each in (folder / f"{name}.yaml", after))
        assert now.fingerprint == before.fingerprint


def test_again_it_changes_nothing(records: Records, folder: Path, tmp_path: Path) -> None:
    take_in(records, folder, who="Ann", at=AT)
    hand_out(records, tmp_path / "out")
    assert take_in(records, folder, who="Ben", at=AT) == Moved()
    assert take_in(records, tmp_path / "out", who="Ben", at=AT) == Moved()
    assert {car.who for car in records.cars.list()} == {"Ann"}


def test_one_bad_file_keeps_all_out_and_all_are_told(records: Records, folder: Path) -> None:
    (folder / "bad.yaml").write_text("voltwright: 1\n", encoding="utf-8")
    (folder / "worse.yml").write_text("{", encoding="utf-8")
    with pytest.raises(BuildError) as told:
        take_in(records, folder, who="Ann", at=AT)
    assert {each.file for each in told.value.problems} == {"bad.yaml", "worse.yml"}
    assert records.cars.list() == ()
    assert records.own_parts.shelved() == {}


def test_another_build_of_the_same_name_is_refused(records: Records, folder: Path) -> None:
    take_in(records, folder, who="Ann", at=AT)
    file = folder / "Red roadster" / "first.yaml"
    file.write_text(file.read_text(encoding="utf-8") + "# newer\n", encoding="utf-8")
    shutil.copy(EXAMPLES / "roadster.yaml", folder / "Red roadster" / "third.yaml")
    with pytest.raises(EntryError, match="the car 'Red roadster' has another build 'first' already"):
        take_in(records, folder, who="Ann", at=AT)
    assert sum(car.builds for car in records.cars.list()) == 5


def with_second_van(home: Path, *, row: str) -> Path:
    """The van, and another build of its car, which names the same trace; a row is added to that trace."""
    (home / VAN).mkdir(parents=True)
    for name in ("coast-down.csv", "bakery-round.csv"):
        shutil.copy(EXAMPLES / name, home / VAN)
    shutil.copy(EXAMPLES / "van.yaml", home / VAN / "second.yaml")
    with (home / VAN / "bakery-round.csv").open("a", encoding="utf-8") as trace:
        trace.write(row)
    return home


LAST = (EXAMPLES / "bakery-round.csv").read_text(encoding="utf-8").splitlines()[-1]
ONE_MORE = f"{int(LAST.split(',')[0]) + 1},0.0,0\n"


def contents(records: Records, car: str) -> list[tuple[str, bytes]]:
    found = next(each.id for each in records.cars.list() if each.name == car)
    return [(each.name, records.attachments.read(each.id)) for each in records.attachments.list(found)]


def test_a_file_of_the_same_name_never_changes_other_builds(records: Records, folder: Path, tmp_path: Path) -> None:
    take_in(records, folder, who="Ann", at=AT)
    before = contents(records, VAN)
    assert dict(before)["bakery-round.csv"] == (EXAMPLES / "bakery-round.csv").read_bytes()
    with pytest.raises(EntryError) as told:
        take_in(records, with_second_van(tmp_path / "later", row=ONE_MORE), who="Ann", at=AT)
    (problem,) = told.value.problems
    assert problem.file == "second.yaml"
    assert problem.what.startswith(f"the car '{VAN}' has another file 'bakery-round.csv' already")
    assert problem.mend == "give the file another name, and write that name in the build file"
    assert contents(records, VAN) == before
    assert sum(car.builds for car in records.cars.list()) == 5
    same = with_second_van(tmp_path / "same", row="")
    assert take_in(records, same, who="Ann", at=AT) == Moved(builds=1)
    assert contents(records, VAN) == before


def test_two_builds_of_one_car_that_bring_different_files_are_refused(records: Records, folder: Path) -> None:
    """One stands in the folder and one in the folder of its car, so that each has a trace of its own beside it."""
    with pytest.raises(EntryError, match=r"another file 'bakery-round\.csv' already"):
        take_in(records, with_second_van(folder, row=ONE_MORE), who="Ann", at=AT)
    assert records.cars.list() == ()


def test_two_datasheets_of_one_id_are_refused(records: Records, folder: Path) -> None:
    (folder / "Red roadster" / "parts").mkdir()
    other = FUSE | {"id": "fuse/own", "title": "From another drawer"}
    (folder / "Red roadster" / "parts" / "x.json").write_text(json.dumps(other), encoding="utf-8")
    with pytest.raises(EntryError, match="fuse/own is known already with another datasheet"):
        take_in(records, folder, who="Ann", at=AT)
    assert records.cars.list() == ()


def test_folders_without_build_files_are_told(records: Records, tmp_path: Path) -> None:
    with pytest.raises(FileError, match="There is no folder"):
        take_in(records, tmp_path / "none", who="Ann", at=AT)
    with pytest.raises(FileError, match="There is no build file"):
        take_in(records, tmp_path, who="Ann", at=AT)


def test_nothing_lands_outside_or_in_anothers_place(records: Records, tmp_path: Path) -> None:
    for name in ("../../out of here", "/etc", "con", "van", "VAN"):
        car = records.cars.add(name, who="Ann", at=AT).id
        for build in ("../x", "..\\x", "parts"):
            records.cars.add_build(car, build, f"{name} {build}", who="Ann", at=AT)
        for file in ("../../../evil", "/etc/passwd", "parts/fuse--own.json", "-x.yaml", "a", "a/b", "A"):
            records.attachments.add(car, file, f"{name} {file}".encode(), who="Ann", at=AT)
    home = tmp_path / "deep" / "down" / "out"
    moved = hand_out(records, home)
    files = [each for each in tmp_path.rglob("*") if each.is_file() and not each.name.startswith("records.db")]
    assert all(each.is_relative_to(home) for each in files)
    contents = [each.read_text(encoding="utf-8") for each in files]
    assert len(set(contents)) == len(contents) == 5 * (3 + 7 + 1) == moved.builds + moved.files + moved.cars
    assert moved.renamed == 4 + 5 * (2 + 6), "cars; builds; files that lead away, meet one, or would be read as another"
    assert not list(home.glob("*/parts/*.json"))
    folded = [str(each.relative_to(home)).casefold() for each in files]
    assert len(set(folded)) == len(folded)


def test_a_folder_with_something_in_it_is_left_alone(records: Records, tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "note").write_text("mine")
    with pytest.raises(OutputError, match="holds something already"):
        hand_out(records, tmp_path / "out")
    assert [each.name for each in (tmp_path / "out").iterdir()] == ["note"]


@pytest.fixture
def other(tmp_path: Path) -> Iterator[Records]:
    with Records.open(tmp_path / "another home") as opened:
        yield opened


def test_a_car_comes_back_as_it_was(records: Records, other: Records, tmp_path: Path) -> None:
    """With customer and papers, under names that no file may have; also where it has no build yet, or was put away."""
    car = records.cars.add("Café / van", customer='Ä. "Nobody"\nand son', who="Ann", at=AT).id
    for build in ("as ordered", "../second", "car"):
        records.cars.add_build(car, build, COUPE, who="Ann", at=AT)
    files = {"design.pdf": b"%PDF", "photos/front?.jpg": b"jpg", "old.yaml": b"no build", "parts/x.json": b"no part"}
    for name, content in files.items():
        records.attachments.add(car, name, content, who="Ann", at=AT)
    records.cars.add("Asked for", customer="B. Nobody", who="Ann", at=AT)
    done = records.cars.add("Done with", customer="C. Nobody", who="Ann", at=AT).id
    records.cars.change(done, away=True)
    moved = hand_out(records, tmp_path / "out")
    assert (moved.cars, moved.builds, moved.files, moved.parts) == (3, 3, 4, 0)
    assert moved.renamed == 1 + 2 + 3
    assert take_in(other, tmp_path / "out", who="Ben", at=AT) == Moved(cars=3, builds=3, files=4)
    assert {(each.name, each.customer) for each in other.cars.list()} == {
        ("Café / van", "Ä. \"Nobody\"\nand son"), ("Asked for", "B. Nobody"),
    }  # fmt: skip
    assert [(each.name, each.customer) for each in other.cars.list(away=True)] == [("Done with", "C. Nobody")]
    back = other.cars.open(next(each.id for each in other.cars.list() if each.builds))
    assert {each.name for each in back.builds} == {"as ordered", "../second", "car"}
    assert dict(contents(other, "Café / van")) == files
    assert take_in(other, tmp_path / "out", who="Ben", at=AT) == Moved()
    (one,) = (tmp_path / "out").glob("Caf*")
    assert take_in(other, one, who="Ben", at=AT) == Moved(), "one of them alone is the same car"


def test_two_cars_of_one_name_stay_two(records: Records, other: Records, tmp_path: Path) -> None:
    for customer in ("A. Nobody", "B. Nobody"):
        records.cars.add("Van", customer=customer, who="Ann", at=AT)
    assert hand_out(records, tmp_path / "out").renamed == 1
    take_in(other, tmp_path / "out", who="Ann", at=AT)
    assert {each.name: each.customer for each in other.cars.list()} == {"Van": "B. Nobody", "Van 2": "A. Nobody"}


def test_what_is_not_taken_in_is_named(records: Records, folder: Path) -> None:
    (folder / "note.txt").write_text("x")
    (folder / "photos").mkdir()
    (folder / "Red roadster" / "design.pdf").write_text("x")
    (folder / "van").mkdir()
    (folder / "van" / "car.yaml").write_text("name: Van\n")
    (folder / "van" / "link").symlink_to(folder / "note.txt")
    moved = take_in(records, folder, who="Ann", at=AT)
    assert set(moved.left) == {"note.txt", "photos/", "Red roadster/design.pdf", "van/link"}
    assert (moved.cars, moved.files) == (5, 4)


@pytest.mark.parametrize(
    ("text", "where", "what"),
    [
        ("voltwright: 1\nname: x", "voltwright", "not known here"),
        ("customer: x", "name", "missing"),
        ("name: 1968", "name", "not a text"),
        ("name: x\naway: maybe", "away", "neither true nor false"),
        ("name: x\nnames: [a]", "names.0", "not a file with its name"),
        ("name: x\nnames: a", "names", "no list"),
        ("name: x\nnames: [{file: a, name: b, more: c}]", "names.0.more", "not known here"),
        (f"name: {'x' * 201}", "name", "201 characters"),
    ],
)
@pytest.mark.parametrize("place", ["sqlite"], indirect=True)
def test_a_car_yaml_is_read_strictly(records: Records, folder: Path, text: str, where: str, what: str) -> None:
    (folder / "Red roadster" / "car.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(BuildError) as told:
        take_in(records, folder, who="Ann", at=AT)
    (problem, *_) = told.value.problems
    assert (problem.file, problem.path) == ("car.yaml", where)
    assert what in problem.what
    assert problem.allowed
    assert problem.mend
    assert records.cars.list() == ()


def test_another_file_of_a_name_keeps_all_out(records: Records, other: Records, tmp_path: Path) -> None:
    car = records.cars.add("Van", who="Ann", at=AT).id
    records.attachments.add(car, "design.pdf", b"first", who="Ann", at=AT)
    hand_out(records, tmp_path / "out")
    (tmp_path / "out" / "Van" / "design.pdf").write_bytes(b"second")
    with pytest.raises(EntryError, match=r"^design\.pdf: the car 'Van' has another file 'design\.pdf' already\. "):
        take_in(records, tmp_path / "out", who="Ann", at=AT)
    assert take_in(other, tmp_path / "out", who="Ann", at=AT) == Moved(cars=1, files=1)
