"""Changing a build file: one value moves, every other character stays."""

from __future__ import annotations

import errno
import os
from pathlib import Path
from typing import Any

import pytest

from voltwright.build.reader import BuildFile, load, loads
from voltwright.build.writer import changed, save, text_of
from voltwright.quantity.errors import BuildError, OutputError

ROOT = Path(__file__).parents[2]
GOLDEN = Path(__file__).parent / "golden" / "format-1.yaml"
EXAMPLES = sorted((ROOT / "examples").glob("*.yaml"))


@pytest.fixture(scope="module")
def golden() -> BuildFile:
    return load(GOLDEN)


def difference(before: str, after: str) -> list[tuple[str, str]]:
    """The lines that differ, each beside what became of it; the number of lines must be the same."""
    pairs = list(zip(before.splitlines(keepends=True), after.splitlines(keepends=True), strict=True))
    return [pair for pair in pairs if pair[0] != pair[1]]


@pytest.mark.parametrize("path", [GOLDEN, *EXAMPLES], ids=lambda path: path.name)
def test_what_is_not_changed_is_saved_byte_for_byte(path: Path, tmp_path: Path) -> None:
    save(load(path), tmp_path / "saved.yaml")
    assert (tmp_path / "saved.yaml").read_bytes() == path.read_bytes()


CHANGES: list[tuple[str, Any, str]] = [
    ("pack.cooling", "none", "  cooling: none\n"),
    ("pack.series", 6, "  series: 6\n"),
    ("pack.condition.age", 8.5, "    age: 8.5\n"),
    ("title", "Van: now blue", "title: 'Van: now blue'   # a comment at the end of a line\n"),
    ("donor.title", "Light van", "  title: Light van\n"),
    ("donor.size.height", "6'3\"", "    height: 6'3\"\n"),
    ("donor.brakes.limiting_valve", True, "    limiting_valve: true\n"),
    ("donor.drive_line.gearbox.ratios.1", "2.21", "      ratios: [3.65, 2.21, 1.43, 1.0]\n"),
    (
        "donor.mass_kerb.value",
        "1038 kg",
        "  mass_kerb: {value: 1038 kg, how: measured, note: weighbridge, source: own-datasheet, grade: measured}\n",
    ),
    (
        "donor.mass_kerb.note",
        "a, b",
        '  mass_kerb: {value: 1040 kg ± 8 kg, how: measured, note: "a, b", source: own-datasheet, grade: measured}\n',
    ),
    ("donor.electrics.ignition_loads.0", "horn", "    ignition_loads: [horn, fuel gauge]\n"),
    ("brief.keep.0", "the doors", "    - the doors\n"),
    ("costing.prices.charger/3.3kw-1ph-120v", "555 GBP", "    charger/3.3kw-1ph-120v: 555 GBP\n"),
]


@pytest.mark.parametrize(("path", "value", "line"), CHANGES, ids=[each[0] for each in CHANGES])
def test_a_change_touches_one_line(golden: BuildFile, path: str, value: Any, line: str) -> None:
    made = changed(golden, path, value)
    ((_, after),) = difference(text_of(golden.document), text_of(made.document))
    assert after.replace("'", '"') == line.replace("'", '"')
    assert made.build != golden.build


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.name)
def test_a_change_of_an_example_touches_one_line(path: Path) -> None:
    before = load(path)
    after = changed(before, "title", "Another title")
    assert [pair[1] for pair in difference(text_of(before.document), text_of(after.document))] == [
        "title: Another title\n"
    ]
    assert after.build.title == "Another title"


def test_another_style_of_writing_stays(golden: BuildFile) -> None:
    """Other indentation, other ends of lines, quotes and blank lines are the author's own."""
    text = (
        text_of(golden.document).replace("\n  ", "\n     ").replace("  # a", "      # a").replace("\n", "\r\n")
        + "\r\n\r\n# end"
    )
    made = changed(loads(text), "pack.series", 4)
    assert difference(text, text_of(made.document)) == [("     series: 5\r\n", "     series: 4\r\n")]


def test_what_is_added_joins_and_comments_stay() -> None:
    before = load(ROOT / "examples" / "coupe.yaml")
    after = changed(before, "donor.cg_left", {"value": "0.01 m", "how": "measured", "note": "both sides weighed"})
    lines = text_of(before.document).splitlines()
    added = [line for line in text_of(after.document).splitlines() if line not in lines]
    assert added[0] == "  cg_left:"
    assert [line for line in lines if line not in text_of(after.document).splitlines()] == []
    assert after.build.donor.cg_left is not None
    assert after.build.donor.cg_left.origin.how == "measured"


def test_an_item_can_be_added_to_a_list(golden: BuildFile) -> None:
    made = changed(golden, "brief.keep.2", "the horn")
    assert made.build.brief.keep[-1] == "the horn"


def test_a_change_that_is_no_build_is_refused_and_nothing_moves(golden: BuildFile) -> None:
    before = text_of(golden.document)
    for path, value in (
        ("pack.series", 0),
        ("pack.seris", 5),
        ("title.x", 5),
        ("pack.boxes.9.mass", "5 kg"),
        ("pack.module", "module/none"),
        ("title", "a\nb: ["),
    ):
        if path == "title":
            assert changed(golden, path, value).build.title == "a b: ["  # a text stays one text
            continue
        with pytest.raises(BuildError):
            changed(golden, path, value)
    assert text_of(golden.document) == before


def test_no_right_to_write(golden: BuildFile, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "car.yaml"
    path.write_text("old", encoding="utf-8")

    def deny(*_: object, **__: object) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    with monkeypatch.context() as patched:
        patched.setattr("tempfile.mkstemp", deny)
        with pytest.raises(OutputError, match="Permission denied"):
            save(golden, path)
    assert path.read_text(encoding="utf-8") == "old"
