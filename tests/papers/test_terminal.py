"""The listing of a terminal: what a customer asks stands first, and a reason that many figures share stands once."""

from __future__ import annotations

import functools
from typing import Any

import pytest

from helpers import dossier
from voltwright.assess.keys import QUESTIONS
from voltwright.papers.asked_first import TITLE, asked_first
from voltwright.papers.text import summary
from voltwright.quantity.figure import NO_FIGURE
from voltwright.rules.dossier import Dossier

NO_MOTOR = {"drive.motor": None}
SOCKET = {"name": "shed", "kind": "ac", "phases": 1, "voltage": "230 V", "current": "10 A"}
STATION = {
    "name": "station",
    "kind": "dc",
    "voltage_min": "200 V",
    "voltage_max": "500 V",
    "current": "125 A",
    "power": "50 kW",
}


@functools.cache
def made(name: str) -> Dossier:
    return dossier({}, name)


def block(of: Dossier, title: str) -> list[str]:
    """The lines below a title, up to the next empty one."""
    lines = summary(of).splitlines()
    start = lines.index(title) + 1
    return lines[start : lines.index("", start)]


@pytest.mark.parametrize(
    ("name", "changes", "asked"),
    [
        ("coupe", {}, ["road.range.steady-80", "road.time_0_100", "road.top_speed", "charge.time_full.home"]),
        ("roadster", {}, ["road.range.promenade", "road.time_0_50", "road.top_speed", "charge.time_full.boat-house"]),
        ("coupe", {"supplies": [STATION, SOCKET]},
         ["road.range.steady-80", "road.time_0_100", "road.top_speed", "charge.time_full.shed"]),
        ("coupe", {"supplies": None, "brief.range_trip": None},
         ["road.range.wltc-3b", "road.time_0_100", "road.top_speed"]),
    ],
)  # fmt: skip
def test_what_a_customer_asks_stands_first(name: str, changes: dict[str, Any], asked: list[str]) -> None:
    """Of the coupé with a station that it cannot use, the socket counts; the roadster never reaches 100 km/h."""
    found = dossier(changes, name)
    assert [key for key, _ in asked_first(found)] == asked
    lines = block(found, TITLE)
    assert [line.rsplit(maxsplit=1)[-1] for line in lines] == asked
    for key, line in zip(asked, lines, strict=True):
        assert found.figures[key].printed() in line
    text = summary(found)
    assert text.index(TITLE) < text.index(QUESTIONS["mass"])


def test_a_reason_stands_once_below_all_that_share_it() -> None:
    found = dossier(NO_MOTOR)
    lines = block(found, QUESTIONS["road"])
    reasons = [line for line in lines if line.startswith("      ")]
    assert reasons == ["      the build names no motor"]
    named = {line.rsplit(maxsplit=1)[-1] for line in lines} & set(found.figures)
    assert named == {key for key in found.figures if key.startswith("road.")}
    assert lines[-1] == reasons[0]


def is_reason(line: str) -> bool:
    """Six blanks in; a value below a long label stands farther in."""
    return line.startswith(" " * 6) and line[6] != " "


@pytest.mark.parametrize("name", ["coupe", "van", "roadster"])
def test_every_figure_stands_once_under_its_question_with_its_reason(name: str) -> None:
    found = made(name)
    for question, words in QUESTIONS.items():
        lines = block(found, words)
        keys = [line.rsplit(maxsplit=1)[-1] for line in lines if not is_reason(line)]
        figures = {key: each for key, each in found.figures.items() if key.split(".")[0] == question}
        assert sorted(key for key in keys if key in figures) == sorted(figures)
        told = [line.strip() for line in lines if is_reason(line)]
        missing = [each.reason for each in figures.values() if each.value is None]
        assert [told.count(reason) for reason in dict.fromkeys(missing)] == [1] * len(dict.fromkeys(missing))


def test_the_word_for_a_figure_that_is_not_there() -> None:
    """It must fit what is not known as well as what the car cannot do, and never look like a nought."""
    slow, unknown = made("roadster").figures["road.time_0_100"], dossier(NO_MOTOR).figures["road.top_speed"]
    assert slow.printed() == unknown.printed() == NO_FIGURE == "no figure"
    assert (slow.value, unknown.value) == (None, None)
