"""What a remedy does to the rest of the car: told of each, true of the mended build, and nothing where nothing is mended."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from helpers import EXAMPLES, Run, changed, runner
from voltwright.papers.design import design_paper, finding_callout
from voltwright.papers.nodes import Callout
from voltwright.papers.side_by_side import MOST_TITLES, effect
from voltwright.rules.dossier import assess
from voltwright.rules.elsewhere import elsewhere

TIGHT = {"donor.limits.gross": "1300 kg"}


def test_every_remedy_has_its_effects_and_they_are_those_of_the_mended_build() -> None:
    built = changed(TIGHT)
    made = assess(built, with_bands=False)
    found = tuple(elsewhere(built, made))
    assert [(each.finding.key, each.remedy.says) for each in found] == [
        (finding.key, remedy.says) for finding in made.findings for remedy in finding.remedies
    ]
    assert found
    one = next(each for each in found if each.finding.key == "mass.gross_limit")
    mended = assess(changed(TIGHT | dict(one.remedy.changes)), with_bands=False, search=False)
    for each in one.made.moved:
        assert each.after.value == mended.figures[each.key].value, each.key
    before, after = ({each.key for each in whole.findings} for whole in (made, mended))
    assert {each.key for each in one.made.appears} == after - before
    assert {each.key for each in one.made.goes} == before - after
    assert one.finding.key in before - after
    assert one.finding not in one.also_goes


def test_a_step_that_mends_two_findings_is_worked_once() -> None:
    built = changed(TIGHT)
    found = tuple(elsewhere(built, assess(built, with_bands=False)))
    steps = [json.dumps(dict(each.remedy.changes), sort_keys=True) for each in found]
    assert len(set(steps)) < len(steps)
    assert len({id(each.made) for each in found}) == len(set(steps))


def test_without_remedies_there_are_no_effects() -> None:
    built = changed({})
    assert tuple(elsewhere(built, assess(built, with_bands=False, search=False))) == ()


def test_an_effect_names_figures_and_findings_and_stays_short() -> None:
    built = changed(TIGHT)
    said = {each.remedy.says: effect(each, "metric") for each in elsewhere(built, assess(built, with_bands=False))}
    words = next(text for says, text in said.items() if says.startswith("Fit one string"))
    assert "Kerb −106 kg" in words
    assert "brings " in words
    assert "also mends " in words
    assert all(text.count("“") <= 4 * MOST_TITLES for text in said.values())


def test_the_paper_sets_each_effect_below_its_remedy() -> None:
    built = changed(TIGHT)
    made = assess(built, with_bands=False)
    found = tuple(elsewhere(built, made))
    paper = design_paper(made, effects=found)
    callout = next(each for each in paper.nodes if isinstance(each, Callout) and each.key == "mass.gross_limit")
    own = [each for each in found if each.finding.key == "mass.gross_limit"]
    names = [name for name, _ in callout.facts]
    assert names == ["Clause", *["Remedy", "Effect"] * len(own), "Advice"]
    alone = finding_callout(own[0].finding)
    assert [name for name, _ in alone.facts] == ["Clause", "Remedy"]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    return runner(capsys, tmp_path, monkeypatch)


def test_the_command_mend(run: Run, tmp_path: Path) -> None:
    text = (EXAMPLES / "coupe.yaml").read_text(encoding="utf-8")
    (tmp_path / "whole.yaml").write_text(text.replace("  torque_limit: 180 N·m\n", ""), encoding="utf-8")
    coupe = str(tmp_path / "whole.yaml")
    one = run("mend", coupe, "drive.gearbox_torque")
    assert (one.code, one.err) == (1, "")  # the gearbox does not bear it: a stop
    assert "190 N·m  [drive.torque_limit]" in one.out
    assert "Elsewhere: " in one.out
    told = json.loads(run("mend", coupe, "drive.gearbox_torque", "--json").out)
    (remedy,) = told["drive.gearbox_torque"]["remedies"]
    assert remedy["changes"] == {"drive.torque_limit": "190 N·m"}
    assert remedy["figures"]["road.range.steady-80"]["difference"] < 0
    none = run("mend", coupe, "pack.voltage_class")
    assert "No single step was found for" in none.out
    wrong = run("mend", coupe, "drive.gearbox_torqe")
    assert wrong.code == 2
    assert "drive.gearbox_torque" in wrong.err
