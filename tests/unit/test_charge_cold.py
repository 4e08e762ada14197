"""Charging in the cold and over a week: what is refused, what heating costs, and how often the car must be plugged in."""

from __future__ import annotations

from typing import Any

import pytest

from helpers import dossier

HEATER = {"comfort.pack_heater": {"part": "heater/coolant-5kw-350v", "x": "1 m", "z": "0.4 m"}}
STATION = {
    "charging.inlet": "inlet/combined-2-125a",
    "supplies": [{"name": "home", "kind": "dc", "voltage_min": "200 V", "voltage_max": "500 V", "current": "125 A", "power": "50 kW"}],
}  # fmt: skip
TIME, HEATING, WALL = "charge.time_full_cold.home", "charge.time_heating_cold.home", "charge.wall_energy_full_cold"


def of(changes: dict[str, Any], *, with_bands: bool = False) -> Any:
    return dossier(changes, with_bands=with_bands).figures


def value(figures: Any, key: str) -> float:
    got = figures[key].value
    assert got is not None, figures[key].reason
    return got


def test_frozen_cells_without_a_heater_are_refused() -> None:
    figures = of({})
    assert figures[TIME].value is None
    assert "too cold to be charged" in figures[TIME].reason
    assert figures[WALL].value is None


def test_a_heater_makes_it_possible_and_costs_time_and_energy() -> None:
    figures = of(HEATER)
    assert value(figures, HEATING) > 0
    assert value(figures, TIME) > value(figures, "charge.time_full.home") + value(figures, HEATING) - 0.05
    assert value(figures, WALL) > value(figures, "charge.wall_energy_full")


def test_it_is_the_mild_charge_where_it_is_mild() -> None:
    figures = of(HEATER | {"duty.climate.coldest": "25 °C", "duty.climate.hottest": "30 °C"})
    assert value(figures, TIME) == pytest.approx(value(figures, "charge.time_full.home"), rel=5e-3)
    assert value(figures, WALL) == pytest.approx(value(figures, "charge.wall_energy_full"), rel=5e-3)
    assert figures[HEATING].value is None


def test_a_heated_garage_spares_the_heater() -> None:
    figures = of({"duty.parking.place": "heated-garage"})
    assert value(figures, TIME) >= value(figures, "charge.time_full.home")


def test_a_cool_day_slows_a_fast_charge() -> None:
    cool, mild = (of(STATION | {"duty.climate.coldest": each}) for each in ("3 °C", "20 °C"))
    assert value(cool, TIME) > 1.3 * value(mild, TIME)


def test_cells_at_their_lower_limit_take_nothing() -> None:
    figures = of({"duty.climate.coldest": "0 °C"})
    assert figures[TIME].value is None


def test_a_target_inside_the_ramp_tapers_every_charge() -> None:
    """At 5 °C half of the cells' current; the charger of 6.6 kW gives less than that, the station more."""
    half, whole = (of(STATION | {"charging.target_temperature": each}) for each in ("5 °C", "25 °C"))
    key = "charge.current_pack.home"
    assert value(half, key) == pytest.approx(0.5 * value(whole, key), rel=1e-6)


def test_the_heat_first_taken_counts_in_the_energy_from_the_wall() -> None:
    colder = value(of(HEATER | {"duty.climate.coldest": "-15 °C"}), WALL)
    assert colder > value(of(HEATER), WALL) + 0.2


def test_bands_follow_what_is_assumed() -> None:
    figures = of(HEATER, with_bands=True)
    assert figures[TIME].low < figures[TIME].value < figures[TIME].high
    assert figures[HEATING].low < figures[HEATING].value < figures[HEATING].high


PLUG_INS, WEEKLY, EACH = "charge.plug_ins_per_week", "charge.hours_per_week", "charge.hours_each_time"


def test_plug_ins_follow_distance_limit_and_rest() -> None:
    base = value(of({}), PLUG_INS)
    assert value(of({"duty.distance": "12000 km/year"}), PLUG_INS) == pytest.approx(2 * base, rel=1e-6)
    assert value(of({"duty.habit.limit": "50 %"}), PLUG_INS) > 1.5 * base
    assert value(of({"duty.lay_up.months": 6}), PLUG_INS) == pytest.approx(base * (10 / 12) / 0.5, rel=1e-6)


def test_plug_ins_by_hand() -> None:
    """6000 km in ten months, 70 % on rounds and 30 % in town; a charge from 8 to 80 %."""
    figures = of({})
    used = 0.7 * value(figures, "road.consumption.steady-80") + 0.3 * value(figures, "road.consumption.wltc-3b")
    week = 6000 / 365.25 * 7 / (10 / 12)
    each = value(figures, "pack.energy_usable") / (0.95 - 0.08) * (0.80 - 0.08)
    assert value(figures, PLUG_INS) == pytest.approx(
        week * used / 1000 / each, rel=0.02
    )  # the lower charge holds a little less


def test_hours_each_time_follow_the_habit() -> None:
    once, twice = (of({"duty.habit.times_per_week": each}) for each in (1, 2))
    assert value(once, EACH) == pytest.approx(2 * value(twice, EACH))
    assert value(once, WEEKLY) == pytest.approx(value(once, EACH))
    assert of({"duty.habit.times_per_week": 0})[EACH].value is None
    fast = of({"duty.habit.fast_share": "25 %"})
    assert value(fast, WEEKLY) == pytest.approx(0.75 * value(of({}), WEEKLY))


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"duty.habit.limit": "5 %"}, "below the lowest charge"),
        ({"duty.lay_up.months": 12}, "rests all year"),
        ({"drive.motor": None}, "is not known"),
    ],
)
def test_no_figure_of_a_week_that_cannot_be(changes: dict[str, Any], why: str) -> None:
    for key in (PLUG_INS, WEEKLY, EACH):
        assert why in of(changes)[key].reason
