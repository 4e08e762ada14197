"""Tables of a datasheet: a curve over one input, a grid over two."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import Any

import numpy as np


@dataclass(frozen=True)
class Curve:
    """y over ascending x, both in SI; between the rows it is taken as straight, outside as flat."""

    x: tuple[float, ...]
    y: tuple[float, ...]
    name: str = ""

    def __str__(self) -> str:
        return f"table of {len(self.x)} rows, {self.name}".rstrip(", ")

    @functools.cached_property
    def arrays(self) -> tuple[Any, Any]:
        return np.asarray(self.x, dtype=float), np.asarray(self.y, dtype=float)


@dataclass(frozen=True)
class Grid:
    """z over ascending x (rows) and y (columns), in SI; bilinear between, flat outside."""

    x: tuple[float, ...]
    y: tuple[float, ...]
    z: tuple[tuple[float, ...], ...]
    name: str = ""

    def __str__(self) -> str:
        return f"table of {len(self.x)} × {len(self.y)} values, {self.name}".rstrip(", ")

    @functools.cached_property
    def arrays(self) -> tuple[Any, Any, Any]:
        return np.asarray(self.x, dtype=float), np.asarray(self.y, dtype=float), np.asarray(self.z, dtype=float)
