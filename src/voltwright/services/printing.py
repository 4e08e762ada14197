"""Use cases of papers: the design paper with its drawing and its data as a job, and tables for a spreadsheet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from voltwright.build.reader import BuildFile
from voltwright.papers.pictures import PICTURES, pictures_of
from voltwright.papers.tables import TABLES, Row, picture_rows
from voltwright.papers.tables_csv import table
from voltwright.quantity.errors import JobError, OutputError, Problem
from voltwright.quantity.frozen import ReadOnly
from voltwright.records.checks import LONGEST_NAME, text_of
from voltwright.rules.dossier import Dossier
from voltwright.rules.elsewhere import Effect, elsewhere
from voltwright.services.actor import Actor, use_case
from voltwright.services.comparing import compared, must_be_few, name_of
from voltwright.services.jobs import Progress
from voltwright.services.shared import POINTS, Asked, Shared, Which
from voltwright.services.shown import job_view
from voltwright.services.views import JobView, PaperFile, System
from voltwright.services.watching import job_of

_MEDIA = {
    "pdf": "application/pdf",
    "svg": "image/svg+xml",
    "json": "application/json",
    "csv": "text/csv",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


@dataclass(frozen=True)
class Printed:
    """The papers of one build, by name."""

    files: Mapping[str, bytes]


@dataclass(frozen=True)
class Papers:
    """Papers are made for whoever may look: they say no more than the pages."""

    _shared: Shared

    @use_case("papers.make")
    def make(self, actor: Actor, which: Which, *, date: str | None = None, system: System = "metric") -> JobView:
        """Begin to make design.pdf, side-view.svg and dossier.json. `date` is printed as it comes; left out, it is today's.

        Raises AbsentError, BuildError.
        """
        shared = self._shared
        built = shared.built(which)
        day = _day(shared, date)
        key = ("papers", shared.key(built, Asked(system=system)), day)

        def work(progress: Progress) -> Printed:
            return shared.cache.get(key, lambda: Printed(ReadOnly(_papers(shared, built, day, system, progress))))

        return job_view(shared.jobs.begin(actor.name, f"Papers of {built.build.title}", work, key=key))

    @use_case("papers.compare")
    def compare(
        self,
        actor: Actor,
        first: Which,
        others: Sequence[Which],
        *,
        date: str | None = None,
        system: System = "metric",
    ) -> JobView:
        """Begin to make comparison.pdf: a build beside others. Raises AbsentError, and FigureError where there are too many or none."""
        from voltwright.papers.comparison import comparison_paper
        from voltwright.papers.typst_render import forget, pdf

        shared, asked = self._shared, Asked(search=False, system=system)
        must_be_few(others)
        day, name = _day(shared, date), name_of(shared, first)

        def work(progress: Progress) -> Printed:
            made = compared(shared, first, others, asked, progress)
            progress(len(others), len(others) + 1, "setting the paper")
            files = {"comparison.pdf": pdf(comparison_paper(made, date=day, system=system))}
            forget()
            return Printed(ReadOnly(files))

        return job_view(shared.jobs.begin(actor.name, f"Paper on {name} beside {len(others)} more", work))

    @use_case("papers.list")
    def list(self, actor: Actor, job_id: str) -> tuple[str, ...]:
        """The names of the papers that a job has made. Raises JobError where it is not done, or makes none."""
        return tuple(self._printed(actor, job_id).files)

    @use_case("papers.file")
    def file(self, actor: Actor, job_id: str, name: str) -> PaperFile:
        """One of the papers that a job has made. Raises JobError where it is not done, or holds no such paper."""
        made = self._printed(actor, job_id).files
        if name not in made:
            raise JobError(Problem(f"it holds no paper '{name[:40]}'", ", ".join(made), "choose one of them"))
        return _file(name, made[name])

    @use_case("papers.table")
    def table(self, actor: Actor, which: Which, name: str, *, system: System = "metric") -> PaperFile:
        """figures.csv, findings.csv, parts.csv, assumptions.csv, or the numbers of a picture: KEY.csv. No cell acts in a spreadsheet.

        `system` chooses the units of pictures alone. Raises OutputError where there is no such table.
        """
        known, key = (*TABLES, *PICTURES), name.removesuffix(".csv")
        if key not in known or key == name:
            allowed = ", ".join(f"{each}.csv" for each in known)
            raise OutputError(Problem(f"there is no table '{name[:40]}'", allowed, "choose one of them"))
        made = self._shared.dossier(self._shared.built(which), Asked())
        rows = TABLES[key](made) if key in TABLES else _numbers_of(made, key, system)
        return _file(name, b"\xef\xbb\xbf" + table(rows).encode())  # by the mark a spreadsheet knows UTF-8

    @use_case("papers.workbook")
    def workbook(self, actor: Actor, which: Which, *, system: System = "metric") -> PaperFile:
        """workbook.xlsx: every table and the numbers of every picture, a sheet for each; numbers are numbers, and no text acts."""
        from voltwright.papers.tables_xlsx import workbook

        made = self._shared.dossier(self._shared.built(which), Asked(system=system))
        return _file("workbook.xlsx", workbook(made, system))

    def _printed(self, actor: Actor, job_id: str) -> Printed:
        made = self._shared.jobs.result(job_of(self._shared.jobs, actor, job_id).id)
        if not isinstance(made, Printed):
            raise JobError(Problem("this job makes no papers", "a job that does", "look at the list of your jobs"))
        return made


def _day(shared: Shared, date: str | None) -> str:
    """What is printed as the date."""
    return text_of(date or shared.today().isoformat(), "the date", LONGEST_NAME)


def _file(name: str, content: bytes) -> PaperFile:
    return PaperFile(name, _MEDIA[name.rpartition(".")[2]], content)


def _numbers_of(made: Dossier, key: str, system: System) -> Iterator[Row]:
    """Of one picture. Raises OutputError where the build cannot show it."""
    found = next(iter(pictures_of(made, key=key)), None)
    if found is None:
        raise OutputError(Problem(f"this build has nothing to show as '{key}'", mend="look which pictures it has"))
    return picture_rows(found, system)


def _papers(shared: Shared, built: BuildFile, day: str, system: System, progress: Progress) -> dict[str, bytes]:
    from voltwright.papers.typst_render import forget
    from voltwright.papers.write import papers_of

    progress(0, 0, "figures and findings")
    made = shared.dossier(built, Asked(system=system))
    record = shared.dossier(built, Asked())
    effects = tuple(_effects(shared, built, made, system, progress))
    pieces = len(effects) + 1
    progress(pieces - 1, pieces, "setting the paper")
    files = papers_of(made, date=day, system=system, record=record, effects=effects)
    forget()
    return files


def _effects(shared: Shared, built: BuildFile, made: Dossier, system: System, progress: Progress) -> Iterator[Effect]:
    pieces = sum(len(each.remedies) for each in made.findings) + 1
    base = shared.dossier(built, replace(POINTS, system=system))
    for number, each in enumerate(elsewhere(built, made, system, shared.today(), base=base)):
        progress(number, pieces, f"what else changes: {each.remedy.says}")
        yield each
