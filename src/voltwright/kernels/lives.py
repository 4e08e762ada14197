"""What the loop of a life is asked, and what it answers."""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np

from voltwright.kernels import life
from voltwright.kernels.journey import Driven
from voltwright.physics.ageing import KelvinMore, Kilometre, Year, parked_temperature, seasonal_temperature
from voltwright.quantity.formula import procedure
from voltwright.quantity.table import Curve
from voltwright.quantity.types import Fraction, Kelvin, Metre, MetrePerSecond, Number, Second
from voltwright.quantity.units import Unit

MODELS = {"schmalstieg-2014": life.SCHMALSTIEG, "naumann": life.NAUMANN, "wang-2011": life.WANG}
RASTER = 400  # steps of charge: 0.25 %
FINER = 10  # steps within each, for the integral of the square of voltage
YEARS = life.YEARS
LONGEST = life.LONGEST


@dataclass(frozen=True, eq=False)
class Months:
    """Temperature of the parked cells in each month, January first. [K]"""

    kelvin: tuple[Any, ...]

    def __str__(self) -> str:
        middle = [float(np.mean(each)) - 273.15 for each in self.kelvin]
        return f"twelve months from {min(middle):.0f} to {max(middle):.0f} °C"


@dataclass(frozen=True, eq=False)
class Lived:
    """What became of one pack (floats, and rows of years) or many (arrays, and rows of arrays).

    `to_end`, `to_needed`: until 80 % of rated capacity are left, and until the capacity that was asked for [s, nan where that
    takes more than LONGEST years]. By year, from now on: `capacity` as a share of rated, `stood` what standing has taken of it
    since it was new, `resistance` as a multiple of new.
    """

    to_end: Any
    to_needed: Any
    capacity: Any
    stood: Any
    resistance: Any

    def __str__(self) -> str:
        if np.ndim(self.to_end):
            return f"{len(self.to_end)} packs over their years"
        return f"{self.capacity[10]:.1%} of rated capacity after ten years"


@functools.lru_cache(64)
def rasters(table: Curve) -> tuple[Any, Any]:
    """Voltage over charge, and the integral of its square from empty on. [V, V²]"""
    x, y = table.arrays
    fine = np.linspace(0.0, 1.0, RASTER * FINER + 1)
    squares = np.interp(fine, x, y) ** 2
    below = np.concatenate(([0.0], np.cumsum((squares[1:] + squares[:-1]) / (2.0 * RASTER * FINER))))
    volts: Any = np.interp(np.linspace(0.0, 1.0, RASTER + 1), x, y)
    return volts, np.ascontiguousarray(below[::FINER])


SPRING = 0.30  # of the year: when the air of temperate places passes its mean on the way up, late in April


@procedure(
    symbol="",
    words="a sine through the year about the mean, which the air passes late in April; as much warmer as the place makes the cells, "
    "and no colder than it keeps them",
)
def months_of_season(
    mean: Kelvin, swing: KelvinMore, warmer: KelvinMore, least: Kelvin
) -> Annotated[Months, Unit("1")]:
    """Parked cells through a year of which only mean and swing are known. [K]"""
    air = [seasonal_temperature(mean=mean, swing=swing, part=(at + 0.5) / 12.0 - SPRING) for at in range(12)]
    return Months(tuple(parked_temperature(air=each, warmer=warmer, least=least) for each in air))


@procedure(
    symbol="",
    words="the mean of each month; as much warmer as the place makes the cells, and no colder than it keeps them",
)
def months_entered(
    january: Kelvin, february: Kelvin, march: Kelvin, april: Kelvin, may: Kelvin, june: Kelvin, july: Kelvin,
    august: Kelvin, september: Kelvin, october: Kelvin, november: Kelvin, december: Kelvin, warmer: KelvinMore, least: Kelvin,
) -> Annotated[Months, Unit("1")]:  # fmt: skip
    """Parked cells through a year whose months are known. [K]"""
    air = (january, february, march, april, may, june, july, august, september, october, november, december)
    return Months(tuple(parked_temperature(air=each, warmer=warmer, least=least) for each in air))


@procedure(symbol="T_y", words="the mean of the twelve months")
def mean_of_months(months: Months) -> Kelvin:
    """Mean of the year. [K]"""
    return sum(months.kelvin) / len(months.kelvin)


@procedure(
    symbol="L_a",
    words="month by month, laws going on from the present state, cycles of the week counted by rainflow and found anew each year; "
    "described in docs/theory/ageing.md",
    valid="loss by standing and by cycling add up; at most 60 years",
)
def lived(
    model: str, table: Curve, months: Months, way_full: Kilometre, speed: MetrePerSecond, again: Fraction, trip: Metre,
    charges: Number, limit: Fraction, empty: Fraction, parked: Fraction, laid_up: Fraction, rest: Number, warm: Second,
    rise: Annotated[float, Unit("K")], rate: Number, health: Fraction, past: Fraction, growth: Number, standing: Number,
    cycling: Number, needed: Fraction,
) -> Annotated[Lived, Unit("1")]:  # fmt: skip
    """Years of life of one pack, or of many where some inputs are arrays.

    `way_full`: distance on the whole rated capacity; `speed`: yearly distance by time; `again`: what regeneration passes through
    once more; `trip`: length of one; `charges`: in a week, up to `limit`, never below `empty`; `parked`, `laid_up`: charge at which
    the car stands; `rest`: months laid up; `warm`: how long a trip keeps the cells warmer by `rise`; `rate`: C-rate; `past`: what of
    the loss so far is by standing; `standing`, `cycling`: multiples of what the laws give; `needed`: a capacity that is asked for.
    """
    rows: tuple[Any, ...] = (
        way_full, speed, again, trip, charges, limit, empty, parked, laid_up, rest, warm, rise, rate, health, past,
        growth, standing, cycling, needed, *months.kelvin,
    )  # fmt: skip
    single = not any(np.ndim(each) for each in rows)
    numbers = np.ascontiguousarray(
        np.broadcast_arrays(*(np.atleast_1d(np.asarray(each, dtype=float)) for each in rows))
    )
    out = _live(model, table, numbers)
    times = out[:2]
    years = [out[first : first + YEARS + 1] for first in (life.CAPACITY, life.STOOD, life.RESISTANCE)]
    if single:
        return Lived(float(times[0, 0]), float(times[1, 0]), *(each[:, 0] for each in years))
    return Lived(times[0], times[1], *years)


def _live(model: str, table: Curve, numbers: Any) -> Any:
    """Results of `life.live`, a column for each pack; nan for times that do not come, and for packs with a number that is none.

    The loop is compiled as if there were no nan, and would read its rasters anywhere: such a pack, of a sample that cannot do its
    trip, lives the life of another and is struck out.
    """
    out = np.full((life.RESULTS, numbers.shape[1]), np.nan)
    bad = ~np.isfinite(numbers).all(axis=0)
    if bad.all():
        return out
    numbers[:, bad] = numbers[:, [int(np.argmin(bad))]]
    life.live(MODELS[model], *rasters(table), numbers, out)
    out[:2] = np.where(out[:2] < 0.0, np.nan, out[:2])
    out[:, bad] = np.nan
    return out


@procedure(symbol="v̄", words="the way of the drive over its time")
def mean_speed_of(driven: Driven) -> MetrePerSecond:
    """Mean speed of a drive, stops included. [m/s]"""
    return driven.way / driven.time


@procedure(symbol="t_80", words="when 80 % of the rated capacity are left, straight within the month")
def years_to_end(lived: Lived) -> Year:
    """Time until 80 % of the rated capacity are left; nan beyond 60 years. [s]"""
    return lived.to_end


@procedure(symbol="t_n", words="when that capacity is left, straight within the month")
def years_to_needed(lived: Lived) -> Year:
    """Time until the capacity that was asked for is left; nan beyond 60 years. [s]"""
    return lived.to_needed


@procedure(symbol="h_a", words="what is left after so many years")
def capacity_after(lived: Lived, years: Number) -> Fraction:
    """Capacity as a share of rated after whole years. [1]"""
    return lived.capacity[int(years)]


@procedure(symbol="g", words="resistance after so many years")
def resistance_after(lived: Lived, years: Number) -> Number:
    """Resistance as a multiple of new after whole years. [1]"""
    return lived.resistance[int(years)]


@procedure(symbol="y_c", words="loss by standing over loss by standing and cycling, from now until then")
def standing_share(lived: Lived, years: Number) -> Number:
    """What of the coming loss is by standing. [1]"""
    at = int(years)
    stood: Any = lived.stood[at] - lived.stood[0]
    whole: Any = lived.capacity[0] - lived.capacity[at]
    return stood / np.maximum(whole, 1e-12)
