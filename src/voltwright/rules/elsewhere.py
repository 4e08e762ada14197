"""What each remedy does to the rest of the car: the mended build beside the build as it is, both worked whole."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from voltwright.build.altered import altered
from voltwright.build.reader import BuildFile
from voltwright.rules.comparison import Beside, beside
from voltwright.rules.dossier import Dossier, assess
from voltwright.rules.finding import Finding, Remedy


@dataclass(frozen=True)
class Effect:
    """A finding, one remedy of it, and what the whole car is with it. Worked at the point; bands would take too long."""

    finding: Finding
    remedy: Remedy
    made: Beside

    @property
    def also_goes(self) -> tuple[Finding, ...]:
        """Other findings that the same step takes away."""
        return tuple(each for each in self.made.goes if each.key != self.finding.key)


def elsewhere(
    built: BuildFile,
    dossier: Dossier,
    system: str = "metric",
    today: date | None = None,
    *,
    base: Dossier | None = None,
) -> Iterator[Effect]:
    """Every remedy of a dossier with what it does elsewhere; a step that mends several findings is worked once.

    `base`: the same build at the points, in the same units and of the same day, where somebody has it already.
    """
    if not any(each.remedies for each in dossier.findings):
        return
    base = base or assess(built, with_bands=False, system=system, today=today, search=False)
    known: dict[str, Beside] = {}
    for finding in dossier.findings:
        for remedy in finding.remedies:
            step = json.dumps(dict(remedy.changes), sort_keys=True, default=str)
            if step not in known:
                known[step] = _beside(built, base, remedy, system, today)
            yield Effect(finding, remedy, known[step])


def _beside(built: BuildFile, base: Dossier, remedy: Remedy, system: str, today: date | None) -> Beside:
    build = altered(built.build, remedy.changes)
    assert build is not None, "a remedy is a valid build"
    mended = assess(replace(built, build=build), with_bands=False, system=system, today=today, search=False)
    return replace(beside(base, mended), changes=dict(remedy.changes))
