"""Rules never raise on a valid build, whatever the shelf holds: thin datasheets, odd ratings, few parts, or none to choose from."""

from __future__ import annotations

import copy
import re
from collections.abc import Callable, Mapping
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from failing import FAILING
from helpers import changed, example
from voltwright.build.reader import BuildFile, from_document
from voltwright.parts.shelf import Shelf, catalogue, make_part
from voltwright.quantity.errors import PartError, Problem, VoltwrightError
from voltwright.rules.dossier import Dossier, assess
from voltwright.rules.search import NO_STEP

EXAMPLES = ("coupe", "van", "roadster")
KEPT = ("id", "kind", "title", "source", "grade", "fields", "remarks")


def sheets() -> dict[str, dict[str, Any]]:
    """Every datasheet of the catalogue, by id."""
    whole = catalogue()
    return {part_id: copy.deepcopy(dict(whole._raw[part_id])) for part_id in whole.ids()}


def named_by(built: BuildFile) -> set[str]:
    """The parts of a build, and the cells in its modules."""
    names = {part_id for _, part_id in built.build.part_ids()} | set(built.build.costing.prices)
    cells = {str(sheets()[each]["cell"]) for each in names if each.startswith("module/")}
    return names | cells


def thinner(raw: Mapping[str, Any], field: str) -> dict[str, Any]:
    """The sheet without a field; as it is where the field must be there."""
    fields = {name: each for name, each in dict(raw.get("fields", {})).items() if name != field}
    less = {name: each for name, each in raw.items() if name != field} | {"fields": fields}
    try:
        make_part(less)
    except PartError:
        return dict(raw)
    return less


def scaled(raw: Mapping[str, Any], field: str, factor: float) -> dict[str, Any]:
    """The sheet with one number far larger or smaller; as it is where that is no valid sheet."""
    value = raw.get(field)
    text = value.get("value") if isinstance(value, Mapping) else value
    number, _, unit = str(text).partition(" ")
    try:
        other = f"{float(number) * factor:g} {unit}".strip()
        more = dict(raw) | {field: dict(value) | {"value": other} if isinstance(value, Mapping) else other}
        make_part(more)
    except (PartError, ValueError):
        return dict(raw)
    return more


@st.composite
def shelves(draw: Callable[..., Any]) -> tuple[str, Shelf]:
    """An example, and a shelf that holds little more than its parts, with gaps and odd ratings in their datasheets."""
    name = draw(st.sampled_from(EXAMPLES))
    whole, needed = sheets(), named_by(example(name))
    others = draw(st.lists(st.sampled_from(sorted(whole)), max_size=12))
    kept = {part_id: whole[part_id] for part_id in sorted({*needed, *others})}
    for part_id in [*kept]:  # whatever module is there needs its cell
        if part_id.startswith("module/"):
            kept.setdefault(str(whole[part_id]["cell"]), whole[str(whole[part_id]["cell"])])
    for _ in range(draw(st.integers(1, 8))):
        part_id = draw(st.sampled_from(sorted(kept)))
        field = draw(st.sampled_from(sorted(set(kept[part_id]) - set(KEPT)) or ["mass"]))
        if draw(st.booleans()):
            kept[part_id] = thinner(kept[part_id], field)
        else:
            kept[part_id] = scaled(kept[part_id], field, draw(st.sampled_from([0.01, 0.3, 3.0, 100.0])))
    return name, Shelf(kept)


def outcome(built: Callable[[], BuildFile]) -> tuple[Dossier | None, tuple[Problem, ...]]:
    """Assessed, with remedies searched for; or refused in words."""
    try:
        return assess(built(), with_bands=False), ()
    except VoltwrightError as error:
        return None, error.problems


def wordless(built: Callable[[], BuildFile]) -> list[str]:
    """What has no words: a problem with the build, a finding, or a remedy. A rule that fails raises."""
    made, problems = outcome(built)
    faults = [f"a problem: {each!r}" for each in problems if not each.what]
    for finding in made.findings if made else ():
        if not (finding.title and finding.detail):
            faults.append(f"the finding {finding.key}")
        faults += [f"a remedy of {finding.key}" for each in finding.remedies if not (each.says and each.changes)]
    return faults


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(shelves())
def test_rules_never_raise_whatever_the_shelf_holds(made: tuple[str, Shelf]) -> None:
    name, shelf = made
    base = example(name)
    root = {key: each for key, each in base.document.root.items() if key != "variants"}
    document = type(base.document)(root, base.document.lines)
    assert wordless(lambda: from_document(document, shelf, base.folder)) == []


@pytest.mark.parametrize("changes", [each for _, each, _ in FAILING][::6], ids=str)
def test_an_empty_shelf_offers_no_part(changes: dict[str, Any]) -> None:
    """With nothing but what is fitted, no remedy names another part; what the full shelf would mend is said to have no step."""
    whole = set(catalogue().ids())
    needed = named_by(example()) | set(re.findall(r"[\w.-]+/[\w.-]+", str(changes)))  # also deep in a list
    needed |= {str(sheets()[each]["cell"]) for each in needed if each.startswith("module/")}
    bare = Shelf({part_id: raw for part_id, raw in sheets().items() if part_id in needed})
    for finding in assess(changed(changes, shelf=bare), with_bands=False).findings:
        named = {str(each) for remedy in finding.remedies for each in remedy.changes.values()} & whole
        assert named <= needed
        assert finding.remedies or not finding.ladders or NO_STEP in str(finding.remedy_in_words)
