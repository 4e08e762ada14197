"""Use cases of the records: what they hold, backup and restore, and folders of build files in and out."""

from __future__ import annotations

import getpass
from collections.abc import Generator, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from voltwright.services import day
from voltwright.services.actor import LOCAL_OWNER
from voltwright.services.home import place_of_records

if TYPE_CHECKING:  # the database is loaded by those alone who use it
    from voltwright.records.backup import Verified
    from voltwright.records.folders import Moved
    from voltwright.records.records import Records
    from voltwright.services.workshop import Workshop

HERE = LOCAL_OWNER  # whoever uses the command line has the records in hand


@contextmanager
def opened() -> Generator[Records]:
    """The records of this workshop."""
    from voltwright.records.records import Records

    with Records.open(place_of_records()) as records:
        yield records


@contextmanager
def workshop() -> Generator[Workshop]:
    """The workshop with its records, for use cases that ask who acts."""
    from voltwright.services.workshop import Workshop

    with opened() as records, Workshop(records) as shop:
        yield shop


def back_up(file: Path) -> Verified:
    """Everything into one new file, verified."""
    with opened() as records:
        return records.backup(file)


def bring_back(file: Path, *, replace: bool) -> Verified:
    """The records of a backup in the place of this workshop's."""
    from voltwright.records.records import Records

    return Records.restore(file, place_of_records(), replace=replace, at=day.now())


def take_in(folder: Path, *, by: str | None) -> Moved:
    """The build files of a folder into the records; signed with the name of who uses this computer, if no other is given."""
    from voltwright.records import folders

    with opened() as records:
        return folders.take_in(records, folder, who=by or _user(), at=day.now())


def hand_out(folder: Path) -> Moved:
    """Every car of the records into a new folder."""
    from voltwright.records import folders

    with opened() as records:
        return folders.hand_out(records, folder)


def _user() -> str:
    try:
        return getpass.getuser()
    except (OSError, KeyError):  # a system without names of users
        return "unknown"


def listed() -> Iterator[str]:
    """A line for each car and each of its builds."""
    with opened() as records:
        cars = records.cars.list()
        for car in cars:
            yield f"{car.name}{f' ({car.customer})' if car.customer else ''}"
            file = records.cars.open(car.id)
            for build in file.builds:
                named = sum(each.build == build.id for each in file.revisions)
                counts = f"{_counted(build.number, 'edit')}, {_counted(named, 'revision')}"
                yield f"  {build.name:<32} {counts}; last by {build.who}, {build.at:%Y-%m-%d %H:%M} UTC"
        if not cars:
            yield "The records hold no car yet. 'voltwright records import FOLDER' takes build files in."


def verified_text(made: Verified) -> str:
    """What a backup or restore holds, in words."""
    named = {"cars": "car", "builds": "build", "draft_log": "edit", "revisions": "revision", "attachments": "attachment",
             "own_parts": "datasheet of own parts"}  # fmt: skip
    return "Verified: " + ", ".join(_counted(made.rows[table], word) for table, word in named.items())


LEFT_BEHIND = "Left behind: earlier edits, revisions, older files of a name, notes, people and settings; 'voltwright backup' keeps all."


_RULE = "Of a folder with a car.yaml all goes in but links and files above 64 MB; of another what its builds name."


def taken_in_text(moved: Moved) -> list[str]:
    """What an import kept, and what it did not take, in words."""
    lines = [f"Kept: {_moved(moved)}"]
    if moved.left:
        more = len(moved.left) - 5
        names = ", ".join(moved.left[:5]) + (f" and {more} more" if more > 0 else "")
        lines.append(f"Not taken in: {names}. {_RULE}")
    return lines


def handed_out_text(moved: Moved) -> list[str]:
    """What an export wrote, changed and left, in words."""
    changed = f"{_counted(moved.renamed, 'name')} changed to suit a file; car.yaml beside it holds the true one."
    return [f"Written: {_moved(moved)}", *([changed] if moved.renamed else []), LEFT_BEHIND]


def _moved(moved: Moved) -> str:
    counts = {"car": moved.cars, "build": moved.builds, "other file": moved.files, "own part": moved.parts}
    return ", ".join(_counted(count, word) for word, count in counts.items())


def _counted(count: int, word: str) -> str:
    first, blank, rest = word.partition(" of ")
    return f"{count} {first}{'' if count == 1 else 's'}{blank}{rest}"
