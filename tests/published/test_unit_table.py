"""The shipped table of units says what pint says, for every unit that people may type."""

from __future__ import annotations

import json
import re
from importlib.resources import files

import pint
import pytest

from voltwright.quantity.units import asked_of_pint, pint_names

TABLE = json.loads(files("voltwright.quantity").joinpath("units.json").read_text(encoding="utf-8"))


def test_every_unit_is_in_the_table() -> None:
    assert sorted(TABLE) == pint_names(), "run tools/make_units.py"


def powers(dimension: str) -> list[tuple[str, str]]:
    """What is multiplied and what divides, in one order: pint's own hangs on what it was asked before."""
    found: list[tuple[str, str]] = re.findall(r"(/?) ?(\[\w+\](?: \*\* [\d.]+)?|currency\w*|dimensionless)", dimension)
    assert found, dimension
    return sorted(found)


@pytest.mark.parametrize("name", pint_names())
def test_a_unit_is_as_pint_knows_it(published, name: str) -> None:
    factor, offset, dimension = asked_of_pint(name)
    assert powers(TABLE[name][2]) == powers(dimension)
    for what, expected, got in (("factor", factor, TABLE[name][0]), ("offset", offset, TABLE[name][1])):
        published.check(
            source=f"pint {pint.__version__}",
            law="units",
            asked=f"{what} of {name}",
            expected=expected,
            got=got,
            why="the table was made from it",
        )
