"""Turns what was worked out into views: the words and digits are those of the papers."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import Any, Literal

from voltwright.assess.keys import QUESTIONS, family_of, question_of
from voltwright.assess.trips import main_trip
from voltwright.papers.cautions import SHORT
from voltwright.papers.named import named, paths_in
from voltwright.papers.pictures import Picture
from voltwright.papers.side_by_side import changes_in_words, effect, headline_rows
from voltwright.papers.summary import groups
from voltwright.papers.text import tree
from voltwright.papers.trips_table import of_a_trip
from voltwright.parts.trips import trip_title
from voltwright.quantity.figure import Figure, unit_name, working
from voltwright.quantity.frozen import ReadOnly
from voltwright.rules.comparison import Beside, Comparison, Moved
from voltwright.rules.directions import LESS_IS_BETTER, MORE_IS_BETTER
from voltwright.rules.dossier import Dossier, rounded
from voltwright.rules.elsewhere import Effect
from voltwright.rules.finding import Finding, Remedy
from voltwright.services.bill import bill_of, sum_of_bill
from voltwright.services.jobs import JobNow
from voltwright.services.mishaps import CODE, Mishap
from voltwright.services.shared import Asked, System
from voltwright.services.views import (
    AssumptionView,
    ComparisonView,
    DossierView,
    EffectView,
    ErrorView,
    FigureView,
    FindingView,
    Group,
    JobView,
    MovedView,
    OtherView,
    PictureView,
    Problem,
    RemedyView,
    Severity,
    TripFigures,
    WorkingView,
)


def dossier_view(
    made: Dossier, asked: Asked, *, questions: Collection[str] = QUESTIONS, with_assumptions: bool = True
) -> DossierView:
    """Everything of a dossier, as the reader's units have it; or of the figures those of some questions alone."""
    system = asked.system
    headline = ((title, [(key, label) for key, label in keys if key in made.figures]) for title, keys in groups(made))
    return DossierView(
        made.build.title,
        made.fingerprint,
        asked,
        tuple(
            Group(title, tuple(figure_view(made.figures[key], system, label) for key, label in keys))
            for title, keys in headline
        ),
        tuple(_questions(made, questions, system)),
        tuple(map(finding_view, made.findings)),
        tuple(_assumptions(made)) if with_assumptions else (),
        made.not_for_building,
        made.not_judged,
        SHORT,
    )


def _questions(made: Dossier, questions: Collection[str], system: System) -> Iterator[Group]:
    for question, title in ((each, title) for each, title in QUESTIONS.items() if each in questions):
        found = tuple(figure_view(each, system) for key, each in made.figures.items() if question_of(key) == question)
        if found:
            bill, its_sum = (tuple(bill_of(made)), sum_of_bill(made)) if question == "cost" else ((), "")
            yield Group(title, found, *_of_trips(made, found), bill, its_sum)


_TRIP_HEADS = {"road.consumption": "At the battery", "road.consumption_wall": "At the wall", "road.range": "Range"}


def _of_trips(made: Dossier, found: Iterable[FigureView]) -> tuple[tuple[str, ...], tuple[TripFigures, ...]]:
    """Heads, and a line for each trip, those of the customer first."""
    of_trip: dict[str, dict[str, FigureView]] = {}
    for each in found:
        if of_a_trip(each.key):
            family = family_of(each.key)
            of_trip.setdefault(each.key.removeprefix(f"{family}."), {})[family] = each
    asked = {main_trip(made.case), *(each.driven_as for each in made.build.duty.trips)}
    whole = (name for name, figures in of_trip.items() if set(figures) == set(_TRIP_HEADS))
    lines = tuple(
        TripFigures(name, trip_title(name), name in asked, tuple(of_trip[name][each] for each in _TRIP_HEADS))
        for name in sorted(whole, key=lambda name: name not in asked)
    )
    return (tuple(_TRIP_HEADS.values()), lines) if lines else ((), ())


def figure_view(figure: Figure, system: System, label: str = "") -> FigureView:
    """One figure; a short label may stand in place of its own."""
    return FigureView(
        figure.key,
        label or figure.label,
        figure.printed(system),
        figure.printed_band(system),
        figure.reason,
        rounded(figure.value),
        unit_name(figure.unit),
        rounded(figure.low),
        rounded(figure.high),
        figure.source,
        _better(figure.key),
    )


def _better(key: str) -> Literal["more", "less", ""]:
    name = family_of(key) or key
    return "more" if name in MORE_IS_BETTER else "less" if name in LESS_IS_BETTER else ""


def finding_view(finding: Finding) -> FindingView:
    """One finding with its remedies."""
    data: dict[str, Any] = finding.as_data()
    names = (
        "key",
        "severity",
        "title",
        "detail",
        "limit",
        "value",
        "margin",
        "clause",
        "clause_seen",
        "remedy",
        "likelihood",
    )
    steps = tuple(map(remedy_view, finding.remedies))
    paths = paths_in(" ".join(filter(None, (finding.detail, finding.value, finding.remedy_in_words))))
    told = {name: _worded(name, data[name]) for name in names}
    return FindingView(
        **told, advice=_worded("advice", finding.remedy), remedies=steps, questions=finding.questions, paths=paths
    )


def _worded(name: str, said: Any) -> Any:
    """A text of a finding as people read it."""
    return named(said) if isinstance(said, str) and name != "key" else said


def remedy_view(remedy: Remedy) -> RemedyView:
    """One step."""
    return RemedyView(named(remedy.says), ReadOnly(remedy.changes))


def _assumptions(made: Dossier) -> Iterator[AssumptionView]:
    for each in made.assumptions:
        yield AssumptionView(
            each.path, each.label, each.value, each.reason, each.source, each.measure, each.moves, each.worth
        )


def working_view(made: Dossier, key: str, system: System) -> WorkingView:
    """A figure with its working. Raises FigureError naming the nearest key."""
    figure = made.figure(key)
    found = working(figure.node) if figure.node else None
    return WorkingView(figure_view(figure, system), found, tree(found) if found else "")


def picture_view(made: Picture, system: System) -> PictureView:
    """A plot in the reader's units."""
    plot = made.plot.shown(system)
    return PictureView(made.key, plot.title, plot.alt, made.question, plot)


def comparison_view(made: Comparison, first: str, system: System) -> ComparisonView:
    """The builds side by side, then each beside the first."""
    names = (first, *(each.name for each in made.variants))
    return ComparisonView(
        names, tuple(headline_rows(made, system)), tuple(other_view(each, system) for each in made.variants)
    )


def other_view(made: Beside, system: System, changes: Mapping[str, Any] | None = None) -> OtherView:
    """What is otherwise in one of them. `changes` are those that made it, where it is no variant that says so itself."""
    fates = (made.appears, made.goes, made.heavier, made.lighter)
    return OtherView(
        made.name,
        made.why,
        changes_in_words(made.changes if changes is None else changes, made.dossier),
        tuple(_moved(each, system) for each in made.moved),
        *(tuple(map(finding_view, found)) for found in fates),
        not_for_building=made.dossier.not_for_building,
    )


def _moved(each: Moved, system: System) -> MovedView:
    return MovedView(
        each.key,
        each.after.label,
        each.before.printed(system),
        each.after.printed(system),
        each.printed(system),
        each.printed_band(system),
        each.verdict,
        each.sure,
    )


def effect_views(effects: Iterable[Effect], system: System) -> Iterator[EffectView]:
    """What each remedy of one finding does to the rest of the car."""
    for one in effects:
        made = other_view(one.made, system, one.remedy.changes)
        yield EffectView(remedy_view(one.remedy), effect(one, system), made)


def job_view(now: JobNow) -> JobView:
    """A job as it stands; an error that nobody expected is a number and a log, never a traceback."""
    error = ErrorView.of(now.error) if now.error else _unexpected(now.mishap) if now.mishap else None
    return JobView(now.id, now.who, now.title, now.state, now.done, now.of, now.says, now.begun, now.ended, error)


def _unexpected(mishap: Mishap) -> ErrorView:
    mend = "keep the reference number and the log when you report it"
    return ErrorView(CODE, "something went wrong", (Problem(str(mishap), mend=mend),))


GRADES: Mapping[Severity, str] = {"stop": "Stops", "caution": "Cautions", "note": "Notes"}


def headline_of(made: Dossier) -> Mapping[str, Any]:
    """The figures of page 1 by key, as a revision keeps them: label, value and unit of the contract, band, and as printed.

    With them how many findings of each grade there are, in the same form.
    """
    figures = {
        key: {"label": figure.label, "value": figure.value, "unit": figure.unit, "low": figure.low, "high": figure.high,
              "printed": figure.printed}
        for _, keys in groups(made)
        for key, label in keys
        if key in made.figures
        for figure in (figure_view(made.figures[key], "metric", label),)
    }  # fmt: skip
    return figures | {f"findings.{grade}": _count(made, grade, label) for grade, label in GRADES.items()}


def _count(made: Dossier, grade: Severity, label: str) -> Mapping[str, Any]:
    count = sum(each.severity == grade for each in made.findings)
    return {"label": label, "value": count, "unit": "", "low": None, "high": None, "printed": str(count)}
