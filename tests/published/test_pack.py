"""The pack of a whole build against common practice and by hand."""

from __future__ import annotations

from helpers import dossier

PRACTICE = "common practice, no source"


def test_five_modules_of_six_groups_of_seventy_four(published) -> None:
    """A salvaged module of 6 groups of 74 cells: 444 cells, 22.8 V, about 5.3 kWh and 25 kg; five make 114 V and 26.5 kWh."""
    figures = dossier({"pack.condition.health": "100 %", "pack.condition.resistance_growth": 1.0}, "van").figures
    expected = {
        "pack.cell_count": (5 * 444, 0.0),
        "pack.voltage_nominal": (114.0, 0.05),
        "pack.energy_gross": (26.5, 0.01 * 26.5),
        "pack.cells_series": (30, 0.0),
        "pack.cells_parallel": (74, 0.0),
    }
    for key, (value, width) in expected.items():
        published.check(
            source=PRACTICE,
            law="pack of a build",
            asked=key,
            expected=value,
            got=figures[key].value or 0.0,
            absolute=width,
            why="the trade says 'about 120 V' and 'about 5.3 kWh'",
            keys=(key,),
        )
