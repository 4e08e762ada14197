"""The command line: exit codes, the public contract, units, and never a traceback."""

from __future__ import annotations

import json
import re
import shlex
import subprocess
from pathlib import Path
from typing import Any

import pytest

from helpers import Run, run_apart, runner
from voltwright import cli
from voltwright.assess.keys import FAMILIES, KEYS, family_of, key_of
from voltwright.assess.routes import OF_A_ROUTE
from voltwright.build.begun.answers import PLACES
from voltwright.quantity.errors import ALL

ROOT = Path(__file__).parents[2]
GOLDEN = Path(__file__).parent / "golden" / "format-1.yaml"
TEXT = GOLDEN.read_text(encoding="utf-8")
LINE = TEXT[: TEXT.index("  series: 5")].count("\n") + 1
CHANGED = {
    "stop": ("    gross: 1760 kg", "    gross: 900 kg"),
    "broken": ("  series: 5", "  seris: 5"),
    "newer": ("voltwright: 1", "voltwright: 2"),
}


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    for name, (old, new) in CHANGED.items():
        assert TEXT.count(old) >= 1
        (tmp_path / f"{name}.yaml").write_text(TEXT.replace(old, new, 1), encoding="utf-8")
    (tmp_path / "car.yaml").write_text(TEXT, encoding="utf-8")
    return runner(capsys, tmp_path, monkeypatch)


# Exit codes.


def test_a_build_begins_with_answers(run: Run, tmp_path: Path) -> None:
    """As the page on entering a car shows it; a file that is there is left alone, and every wrong answer is told."""
    page = (ROOT / "docs" / "how-to" / "enter-a-car.md").read_text(encoding="utf-8")
    words = shlex.split(page.split("```console\n$ voltwright ")[1].split("```")[0].replace("\\\n", " "))
    *words, shown = words
    ended = run(*words)
    assert (ended.code, ended.out.strip(), ended.err) == (0, shown, "")
    assert run("assess", shown, "--no-bands").code == 0
    before = (tmp_path / shown).read_bytes()
    assert run(*words).code == 2
    assert (tmp_path / shown).read_bytes() == before
    ended = run("begin", "--out", "other.yaml", "--answer", "keep_gearbox=no", "--answer", "body=tram")
    assert ended.code == 2
    assert all(f"{name}: " in ended.err for name in PLACES)
    assert not (tmp_path / "other.yaml").exists()


def test_all_is_well(run: Run) -> None:
    ended = run("assess", "car.yaml", "--no-bands")
    assert (ended.code, ended.err) == (0, "")
    assert ended.out.startswith("Light van of 1974 for a baker\n")


def test_a_stop_stands(run: Run) -> None:
    ended = run("assess", "stop.yaml", "--no-bands")
    assert (ended.code, ended.err) == (1, "")
    assert "STOP" in ended.out
    assert run("assess", "stop.yaml", "--json", "--no-bands").code == 1
    assert run("assess", "stop.yaml", "--figure", "mass.kerb").code == 1


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["assess", "none.yaml"], "VW201", "there is no file none.yaml"),
        (["assess", "."], "VW201", "is a folder"),
        (["assess", "broken.yaml"], "VW202", f"broken.yaml:{LINE}: pack.seris: 'seris' is not known here"),
        (["assess", "newer.yaml"], "VW203", "newer.yaml:1: voltwright: the file is of format 2"),
        (["assess", "car.yaml", "--figure", "mass.kerbb"], "VW401", "mass.kerb"),
        (["explain", "car.yaml", "mass.reer_axle"], "VW401", "mass.rear_axle"),
        (["explain", "none.yaml", "mass.kerb"], "VW201", "there is no file"),
        (["papers", "none.yaml"], "VW201", "there is no file"),
        (["parts", "list", "modul"], "VW301", "write module"),
        (["parts", "list", "--build", "none.yaml"], "VW201", "there is no file"),
        (["parts", "show", "module/nca-6s70p-217a"], "VW301", "module/nca-6s70p-217ah"),
        (["parts", "import", "none.csv"], "VW301", "there is no file"),
        (["parts", "import", "car.txt"], "VW301", "neither YAML, JSON nor CSV"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else "",
)
def test_bad_input_ends_in_words(run: Run, words: list[str], code: str, said: str) -> None:
    ended = run(*words)
    assert (ended.code, ended.out) == (2, "")
    assert ended.err.startswith(f"{code}: ")
    assert said in ended.err
    assert "Allowed: " in ended.err or "To mend it: " in ended.err


@pytest.mark.parametrize(
    "words",
    [
        [],
        ["parts"],
        ["asess", "car.yaml"],
        ["assess"],
        ["assess", "car.yaml", "--fast"],
        ["assess", "car.yaml", "--units", "imperial"],
        ["assess", "car.yaml", "--figure"],
        ["assess", "car.yaml", "--json", "--figure", "mass.kerb"],
        ["assess", "car.yaml", "more.yaml"],
        ["explain", "car.yaml"],
        ["assess", "a\0b"],
    ],
    ids=" ".join,
)
def test_a_wrong_command_is_refused(run: Run, words: list[str]) -> None:
    ended = run(*words)
    assert ended.code == 2
    assert any(word in ended.out + ended.err for word in ("Usage: ", "Error: ", "VW201: "))


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("people", "add", "X", "--role", "boss"), "'boss' is not one of the words allowed here. Allowed: 'owner', 'technician', "),
        (("serve", "--port", "80x"), "'80x' is not a whole number. Allowed: a whole number in digits. To mend it: "),
        (("serve", "--port", "99999"), "'99999' is outside what makes sense here. Allowed: up to 65535. To mend it: "),
        (("assess", "car.yaml", "--today", "2027/3/1"), "'2027/3/1' is not a day. Allowed: a day such as 2027-03-31."),
    ],
)  # fmt: skip
def test_a_wrong_value_is_told_in_our_words(run: Run, words: tuple[str, ...], told: str) -> None:
    ended = run(*words)
    assert ended.code == 2
    assert f"Error: Invalid value for '--{words[-2].strip('-')}': {told}" in ended.err


def test_help(run: Run) -> None:
    for words in (
        [],
        ["assess"],
        ["papers"],
        ["explain"],
        ["parts"],
        ["parts", "list"],
        ["parts", "show"],
        ["parts", "import"],
    ):
        ended = run(*words, "--help")
        assert (ended.code, ended.err) == (0, "")
        assert "Usage:" in ended.out


# The public contract.

FIGURE = {"value", "unit", "low", "high", "label", "working", "source"}
FINDING = {
    "key", "severity", "title", "detail", "limit", "value", "margin", "clause", "clause_seen", "remedy", "likelihood", "remedies",
}  # fmt: skip


@pytest.fixture(scope="module")
def contract() -> dict[str, Any]:
    """What `assess --json` prints of the golden build."""
    done = run_apart("assess", GOLDEN, "--json", stdout=subprocess.PIPE)
    assert (done.returncode, done.stderr) == (0, b"")
    return json.loads(done.stdout, parse_constant=lambda name: pytest.fail(f"{name} is no JSON"))


def test_json_has_the_keys_of_the_contract(contract: dict[str, Any]) -> None:
    assert {"figures", "findings", "assumptions"} <= set(contract)
    assert set(contract["figures"]) >= {key for key in KEYS if not key.endswith("_towing")}  # it tows nothing
    assert {family_of(key) for key in set(contract["figures"]) - set(KEYS)} == set(FAMILIES) - set(
        OF_A_ROUTE
    )  # it drives none
    for key, figure in contract["figures"].items():
        assert set(figure) >= FIGURE, key
        assert figure["unit"] == {"1": "", "currency": "GBP", "currency/h": "GBP/h"}.get(
            key_of(key).unit, key_of(key).unit
        )
        assert figure["label"]
        assert isinstance(figure["value"], float | int) or figure["reason"], key
    assert contract["findings"]
    for finding in contract["findings"]:
        assert set(finding) == FINDING
        assert finding["severity"] in ("stop", "caution", "note")


def test_json_names_the_day_on_which_it_was_judged(run: Run) -> None:
    """The same input on another day may get other findings, so the fingerprint alone does not name the result."""
    made = [
        json.loads(run("assess", "car.yaml", "--json", "--no-bands", "--today", day).out)
        for day in ("2026-05-01", "2036-05-01")
    ]
    assert [each["judged_on"] for each in made] == ["2026-05-01", "2036-05-01"]
    assert made[0]["fingerprint"] == made[1]["fingerprint"]
    assert made[0]["findings"] != made[1]["findings"]


def test_a_band_surrounds_its_value(contract: dict[str, Any]) -> None:
    banded = [figure for figure in contract["figures"].values() if figure["low"] is not None]
    assert len(banded) > 20
    assert all(figure["low"] <= figure["value"] <= figure["high"] for figure in banded)


def test_every_value_has_its_working(contract: dict[str, Any]) -> None:
    for key, figure in contract["figures"].items():
        if figure["value"] is not None:
            assert figure["working"]["label"], key
            assert (
                figure["working"].get("inputs") or figure["working"].get("from") or figure["working"].get("figure")
            ), key


def test_assumptions_are_listed(run: Run) -> None:
    (Path.cwd() / "less.yaml").write_text(TEXT.replace("  load: 350 lb\n", ""), encoding="utf-8")
    listed = json.loads(run("assess", "less.yaml", "--json", "--no-bands").out)["assumptions"]
    load = next(each for each in listed if each["path"] == "brief.load")
    assert load["reason"] == "the brief names no load"
    assert load["measure"] == "ask the customer"


def test_no_bands(run: Run) -> None:
    made = json.loads(run("assess", "car.yaml", "--json", "--no-bands").out)
    assert all(figure["low"] is None and figure["high"] is None for figure in made["figures"].values())


@pytest.mark.parametrize("units", ["metric", "uk", "us"])
def test_one_figure_is_always_in_the_unit_of_the_contract(run: Run, contract: dict[str, Any], units: str) -> None:
    for key in ("mass.kerb", "pack.voltage_full", "mass.cg_x", "cost.price_with_tax"):
        ended = run("assess", "car.yaml", "--figure", key, "--units", units)
        assert re.fullmatch(r"-?\d+(\.\d+)?\n", ended.out)
        assert float(ended.out) == pytest.approx(contract["figures"][key]["value"], rel=1e-9)


def test_a_figure_that_is_not_known_is_null(run: Run) -> None:
    (Path.cwd() / "less.yaml").write_text(TEXT.replace("    gross: 1760 kg\n", ""), encoding="utf-8")
    assert run("assess", "less.yaml", "--figure", "mass.payload_left").out == "null\n"
    explained = run("explain", "less.yaml", "mass.payload_left")
    assert explained.code == 0
    assert "No working: " in explained.out


@pytest.mark.parametrize(("units", "mass", "length"), [("metric", "kg", "mm"), ("uk", "lb", "in"), ("us", "lb", "in")])
def test_units_for_people(run: Run, units: str, mass: str, length: str) -> None:
    lines = run("assess", "car.yaml", "--no-bands", "--units", units).out.splitlines()
    assert re.search(rf"\d {mass}\b", next(line for line in lines if line.endswith("mass.kerb")))
    assert re.search(rf"\d {length}\b", next(line for line in lines if line.endswith("mass.ride_height_front")))


def test_json_is_the_same_in_every_units(run: Run) -> None:
    assert run("assess", "car.yaml", "--json", "--no-bands", "--units", "us") == run(
        "assess", "car.yaml", "--json", "--no-bands"
    )


def test_the_same_input_gives_the_same_output(contract: dict[str, Any]) -> None:
    other = run_apart("assess", GOLDEN, "--json", stdout=subprocess.PIPE, env={"PYTHONHASHSEED": "4"})
    assert json.loads(other.stdout) == contract
    assert list(json.loads(other.stdout)["figures"]) == list(contract["figures"])


def test_explain_shows_the_working_as_a_tree(run: Run) -> None:
    ended = run("explain", "car.yaml", "mass.kerb")
    assert ended.code == 0
    assert ended.out.splitlines()[0].startswith("Kerb mass: ready to drive, without driver: ")
    assert "      from: measured; donor.mass_kerb; weighbridge" in ended.out
    assert "from: datasheet, " in ended.out


# Parts.


def test_parts_are_listed_and_shown(run: Run) -> None:
    every, modules = run("parts", "list"), run("parts", "list", "module")
    assert (every.code, modules.code) == (0, 0)
    assert set(modules.out.splitlines()) < set(every.out.splitlines())
    assert all(line.startswith("module/") for line in modules.out.splitlines())
    for line in every.out.splitlines()[::9]:
        shown = run("parts", "show", line.split()[0])
        assert shown.code == 0
        assert shown.out.startswith(f"{line.split()[0]}: ")


SHEET = """\
field,value
id,fuse/own-100a
title,"Own fuse, 100 A"
source,own-datasheet
"""


def test_a_datasheet_is_imported_or_said_to_be_incomplete(run: Run) -> None:
    from voltwright.parts.shelf import catalogue

    Path("less.csv").write_text(SHEET, encoding="utf-8")
    less = run("parts", "import", "less.csv")
    assert less.code == 2
    assert "is missing from the datasheet" in less.err
    assert "Not stored" in less.err
    assert not Path("parts").exists()
    raw = dict(catalogue()._raw["fuse/250v-250a"])
    fields = {
        key: value
        for key, value in raw.items()
        if isinstance(value, str) and key not in ("id", "title", "source", "grade", "kind")
    }
    Path("whole.csv").write_text(
        SHEET + "".join(f'{key},"{value}"\n' for key, value in fields.items()), encoding="utf-8"
    )
    whole = run("parts", "import", "whole.csv")
    assert whole.code == 0, whole.err
    assert "Stored fuse/own-100a in parts/fuse--own-100a.json" in whole.out
    assert run("parts", "show", "fuse/own-100a", "--build", "car.yaml").code == 0
    again = run("parts", "import", "whole.csv")
    assert again.code == 2
    assert again.err.startswith("VW501: ")
    assert run("parts", "import", "whole.csv", "--overwrite").code == 0


def test_every_error_has_a_code_of_its_own() -> None:
    assert len({error.code for error in ALL}) == len(ALL)
    assert all(re.fullmatch(r"VW\d{3}", error.code) for error in ALL)


def test_the_data_beside_the_paper_do_not_depend_on_its_units(tmp_path: Path) -> None:
    for units in ("metric", "uk"):
        with pytest.raises(SystemExit):
            cli.main(
                ["papers", str(ROOT / "examples" / "coupe.yaml"), "--out", str(tmp_path / units), "--units", units]
            )
    made = [(tmp_path / units / "dossier.json").read_text(encoding="utf-8") for units in ("metric", "uk")]
    assert made[0] == made[1]
