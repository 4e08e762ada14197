"""The glossary holds every word of the house, every figure and every symbol, with the right unit."""

import importlib
import pkgutil
import re
from fnmatch import fnmatchcase
from pathlib import Path

import pytest

import voltwright.kernels
import voltwright.physics
from voltwright.assess.keys import FAMILIES, KEYS
from voltwright.build.reader import load
from voltwright.quantity.formula import all_formulas
from voltwright.rules.dossier import assess

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "reference" / "glossary.md").read_text(encoding="utf-8")

# The words that the house has agreed on, and the words of the trade that a build file or a paper needs.
NEEDED = """
build, donor, brief, drive, pack, string, box, bay, duty, part, variant, figure, finding, stop, caution, note, dossier,
papers, bench, running record, BMS, MSD, HVIL, rescue sheet, DC-DC, precharge, kerb, laden, sprung mass, unsprung mass,
ride height, wheel rate, spring factor, group, module, cell, window, health, equivalent full cycle,
open-circuit voltage, 10 s resistance, continuous, peak, contactor, BMS channel, isolation, class B voltage,
coast-down, frontal area, band, provenance, grade, margin, clause, remedy, working, source, spread, assumed, measured,
entered, datasheet, centre of gravity, wheelbase, load index, payload, NOT FOR BUILDING
"""


def table(heading: str) -> list[list[str]]:
    """The rows of the table under a heading."""
    section = PAGE.split(f"\n## {heading}\n")[1].split("\n## ")[0]
    rows = [line for line in section.splitlines() if line.startswith("|")]
    return [[cell.strip() for cell in row.strip("|").split("|")] for row in rows[2:]]


WORDS = table("Words")
KNOWN = KEYS | {f"{family}.{known.of}": known for family, known in FAMILIES.items()}
SYMBOLS = {row[0] for row in table("Symbols of the workings")}


def every_law_is_loaded() -> None:
    for package in (voltwright.physics, voltwright.kernels):
        for module in pkgutil.iter_modules(package.__path__):
            importlib.import_module(f"{package.__name__}.{module.name}")


def words_of(row: list[str]) -> list[str]:
    return [word.strip() for word in row[0].split(",")]


def keys_of(row: list[str]) -> set[str]:
    patterns = re.findall(r"`([^`]+)`", row[4])
    return {key for key in KNOWN for pattern in patterns if fnmatchcase(key, pattern)}


def test_every_row_is_whole_and_in_its_place() -> None:
    assert [row for row in WORDS if len(row) != 5 or not row[0] or not row[3].endswith(".")] == []
    order = [row[0].casefold() for row in WORDS]
    assert order == sorted(set(order))


@pytest.mark.parametrize("word", [" ".join(word.split()) for word in NEEDED.split(",")])
def test_word_is_explained(word: str) -> None:
    assert word in {each for row in WORDS for each in words_of(row)}


@pytest.mark.parametrize("key", KNOWN)
def test_main_term_of_a_figure_is_explained(key: str) -> None:
    """A row claims the figure, and the figure's label really uses the word of that row."""
    claims = [row for row in WORDS if key in keys_of(row)]
    label = KNOWN[key].label.casefold()
    assert any(word.casefold() in label for row in claims for word in words_of(row)), (label, claims)


@pytest.mark.parametrize("row", [row for row in WORDS if row[4]], ids=lambda row: row[0])
def test_row_speaks_of_real_figures_in_their_unit(row: list[str]) -> None:
    patterns = re.findall(r"`([^`]+)`", row[4])
    assert [each for each in patterns if not any(fnmatchcase(key, each) for key in KNOWN)] == []
    units = {KNOWN[key].unit.replace("1", "") for key in keys_of(row)}
    assert units == {unit.strip() for unit in row[2].split(",")}


def test_symbol_of_every_law_is_explained() -> None:
    every_law_is_loaded()
    registered = {law.symbol for law in all_formulas() if law.function.__module__.startswith("voltwright.")}
    assert registered
    assert registered - {""} - SYMBOLS == set()


def test_symbol_of_every_value_of_a_working_is_explained() -> None:
    dossier = assess(load(ROOT / "examples" / "coupe.yaml"), with_bands=False)
    shown = {node.symbol for figure in dossier.figures.values() if figure.node for node in figure.node.walk()}
    assert shown - {""} - SYMBOLS == set()


def test_words_have_the_symbols_of_the_workings() -> None:
    """Symbols beside words are those of the second table, or of values that are only entered."""
    only_entered = {"A", "B", "C", "L", "f", "f_r", "c_d", "P"}
    beside = {symbol.strip() for row in WORDS for symbol in row[1].split(",")} - {""}
    assert beside - SYMBOLS - only_entered == set()


def test_no_symbol_is_left_over() -> None:
    """A symbol of the page that no law and no value of an example has any more."""
    every_law_is_loaded()
    builds = [load(ROOT / "examples" / f"{name}.yaml") for name in ("coupe", "van", "roadster")]
    figures = [figure for built in builds for figure in assess(built, with_bands=False).figures.values()]
    shown = {node.symbol for figure in figures if figure.node for node in figure.node.walk()}
    assert SYMBOLS - shown - {law.symbol for law in all_formulas()} == set()
