"""From a file to a build, or to words: file, line, path, value, what is allowed, how to mend it."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from voltwright.build.document import Build
from voltwright.build.paths import all_paths, all_spots, spot_at
from voltwright.build.reader import BuildFile, kind_at, load, loads
from voltwright.build.variants import apply_variant
from voltwright.parts.kinds import KINDS
from voltwright.parts.shelf import catalogue
from voltwright.quantity.errors import BuildError, FileError, FormatError, PartError, Problem

GOLDEN = Path(__file__).parent / "golden"
TEXT = (GOLDEN / "format-1.yaml").read_text(encoding="utf-8")


PLAIN = TEXT.partition("# What the baker asked next.")[0]  # without its variants


def with_change(old: str, new: str) -> str:
    assert PLAIN.count(old) == 1, old
    return PLAIN.replace(old, new)


def complaints(text: str) -> list[Problem]:
    """Every problem of a text, each of them complete."""
    with pytest.raises(BuildError) as caught:
        loads(text, "car.yaml")
    for problem in caught.value.problems:
        assert problem.file == "car.yaml"
        assert problem.line
        assert problem.path
        assert problem.what
        assert problem.allowed
        assert problem.mend
    return list(caught.value.problems)


def line_of(text: str, piece: str) -> int:
    return text[: text.index(piece)].count("\n") + 1


# The golden files: one for each format, never changed.


@pytest.mark.parametrize("path", sorted(GOLDEN.glob("format-*.yaml")), ids=lambda path: path.name)
def test_a_golden_file_loads(path: Path) -> None:
    assert isinstance(load(path).build, Build)


def test_the_golden_file_says_what_it_always_said() -> None:
    build = load(GOLDEN / "format-1.yaml").build
    assert build.donor.size.height.value == pytest.approx(74 * 0.0254)
    assert build.donor.size.wheelbase.value == pytest.approx(94.5 * 0.0254)
    assert build.donor.mass_kerb.origin.how == "measured"
    assert build.duty.distance.value * 365.25 * 86400 == pytest.approx(5200 * 1609.344)
    assert build.duty.climate.coldest.value == pytest.approx(273.15 + (19 - 32) / 1.8)
    assert build.pack.condition is not None
    assert build.pack.condition.health.spread.low == pytest.approx(0.83)
    assert str(build.costing.prices["module/nca-6s70p-217ah"].exact) == "610.00"
    assert build.donor.tyres.front == "5.60-13"
    assert list(build.variants) == ["second-string", "second-string-and-servo"]


def written_paths(value: Any, path: str = "") -> set[str]:
    """The paths of a document in the form of the schema."""
    if path == "variants{}.changes{}" or (isinstance(value, dict) and "value" in value):
        return {path}
    if isinstance(value, dict):
        is_map = path in ("costing.prices", "costing.exchange", "variants", "variants{}.changes")
        names = ((f"{path}{{}}" if is_map else f"{path}.{name}".strip("."), item) for name, item in value.items())
        return {each for name, item in names for each in written_paths(item, name)}
    if isinstance(value, list):
        return {each for item in value for each in written_paths(item, f"{path}[]")}
    return {path}


def test_the_golden_files_use_the_whole_schema() -> None:
    """With the changes of their variants: some lines of the schema stand in place of others."""
    made = [load(path) for path in sorted(GOLDEN.glob("format-1*.yaml"))]
    roots = [each.document.root for each in made]
    roots += [apply_variant(each.document.root, each.build, name) for each in made for name in each.build.variants]
    assert {path for root in roots for path in written_paths(root)} == {path for path, _ in all_paths()}


# Formats.


@pytest.mark.parametrize(
    ("line", "what", "mend"),
    [
        ("voltwright: 2", "format 2; this Voltwright reads up to 1", "a newer Voltwright"),
        ("voltwright: 99999999", "format 99999999", "a newer Voltwright"),
        ("voltwright: 0", "'0' is not a format", "voltwright: 1"),
        ("voltwright: -1", "'-1' is not a format", "voltwright: 1"),
        ("voltwright: '1'", "'1' is not a format", "voltwright: 1"),
        ("voltwright: 1.0", "'1.0' is not a format", "voltwright: 1"),
        ("voltwright: true", "'true' is not a format", "voltwright: 1"),
        ("voltwright: [1]", "a list is not a format", "voltwright: 1"),
        ("voltwright:", "does not say for which format", "voltwright: 1"),
        ("# no format", "does not say for which format", "voltwright: 1"),
    ],
)
def test_another_format_is_refused_politely(line: str, what: str, mend: str) -> None:
    with pytest.raises(FormatError) as caught:
        loads(TEXT.replace("voltwright: 1", line, 1), "car.yaml")
    (problem,) = caught.value.problems
    assert caught.value.code == "VW203"
    assert what in problem.what
    assert mend in problem.mend
    assert (problem.file, problem.line, problem.path, problem.allowed) == (
        "car.yaml",
        problem.line,
        "voltwright",
        "voltwright: 1",
    )


# Single mistakes: what is exchanged, path, words of the problem, words of the remedy.

KEEP = '  keep:\n    - the sliding doors\n    - "the colour: cream"\n'
TYRES = "    front: 5.60-13\n    rear: 165 R 13\n    front_load_each: 475 kg\n"
UNMARKED = TYRES.replace("5.60-13", "round").rpartition("    front_load")[0]
GROWTH = "pack.condition.resistance_growth"
MISTAKES = [
    ("  mass_kerb: {", "  mas_kerb: {", "donor.mas_kerb", "'mas_kerb' is not known here", "write mass_kerb"),
    ("  series: 5", "  seris: 5", "pack.seris", "'seris' is not known here", "write series"),
    ("  cooling: air", "  weight: 3 kg", "pack.weight", "'weight' is not known here", "take it out"),
    ("costing:\n", "costting:\n", "costting", "'costting' is not known here", "write costing"),
    ("  title: 'Light van, 1974'\n", "", "donor.title", "this is missing", "add 'title: ...'"),
    ("  body: van", "  body: vann", "donor.body", "'vann' is not one of the words", "write van"),
    ("  body: van", "  body: [van]", "donor.body", "a list is not one of the words", "write "),
    ("    earth: negative", "    earth: true", "donor.electrics.earth", "'true' is not one of the words", "negative or positive"),
    ("  series: 5", "  series: 0", "pack.series", "'0' is outside", "check the number"),
    ("  series: 5", "  series: -5", "pack.series", "'-5' is outside", "check the number"),
    ("  series: 5", "  series: 5.0", "pack.series", "'5.0' is not a whole number", "in digits"),
    ("  series: 5", "  series: five", "pack.series", "'five' is not a whole number", "in digits"),
    ("  series: 5", "  series: true", "pack.series", "'true' is not a whole number", "in digits"),
    ("  series: 5", "  series: 1_0", "pack.series", "'1_0' is not a whole number", "in digits"),
    ("  series: 5", "  series: .inf", "pack.series", "'.inf' is not a whole number", "in digits"),
    ("  series: 5", "  series: 0x5", "pack.series", "'0x5' is not a whole number", "in digits"),
    ("  series: 5", "  series: [5]", "pack.series", "a list is not a whole number", "whole number"),
    ("  series: 5", "  series: 99999999999999999999", "pack.series", "'99999999999999999999' is not a whole", "in digits"),
    ("    resistance_growth: 1.3", "    resistance_growth: nan", GROWTH, "'nan' is not a number", "in digits"),
    ("    resistance_growth: 1.3", "    resistance_growth: 1,3", GROWTH, "'1,3' is not a number", "decimal point"),
    ("    age: 7.5", "    age: -1", "pack.condition.age", "'-1' is outside", "check the number"),
    ("    limiting_valve: false", "    limiting_valve: perhaps", "donor.brakes.limiting_valve", "neither true nor false", "true or false"),
    ("  customer: Mrs Rowan", "  customer: 12", "brief.customer", "'12' is not a text", "in quotes"),
    ("  customer: Mrs Rowan", "  customer: ''", "brief.customer", "nothing is written here", "take the line out"),
    ("  customer: Mrs Rowan", "  customer: '   '", "brief.customer", "nothing is written here", "take the line out"),
    ("  customer: Mrs Rowan", f"  customer: {'x' * 201}", "brief.customer", "is too long", "fewer words"),
    ("country: GB", "country: gb", "country", "'gb' is not written as", "write GB"),
    ("currency: GBP", "currency: gbp", "currency", "'gbp' is not a currency code", "write GBP"),
    ("    - name: under-floor", "    - name: Under Floor", "pack.boxes.0.name", "is not written as", "write under-floor"),
    ("{name: tank, modules: 2", "{name: under-floor, modules: 2", "pack.boxes", "stands here more than once", "under-floor-2"),
    ("  module: module/nca", "  module: Module nca", "pack.module", "is not written as", "in that form"),
    ("    module/nca-6s70p-217ah: {", "    some module: {", "costing.prices.some module", "is not written as", "in that form"),
    ("    EUR: 0.85", "    Euro: 0.85", "costing.exchange.Euro", "is not written as", "in that form"),
    ("    hottest: 30 °C", "    hottest: -20 °C", "duty.climate", "is warmer than the hottest", "exchange the two"),
    ("    full: 95 %\n", "    full: 5 %\n", "pack.window", "is not below the highest", "exchange the two"),
    (TYRES, UNMARKED, "donor.tyres.front", "'round' is not a tyre marking", "side wall"),
    ("8 °C, 11 °C, 14 °C", "8 °C, 14 °C", "duty.climate.monthly", "too few items", "add what is missing"),
    ("  seats:\n    - {name: front seats, places: 2, x: 1.05 m, z: 0.62 m}\n", "  seats: []\n", "donor.seats", "too few items", "add"),
    ("brief:\n", "brief: all good\nx:\n", "brief", "'all good' is not a set of names and values", "indented"),
    (KEEP, "  keep: doors\n", "brief.keep", "'doors' is not a list", "after '- '"),
    ("    wheelbase: 94 1/2 in", "    wheelbase: 94,5 in", "donor.size.wheelbase", "'94,5 in' has a comma", "decimal point"),
    ("    wheelbase: 94 1/2 in", "    wheelbase: 0 m", "donor.size.wheelbase", "'0 m' is outside", "check the number"),
    ("    wheelbase: 94 1/2 in", "    wheelbase: 2400", "donor.size.wheelbase", "'2400' has no unit", "2400 m"),
    ("    wheelbase: 94 1/2 in", "    wheelbase:", "donor.size.wheelbase", "nothing is written here", "one number"),
    ("    wheelbase: 94 1/2 in", "    wheelbase: [1 m]", "donor.size.wheelbase", "is not a quantity", "one number"),
    ("how: measured, note: weighbridge", "how: weighed, note: weighbridge", "donor.mass_kerb", "'weighed' does not say how", "how: "),
    ("source: own-datasheet", "source: a-friend", "donor.mass_kerb", "'a-friend' is not in the references", "own-datasheet"),
    ("  module: module/nca-6s70p-217ah", "  module: module/nca-6s70p-217a", "pack.module", "no part has the id", "module/nca-6s70p-217ah"),
    ("  module: module/nca-6s70p-217ah", "  module: motor/pm-25kw-96v", "pack.module", "a motor where a module is asked", "write module/"),
    ("    fuse: fuse/500v-400a", "    fuse: fuse/none", "pack.protection.fuse", "no part has the id 'fuse/none'", "fuse/"),
    ("part: fan/box-120mm", "part: fan/box-121mm", "fitted.0.part", "no part has the id", "fan/box-120mm"),
    ("  price: 31000 GBP", "  price: 31000 EUR", "brief.price", "'31000 EUR' is not in the currency of the build", "write it in GBP"),
    ("rate: 55.00 GBP/h", "rate: 55.00 EUR/h", "costing.tasks.0.rate", "not in the currency of the build", "write it in GBP"),
    ("    charger/3.3kw-1ph-120v: 540 GBP", "    charger/9kw: 540 GBP", "costing.prices.charger/9kw", "no part has the id", "charger/"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("old", "new", "path", "what", "mend"), MISTAKES, ids=[f"{each[2]}: {each[3]}"[:60] for each in MISTAKES]
)
def test_a_mistake_is_named(old: str, new: str, path: str, what: str, mend: str) -> None:
    text = with_change(old, new)
    found = {problem.path: problem for problem in complaints(text)}
    assert path in found
    assert what in found[path].what
    assert mend in found[path].mend


def test_a_tyre_whose_load_is_entered_may_be_marked_in_any_way() -> None:
    assert loads(with_change("    front: 5.60-13", "    front: round")).build.donor.tyres.front == "round"


def test_the_line_is_that_of_the_mistake() -> None:
    text = with_change("    wheelbase: 94 1/2 in", "    wheelbase: 94,5 in")
    (problem,) = complaints(text)
    assert problem.line == line_of(text, "wheelbase")
    assert str(problem).startswith(f"car.yaml:{problem.line}: donor.size.wheelbase: '94,5 in' has a comma")


def test_every_mistake_is_said_at_once() -> None:
    text = (
        with_change("  series: 5", "  series: 0")
        .replace("body: van", "body: boat")
        .replace("overhang: 31 in", "overhang: 31")
    )
    assert {problem.path for problem in complaints(text)} == {"pack.series", "donor.body", "donor.size.front_overhang"}


def test_a_long_list_of_mistakes_ends() -> None:
    many = "".join(f"wrong{index}: 1\n" for index in range(500))
    assert len(complaints(TEXT + many)) == 50


def test_what_a_build_needs_is_named_where_all_is_missing() -> None:
    found = {problem.path for problem in complaints("voltwright: 1\n")}
    assert {"title", "donor.title", "donor.mass_kerb", "donor.seats", "pack.module"} <= found


@pytest.mark.parametrize(
    "section",
    ["brief", "duty", "costing", "charging", "comfort", "low_voltage", "extras", "supplies", "variants", "fitted"],
)
def test_a_section_may_be_left_out(section: str) -> None:
    lines = TEXT.splitlines(keepends=True)
    start = lines.index(f"{section}:\n")
    end = next((index for index in range(start + 1, len(lines)) if lines[index][0] not in " \n"), len(lines))
    assert isinstance(loads("".join(lines[:start] + lines[end:])), BuildFile)


# Files beside the build.


def own_folder(tmp_path: Path, part: str) -> Path:
    (tmp_path / "parts").mkdir()
    shutil.copy(GOLDEN / "format-1.yaml", tmp_path / "car.yaml")
    (tmp_path / "parts" / "own.json").write_text(part, encoding="utf-8")
    return tmp_path / "car.yaml"


def test_own_parts_beside_the_build_stand_in_front(tmp_path: Path) -> None:
    part = {
        "id": "fan/box-120mm", "kind": "fan", "title": "Own fan", "source": "own-datasheet", "grade": "datasheet",
    }  # fmt: skip
    shipped = {
        name: value for name, value in dict(catalogue()._raw["fan/box-120mm"]).items() if name not in ("fields", *part)
    }
    made = load(own_folder(tmp_path, json.dumps(shipped | part)))
    assert made.shelf.any("fan/box-120mm").title == "Own fan"


@pytest.mark.parametrize(
    "part", ["", "{", "[]", "5", "null", "\0", '{"id": "fan/box-120mm", "kind": "fan"}', "[" * 900]
)
def test_a_broken_own_part_is_named(tmp_path: Path, part: str) -> None:
    path = own_folder(tmp_path, part)
    with pytest.raises((PartError, BuildError)) as caught:
        load(path)
    assert all(problem.what for problem in caught.value.problems)


@pytest.mark.parametrize("cell", ["cell/none", "motor/pm-90kw-350v"])
def test_a_module_without_its_cell_is_named(tmp_path: Path, cell: str) -> None:
    raw = {**catalogue()._raw["module/nca-6s70p-217ah"], "cell": cell}
    with pytest.raises(BuildError) as caught:
        load(own_folder(tmp_path, json.dumps(raw)))
    assert caught.value.problems[0].path == "pack.module"
    assert cell in caught.value.problems[0].what


def test_a_missing_file_is_a_file_error(tmp_path: Path) -> None:
    with pytest.raises(FileError):
        load(tmp_path / "none.yaml")
    with pytest.raises(FileError):
        load(str(tmp_path))


# The schema as people see it.


def test_every_path_says_what_may_stand_there() -> None:
    for path, here in all_spots():
        assert here.words, path
        assert here.words != "anything", path


def test_paths_in_steps() -> None:
    assert spot_at(("pack", "boxes", 0, "mass")) is not None
    assert spot_at(("pack", "boxes", 0, "colour")) is None
    assert spot_at(("variants", "x", "of")) is not None
    assert spot_at(("title", "x")) is None


def test_the_kind_of_every_part_is_known() -> None:
    named = [path for path, here in all_spots() if here.words.startswith("the id of a part")]
    kinds = {path: kind_at(path) for path in named}
    assert {path for path, kind in kinds.items() if not kind} == {"fitted[].part"}
    assert set(kinds.values()) - {""} <= set(KINDS)


def test_maps_of_a_build_cannot_be_changed_in_place() -> None:
    build = load(Path(__file__).parents[2] / "examples" / "coupe.yaml").build
    for known in (build.costing.prices, build.costing.exchange, build.variants, build.variants["one-string"].changes):
        with pytest.raises(TypeError):
            known["x"] = None  # pyright: ignore[reportArgumentType]
        with pytest.raises(TypeError):
            known.clear()
