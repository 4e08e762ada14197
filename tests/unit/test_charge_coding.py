"""Codings of a charging cable at the edges of their windows, and what is no cable."""

from __future__ import annotations

import pytest

from voltwright.parts.charge_coding import cable_codes, pilot_states, read_cable
from voltwright.quantity.errors import PartError
from voltwright.quantity.source import references


@pytest.mark.parametrize(("ohm", "ampere"), [(75, 63), (150, 32), (330, 20), (1000, 13), (2200, 13)])
def test_on_the_edge_the_smaller_current_holds(ohm: float, ampere: float) -> None:
    code = read_cable(ohm)
    assert code is not None
    assert code.ampere == ampere


@pytest.mark.parametrize("ohm", [2200.1, 1e6, float("inf")])
def test_no_cable(ohm: float) -> None:
    assert read_cable(ohm) is None


@pytest.mark.parametrize("ohm", [74.9, 0.0, -1.0, float("nan")])
def test_shorted_or_impossible(ohm: float) -> None:
    with pytest.raises(PartError) as refused:
        read_cable(ohm)
    assert "220 Ω" in refused.value.problems[0].allowed
    assert refused.value.problems[0].mend


def test_tables_have_a_source() -> None:
    assert {code.source.key for code in cable_codes()} <= set(references())
    assert [state.state for state in pilot_states()] == list("ABCDEF")
