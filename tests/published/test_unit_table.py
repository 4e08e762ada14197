"""The shipped table of units says what pint says, for every unit that people may type."""

from __future__ import annotations

import json
from importlib.resources import files

import pint
import pytest

from voltwright.quantity.units import asked_of_pint, pint_names

TABLE = json.loads(files("voltwright.quantity").joinpath("units.json").read_text(encoding="utf-8"))


def test_every_unit_is_in_the_table() -> None:
    assert sorted(TABLE) == pint_names(), "run tools/make_units.py"


@pytest.mark.parametrize("name", pint_names())
def test_a_unit_is_as_pint_knows_it(published, name: str) -> None:
    factor, offset, dimension = asked_of_pint(name)
    assert TABLE[name][2] == dimension
    for what, expected, got in (("factor", factor, TABLE[name][0]), ("offset", offset, TABLE[name][1])):
        published.check(
            source=f"pint {pint.__version__}",
            law="units",
            asked=f"{what} of {name}",
            expected=expected,
            got=got,
            rel=5e-16,
            why="the table was made from it; the order in which pint multiplies is not always the same, nor the last bit",
        )
