"""Figures, findings, remedies and comparisons."""

from __future__ import annotations

from fastapi import Response
from pydantic import Field

from voltwright.services.views import (
    ComparisonView,
    DossierView,
    Draft,
    EffectView,
    JobView,
    System,
    TripRow,
    TripView,
    Which,
    WorkingView,
)
from voltwright.web.api.asked import Body, Changes, Id, Meant, Number, Shop, Units, Wanted, Who, router_of

router = router_of("figures")


class Meaning(Body):
    """A build as it stands, or as it stood; with a variant, or without."""

    build: Number
    edit: Number | None = None
    revision: Number | None = None
    variant: str = ""

    def which(self) -> Which:
        return Which(self.build, self.edit, self.revision, self.variant)


class Compared(Body):
    """The first build, and up to eight beside it."""

    first: Meaning
    others: list[Meaning] = Field(max_length=20)
    bands: bool = False
    units: System = "metric"

    def which_others(self) -> list[Which]:
        return [each.which() for each in self.others]


@router.get("/builds/{build}/dossier")
def assess(shop: Shop, who: Who, which: Meant, asked: Wanted) -> DossierView:
    """Figures, findings and assumptions, as printed and in the units of the contract."""
    return shop.figures.assess(who, which, asked)


@router.get("/builds/{build}/dossier.json", response_class=Response)
def contract(shop: Shop, who: Who, which: Meant) -> Response:
    """The dossier as `voltwright assess FILE --json` prints it."""
    return Response(shop.figures.as_json(who, which), media_type="application/json")


@router.get("/builds/{build}/figures/{key}")
def explain(shop: Shop, who: Who, which: Meant, key: str, units: Units = "metric") -> WorkingView:
    """One figure with its working, down to where each value came from."""
    return shop.figures.explain(who, which, key, system=units)


@router.get("/builds/{build}/findings/{key}/effects")
def effects(shop: Shop, who: Who, which: Meant, key: str, units: Units = "metric") -> tuple[EffectView, ...]:
    """What each remedy of a finding does to the rest of the car."""
    return shop.mending.effects(who, which, key, system=units)


@router.post("/builds/{build}/findings/{key}/remedies")
def take_remedy(shop: Shop, who: Who, build: Id, key: str, body: Changes, units: Units = "metric") -> Draft:
    """Take a remedy as an edit that can be undone, by its changes as they were shown in these units."""
    return shop.mending.apply(who, build, key, body.changes, since=body.since, system=units)


@router.get("/trips")
def list_trips(shop: Shop, who: Who) -> tuple[TripRow, ...]:
    """Every trip that can be named."""
    return shop.figures.trips(who)


@router.get("/builds/{build}/trips/{name}")
def drive(shop: Shop, who: Who, which: Meant, name: str, units: Units = "metric") -> TripView:
    """Drive the car over a trip or a journey of the build; `seconds` is CSV."""
    return shop.figures.trip(who, which, name, system=units)


@router.post("/compare")
def compare(shop: Shop, who: Who, body: Compared) -> ComparisonView:
    """What is otherwise in each of the others; with bands it takes seconds for each."""
    return shop.comparing.compare(who, body.first.which(), body.which_others(), bands=body.bands, system=body.units)


@router.post("/compare/jobs", status_code=202)
def begin_comparing(shop: Shop, who: Who, body: Compared) -> JobView:
    """The same as a job, which then gives it under `comparison`."""
    return shop.comparing.begin(who, body.first.which(), body.which_others(), bands=body.bands, system=body.units)


@router.post("/compare/papers", status_code=202)
def print_comparison(shop: Shop, who: Who, body: Compared, date: str | None = None) -> JobView:
    """Begin to make comparison.pdf. `date` is printed as it comes; left out, it is today's."""
    return shop.papers.compare(who, body.first.which(), body.which_others(), date=date, system=body.units)
