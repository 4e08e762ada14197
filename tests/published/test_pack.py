"""The pack of a whole build against common practice and by hand."""

from __future__ import annotations

from helpers import dossier
from voltwright.physics import cell

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


def test_strings_share_the_current_as_resistors_in_parallel(published) -> None:
    """1, 2 and 2 Ω in parallel on 3 V: 0.5 Ω together, and 3 A of the 6 A through the least of them."""
    source = "OpenStax University Physics, vol. 2, section 10.2, example of a parallel circuit; from memory"
    passes = [float(cell.string_conductance(growth=ohm)) for ohm in (1.0, 2.0, 2.0)]
    together = sum(passes)
    share = float(cell.largest_string_share(greatest=max(passes), conductances=together))
    # As many resistors of 1 Ω would have a third of an ohm: the growth counts in those.
    ohm = float(cell.growth_of_strings(strings=3.0, conductances=together)) / 3.0
    why = "exact in the book"
    published.check(
        source=source, law="largest_string_share", asked="share of the current through 1 Ω", expected=3.0 / 6.0, got=share,
        absolute=1e-12, why=why, keys=("pack.string_share",),
    )  # fmt: skip
    published.check(
        source=source, law="growth_of_strings", asked="1, 2 and 2 Ω in parallel, in Ω", expected=0.5, got=ohm,
        absolute=1e-12, why=why, keys=("pack.resistance",),
    )  # fmt: skip
