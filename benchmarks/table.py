"""What a benchmark says, and how all of them are timed, printed and written."""

from __future__ import annotations

import json
import statistics
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any


@dataclass(frozen=True)
class Setting:
    """How often and how much; `small` is for a test of the benchmarks themselves."""

    repeats: int = 15
    cars: int = 10_000
    small: bool = False


SMALL = Setting(repeats=1, cars=64, small=True)


@dataclass(frozen=True)
class Row:
    """One comparison. `goal` is seconds that ours should stay below, or `"1000x"`: a ratio that it should reach."""

    name: str
    ours: float
    other: float | None = None
    goal: float | str | None = None
    note: str = ""

    @property
    def ratio(self) -> float | None:
        """How many times as long the other takes. [1]"""
        return None if self.other is None else self.other / self.ours

    @property
    def met(self) -> str:
        if self.goal is None:
            return ""
        if isinstance(self.goal, str):
            return "yes" if self.ratio is not None and self.ratio >= float(self.goal.rstrip("x")) else "no"
        return "yes" if self.ours <= self.goal else "no"

    def as_data(self) -> dict[str, Any]:
        return {"ours_s": self.ours, "other_s": self.other, "ratio": self.ratio, "goal": self.goal, "note": self.note}


def median(work: Callable[[], Any], repeats: int, *, warm: bool = True) -> float:
    """Median of several runs, after one that nobody times. [s]"""
    if warm:
        work()
    return statistics.median(_once(work) for _ in range(repeats))


def _once(work: Callable[[], Any]) -> float:
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def seconds(value: float | None) -> str:
    """Three digits, with the prefix that suits."""
    if value is None:
        return ""
    for size, unit in ((1.0, "s"), (1e-3, "ms"), (1e-6, "µs")):
        if value >= size:
            return f"{value / size:.3g} {unit}"
    return f"{value * 1e9:.3g} ns"


def line(row: Row) -> str:
    """One row of the table."""
    goal = row.goal if isinstance(row.goal, str) else seconds(row.goal)
    ratio = "" if row.ratio is None else f"{row.ratio:.3g}x"
    columns = f"{row.name:<26} {seconds(row.ours):>9} {seconds(row.other):>9} {ratio:>9} {goal:>9} {row.met:<4}"
    return f"{columns} {row.note}".rstrip()


HEADING = f"{'':<26} {'ours':>9} {'other':>9} {'ratio':>9} {'goal':>9} {'met':<4} note"


def write(rows: Iterable[Row], file: Path) -> None:
    """Rows by name, as JSON."""
    file.write_text(json.dumps({row.name: row.as_data() for row in rows}, ensure_ascii=False, indent=1) + "\n", "utf-8")
