"""Use cases of cars, their builds and their files."""

from __future__ import annotations

import functools
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from importlib.resources.abc import Traversable
from itertools import islice
from pathlib import Path
from typing import Any

from voltwright.build.reader import BuildFile, load
from voltwright.quantity.document import parse
from voltwright.quantity.errors import AbsentError, Problem
from voltwright.records.cars import Standing
from voltwright.services.actor import Actor, use_case
from voltwright.services.beginning import begun
from voltwright.services.log_in_words import in_words
from voltwright.services.questions import questions
from voltwright.services.shared import Shared, System, Which
from voltwright.services.taking_in import taken_in
from voltwright.services.views import (
    Answers,
    BuildLine,
    BuildNow,
    BuildRow,
    Car,
    CarFile,
    CarLine,
    CarsPage,
    Draft,
    EditView,
    Entry,
    QuestionView,
    RefusedEdit,
    TakenIn,
)

ON_A_PAGE = 50  # cars
FIRST = "first"  # the name of a build that began with answers


@dataclass(frozen=True)
class Cars:
    """Nothing is deleted: a car that is done with is put away."""

    _shared: Shared

    @use_case("cars.list")
    def list(self, actor: Actor, *, away: bool = False) -> tuple[Car, ...]:
        """The cars, those first that were edited last; or those that were put away."""
        return self._shared.records.cars.list(away=away)

    @use_case("cars.browse")
    def browse(self, actor: Actor, *, search: str = "", away: bool = False, page: int = 1) -> CarsPage:
        """One page of the list, with builds: of all cars, or of those with some words in their names or the customers'.

        A page that is not there is the nearest that is.
        """
        records, words = self._shared.records, _plain(search).split()
        named = [(each, _plain(f"{each.name} {each.customer}")) for each in records.cars.list(away=away)]
        found = [each for each, name in named if all(word in name for word in words)]
        pages = max(1, -(-len(found) // ON_A_PAGE))
        page = min(max(page, 1), pages)
        shown = found[(page - 1) * ON_A_PAGE : page * ON_A_PAGE]
        lines: dict[int, list[BuildLine]] = {each.id: [] for each in shown}
        for each in records.cars.standing(tuple(lines)):
            lines[each.build.car].append(_line(each))
        return CarsPage(tuple(CarLine(each, tuple(lines[each.id])) for each in shown), len(found), page, pages)

    @use_case("cars.open")
    def open(self, actor: Actor, car: int) -> CarFile:
        """A car with its builds, revisions and files. Raises AbsentError."""
        return self._shared.records.cars.open(car)

    @use_case("cars.start")
    def start(self, actor: Actor, name: str, *, customer: str = "") -> Car:
        """A new car without a build. Raises EntryError."""
        shared = self._shared
        return shared.records.cars.add(name, customer=customer, who=actor.name, at=shared.clock())

    @use_case("cars.change")
    def change(
        self, actor: Actor, car: int, *, name: str | None = None, customer: str | None = None, away: bool | None = None
    ) -> Car:
        """Give it another name or customer, put it away, or take it back. Raises AbsentError, EntryError."""
        return self._shared.records.cars.change(car, name=name, customer=customer, away=away)


@dataclass(frozen=True)
class Builds:
    """The builds of all cars: begun, read, and what became of them."""

    _shared: Shared

    @use_case("builds.examples")
    def examples(self, actor: Actor) -> dict[str, str]:
        """Name and title of each example that comes with Voltwright."""
        return {name: known.build.title for name, known in _examples().items()}

    @use_case("builds.start")
    def start(self, actor: Actor, car: int, name: str, text: str) -> BuildRow:
        """A new build of a car, from the text of a build file. Raises AbsentError, EntryError, and BuildError as the reader does."""
        shared = self._shared
        shared.records.cars.open(car)
        shared.read(text, car, name)
        return shared.records.cars.add_build(car, name, text, who=actor.name, at=shared.clock())

    @use_case("builds.start_example")
    def start_example(self, actor: Actor, name: str, *, car_name: str = "", customer: str = "") -> BuildRow:
        """A new car with the build of an example, and the files that it names. Raises AbsentError where there is none."""
        examples = _examples()
        if name not in examples:
            what = f"there is no example '{name[:40]}'"
            raise AbsentError(Problem(what, ", ".join(examples), "choose one of them"))
        known, records, at = examples[name], self._shared.records, self._shared.clock()
        car = records.cars.add(car_name or known.build.title, customer=customer, who=actor.name, at=at)
        for file, content in _beside(known).items():
            records.attachments.add(car.id, file, content, note="of the example", who=actor.name, at=at)
        return records.cars.add_build(car.id, name, known.document.text, who=actor.name, at=at)

    @use_case("builds.questions")
    def questions(self, actor: Actor, *, system: System = "metric") -> tuple[QuestionView, ...]:
        """What is asked of a car that begins with five answers, in the order of a form, with examples in the reader's units."""
        return questions(self._shared.stocked().shelf, self._shared.records.own_parts.shelved(), system)

    @use_case("builds.begin")
    def begin(self, actor: Actor, answers: Answers, *, name: str = "", customer: str = "") -> BuildRow:
        """A new car with a build made of five answers, everything else assumed and marked so; takes some seconds.

        `name` is that of the car; left empty, the title that was answered. Raises BuildError with every answer that is wrong, each by
        the name of its question, and EntryError.
        """
        shared = self._shared
        text = begun(answers, shared.stocked().shelf)
        at = shared.clock()
        car = shared.records.cars.add(name or answers.title, customer=customer, who=actor.name, at=at)
        return shared.records.cars.add_build(car.id, FIRST, text, who=actor.name, at=at)

    @use_case("builds.take_in")
    def take_in(self, actor: Actor, files: Mapping[str, bytes], *, name: str = "", customer: str = "") -> TakenIn:
        """New cars from files by their paths: a build file, with what it names or not, or a folder as an export writes it.

        `name` and `customer` are those of the car where there is one. Raises EntryError, and BuildError as the reader does with the
        file and the line; then nothing was kept.
        """
        return taken_in(self._shared, files, actor.name, name=name.strip(), customer=customer.strip())

    @use_case("builds.rename")
    def rename(self, actor: Actor, build: int, name: str) -> BuildRow:
        """Give a build another name. Raises AbsentError, and EntryError where the car has one of that name."""
        return self._shared.records.cars.rename_build(build, name)

    @use_case("builds.read")
    def read(self, actor: Actor, which: Which) -> Draft:
        """The text of a build, as it stands or stood. Raises AbsentError."""
        drafts = self._shared.records.drafts
        if which.revision is not None:
            kept = {each.number: each for each in self._shared.records.revisions.list(which.build)}
            text = self._shared.records.revisions.text(which.build, which.revision)
            revision = kept[which.revision]
            return Draft(which.build, revision.draft, text, revision.who, revision.at)
        return drafts.now(which.build) if which.edit is None else drafts.at(which.build, which.edit)

    @use_case("builds.now")
    def now(self, actor: Actor, build: int) -> BuildNow:
        """The build among the records: whose car it is, its newest edit, and what can be taken back or brought back. Raises AbsentError."""
        records = self._shared.records
        row = records.cars.build(build)
        undoes, redoes = records.drafts.steps(build)
        return BuildNow(records.cars.open(row.car).car, row, undoes, redoes)

    @use_case("builds.log")
    def log(self, actor: Actor, build: int, *, after: int = 0) -> tuple[Entry, ...]:
        """The edits of a build after a number, oldest first."""
        return self._shared.records.drafts.log(build, after)

    @use_case("builds.told")
    def told(
        self, actor: Actor, build: int, *, after: int = 0, most: int = 100, known: int = 0
    ) -> tuple[EditView, ...]:
        """The last edits of a build after a number, in words, the newest first; none where the newest is the `known` one."""
        shared = self._shared
        log = shared.records.drafts.log(build, after)
        if not log or log[-1].number == known:
            return ()
        now = parse(shared.records.drafts.now(build).text, shared.records.cars.build(build).name)
        return tuple(islice(in_words(log, now, shared.stocked().shelf), most))

    @use_case("builds.refused")
    def refused(self, actor: Actor, build: int) -> tuple[RefusedEdit, ...]:
        """Texts that were refused because somebody else saved first."""
        return self._shared.records.drafts.refused(build)


def _plain(text: str) -> str:
    """As names are compared: without capitals, and an accent as one sign with its letter."""
    return unicodedata.normalize("NFC", text).casefold()


def _line(standing: Standing) -> BuildLine:
    revision = standing.revision
    headline: Mapping[str, Any] = revision.headline if revision else {}
    stops, cautions = (headline.get(f"findings.{grade}", {}).get("value") for grade in ("stop", "caution"))
    return BuildLine(standing.build, revision.number if revision else None, stops, cautions)


@functools.cache
def _examples() -> Mapping[str, BuildFile]:
    """The examples that come with Voltwright, read."""
    folder = _folder()
    return {each.stem: load(each) for each in sorted(folder.glob("*.yaml"))}


def _folder() -> Path:
    """In the wheel they lie inside the package, in the repository beside it."""
    inside: Traversable = files("voltwright").joinpath("examples")
    return Path(str(inside)) if inside.is_dir() else Path(__file__).parents[3] / "examples"


def _beside(known: BuildFile) -> dict[str, bytes]:
    """The files that an example names, by name."""
    assert isinstance(known.folder, Path)
    return {name: (known.folder / name).read_bytes() for name in known.beside.hashes}
