"""Makes src/voltwright/quantity/units.json: what pint says of each unit that people may type.

Run after a change of the units that are allowed: python tools/make_units.py
"""

from __future__ import annotations

import json
from pathlib import Path

from voltwright.quantity.units import asked_of_pint, pint_names

TABLE = Path(__file__).parents[1] / "src" / "voltwright" / "quantity" / "units.json"


def table() -> str:
    """One line a unit: factor, offset and dimension."""
    rows = (f"{json.dumps(name)}: {json.dumps(asked_of_pint(name))}" for name in pint_names())
    return "{\n" + ",\n".join(rows) + "\n}\n"


if __name__ == "__main__":
    TABLE.write_text(table(), encoding="utf-8")
    print(TABLE)
