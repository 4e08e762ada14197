"""Use cases of comparing: a build beside its variants, its revisions, or other builds."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from voltwright.quantity.errors import FigureError, Problem
from voltwright.rules.comparison import Beside, Comparison, beside, named
from voltwright.rules.dossier import Dossier
from voltwright.services.actor import Actor, use_case
from voltwright.services.jobs import Progress
from voltwright.services.shared import POINTS, Asked, Shared, Which
from voltwright.services.shown import comparison_view, job_view, other_view
from voltwright.services.views import ComparisonView, JobView, OtherView, System

MOST = 8  # builds beside the first


@dataclass(frozen=True)
class Comparing:
    """Whatever can be assessed can be compared."""

    _shared: Shared

    @use_case("comparing.compare")
    def compare(
        self, actor: Actor, first: Which, others: Sequence[Which], *, bands: bool = False, system: System = "metric"
    ) -> ComparisonView:
        """What is otherwise in each of the others. With bands it says which differences are sure, and takes seconds for each.

        Raises AbsentError, BuildError, and FigureError where there are too many or none.
        """
        made = compared(self._shared, first, others, Asked(bands, search=False, system=system), _nobody)
        return comparison_view(made, name_of(self._shared, first), system)

    @use_case("comparing.moved")
    def moved(self, actor: Actor, before: Which, after: Which, *, system: System = "metric") -> OtherView:
        """What one build has otherwise than another, at the points. Raises AbsentError, BuildError."""
        base, made = (
            self._shared.dossier(self._shared.built(each), replace(POINTS, system=system)) for each in (before, after)
        )
        return other_view(beside(base, made), system)

    @use_case("comparing.begin")
    def begin(
        self, actor: Actor, first: Which, others: Sequence[Which], *, bands: bool = True, system: System = "metric"
    ) -> JobView:
        """The same as a job, which makes a ComparisonView. Raises AbsentError, and FigureError where there are too many or none."""
        shared, asked = self._shared, Asked(bands, search=False, system=system)
        must_be_few(others)
        name = name_of(shared, first)

        def work(progress: Progress) -> ComparisonView:
            return comparison_view(compared(shared, first, others, asked, progress), name, system)

        return job_view(shared.jobs.begin(actor.name, f"{name} beside {len(others)} more", work))


def _nobody(done: int, of: int, says: str) -> None:
    pass


def must_be_few(others: Sequence[Which]) -> None:
    """Raises FigureError where there is nothing to compare with, or too much for a page."""
    if not 1 <= len(others) <= MOST:
        what = f"{len(others)} builds to compare with"
        raise FigureError(Problem(what, f"1 to {MOST}", "choose which of them you want to see"))


def compared(
    shared: Shared, first: Which, others: Sequence[Which], asked: Asked, tell: Callable[[int, int, str], None]
) -> Comparison:
    """A build beside others, for whoever was allowed it already. `tell` hears of each before it is worked out."""
    must_be_few(others)
    pieces = len(others) + 1
    tell(0, pieces, name_of(shared, first))
    base = shared.dossier(shared.built(first), asked)
    made: list[Beside] = []
    for number, other in enumerate(others, 1):
        tell(number, pieces, name_of(shared, other))
        made.append(_beside(shared, base, first, other, asked))
    return Comparison(base, tuple(made))


def _beside(shared: Shared, base: Dossier, first: Which, other: Which, asked: Asked) -> Beside:
    together = base if asked.bands else None  # at the points nothing is drawn that would have to be drawn for both
    made = beside(base, shared.dossier(shared.built(other), asked, together))
    if other.variant and replace(other, variant="") == first:
        return named(made, other.variant, base.build)
    return replace(made, name=name_of(shared, other))


def name_of(shared: Shared, which: Which) -> str:
    """What a column is called."""
    name = shared.records.cars.build(which.build).name
    of = f", revision {which.revision}" if which.revision else f", edit {which.edit}" if which.edit else ""
    return f"{name}{of}{f', {which.variant}' if which.variant else ''}"
