"""Writes docs/reference/use-cases.md: every use case, what it does, and which role may. `--check` only compares."""

from __future__ import annotations

import inspect
import sys
from functools import cached_property
from pathlib import Path
from typing import get_type_hints

from voltwright.quantity.errors import ALL
from voltwright.services.actor import MAY
from voltwright.services.workshop import Workshop

PAGE = Path(__file__).parents[1] / "docs" / "reference" / "use-cases.md"
HEAD = """\
# Roles and use cases

Whatever a page, the interface for programs or a command does with the records of a workshop is one of these use cases. Each takes
first who acts, and looks itself whether that role may; who may not is told so (`VW701`), and nothing is done. What they do is in
[records](records.md); codes of errors are in [errors](errors.md).

| role | who | may |
| --- | --- | --- |
| viewer | a customer's engineer, an apprentice | look at everything, compare, print papers; change nothing |
| technician | who surveys, designs and builds | also edit builds, save revisions, take remedies, put own parts and files into the records |
| owner | who answers for the workshop | also people, settings and backups; sees and stops the jobs of all |

Where nobody signs in, because only this computer can reach the pages, whoever sits there acts as owner and signs as *this computer*.

**What every use case keeps to**

- An edit names the number of the edit that the person saw (`since`). If somebody saved in the meantime, it is refused (`VW606`) with
  both differences, and what was sent is kept among the refused edits. Nothing is saved that the reader of build files refuses.
- What was worked out once is not worked out again for anybody, as long as build, parts, files, version, units and day are the same.
  Two who ask the same at once wait for one computation. Pages show points at once, and bands and remedies when they are ready.
- Papers and trying parts are jobs: they tell how far they are, can be stopped between two pieces, and go on when the page is closed.
  Whoever began a job finds it again for twelve hours. Who has few jobs is served before who has many. An error that nobody expected
  becomes a reference number; the details are in the log.
- Files of a car are taken by type (photographs, PDF, tables, routes, logs, scans) and size; what a file holds must be what its
  ending says. Nothing is taken that a browser would run. A name is a label and never a path.
- Nothing in a table for a spreadsheet acts there: what would be a formula gets an apostrophe before it.

This page is made by `tools/make_use_cases_page.py` from the code.
"""
HEADS = "| use case | what it does | viewer | technician | owner |\n| --- | --- | --- | --- | --- |"


def page() -> str:
    """The page as it should be."""
    return "\n".join([HEAD, *(line for room in rooms() for line in _section(room)), ""])


def rooms() -> dict[str, type]:
    """The rooms of the workshop by name."""
    made = {name: each for name, each in vars(Workshop).items() if isinstance(each, cached_property)}
    return {name: get_type_hints(each.func)["return"] for name, each in made.items()}


def _section(room: str) -> list[str]:
    made = rooms()[room]
    rows = [_row(f"{room}.{name}", work) for name, work in vars(made).items() if f"{room}.{name}" in MAY["owner"]]
    return [f"## {room}", "", _said(made), "", HEADS, *rows, ""]


def _row(name: str, work: object) -> str:
    roles = " | ".join("yes" if name in MAY[role] else "no" for role in ("viewer", "technician", "owner"))
    return f"| `{name}` | {_said(work).replace('|', '/')} | {roles} |"


def _said(what: object) -> str:
    """The docstring in one line; errors by their codes."""
    said = " ".join((inspect.getdoc(what) or "").split())
    for error in ALL:
        said = said.replace(error.__name__, f"`{error.code}`")
    return said


def main() -> int:
    """Write the page, or only check it."""
    if "--check" not in sys.argv[1:]:
        PAGE.write_text(page(), encoding="utf-8")
    elif not PAGE.exists() or PAGE.read_text(encoding="utf-8") != page():
        print("run tools/make_use_cases_page.py: use-cases.md")
        return 1
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
