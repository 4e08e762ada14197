"""Names that try to be markup, code or a spoof: they must be shown as they are, and do nothing."""

from __future__ import annotations

import functools
import io
import json
import re
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest
from pypdf import PdfReader

from helpers import dossier
from voltwright.papers.inert import breakable, inert, shortened
from voltwright.papers.text import summary, tree
from voltwright.papers.write import write_papers
from voltwright.rules.dossier import Dossier

NASTY = [
    '#panic("no")',
    '#read("/etc/hostname")',
    "$x^2$",
    "<script>alert(1)</script>",
    "*bold* _slanted_ = heading",
    "back\\slash \\u{1F600}",
    "`code` ```raw```",
    "]] } ) // comment /* more */",
    "&amp; ' \" <!--",
    "@label <label> ~ -- --- ...",
]


def squashed(text: str) -> str:
    return re.sub(r"[\s\u200b\u00a0]", "", text)


@functools.cache
def hostile() -> Dossier:
    words = {f"donor.removed.{index}.name": text for index, text in enumerate(NASTY[:5])}
    words |= {f"costing.purchases.{index}.name": text for index, text in enumerate(NASTY[5:8])}
    words |= {"title": NASTY[0], "workshop": NASTY[8], "brief.customer": NASTY[9], "donor.title": "x" * 200}
    words |= {
        "extras.0.name": "W" * 200,
        "extras.1.name": "rtl مرحبا and 😀",
        "extras.2.name": "\u202egnidliub rof\u202c",
    }
    return dossier(words)


@pytest.fixture(scope="module")
def papers(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    return {
        file.name: file for file in write_papers(hostile(), tmp_path_factory.mktemp("papers"), date='#panic("date")')
    }


@pytest.fixture(scope="module")
def said(papers: dict[str, Path]) -> str:
    return squashed(
        "".join(page.extract_text() for page in PdfReader(io.BytesIO(papers["design.pdf"].read_bytes())).pages)
    )


@pytest.mark.parametrize("text", [*NASTY, "x" * 200, "W" * 200, '#panic("date")'])
def test_text_stands_in_the_pdf_letter_for_letter(text: str, said: str) -> None:
    assert squashed(text) in said


def test_overrides_of_direction_are_shown_not_obeyed(said: str) -> None:
    assert squashed("\ufffdgnidliub rof\ufffd") in said


def test_long_names_are_broken_into_lines_that_fit_their_column(papers: dict[str, Path]) -> None:
    reader = PdfReader(io.BytesIO(papers["design.pdf"].read_bytes()))
    text = "\n".join(page.extract_text() for page in reader.pages).replace("\u200b", "")
    runs = [len(run) for run in re.findall(r"x{5,}|W{5,}", text)]
    assert len(runs) > 8
    assert max(runs) < 48, "61 mm of a column hold no more of the narrower letter at 7 pt"


def test_drawing_is_xml_and_holds_names_as_text(papers: dict[str, Path]) -> None:
    root = ElementTree.fromstring(papers["side-view.svg"].read_text(encoding="utf-8"))  # noqa: S314 our own file
    texts = ["".join(each.itertext()) for each in root.iter("{http://www.w3.org/2000/svg}text")]
    assert [name for name in NASTY[:5] if shortened(name, 30) not in texts] == []
    assert NASTY[0] in "".join(root.itertext())
    tags = {each.tag.partition("}")[2] for each in root.iter()}
    assert tags <= {"svg", "title", "desc", "g", "line", "polyline", "polygon", "circle", "rect", "text"}


def test_dossier_as_json_keeps_names_and_is_not_ascii(papers: dict[str, Path]) -> None:
    text = papers["dossier.json"].read_text(encoding="utf-8")
    assert json.loads(text) == json.loads(json.dumps(hostile().as_data()))
    assert "مرحبا" in text


def test_inert_shows_what_hides() -> None:
    assert inert("a\x00b\x1b[31mc\x85") == "a\ufffdb\ufffd[31mc\ufffd"
    assert inert("one\ntwo\u2028three") == "one two three"
    assert inert("\ud800") == "\ufffd"
    assert inert("Ω µ ² − مرحبا 😀") == "Ω µ ² − مرحبا 😀"


def test_breakable_changes_nothing_that_is_seen() -> None:
    for text in ("short words stay", "x" * 200, "battery-12v/agm-45ah/and-more-of-it", "a" * 24):
        assert breakable(text).replace("\u200b", "") == text
    assert "\u200b" not in breakable("a" * 24)
    assert max(map(len, re.split("[\u200b ]", breakable("y" * 100)))) == 1
    assert breakable("donor.suspension.front.wheel_rate").split("\u200b")[0] == "donor."


def test_the_terminal_shows_overrides_and_keeps_its_lines() -> None:
    made = dossier({"title": "\u202egnidliub rof\u202c"})
    text = summary(made)
    assert text.startswith("\ufffdgnidliub rof\ufffd\n")
    assert "\u202e" not in text
    label = "A label that is longer than its column " * 3
    figures = {**made.figures, "mass.kerb": replace(made.figures["mass.kerb"], label=label)}
    lines = summary(replace(made, figures=figures)).split("\n")
    assert f"  {label}" in lines
    assert lines[lines.index(f"  {label}") + 1].endswith("mass.kerb")
    node = {"label": "\u202emass", "value": 1.0, "printed": "1", "unit": "kg", "from": "entered \u202e"}
    assert "\u202e" not in tree(node)


def test_a_part_with_overrides_in_its_title_is_listed_harmlessly(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from voltwright.cli.commands import list_parts

    raw = {"id": "fuse/mine", "kind": "fuse", "title": "\u202eesuf", "source": "own-datasheet", "grade": "datasheet",
           "voltage_max": "500 V", "time_constant": "2 ms", "current_rated": "100 A", "current_break_max": "20 kA",
           "current_break_min": "160 A", "utilisation": "full-range", "mass": None}  # fmt: skip
    (tmp_path / "parts").mkdir()
    (tmp_path / "parts" / "fuse--mine.json").write_text(json.dumps(raw), encoding="utf-8")
    (tmp_path / "car.yaml").write_text("voltwright: 1\n", encoding="utf-8")
    list_parts("fuse", tmp_path / "car.yaml")
    said = capsys.readouterr().out
    assert "fuse/mine" in said
    assert "\ufffdesuf" in said
    assert "\u202e" not in said
