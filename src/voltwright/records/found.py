"""What lies in folders of build files: the cars, their builds, and the files beside them. Nothing is kept here."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from voltwright.quantity.errors import BuildError, FileError, Problem, VoltwrightError
from voltwright.quantity.frozen import ReadOnly
from voltwright.records.about_car import FILE, AboutCar, read
from voltwright.records.attachments import LARGEST
from voltwright.records.checks import name_of

ENDINGS = (".yaml", ".yml")
PARTS = "parts"  # the folder of own parts beside a build file


@dataclass(frozen=True)
class Found:
    """A build file, the names that it gets in the records, and the files that it names."""

    file: Path
    car: str
    build: str
    text: str
    beside: Mapping[str, Path] = field(repr=False)


@dataclass(frozen=True)
class Home:
    """A folder with its build files. Where a car.yaml stands in it, it is one car, and `files` go in with it by these names."""

    folder: Path
    builds: tuple[Path, ...]
    about: AboutCar | None = None
    files: Mapping[str, Path] = field(default_factory=ReadOnly[str, Path])
    too_much: tuple[Path, ...] = ()  # links, and what is too large

    @property
    def is_car(self) -> bool:
        return bool(self.builds) or self.about is not None


def homes(folder: Path) -> tuple[Home, ...]:
    """The folder, and those folders in it that hold a car. Raises FileError, BuildError."""
    allowed, mend = f"a folder with build files (.yaml) or a {FILE}", "check the name of the folder"
    if not folder.is_dir():
        raise FileError(Problem(f"there is no folder {folder}", allowed, mend))
    problems: list[Problem] = []
    found: list[Home] = []
    try:
        for each in (folder, *(() if (folder / FILE).is_file() else _folders_in(folder))):
            try:
                found.append(_home(each))
            except (BuildError, FileError) as error:
                problems += error.problems
    except OSError as cause:
        what = f"{folder} cannot be read: {cause.strerror}"
        raise FileError(Problem(what, allowed, "check who may read it")) from None
    if problems:
        raise BuildError(problems)
    top, *below = found
    found = [top, *(each for each in below if each.is_car)]
    if not any(each.is_car for each in found):
        raise FileError(Problem(f"there is no build file in {folder}", allowed, mend))
    return tuple(found)


def _folders_in(folder: Path) -> list[Path]:
    return sorted(each for each in folder.iterdir() if each.is_dir() and each.name != PARTS)


def _home(folder: Path) -> Home:
    builds = tuple(sorted(e for e in folder.iterdir() if e.suffix.lower() in ENDINGS and e.name != FILE))
    if not (folder / FILE).is_file():
        return Home(folder, builds)
    about = read(folder / FILE)
    files: dict[str, Path] = {}
    too_much: list[Path] = []
    for each in sorted(folder.rglob("*")):
        path = each.relative_to(folder)
        if each in builds or path.as_posix() == FILE or _is_hidden(path) or _is_part(path):
            continue
        if each.is_symlink() or (each.is_file() and each.stat().st_size > LARGEST):
            too_much.append(each)
        elif each.is_file():
            files[_checked(about.names.get(path.as_posix(), path.as_posix()), each)] = each
    return Home(folder, builds, about, ReadOnly(files), tuple(too_much))


def _is_hidden(path: Path) -> bool:
    return any(each.startswith(".") for each in path.parts)


def _is_part(path: Path) -> bool:
    return len(path.parts) == 2 and path.parts[0] == PARTS and path.suffix == ".json"


def _checked(name: str, file: Path) -> str:
    try:
        return name_of(name, "the name of the file")
    except VoltwrightError as error:
        first = error.problems[0]
        raise FileError(Problem(first.what, first.allowed, first.mend, file=file.name)) from None


def read_all(found: tuple[Home, ...], top: Path, own: Mapping[str, Mapping[str, Any]]) -> list[Found]:
    """Every build file, read as `load` does, with own parts behind those beside it. Raises BuildError listing all that is wrong."""
    builds: list[Found] = []
    problems: list[Problem] = []
    for home in found:
        for file in home.builds:
            try:
                builds.append(_read(file, home, None if home.folder == top else home.folder.name, own))
            except VoltwrightError as error:
                problems += error.problems
    if problems:
        raise BuildError(problems)
    return builds


def _read(file: Path, home: Home, car: str | None, own: Mapping[str, Mapping[str, Any]]) -> Found:
    from voltwright.build.reader import loads, variant_of
    from voltwright.parts.shelf import shelf_beside
    from voltwright.quantity.document import read_text

    beside = shelf_beside(file)
    shelf = beside.with_own({part: raw for part, raw in own.items() if part not in beside})
    built = loads(read_text(file), file=file.name, shelf=shelf, folder=file.parent)
    names = {*built.beside.hashes, *(n for each in built.build.variants for n in variant_of(built, each).beside.hashes)}
    files = {name: file.parent / name for name in sorted(names)}
    known_as, build = home.about.name if home.about else car or built.build.title, file.stem
    build = home.about.names.get(file.name, build) if home.about else build
    return Found(file, name_of(known_as, "the name of the car"), name_of(build, "the name of the build"),
                 built.document.text, files)  # fmt: skip


def left(found: tuple[Home, ...], builds: list[Found]) -> Iterator[str]:
    """What stands beside the build files and is not taken in, by its path below the first folder."""
    taken = {path for each in builds for path in (each.file, *each.beside.values())} | {each.folder for each in found}
    top = found[0].folder
    for home in found:
        beside = home.too_much if home.about else sorted(home.folder.iterdir())
        for each in beside:
            below = any(each in path.parents for path in taken)
            if each not in taken and not below and each.name != PARTS and not each.name.startswith("."):
                yield f"{each.relative_to(top)}{'/' if each.is_dir() else ''}"
