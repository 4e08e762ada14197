"""Files beside a build: speed traces, routes and coast-downs, out of the folder of its file, or kept by name without one.

Of a folder nothing is read but what lies in it or below it. A name among kept files is only compared, and never becomes a path.
"""

from __future__ import annotations

import functools
import hashlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TypeVar

from voltwright.build.brief import DutyTrip
from voltwright.build.coast_down import RoadLoad, read_coast_down, road_load_of
from voltwright.build.document import Build
from voltwright.parts import gpx
from voltwright.parts.columns import Held
from voltwright.parts.route_speeds import trip_of
from voltwright.parts.routes import Route, read_route
from voltwright.parts.trips import Trip, read_trace
from voltwright.physics.coast_down import Run
from voltwright.quantity.document import Document
from voltwright.quantity.errors import BuildError, FileError, Problem
from voltwright.quantity.frozen import ReadOnly

LARGEST = 2_000_000  # bytes; a day's drive at one row a second is a tenth of it
_GPX = ".gpx"
_MEND_LARGE = "cut it into single trips, or keep one row for each second"
Read = TypeVar("Read")
Home = Path | Mapping[str, bytes]  # a folder, or files by the name that the build gives them


@dataclass(frozen=True)
class Beside:
    """What the files of a build hold: traces and routes by the name of their journey, and the coast-down of its donor.

    `hashes` names each file that was read, with the hash of its content.
    """

    traces: Mapping[str, Trip] = field(default_factory=ReadOnly[str, Trip])
    coast_down: RoadLoad | None = None
    hashes: Mapping[str, str] = field(default_factory=ReadOnly[str, str])


class Folder:
    """Reads files of one home, each once however many variants name it."""

    def __init__(self, home: Home | None) -> None:
        self._home = home
        self._trips: dict[str, Trip] = {}
        self._routes: dict[str, Route] = {}
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
            elif (name := each.route) is not None:
                made = attempt(f"duty.trips.{index}.route", lambda name=name, each=each: self._driven(name, each))
                traces |= {each.name: made} if made else {}
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
            self._trips[name] = read_trace(self._found(name))
        return self._trips[name]

    def _driven(self, name: str, asked: DutyTrip) -> Trip:
        """A route as a journey drives it. Raises BuildError, FileError."""
        if name not in self._routes:
            self._routes[name] = _route_in(self._held(name, self._found(name)))
        speed = asked.speed.value if asked.speed is not None else None
        limits = tuple((each.at.value, each.speed.value) for each in asked.limits)
        return trip_of(self._routes[name], asked.name, speed=speed, limits=limits, round_trip=asked.round_trip)

    def _held(self, name: str, found: Path | Held) -> Held:
        return found if isinstance(found, Held) else Held(found.name, found.read_bytes())

    def _coasted(self, name: str) -> tuple[Run, ...]:
        if name not in self._runs:
            self._runs[name] = read_coast_down(self._found(name))
        return self._runs[name]

    def _found(self, name: str) -> Path | Held:
        """The file of that name. Raises BuildError, FileError."""
        if self._home is None:
            what = f"the build was read without its folder, so '{name}' cannot be read"
            raise BuildError(Problem(what, _allowed(name), "open the build file itself"))
        return self._inside(self._home, name) if isinstance(self._home, Path) else self._kept(self._home, name)

    def _kept(self, files: Mapping[str, bytes], name: str) -> Held:
        content = files.get(name)
        if content is None:
            what, mend = f"the car has no file '{name}'", "check the name, or add the file to the car"
            raise BuildError(Problem(what, _allowed(name, kept=True), mend))
        if len(content) > largest(name):
            raise BuildError(Problem(_is_larger(name), _allowed(name, kept=True), _MEND_LARGE))
        self._hashes[name] = hashlib.sha256(content).hexdigest()
        return Held(name, content)

    def _inside(self, folder: Path, name: str) -> Path:
        """The file of that name, which must lie in the folder, links followed."""
        try:
            home = folder.resolve()
            path = (home / name).resolve()
            if not path.is_relative_to(home):
                mend = "put a copy of the file beside the build file"
                raise BuildError(Problem(f"'{name}' leads out of the folder of the build file", _allowed(name), mend))
            if not path.is_file():
                what = f"there is no file '{name}' in the folder of the build file"
                raise BuildError(Problem(what, _allowed(name), "check the name, or put the file there"))
            if path.stat().st_size > largest(name):
                raise BuildError(Problem(_is_larger(name), _allowed(name), _MEND_LARGE))
            self._hashes[name] = hashlib.sha256(path.read_bytes()).hexdigest()
        except (OSError, RuntimeError, ValueError) as cause:
            words = getattr(cause, "strerror", None) or str(cause)
            raise FileError(
                Problem(f"'{name}' cannot be read: {words}", _allowed(name), "check who may read it")
            ) from None
        return path


@functools.lru_cache(4)  # each edit of a build reads its files anew, and a long recording takes a second
def _route_in(file: Held) -> Route:
    return read_route(file)


def largest(name: str) -> int:
    """How large a file beside a build may be, by its ending. [bytes]"""
    return gpx.MOST_BYTES if name.lower().endswith(_GPX) else LARGEST


def _allowed(name: str, *, kept: bool = False) -> str:
    kind = "GPX" if name.lower().endswith(_GPX) else "CSV"
    where = "among the files of the car" if kept else "in the folder of the build file"
    return f"a {kind} file of up to {largest(name) // 1_000_000} MB {where}"


def _is_larger(name: str) -> str:
    return f"'{name}' is larger than {largest(name) // 1_000_000} MB"


def _placed(problem: Problem, path: str, document: Document) -> Problem:
    """A problem inside a file keeps its row there; one with the file itself is shown where the build names it."""
    if problem.file:
        return replace(problem, what=f"{problem.what} (named at {path})")
    return replace(problem, path=path, line=document.line_of(path), file=document.file)
