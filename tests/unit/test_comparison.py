"""Variants beside a build: what moves, which way, how surely; what comes and goes; and what is refused."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from helpers import EXAMPLES, Run, changed, dossier, example, runner
from voltwright.assess.keys import FAMILIES, KEYS
from voltwright.build.reader import BuildFile, from_document, loads, variant_of
from voltwright.build.variants import changes_of
from voltwright.papers.comparison import ABREAST, comparison_paper
from voltwright.papers.comparison_text import comparison_text
from voltwright.papers.nodes import Heading, Table
from voltwright.papers.side_by_side import LATER, headline_rows
from voltwright.quantity.errors import BuildError
from voltwright.quantity.figure import Figure, difference
from voltwright.quantity.units import Unit
from voltwright.rules.comparison import Moved, beside, compare
from voltwright.rules.directions import LESS_IS_BETTER, MORE_IS_BETTER, NEITHER
from voltwright.rules.dossier import assess


def with_variants(variants: dict[str, Any], changes: dict[str, Any] | None = None) -> BuildFile:
    base = changed(changes or {})
    base.document.root["variants"] = variants
    return from_document(base.document, base.shelf, base.folder)


def test_an_answer_that_turns_has_no_difference() -> None:
    no = Figure("charge.dc_possible", "Charging by direct current is possible", Unit("1"), 0, 0.0, answer=("no", "yes"))
    yes = replace(no, value=1.0, low=0.0, high=1.0)
    turned = Moved(no, yes, 1.0, -1.0, 1.0)
    assert (no.printed(), yes.printed(), yes.printed_band()) == ("no", "yes", "yes or no")
    assert (turned.printed(), turned.printed_band()) == ("", "")


LIGHTER = {"changes": {"brief.load": "10 kg"}}


def test_a_variant_is_the_build_with_its_changes() -> None:
    """The same as a file in which the changes were made by hand."""
    built = with_variants({"lighter": LIGHTER})
    by_hand = assess(changed({"brief.load": "10 kg"}), with_bands=False, search=False)
    made = assess(variant_of(built, "lighter"), with_bands=False, search=False)
    assert {key: each.value for key, each in made.figures.items()} == {
        key: each.value for key, each in by_hand.figures.items()
    }
    assert made.findings == by_hand.findings
    assert made.fingerprint == by_hand.fingerprint


def test_what_moves_is_what_differs() -> None:
    built = with_variants({"lighter": LIGHTER})
    (made,) = compare(built, with_bands=False).variants
    base = assess(built, with_bands=False, search=False)
    for each in made.moved:
        before, after = base.figures[each.key].value, made.dossier.figures[each.key].value
        assert before is not None
        assert after is not None
        assert each.by == pytest.approx(after - before)
    moved = {each.key for each in made.moved}
    assert {"mass.laden", "mass.rear_axle_laden", "mass.tyre_reserve_rear"} <= moved
    assert not moved & {"mass.kerb", "pack.energy_usable", "cost.price"}
    laden = next(each for each in made.moved if each.key == "mass.laden")
    assert laden.verdict == "better"
    assert laden in made.better


@pytest.mark.parametrize(
    ("before", "after", "moves"),
    [(12.4, 12.6, False), (12.6, 13.3, False), (12.4, 13.0, True), (12.6, 12.0, True), (-0.4, 0.4, False)],
    ids=["rounded apart", "rounded together", "up", "down", "about nothing"],
)
def test_what_moves_by_rounding_alone_has_not_moved(before: float, after: float, moves: bool) -> None:
    """The kerb mass is printed in whole kilograms: a difference counts where it is seen in both, the values and their difference."""
    base = assess(changed({}), with_bands=False, search=False)
    one, other = (
        replace(base, figures={"mass.kerb": replace(base.figures["mass.kerb"], value=1000 + each)})
        for each in (before, after)
    )
    made = beside(one, other)
    assert [each.verdict for each in made.moved] == [("worse" if after > before else "better")] * moves


def test_counts_without_bands_say_what_they_leave_out() -> None:
    """A verdict that hangs on a guess is found with the bands alone."""
    built = with_variants({"lighter": LIGHTER})
    (label, points, _), (plain, whole, _) = (
        list(headline_rows(compare(built, with_bands=bands), "metric"))[-1] for bands in (False, True)
    )
    assert (plain, label) == ("Stops, cautions, notes", f"{plain}{LATER}")
    cautions = [int(each.split(" / ")[1]) for each in (points, whole)]
    guesses = [each for each in assess(built, search=False).findings if each.key.startswith("data.guess.")]
    assert cautions[1] - cautions[0] == len(guesses) > 0


def test_a_build_beside_itself_has_nothing_to_say() -> None:
    base = assess(example(), with_bands=False, search=False)
    assert beside(base, base).changes_nothing
    (made,) = compare(with_variants({"same": {"changes": {"title": "Another name"}}}), with_bands=False).variants
    assert made.changes_nothing
    assert "changes no figure and no finding" in comparison_text(compare(with_variants({"same": {"changes": {}}})))


def test_a_difference_is_surer_than_the_figures() -> None:
    """What is unsure in both is the same in both: ten kilograms of load are ten kilograms, however unsure the car's mass is."""
    built = with_variants({"lighter": LIGHTER})
    made = compare(built)
    base, other = made.base.figures["mass.laden"], made.variants[0].dossier.figures["mass.laden"]
    assert base.low is not None
    assert base.high is not None
    assert base.high - base.low > 5
    by = next(each for each in made.variants[0].moved if each.key == "mass.laden")
    assert by.by == pytest.approx((other.value or 0) - (base.value or 0))
    assert by.low == pytest.approx(by.by)
    assert by.high == pytest.approx(by.by)
    assert by.sure


def test_a_difference_that_may_go_either_way_is_not_sure() -> None:
    """A charger that may or may not be heavier than the old one: the likely cases do not agree on the mass."""
    now = dossier().build.charging.charger
    assert now is not None
    text = (EXAMPLES / "coupe.yaml").read_text(encoding="utf-8").partition("variants:\n")[0]
    mass = f"{now.mass.value + 0.4 if now.mass else 12.4} kg ± 9 kg"
    weighed = loads(f"{text}variants:\n  other:\n    changes: {{charging.charger.mass: {mass}}}\n")
    (made,) = compare(weighed).variants
    kerb = next(each for each in made.moved if each.key == "mass.kerb")
    assert kerb.low is not None
    assert kerb.high is not None
    assert kerb.low < 0 < kerb.high
    assert not kerb.sure


def test_the_same_guess_in_a_variant_is_the_same_guess() -> None:
    """A value that a variant writes stands where the build would have it: no guess seems new, and it takes the same draws."""
    text = (EXAMPLES / "coupe.yaml").read_text(encoding="utf-8").partition("variants:\n")[0]
    drag = "{value: 0.44 ± 0.05, how: assumed, note: another shop}"
    built = loads(f"{text}variants:\n  other:\n    changes: {{donor.air.drag_coefficient: {drag}}}\n")
    (made,) = compare(built).variants
    assert not [each.key for each in (*made.appears, *made.goes) if "variants" in each.key]
    entry = made.dossier.build.donor.air.drag_coefficient
    assert entry.origin.where == "donor.air.drag_coefficient"


def test_findings_that_come_go_and_change_their_weight() -> None:
    heavier = {"changes": {"donor.limits.gross": "900 kg"}}
    (made,) = compare(with_variants({"tight": heavier}), with_bands=False).variants
    assert "mass.gross_limit" in {each.key for each in made.appears}
    assert [each.severity for each in made.heavier if each.key == "mass.payload_seats"] == ["stop"]
    back = with_variants({"wide": {"changes": {"donor.limits.gross": "1800 kg"}}}, {"donor.limits.gross": "900 kg"})
    (other,) = compare(back, with_bands=False).variants
    assert {"mass.gross_limit", "mass.payload_seats"} <= {each.key for each in other.goes}
    assert compare(back, with_bands=False).has_stop


def test_what_the_car_no_longer_does_is_worse() -> None:
    weak = {"changes": {"drive.torque_limit": "20 N·m"}}
    (made,) = compare(with_variants({"weak": weak}), with_bands=False).variants
    pace = next(each for each in made.moved if each.key == "road.time_0_100")
    assert (pace.after.value, pace.by, pace.verdict) == (None, None, "worse")
    assert pace.printed() == ""


def test_a_chain_has_the_changes_of_all_that_it_rests_on() -> None:
    built = with_variants({
        "a": {"changes": {"brief.load": "10 kg", "brief.seats": 2}},
        "b": {"of": "a", "changes": {"brief.load": "0 kg"}},
    })  # fmt: skip
    assert changes_of(built.build, "b") == {"brief.load": "0 kg", "brief.seats": 2}
    made = compare(built, ["b"], with_bands=False).variants[0]
    assert (made.rests_on, made.name) == ("a", "b")
    assert made.dossier.build.brief.seats == 2


@pytest.mark.parametrize(
    ("variants", "asked", "what"),
    [
        ({"lighter": LIGHTER}, ["lightr"], "no variant 'lightr'"),
        ({}, [], "the build has no variants"),
        ({}, ["any"], "the build has no variants"),
    ],
)
def test_what_is_no_variant_is_refused_in_words(variants: dict[str, Any], asked: list[str], what: str) -> None:
    with pytest.raises(BuildError) as caught:
        compare(with_variants(variants), asked)
    (problem,) = caught.value.problems
    assert what in problem.what
    assert problem.mend
    assert problem.allowed


def test_named_twice_is_compared_once() -> None:
    built = with_variants({"lighter": LIGHTER})
    assert len(compare(built, ["lighter", "lighter"], with_bands=False).variants) == 1


def test_every_figure_has_one_direction() -> None:
    """A new key must say whether more of it is better."""
    directions = (MORE_IS_BETTER, LESS_IS_BETTER, NEITHER)
    for key in (*KEYS, *FAMILIES):
        assert sum(key in each for each in directions) == 1, key
    assert frozenset().union(*directions) <= KEYS.keys() | FAMILIES.keys()


@pytest.mark.parametrize(
    ("value", "unit", "decimals", "system", "said"),
    [
        (12.4, "kg", 0, "metric", "+12 kg"),
        (-12.6, "kg", 0, "metric", "−13 kg"),
        (0.2, "kg", 0, "metric", "0 kg"),
        (10.0, "kg", 0, "us", "+22 lb"),
        (5.0, "°C", 0, "us", "+9 °F"),
        (-3.0, "EUR", 2, "metric", "−3.00 EUR"),
    ],
)
def test_differences_are_printed_with_their_sign(
    value: float, unit: str, decimals: int, system: str, said: str
) -> None:
    assert difference(value, Unit(unit), decimals, system) == said


def test_the_paper_has_a_section_for_each_variant_and_tables_no_wider_than_a_page() -> None:
    many = {f"v{number}": {"changes": {"brief.load": f"{number} kg"}} for number in range(ABREAST + 2)}
    paper = comparison_paper(compare(with_variants(many), with_bands=False))
    titles = [each.text for each in paper.nodes if isinstance(each, Heading) and each.level == 1]
    assert titles == ["Side by side", *many]
    widths = [len(each.columns) for each in paper.nodes if isinstance(each, Table)]
    assert max(widths) == 2 + ABREAST
    for each in paper.nodes:
        if isinstance(each, Table):
            assert {len(row) for row in each.rows} <= {len(each.columns)}


# The command.


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    return runner(capsys, tmp_path, monkeypatch)


def test_the_command_prints_writes_and_answers(run: Run, tmp_path: Path) -> None:
    ended = run("compare", str(EXAMPLES / "coupe.yaml"), "one-string", "--no-bands", "--out", "out")
    assert (ended.code, ended.err) == (0, "")
    assert "New findings" in ended.out
    assert (tmp_path / "out" / "comparison.pdf").read_bytes().startswith(b"%PDF")
    told = json.loads(run("compare", str(EXAMPLES / "coupe.yaml"), "--no-bands", "--json").out)
    assert set(told["variants"]) == set(example().build.variants)
    range_of = told["variants"]["one-string"]["figures"]["road.range.steady-80"]
    assert range_of["difference"] == pytest.approx(range_of["after"] - range_of["before"])
    assert range_of["verdict"] == "worse"
    stops = [
        name
        for name, each in told["variants"].items()
        if any(f["severity"] == "stop" for f in each["findings"]["appears"])
    ]
    assert stops == []
    van = run("compare", str(EXAMPLES / "van.yaml"), "longer-string", "--no-bands")
    assert van.code == 1


def test_the_command_refuses_in_words(run: Run) -> None:
    ended = run("compare", str(EXAMPLES / "coupe.yaml"), "one-sting")
    assert ended.code == 2
    assert "write one-string" in ended.err
