"""The pack of a whole build against common practice and by hand."""

from __future__ import annotations

from helpers import dossier

PRACTICE = "common practice, no source"


def test_five_modules_of_six_groups_of_seventy(published) -> None:
    """A salvaged module of 6 groups of 70 cells: 420 cells, 22.8 V, about 5 kWh; five make 114 V and 25 kWh."""
    figures = dossier({"pack.condition.health": "100 %", "pack.condition.resistance_growth": 1.0}, "van").figures
    expected = {
        "pack.cell_count": (5 * 420, 0.0),
        "pack.voltage_nominal": (114.0, 0.05),
        "pack.energy_gross": (25.0, 0.02 * 25.0),
        "pack.cells_series": (30, 0.0),
        "pack.cells_parallel": (70, 0.0),
    }
    for key, (value, width) in expected.items():
        published.check(
            source=PRACTICE,
            law="pack of a build",
            asked=key,
            expected=value,
            got=figures[key].value or 0.0,
            absolute=width,
            why="cells are counted; the trade says 'about 5 kWh' for such a module",
            keys=(key,),
        )
