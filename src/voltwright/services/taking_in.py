"""Files that somebody sends - a build file, several of a folder, or a folder as an export writes it - as new cars."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path, PurePosixPath

from voltwright.quantity.errors import EntryError, OutputError, Problem, VoltwrightError
from voltwright.records import folders
from voltwright.records.checks import LONGEST_NAME, name_of, text_of
from voltwright.records.found import ENDINGS, PARTS
from voltwright.services.attaching import TYPES, plain_name
from voltwright.services.shared import Shared
from voltwright.services.views import TakenIn

MOST_FILES = 500
MOST_BYTES = 40_000_000  # together
DEEPEST = 8  # folders


def taken_in(shared: Shared, files: Mapping[str, bytes], who: str, *, name: str, customer: str) -> TakenIn:
    """Keep them by their paths as `folders.take_in` does, each car being a new one. Raises as that does, and EntryError."""
    if name:
        name_of(name, "the name of the car")
    text_of(customer, "the customer", LONGEST_NAME)
    sent, left = _sorted_out(files)
    with tempfile.TemporaryDirectory(prefix="voltwright-") as place:
        _lay_down(sent, Path(place))
        try:
            moved = folders.take_in(shared.records, Path(place), who=who, at=shared.clock(), anew=True)
        except VoltwrightError as error:  # by the names that the sender knows
            told = [replace(each, what=each.what.replace(f"{place}/", "")) for each in error.problems]
            raise type(error)(told) from None
    builds = tuple(shared.records.cars.build(each) for each in moved.begun)
    cars = {each.car for each in builds}
    if len(cars) == 1 and (name or customer):
        shared.records.cars.change(*cars, name=name or None, customer=customer or None)
    return TakenIn(builds, (*left, *moved.left))


def _lay_down(files: Mapping[PurePosixPath, bytes], home: Path) -> None:
    try:
        for path, content in files.items():
            (home / path).parent.mkdir(parents=True, exist_ok=True)
            (home / path).write_bytes(content)
    except OSError as cause:
        what = f"the files cannot be laid down to be read: {cause.strerror}"
        raise OutputError(
            Problem(what, "room on the disk, and no file named as a folder", "make room, or rename it")
        ) from None


def _sorted_out(files: Mapping[str, bytes]) -> tuple[dict[PurePosixPath, bytes], tuple[str, ...]]:
    """What goes in by its path, and what does not: hidden files, and those of no type that is kept. Raises EntryError."""
    _must_not_be_too_much(files)
    paths = {name: _path_of(name) for name in files}
    if not any(path.suffix.lower() in ENDINGS for path in paths.values()):
        what = "there is no build file among what was sent" if files else "nothing was sent"
        raise EntryError(Problem(what, "a build file (.yaml), alone or with what it names", "choose it too"))
    top = _common(list(paths.values()))
    sent: dict[PurePosixPath, bytes] = {}
    left: list[str] = []
    seen: dict[str, str] = {}
    for name, path in paths.items():
        if any(each.startswith(".") for each in path.parts) or path.suffix.lower()[1:] not in {*TYPES, "json"}:
            left.append(name)
            continue
        path = path.relative_to(top)
        if len(path.parts) == 1 and path.suffix.lower() == ".json":
            path = PurePosixPath(PARTS, path.name)  # a datasheet that was chosen with the build file
        other = seen.setdefault(str(path).casefold(), name)
        if other != name:
            raise EntryError(Problem(f"'{name[:80]}' and '{other[:80]}' have one name", "a name each", "rename one"))
        sent[path] = files[name]
    return sent, tuple(left)


def _must_not_be_too_much(files: Mapping[str, bytes]) -> None:
    if len(files) > MOST_FILES:
        what = f"{len(files)} files were sent"
        raise EntryError(Problem(what, f"up to {MOST_FILES} at once", "choose the folder of one car alone"))
    total = sum(map(len, files.values()))
    if total > MOST_BYTES:
        what, mend = (
            f"the files have {total / 1e6:.0f} MB together",
            "leave photographs out, and add them to the car later",
        )
        raise EntryError(Problem(what, f"up to {MOST_BYTES / 1e6:.0f} MB", mend))


def _path_of(name: str) -> PurePosixPath:
    """A path of plain names. Raises EntryError."""
    pieces = name.split("/")
    hidden = [each for each in pieces if each.startswith(".") and each.strip(".")]
    try:
        plain = [each if each in hidden else plain_name(each) for each in pieces]
    except VoltwrightError as error:
        raise EntryError(error.problems) from None
    if len(plain) > DEEPEST or any(len(each.encode()) > 255 for each in plain):
        what = f"the name '{name[:60]}...' is too long or lies in too many folders"
        raise EntryError(Problem(what, f"up to {DEEPEST} folders, and names of up to 255 bytes", "rename it"))
    return PurePosixPath(*plain)


def _common(paths: list[PurePosixPath]) -> PurePosixPath:
    """The folder around all of them, as far as it holds nothing but one folder."""
    top = PurePosixPath()
    while True:
        below = {path.relative_to(top).parts for path in paths}
        if len({each[0] for each in below}) != 1 or any(len(each) < 3 for each in below):
            return top
        top /= next(iter(below))[0]
