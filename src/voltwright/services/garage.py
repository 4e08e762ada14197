"""Use cases of cars, their builds and their files."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from voltwright.build.reader import BuildFile, load
from voltwright.quantity.errors import AbsentError, Problem
from voltwright.services.actor import Actor, use_case
from voltwright.services.beginning import begun
from voltwright.services.questions import questions
from voltwright.services.shared import Shared, Which
from voltwright.services.views import Answers, BuildRow, Car, CarFile, Draft, Entry, QuestionView, RefusedEdit

FIRST = "first"  # the name of a build that began with answers


@dataclass(frozen=True)
class Cars:
    """Nothing is deleted: a car that is done with is put away."""

    _shared: Shared

    @use_case("cars.list")
    def list(self, actor: Actor, *, away: bool = False) -> tuple[Car, ...]:
        """The cars, those first that were edited last; or those that were put away."""
        return self._shared.records.cars.list(away=away)

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
    def questions(self, actor: Actor) -> tuple[QuestionView, ...]:
        """What is asked of a car that begins with five answers, in the order of a form."""
        return questions(self._shared.stocked().shelf, self._shared.records.own_parts.shelved())

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

    @use_case("builds.log")
    def log(self, actor: Actor, build: int, *, after: int = 0) -> tuple[Entry, ...]:
        """The edits of a build after a number, oldest first."""
        return self._shared.records.drafts.log(build, after)

    @use_case("builds.refused")
    def refused(self, actor: Actor, build: int) -> tuple[RefusedEdit, ...]:
        """Texts that were refused because somebody else saved first."""
        return self._shared.records.drafts.refused(build)


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
