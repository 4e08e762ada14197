"""What is taken away: papers, tables and the workbook, and that nothing in them acts."""

from __future__ import annotations

import csv
import io
import json
import threading
from collections.abc import Iterator
from types import SimpleNamespace

import openpyxl
import pytest

from staff import ANN, BEN, CAT, at_its_end, own
from voltwright.papers import typst_render
from voltwright.papers.cautions import SHORT
from voltwright.papers.pictures import PICTURES
from voltwright.papers.tables_csv import safe_cell
from voltwright.quantity.errors import (
    JobError,
    OutputError,
)
from voltwright.services import printing
from voltwright.services.views import BuildRow, Which
from voltwright.services.workshop import Workshop


def test_papers_are_made_as_a_job(shop: Workshop, coupe: BuildRow) -> None:
    job = shop.papers.make(CAT, Which(coupe.id), date="27 November 2026")
    with pytest.raises(JobError):
        shop.papers.file(CAT, job.id, "design.pdf")
    assert at_its_end(shop, CAT, job.id).state == "done"
    paper = shop.papers.file(CAT, job.id, "design.pdf")
    assert (paper.media_type, paper.content[:5]) == ("application/pdf", b"%PDF-")
    assert shop.papers.file(CAT, job.id, "side-view.svg").content.startswith(b"<?xml")
    data = json.loads(shop.papers.file(CAT, job.id, "dossier.json").content)
    assert data == json.loads(shop.figures.as_json(CAT, Which(coupe.id)))
    for name in ("../records.db", "other.pdf"):
        with pytest.raises(JobError, match=r"design\.pdf, side-view\.svg, dossier\.json"):
            shop.papers.file(CAT, job.id, name)
    again = shop.papers.make(ANN, Which(coupe.id), date="27 November 2026")
    assert shop.jobs.look(ANN, again.id, seconds=5).state == "done", "they are known already"


def test_what_the_typesetter_kept_is_given_back(
    shop: Workshop, coupe: BuildRow, monkeypatch: pytest.MonkeyPatch
) -> None:
    forgot: list[str] = []
    monkeypatch.setattr(typst_render, "forget", lambda: forgot.append("once"))
    for job in (shop.papers.make(CAT, Which(coupe.id)), shop.papers.compare(CAT, Which(coupe.id), [Which(coupe.id)])):
        assert at_its_end(shop, CAT, job.id).state == "done"
    assert forgot == ["once", "once"]


def test_papers_can_be_stopped(shop: Workshop, coupe: BuildRow) -> None:
    job = shop.papers.make(CAT, Which(coupe.id))
    shop.jobs.stop(CAT, job.id)
    assert at_its_end(shop, CAT, job.id).state == "stopped"


def test_papers_are_stopped_between_two_remedies(
    shop: Workshop, coupe: BuildRow, monkeypatch: pytest.MonkeyPatch
) -> None:
    worked, go = list[int](), threading.Event()

    def steps(*_: object, **__: object) -> Iterator[SimpleNamespace]:
        for number in range(100):
            worked.append(number)
            assert number == 0 or go.wait(10)
            yield SimpleNamespace(remedy=SimpleNamespace(says="Fit a smaller pack"))

    monkeypatch.setattr(printing, "elsewhere", steps)
    job = shop.papers.make(CAT, Which(coupe.id))
    while len(worked) < 2:
        assert not shop.jobs.look(CAT, job.id, seconds=0.1).is_over
    assert shop.jobs.look(CAT, job.id).says == "what else changes: Fit a smaller pack"
    shop.jobs.stop(CAT, job.id)
    go.set()
    assert shop.jobs.look(CAT, job.id, seconds=10).state == "stopped"
    assert worked == [0, 1]


def rows_of(content: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(content.decode("utf-8-sig"))))


def test_nothing_in_a_table_acts_in_a_spreadsheet(shop: Workshop, coupe: BuildRow) -> None:
    evil = '=HYPERLINK("http://example.invalid","fuse")'
    shop.parts.put(BEN, own("fuse", title=evil))
    shop.edits.change(BEN, coupe.id, {"pack.protection.fuse": "fuse/our-own"}, since=1)
    (row,) = [each for each in rows_of(shop.papers.table(CAT, Which(coupe.id), "parts.csv").content) if evil in each[0]]
    assert row[0].startswith("'=")
    figures = {row[0]: row for row in rows_of(shop.papers.table(CAT, Which(coupe.id), "figures.csv").content)}
    assert float(figures["mass.kerb"][2]) > 500
    cells = [cell for name in ("figures.csv", "findings.csv", "parts.csv", "assumptions.csv", "road.traction.csv")
             for row in rows_of(shop.papers.table(CAT, Which(coupe.id), name).content) for cell in row]  # fmt: skip
    acting = [cell for cell in cells if cell[:1] in ("=", "+", "@", "\t", "\r")]
    assert [cell for cell in acting if not cell[1:].replace(".", "").isdigit()] == []
    with pytest.raises(OutputError, match="no table 'all"):
        shop.papers.table(CAT, Which(coupe.id), "all.csv")
    with pytest.raises(OutputError, match="no table 'figures'"):
        shop.papers.table(CAT, Which(coupe.id), "figures")


def test_numbers_of_a_picture_are_those_of_its_plot(shop: Workshop, coupe: BuildRow) -> None:
    which = Which(coupe.id)
    heads, *rows = rows_of(shop.papers.table(CAT, which, "mass.axles.csv", system="us").content)
    _, picture = shop.figures.pictures(CAT, which, "mass", system="us")
    table = picture.plot.table()
    assert tuple(heads) == table.heads
    assert [float(row[1]) for row in rows] == pytest.approx([row[1] for row in table.rows])
    shop.edits.change(BEN, coupe.id, {"duty.climate.coldest": "-35 °C"}, since=1)
    with pytest.raises(OutputError, match=r"nothing to show as 'road\.range_over_temperature'"):
        shop.papers.table(CAT, which, "road.range_over_temperature.csv")


def test_a_workbook_holds_every_table_and_picture_and_no_text_acts_in_it(shop: Workshop, coupe: BuildRow) -> None:
    """Read back by another library than the one that wrote it."""
    evil = '=HYPERLINK("http://example.invalid","fuse")'
    shop.parts.put(BEN, own("fuse", title=evil))
    shop.edits.change(BEN, coupe.id, {"pack.protection.fuse": "fuse/our-own", "title": evil}, since=1)
    which = Which(coupe.id)
    made = shop.papers.workbook(CAT, which, system="us")
    assert (made.name, made.media_type.rpartition(".")[2]) == ("workbook.xlsx", "sheet")
    book = openpyxl.load_workbook(io.BytesIO(made.content))
    assert book.sheetnames == ["read first", "figures", "findings", "parts", "assumptions", *PICTURES]
    every = [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.value is not None]
    assert {cell.data_type for cell in every} == {"s", "n"}, "texts and numbers, no formula"
    assert [cell.hyperlink for cell in every if cell.hyperlink] == []
    assert book["read first"]["A1"].value == evil
    assert any(str(row[0].value).startswith(evil) for row in book["parts"].iter_rows())
    view = shop.figures.assess(CAT, which)
    told = {row[0]: row for row in book["figures"].iter_rows(min_row=2, values_only=True)}
    assert told.keys() == view.figures.keys()
    for key, figure in view.figures.items():
        assert told[key][2] == (None if figure.value is None else pytest.approx(figure.value)), key
    assert len([*book["findings"].iter_rows()]) == len(view.findings) + 1
    for each in shop.figures.pictures(CAT, which, system="us"):
        heads, *rows = book[each.key].iter_rows(values_only=True)
        assert heads == each.plot.table().heads
        assert len(rows) == len(each.plot.table().rows)
    said = [row[1] for row in book["read first"].iter_rows(values_only=True) if row[0] == "caution"]
    assert set(SHORT) < set(said)
    assert shop.papers.workbook(CAT, which, system="us").content == made.content, "the same bytes"


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("=1+1", "'=1+1"), ("  =1+1", "'  =1+1"), ("+49 30", "'+49 30"), ("-2+3", "'-2+3"), ("@SUM(A1)", "'@SUM(A1)"),
        ("\t=1", "' =1"), ("＝1", "'＝1"), ("|calc", "'|calc"), ("-12.5", "-12.5"), ("-1e-05", "-1e-05"), ("fuse", "fuse"), (None, ""),
    ],
)  # fmt: skip
def test_a_cell_is_shown_and_not_run(typed: str | None, shown: str) -> None:
    assert safe_cell(typed) == shown
