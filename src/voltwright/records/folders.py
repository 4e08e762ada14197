"""Folders of build files into the records, and out of them again as a folder for each car."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path, PurePosixPath
from typing import Any

from voltwright.quantity.errors import EntryError, FileError, OutputError, Problem
from voltwright.records import about_car
from voltwright.records.about_car import AboutCar
from voltwright.records.attachments import newest
from voltwright.records.cars import CarFile
from voltwright.records.checks import sha256_of
from voltwright.records.found import ENDINGS, PARTS, Found, Home, homes, left, read_all
from voltwright.records.names import free_path, safe_name, safe_path
from voltwright.records.records import Records


@dataclass(frozen=True)
class Moved:
    """How many went in or out; what was there already is not counted.

    `left` names what an import found and did not take; `renamed` is how many names an export changed to suit files; `begun`
    are the ids of the builds that are new.
    """

    cars: int = 0
    builds: int = 0
    files: int = 0
    parts: int = 0
    left: tuple[str, ...] = ()
    renamed: int = 0
    begun: tuple[int, ...] = field(default=(), compare=False)


def take_in(records: Records, folder: Path, *, who: str, at: datetime, anew: bool = False) -> Moved:
    """Keep every build file of a folder and of the folders in it, with own parts and the files that the builds name.

    A folder inside is a car; a build file in the folder itself is a car of its own, named by its title. A folder with a
    car.yaml is the car that stands there, and goes in with all that lies in it. What is there already is left as it is;
    `anew`: each car of the folder becomes a new one, whatever is there.
    Raises FileError, BuildError or EntryError listing all that is wrong, and then nothing was kept.
    """
    known = homes(folder)
    parts = _own_parts(known, records)
    found = read_all(known, folder, records.own_parts.shelved())
    cars = {} if anew else _cars_by_name(records, known)
    _must_agree(records, found, cars)
    _files_must_agree(records, found, known, cars)
    for part in parts:
        records.own_parts.put(part, who=who, at=at)
    before = len(cars)
    for home in known:
        _begin(records, home, cars, who, at)
    moved = [_keep(records, each, cars, who, at) for each in found]
    begun, files = tuple(new for new, _ in moved if new is not None), sum(each for _, each in moved)
    files += sum(_keep_files(records, cars[home.about.name], home.files, who, at) for home in known if home.about)
    return Moved(len(cars) - before, len(begun), files, len(parts), tuple(left(known, found)), begun=begun)


def _own_parts(known_homes: tuple[Home, ...], records: Records) -> list[dict[str, Any]]:
    """The own parts beside the build files that are new. Raises EntryError where two differ under one id."""
    from voltwright.parts.datasheet import canonical
    from voltwright.parts.shelf import own_part

    known: dict[str, Any] = dict(records.own_parts.shelved())
    new: list[dict[str, Any]] = []
    problems: list[Problem] = []
    for home in (each for each in known_homes if each.is_car):
        for file in sorted((home.folder / PARTS).glob("*.json")):
            part = json.loads(json.dumps(canonical(own_part(file))))
            if part["id"] not in known:
                new.append(part)
            elif known[part["id"]] != part:
                what = f"{part['id']} is known already with another datasheet"
                problems.append(
                    Problem(what, "one datasheet for an id", "give one of the two another id", file=file.name)
                )
            known.setdefault(part["id"], part)
    if problems:
        raise EntryError(problems)
    return new


def _cars_by_name(records: Records, known: tuple[Home, ...]) -> dict[str, int]:
    """The cars on the list, and of those put away the ones that come in as such; of two that have a name, the older."""
    away = {each.about.name for each in known if each.about and each.about.away}
    put_away = [car for car in records.cars.list(away=True) if car.name in away]
    both = [*sorted(put_away, key=lambda car: -car.id), *sorted(records.cars.list(), key=lambda car: -car.id)]
    return {car.name: car.id for car in both}


def _must_agree(records: Records, found: list[Found], cars: Mapping[str, int]) -> None:
    """No build of the records and none of the folder may be another one of the same car and name."""
    problems: list[Problem] = []
    seen: dict[tuple[str, str], str] = {}
    for name in {each.car for each in found} & cars.keys():
        for build in records.cars.open(cars[name]).builds:
            seen[name, build.name] = records.drafts.now(build.id).text
    for each in found:
        if seen.setdefault((each.car, each.build), each.text) != each.text:
            what = f"the car '{each.car}' has another build '{each.build}' already"
            problems.append(Problem(what, "one build of a name", "give the file another name", file=each.file.name))
    if problems:
        raise EntryError(problems)


def _files_must_agree(records: Records, found: list[Found], known: tuple[Home, ...], cars: Mapping[str, int]) -> None:
    """Of a name the newest file of a car counts, for all its builds: a further one would change those that are there."""
    problems: list[Problem] = []
    seen: dict[tuple[str, str], str] = {}
    brought = [(each.car, name, path, each.file) for each in found for name, path in each.beside.items()]
    brought += [(h.about.name, name, path, path) for h in known if h.about for name, path in h.files.items()]
    for car in {car for car, *_ in brought} & cars.keys():
        kept = newest(records.attachments.list(cars[car]))
        seen |= {(car, name): each.sha256 for name, each in kept.items()}
    for car, name, path, told in brought:
        fingerprint = sha256_of(_content(path))
        if seen.setdefault((car, name), fingerprint) != fingerprint:
            what, mend = f"the car '{car}' has another file '{name}' already", "give the file another name"
            if told != path:
                what, mend = (
                    f"{what}, which its other builds may name",
                    f"{mend}, and write that name in the build file",
                )
            problems.append(Problem(what, "one file of a name for all builds of a car", mend, file=told.name))
    if problems:
        raise EntryError(problems)


def _content(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as cause:
        what = f"it cannot be read: {cause.strerror}"
        raise FileError(Problem(what, "a file that you may read", "check who may read it", file=path.name)) from None


def _begin(records: Records, home: Home, cars: dict[str, int], who: str, at: datetime) -> None:
    """The car of a car.yaml, if it is new."""
    about = home.about
    if about is None or about.name in cars:
        return
    made = records.cars.add(about.name, customer=about.customer, who=who, at=at).id
    if about.away:
        records.cars.change(made, away=True)
    cars[about.name] = made


def _keep(records: Records, found: Found, cars: dict[str, int], who: str, at: datetime) -> tuple[int | None, int]:
    """The build if it is new, and how many of its files are."""
    if found.car not in cars:
        cars[found.car] = records.cars.add(found.car, who=who, at=at).id
    car = cars[found.car]
    files = _keep_files(records, car, found.beside, who, at)
    if any(build.name == found.build for build in records.cars.open(car).builds):
        return None, files
    return records.cars.add_build(car, found.build, found.text, who=who, at=at).id, files


def _keep_files(records: Records, car: int, files: Mapping[str, Path], who: str, at: datetime) -> int:
    known = newest(records.attachments.list(car))
    new = {name: path for name, path in files.items() if name not in known}
    for name, path in new.items():
        records.attachments.add(car, name, _content(path), note="beside the build file", who=who, at=at)
    return len(new)


def hand_out(records: Records, folder: Path) -> Moved:
    """Write every car as a folder: its car.yaml, its builds as they stand, its files, and the own parts that the builds name.

    Names are made safe: none leads out of the folder, none takes another's place; car.yaml holds them as they are. Raises
    OutputError where the folder holds something already.
    """
    from voltwright.quantity.document import write_whole

    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise OutputError(Problem(f"{folder} holds something already", "a new or empty folder", "name another"))
    shelved, taken, names, counts = records.own_parts.shelved(), set[str](), set[str](), Moved()
    for car in (*records.cars.list(), *records.cars.list(away=True)):
        home = free_path(PurePosixPath(safe_name(car.name)), taken)
        name = (
            car.name if car.name not in names else str(home)
        )  # of two cars of one name, the second comes back as another
        taken.add(str(home))
        names.add(name)
        files, renamed = _written(records, records.cars.open(car.id), shelved)
        about = AboutCar(name, car.customer, car.away, renamed)
        for path, content in (files | {PurePosixPath(about_car.FILE): about_car.written(about)}).items():
            write_whole(folder / home / path, content)
        parts = sum(path.parts[0] == PARTS for path in files)
        others = len(files) - parts - car.builds
        odd = counts.renamed + len(renamed) + (str(home) != car.name)
        counts = Moved(
            counts.cars + 1, counts.builds + car.builds, counts.files + others, counts.parts + parts, (), odd
        )
    return counts


def _written(
    records: Records, opened: CarFile, shelved: Mapping[str, Any]
) -> tuple[dict[PurePosixPath, bytes], dict[str, str]]:
    """The files of one car by their paths, builds first, so that they keep their names; and the names of those that do not."""
    texts = {build.name: records.drafts.now(build.id).text for build in opened.builds}
    files: dict[PurePosixPath, bytes] = {}
    renamed: dict[str, str] = {}

    def put(wanted: PurePosixPath, content: bytes) -> PurePosixPath:
        if {str(each).casefold() for each in wanted.parents} & {str(each).casefold() for each in files}:
            wanted = PurePosixPath("-".join(wanted.parts))  # a file has the name of its folder
        taken = {str(each) for path in files for each in (path, *path.parents)} | {about_car.FILE}
        path = free_path(wanted, taken)
        files[path] = content
        return path

    for name, text in texts.items():
        path = put(PurePosixPath(safe_name(name) + ENDINGS[0]), text.encode())
        if path.stem != name:
            renamed[str(path)] = name
    for part in _named("\n".join(texts.values()), shelved):
        sheet = json.dumps(shelved[part], indent=2, ensure_ascii=False) + "\n"
        put(PurePosixPath(PARTS, safe_name(part.replace("/", "--")) + ".json"), sheet.encode())
    for name, kept in newest(opened.attachments).items():
        path = put(_apart(safe_path(name)), records.attachments.read(kept.id))
        if str(path) != name:
            renamed[str(path)] = name
    return files, renamed


def _apart(path: PurePosixPath) -> PurePosixPath:
    """Where it would be read as a build or as an own part, or not be seen, a file lies in a folder below."""
    as_part = path.parts[0].casefold() == PARTS and path.suffix == ".json"
    as_build = len(path.parts) == 1 and path.suffix.casefold() in ENDINGS
    return PurePosixPath("files", *path.parts) if as_part or as_build else path


def _named(text: str, shelved: Mapping[str, Any]) -> Iterator[str]:
    """The own parts whose id stands in a text, and those that their datasheets name."""
    waiting, seen = [text], set[str]()
    while waiting:
        read = waiting.pop()
        for part in shelved:
            if part not in seen and part in read:
                seen.add(part)
                waiting.append(json.dumps(shelved[part]))
                yield part
