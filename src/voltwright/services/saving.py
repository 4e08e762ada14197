"""Use cases of revisions: a draft gets a name and is kept for ever, with the figures of its first page."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, cast

from voltwright.quantity.errors import VoltwrightError
from voltwright.records.revisions import WorkedOut
from voltwright.rules.dossier import VERSION, fingerprint_of_used
from voltwright.services.actor import Actor, use_case
from voltwright.services.shared import Asked, Shared, Which
from voltwright.services.shown import headline_of
from voltwright.services.views import Revision, RevisionView

_WITH_BANDS = Asked(search=False)


@dataclass(frozen=True)
class Revisions:
    """Named saves of all builds."""

    _shared: Shared

    @use_case("revisions.save")
    def save(self, actor: Actor, build: int, name: str, *, since: int, reason: str = "") -> Revision:
        """Name the draft as it stands after edit `since`. Raises ConflictError where that is not the newest, EntryError, BuildError."""
        shared = self._shared
        built = shared.built(Which(build, edit=since))
        headline = headline_of(shared.dossier(built, _WITH_BANDS))
        worked_out = WorkedOut(fingerprint_of_used(built), VERSION, headline)
        return shared.records.revisions.save(
            build, name, since=since, reason=reason, worked_out=worked_out, who=actor.name, at=shared.clock()
        )

    @use_case("revisions.list")
    def list(self, actor: Actor, build: int) -> tuple[RevisionView, ...]:
        """The revisions of a build, oldest first, and whether the parts and files are still those with which each was worked out."""
        return tuple(self._view(each) for each in self._shared.records.revisions.list(build))

    @use_case("revisions.text")
    def text(self, actor: Actor, build: int, number: int) -> str:
        """The document of a revision. Raises AbsentError, DamageError."""
        return self._shared.records.revisions.text(build, number)

    def _view(self, kept: Revision) -> RevisionView:
        return RevisionView(kept, self._same_parts(kept), kept.version == VERSION, tuple(_lines(kept.headline)))

    def _same_parts(self, kept: Revision) -> bool:
        shared = self._shared
        try:
            built = shared.built(Which(kept.build, revision=kept.number))
        except VoltwrightError:  # a part or a file that it names is no longer there
            return False
        return fingerprint_of_used(built) == kept.catalogue


def _lines(headline: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Label and printed value of each figure."""
    rows = [cast(Mapping[str, str], each) for each in headline.values() if isinstance(each, Mapping)]
    return [(each.get("label", ""), each.get("printed", "")) for each in rows]
