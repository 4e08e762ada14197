"""Years of life: cycles counted as ASTM E1049 and the rainflow package count, years against scipy, the rule of thumb."""

from __future__ import annotations

import importlib.metadata
from typing import Any

import numpy as np
import pytest
import rainflow  # pyright: ignore[reportMissingImports, reportMissingTypeStubs]
import scipy
from scipy.integrate import quad, solve_ivp

from ageing_said import NAUMANN_18, RESISTANCE, SCHMALSTIEG, YEAR, YEARS, celsius, percent
from kernel_cars import COUPE, cells, known
from voltwright.kernels import life, lives
from voltwright.kernels.journey import drive_once
from voltwright.kernels.rainflow import rainflow_cycles
from voltwright.physics import ageing, naumann_2018, naumann_2020
from voltwright.quantity.table import Curve

HISTORY = [-2, 1, -3, 5, -1, 3, -4, 4, -2]


def test_rainflow_of_the_standard(published) -> None:
    found = rainflow_cycles(history=HISTORY)
    source = "ASTM E1049-85, figure 6, as copied in the tests of the rainflow package"
    for size, count in {3: 0.5, 4: 1.5, 6: 0.5, 8: 1.0, 9: 0.5}.items():
        published.check(
            source=source,
            law="rainflow_cycles",
            asked=f"cycles of range {size} [1]",
            expected=count,
            got=float(np.sum(found.count[found.range == size])),
            absolute=0.0,
            why="counted",
            keys=YEARS,
        )
    rows = sorted(zip(found.range.tolist(), found.mean.tolist(), found.count.tolist(), strict=True))
    assert rows == sorted(
        [(3, -0.5, 0.5), (4, -1, 0.5), (4, 1, 1), (8, 1, 0.5), (9, 0.5, 0.5), (8, 0, 0.5), (6, 1, 0.5)]
    )


@pytest.mark.parametrize("seed", range(6))
def test_rainflow_of_the_package(published, seed: int) -> None:
    history = np.round(np.random.default_rng(seed).random(200), 2)
    ours = rainflow_cycles(history=history)
    theirs = list(rainflow.extract_cycles(history))
    got = sorted(
        (round(r, 9), round(m, 9), c) for r, m, c in zip(ours.range, ours.mean, ours.count, strict=True) if r > 0
    )
    wanted = sorted((round(r, 9), round(m, 9), c) for r, m, c, *_ in theirs if r > 0)
    assert got == wanted
    published.check(
        source=f"rainflow {importlib.metadata.version('rainflow')}, extract_cycles",
        law="rainflow_cycles",
        asked=f"range times count of 200 values at random, seed {seed} [1]",
        expected=float(sum(r * c for r, _, c, *_ in theirs)),
        got=float(np.sum(ours.range * ours.count)),
        rel=1e-12,
        why="the same rule",
        keys=YEARS,
    )


@pytest.mark.parametrize(("low", "high"), [(0.0, 1.0), (0.3, 0.8), (0.61, 0.63)])
def test_quadratic_mean_voltage(published, low: float, high: float) -> None:
    table = Curve((0.0, 0.2, 0.6, 1.0), (3.0, 3.5, 3.7, 4.2))
    expected = (quad(lambda s: np.interp(s, *table.arrays) ** 2, low, high, points=(0.2, 0.6))[0] / (high - low)) ** 0.5
    published.check(
        source=f"scipy {scipy.__version__}, integrate.quad of the square",
        law="quadratic_mean",
        asked=f"charge {low:g} to {high:g} [V]",
        expected=float(expected),
        got=life.quadratic_mean(lives.rasters(table)[1], low, high),
        rel=1e-5,
        why="a raster of 0.25 %",
        keys=YEARS,
    )


def flat(volt: float) -> Curve:
    return Curve((0.0, 1.0), (volt, volt))


def year_of(*kelvin: float) -> lives.Months:
    return lives.Months((kelvin * 12)[:12])


PACK: dict[str, Any] = {
    "model": "naumann", "table": flat(3.7), "way_full": 200e3, "speed": 0.0, "again": 0.0, "trip": 25e3, "charges": 7.0,
    "limit": 0.9, "empty": 0.1, "parked": 0.5, "laid_up": 0.5, "rest": 0.0, "warm": 0.0, "rise": 0.0, "rate": 0.5,
    "health": 1.0, "past": 0.5, "growth": 1.0, "standing": 1.0, "cycling": 1.0, "needed": 0.7,
    "months": year_of(298.15),
}  # fmt: skip


@pytest.mark.parametrize(
    ("model", "loss", "exponent", "growth", "grows", "source"),
    [
        ("schmalstieg-2014", 2.390, 0.75, 5.057, 0.75, SCHMALSTIEG),
        ("naumann", 4.252, 0.5, 1.683, 1.0, NAUMANN_18),
        ("wang-2011", 4.252, 0.5, 1.683, 1.0, NAUMANN_18),
    ],
)
def test_a_pack_that_only_stands(
    published, model: str, loss: float, exponent: float, growth: float, grows: float, source: str
) -> None:
    """The loop over years gives the published points of 365 days, carried to ten years by the law's power."""
    found = lives.lived(**{**PACK, "model": model, "table": flat(3.699)})
    for law, expected, got in (
        ("capacity_after", 1.0 - loss / 100 * (3652.5 / 365) ** exponent, lives.capacity_after(lived=found, years=10.0)),
        ("resistance_after", 1.0 + growth / 100 * (3652.5 / 365) ** grows, lives.resistance_after(lived=found, years=10.0)),
        ("years_to_end", 365 / 365.25 * (20.0 / loss) ** (1 / exponent), lives.years_to_end(lived=found) / YEAR),
        ("years_to_needed", 365 / 365.25 * (30.0 / loss) ** (1 / exponent), lives.years_to_needed(lived=found) / YEAR),
        ("standing_share", 1.0, lives.standing_share(lived=found, years=10.0)),
    ):  # fmt: skip
        if law.startswith("years") and expected > 60.0:
            assert np.isnan(got)
            continue
        published.check(
            source=source,
            law=law,
            asked=f"{model}: 25 °C, 3.699 V or half charge, standing [1 or years]",
            expected=expected,
            got=got,
            rel=6e-4,
            why="point rounded to four digits; straight within a month",
            keys=(*YEARS, *RESISTANCE),
        )


def test_years_by_a_differential_equation(published) -> None:
    """Standing through seasons and cycling: d(loss)/dt of each power law at the month's stress, by a general solver."""
    months = [celsius(12 + 9 * np.sin(2 * np.pi * (each - 3.5) / 12)) for each in range(12)]
    known = {**PACK, "months": year_of(*months), "speed": 6e6 / YEAR, "rest": 3.0, "laid_up": 0.4, "parked": 0.7}
    found = lives.lived(**known)
    coldest = sorted(range(12), key=lambda each: months[each])[:3]
    # A trip of 25 km takes an eighth of a full charge; each night it is charged, and there is less than one trip a day.
    yearly = 6e6 / 200e3
    loss, worn = [1e-6, 1e-6], 1.0

    def slope(_: float, y: Any, month: int, worn: float) -> list[float]:
        rest = month in coldest
        stands = naumann_2018.naumann_calendar_loss(charge=0.4 if rest else 0.7, temperature=months[month], kelvin=1.0)
        runs = naumann_2020.naumann_cycle_loss(rate=0.5, depth=0.125 / worn)
        cycles = 0.0 if rest else yearly / 9.0 / (YEAR / 12)
        return [0.5 * stands**2 / y[0], 0.5 * runs**2 / y[1] * cycles]

    for month in range(120):
        if month % 12 == 0:
            worn = 1.0 - sum(loss)
        solved = solve_ivp(
            slope, (0.0, YEAR / 12), loss, args=(month % 12, worn), method="LSODA", rtol=1e-9, atol=1e-12
        )
        loss = [float(each) for each in solved.y[:, -1]]
    published.check(
        source=f"scipy {scipy.__version__}, solve_ivp on the laws of Naumann 2018 and 2020, month by month",
        law="lived",
        asked="capacity after ten years of seasons, nightly charging and three months laid up [1]",
        expected=1.0 - sum(loss),
        got=lives.capacity_after(lived=found, years=10.0),
        absolute=2e-5,
        why="the solver must start a little after new",
        keys=YEARS,
    )
    published.check(
        source=f"scipy {scipy.__version__}, solve_ivp on the laws of Naumann 2018 and 2020, month by month",
        law="standing_share",
        asked="the same: what of the loss is by standing [1]",
        expected=loss[0] / sum(loss),
        got=lives.standing_share(lived=found, years=10.0),
        absolute=2e-4,
        why="the solver must start a little after new",
        keys=YEARS,
    )


def test_months_of_the_year(published) -> None:
    names = ("january", "february", "march", "april", "may", "june", "july", "august", "september", "october",
             "november", "december")  # fmt: skip
    entered = {name: 270.0 + at for at, name in enumerate(names)}
    published.check(
        source="by definition: January first, and so much warmer",
        law="months_entered",
        asked="cells in the third month, 2 K above the air [K]",
        expected=274.0,
        got=lives.months_entered(**entered, warmer=2.0, least=200.0).kelvin[2],
        absolute=0.0,
        why="exact",
        keys=YEARS,
    )
    # A place of the temperate north, as climate tables have it: January and July are the coldest and the warmest month.
    season = lives.months_of_season(mean=283.15, swing=5.5, warmer=0.0, least=200.0).kelvin
    for month, asked, expected in ((0, "January, 4.5 to 5.5", 278.15), (6, "July, 14.5 to 16", 288.4)):
        published.check(
            source="climate of Dublin, means of months about 5 °C in January and 15 to 16 °C in July; from memory",
            law="months_of_season",
            asked=f"mean 10 °C, swing 5.5 K: {asked} °C [K]",
            expected=expected,
            got=season[month],
            absolute=1.0,
            why="a sine for a year",
            keys=YEARS,
        )
    heated = lives.months_of_season(mean=283.15, swing=5.5, warmer=1.0, least=286.0).kelvin
    assert min(heated) == 286.0
    assert max(heated) > 288.0


def test_equivalent_time(published) -> None:
    """A cold year and then a hot one: continued from the age at which the heat would have taken as much."""
    rates = [1e-4, 3e-4]
    wear = 0.0
    for rate in rates:
        wear = ageing.wear_after(wear=wear, rate=rate, amount=365.0, exponent=0.75)
    first = rates[0] * 365**0.75
    age = (first / rates[1]) ** (1 / 0.75)
    published.check(
        source="common practice: equivalent time, (loss / rate)^(1/z), as copies of Schmalstieg 2014 do it",
        law="wear_after",
        asked="a cold year, then a hot one, with days to the power 0.75 [1]",
        expected=rates[1] * (age + 365.0) ** 0.75,
        got=ageing.loss_of_wear(wear=wear, exponent=0.75),
        rel=1e-12,
        why="the same, multiplied out",
        keys=YEARS,
    )
    assert ageing.wear_of_loss(loss=ageing.loss_of_wear(wear=wear, exponent=0.75), exponent=0.75) == pytest.approx(wear)


RULE = "common practice, no source: 1,500 charge cycles are said to give some 150,000 miles or ten years"


def test_the_rule_of_thumb(published) -> None:
    """What people are told. The model agrees for LFP at full cycles, and shows what the rule leaves out."""
    published.check(
        source=RULE,
        law="distance_of_cycles",
        asked="1,500 cycles of 100 miles [miles]",
        expected=150_000.0,
        got=ageing.distance_of_cycles(cycles=1500.0, way=100 * 1609.344) / 1609.344,
        rel=1e-9,
        why="a product",
        keys=("life.rule_of_thumb_distance",),
    )
    published.check(
        source=RULE,
        law="years_of",
        asked="150,000 miles at 15,000 miles a year [years]",
        expected=10.0,
        got=ageing.years_of(distance=150_000 * 1609.344, speed=15_000 * 1609.344 / YEAR) / YEAR,
        rel=1e-9,
        why="a quotient",
        keys=("life.rule_of_thumb_years",),
    )
    cycled = percent(naumann_2020.naumann_cycle_loss(rate=1.0, depth=1.0), 1500.0, 0.5)
    stood = percent(naumann_2018.naumann_calendar_loss(charge=0.5, temperature=298.15, kelvin=1.0), 10 * YEAR, 0.5)
    published.check(
        source=f"{RULE}, down to 80 %",
        law="naumann_cycle_loss",
        asked="LFP: capacity after 1,500 full cycles at 1C and ten years at 25 °C and half charge [%]",
        expected=80.0,
        got=100.0 - cycled - stood,
        absolute=4.0,
        why="a rule of thumb",
        keys=YEARS,
    )


def test_full_cycles_by_hand(published) -> None:
    published.check(
        source="by hand: 10,000 km at 200 km a charge",
        law="full_cycles",
        asked="cycles in a year, a tenth more by regeneration [1]",
        expected=55.0,
        got=ageing.full_cycles(speed=10e6 / YEAR, time=YEAR, again=0.1, way=200e3),
        rel=1e-12,
        why="a quotient",
        keys=("life.cycles_per_year",),
    )


def test_balancing_time(published) -> None:
    published.check(
        source="common practice, from memory: t = C Δs / I",
        law="balancing_time",
        asked="2 % of 100 Ah with 100 mA [h]",
        expected=20.0,
        got=ageing.balancing_time(capacity=100 * 3600.0, away=0.02, current=0.1) / 3600.0,
        rel=1e-12,
        why="a quotient",
    )


def test_mean_speed_of_a_drive(published) -> None:
    driven = drive_once(car=COUPE, cells=cells(), asked=known("steady-80"))
    published.check(
        source="by definition of the trip",
        law="mean_speed_of",
        asked="a drive at a steady 80 km/h [km/h]",
        expected=80.0,
        got=3.6 * lives.mean_speed_of(driven=driven),
        rel=1e-6,
        why="it keeps up",
        keys=YEARS,
    )
