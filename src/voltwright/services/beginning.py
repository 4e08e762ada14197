"""A new car in five answers: the first choice of parts, judged by every rule and mended where one step does it."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping
from dataclasses import fields
from pathlib import Path
from typing import Any, cast

from voltwright.build.beginning import Answers, begin
from voltwright.build.begun.answers import PLACES
from voltwright.build.paths import spot_at
from voltwright.build.reader import BuildFile, from_document, loads
from voltwright.build.variants import steps
from voltwright.build.writer import rewritten
from voltwright.parts.shelf import Shelf, shelf_beside
from voltwright.quantity.document import write_whole
from voltwright.quantity.errors import BuildError, OutputError, Problem
from voltwright.rules.dossier import assess
from voltwright.rules.finding import Remedy

# What is no answer and no property of the donor: parts that were chosen, and settings.
OURS = (
    "drive.inverter.", "drive.torque_limit", "drive.regeneration.", "drive.gearing.gear_unit.", "drive.gearing.shift_speed",
    "drive.gearing.reverse", "pack.bms.", "pack.protection.", "pack.boxes.", "charging.", "low_voltage.", "comfort.", "fitted.",
)  # fmt: skip
MOST_STEPS = 8
NOTE = "the smallest step that was found to take a stop away; see whether it suits"


def begun(answers: Answers, shelf: Shelf) -> str:
    """The text of a build file with as few stops as steps on chosen parts and settings can leave. Raises BuildError.

    Whatever a step sets is marked as assumed. Stops that ask for another answer stay.
    """
    drafts = {begin(answers, shelf, reduced=reduced): None for reduced in (True, False)}
    mended = (_mended(loads(text, shelf=shelf)) for text in drafts)
    return min(mended, key=lambda each: each[0])[1]


def answers_of(given: Mapping[str, str]) -> Answers:
    """Answers from their names and texts; what is not there counts as not answered. Raises BuildError."""
    names = [each.name for each in fields(Answers)]
    problems: list[Problem] = []
    for name in (each for each in given if each not in names):
        near = difflib.get_close_matches(name, names, n=1)
        mend = f"write {near[0]}" if near else "leave it out"
        problems.append(Problem(f"'{name[:40]}' is not asked", ", ".join(names), mend, name[:40]))
    words = {"true": True, "yes": True, "false": False, "no": False, "": None}
    keep = given.get("keep_gearbox", "").strip().lower()
    if keep not in words:
        what = f"'{keep[:40]}' does not say whether the old gearbox stays"
        problems.append(Problem(what, "yes or no", "answer yes or no", "keep_gearbox"))
    if problems:
        raise BuildError(problems)
    texts = {name: given.get(name, "") for name in PLACES}
    return Answers(**cast(dict[str, Any], texts), keep_gearbox=words[keep])


def begin_file(answers: Answers, path: Path) -> None:
    """Write it to a new file, with the own parts beside it on the shelf. Raises BuildError, OutputError."""
    if path.exists():
        what = f"there is a file {path} already"
        raise OutputError(Problem(what, "a name that is free", "choose another name, or put the old file away"))
    write_whole(path, begun(answers, shelf_beside(path)).encode())


def _mended(built: BuildFile) -> tuple[int, str]:
    """How many stops are left when no step helps, and the text."""
    tried: set[str] = set()
    for _ in range(MOST_STEPS):
        remedy = next(_steps(built, tried), None)
        if remedy is None:
            break
        tried.add(remedy.says)
        built = _taken(built, remedy.changes) or built
    found = assess(built, with_bands=False, search=False).findings
    return sum(each.severity == "stop" for each in found), built.document.text


def _steps(built: BuildFile, tried: set[str]) -> Iterator[Remedy]:
    """Remedies of stops that change nothing that was answered."""
    found = assess(built, with_bands=False, search=True).findings
    for finding in found:
        if finding.severity == "stop":
            for remedy in finding.remedies:
                if remedy.says not in tried and all(path.startswith(OURS) for path in remedy.changes):
                    yield remedy


def _taken(built: BuildFile, changes: Mapping[str, Any]) -> BuildFile | None:
    """The build with a step taken; None where it is no valid build."""
    marked = {path: assumed(path, value, NOTE) for path, value in changes.items()}
    try:
        return from_document(rewritten(built.document, marked), built.shelf)
    except BuildError:
        return None


def assumed(path: str, value: Any, note: str) -> Any:
    """A quantity that nobody measured, and why it is taken; anything else as it is, and keeps the comment behind it."""
    here = spot_at(tuple(steps(path)))
    if here is None or here.expect is None:
        return value
    return {"value": value, "how": "assumed", "source": "typical-practice", "note": note}
