"""The design paper as PDF: what it must say, on which pages, and that it is the same every time."""

from __future__ import annotations

import functools
import hashlib
import io
import os
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader
from pypdf.generic import DictionaryObject

import voltwright
from helpers import dossier
from voltwright.papers import car_sheet, side_view
from voltwright.papers.cautions import FOOT, FULL, MARK_WORDS, NOT_JUDGED
from voltwright.papers.design import design_paper
from voltwright.papers.named import named
from voltwright.papers.parts_used import parts_table
from voltwright.papers.summary import groups
from voltwright.papers.svg import svg
from voltwright.papers.text import summary
from voltwright.papers.trips_table import of_a_trip
from voltwright.papers.typst_render import pdf
from voltwright.papers.write import write_papers
from voltwright.quantity.errors import OutputError
from voltwright.rules.dossier import Dossier

MOST_PAGES = (
    70  # six are read, the workings behind them are looked up; 35 sheets are what the workshop can still staple
)
STOPPED = {"pack.bms.part": None, "donor.limits.rear_axle": "680 kg", "donor.limits.gross": None}


def squashed(text: str) -> str:
    """Letters alone: neither spaces nor the invisible places where a word may break."""
    return re.sub(r"[\s\u200b\u00a0]", "", text)


@functools.cache
def made(which: str, system: str = "metric") -> Dossier:
    chosen = {"invented": {}, "stopped": STOPPED, "fit": {}}[which]
    whole = dossier(chosen, with_bands=True, system=system)
    return replace(whole, not_for_building=()) if which == "fit" else whole


@functools.cache
def pages(which: str, system: str = "metric") -> tuple[str, ...]:
    paper = pdf(design_paper(made(which, system), date="3 May 2031", system=system))
    return tuple(page.extract_text() for page in PdfReader(io.BytesIO(paper)).pages)


@functools.cache
def whole(which: str, system: str = "metric") -> str:
    return squashed("".join(pages(which, system)))


@pytest.mark.parametrize("system", ["metric", "uk", "us"])
def test_headline_figures_stand_on_the_first_page_as_printed(system: str) -> None:
    first = squashed(pages("invented", system)[0])
    for _, keys in groups(made("invented")):
        for key, label in keys:
            figure = made("invented", system).figures[key]
            assert squashed(f"{label}{figure.value and figure.printed(system).split()[0]}") in first, key
            assert squashed(figure.printed_band(system)) in first, key


@pytest.mark.parametrize("which", ["invented", "stopped"])
def test_every_figure_stands_with_its_key_value_and_band(which: str) -> None:
    for key, figure in made(which).figures.items():
        value = figure.printed() if figure.value is not None else f"{figure.reason}no figure"
        if not of_a_trip(key):
            assert squashed(f"{value}{figure.printed_band()}{key}") in whole(which), key
        elif figure.value is not None:  # in the table of trips, under the name of the trip
            assert squashed(f"{value}{figure.printed_band()}") in whole(which), key


@pytest.mark.parametrize("which", ["invented", "stopped"])
def test_every_finding_stands_in_full_and_every_stop_on_the_first_page(which: str) -> None:
    findings = made(which).findings
    assert findings
    for finding in findings:
        texts = (
            finding.title,
            finding.detail,
            finding.limit,
            finding.value,
            finding.margin,
            finding.clause and str(finding.clause),
            finding.remedy_in_words,
        )
        for text in filter(None, texts):
            assert squashed(named(text)) in whole(which), finding.key  # labels where paths stood
    first = squashed(pages(which)[0])
    assert [
        each.key for each in findings if each.severity == "stop" and squashed("STOP" + each.title) not in first
    ] == []


def test_every_assumption_stands_with_reason_and_way_to_find_out() -> None:
    assumptions = made("invented").assumptions
    assert any("would narrow from" in each.worth for each in assumptions)
    for each in assumptions:
        for text in (each.label, each.value, each.reason, each.measure, each.worth):
            assert squashed(text) in whole("invented"), each.path


def test_every_part_stands_with_its_grade_and_every_source_with_how_far_it_was_read() -> None:
    case = made("invented").case
    for part_id in case.part_ids:
        part = case.shelf.any(part_id)
        assert squashed(f"{part.title}({part_id})") in whole("invented")
    for figure in made("invented").figures.values():
        if figure.source:
            assert squashed(figure.source.split("; ")[0].partition("]")[0]) in whole("invented"), figure.key


def test_cautions_stand_in_full_and_the_foot_on_every_page() -> None:
    for title, text in FULL:
        assert squashed(title) in whole("invented")
        assert squashed(text) in whole("invented")
    for page in pages("invented"):
        assert squashed(FOOT) in squashed(page)


def test_every_page_says_title_revision_and_number() -> None:
    count = len(pages("invented"))
    for number, page in enumerate(pages("invented"), 1):
        said = squashed(page)
        assert squashed(made("invented").build.title) in said
        assert squashed(f"revision {made('invented').fingerprint[:12]}") in said
        assert squashed(f"page {number} of {count}") in said


@pytest.mark.parametrize("which", ["invented", "stopped"])
def test_mark_stands_across_every_page_and_its_reasons_on_the_first(which: str) -> None:
    assert all(squashed(MARK_WORDS) in squashed(page) for page in pages(which))
    for reason in made(which).not_for_building:
        assert squashed(reason) in squashed(pages(which)[0])


def test_mark_stands_on_no_page_when_nothing_forbids_building() -> None:
    said = [squashed(page) for page in pages("fit")]
    quoted = squashed("Papers are marked NOT FOR BUILDING")  # a finding speaks of the mark; that is not the mark
    assert [number for number, page in enumerate(said, 1) if squashed(MARK_WORDS) in page.replace(quoted, "")] == []


def test_what_is_not_judged_stands_on_the_first_page() -> None:
    first = squashed(pages("invented")[0])
    assert squashed(NOT_JUDGED) in first
    assert made("invented").not_judged
    for each in made("invented").not_judged:
        assert squashed(each) in first
        assert each in summary(made("invented")).partition(NOT_JUDGED)[2]


def test_nothing_is_said_of_it_when_all_is_judged() -> None:
    whole = replace(made("invented"), not_judged=())
    first = PdfReader(io.BytesIO(pdf(design_paper(whole)))).pages[0].extract_text()
    assert squashed(NOT_JUDGED) not in squashed(first)
    assert NOT_JUDGED not in summary(whole)


def test_paper_says_what_no_band_means() -> None:
    assert squashed("no band means that nobody said how unsure what goes in is") in whole("invented")
    assert squashed("nothing unsure") not in whole("invented")


def test_power_of_the_pack_is_not_called_that_of_the_car() -> None:
    """The drive may not be able to use it."""
    first = squashed(pages("invented")[0])
    assert squashed(f"Pack power, 10 s {made('invented').figures['pack.power_peak'].printed()}") in first
    assert squashed("Peak power") not in first


def test_date_is_printed_as_it_comes_or_said_to_be_missing() -> None:
    assert squashed("Date 3 May 2031") in squashed(pages("invented")[0])
    undated = PdfReader(io.BytesIO(pdf(design_paper(made("invented")))))
    assert squashed("Date no date") in squashed(undated.pages[0].extract_text())


def test_paper_carries_no_hidden_time_and_only_shipped_fonts() -> None:
    reader = PdfReader(io.BytesIO(pdf(design_paper(made("invented")))))
    assert reader.metadata is not None
    assert reader.metadata.title == made("invented").build.title
    assert not {"/CreationDate", "/ModDate"} & set(reader.metadata)
    names = {
        str(each["/BaseFont"]).split("+")[-1]
        for each in map(reader.get_object, range(1, len(reader.xref[0]) + 1))
        if isinstance(each, DictionaryObject) and "/BaseFont" in each
    }
    assert names == {"ClearSans", "ClearSans-Bold", "ClearSans-Italic"}


def test_paper_is_no_longer_than_the_workshop_will_read() -> None:
    assert len(pages("invented")) <= MOST_PAGES


def test_summary_of_the_examples_takes_one_page() -> None:
    for name in ("coupe", "roadster", "van"):
        reader = PdfReader(io.BytesIO(pdf(design_paper(dossier(name=name, with_bands=True)))))
        assert squashed("1 Findings") in squashed(reader.pages[1].extract_text()), name


PROGRAM = """
import hashlib, sys
from pathlib import Path
from voltwright.build.reader import load
from voltwright.papers.write import write_papers
from voltwright.rules.dossier import assess
for file in write_papers(assess(load(sys.argv[1])), Path(sys.argv[2])):
    print(file.name, hashlib.sha256(file.read_bytes()).hexdigest())
"""


def test_same_build_gives_the_same_bytes_in_any_process(tmp_path: Path) -> None:
    def digests(folder: str, **environment: str) -> list[str]:
        words = [
            sys.executable,
            "-c",
            PROGRAM,
            str(Path(__file__).parents[2] / "examples" / "coupe.yaml"),
            str(tmp_path / folder),
        ]
        there = {**os.environ, "PYTHONPATH": str(Path(voltwright.__file__).parents[1]), **environment}
        done = subprocess.run(words, capture_output=True, text=True, check=False, env=there, cwd=tmp_path)
        assert done.returncode == 0, done.stderr
        return done.stdout.splitlines()

    first = digests("one", TZ="Asia/Tokyo", PYTHONHASHSEED="1", LC_ALL="C")
    assert len(first) == 3
    assert digests("two", TZ="America/Lima", PYTHONHASHSEED="2", SOURCE_DATE_EPOCH="1700000000") == first


def test_papers_are_the_same_twice_in_one_process(tmp_path: Path) -> None:
    def digests(folder: str) -> list[str]:
        return [
            hashlib.sha256(file.read_bytes()).hexdigest() for file in write_papers(made("invented"), tmp_path / folder)
        ]

    assert digests("one") == digests("two")


def test_folder_that_cannot_be_written_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(OutputError):
        write_papers(made("invented"), tmp_path / "file")


def test_a_part_that_is_not_fitted_has_the_number_nought() -> None:
    rows = {row[0]: row for row in parts_table(dossier({"pack.protection.contactors": 0})).rows}
    (contactor,) = (row for title, row in rows.items() if "(contactor/450v-250a)" in title)
    assert contactor[1] == "0"
    assert contactor[4] != "in the module"
    (cell,) = (row for title, row in rows.items() if "(cell/" in title)
    assert (cell[1], cell[4]) == ("in the module", "in the module")


def test_the_side_view_is_laid_out_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    made = dossier()
    alone = svg(side_view.side_view(made, alone=True))
    calls: list[int] = []
    once = car_sheet.staggered
    monkeypatch.setattr(car_sheet, "staggered", lambda *each: calls.append(1) or once(*each))
    write_papers(made, tmp_path)
    assert len(calls) == 4, "above and below the car, from the side and from above"
    assert (tmp_path / "side-view.svg").read_text(encoding="utf-8") == alone
