"""The design paper says what is done to the car, whether it keeps its identity, and what the law asks."""

from __future__ import annotations

from datetime import date
from typing import Any

from helpers import changed, dossier
from voltwright.papers.design import design_paper
from voltwright.papers.nodes import Heading, Prose, Table
from voltwright.papers.works import works_section
from voltwright.rules.dossier import assess


def section(changes: dict[str, Any]) -> tuple[list[str], list[Table], str]:
    """Headings, tables and prose."""
    nodes = list(works_section(dossier(changes)))
    headings = [each.text for each in nodes if isinstance(each, Heading)]
    tables = [each for each in nodes if isinstance(each, Table)]
    return headings, tables, " ".join(each.text for each in nodes if isinstance(each, Prose))


def test_it_stands_between_findings_and_figures() -> None:
    paper = design_paper(dossier())
    first = [each.text for each in paper.nodes if isinstance(each, Heading) and each.level == 1]
    at = first.index("What is done to the car")
    assert first[at - 1] == "Findings"
    assert first[at + 1] == "Figures and their workings"


def test_every_work_has_its_row() -> None:
    made = dossier()
    _, tables, prose = section({})
    assert [row[0] for row in tables[0].rows] == [each.name for each in made.build.works]
    assert tables[0].rows[3][2:4] == ("2 × hole, 32 mm", "no")
    assert tables[0].rows[0][3] == ""  # a bolt weakens nothing
    assert "no cuts in the body; the old dashboard" in prose
    assert "put back as it was" in prose
    _, tables, _ = section({"works.3.undone_by": None, "works.3.load_bearing": True})
    assert tables[0].rows[3][3:] == ("yes", "front", "nobody says")


def test_identity_is_counted_component_by_component() -> None:
    headings, tables, _ = section({"country": "GB", "works.4.kind": "cut"})
    assert headings[1:] == ["Identity", "The law of Great Britain"]
    rows = {row[0]: row[1:] for row in tables[1].rows}
    assert rows["chassis or body shell"] == ("5", "0", "holes for the clips of the conduit")
    assert rows["steering"] == ("2", "2", "counts as original")
    assert rows["In all"] == ("14", "8", "8 are needed, 5 of them for the chassis or body shell")


def test_law_says_how_far_it_was_seen() -> None:
    _, tables, prose = section({})
    days = {row[0]: row[3] for row in tables[1].rows}
    assert days["Declare the change of engine"] == "2026-11-27"
    assert days["Historic status may be lost"] == "never"
    assert "No advice on law" in prose


def test_what_is_not_known_is_said() -> None:
    _, tables, prose = section({"country": "PT", "works": None})
    assert tables == []
    assert "Nobody has listed it" in prose
    assert "Nothing is known here of the law" in prose
    _, tables, _ = section({"country": "GB", "works": None})
    assert tables[0].rows[-1][1:3] == ("14", "not known")


def test_it_says_on_which_day_the_law_was_judged() -> None:
    built = changed({})
    told = assess(built, with_bands=False, search=False, today=date(2027, 3, 4))
    untold = assess(built, with_bands=False, search=False)
    said = [" ".join(each.text for each in works_section(made) if isinstance(each, Prose)) for made in (told, untold)]
    assert "was judged on 2027-03-04." in said[0]
    assert "No day is named: its age was not judged." in said[1]
