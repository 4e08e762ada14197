"""Papers, tables, and the jobs that take longer than one waits for an answer."""

from __future__ import annotations

from typing import Annotated

from fastapi import Query, Response

from voltwright.quantity.errors import JobError, Problem
from voltwright.services.views import ComparisonView, JobView, PlaceView, System
from voltwright.services.watching import LONGEST_LOOK
from voltwright.web.api.asked import Body, Meant, Shop, Units, Who, file_of, router_of

router = router_of("jobs")


class Printing(Body):
    """`date` is printed on the papers as it comes; left out, it is today's."""

    date: str | None = None
    units: System = "metric"


@router.post("/builds/{build}/papers", status_code=202)
def make_papers(shop: Shop, who: Who, which: Meant, body: Printing) -> JobView:
    """Begin to make the papers of a build."""
    return shop.papers.make(who, which, date=body.date, system=body.units)


@router.get("/builds/{build}/tables/workbook.xlsx", response_class=Response)
def workbook(shop: Shop, who: Who, which: Meant, units: Units = "metric") -> Response:
    """Every table and the numbers of every picture in one workbook."""
    return file_of(shop.papers.workbook(who, which, system=units))


@router.get("/builds/{build}/tables/{name}", response_class=Response)
def table(shop: Shop, who: Who, which: Meant, name: str, units: Units = "metric") -> Response:
    """figures.csv, findings.csv, parts.csv, assumptions.csv, or the numbers of a picture such as road.traction.csv, for a spreadsheet."""
    return file_of(shop.papers.table(who, which, name, system=units))


@router.get("/jobs")
def list_jobs(shop: Shop, who: Who) -> tuple[JobView, ...]:
    """One's own jobs, the newest first; for an owner those of all."""
    return shop.jobs.list(who)


@router.get("/jobs/{job}")
def look_at_job(
    shop: Shop, who: Who, job: str, seconds: Annotated[float, Query(ge=0, le=LONGEST_LOOK)] = 0.0
) -> JobView:
    """A job as it stands; where it has not ended, so many seconds are waited, up to 20."""
    return shop.jobs.look(who, job, seconds=seconds)


@router.delete("/jobs/{job}")
def stop_job(shop: Shop, who: Who, job: str) -> JobView:
    """Ask a job to stop."""
    return shop.jobs.stop(who, job)


@router.get("/jobs/{job}/places")
def places(shop: Shop, who: Who, job: str) -> tuple[PlaceView, ...]:
    """What a job of fitting found."""
    found = shop.jobs.result(who, job)
    if not isinstance(found, tuple):
        raise JobError(Problem("the job tried no parts", "a job that `fitting` began", "ask for its papers"))
    return found


@router.get("/jobs/{job}/comparison")
def comparison(shop: Shop, who: Who, job: str) -> ComparisonView:
    """What a job of comparing found."""
    found = shop.jobs.result(who, job)
    if not isinstance(found, ComparisonView):
        raise JobError(Problem("the job compared nothing", "a job that `compare` began", "ask for its papers"))
    return found


@router.get("/jobs/{job}/papers")
def list_papers(shop: Shop, who: Who, job: str) -> tuple[str, ...]:
    """The names of the papers that a job has made."""
    return shop.papers.list(who, job)


@router.get("/jobs/{job}/papers/{name}", response_class=Response)
def paper(shop: Shop, who: Who, job: str, name: str) -> Response:
    """One of the papers that a job has made."""
    return file_of(shop.papers.file(who, job, name), inline=name.endswith(".pdf"))
