"""Import of a maker's datasheet from YAML and CSV."""

import json
from pathlib import Path
from typing import Any

import pytest

from voltwright.parts.battery import Cell
from voltwright.parts.datasheet import Datasheet, read_datasheet, store
from voltwright.parts.shelf import Shelf, catalogue, make_part, own_part, shelf_beside, shelf_with
from voltwright.parts.unlocks import unlocks
from voltwright.quantity.errors import OutputError, PartError

CELL_YAML = """\
# copied from the maker's paper
id: cell/own-lfp-20ah
title: Prismatic LFP cell, 20 Ah
source: own-datasheet
chemistry: lfp
shape: prismatic
mass: 0.5 kg
length: 70 mm
width: 27 mm
height: 180 mm
price: 19.50 EUR
capacity: 20 Ah
voltage_nominal: 3.2 V
voltage_full: 3.65 V
voltage_empty: 2.5 V
current_continuous: 40 A
current_peak: 100 A
current_charge: 20 A
current_regen: 40 A
temperature_charge_min: 0 °C
temperature_charge_max: 45 °C
temperature_discharge_min: -20 °C
temperature_discharge_max: 55 °C
heat_capacity: 1000 J/(kg·K)
cycles_rated: 3000
cycles_rated_to: 80 %
open_circuit_voltage:
  charge_percent: [0, 10, 50, 100]
  volt: [2.6, 3.2, 3.3, 3.4]
resistance_10s:
  charge_percent: [0, 100]
  celsius: [-10, 25]
  milliohm: [[9.5, 3.0], [8.0, 2.5]]
fields:
  heat_capacity: {source: typical-practice, grade: estimated}
"""

CELL_CSV = """\
field,value,source,grade
id,cell/own-lfp-20ah,,
title,"Prismatic LFP cell, 20 Ah",,
source,own-datasheet,,
chemistry,lfp,,
shape,prismatic,,
mass,0.5 kg,,
length,70 mm,,
width,27 mm,,
height,180 mm,,
price,19.50 EUR,,
capacity,20 Ah,,
voltage_nominal,3.2 V,,
voltage_full,3.65 V,,
voltage_empty,2.5 V,,
current_continuous,40 A,,
current_peak,100 A,,
current_charge,20 A,,
current_regen,40 A,,
temperature_charge_min,0 °C,,
temperature_charge_max,45 °C,,
temperature_discharge_min,-20 °C,,
temperature_discharge_max,55 °C,,
heat_capacity,1000 J/(kg·K),typical-practice,estimated
cycles_rated,3000,,
cycles_rated_to,80 %,,
open_circuit_voltage.charge_percent,0 10 50 100,,
open_circuit_voltage.volt,2.6; 3.2; 3.3; 3.4,,
resistance_10s.charge_percent,0 100,,
resistance_10s.celsius,-10 25,,
resistance_10s.milliohm,9.5 3.0; 8.0 2.5,,
resistance_ms.milliohm,,,
"""


def read(folder: Path, text: str | bytes, name: str = "sheet.yaml", shelf: Shelf | None = None) -> Datasheet:
    path = folder / name
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return read_datasheet(path, shelf)


def said(sheet: Datasheet) -> dict[str, str]:
    """Every complaint by its path."""
    assert sheet.part is None
    return {problem.path: str(problem) for problem in sheet.problems}


def test_a_whole_datasheet_becomes_a_part(tmp_path: Path) -> None:
    sheet = read(tmp_path, CELL_YAML)
    assert sheet.problems == ()
    assert isinstance(sheet.part, Cell)
    assert sheet.part.capacity.value == 20 * 3600
    assert sheet.part.resistance_10s.milliohm[0][0] == 9.5
    assert sheet.part.grade == sheet.part.grade_of("mass") == "datasheet"
    assert sheet.part.grade_of("heat_capacity") == "estimated"


def test_csv_and_yaml_say_the_same(tmp_path: Path) -> None:
    from_yaml, from_csv = read(tmp_path, CELL_YAML), read(tmp_path, CELL_CSV, "sheet.csv")
    assert from_csv.problems == ()
    assert from_csv.raw == from_yaml.raw
    assert from_csv.part == from_yaml.part


@pytest.mark.parametrize("mark", [";", "\t"])
def test_csv_as_other_spreadsheets_save_it(tmp_path: Path, mark: str) -> None:
    rows = [line.replace('"', "").replace(", 20", " 20").replace("; ", " | ") for line in CELL_CSV.splitlines()]
    text = "\ufeff" + "\r\n".join(mark.join(row.split(",")) for row in rows if "milliohm" not in row)
    text = text.replace(" | ", " ") + f'\r\nresistance_10s.milliohm{mark}"9.5 3.0; 8.0 2.5"\r\n\r\n'
    sheet = read(tmp_path, text, "SHEET.CSV")
    assert sheet.problems == ()
    assert sheet.part is not None
    assert sheet.raw["resistance_10s"] == read(tmp_path, CELL_YAML).raw["resistance_10s"]


def test_what_empty_fields_would_unlock(tmp_path: Path) -> None:
    """Only what a figure, a finding or a paper uses: a cell has no such field, and is bought as a module."""
    bare = CELL_YAML.replace("price: 19.50 EUR\n", "").replace("length: 70 mm\n", "")
    assert read(tmp_path, bare).unlocks == ()
    motor = catalogue().any("motor/pm-90kw-350v").model_copy(update={"price": None, "torque_curve_peak": None})
    assert [each.partition(",")[0] for each in unlocks(motor)] == ["without price"]
    inlet = catalogue().any(catalogue().ids("inlet")[0]).model_copy(update={"mass": None})
    assert not any("without mass" in each for each in unlocks(inlet))


@pytest.mark.parametrize(("stock", "words"), [("salvaged", "80 % of new"), ("surplus", "counts as new"), ("new", "")])
def test_the_health_that_is_taken_follows_the_stock(stock: str, words: str) -> None:
    module = catalogue().any("module/nmc-12s-50ah").model_copy(update={"stock": stock, "health": None})
    said = "; ".join(each for each in unlocks(module) if "health" in each)
    assert words in said
    assert bool(said) == bool(words)


def test_all_that_is_missing_or_wrong_is_said_at_once_with_its_line(tmp_path: Path) -> None:
    text = CELL_YAML.replace("capacity: 20 Ah\n", "").replace("mass: 0.5 kg", "mass: 0.5 V")
    text = text.replace("shape: prismatic", "shape: round").replace("price:", "prize:")
    text = text.replace("current_peak: 100 A", "current_peak: 10 A").replace("source: own-datasheet\n", "")
    found = said(read(tmp_path, text))
    assert {"capacity", "mass", "shape", "prize", "current_peak", "source"} <= set(found)
    assert "sheet.yaml:6: mass: '0.5 V' is in V" in found["mass"]
    assert "write price" in found["prize"]
    assert "at least current_continuous" in found["current_peak"]
    assert "own-datasheet" in found["source"]
    assert "is missing" in found["capacity"]


def test_csv_names_the_line_too(tmp_path: Path) -> None:
    text = CELL_CSV.replace("mass,0.5 kg", "mas,0.5 kg").replace("2.6; 3.2", "2.6; x")
    found = said(read(tmp_path, text, "sheet.csv"))
    assert "sheet.csv:7: mas" in found["mas"]
    assert "write mass" in found["mas"]
    assert "sheet.csv:28: open_circuit_voltage.volt.1: 'x'" in found["open_circuit_voltage.volt.1"]


@pytest.mark.parametrize(
    ("old", "new", "path", "word"),
    [
        ("voltage_full: 3.65 V", "voltage_full: 2.9 V", "voltage_full", "above voltage_nominal"),
        ("voltage_empty: 2.5 V", "voltage_empty: 3.3 V", "voltage_empty", "below voltage_nominal"),
        ("charge_max: 45 °C", "charge_max: -5 °C", "temperature_charge_max", "above temperature_charge_min"),
        ("volt: [2.6, 3.2, 3.3, 3.4]", "volt: [2.6, 3.2, 3.4]", "open_circuit_voltage", "3 values for 4 rows"),
        ("volt: [2.6, 3.2, 3.3, 3.4]", "volt: [2.6, 3.4, 3.3, 3.4]", "open_circuit_voltage", "fall"),
        ("charge_percent: [0, 10, 50, 100]", "charge_percent: [0, 10, 50, 90]", "open_circuit_voltage", "0 to 100"),
        ("[9.5, 3.0]", "[9.5, 3.0, 1.0]", "resistance_10s", "3 values for 2 rows"),
        ("[9.5, 3.0]", "[9.5, .inf]", "resistance_10s.milliohm.0.1", "inf"),
        ("mass: 0.5 kg", "mass: 0,5 kg", "mass", "comma"),
        ("mass: 0.5 kg", "mass: 0.5", "mass", "no unit"),
        ("mass: 0.5 kg", "mass: [0.5 kg]", "mass", "0.5 kg"),
        ("cycles_rated: 3000", "cycles_rated: many", "cycles_rated", "a whole number"),
        ("source: own-datasheet", "source: own-datashet", "source", "own-datasheet"),
        ("source: typical-practice", "source: hearsay", "fields.heat_capacity.source", "hearsay"),
        ("grade: estimated", "grade: guessed", "fields.heat_capacity.grade", "estimated"),
        ("id: cell/", "id: module/", "groups_series", "missing"),
        ("id: cell/own-lfp-20ah", "id: cell/../../own", "id", "module/nmc-13s-50ah"),
    ],
)  # fmt: skip
def test_each_mistake_is_named(tmp_path: Path, old: str, new: str, path: str, word: str) -> None:
    assert old in CELL_YAML
    found = said(read(tmp_path, CELL_YAML.replace(old, new)))
    assert path in found
    assert word in found[path]


@pytest.mark.parametrize(
    ("content", "name", "word"),
    [
        (b"id: cell/own\n# " + b"x" * 10_000_000, "sheet.yaml", "larger than 1 MB"),
        (b"field,value\n" + b"x,1\n" * 2_500_000, "sheet.csv", "larger than 1 MB"),
        (bytes(range(256)), "sheet.yaml", "UTF-8"),
        (bytes(range(256)), "sheet.csv", "UTF-8"),
        (b"id: cell/own\x00\x01\x02", "sheet.yaml", "not YAML"),
        (b"field,value\nid,cell/own\x00\x01", "sheet.csv", "not text"),
        (b"%PDF-1.7", "sheet.pdf", "neither YAML, JSON nor CSV"),
        (b"", "sheet.yaml", "names and values"),
        (b"\n\n", "sheet.csv", "empty"),
        (b"id: a\nid: b\n", "sheet.yaml", "twice"),
        (b"a: &x 1\nb: *x\n", "sheet.yaml", "alias"),
        (b"mass,0.5 kg\n", "sheet.csv", "does not name the columns"),
        (b"field,value,colour\n", "sheet.csv", "does not name the columns"),
        (b'field,value\nid,"cell/own\n', "sheet.csv", "not CSV"),
        (b"field,value\n" + b"x,1\n" * 2000, "sheet.csv", "more than 1000 rows"),
    ],
)  # fmt: skip
def test_what_is_no_datasheet_is_refused(tmp_path: Path, content: bytes, name: str, word: str) -> None:
    with pytest.raises(PartError, match=word) as caught:
        read(tmp_path, content, name)
    assert name in str(caught.value)


@pytest.mark.parametrize(
    ("row", "path", "word"),
    [
        ("mass,0.6 kg,,", "mass", "twice"),
        (",0.6 kg,,", "", "names no field"),
        ("capacity_,1,5 Ah,,", "capacity_", "5 cells for 4 columns"),
        ("mass.value,3 kg,,", "mass", ""),
        ("open_circuit_voltage,flat,,", "open_circuit_voltage", ""),
    ],
)  # fmt: skip
def test_odd_rows_are_said_with_the_rest(tmp_path: Path, row: str, path: str, word: str) -> None:
    text = CELL_CSV.replace("capacity,20 Ah", "capacity,20 kg") + row + "\n"
    found = said(read(tmp_path, text, "sheet.csv"))
    assert word in found.get(path, "")
    assert "capacity" in found


def test_a_missing_file_and_a_folder_are_refused(tmp_path: Path) -> None:
    with pytest.raises(PartError, match="there is no file"):
        read_datasheet(tmp_path / "none.yaml")
    (tmp_path / "folder.yaml").mkdir()
    with pytest.raises(PartError, match="is a folder"):
        read_datasheet(tmp_path / "folder.yaml")


MODULE = """\
id: module/own-8s-20ah
title: Own module
source: own-datasheet
cell: cell/own-lfp-20ah
groups_series: 8
cells_parallel: 1
mass: 4.8 kg
length: 240 mm
width: 80 mm
height: 195 mm
resistance_links: 0.4 mΩ
stock: salvaged
coolant_channels: false
temperature_sensors: 2
capacity: 20 Ah
"""


def test_a_module_needs_its_cell_on_the_shelf(tmp_path: Path) -> None:
    found = said(read(tmp_path, MODULE.replace("mass: 4.8 kg", "mass: 4.8 V")))
    assert "sheet.yaml:4: cell: no part has the id 'cell/own-lfp-20ah'" in found["cell"]
    assert "mass" in found
    store(read(tmp_path, CELL_YAML).raw, tmp_path / "parts")
    sheet = read(tmp_path, MODULE, shelf=shelf_with(tmp_path / "parts"))
    assert sheet.problems == ()
    assert any("without health" in each for each in sheet.unlocks)


def test_a_stored_datasheet_is_the_same_when_it_is_read_again(tmp_path: Path) -> None:
    sheet = read(tmp_path, CELL_YAML)
    path = store(sheet.raw, tmp_path / "parts")
    assert path == tmp_path / "parts" / "cell--own-lfp-20ah.json"
    assert own_part(path) == sheet.raw
    assert make_part(own_part(path)) == sheet.part
    assert shelf_beside(tmp_path / "build.yaml").any("cell/own-lfp-20ah") == sheet.part


def test_a_measured_value_stays_measured_in_the_store(tmp_path: Path) -> None:
    raw: dict[str, Any] = read(tmp_path, CELL_YAML).raw | {"capacity": {"value": "19 Ah", "how": "measured"}}
    stored = json.loads(store(raw, tmp_path).read_text(encoding="utf-8"))
    assert stored["capacity"] == {"value": "19 Ah", "how": "measured"}


@pytest.mark.parametrize(
    "bad", ["cell/../../escape", "../cell/escape", "cell/a/b", "cell/a\\b", "cell/a\x00", "/cell/a"]
)
def test_store_cannot_climb_out(tmp_path: Path, bad: str) -> None:
    raw = read(tmp_path, CELL_YAML).raw | {"id": bad, "kind": "cell"}
    with pytest.raises(PartError):
        store(raw, tmp_path / "deep" / "parts")
    assert sorted(path.name for path in tmp_path.rglob("*")) == ["sheet.yaml"]


def test_dots_in_an_id_stay_in_the_folder(tmp_path: Path) -> None:
    raw = read(tmp_path, CELL_YAML).raw | {"id": "cell/.."}
    assert store(raw, tmp_path / "parts").resolve().parent == (tmp_path / "parts").resolve()


def test_store_does_not_overwrite_unasked(tmp_path: Path) -> None:
    raw = read(tmp_path, CELL_YAML).raw
    store(raw, tmp_path)
    with pytest.raises(OutputError, match="is there already"):
        store(raw | {"title": "Another"}, tmp_path)
    path = store(raw | {"title": "Another"}, tmp_path, overwrite=True)
    assert own_part(path)["title"] == "Another"


def test_store_refuses_what_is_not_whole(tmp_path: Path) -> None:
    with pytest.raises(PartError, match="missing"):
        store({"id": "cell/own"}, tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_a_value_that_is_also_a_column_is_not_lost(tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.csv"
    sheet.write_text("field,value\nvoltage_max,500 V\nvoltage_max.a,1\n", encoding="utf-8")
    assert any("voltage_max.a" in str(problem) for problem in read_datasheet(sheet).problems)


@pytest.mark.parametrize("sign", ["\x1b", "\x9b"])
def test_a_table_that_would_steer_a_terminal_is_refused(tmp_path: Path, sign: str) -> None:
    with pytest.raises(PartError, match="control character"):
        read(tmp_path, CELL_CSV.replace("Prismatic LFP", f"{sign}[2J"), "sheet.csv")
