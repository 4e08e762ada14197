"""Make the cells of the shipped catalogue from published parameter sets.

    python tools/make_cells.py [SLUG ...]            write the files, all or those named
    python tools/make_cells.py [SLUG ...] --check    compare with the files on disk; fail on a difference

A few minutes on two cores. Numbers agree between machines to the tolerances below, not to the last digit.
"""

import argparse
import json
import sys
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from cells.published_set import Array, PublishedSet
from cells.recipes import COLD_ENERGY, RECIPES, Recipe
from cells.tables import CELSIUS, CHARGES, Tables, arrhenius, check_physical, measure, ordered, voltage_table

ROOT = Path(__file__).resolve().parents[1] / "src" / "voltwright"
CELLS = ROOT / "parts" / "catalogue" / "cells"
REFERENCES = ROOT / "quantity" / "references.json"

TOLERANCE = {"volt": (0.0005, 0.0), "milliohm": (0.0, 0.01)}
"""What --check allows between a number made now and one on disk: absolute, and as a fraction."""
AT_25 = CELSIUS.index(25)
AT_HALF = CHARGES.index(50)


@cache
def published_set(name: str, full: float | None, empty: float | None) -> PublishedSet:
    return PublishedSet(name, full, empty)


@cache
def pulses(name: str, full: float | None, empty: float | None, celsius: tuple[float, ...]) -> Tables:
    return measure(published_set(name, full, empty), celsius)


def resistance(recipe: Recipe) -> Tables:
    """Of the set as published, over charge and temperature. [Ω]"""
    which = (recipe.set_name, recipe.full, recipe.empty)
    if recipe.colder == "set":
        return pulses(*which, CELSIUS)
    at_25 = pulses(*which, (25,))
    if recipe.colder == "arrhenius":
        return {kind: table * arrhenius(COLD_ENERGY) for kind, table in at_25.items()}
    cell = published_set(*which)
    other = pulses(recipe.colder, cell.full, cell.empty, CELSIUS)
    # One ratio for all charges: near the ends the two sets disagree about charge, not about temperature.
    ratio = {kind: np.mean(table / table[:, [AT_25]], axis=0) for kind, table in other.items()}
    return {kind: table * ratio[kind] for kind, table in at_25.items()}


def to_level(recipe: Recipe, tables: Tables) -> Tables:
    """The set's shape at the typical level, where the recipe gives one. [Ω]"""
    if recipe.level is None:
        return tables
    shapes = {kind: tables[recipe.shape.get(kind, kind)] for kind in tables}
    return {kind: shape * recipe.level[kind] / 1000 / shape[AT_HALF, AT_25] for kind, shape in shapes.items()}


def four_digits(value: float) -> float:
    return float(f"{value:.4g}")


def resistance_table(table: Array) -> dict[str, Any]:
    rows = [[four_digits(1000 * ohm) for ohm in row] for row in table]
    return {"charge_percent": list(CHARGES), "celsius": list(CELSIUS), "milliohm": rows}


def make(recipe: Recipe) -> dict[str, Any]:
    """One cell as it stands in its file."""
    cell = published_set(recipe.set_name, recipe.full, recipe.empty)
    scale = 1.0 if recipe.capacity is None else recipe.capacity / cell.capacity
    scaled = {kind: table / scale for kind, table in resistance(recipe).items()}
    tables = ordered(to_level(recipe, scaled))
    check_physical(recipe.slug, tables)
    capacity = f"{recipe.capacity or four_digits(cell.capacity):g}"
    made: dict[str, Any] = {"id": f"cell/{recipe.slug}"}
    for name, value in recipe.plain.items():
        if name == "voltage_nominal":
            made["capacity"] = f"{capacity} Ah"
        made[name] = value
        if name == "voltage_nominal":
            made |= {"voltage_full": f"{cell.full:g} V", "voltage_empty": f"{cell.empty:g} V"}
    made["open_circuit_voltage"] = voltage_table(cell.open_circuit_voltage)
    return made | {f"resistance_{kind}": resistance_table(table) for kind, table in tables.items()}


def as_text(cell: dict[str, Any]) -> str:
    """JSON that a person can read: one key a line, one row of a table a line."""

    def block(value: dict[str, Any], pad: str) -> str:
        lines = (f"{pad}  {json.dumps(key)}: {item(key, inner, pad + '  ')}" for key, inner in value.items())
        return "{\n" + ",\n".join(lines) + f"\n{pad}}}"

    def item(key: str, value: Any, pad: str) -> str:
        if isinstance(value, dict) and "source" not in value:
            return block(value, pad)
        if key == "milliohm":
            return "[\n" + ",\n".join(f"{pad}  {json.dumps(row)}" for row in value) + f"\n{pad}]"
        return json.dumps(value, ensure_ascii=False)

    return block(cell, "") + "\n"


def close(made: Any, stored: Any, absolute: float, relative: float) -> bool:
    return np.shape(made) == np.shape(stored) and np.allclose(made, stored, atol=absolute, rtol=relative)


def differences(made: Any, stored: Any, where: str = "") -> list[str]:
    """Every place where two cells differ by more than the tolerance."""
    if isinstance(made, dict) and isinstance(stored, dict):
        keys = [*made, *(key for key in stored if key not in made)]
        return [line for key in keys for line in differences(made.get(key), stored.get(key), f"{where}/{key}")]
    name = where.rpartition("/")[2]
    agree = close(made, stored, *TOLERANCE[name]) if name in TOLERANCE else made == stored
    return [] if agree else [f"{where}: {made!r} made, {stored!r} on disk"]


def unknown_sources(cell: dict[str, Any]) -> list[str]:
    """Sources that the list of references does not hold."""
    known = json.loads(REFERENCES.read_text(encoding="utf-8"))
    used = {cell["source"], *(field["source"] for field in cell["fields"].values())}
    return [f"{key}: not in {REFERENCES.name}" for key in sorted(used - known.keys())]


def main() -> int:
    parser = argparse.ArgumentParser(description="Make the cells of the catalogue from published parameter sets.")
    parser.add_argument("slug", nargs="*", help="cells to make; all when none is named")
    parser.add_argument("--check", action="store_true", help="compare with the files on disk and write nothing")
    options = parser.parse_args()
    unknown = set(options.slug) - {recipe.slug for recipe in RECIPES}
    if unknown:
        parser.error(f"no such cell: {', '.join(sorted(unknown))}")
    faults = 0
    for recipe in RECIPES:
        if options.slug and recipe.slug not in options.slug:
            continue
        print(recipe.slug, flush=True)
        cell, path = make(recipe), CELLS / f"{recipe.slug}.json"
        found = unknown_sources(cell)
        if options.check:
            stored = json.loads(path.read_text(encoding="utf-8")) if path.exists() else None
            found += differences(cell, stored, path.name)
        else:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(as_text(cell), encoding="utf-8")
        for line in found:
            print(f"  {line}")
        faults += len(found)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
