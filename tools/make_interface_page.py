"""Writes the table of addresses in docs/reference/interface.md from the interface; `--check` only says whether it is up to date."""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from voltwright.records.records import Records
from voltwright.services import day
from voltwright.services.workshop import Workshop
from voltwright.web.app import make_app
from voltwright.web.doors import Doors
from voltwright.web.entrance import Entrance
from voltwright.web.journal import Journal

PAGE = Path(__file__).parents[1] / "docs" / "reference" / "interface.md"
BEGIN, END = "<!-- made by tools/make_interface_page.py -->", "<!-- end of addresses -->"
TITLES = {
    "cars": "Cars, files, examples",
    "builds": "Builds, edits, revisions",
    "figures": "Figures, findings, comparisons",
    "parts": "Parts",
    "jobs": "Papers, tables, jobs",
    "office": "Signing in, people, settings, backups",
}


def page() -> str:
    """The page with the addresses as they are now."""
    text = PAGE.read_text(encoding="utf-8")
    head, rest = text.split(BEGIN)
    return f"{head}{BEGIN}\n{''.join(_tables())}\n{END}{rest.split(END)[1]}"


def _tables() -> Iterator[str]:
    with tempfile.TemporaryDirectory() as folder, Workshop(Records.open(Path(folder))) as shop:
        entrance = Entrance(shop.door, Doors(0), Journal(None, day.now), time.monotonic)
        paths = make_app(shop, entrance).openapi()["paths"]
    for tag, title in TITLES.items():
        yield f"\n### {title}\n\n| address | what |\n| --- | --- |\n"
        for path, methods in paths.items():
            for method, known in methods.items():
                if known["tags"] == [tag]:
                    asked = [each["name"] for each in known.get("parameters", []) if each["in"] == "query"]
                    more = f"?{'&'.join(asked)}" if asked else ""
                    yield f"| `{method.upper()} {path}{more}` | {' '.join(known['description'].split())} |\n"


def main() -> int:
    made = page()
    if "--check" in sys.argv:
        return int(made != PAGE.read_text(encoding="utf-8"))
    PAGE.write_text(made, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
