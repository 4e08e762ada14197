"""What is done to the car: counts, shares, how wishes are read, and which works go against them."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from helpers import dossier, keys
from voltwright.build.works import Work
from voltwright.parts.alterations import HARMFUL
from voltwright.rules.dossier import Dossier
from voltwright.rules.finding import Finding
from voltwright.rules.wishes import KINDS, PLACES, PUT_BACK, asks_to_be_put_back, read_wish

HOW_TO = Path(__file__).parents[2] / "docs" / "how-to" / "say-what-is-cut.md"


def found(made: Dossier, key: str) -> Finding:
    return next(each for each in made.findings if each.key == key)


def work(kind: str, where: str, name: str = "it") -> Work:
    return Work.model_validate({"name": name, "kind": kind, "where": where})


def test_counts_and_shares_of_the_van_by_hand() -> None:
    """4 welds on two crossmembers, 2 holes for the cable; an induction motor of 35 kW peak on an engine of 34 kW."""
    made = dossier(name="van")
    figures = made.figures
    assert [figures[f"works.{each}"].value for each in ("holes", "cuts", "welds", "load_bearing")] == [2, 0, 4, 4]
    assert made.case.motor is not None
    assert figures["works.power_share_peak"].value == pytest.approx(made.case.motor.power_peak.value / 34000 * 100)
    assert figures["works.mass_share"].value == pytest.approx(figures["mass.kerb"].value / 1090 * 100)  # type: ignore[operator]


def test_what_is_not_known_is_not_counted_as_nothing() -> None:
    figures = dossier({"works": None, "donor.drive_line.engine_power": None}).figures
    for key in ("works.holes", "works.load_bearing", "works.power_share"):
        assert figures[key].value is None
        assert "the build" in figures[key].reason
    assert "no motor" in dossier({"drive.motor": None}).figures["works.power_share"].reason


def test_two_motors_count_twice() -> None:
    one, two = (dossier({"drive.motor.count": n}).figures["works.power_share"].value for n in (1, 2))
    assert two == pytest.approx(2 * (one or 0))


@pytest.mark.parametrize(
    ("text", "against", "not_against"),
    [
        ("no cuts in the body", [("cut", "floor"), ("cut", "boot")], [("hole", "floor"), ("cut", "suspension")]),
        ("no welding", [("weld", "axle"), ("weld", "body")], [("cut", "body"), ("bolted", "body")]),
        ("the old dashboard", [("hole", "dashboard"), ("removed", "dashboard")], [("bolted", "dashboard"), ("cut", "floor")]),
        ("chassis untouched", [("hole", "chassis"), ("bonded", "chassis")], [("hole", "floor")]),
        ("No drilling of the engine bay!", [("hole", "engine-bay")], [("weld", "engine-bay"), ("hole", "boot")]),
        ("the seats", [("cut", "cabin")], [("cut", "roof")]),
    ],
)  # fmt: skip
def test_how_a_wish_is_read(text: str, against: list[tuple[str, str]], not_against: list[tuple[str, str]]) -> None:
    wish = read_wish(text)
    assert all(wish.against(work(*each)) for each in against)
    assert not any(wish.against(work(*each)) for each in not_against)


def test_other_words_are_looked_for_in_the_names() -> None:
    wish = read_wish("the sliding doors must stay")
    assert wish.against(work("cut", "body", "slot in the sliding door"))
    assert not wish.against(work("bolted", "body", "bracket on the sliding door"))
    assert not wish.against(work("cut", "body", "slot in the wing"))
    assert "door" in wish.as_read


@pytest.mark.parametrize("text", ["all can be put back", "fully reversible", "as it was when he bought it"])
def test_a_wish_to_put_it_back(text: str) -> None:
    made = dossier({"brief.reversible": None, "brief.keep": [text], "works.0.undone_by": None})
    assert asks_to_be_put_back(made.build.brief)
    assert "works.cannot_be_undone" not in keys(made)  # a bolt comes off again
    assert "works.cannot_be_undone" in keys(
        dossier({"brief.reversible": None, "brief.keep": [text], "works.3.undone_by": None})
    )


def test_nobody_asks_to_put_it_back() -> None:
    quiet: dict[str, Any] = {"brief.reversible": None, "brief.keep": None}
    assert "works.cannot_be_undone" not in keys(dossier({**quiet, "works.3.undone_by": None}))
    assert found(dossier({**quiet, "works": None}), "works.unlisted").severity == "note"


def test_a_box_that_is_empty_or_a_build_without_a_list_is_not_asked_how_it_holds() -> None:
    assert not any(key.startswith("works.box_not_held") for key in keys(dossier({"works": None})))
    empty = {"pack.boxes.1.modules": 0, "works.2.needed_by": "front"}
    assert "works.box_not_held.tank" not in keys(dossier(empty))


@pytest.mark.parametrize(
    "name", ["front", "drive.motor", "charger/6.6kw-1ph-350v", "pack.protection.msd", "coolant and hoses"]
)
def test_what_may_need_a_work(name: str) -> None:
    assert "works.not_needed.4" not in keys(dossier({"works.3.needed_by": name}))


def test_the_how_to_names_every_word_that_is_understood() -> None:
    text = " ".join(HOW_TO.read_text(encoding="utf-8").split())
    listed = {word for part in re.findall(r"\*([a-z, ]+)\*", text) for word in part.split(", ")}
    assert listed >= {*KINDS, *PLACES, *PUT_BACK, "engine bay"}
    assert set(KINDS.values()) <= HARMFUL
