"""What the wires between a charging point and a car tell each other: control pilot, proximity, and the power that follows.

The pilot is a square wave of 1 kHz, ±12 V behind 1 kΩ. Its duty says how much current the car may draw; the car answers
with a resistance behind a diode, which pulls the upper half of the wave down.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from voltwright.quantity.formula import formula, procedure
from voltwright.quantity.source import Source
from voltwright.quantity.types import Ampere, Fraction, Number, Ohm, Volt, Watt

PILOT_SOURCE = 12.0  # V
PILOT_SERIES = 1000.0  # Ω
DIODE = 0.7  # V, usual for silicon

# The rule changes slope at 85 %, and jumps there from 51.0 A to 52.5 A.
_MOST_OF_LOW_RANGE = 0.6 * 85.0  # A
_LEAST_OF_HIGH_RANGE = 2.5 * (85.0 - 64.0)  # A


@procedure(
    symbol="I",
    words="8 to 10 %: 6 A; to 85 %: 0.6 A for each percent; to 96 %: 2.5 A for each percent above 64 %; to 97 %: 80 A; else none",
    source=Source("iec-61851-1", "annex A"),
    valid="a duty near 5 % asks for digital communication, and then this wire alone allows no current",
)
def pilot_current(duty: Fraction) -> Ampere:
    """The most that the car may draw from each phase, as the duty of the control pilot says. [A]"""
    percent: Any = np.round(np.asarray(duty, dtype=float) * 100.0, 9)
    ranges = [percent < 8.0, percent < 10.0, percent <= 85.0, percent <= 96.0, percent <= 97.0]
    allowed: Any = np.select(ranges, [0.0 * percent, 6.0, 0.6 * percent, 2.5 * (percent - 64.0), 80.0], 0.0)
    return allowed if np.ndim(duty) else float(allowed)


@procedure(
    symbol="d",
    words="up to 51 A: the current over 60 A; above 52.5 A: 64 % and 1 % for each 2.5 A; between the two 85 %, which allows 51 A",
    source=Source("iec-61851-1", "annex A, the other way round"),
    valid="6 to 80 A",
)
def pilot_duty(current: Ampere) -> Fraction:
    """The duty that a charging point shows for a current. [1]"""
    ampere: Any = np.clip(current, 6.0, 80.0)
    low, high = ampere / 60.0, 0.64 + ampere / 250.0
    duty: Any = np.where(ampere <= _MOST_OF_LOW_RANGE, low, np.where(ampere <= _LEAST_OF_HIGH_RANGE, 0.85, high))
    return duty if np.ndim(current) else float(duty)


@formula(symbol="R", equation="first * second / (first + second)", source=Source("iec-61851-1", "annex A"))
def in_parallel(first: Ohm, second: Ohm) -> Ohm:
    """Two resistors side by side: a car that is ready switches a second one to the first. [Ω]"""
    return first * second / (first + second)


@formula(
    symbol="U_p",
    equation="diode + (source - diode) * load / (series + load)",
    source=Source("iec-61851-1", "annex A, the circuit; a divider behind a diode"),
    valid="upper half of the wave, diode voltage taken as the same at every current",
)
def pilot_voltage(source: Volt, series: Ohm, diode: Volt, load: Ohm) -> Volt:
    """Voltage of the control pilot, by which the charging point knows what the car wants. [V]"""
    return diode + (source - diode) * load / (series + load)


@formula(symbol="P_ac", equation="phases * voltage * current", valid="power factor 1, all phases loaded alike")
def supply_power(phases: Number, voltage: Volt, current: Ampere) -> Watt:
    """Power that a charger draws; `voltage` is between a line and neutral (between the two lines of a split phase). [W]"""
    return phases * voltage * current
