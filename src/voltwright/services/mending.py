"""Use cases of remedies: what each does to the rest of the car, and taking one as an edit."""

from __future__ import annotations

from dataclasses import dataclass, replace

from voltwright.quantity.errors import FigureError, Problem
from voltwright.rules.elsewhere import elsewhere
from voltwright.services.actor import Actor, use_case
from voltwright.services.editing import changed
from voltwright.services.remedies import finding_of
from voltwright.services.shared import POINTS, Asked, Shared, Which
from voltwright.services.shown import effect_views
from voltwright.services.views import Draft, EffectView, System


@dataclass(frozen=True)
class Mending:
    """Remedies are those that stand with the finding in the whole dossier."""

    _shared: Shared

    @use_case("mending.effects")
    def effects(self, actor: Actor, which: Which, key: str, *, system: System = "metric") -> tuple[EffectView, ...]:
        """What each remedy of a finding does elsewhere. Raises FigureError where the build has no such finding."""
        shared = self._shared
        built, today = shared.built(which), shared.today()
        made = shared.dossier(built, Asked(system=system))
        only = replace(made, findings=(finding_of(made, key),))
        base = shared.dossier(built, replace(POINTS, system=system))
        seen = shared.cache.get(
            ("effects", shared.key(built, Asked(system=system)), key),
            lambda: tuple(elsewhere(built, only, system, today, base=base)),
        )
        return tuple(effect_views(seen, system))

    @use_case("mending.apply")
    def apply(self, actor: Actor, build: int, key: str, number: int, *, since: int, system: System = "metric") -> Draft:
        """Take a remedy of the draft as it stands after edit `since`, as one edit that can be undone.

        `system`: the units in which the reader saw the remedies, by which they are numbered.

        Raises FigureError where there is no such finding or remedy, BuildError, ConflictError.
        """
        shared = self._shared
        made = shared.dossier(shared.built(Which(build, edit=since)), Asked(system=system))
        steps = finding_of(made, key).remedies
        if not 0 <= number < len(steps):
            what = f"the finding '{key[:60]}' has no remedy {number}"
            allowed = f"0 to {len(steps) - 1}" if steps else "a finding for which a step was found"
            raise FigureError(Problem(what, allowed, "look at its remedies again"))
        return changed(shared, actor, build, steps[number].changes, since)
