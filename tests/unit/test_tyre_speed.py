"""The speed symbol against the top speed: UN R30 (as copied in parts/standards/tyres.json): R 170, S 180, T 190 km/h."""

from __future__ import annotations

from dataclasses import replace

import pytest

from helpers import dossier, keys
from voltwright.assess.figures import work_out
from voltwright.parts.tyres import symbol_for
from voltwright.rules.finding import Assessed, Finding
from voltwright.rules.tyres import tyre_speed

SLOW = {"donor.tyres.front": "165/80R14 85L", "donor.tyres.rear": "165/80R14 85L"}  # 120 km/h


def with_band(high: float | None) -> list[Finding]:
    """The findings of the plain coupé (S: 180 km/h) if its top speed had this upper end. [km/h]"""
    made = dossier()
    figure = replace(made.figures["road.top_speed"], high=high)
    sheet = work_out(made.case)
    return list(tyre_speed(Assessed(made.case, sheet, dict(made.figures) | {"road.top_speed": figure})))


def test_tyres_that_are_too_slow_are_said_and_the_remedy_helps() -> None:
    made = dossier(SLOW)
    for axle in ("front", "rear"):
        found = next(each for each in made.findings if each.key == f"tyres.speed_{axle}")
        assert found.severity == "caution"
        assert found.limit == "120 km/h"
        assert found.remedy is not None
        assert "Limit the road speed in the inverter to 120 km/h" in found.remedy
    letter = found.remedy.partition("speed symbol ")[2][0]
    mended = dossier({path: marking.replace("85L", f"85{letter}") for path, marking in SLOW.items()})
    assert not {each for each in keys(mended) if each.startswith("tyres.")}


def test_each_axle_is_judged_by_itself() -> None:
    found = keys(dossier({"donor.tyres.rear": "165/80R14 85L"}))
    assert "tyres.speed_rear" in found
    assert "tyres.speed_front" not in found


def test_the_upper_end_of_the_band_counts() -> None:
    assert with_band(None) == with_band(180.0) == []
    perhaps = with_band(181.0)
    assert [each.key for each in perhaps] == ["tyres.speed_front", "tyres.speed_rear"]
    assert perhaps[0].title.startswith("The car may be faster")
    assert perhaps[0].value == "181 km/h"
    assert "symbol T" in str(perhaps[0].remedy)


@pytest.mark.parametrize("marking", ["5.60-13", "165 R 14", "no marking at all"])
def test_without_a_symbol_the_speed_is_said_to_be_unknown(marking: str) -> None:
    made = dossier({"donor.tyres.front": marking, "donor.tyres.front_load_each": "500 kg"})
    found = next(each for each in made.findings if each.key == "tyres.speed_unknown")
    assert found.severity == "note"
    assert f"front '{marking}'" in found.detail
    assert "rear" not in found.detail
    assert "tyres.speed_unknown" not in keys(dossier())


def test_a_symbol_inside_the_size_counts() -> None:
    """As on tyres of the sixties: 165 HR 14."""
    changes = {"donor.tyres.front": "165 HR 14", "donor.tyres.front_load_each": "500 kg"}
    assert "tyres.speed_unknown" not in keys(dossier(changes))


def test_the_slowest_tyre_that_bears_a_speed() -> None:
    assert [symbol_for(kmh / 3.6) for kmh in (120.0, 120.1, 180.0, 205.0, 300.5)] == ["L", "M", "S", "H", None]
