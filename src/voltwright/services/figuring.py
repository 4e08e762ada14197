"""Use cases of figures: assess a build, first at the points and then whole, and show how a figure comes about."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

from voltwright.assess.keys import QUESTIONS
from voltwright.papers.inert import inert
from voltwright.papers.pictures import pictures_of
from voltwright.papers.plan_view import plan_view
from voltwright.papers.side_view import side_view
from voltwright.papers.svg import svg
from voltwright.quantity.band import NO_SPREADS
from voltwright.quantity.errors import JobError
from voltwright.rules.dossier import fingerprint_of
from voltwright.services import trips
from voltwright.services.actor import Actor, use_case
from voltwright.services.jobs import Progress
from voltwright.services.shared import POINTS, Asked, Shared, Which
from voltwright.services.shown import dossier_view, figure_view, job_view, picture_view, working_view
from voltwright.services.views import (
    DossierView,
    DrawingView,
    JobView,
    PictureView,
    System,
    TripRow,
    TripView,
    WorkingView,
)


@dataclass(frozen=True)
class Figures:
    """All that Voltwright works out of a build. What is known already is not worked out again."""

    _shared: Shared

    @use_case("figures.assess")
    def assess(self, actor: Actor, which: Which, asked: Asked | None = None) -> DossierView:
        """Figures, findings and assumptions. Points take a moment; bands and remedies some seconds. Raises AbsentError, BuildError."""
        asked = asked or Asked()
        return dossier_view(self._shared.dossier(self._shared.built(which), asked), asked)

    @use_case("figures.best")
    def best(
        self,
        actor: Actor,
        which: Which,
        *,
        system: System = "metric",
        questions: Collection[str] = QUESTIONS,
        with_assumptions: bool = True,
    ) -> DossierView:
        """The most that is known already, and at least the points; `asked` says which. Raises AbsentError, BuildError.

        With some questions alone, and without the assumptions, it comes sooner.
        """
        built = self._shared.built(which)
        asked = Asked(system=system)
        while asked.less and self._shared.cache.known(self._shared.key(built, asked)) is None:
            asked = asked.less
        made = self._shared.dossier(built, asked)
        return dossier_view(made, asked, questions=questions, with_assumptions=with_assumptions)

    @use_case("figures.complete")
    def complete(self, actor: Actor, which: Which, *, system: System = "metric") -> JobView | None:
        """Work out what is not known yet: a job of two pieces, the bands and the remedies. After each there is more to show.

        None where too much of the same actor waits already. Raises AbsentError, BuildError.
        """
        shared, whole = self._shared, Asked(system=system)
        built = shared.built(which)

        def work(progress: Progress) -> None:
            progress(0, 2, "bands")
            shared.dossier(built, replace(whole, search=False))
            progress(1, 2, "remedies")
            shared.dossier(built, whole)

        title = f"Bands and remedies of {built.build.title}"
        try:
            return job_view(shared.jobs.begin(actor.name, title, work, key=("whole", shared.key(built, whole))))
        except JobError:
            return None

    @use_case("figures.explain")
    def explain(self, actor: Actor, which: Which, key: str, *, system: System = "metric") -> WorkingView:
        """The working of one figure, down to where each value came from. Raises FigureError naming the nearest key."""
        points = replace(POINTS, system=system)
        return working_view(self._shared.dossier(self._shared.built(which), points), key, system)

    @use_case("figures.pictures")
    def pictures(
        self, actor: Actor, which: Which, question: str = "", *, system: System = "metric"
    ) -> tuple[PictureView, ...]:
        """What is better seen than read, of one question or of all; with bands where they are known. Raises AbsentError, BuildError."""
        made = self._shared.best(self._shared.built(which))
        has_bands = made.spreads is not NO_SPREADS
        known = self._shared.pictures.get(
            (made.fingerprint, has_bands, question), lambda: tuple(pictures_of(made, question))
        )
        return tuple(picture_view(each, system) for each in known)

    @use_case("figures.drawings")
    def drawings(self, actor: Actor, which: Which, *, system: System = "metric") -> tuple[DrawingView, ...]:
        """The car to scale from the side and from above, as SVG. Raises AbsentError, BuildError."""
        # The mark tells of the findings, which the points have as well.
        made = self._shared.best(self._shared.built(which))
        drawn = {"side": side_view(made, system, alone=True), "plan": plan_view(made, system, alone=True)}
        return tuple(DrawingView(key, each.title, inert(each.alt), svg(each.on_screen)) for key, each in drawn.items())

    @use_case("figures.trips")
    def trips(self, actor: Actor) -> tuple[TripRow, ...]:
        """Every trip that can be named."""
        return tuple(TripRow(*each) for each in trips.listed())

    @use_case("figures.trip")
    def trip(self, actor: Actor, which: Which, name: str, *, system: System = "metric") -> TripView:
        """Drive the car over a trip or a journey of the build. Raises AbsentError, and BuildError naming the nearest."""
        shared = self._shared
        built = shared.built(which)
        made = shared.cache.get(("trip", fingerprint_of(built), name), lambda: trips.on_trip_of(built, name))
        figures = tuple(figure_view(each, system) for each in made.figures)
        seconds = trips.as_csv(made) if made.once and made.once.course else ""
        return TripView(made.name, figures, tuple(trips.told(made)), seconds)

    @use_case("figures.as_json")
    def as_json(self, actor: Actor, which: Which) -> str:
        """The whole dossier in the public contract, as `voltwright assess FILE --json` prints it."""
        return self._shared.dossier(self._shared.built(which), Asked()).as_json()
