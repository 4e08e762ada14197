"""A second pack in one step: what it writes, that it can be built beside the base, and what it moves there."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from helpers import changed, dossier, example, keys
from voltwright.assess.case import Case
from voltwright.build.reader import load, loads, variant_of
from voltwright.build.writer import rewritten
from voltwright.cli import app
from voltwright.rules.comparison import compare
from voltwright.rules.second_pack import second_pack

EXAMPLES = Path(__file__).parents[2] / "examples"
NAMES = ["coupe", "van", "roadster"]


def added(name: str, changes: dict[str, Any] | None = None) -> tuple[str, dict[str, Any]]:
    built = changed(changes or {}, name)
    return second_pack(Case(built.build, built.shelf, built.beside))


@pytest.mark.parametrize("name", NAMES)
def test_the_comparison_moves_range_mass_axle_and_cost(name: str, tmp_path: Path) -> None:
    file = tmp_path / f"{name}.yaml"
    for each in (*EXAMPLES.glob("*.csv"), *EXAMPLES.glob("*.gpx")):
        (tmp_path / each.name).write_bytes(each.read_bytes())
    file.write_text((EXAMPLES / f"{name}.yaml").read_text(encoding="utf-8"), encoding="utf-8")
    told = CliRunner().invoke(app, ["second-pack", str(file)])
    assert told.exit_code == 0, told.output
    assert "voltwright compare" in told.output
    made = compare(load(file), ("second-pack",), with_bands=False)
    base, other = made.base.figures, made.variants[0].dossier.figures

    def gain(key: str) -> float:
        before, after = base[key].value, other[key].value
        assert before is not None
        assert after is not None, other[key].reason
        return after / before

    strings = load(file).build.pack.parallel
    assert gain("pack.energy_usable") == pytest.approx((strings + 1) / strings, rel=1e-6)
    assert gain("mass.kerb") > 1.0
    assert gain("mass.rear_axle_laden") > 1.0
    assert gain("cost.price") > 1.0
    trip = next(key for key in ("road.range.steady-80", "road.range.steady-50") if base[key].value)
    assert gain(trip) > 1.2


@pytest.mark.parametrize("name", NAMES)
def test_monitors_follow_and_the_mass_is_told(name: str) -> None:
    built = example(name)
    _, variant = added(name)
    after = variant_of(
        loads(rewritten(built.document, {"variants.more": variant}).text, shelf=built.shelf, folder=built.folder),
        "more",
    )
    pack, before = after.build.pack, built.build.pack
    assert sum(box.modules for box in pack.boxes) == pack.module_count
    assert pack.bms.boards > before.bms.boards
    assert (pack.bms.sensors or 0) >= (before.bms.sensors or 0) / before.parallel * pack.parallel
    box = pack.boxes[-1]
    assert box.x.value == built.build.donor.load_space.x.value
    assert box.mass.origin.how == "assumed"
    assert box.mass.origin.reason


def test_fuses_of_each_string_follow_and_one_for_all_stays() -> None:
    assert added("coupe")[1]["changes"]["pack.protection.fuses"] == 3
    one = {"pack.protection.fuses": 1, "pack.protection.msds": 1}
    assert "pack.protection.fuses" not in added("coupe", one)[1]["changes"]


def test_a_further_one_gets_another_name() -> None:
    first = added("coupe")[1]
    assert added("coupe", {"variants.second-pack": first})[0] == "second-pack-2"


def test_strings_that_were_found_singly_get_one_more() -> None:
    found = [{"health": "88 %", "resistance_growth": 1.1}, {"health": "80 %", "resistance_growth": 1.6}]
    changes = {"pack.condition": {"health": "80 %", "strings": found}}
    variant = added("coupe", changes)[1]
    assert variant["changes"]["pack.condition.strings.2"] == {"health": "80 %", "resistance_growth": 1.6}


def test_the_box_holds_what_it_is_to_hold() -> None:
    variant = added("coupe")[1]
    after, before = (keys(dossier(each, with_bands=False)) for each in (variant["changes"], {}))
    assert [key for key in set(after) - set(before) if key.startswith(("fit.", "data.", "bms."))] == [
        "bms.channels"
    ]  # of 16 at most
