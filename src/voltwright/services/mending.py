"""Use cases of remedies: what each does to the rest of the car, and taking one as an edit."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from voltwright.quantity.errors import FigureError, Problem
from voltwright.rules.elsewhere import elsewhere
from voltwright.services.actor import Actor, use_case
from voltwright.services.beginning import assumed
from voltwright.services.editing import changed
from voltwright.services.remedies import finding_of
from voltwright.services.shared import POINTS, Asked, Shared, Which
from voltwright.services.shown import effect_views
from voltwright.services.views import Draft, EffectView, System

TO_DO = "what a step asks for; do the work, measure it, and enter what was measured"


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
    def apply(
        self, actor: Actor, build: int, key: str, steps: Mapping[str, Any], *, since: int, system: System = "metric"
    ) -> Draft:
        """Take a remedy of the draft as it stands after edit `since`, as one edit that can be undone.

        `steps`: what the remedy changes, as its reader saw it. `system`: the units in which that was, to which steps are round.

        Raises FigureError where the finding or this remedy is no longer there, BuildError, ConflictError.
        """
        shared = self._shared
        made = shared.dossier(shared.built(Which(build, edit=since)), Asked(system=system))
        remedies = finding_of(made, key).remedies
        found = next((each for each in remedies if _plain(each.changes) == _plain(steps)), None)
        if found is None:
            what = f"the step {_in_words(steps)} is no longer among those that put '{key}' right; nothing was changed"
            allowed = "; ".join(each.says for each in remedies) or "a finding for which a step was found"
            raise FigureError(Problem(what, allowed, "look at its steps again"))
        return changed(
            shared, actor, build, {path: _to_do(path, value) for path, value in found.changes.items()}, since
        )


def _to_do(path: str, value: Any) -> Any:
    """What a step asks of the donor is work that is not done yet: nobody has measured that it came out so."""
    return assumed(path, value, TO_DO) if path.startswith("donor.") else value


def _plain(steps: Mapping[str, Any]) -> str:
    """To be compared, whether it came from a page or as JSON."""
    return json.dumps(dict(steps), sort_keys=True)


def _in_words(steps: Mapping[str, Any]) -> str:
    said = ", ".join(f"'{path}: {value}'" for path, value in steps.items())
    return said if len(said) <= 200 else f"{said[:199]}…"
