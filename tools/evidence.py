"""Writes docs/reference/evidence.md: runs the published checks and lists source, question, expected, got, tolerance and why."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from itertools import groupby
from pathlib import Path
from typing import Any

from voltwright.assess.keys import FAMILIES, KEYS

ROOT = Path(__file__).parents[1]
PAGE = ROOT / "docs" / "reference" / "evidence.md"


def recorded() -> list[dict[str, Any]]:
    """Every published check, from a run of tests/published; a failing check ends the run."""
    with tempfile.TemporaryDirectory() as folder:
        record = Path(folder) / "rows.json"
        command = [
            sys.executable,
            "-m",
            "pytest",
            "-q",
            "-p",
            "no:cacheprovider",
            "-p",
            "no:xdist",
            str(ROOT / "tests" / "published"),
        ]
        done = subprocess.run(command, cwd=ROOT, env=os.environ | {"VOLTWRIGHT_EVIDENCE": str(record)}, check=False)  # noqa: S603
        if done.returncode:
            raise SystemExit(done.returncode)
        return json.loads(record.read_text(encoding="utf-8"))


def page(rows: list[dict[str, Any]]) -> str:
    """The page as text."""
    return "\n".join(_lines(rows)) + "\n"


def _lines(rows: list[dict[str, Any]]) -> Iterator[str]:
    pairs = {(row["source"], row["law"]) for row in rows}
    yield "# Evidence"
    yield ""
    yield "Made by `make evidence`; do not edit. Each row holds the project against something outside it."
    yield "*From memory* and *common practice, no source* are said where they hold."
    yield ""
    yield f"{len(pairs)} pairs of source and law, {len(rows)} comparisons."
    for law, group in groupby(
        sorted(rows, key=lambda row: (row["law"], row["source"], row["asked"])), key=lambda row: row["law"]
    ):
        yield ""
        yield f"## {law}"
        yield ""
        yield "| source | asked | expected | got | within | why |"
        yield "| --- | --- | ---: | ---: | --- | --- |"
        for row in group:
            cells = (
                row["source"],
                row["asked"],
                f"{row['expected']:.6g}",
                f"{row['got']:.6g}",
                row["tolerance"],
                row["why"],
            )
            yield "| " + " | ".join(str(cell).replace("|", "\\|") for cell in cells) + " |"
    yield from _coverage(rows)


def _coverage(rows: list[dict[str, Any]]) -> Iterator[str]:
    yield ""
    yield "## Figures and their checks"
    yield ""
    yield "| figure | checked by |"
    yield "| --- | --- |"
    for key in (*KEYS, *(f"{family}.{known.of}" for family, known in FAMILIES.items())):
        laws = sorted({row["law"] for row in rows if key in row["keys"]})
        yield f"| `{key}` | {', '.join(laws) or 'none'} |"


def main() -> None:
    rows = recorded()
    PAGE.write_text(page(rows), encoding="utf-8")
    pairs = {(row["source"], row["law"]) for row in rows}
    print(f"{PAGE.relative_to(ROOT)}: {len(pairs)} pairs of source and law, {len(rows)} comparisons")


if __name__ == "__main__":
    main()
