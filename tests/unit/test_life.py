"""Life: what shortens it and what does not, packs side by side, habits, modules that are not new, and why there is no figure."""

from __future__ import annotations

import re
from typing import Any

import numpy as np
import pytest

from helpers import changed, dossier, keys
from voltwright.assess import life_curves
from voltwright.assess.case import Case
from voltwright.assess.figures import work_out
from voltwright.assess.life import MODELS, SPENT, TOO_LONG
from voltwright.assess.sheet import Sheet
from voltwright.assess.trips import main_trip
from voltwright.kernels import life, lives
from voltwright.kernels.journey import drive_until_empty
from voltwright.quantity.band import likely_cases
from voltwright.quantity.table import Curve
from voltwright.quantity.work import Node
from voltwright.rules.dossier import Dossier, assess

YEAR = life.YEAR
TABLE = Curve((0.0, 0.2, 0.6, 1.0), (3.0, 3.6, 3.8, 4.2))
MILD = lives.Months(tuple(286.0 + 6.0 * np.sin(2 * np.pi * (each - 3.5) / 12) for each in range(12)))
PACK: dict[str, Any] = {
    "model": "schmalstieg-2014", "table": TABLE, "months": MILD, "way_full": 260e3, "speed": 6e6 / YEAR, "again": 0.1,
    "trip": 35e3, "charges": 2.0, "limit": 0.8, "empty": 0.08, "parked": 0.6, "laid_up": 0.5, "rest": 2.0, "warm": 10800.0,
    "rise": 6.0, "rate": 0.4, "health": 1.0, "past": 0.5, "growth": 1.0, "standing": 1.0, "cycling": 1.0, "needed": 0.6,
}  # fmt: skip
TIRED = {"duty.distance": "7000 km/year", "duty.parking.charge": "90 %", "duty.climate.mean": "13 °C"}


def left(**other: Any) -> float:
    """Capacity after ten years."""
    return float(lives.lived(**{**PACK, **other}).capacity[10])


@pytest.mark.parametrize("model", lives.MODELS)
def test_what_shortens_life(model: str) -> None:
    now = left(model=model)
    hot = lives.Months(tuple(each + 10.0 for each in MILD.kelvin))
    for other in (
        {"parked": 0.95}, {"months": hot}, {"speed": 2 * PACK["speed"]}, {"rise": 20.0}, {"standing": 1.2}, {"cycling": 1.3},
        {"again": 0.3}, {"way_full": 150e3},
    ):  # fmt: skip
        assert left(model=model, **other) < now, other
    for other in ({"parked": 0.4}, {"speed": 0.5 * PACK["speed"]}, {"warm": 0.0}):
        assert left(model=model, **other) > now, other


def test_shallow_cycles_wear_less() -> None:
    assert left(charges=7.0) > left(charges=2.0) > left(charges=0.1)


@pytest.mark.parametrize("model", lives.MODELS)
def test_years_add_up(model: str) -> None:
    """Capacity falls every year, ever more slowly; resistance rises; at most all of the loss is by standing."""
    lived = lives.lived(**{**PACK, "model": model})
    losses = -np.diff(lived.capacity)
    assert np.all(losses > 0.0)
    assert np.all(np.diff(losses) < 0.0)
    assert np.all(np.diff(lived.resistance) >= 0.0)
    assert np.all(lived.stood <= 1.0 - lived.capacity + 1e-12)
    assert 0.0 < lives.standing_share(lived=lived, years=10.0) < 1.0


def test_packs_side_by_side_are_packs_by_themselves() -> None:
    charges = np.linspace(0.2, 1.0, 7)
    many = lives.lived(**{**PACK, "parked": charges})
    assert many.capacity.shape == (lives.YEARS + 1, 7)
    for at, charge in enumerate(charges):
        alone = lives.lived(**{**PACK, "parked": float(charge)})
        assert many.to_end[at] == alone.to_end
        assert list(many.capacity[:, at]) == list(alone.capacity)
        assert list(many.resistance[:, at]) == list(alone.resistance)


@pytest.mark.parametrize("past", [0.3, 0.6, 0.9])
def test_modules_that_are_not_new_go_on_from_their_health(past: float) -> None:
    used = lives.lived(**{**PACK, "health": 0.86, "past": past, "growth": 1.25})
    assert used.capacity[0] == pytest.approx(0.86)
    assert used.resistance[0] == pytest.approx(1.25)
    new = lives.lived(**PACK)
    assert used.capacity[0] - used.capacity[5] < new.capacity[0] - new.capacity[5]
    assert used.to_end < new.to_end


def test_what_is_lost_already_takes_no_time() -> None:
    spent = lives.lived(**{**PACK, "health": 0.78, "needed": 0.9})
    assert (spent.to_end, spent.to_needed) == (0.0, 0.0)
    slow = lives.lived(**{**PACK, "standing": 1e-3, "cycling": 1e-3})
    assert np.isnan(slow.to_end)


def test_cells_that_hold_more_than_they_are_rated_for() -> None:
    better = lives.lived(**{**PACK, "health": 1.03})
    assert better.capacity[0] == pytest.approx(1.03)
    assert better.capacity[10] == pytest.approx(left() + 0.03, abs=2e-3)


def test_a_car_that_is_never_driven_and_one_that_is_driven_without_end() -> None:
    stands = lives.lived(**{**PACK, "rest": 12.0})
    assert stands.stood[10] == pytest.approx(1.0 - stands.capacity[10])
    assert left(speed=0.0) > left()
    assert 0.0 <= left(speed=200e6 / YEAR, trip=1e3) < 0.6
    assert left(trip=900e3) < 1.0  # a trip longer than a charge


def test_the_car_rests_in_the_coldest_months() -> None:
    numbers = np.zeros((life.ROWS, 1))
    numbers[life.FIRST_MONTH :, 0] = MILD.kelvin
    numbers[life.MONTHS, 0] = 2.5
    driven = np.empty(12)
    life.months_driven(numbers, 0, driven)
    coldest = sorted(range(12), key=lambda each: MILD.kelvin[each])
    assert [float(driven[each]) for each in coldest] == [0.0, 0.0, 0.5, *[1.0] * 9]
    assert left(rest=2.0, laid_up=0.2) > left(rest=2.0, laid_up=1.0)


def life_of(changes: dict[str, Any] | None = None, name: str = "coupe") -> Dossier:
    return dossier(changes or {}, name=name)


def years(changes: dict[str, Any] | None = None) -> float:
    value = life_of(changes).figures["life.years_to_80"].value
    assert value is not None
    return value


def test_the_duty_is_what_ages_the_pack() -> None:
    now = years()
    assert years({"duty.parking.charge": "90 %"}) < now < years({"duty.parking.charge": "40 %"})
    assert years({"duty.parking.place": "outdoors-in-the-sun"}) < now
    assert years({"duty.climate.mean": "16 °C"}) < now
    assert years({"duty.distance": "12000 km/year"}) < now
    assert years({"duty.habit.fast_share": "100 %"}) == now  # Schmalstieg 2014 knows no rate
    months = ["4 °C", "5 °C", "7 °C", "9 °C", "12 °C", "15 °C", "16 °C", "16 °C", "14 °C", "10 °C", "7 °C", "5 °C"]
    assert years({"duty.climate.monthly": months}) == pytest.approx(now, rel=0.1)
    assert (
        life_of({"duty.habit.fast_share": "100 %"}, "roadster").figures["life.years_to_80"].value
        != life_of({}, "roadster").figures["life.years_to_80"].value
    )


def test_figures_agree_with_each_other() -> None:
    made = life_of()
    value = {key: figure.value for key, figure in made.figures.items() if figure.value is not None}
    assert value["life.distance_to_80"] == pytest.approx(6000 * value["life.years_to_80"])
    price = value["life.replacement_cost_per_year"] * value["life.years_to_80"]
    assert price == pytest.approx(16 * 620.0)
    assert value["life.replacement_cost_per_km"] * value["life.distance_to_80"] == pytest.approx(price)
    by_capacity = value["road.range.steady-80"] * value["life.capacity_at_10_years"]
    assert 0.99 * by_capacity < value["life.range_at_10_years"] < by_capacity
    assert value["life.rule_of_thumb_distance"] == pytest.approx(2000 * value["road.range.steady-80"])


@pytest.mark.parametrize(
    ("changes", "key", "why"),
    [
        ({"duty.distance": "10 km/year", "duty.climate.mean": "1 °C", "duty.parking.charge": "20 %"}, "years_to_80", TOO_LONG),
        ({"pack.condition": {"health": "78 %"}}, "years_to_80", SPENT),
        ({"pack.condition": {"health": "78 %"}}, "replacement_cost_per_year", SPENT),
        ({"brief.range": None}, "years_to_brief_range", "the brief names no range"),
        ({"brief.range": "400 km"}, "years_to_brief_range", "the range is below that of the brief already"),
        ({"duty.lay_up.months": 0}, "lay_up_days_pack", "the duty names no lay-up (duty.lay_up.months)"),
        ({}, "capacity_at_10_years_second", "there is no second law of cycling for NMC cells whose constants could be read"),
        ({"duty.trips.0.share": "0 %", "duty.trips.1.share": "0 %"}, "cycles_per_year", "no trip of the duty has a share"),
        ({"duty.distance": "0 km/year"}, "rule_of_thumb_years", "the car is not driven (duty.distance)"),
        ({"duty.habit.limit": "5 %"}, "capacity_at_10_years", "the customer stops charging below the lowest charge"),
        ({"drive.motor": None}, "capacity_at_10_years", "the build names no motor"),
    ],
)  # fmt: skip
def test_why_there_is_no_figure(changes: dict[str, Any], key: str, why: str) -> None:
    figure = life_of(changes).figures[f"life.{key}"]
    assert figure.value is None
    assert why in figure.reason


def test_every_chemistry_has_a_model() -> None:
    assert set(MODELS) == {"nmc", "nca", "lfp", "lco"}
    assert MODELS["nca"].standing > MODELS["nmc"].standing
    assert all(each.name in lives.MODELS for each in MODELS.values())


def test_rated_cycles_to_another_capacity() -> None:
    """Rated to 90 %: a quarter of the cycles that take twice as much."""
    from voltwright.physics.ageing import cycles_to_end

    assert cycles_to_end(cycles=1000.0, left=0.9) == pytest.approx(4000.0)
    assert cycles_to_end(cycles=1000.0, left=0.8) == pytest.approx(1000.0)


def test_advice_is_worth_what_it_says() -> None:
    """The years that standing half full would bring are those of the build that does it."""
    full = life_of({"duty.parking.charge": "90 %"})
    said = next(each for each in full.findings if each.key == "life.standing")
    now, then = full.figures["life.years_to_80"].value, years({"duty.parking.charge": "50 %"})
    assert now is not None
    assert f"{then - now:+.1f} years until 80 % are left" in (said.remedy or "")


def test_a_remedy_gives_ten_years() -> None:
    made = assess(changed(TIRED), with_bands=False)
    short = next(each for each in made.findings if each.key == "life.short")
    assert short.remedies, made.figures["life.years_to_80"].value
    for each in short.remedies:
        assert "life.short" not in keys(life_of({**TIRED, **each.changes}))


def test_bands_are_wider_where_the_law_is_that_of_another_chemistry() -> None:
    built = changed({})
    sheet = work_out(Case(built.build, built.shelf, built.beside))
    inputs = sheet.nodes["life.capacity_at_10_years"].inputs["lived"].inputs
    assert inputs["standing"].spread.high == pytest.approx(1.2)
    van = changed({}, "van")
    sheet = work_out(Case(van.build, van.shelf, van.beside))
    inputs = sheet.nodes["life.capacity_at_10_years"].inputs["lived"].inputs
    assert inputs["standing"].spread.high == pytest.approx(1.4)
    assert "NMC" in (inputs["standing"].origin.reason if inputs["standing"].origin else "")


@pytest.mark.parametrize("name", ["way_full", "trip", "warm", "needed"])
@pytest.mark.parametrize("none", [np.nan, np.inf])
def test_a_sample_that_cannot_do_its_trip_has_no_life_and_leaves_the_others_alone(name: str, none: float) -> None:
    """The loops know no nan: it must not come to them."""
    given = np.full(5, PACK[name]) * np.linspace(0.9, 1.1, 5)
    good = lives.lived(**{**PACK, name: given})
    given[2] = none
    some = lives.lived(**{**PACK, name: given})
    for field in ("to_end", "to_needed", "capacity", "stood", "resistance"):
        before, after = getattr(good, field), getattr(some, field)
        assert np.isnan(after[..., 2]).all()
        assert np.array_equal(after[..., [0, 1, 3, 4]], before[..., [0, 1, 3, 4]], equal_nan=True)
    low, high = life_curves._ends(some)  # pyright: ignore[reportPrivateUsage]
    assert all(each is not None and np.isfinite(each) for each in (*low, *high))


def test_no_sample_has_a_life() -> None:
    none = lives.lived(**{**PACK, "way_full": np.full(3, np.nan)})
    assert np.isnan(none.capacity).all()
    assert life_curves._ends(none) == ((), ())  # pyright: ignore[reportPrivateUsage]
    assert np.isnan(left(way_full=np.nan))


def worked(changes: dict[str, Any] | None = None, name: str = "coupe") -> tuple[Case, Sheet]:
    built = changed(changes or {}, name)
    case = Case(built.build, built.shelf, built.beside)
    return case, work_out(case, ("life",))


def lived_from(sheet: Sheet) -> dict[str, Node]:
    return sheet.nodes["life.capacity_at_10_years"].inputs["lived"].inputs


@pytest.mark.parametrize("name", ["coupe", "van"])
def test_range_when_old_is_that_of_the_car_with_worn_cells(name: str) -> None:
    """The simulated car with that capacity and that resistance comes as far."""
    case, sheet = worked({}, name)
    assert sheet.simulated is not None
    driven, way = sheet.driven[main_trip(case)], sheet.nodes["life.range_at_10_years"]
    given = {name: each.value for name, each in driven.inputs.items()}
    left = way.inputs["capacity"].value / way.inputs["health"].value
    grown = way.inputs["aged"].value / way.inputs["growth"].value
    car = given["car"]._replace(capacity=given["car"].capacity * left, cell_factor=given["car"].cell_factor * grown)
    assert drive_until_empty(**{**given, "car": car}).way == pytest.approx(way.value, rel=0.015)


def test_worn_cells_make_the_car_slower() -> None:
    figures = life_of({}, "van").figures
    for now, then in (("road.time_0_50", "life.time_0_50_at_10_years"), ("life.power_at_10_years", "pack.power_peak")):
        one, other = figures[now].value, figures[then].value
        assert one is not None
        assert other is not None
        assert one < other
    hundred = figures["life.time_0_100_at_10_years"]
    assert figures["road.time_0_100"].value is not None  # just so; with worn cells no more
    assert hundred.value is None
    assert "does not reach 100 km/h" in hundred.reason
    slow = life_of({}, "roadster").figures
    assert slow["life.time_0_100_at_10_years"].reason == slow["road.time_0_100"].reason


def test_the_mean_length_of_trips_is_distance_over_trips() -> None:
    """Of 100 km, 90 in one trip and 10 in ten: 11 trips, not trips of 81 km."""
    trips = {
        "duty.trips.0.share": "90 %", "duty.trips.0.distance": "90 km", "duty.trips.1.share": "10 %", "duty.trips.1.distance": "1 km",
    }  # fmt: skip
    lived = lived_from(worked(trips)[1])
    assert lived["trip"].shown == pytest.approx(1.0 / (0.9 / 90.0 + 0.1 / 1.0))


def test_the_rise_of_the_cells_is_worked_out_where_their_boxes_are_known() -> None:
    now = lived_from(worked()[1])
    assert not now["rise"].is_leaf
    assert 0.2 < now["rise"].value < 3.0
    assert 3.0 * 3600.0 < now["warm"].value < 20.0 * 3600.0
    far = lived_from(worked({"duty.trips.0.distance": "120 km", "duty.trips.0.trip": "steady-120"})[1])
    assert far["rise"].value > 1.5 * now["rise"].value
    foamed = lived_from(worked({"pack.boxes.0.insulation": "30 mm", "pack.boxes.1.insulation": "30 mm"})[1])
    assert foamed["warm"].value > 1.2 * now["warm"].value


def test_the_rise_of_the_cells_is_assumed_where_their_boxes_are_not_known() -> None:
    lived = lived_from(worked({"pack.boxes.0.modules": 0, "pack.boxes.1.modules": 0})[1])
    rise = lived["rise"]
    assert rise.is_leaf
    assert (rise.spread.low, rise.spread.high) == (3.0, 10.0)
    assert "pack.boxes" in (rise.origin.reason if rise.origin else "")


def test_cooling_moves_life_and_samples_are_cars_by_themselves() -> None:
    """A box that is cooled is less warm; the middle of the likely cases lies about the point."""
    bare, cooled = (lived_from(worked({"pack.cooling": way}, "van")[1])["rise"] for way in ("none", "liquid"))
    assert cooled.value < bare.value
    cases = likely_cases(bare)
    assert np.isfinite(cases).all()
    assert np.percentile(cases, 5) < bare.value < np.percentile(cases, 95)


def test_what_lies_outside_the_laws_is_said_by_how_much() -> None:
    made = life_of({"duty.parking.charge": "100 %", "duty.climate.mean": "2 °C", "duty.climate.coldest": "-19 °C"})
    said = next(each for each in made.findings if each.key == "life.outside_model").detail
    assert "5 percentage points outside the 20 % to 95 %" in said
    assert "K below 5 °C, under which charging plates lithium" in said


def test_what_habits_are_worth_is_told_one_by_one_and_together() -> None:
    """Of the van no step alone brings ten years; what they are worth is told all the same, and agrees with the figures."""
    made = dossier(name="van")
    found = next(each for each in made.findings if each.key == "life.short")
    assert found.remedy is not None
    told = {words: float(gain) for words, gain in re.findall(r"(?:: |, )([^:,]+) \+(\d+\.\d)", found.remedy)}
    assert set(told) >= {"plugging in every day", "stopping the charge at 80 %", "all of it together"}
    assert told["all of it together"] > max(gain for words, gain in told.items() if words != "all of it together")
    now = made.figures["life.years_to_80"].value
    changed_habits = {"duty.habit.times_per_week": 7, "duty.habit.limit": "80 %", "duty.parking.charge": "50 %"}
    then = dossier(changed_habits, "van").figures["life.years_to_80"].value
    assert now is not None
    assert then is not None
    assert then - now == pytest.approx(told["all of it together"], abs=0.1)
    assert "that of NMC cells stands for it" in found.detail
    assert "2.0 percentage points a year" in found.detail, "14 % in seven years"
