"""How a problem is told: a sentence where nothing stands before it, else behind the place."""

from __future__ import annotations

import pytest

from voltwright.quantity.errors import Problem


@pytest.mark.parametrize(
    ("problem", "told"),
    [
        (Problem("name or password is wrong", "a name"), "Name or password is wrong. Allowed: a name."),
        (Problem("öl fehlt"), "Öl fehlt."),
        (Problem("'x' is no role"), "'x' is no role."),
        (Problem("fuse/own is known already"), "fuse/own is known already."),
        (Problem("x.db is there"), "x.db is there."),
        (Problem("12s is there"), "12s is there."),
        (Problem("this is missing", path="donor.mass_kerb"), "donor.mass_kerb: this is missing."),
        (Problem("this is no backup", file="x.db", line=3, mend="name one"), "x.db:3: this is no backup. To mend it: name one."),
    ],
)  # fmt: skip
def test_a_sentence_begins_with_a_capital(problem: Problem, told: str) -> None:
    assert str(problem) == told
