"""Use cases of comparing: a build beside its variants, its revisions, or other builds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from voltwright.quantity.errors import FigureError, Problem
from voltwright.rules.comparison import Beside, Comparison, beside, named
from voltwright.rules.dossier import Dossier
from voltwright.services.actor import Actor, use_case
from voltwright.services.shared import Asked, Shared, Which
from voltwright.services.shown import comparison_view
from voltwright.services.views import ComparisonView, System

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
        if not 1 <= len(others) <= MOST:
            what = f"{len(others)} builds to compare with"
            raise FigureError(Problem(what, f"1 to {MOST}", "choose which of them you want to see"))
        asked = Asked(bands, search=False, system=system)
        base = self._shared.dossier(self._shared.built(first), asked)
        made = Comparison(base, tuple(self._beside(base, first, each, asked) for each in others))
        return comparison_view(made, self._name(first), system)

    def _beside(self, base: Dossier, first: Which, other: Which, asked: Asked) -> Beside:
        shared = self._shared
        made = beside(base, shared.dossier(shared.built(other), asked, beside=base))
        if other.variant and replace(other, variant="") == first:
            return named(made, other.variant, base.build)
        return replace(made, name=self._name(other))

    def _name(self, which: Which) -> str:
        """What a column is called."""
        name = self._shared.records.cars.build(which.build).name
        of = f", revision {which.revision}" if which.revision else f", edit {which.edit}" if which.edit else ""
        return f"{name}{of}{f', {which.variant}' if which.variant else ''}"
