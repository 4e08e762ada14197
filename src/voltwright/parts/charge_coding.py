"""What the resistor in the plug of a charging cable says, and what the states of the control pilot mean: tables of a standard."""

from __future__ import annotations

import functools
import json
from dataclasses import dataclass
from importlib.resources import files
from typing import Any

from voltwright.quantity.errors import PartError, Problem
from voltwright.quantity.source import Source


@dataclass(frozen=True)
class CableCode:
    """A cable by its resistor: nominal and least to most [Ω], and what it carries with three phases and with one [A]."""

    ohm: float
    least: float
    most: float
    ampere: float
    ampere_single_phase: float
    source: Source

    def current(self, phases: int) -> float:
        """[A]"""
        return self.ampere_single_phase if phases == 1 else self.ampere


@dataclass(frozen=True)
class PilotState:
    """A state of the control pilot: nominal voltage [V], the car's resistance [Ω] where it has one, what it means."""

    state: str
    volt: float
    ohm: float | None
    meaning: str


@functools.cache
def _tables() -> dict[str, Any]:
    text = files("voltwright.parts").joinpath("standards").joinpath("charging.json").read_text(encoding="utf-8")
    return json.loads(text)


@functools.cache
def cable_codes() -> tuple[CableCode, ...]:
    """Every coding of a cable, from the lowest resistance to the highest."""
    table = _tables()["cable"]
    source = Source(table["source"], f"{table['place']}; {table['seen']}")
    return tuple(
        CableCode(code["ohm"], code["from_ohm"], code["to_ohm"], code["ampere"], code["ampere_single_phase"], source)
        for code in table["codes"]
    )


def read_cable(ohm: float) -> CableCode | None:
    """The coding of a measured resistance; None where no cable is plugged in.

    On the edge between two codings the smaller current holds. Raises PartError for a shorted or impossible resistor.
    """
    table = _tables()["cable"]
    if ohm > table["none_above_ohm"]:
        return None
    if not ohm >= table["shorted_below_ohm"]:
        allowed = ", ".join(f"{code.ohm:g} Ω" for code in cable_codes())
        what = f"a coding resistor of {ohm:g} Ω is shorted or wrong"
        raise PartError(Problem(what, allowed, "measure between proximity and earth in the plug, and change the cable"))
    return next(code for code in reversed(cable_codes()) if ohm >= code.least)


@functools.cache
def pilot_states() -> tuple[PilotState, ...]:
    """Every state of the control pilot."""
    return tuple(PilotState(**state) for state in _tables()["pilot"]["states"])
