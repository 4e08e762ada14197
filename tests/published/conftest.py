"""The record of published checks: what was asked, expected and got, from which source, and how far apart they may be."""

from __future__ import annotations

import json
import math
import os
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path

import pytest


@dataclass(frozen=True)
class Row:
    """One comparison with something outside the project."""

    source: str
    law: str
    keys: tuple[str, ...]
    asked: str
    expected: float
    got: float
    tolerance: str
    why: str


_ROWS: list[Row] = []


class Published:
    """Compares and remembers."""

    def check(
        self,
        *,
        source: str,
        law: str,
        asked: str,
        expected: float,
        got: float,
        why: str,
        rel: float = 0.0,
        absolute: float = 0.0,
        keys: tuple[str, ...] = (),
    ) -> None:
        """`got` must lie within rel or absolute of `expected`; `why` says why so far and no farther."""
        width = f"{rel:g} of it" if rel else f"{absolute:g}"
        _ROWS.append(Row(source, law, keys, asked, float(expected), float(got), width, why))
        assert math.isfinite(got), f"{law}: {asked}: got {got}"
        assert abs(got - expected) <= max(rel * abs(expected), absolute), (
            f"{law}: {asked}: expected {expected}, got {got} ({source})"
        )


@pytest.fixture
def published() -> Published:
    return Published()


@pytest.fixture(scope="session", autouse=True)
def keep_record() -> Iterator[None]:
    """Write the record where VOLTWRIGHT_EVIDENCE names a file; `make evidence` makes a page of it."""
    yield
    wanted = os.environ.get("VOLTWRIGHT_EVIDENCE")
    if wanted:
        Path(wanted).write_text(json.dumps([asdict(row) for row in _ROWS], ensure_ascii=False), encoding="utf-8")
