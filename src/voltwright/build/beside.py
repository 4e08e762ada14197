"""Files beside the build file: speed traces and coast-downs. Only the folder of the build file is read, and what is below it."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TypeVar

from voltwright.build.coast_down import RoadLoad, read_coast_down, road_load_of
from voltwright.build.document import Build
from voltwright.parts.trips import Trip, read_trace
from voltwright.physics.coast_down import Run
from voltwright.quantity.document import Document
from voltwright.quantity.errors import BuildError, FileError, Problem
from voltwright.quantity.frozen import ReadOnly

LARGEST = 2_000_000  # bytes; a day's drive at one row a second is a tenth of it
_ALLOWED = "a CSV file of up to 2 MB in the folder of the build file"
Read = TypeVar("Read")


@dataclass(frozen=True)
class Beside:
    """What the files of a build hold: traces by the name of their journey, and the coast-down of its donor.

    `hashes` names each file that was read, with the hash of its content.
    """

    traces: Mapping[str, Trip] = field(default_factory=ReadOnly[str, Trip])
    coast_down: RoadLoad | None = None
    hashes: Mapping[str, str] = field(default_factory=ReadOnly[str, str])


class Folder:
    """Reads files of one folder, each once however many variants name it."""

    def __init__(self, folder: Path | None) -> None:
        self._folder = folder
        self._trips: dict[str, Trip] = {}
        self._runs: dict[str, tuple[Run, ...]] = {}
        self._hashes: dict[str, str] = {}

    def read(self, build: Build, document: Document) -> Beside:
        """The files that a build names. Raises BuildError listing all that is wrong with them."""
        problems: list[Problem] = []

        def attempt(path: str, read: Callable[[], Read]) -> Read | None:
            try:
                return read()
            except (BuildError, FileError) as error:
                problems.extend(_placed(each, path, document) for each in error.problems)
                return None

        traces: dict[str, Trip] = {}
        named: list[str] = []
        for index, each in enumerate(build.duty.trips):
            if (name := each.trace) is not None:
                made = attempt(f"duty.trips.{index}.trace", lambda name=name: self._trip(name))
                traces |= {each.name: replace(made, name=each.name)} if made else {}
                named.append(name)
        known, load = build.donor.coast_down, None
        if known is not None and (file := known.file) is not None:
            load = attempt("donor.coast_down.file", lambda: road_load_of(self._coasted(file), known, file))
            named.append(file)
        if problems:
            raise BuildError(problems)
        return Beside(ReadOnly(traces), load, ReadOnly({name: self._hashes[name] for name in sorted(set(named))}))

    def _trip(self, name: str) -> Trip:
        if name not in self._trips:
            self._trips[name] = read_trace(self._inside(name))
        return self._trips[name]

    def _coasted(self, name: str) -> tuple[Run, ...]:
        if name not in self._runs:
            self._runs[name] = read_coast_down(self._inside(name))
        return self._runs[name]

    def _inside(self, name: str) -> Path:
        """The file of that name, which must lie in the folder, links followed."""
        if self._folder is None:
            what = f"the build was read without its folder, so '{name}' cannot be read"
            raise BuildError(Problem(what, _ALLOWED, "open the build file itself"))
        try:
            home = self._folder.resolve()
            path = (home / name).resolve()
            if not path.is_relative_to(home):
                mend = "put a copy of the file beside the build file"
                raise BuildError(Problem(f"'{name}' leads out of the folder of the build file", _ALLOWED, mend))
            if not path.is_file():
                what = f"there is no file '{name}' in the folder of the build file"
                raise BuildError(Problem(what, _ALLOWED, "check the name, or put the file there"))
            if path.stat().st_size > LARGEST:
                mend = "cut it into single trips, or keep one row for each second"
                raise BuildError(Problem(f"'{name}' is larger than 2 MB", _ALLOWED, mend))
            self._hashes[name] = hashlib.sha256(path.read_bytes()).hexdigest()
        except (OSError, RuntimeError, ValueError) as cause:
            words = getattr(cause, "strerror", None) or str(cause)
            raise FileError(Problem(f"'{name}' cannot be read: {words}", _ALLOWED, "check who may read it")) from None
        return path


def _placed(problem: Problem, path: str, document: Document) -> Problem:
    """A problem inside a file keeps its row there; one with the file itself is shown where the build names it."""
    if problem.file:
        return replace(problem, what=f"{problem.what} (named at {path})")
    return replace(problem, path=path, line=document.line_of(path), file=document.file)
