"""What a change leaves alone is not worked out again by the search for remedies: here it is, and nothing has moved."""

from __future__ import annotations

from typing import Any

import pytest

from helpers import changed, example
from voltwright.assess.case import Case
from voltwright.assess.figures import LEFT_ALONE, QUESTIONS, PointFigures, answer, left_alone, questions_for, work_out
from voltwright.assess.sheet import Sheet
from voltwright.build.altered import altered
from voltwright.build.document import Build
from voltwright.build.reader import BuildFile
from voltwright.rules.finding import Assessed
from voltwright.rules.search import Trial

ASKED = tuple(name for name in QUESTIONS if "charge" not in questions_for((name,)))
VALUES: dict[str, Any] = {
    "drive.torque_limit": "33 N·m",
    "drive.gearing.fixed_gear": 2,
    "drive.gearing.reverse_torque": "20 N·m",
    "drive.regeneration.torque": "11 N·m",
    "drive.regeneration.share": "3 %",
    "pack.window.full": "71 %",
    "pack.window.empty": "23 %",
    "brief.seats": 1,
    "brief.load": "3 kg",
    "brief.price": "100 EUR",
    "duty.parking.charge": "37 %",
    "duty.habit.limit": "77 %",
    "duty.lay_up.months": 4,
    "pack.cooling": "air",
}


def said(built: BuildFile, build: Build) -> dict[str, dict[str, Any]]:
    """What each question answers, by key."""
    case, sheet = Case(build, built.shelf, built.beside), Sheet(build.currency, only_trips=frozenset())
    answer(case, sheet, ASKED)
    return {
        question: {key: sheet.nodes[key].value if key in sheet.nodes else sheet.reasons[key] for key in keys}
        for question, keys in sheet.answers.items()
    }


def test_every_path_has_a_value_that_is_tried() -> None:
    assert {above for above in LEFT_ALONE if above} == {
        max((above for above in LEFT_ALONE if above and path.startswith(above)), key=len) for path in VALUES
    }


@pytest.mark.parametrize("name", ["coupe", "van", "roadster"])
def test_what_a_change_leaves_alone_does_not_move(name: str) -> None:
    built = example(name)
    before = said(built, built.build)
    tried = 0
    for path, value in VALUES.items():
        build = altered(built.build, {path: value})
        if build is None:
            continue
        after, alone = said(built, build), [each for each in left_alone([path]) if each in ASKED]
        assert {each: after[each] for each in alone} == {each: before[each] for each in alone}, path
        tried += 1
    assert tried >= 8


@pytest.mark.parametrize("changes", [{}, {"costing.tasks": []}, {"drive.motor": None}, {"low_voltage.dc_dc": None}])
def test_what_is_on_a_sheet_answers_a_question(changes: dict[str, Any]) -> None:
    built = changed(changes)
    case, sheet = Case(built.build, built.shelf, built.beside), Sheet(built.build.currency)
    answer(case, sheet, QUESTIONS)
    assert sheet.nodes.keys() | sheet.reasons.keys() == {key for keys in sheet.answers.values() for key in keys}


def test_a_path_that_nothing_is_known_of_leaves_nothing_alone() -> None:
    assert left_alone(["pack.series"]) == ()
    assert left_alone(["brief.load", "pack.series"]) == ()
    assert left_alone(["brief.loads"]) == ()
    assert "pack" in left_alone(["brief.load", "brief.seats"])


def test_a_trial_knows_the_simulation_that_it_takes_over() -> None:
    """The simulated car and its drives are on the sheet beside the figures: without them there would be no heat, and no finding."""
    built = example("van")
    build = altered(built.build, {"pack.cooling": "none"})
    assert build is not None
    case = Case(built.build, built.shelf, built.beside)
    sheet = work_out(case)
    tried = Trial(Assessed(case, sheet, PointFigures(sheet)), build, ["pack.cooling"]).asked(("heat",), None)
    worked = work_out(Case(build, built.shelf, built.beside))
    for key in ("heat.headroom", "heat.cell_peak.motorway", "heat.cell_peak.town"):
        assert tried.sheet.nodes[key].value == worked.nodes[key].value
        assert tried.sheet.nodes[key].value != sheet.nodes[key].value
