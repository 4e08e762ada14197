"""Use cases of remedies: what puts a finding right, and what that does to the rest of the car."""

from __future__ import annotations

import difflib
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

from voltwright.build.reader import load
from voltwright.papers.remedies_text import remedies_text
from voltwright.quantity.errors import FigureError, Problem
from voltwright.rules.dossier import Dossier, as_json, assess
from voltwright.rules.elsewhere import Effect, elsewhere
from voltwright.rules.finding import Finding

__all__ = ["as_data", "remedies_of", "remedies_text"]

Told = tuple[tuple[Finding, tuple[Effect, ...]], ...]


def remedies_of(
    path: Path, key: str | None = None, *, system: str = "metric", today: date | None = None
) -> tuple[Dossier, Told]:
    """Each finding of a build file, or one of them, with its remedies. Raises FigureError where it has no such finding."""
    built = load(path)
    dossier = assess(built, system=system, today=today)
    wanted = dossier.findings if key is None else (finding_of(dossier, key),)
    effects = tuple(elsewhere(built, replace(dossier, findings=wanted), system, today))
    return dossier, tuple((each, tuple(one for one in effects if one.finding.key == each.key)) for each in wanted)


def finding_of(dossier: Dossier, key: str) -> Finding:
    """One finding. Raises FigureError naming those that there are."""
    known = {each.key: each for each in dossier.findings}
    if key not in known:
        near = difflib.get_close_matches(key, known, n=3, cutoff=0.4)
        what = f"the build has no finding '{key[:60]}'"
        mend = f"ask for {' or '.join(near)}" if near else "leave the key out to see all findings"
        raise FigureError(Problem(what, ", ".join(known) or "a build in which something is found", mend))
    return known[key]


def as_data(told: Told) -> str:
    """The same as JSON: each finding with its remedies, and for each remedy what moves, comes and goes."""
    return as_json({
        finding.key: finding.as_data()
        | {"remedies": [{"says": each.remedy.says} | _elsewhere(each) for each in effects]}
        for finding, effects in told
    })  # fmt: skip


def _elsewhere(one: Effect) -> dict[str, Any]:
    """What moves, comes and goes. A step is no saved build, so it has no fingerprint, and it rests on nothing."""
    return {name: one.made.as_data()[name] for name in ("changes", "figures", "findings")}
