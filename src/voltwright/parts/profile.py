"""What is known of the road below a trip: where it lies at which height, and what was done to it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Profile:
    """Heights over the way [m] on some even steps; empty without heights. `steepest` is a slope [1].

    `climb` and `climb_removed` [m] are None without heights; `remarks` say what was left out or taken instead.
    """

    file: str
    distance: tuple[float, ...]
    height: tuple[float, ...]
    climb: float | None
    climb_removed: float | None
    steepest: float
    has_times: bool
    round_trip: bool
    remarks: tuple[str, ...]
