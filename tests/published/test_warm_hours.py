"""Warmth of driving: means of trips, a fall that a block stands for, and how slowly boxes cool, against other ways to the same."""

from __future__ import annotations

from math import exp, inf
from statistics import fmean, harmonic_mean
from typing import Any

import numpy as np
import pytest
import scipy
from scipy.integrate import quad
from scipy.linalg import eigh

from ageing_said import YEARS
from kernel_cars import COUPE, cells, known
from voltwright.kernels import lives, warm_hours, warmth
from voltwright.kernels.gather import with_worn_cells
from voltwright.kernels.journey import drive_once
from voltwright.physics import ageing, battery_box

HOUR = 3600.0
BY_HAND = "reckoned by hand"
SHARES, LENGTHS, SPEEDS = (0.7, 0.2, 0.1), (45e3, 12e3, 3e3), (22.0, 13.0, 7.0)


def test_means_of_trips(published) -> None:
    way = 1e6
    given = [{"share": share, "shares": sum(SHARES), "way": way} for share in SHARES]
    trips = sum(ageing.trips_in(length=each, **part) for each, part in zip(LENGTHS, given, strict=True))
    time = sum(ageing.time_in(speed=each, **part) for each, part in zip(SPEEDS, given, strict=True))
    for law, asked, expected, got in (
        ("mean_length", "length [m]", harmonic_mean(LENGTHS, SHARES), ageing.mean_length(way=way, trips=trips)),
        ("mean_speed", "speed [m/s]", harmonic_mean(SPEEDS, SHARES), ageing.mean_speed(way=way, time=time)),
    ):
        published.check(
            source="statistics.harmonic_mean of Python, weighted by distance",
            law=law,
            asked=f"mean {asked} of three kinds of trips by shares of the distance",
            expected=expected,
            got=got,
            rel=1e-12,
            why="the same mean",
            keys=YEARS,
        )


def test_mean_of_the_year(published) -> None:
    air = (272.0, 273.0, 277.0, 281.0, 286.0, 289.0, 291.0, 291.0, 287.0, 282.0, 277.0, 273.0)
    published.check(
        source="statistics.fmean of Python",
        law="mean_of_months",
        asked="mean of twelve months [K]",
        expected=fmean(air),
        got=lives.mean_of_months(months=lives.Months(air)),
        rel=1e-12,
        why="the same mean",
        keys=YEARS,
    )


def test_range_with_worn_cells(published) -> None:
    published.check(
        source=BY_HAND,
        law="range_when_aged",
        asked="200 km, 80 % of the capacity; 150 Wh/km taken, 10 lost in the cells, half as much again when they are worn [km]",
        expected=200.0 * 0.8 * 160.0 / 165.0,
        got=ageing.range_when_aged(
            way=200e3, capacity=0.8, health=1.0, taken=540.0, lost=36.0, aged=1.5, growth=1.0
        ) / 1e3,
        rel=1e-12,
        why="reckoned the same way",
        keys=("life.range_at_10_years",),
    )  # fmt: skip


def test_worn_cells_lose_more(published) -> None:
    new = COUPE._replace(links=0.0)
    worn = with_worn_cells(car=new, cell_factor=1.5 * new.cell_factor)
    assert worn == new._replace(cell_factor=1.5 * new.cell_factor)
    lost = [drive_once(car=car, cells=cells(), asked=known("steady-50")).ledger["cells"] for car in (new, worn)]
    published.check(
        source=BY_HAND,
        law="with_worn_cells",
        asked="half as much resistance again at a steady 50 km/h: loss in the cells, as a multiple",
        expected=1.5,
        got=lost[1] / lost[0],
        rel=0.02,
        why="the voltage is a little lower, so the current a little more",
        keys=("life.time_0_50_at_10_years", "life.time_0_100_at_10_years"),
    )


@pytest.mark.parametrize("power", [1, 2])
def test_a_block_stands_for_a_fall(published, power: int) -> None:
    constant, height = 3.0 * HOUR, 2.4
    expected: Any = quad(lambda t: (height * exp(-t)) ** power, 0.0, inf)[0]
    block = ageing.cooling_block(constant=constant)
    got = ageing.rise_of_trip(driven=0.0, end=height, lasts=0.0, cooling=block) ** power * block / constant
    published.check(
        source=f"scipy {scipy.__version__}, integrate.quad of an exponential fall",
        law="cooling_block",
        asked=f"area of the rise to the power {power}, over the time constant",
        expected=float(expected),
        got=got,
        rel=1e-9,
        why="what the block is made for",
        keys=YEARS,
    )


def box(**other: Any) -> battery_box.Box:
    """Six modules in a steel box."""
    flat: Any = np.full(battery_box.POINTS, 1.0)
    known: dict[str, Any] = {
        "cells_middle": 24.0, "cells_edge": 48.0, "core_middle": 9e3, "core_edge": 18e3, "surface_middle": 9e3, "surface_edge": 18e3,
        "case_middle": 3e3, "case_edge": 6e3, "wall": 12e3, "inside_middle": 80.0, "inside_edge": 160.0, "packed_middle": 30.0,
        "packed_edge": 60.0, "between": 4.0, "seen_middle": 0.5, "seen_edge": 4.0, "vent": 30.0, "mounts": 1.5, "plate_middle": 20.0,
        "plate_edge": 40.0, "radiator": 50.0 * flat, "warmer": 6.0, "air_middle": 0.8 * flat, "air_edge": 3.0 * flat,
        "air_wall": 5.0 * flat, "out_still": 4.5 * flat, "out_moving": 20.0 * flat,
    }  # fmt: skip
    return battery_box.Box(**{**known, **other})


def by_scipy(of: battery_box.Box) -> float:
    """Slowest time constant of the network, from the ways by their names: bodies without heat capacity are taken out exactly. [s]"""
    names = warmth.BODIES
    flows = np.zeros((len(names), len(names)))
    for one, other, fixed, table in warmth.WAYS:
        lets = 0.0 if fixed in ("vent", "radiator", "") else float(getattr(of, fixed))
        if table not in ("", "radiator"):
            lets += float(of.out_still[0] if table == "out" else getattr(of, table)[0])
        a = names.index(one)
        flows[a, a] += lets
        if other in names:
            b = names.index(other)
            flows[b, b] += lets
            flows[a, b] -= lets
            flows[b, a] -= lets
    heat = np.array([float(getattr(of, name, 0.0)) for name in names])
    kept, none = np.flatnonzero(heat > 0.0), np.flatnonzero(heat == 0.0)
    inner = flows[np.ix_(none, none)] + 1e-12 * np.eye(len(none))
    less = flows[np.ix_(kept, kept)] - flows[np.ix_(kept, none)] @ np.linalg.solve(inner, flows[np.ix_(none, kept)])
    rates: Any = eigh(less, np.diag(heat[kept]), eigvals_only=True)
    return 1.0 / float(rates[0])


@pytest.mark.parametrize(
    ("name", "other"),
    [("bare", {}), ("foamed", {"out_still": np.full(battery_box.POINTS, 0.8)}), ("small", {"core_edge": 4e3})],
)
def test_how_slowly_a_box_cools(published, name: str, other: dict[str, Any]) -> None:
    one = box(**other)
    published.check(
        source=f"scipy {scipy.__version__}, linalg.eigh of the same network",
        law="cooling_constant",
        asked=f"slowest time constant of a parked box, {name} [h]",
        expected=by_scipy(one) / HOUR,
        got=warm_hours.cooling_constant(boxes=warmth.Boxes((one,)), end=2.0) / HOUR,
        rel=0.01,
        why="inverse iteration, four rounds",
        keys=YEARS,
    )


def test_a_box_of_one_body(published) -> None:
    """All bodies tied fast: heat capacity over what goes out."""
    tied = dict.fromkeys(
        ("inside_middle", "inside_edge", "packed_middle", "packed_edge", "between", "seen_middle", "seen_edge"),
        100000.0,
    )
    one = box(**tied)
    capacity = sum(float(getattr(one, name)) for name in warmth.BODIES if name not in ("air", "coolant"))
    published.check(
        source="Incropera 2007, Fundamentals of heat and mass transfer, ch. 5, lumped capacitance (from memory)",
        law="cooling_constant",
        asked="heat capacity over conductance [h]",
        expected=capacity / (4.5 + 1.5) / HOUR,
        got=warm_hours.cooling_constant(boxes=warmth.Boxes((one,)), end=2.0) / HOUR,
        rel=1e-3,
        why="ways within are fast, not without end",
        keys=YEARS,
    )


def test_warmth_of_a_trip_is_read_where_it_ends(published) -> None:
    """Two boxes, the second with three times the cells; a trip half as long as it was followed, and one longer than that."""
    warm = np.linspace(1.0, 10.0, 10)[:, None, None] * np.array([1.0, 2.0]) + 290.0
    none: Any = np.zeros((1, 2))
    followed = warmth.Warmth(warm, warm, none, none, none, np.zeros(1), 60.0, 0, sampled=False)
    boxes = warmth.Boxes((box(), box(cells_middle=72.0, cells_edge=144.0)))
    for minutes, steps in ((5.0, 5), (25.0, 10)):
        rise = warm_hours.rise_on_trip(warmth=followed, boxes=boxes, start=290.0, lasts=60.0 * minutes)
        middle = (1.0 * 1 + 2.0 * 3) / (1 + 3)  # K each minute, by the cells of both boxes
        for law, what, expected, got in (
            ("end_of", "at its end", middle * steps, warm_hours.end_of(rise=rise)),
            ("driven_of", "on its mean", middle * (steps + 1) / 2, warm_hours.driven_of(rise=rise)),
        ):
            published.check(
                source=BY_HAND,
                law=law,
                asked=f"cells of two boxes that warm evenly for {steps} min, {what} [K]",
                expected=expected,
                got=got,
                rel=1e-9,
                why="reckoned the same way",
                keys=YEARS,
            )
    lasts: Any = np.array([300.0, 1500.0, np.nan])
    both = warm_hours.rise_on_trip(warmth=followed, boxes=boxes, start=290.0, lasts=lasts)
    assert both.end.tolist() == pytest.approx([1.75 * 5, 1.75 * 10, 1.75])


def test_boxes_side_by_side_cool_as_by_themselves() -> None:
    flat = np.full(battery_box.POINTS, 1.0)
    alone = [
        warm_hours.cooling_constant(boxes=warmth.Boxes((box(wall=wall, out_still=flat + wall / 1e4),)), end=end)
        for wall, end in ((8e3, 1.0), (16e3, -3.0))
    ]
    walls = np.array([8e3, 16e3])
    many = box(wall=walls, out_still=flat[:, None] + walls / 1e4)
    ends: Any = np.array([1.0, -3.0])
    together: Any = warm_hours.cooling_constant(boxes=warmth.Boxes((many,)), end=ends)
    assert together.tolist() == pytest.approx(alone, rel=1e-9)
