"""Copper cables of the low-voltage side: resistance of a metre, and the current that one bears continuously; a table of a standard."""

from __future__ import annotations

import functools
import json
from dataclasses import dataclass
from importlib.resources import files
from typing import Any

from voltwright.quantity.source import Source


@dataclass(frozen=True)
class LowVoltageCable:
    """A size of cable: cross-section [m²], resistance of a metre at 20 °C [Ω/m], and what it bears at 30 and at 50 °C [A]."""

    area: float
    ohm_per_metre: float
    ampere_30: float
    ampere_50: float


@functools.cache
def _table() -> dict[str, Any]:
    text = files("voltwright.parts").joinpath("standards").joinpath("cables.json").read_text(encoding="utf-8")
    return json.loads(text)["low_voltage"]


@functools.cache
def low_voltage_cables() -> tuple[LowVoltageCable, ...]:
    """Every size, the thinnest first."""
    return tuple(LowVoltageCable(row[0] * 1e-6, row[1] * 1e-3, row[2], row[3]) for row in _table()["rows"])


def cable_source() -> Source:
    """Where the sizes come from."""
    return Source(_table()["source"], _table()["place"])


def cable_of(area: float) -> LowVoltageCable:
    """A cable of any cross-section [m²], from the listed size below it (the thinnest where there is none).

    Its resistance follows from the area; of the currents it gets those of the listed size, and no more in proportion than
    the area where it is thinner than the thinnest.
    """
    listed = [each for each in low_voltage_cables() if each.area <= area * (1 + 1e-9)]
    known = listed[-1] if listed else low_voltage_cables()[0]
    less = min(1.0, area / known.area)
    return LowVoltageCable(
        area, known.ohm_per_metre * known.area / area, known.ampere_30 * less, known.ampere_50 * less
    )


def cable_for(current: float) -> LowVoltageCable | None:
    """The thinnest size that bears a current [A] continuously in air of 50 °C, or None where none does."""
    return next((each for each in low_voltage_cables() if each.ampere_50 >= current), None)
