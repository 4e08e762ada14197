"""Folders of build files into the records, and out of them again as a folder for each car."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path, PurePosixPath
from typing import Any

from voltwright.quantity.errors import BuildError, EntryError, FileError, OutputError, Problem, VoltwrightError
from voltwright.records.attachments import newest
from voltwright.records.cars import CarFile
from voltwright.records.checks import sha256_of
from voltwright.records.names import free_path, safe_name, safe_path
from voltwright.records.records import Records

_ENDINGS = (".yaml", ".yml")
_PARTS = "parts"  # the folder of own parts beside a build file


@dataclass(frozen=True)
class Moved:
    """How many went in or out; what was there already is not counted."""

    cars: int = 0
    builds: int = 0
    files: int = 0
    parts: int = 0


@dataclass(frozen=True)
class _Found:
    """A build file, the names that it gets in the records, and the files that it names."""

    file: Path
    car: str
    build: str
    text: str
    beside: Mapping[str, bytes] = field(repr=False)


def take_in(records: Records, folder: Path, *, who: str, at: datetime) -> Moved:
    """Keep every build file of a folder and of the folders in it, with own parts and the files that the builds name.

    A folder inside is a car; a build file in the folder itself is a car of its own, named by its title. What is there already
    is left as it is. Raises FileError, BuildError or EntryError listing all that is wrong, and then nothing was kept.
    """
    found = _read_all(_build_files(folder), folder)
    parts = _own_parts(found, records)
    cars = _cars_by_name(records)
    _must_agree(records, found, cars)
    _files_must_agree(records, found, cars)
    for part in parts:
        records.own_parts.put(part, who=who, at=at)
    before = len(cars)
    moved = [_keep(records, each, cars, who, at) for each in found]
    return Moved(len(cars) - before, sum(new for new, _ in moved), sum(files for _, files in moved), len(parts))


def _build_files(folder: Path) -> list[Path]:
    allowed, mend = "a folder with build files (.yaml)", "check the name of the folder"
    if not folder.is_dir():
        raise FileError(Problem(f"there is no folder {folder}", allowed, mend))
    try:
        inside = [folder, *(each for each in folder.iterdir() if each.is_dir() and each.name != _PARTS)]
        files = sorted(each for home in inside for each in home.iterdir() if each.suffix.lower() in _ENDINGS)
    except OSError as cause:
        raise FileError(
            Problem(f"{folder} cannot be read: {cause.strerror}", allowed, "check who may read it")
        ) from None
    if not files:
        raise FileError(Problem(f"there is no build file in {folder}", allowed, mend))
    return files


def _read_all(files: list[Path], folder: Path) -> list[_Found]:
    found: list[_Found] = []
    problems: list[Problem] = []
    for file in files:
        try:
            found.append(_read(file, None if file.parent == folder else file.parent.name))
        except VoltwrightError as error:
            problems += error.problems
    if problems:
        raise BuildError(problems)
    return found


def _read(file: Path, car: str | None) -> _Found:
    from voltwright.build.reader import load, variant_of

    built = load(file)
    names = {*built.beside.hashes, *(n for each in built.build.variants for n in variant_of(built, each).beside.hashes)}
    beside = {name: (file.parent / name).read_bytes() for name in sorted(names)}
    return _Found(file, car or built.build.title, file.stem, built.document.text, beside)


def _own_parts(found: list[_Found], records: Records) -> list[dict[str, Any]]:
    """The own parts beside the build files that are new. Raises EntryError where two differ under one id."""
    from voltwright.parts.datasheet import canonical
    from voltwright.parts.shelf import own_part

    known: dict[str, Any] = dict(records.own_parts.shelved())
    new: list[dict[str, Any]] = []
    problems: list[Problem] = []
    for home in sorted({each.file.parent for each in found}):
        for file in sorted((home / _PARTS).glob("*.json")):
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


def _cars_by_name(records: Records) -> dict[str, int]:
    """The cars on the list; of two that have a name, the older."""
    return {car.name: car.id for car in sorted(records.cars.list(), key=lambda car: -car.id)}


def _must_agree(records: Records, found: list[_Found], cars: Mapping[str, int]) -> None:
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


def _files_must_agree(records: Records, found: list[_Found], cars: Mapping[str, int]) -> None:
    """Of a name the newest file of a car counts, for all its builds: a further one would change those that are there."""
    problems: list[Problem] = []
    seen: dict[tuple[str, str], str] = {}
    for car in {each.car for each in found} & cars.keys():
        kept = newest(records.attachments.list(cars[car]))
        seen |= {(car, name): each.sha256 for name, each in kept.items()}
    for each in found:
        for name, content in each.beside.items():
            fingerprint = sha256_of(content)
            if seen.setdefault((each.car, name), fingerprint) != fingerprint:
                what = f"the car '{each.car}' has another file '{name}' already, which its other builds may name"
                mend = "give the file another name, and write that name in the build file"
                problems.append(Problem(what, "one file of a name for all builds of a car", mend, file=each.file.name))
    if problems:
        raise EntryError(problems)


def _keep(records: Records, found: _Found, cars: dict[str, int], who: str, at: datetime) -> tuple[int, int]:
    """Whether the build is new, and how many of its files are."""
    if found.car not in cars:
        cars[found.car] = records.cars.add(found.car, who=who, at=at).id
    opened, files = records.cars.open(cars[found.car]), 0
    known = newest(opened.attachments)
    for name, content in found.beside.items():
        if name not in known:
            records.attachments.add(opened.car.id, name, content, note="beside the build file", who=who, at=at)
            files += 1
    if any(build.name == found.build for build in opened.builds):
        return 0, files
    records.cars.add_build(opened.car.id, found.build, found.text, who=who, at=at)
    return 1, files


def hand_out(records: Records, folder: Path) -> Moved:
    """Write every car as a folder: its builds as they stand, its files, and the own parts that the builds name.

    Names are made safe: none leads out of the folder, none takes another's place. Raises OutputError where the folder holds
    something already.
    """
    from voltwright.quantity.document import write_whole

    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise OutputError(Problem(f"{folder} holds something already", "a new or empty folder", "name another"))
    shelved, homes, counts = records.own_parts.shelved(), set[str](), Moved()
    for car in (*records.cars.list(), *records.cars.list(away=True)):
        home = free_path(PurePosixPath(safe_name(car.name)), homes)
        homes.add(str(home))
        written = _written(records, records.cars.open(car.id), shelved)
        for path, content in written.items():
            write_whole(folder / home / path, content)
        parts = sum(path.parts[0] == _PARTS for path in written)
        builds = car.builds
        files = len(written) - parts - builds
        counts = Moved(counts.cars + 1, counts.builds + builds, counts.files + files, counts.parts + parts)
    return counts


def _written(records: Records, opened: CarFile, shelved: Mapping[str, Any]) -> dict[PurePosixPath, bytes]:
    """The files of one car by their paths: builds first, so that they keep their names."""
    texts = {build.name: records.drafts.now(build.id).text for build in opened.builds}
    files: dict[PurePosixPath, bytes] = {}

    def put(wanted: PurePosixPath, content: bytes) -> None:
        if {str(each).casefold() for each in wanted.parents} & {str(each).casefold() for each in files}:
            wanted = PurePosixPath("-".join(wanted.parts))  # a file has the name of its folder
        taken = {str(each) for path in files for each in (path, *path.parents)}
        files[free_path(wanted, taken)] = content

    for name, text in texts.items():
        put(PurePosixPath(safe_name(name) + _ENDINGS[0]), text.encode())
    for part in _named("\n".join(texts.values()), shelved):
        sheet = json.dumps(shelved[part], indent=2, ensure_ascii=False) + "\n"
        put(PurePosixPath(_PARTS, safe_name(part.replace("/", "--")) + ".json"), sheet.encode())
    for name, kept in newest(opened.attachments).items():
        path = safe_path(name)
        as_part = path.parts[0].casefold() == _PARTS and path.suffix == ".json"
        put(PurePosixPath("files", *path.parts) if as_part else path, records.attachments.read(kept.id))
    return files


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
