"""Plots as data: units, tables, and what is refused; and the numbers of the traction plot and the power map.

The laws are held against sources in tests/published; here the plots must say what the figures say.
"""

from __future__ import annotations

import functools
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from helpers import dossier
from voltwright.assess.curves import (
    axle_bars,
    charges_plot,
    charging_plot,
    energy_plot,
    gears_used,
    mass_bars,
    power_map,
    range_plot,
    traction_plot,
    trip_plot,
    wheel_force_at,
)
from voltwright.assess.drive import gears_of
from voltwright.assess.journey_curves import charging_lines, cold_lines
from voltwright.assess.life_curves import capacity_lines
from voltwright.assess.sheet import Sheet
from voltwright.quantity.plot import Axis, Bars, Heat, Lines, Mark, Panel, Series
from voltwright.quantity.units import Unit
from voltwright.rules.dossier import Dossier

SPEED, FORCE = Axis("Speed", Unit("km/h")), Axis("Force", Unit("kN"), 1)


@functools.cache
def made(name: str = "coupe") -> Dossier:
    return dossier(name=name)


def sheet(of: Dossier) -> Sheet:
    return Sheet(of.build.currency, {key: each.node for key, each in of.figures.items() if each.node})


def traction(name: str = "coupe") -> Lines:
    plot = traction_plot(made(name).case, sheet(made(name)))
    assert plot is not None
    return plot


def value(key: str, name: str = "coupe") -> float:
    found = made(name).figures[key].value
    assert found is not None
    return found


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_what_is_not_finite_is_refused(bad: float) -> None:
    for draw in (
        lambda: Series("a", (0.0, 1.0), (0.0, bad)),
        lambda: Series("a", (0.0, bad), (0.0, 1.0)),
        lambda: Series("a", (0.0, 1.0), (0.0, 1.0), (0.0, bad), (1.0, 2.0)),
        lambda: Mark("x", bad, "a"),
        lambda: Heat("a", "b", SPEED, SPEED, FORCE, (0.0,), (0.0,), ((bad,),)),
        lambda: Bars("a", "b", FORCE, ("c",), (bad,)),
    ):
        with pytest.raises(ValueError, match="not finite"):
            draw()


def test_columns_of_unlike_length_are_refused() -> None:
    for draw in (
        lambda: Series("a", (0.0, 1.0), (0.0,)),
        lambda: Series("a", (0.0,), (0.0,), (0.0,), ()),
        lambda: Heat("a", "b", SPEED, SPEED, FORCE, (0.0, 1.0), (0.0,), ((1.0,),)),
        lambda: Heat("a", "b", SPEED, SPEED, FORCE, (0.0,), (0.0, 1.0), ((1.0,),)),
        lambda: Bars("a", "b", FORCE, ("c",), ()),
    ):
        with pytest.raises(ValueError, match=r"length|number|row"):
            draw()
    with pytest.raises(ValueError, match="place"):
        Series("a", (0.0, None), (0.0, 1.0))


def test_units_follow_the_system_of_the_reader() -> None:
    """1 mile is 1609.344 m exactly (international yard and pound agreement, 1959); 25 °C is 77 °F."""
    plot = Lines(
        "t", "a", SPEED, (Panel(FORCE, (Series("s", (1.609344, 3.218688), (1.0, None)),), (Mark("x", 160.9344, "m"),)),)
    )
    panel = plot.shown("uk").panels[0]
    assert panel.series[0].x == pytest.approx((1.0, 2.0))
    assert panel.series[0].y == (1.0, None)
    assert panel.marks[0].at == pytest.approx(100.0)
    assert plot.shown("uk").table().heads == ("Speed (mph)", "Force: s (kN)")
    assert plot.shown("metric") == plot
    warm = Axis("Temperature", Unit("°C"))
    heat = Heat(
        "t",
        "a",
        SPEED,
        warm,
        FORCE,
        (0.0, 1.0),
        (25.0, 35.0),
        ((1.0, 2.0), (3.0, None)),
        marks=(Mark("y", 25.0, "m"),),
        lines=(Series("l", (1.609344,), (25.0,)),),
    )
    assert heat.shown("us").lines[0].x == pytest.approx((1.0,))
    assert heat.shown("us").lines[0].y == pytest.approx((77.0,))
    assert heat.shown("us").heights == pytest.approx((77.0, 95.0))
    assert heat.shown("us").marks[0].at == pytest.approx(77.0)
    assert heat.shown("uk").heights == (25.0, 35.0)
    assert heat.shown("us").rows == heat.rows


def test_tables_hold_the_same_numbers() -> None:
    first = Series("one", (0.0, 1.0), (5.0, 6.0), (4.0, 5.0), (6.0, 7.0))
    plot = Lines("t", "a", SPEED, (Panel(FORCE, (first, Series("two", (1.0, 2.0), (7.0, None)))),))
    table = plot.table()
    assert table.heads == (
        "Speed (km/h)",
        "Force: one (kN)",
        "Force: one, low (kN)",
        "Force: one, high (kN)",
        "Force: two (kN)",
    )
    assert table.rows == ((0.0, 5.0, 4.0, 6.0, None), (1.0, 6.0, 5.0, 7.0, 7.0), (2.0, None, None, None, None))
    heat = Heat("t", "a", SPEED, SPEED, FORCE, (0.0, 1.0), (8.0, 9.0), ((1.0, 2.0), (3.0, None)))
    assert heat.table().rows == ((0.0, 8.0, 1.0), (1.0, 8.0, 2.0), (0.0, 9.0, 3.0), (1.0, 9.0, None))
    bars = Bars("t", "a", Axis("Energy", Unit("kWh")), ("x", "y"), (1.0, 3.0))
    assert bars.table().heads == ("Part", "Energy (kWh)", "Share (%)")
    assert bars.table().rows == (("x", 1.0, 25.0), ("y", 3.0, 75.0))
    assert Bars("t", "a", FORCE, ("x",), (0.0,)).table().rows == (("x", 0.0, None),)


def test_bars_that_are_no_whole_have_limits_and_bands_in_place_of_shares() -> None:
    """1 lb is 0.45359237 kg exactly (international yard and pound agreement, 1959)."""
    load = Axis("Load", Unit("kg"))
    bars = Bars("t", "a", load, ("x", "y"), (1.0, 3.0), (0.5, 2.5), (1.5, 3.5), (None, 4.5359237), is_whole=False)
    assert bars.table().heads == ("Part", "Load (kg)", "Load, low (kg)", "Load, high (kg)", "Load, limit (kg)")
    assert bars.table().rows == (("x", 1.0, 0.5, 1.5, None), ("y", 3.0, 2.5, 3.5, 4.5359237))
    assert bars.shown("us").limits == (None, pytest.approx(10.0))
    with pytest.raises(ValueError, match="length"):
        Bars("t", "a", load, ("x", "y"), (1.0, 3.0), limits=(1.0,))


def radius_of(of: Dossier) -> float:
    assert of.case.resistance is not None
    return of.case.resistance.radius.value


@pytest.mark.parametrize("name", ["coupe", "van"])
def test_traction_starts_with_the_figure_of_torque_and_ends_with_that_of_power(name: str) -> None:
    plot, of = traction(name), made(name)
    gears, _ = gears_of(of.case)
    assert gears is not None
    lowest = gears_used(of.case, gears)[0]
    radius = radius_of(of)
    first = plot.panels[0].series[0]
    assert first.y[0] == pytest.approx(value("drive.wheel_torque_peak", name) / radius / 1000)
    fast: Any = np.array([{"coupe": 60.0, "van": 25.0}[name]]) / 3.6
    force = wheel_force_at(of.case, sheet(of), lowest, fast)
    assert list(force * fast) == pytest.approx([value("drive.power_peak", name) * 1000])


def test_beyond_its_base_speed_the_van_s_motor_fades() -> None:
    """By hand: 21.8 kW at 8000 rpm and 27.2 kW at 6500 rpm are less than the 34.0 kW of the curve."""
    of = made("van")
    gears, _ = gears_of(of.case)
    assert gears is not None
    lowest = gears_used(of.case, gears)[0]
    radius = radius_of(of)
    speed: Any = np.array([8000 * np.pi / 30 * radius / lowest.ratio.value])
    power = float((wheel_force_at(of.case, sheet(of), lowest, speed) * speed)[0])
    assert power == pytest.approx(26 * 8000 * np.pi / 30 * gears.efficiency.value, rel=0.03)


def test_top_speed_lies_below_where_the_highest_gear_meets_the_level_road() -> None:
    """With gears that bear the motor's speed: the peak power ends before it gets so far, and for ever it is less."""
    of = dossier({"donor.drive_line.gearbox.speed_max": "10500 rpm"})
    plot = traction_plot(of.case, sheet(of))
    assert plot is not None
    lines = {each.name: each for each in plot.panels[0].series}
    load, push = lines["level road"], lines["gear 4"]
    above = [
        x
        for x, a, b in zip(push.x, push.y, load.y, strict=True)
        if x is not None and a is not None and b is not None and a > b
    ]
    top, sustained = (of.figures[key].value or 0.0 for key in ("road.top_speed", "road.top_speed_sustained"))
    assert sustained < top < max(above)
    assert max(above) == pytest.approx(199.0, abs=2.0)  # 84.5 kW against tyres and air, as reckoned by hand


def test_no_gear_is_drawn_beyond_the_highest_speed_of_the_motor() -> None:
    of = made()
    assert of.case.motor is not None
    radius = radius_of(of)
    for gear, each in zip((3.34, 2.14, 1.38), traction().panels[0].series, strict=False):  # of the coupé's gearbox
        fastest = 6000 * np.pi / 30 * radius / (gear * 3.9) * 3.6  # of the old gearbox
        drawn = [x for x, y in zip(each.x, each.y, strict=True) if x is not None and y is not None]
        assert fastest - 2 < max(drawn) <= fastest


def test_road_load_of_a_slope_is_the_weight_along_it_besides_the_level() -> None:
    """A slope of 20 % is atan(0.2): the weight along it is m g sin(atan(0.2)); Gillespie 1992, ch. 4."""
    lines = {each.name: each for each in traction().panels[0].series}
    assert {"5 % slope", "10 % slope", "20 % slope", "30 % slope"} < set(lines)
    steep, level = lines["20 % slope"].y[0], lines["level road"].y[0]
    assert steep is not None
    assert level is not None
    weight = value("mass.laden") * 9.80665 / 1000
    assert steep - level * math.cos(math.atan(0.2)) == pytest.approx(weight * math.sin(math.atan(0.2)))


@pytest.mark.parametrize("axle", ["front", "both"])
def test_marks_are_grip_and_top_speed(axle: str) -> None:
    of = dossier({"donor.drive_line.driven_axle": axle})
    plot = traction_plot(of.case, sheet(of))
    assert plot is not None
    grip, top = plot.panels[0].marks
    weight = (of.figures["mass.laden"].value or 0) * 9.80665 / 1000
    if axle == "both":
        assert grip.at == pytest.approx(0.8 * weight)
    else:
        assert grip.at < 0.8 * weight * (of.figures["mass.front_axle_laden"].value or 0) / (
            of.figures["mass.laden"].value or 1
        )
    assert top.at == pytest.approx(of.figures["road.top_speed"].value)


def test_without_gears_there_is_no_traction_plot() -> None:
    of = dossier({"donor.drive_line.gearbox.ratios": []})
    assert traction_plot(of.case, sheet(of)) is None


def test_one_gear_is_one_line() -> None:
    of = dossier({"drive.gearing.fixed_gear": 2})
    plot = traction_plot(of.case, sheet(of))
    assert plot is not None
    assert [each.name for each in plot.panels[0].series if each.role == "main"] == ["gear 2"]


@pytest.mark.parametrize("name", ["coupe", "roadster", "van"])
def test_power_map_holds_the_figures_of_power(name: str) -> None:
    plot = power_map(made(name).case, sheet(made(name)))
    at = {(x, y): z for x, y, z in plot.table().rows}
    assert at[80.0, 25.0] == pytest.approx(value("pack.power_peak", name))
    coldest = made(name).case.build.duty.climate.coldest.value - 273.15
    near = 1e-6 if coldest == pytest.approx(round(coldest)) else 0.03  # the map has whole degrees
    assert at[10.0, round(coldest)] == pytest.approx(value("pack.power_empty_cold", name), rel=near)


@pytest.mark.parametrize("name", ["coupe", "van"])
def test_power_map_loses_the_full_power_of_the_motor_where_the_figure_says(name: str) -> None:
    (line,) = power_map(made(name).case, sheet(made(name))).lines
    at = dict(zip(line.y, line.x, strict=True))
    assert at[25.0] == pytest.approx(100 * value("pack.full_power_lost_below", name))
    colder, warmer = at[-10.0], at[40.0]
    assert colder is not None
    assert warmer is not None
    assert colder > warmer, "cold cells lose it sooner"


def test_without_a_motor_no_power_is_lost() -> None:
    of = dossier({"drive.motor": None})
    assert power_map(of.case, sheet(of)).lines == ()


def test_nothing_is_said_where_the_cells_may_not_be_discharged() -> None:
    of = dossier()
    kept = of.case.cell
    lower = replace(kept.temperature_discharge_min, value=273.15)
    of.case.__dict__["cell"] = kept.model_copy(update={"temperature_discharge_min": lower})
    plot = power_map(of.case, sheet(of))
    by_height = dict(zip(plot.heights, plot.rows, strict=True))
    assert set(by_height[-1.0]) == {None}
    assert None not in by_height[0.0]
    assert min(height for height in plot.lines[0].y if height is not None) >= 0.0
    assert plot.gap


def axles(of: Dossier) -> Bars:
    plot = axle_bars(of.case, of.figures)
    assert plot is not None
    return plot


def test_axle_bars_say_what_the_figures_say_against_the_entered_limits() -> None:
    """The coupé's papers permit 660 kg in front and 740 kg behind; what both axles carry is the mass of the whole."""
    rows = dict(zip(axles(made()).names, axles(made()).values, strict=True))
    for state, whole in (("converted", "mass.kerb"), ("laden", "mass.laden")):
        assert rows[f"front axle, {state}"] + rows[f"rear axle, {state}"] == pytest.approx(value(whole))
    assert rows["front axle, donor"] == value("mass.front_axle_before")
    assert axles(made()).limits == (660.0,) * 3 + (740.0,) * 3
    assert axles(dossier({"donor.limits.front_axle": None})).limits == (None,) * 3 + (740.0,) * 3


def test_range_in_the_cold_holds_the_figure_of_the_coldest_day() -> None:
    of = made()
    plot = cold_lines(of.case, of.figures)
    assert plot is not None
    (line,) = plot.panels[0].series
    at = dict(zip(line.x, line.y, strict=True))
    assert at[-7.0] == pytest.approx(value("road.range_cold"), rel=1e-6)  # the coldest design day of the coupé
    far = [each for each in line.y if each is not None]
    assert far == sorted(far), "the colder, the shorter"
    assert plot.panels[0].marks[1].at == value("road.range.steady-80")
    assert value("road.range.steady-80") > max(far), "the heater costs range"
    lowest = of.case.cell.temperature_discharge_min.value - 273.15
    assert min(each for each in line.x if each is not None) >= lowest - 1e-9


def test_the_band_of_the_range_in_the_cold_is_that_of_its_figure() -> None:
    of = dossier(with_bands=True)
    plot = cold_lines(of.case, of.figures, of.spreads)
    assert plot is not None
    (line,) = plot.panels[0].series
    at = {x: ends for x, *ends in zip(line.x, line.low, line.high, strict=True)}
    figure = of.figures["road.range_cold"]
    assert at[-7.0] == pytest.approx([figure.low, figure.high], rel=1e-9)
    ends = np.array([line.low, line.y, line.high], dtype=float)  # no number becomes NaN, which lies nowhere
    assert np.all(np.diff(ends, axis=0) > 0)
    assert "band" in plot.alt
    assert len(plot.table().heads) == 4


def test_weight_before_and_after_adds_up() -> None:
    plot = mass_bars(made().case, made().figures)
    assert plot is not None
    at = dict(zip(plot.names, plot.values, strict=True))
    assert at["donor"] - at["comes out"] + at["goes in"] == pytest.approx(at["converted"])
    assert at["laden"] == value("mass.laden")
    assert plot.limits == (None,) * 4 + (1380.0,)  # what the coupé's papers permit


def test_every_supply_that_charges_has_a_line() -> None:
    plot = charging_lines(made().figures)
    assert plot is not None
    for panel in plot.panels:
        assert [each.name for each in panel.series] == ["home", "surgery"]  # the motorway has no pins to plug into
    alone = charging_lines(dossier({}, "roadster").figures)
    assert alone is not None
    assert [each.name for each in alone.panels[0].series] == ["power"]
    assert charging_lines(dossier({"supplies": None}).figures) is None


def test_without_a_range_in_the_cold_there_is_no_such_plot() -> None:
    of = dossier({"duty.climate.coldest": "-35 °C"})
    assert of.figures["road.range_cold"].value is None
    assert cold_lines(of.case, of.figures) is None


def test_builders_keep_the_numbers_that_they_are_given() -> None:
    trip = trip_plot([0.0, 60.0], [50.0, 50.0], [48.0, None], [10.0, -5.0], [0.9, 0.89], name="mine")
    assert trip.table().rows == ((0.0, 50.0, 48.0, 10.0, 90.0), (1.0, 50.0, None, -5.0, 89.0))
    assert trip.title == "A trip: mine"
    far = range_plot([50.0, 60.0], [200.0, 180.0], [180.0, 160.0], [220.0, 200.0])
    assert far.table().rows == ((50.0, 200.0, 180.0, 220.0), (60.0, 180.0, 160.0, 200.0))
    assert "band" in far.alt
    assert "band" not in range_plot([50.0, 60.0], [200.0, 180.0]).alt
    charge = charging_plot([0.0, 1.0], [7.0, 6.0], [0.2, 0.4], name="home")
    assert charge.table().rows == ((0.0, 7.0, 20.0), (1.0, 6.0, 40.0))
    both = charges_plot({"home": ([0.0, 1.0], [7.0, 6.0], [0.2, 0.4]), "away": ([0.0, 0.5], [50.0, 40.0], [0.2, 0.8])})
    assert both.table().rows == (
        (0.0, 7.0, 50.0, 20.0, 20.0),
        (0.5, None, 40.0, None, 80.0),
        (1.0, 6.0, None, 40.0, None),
    )
    energy = energy_plot(["air", "tyres"], [3.0, 1.0])
    assert energy.table().rows == (("air", 3.0, 75.0), ("tyres", 1.0, 25.0))


def test_words_for_those_who_do_not_see_are_one_sentence() -> None:
    plots = (
        traction(),
        power_map(made().case, sheet(made())),
        trip_plot([0.0, 1.0], [0.0, 1.0], [0.0, 1.0], [0.0, 1.0], [0.0, 1.0]),
        range_plot([50.0, 60.0], [200.0, 180.0]),
        charging_plot([0.0, 1.0], [7.0, 6.0], [0.2, 0.4]),
        charges_plot({"home": ([0.0, 1.0], [7.0, 6.0], [0.2, 0.4])}),
        energy_plot(["air"], [3.0]),
        axles(made()),
        mass_bars(made().case, made().figures),
        cold_lines(made().case, made().figures),
        capacity_lines(made().figures),
    )
    for each in plots:
        assert each is not None
        assert each.title
        assert each.alt.endswith(".")
        assert each.alt.count(". ") == 0
