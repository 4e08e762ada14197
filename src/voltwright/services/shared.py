"""What the use cases of the workshop share: records, clock, shelf, the caches and the jobs; and how a kept build is read."""

from __future__ import annotations

import threading
from collections.abc import Callable, Generator, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any, Literal, get_args

from voltwright.build.reader import BuildFile, from_document, variant_of
from voltwright.parts.shelf import Shelf
from voltwright.quantity.document import Document, parse
from voltwright.records.attachments import newest
from voltwright.records.checks import sha256_of
from voltwright.records.records import Records
from voltwright.rules.dossier import Dossier, assess, fingerprint_of
from voltwright.services.cache import Cache
from voltwright.services.jobs import Jobs

System = Literal["metric", "uk", "us"]
MOST_BUILDS = 128  # each is about 1 MB


@dataclass(frozen=True)
class Which:
    """The document that is meant: of a build as it stands, or as it stood after an edit, or as a revision holds it.

    `variant` names one of its variants, whose changes are then made.
    """

    build: int
    edit: int | None = None
    revision: int | None = None
    variant: str = ""


@dataclass(frozen=True)
class Asked:
    """What is wanted of a dossier: bands, remedies that are searched for, and the units of its words."""

    bands: bool = True
    search: bool = True
    system: System = "metric"

    @property
    def less(self) -> Asked | None:
        """What is worked out before it; nothing before the points."""
        if self.search:
            return replace(self, search=False)
        return replace(self, bands=False) if self.bands else None


POINTS = Asked(bands=False, search=False)


class CarFiles(Mapping[str, bytes]):
    """The files of a car by the name under which its builds name them; each is read when it is asked for."""

    def __init__(self, records: Records, car: int) -> None:
        self._records = records
        self._newest = newest(records.attachments.list(car))

    def __getitem__(self, name: str) -> bytes:
        return self._records.attachments.read(self._newest[name].id)

    def __iter__(self) -> Iterator[str]:
        return iter(self._newest)

    def __len__(self) -> int:
        return len(self._newest)

    @property
    def hashes(self) -> tuple[tuple[str, str], ...]:
        return tuple(sorted((name, each.sha256) for name, each in self._newest.items()))


@dataclass(frozen=True)
class Stocked:
    """The shelf with the workshop's own parts, and the hash of every datasheet on it."""

    shelf: Shelf
    fingerprint: str


class Shared:
    """One for each workshop; threads share it."""

    def __init__(self, records: Records, clock: Callable[[], datetime], cache: Cache, jobs: Jobs) -> None:
        self.records, self.clock, self.cache, self.jobs = records, clock, cache, jobs
        self.pictures = Cache()  # apart, as they are small
        self._builds = Cache(MOST_BUILDS)  # apart, so that who looks through many revisions pushes no dossier out
        self._stocked: tuple[dict[str, Mapping[str, Any]], Stocked] | None = None
        self._lock = threading.Lock()
        self._moment = threading.local()
        # One edit at a time: reading a build holds the interpreter, and who saves meanwhile would hold the database for seconds.
        self.editing = threading.Lock()

    def today(self) -> date:
        return self.clock().date()

    def stocked(self) -> Stocked:
        """The shelf as it is now; the same one as long as no own part changes."""
        from voltwright.parts.shelf import catalogue

        own = self.records.own_parts.shelved()
        with self._lock:
            if self._stocked is None or self._stocked[0] != own:
                shelf = catalogue().with_own(own)
                self._stocked = own, Stocked(shelf, shelf.fingerprint_of_all)
            return self._stocked[1]

    def text(self, which: Which) -> str:
        """The document as it was written. Raises AbsentError."""
        records = self.records
        if which.revision is not None:
            return records.revisions.text(which.build, which.revision)
        draft = records.drafts.now(which.build) if which.edit is None else records.drafts.at(which.build, which.edit)
        return draft.text

    @contextmanager
    def at_one_moment(self) -> Generator[None]:
        """What this thread asks for inside is of one moment: each build is looked up once, whatever others save meanwhile."""
        before = getattr(self._moment, "builds", None)
        self._moment.builds = {} if before is None else before
        try:
            yield
        finally:
            self._moment.builds = before

    def built(self, which: Which) -> BuildFile:
        """The build that is meant, read. Raises AbsentError, and BuildError where the document is not right."""
        known: dict[Which, BuildFile] | None = getattr(self._moment, "builds", None)
        if known is None:
            return self._looked_up(which)
        if which not in known:
            known[which] = self._looked_up(which)
        return known[which]

    def _looked_up(self, which: Which) -> BuildFile:
        row = self.records.cars.build(which.build)
        made = self.read(self.text(which), row.car, row.name)
        return variant_of(made, which.variant) if which.variant else made

    def read(self, text: str, car: int, name: str, document: Document | None = None) -> BuildFile:
        """A document of a car, validated with its files and the shelf. Raises BuildError listing all that is wrong.

        `document`: the text as somebody has parsed it already.
        """
        stocked, files = self.stocked(), CarFiles(self.records, car)
        key = (sha256_of(text), name, files.hashes, stocked.fingerprint)
        return self._builds.get(key, lambda: from_document(document or parse(text, name), stocked.shelf, files))

    def dossier(self, built: BuildFile, asked: Asked, beside: Dossier | None = None) -> Dossier:
        """Figures and findings, worked out once for everybody who asks the same.

        `beside` is the dossier of the build with which this one is compared; what is unsure in both is then the same in both.
        """
        return self.cache.get(self.key(built, asked, beside), lambda: self._worked_out(built, asked, beside))

    def _worked_out(self, built: BuildFile, asked: Asked, beside: Dossier | None) -> Dossier:
        less = asked.less
        known = self.dossier(built, less, beside if less.bands else None) if less else None
        return assess(
            built,
            with_bands=asked.bands,
            system=asked.system,
            today=self.today(),
            search=asked.search,
            beside=beside,
            known=known,
        )

    def best(self, built: BuildFile) -> Dossier:
        """For figures alone, which are the same in any words: a dossier with bands where one is known already, else the points."""
        systems: tuple[System, ...] = get_args(System)
        asked = [
            Asked(bands, search, each)
            for bands, search in ((True, True), (True, False), (False, False))
            for each in systems
        ]
        known = (self.cache.known(self.key(built, each)) for each in asked)
        return next(filter(None, known), None) or self.dossier(built, POINTS)

    def key(self, built: BuildFile, asked: Asked, beside: Dossier | None = None) -> tuple[Any, ...]:
        """All that a dossier depends on. A search looks at the whole shelf; everything else at the parts that are used."""
        shelf = built.shelf.fingerprint_of_all if asked.search else ""
        return "dossier", fingerprint_of(built), shelf, asked, self.today(), beside.fingerprint if beside else ""
