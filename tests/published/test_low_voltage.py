"""The low-voltage side: standing drain, batteries at a current, loads, and the lamps of UN R37."""

from __future__ import annotations

import pytest

from voltwright.assess.low_voltage import HABITS, RATED_HOURS
from voltwright.assess.low_voltage_loads import USUAL_LOADS
from voltwright.physics import low_voltage as law

DAY, HOUR = 86400.0, 3600.0
DAYS = ("wiring.standing_days", "wiring.standing_days_half")

# A maker of AGM batteries prints the days of an 18 mA drain from full; capacities (20 h) from memory, and 2 days for rounding.
DRAIN_TABLE = "parasitic loads, table II of a maker of AGM batteries (read); 16 Ah and 42 Ah from memory"


@pytest.mark.parametrize(("capacity", "end", "days"), [(16, 0.0, 37), (16, 0.3, 26), (42, 0.0, 97), (42, 0.3, 68)])
def test_days_of_a_standing_drain(published, capacity: float, end: float, days: float) -> None:
    got = law.standing_time(capacity=capacity * HOUR, start=1.0, end=end, current=0.018, loss=0.0)
    published.check(
        source=DRAIN_TABLE, law="standing_time", asked=f"{capacity} Ah at 18 mA from full to {end:.0%} [d]", expected=days,
        got=got / DAY, absolute=0.6, why="whole days are printed", keys=DAYS,
    )  # fmt: skip


def test_a_converter_that_was_left_connected(published) -> None:
    """An owner's page: the outputs of two DC-DCs take 400 mA when off; a relay keeps them from a 22 Ah AGM battery."""
    got = law.standing_time(capacity=22 * HOUR, start=1.0, end=0.0, current=0.4, loss=0.0)
    published.check(
        source="the page of an owner on the 12 V side of his converted car, 2016 (read)", law="standing_time",
        asked="22 Ah at 400 mA [d]", expected=2.0, got=got / DAY, absolute=0.5, why="'in 2 days'", keys=DAYS,
    )  # fmt: skip


def test_time_at_a_current(published) -> None:
    """100 A^k h with k = 1.2 is 100 Ah at 1 A, in 100 hours; at 5 A it lasts 14.5 h."""
    got = law.battery_time(usable=1.0, hours=100 * HOUR, capacity=100 * HOUR, current=5.0, exponent=1.2)
    published.check(
        source="electrotechnik.net, Peukert's law and discharge of lead acid batteries, 2010 (read)", law="battery_time",
        asked="Peukert capacity 100, exponent 1.2, 5 A [h]", expected=14.5, got=got / HOUR, absolute=0.05,
        why="printed to 0.1 h", keys=("wiring.battery_time",),
    )  # fmt: skip


@pytest.mark.parametrize("reserve_minutes", [90, 120])
def test_reserve_capacity(published, reserve_minutes: float) -> None:
    """The rule: capacity in Ah is 0.6 of the minutes for which it gives 25 A. With the middle of our exponents."""
    middle = sum(HABITS["lead-flooded"].exponent) / 2
    capacity = 0.6 * reserve_minutes * HOUR
    got = law.battery_time(usable=1.0, hours=RATED_HOURS, capacity=capacity, current=25.0, exponent=middle)
    published.check(
        source="a car maker's service bulletin on standing drain, in a copy (read)", law="battery_time",
        asked=f"{0.6 * reserve_minutes:.0f} Ah (20 h) at 25 A [min]", expected=reserve_minutes, got=got / 60,
        rel=0.15, why="a rule of thumb for many batteries against the middle of a range of exponents", keys=("wiring.battery_time",),
    )  # fmt: skip


def test_current_of_a_load(published) -> None:
    got = law.load_current(power=500.0, voltage=13.8)
    published.check(
        source="a magazine on planning a charging system: 500 W at 13.8 V is 36.2 A (read)", law="load_current",
        asked="500 W at 13.8 V [A]", expected=36.2, got=got, absolute=0.05, why="printed to 0.1 A",
        keys=("wiring.dcdc_current", "wiring.standing_current"),
    )  # fmt: skip


def usual(name: str) -> tuple[float, float]:
    """The range of an assumed load, in W."""
    return next(each.watts for each in USUAL_LOADS if each.name.startswith(name))


# Rated at 12 V, and the most at the test voltage of 13.5 V: 21 W is at most 26.5 W there, 5 W at most 6.6 W (P21/5W, read).
MOST = 26.5 / 21.0


@pytest.mark.parametrize(("name", "rated"), [("Head lamps", 110.0), ("Brake lamps", 42.0), ("Indicators", 84.0)])
def test_usual_lamps_are_those_of_the_regulation(published, name: str, rated: float) -> None:
    low, high = usual(name)
    published.check(
        source="UN R37: P21/5W read in a proposal for supplement 41; H4 60/55 W and P21W from memory", law="usual loads",
        asked=f"{name}: middle of what is assumed, between rated power and the most at 13.5 V [W]",
        expected=rated * (1 + MOST) / 2, got=(low + high) / 2, rel=0.15, why="old cars have weaker bulbs too",
        keys=("wiring.dcdc_power", "wiring.dcdc_power_all"),
    )  # fmt: skip
    assert low <= rated <= high <= rated * MOST
