"""Ageing: points of the papers' laws, cycle counting against ASTM E1049 and the rainflow package, years against scipy."""

from __future__ import annotations

import importlib.metadata
from typing import Any

import numpy as np
import pytest
import rainflow  # pyright: ignore[reportMissingImports, reportMissingTypeStubs]
import scipy
from scipy.integrate import quad, solve_ivp

from kernel_cars import COUPE, cells, known
from voltwright.kernels import life, lives
from voltwright.kernels.journey import drive_once
from voltwright.kernels.rainflow import rainflow_cycles
from voltwright.physics import ageing, naumann_2018, naumann_2020, schmalstieg_2014, wang_2011, xu_2016
from voltwright.quantity.table import Curve

YEARS = ("life.years_to_80", "life.capacity_at_10_years", "life.calendar_share")
RESISTANCE = ("life.resistance_at_10_years",)
SCHMALSTIEG = (
    "Schmalstieg 2014, J. Power Sources 257, 325; constants as in four copies that agree, points computed from them"
)
NAUMANN_18 = "Naumann 2018, J. Energy Storage 17, 153; constants as in a copy, points computed from them"
NAUMANN_20 = "Naumann 2020, J. Power Sources 451; constants as in two copies, in percent from memory, points computed"
WANG = "Wang 2011, J. Power Sources 196, 3942; factors 31630, 21681, 12934, 15512 from memory but for 21681"
XU = "Xu 2016, IEEE Trans. Smart Grid 9, 1131; three constants as in a copy, the rest from memory, points computed"
ROUNDED = "as rounded in the source"
DAY, YEAR = 86400.0, 365.25 * 86400.0


def celsius(value: float) -> float:
    return value + 273.15


def percent(rate: float, amount: float, exponent: float) -> float:
    """Loss of a new cell at one stress. [%]"""
    wear = ageing.wear_after(wear=0.0, rate=rate, amount=amount, exponent=exponent)
    return 100.0 * ageing.loss_of_wear(wear=wear, exponent=exponent)


@pytest.mark.parametrize(
    ("volt", "warm", "loss", "growth"),
    [(3.699, 50.0, 14.608, 23.903), (3.699, 25.0, 2.390, 5.057), (4.1, 25.0, 4.132, 8.424)],
)
def test_schmalstieg_standing(published, volt: float, warm: float, loss: float, growth: float) -> None:
    at = {"voltage": volt, "temperature": celsius(warm), "volt": 1.0, "kelvin": 1.0}
    for law, expected, keys in (
        (schmalstieg_2014.schmalstieg_calendar_loss, loss, YEARS),
        (schmalstieg_2014.schmalstieg_calendar_growth, growth, RESISTANCE),
    ):
        published.check(
            source=SCHMALSTIEG,
            law=law.__name__,
            asked=f"{volt:g} V, {warm:g} °C, 365 days [%]",
            expected=expected,
            got=percent(law(**at), 365.0, 0.75),
            absolute=1e-3,
            why=ROUNDED,
            keys=keys,
        )


def test_schmalstieg_cycling(published) -> None:
    at = {"voltage": 3.7, "depth": 0.5, "volt": 1.0}
    published.check(
        source=SCHMALSTIEG,
        law="schmalstieg_cycle_loss",
        asked="3.7 V, depth 50 %, 1000 Ah [%]",
        expected=8.881,
        got=percent(schmalstieg_2014.schmalstieg_cycle_loss(**at), 1000.0, 0.5),
        absolute=1e-3,
        why=ROUNDED,
        keys=YEARS,
    )
    published.check(
        source=SCHMALSTIEG,
        law="schmalstieg_cycle_growth",
        asked="3.7 V, depth 50 %, 1000 Ah [%]",
        expected=12.482,
        got=1e5 * schmalstieg_2014.schmalstieg_cycle_growth(**at),
        absolute=1e-3,
        why=ROUNDED,
        keys=RESISTANCE,
    )
    published.check(
        source="Schmalstieg 2014, text after equation 21, as noted in a copy",
        law="schmalstieg_cycle_growth",
        asked="3.725 V, depth 0: held at the floor [1/Ah]",
        expected=1.5e-5,
        got=schmalstieg_2014.schmalstieg_cycle_growth(voltage=3.725, depth=0.0, volt=1.0),
        rel=1e-12,
        why="a floor",
        keys=RESISTANCE,
    )
    published.check(
        source="Schmalstieg 2014: the tested cell holds 2.05 Ah; that both directions count: from a copy",
        law="schmalstieg_throughput",
        asked="100 full cycles of a 50 Ah cell, charge and discharge [Ah of the tested cell]",
        expected=100 * 2 * 2.05,
        got=schmalstieg_2014.schmalstieg_throughput(throughput=100 * 2 * 50 * 3600.0, capacity=50 * 3600.0),
        rel=1e-12,
        why="a ratio",
        keys=YEARS,
    )


@pytest.mark.parametrize(("warm", "charge", "loss"), [(25.0, 0.5, 4.252), (40.0, 1.0, 9.430)])
def test_naumann_standing(published, warm: float, charge: float, loss: float) -> None:
    rate = naumann_2018.naumann_calendar_loss(charge=charge, temperature=celsius(warm), kelvin=1.0)
    published.check(
        source=NAUMANN_18,
        law="naumann_calendar_loss",
        asked=f"{warm:g} °C, charge {charge:.0%}, 365 days [%]",
        expected=loss,
        got=percent(rate, 365.0 * DAY, 0.5),
        absolute=1e-3,
        why=ROUNDED,
        keys=YEARS,
    )


def test_naumann_standing_resistance(published) -> None:
    rate = naumann_2018.naumann_calendar_growth(charge=0.5, temperature=celsius(25.0), kelvin=1.0)
    published.check(
        source=NAUMANN_18,
        law="naumann_calendar_growth",
        asked="25 °C, charge 50 %, 365 days [%]",
        expected=1.683,
        got=100.0 * rate * 365.0 * DAY,
        absolute=1e-3,
        why=ROUNDED,
        keys=RESISTANCE,
    )


@pytest.mark.parametrize(("rate", "depth", "loss"), [(1.0, 1.0, 6.834), (0.5, 0.8, 4.573)])
def test_naumann_cycling(published, rate: float, depth: float, loss: float) -> None:
    published.check(
        source=NAUMANN_20,
        law="naumann_cycle_loss",
        asked=f"{rate:g}C, depth {depth:.0%}, 1000 full equivalent cycles [%]",
        expected=loss,
        got=percent(naumann_2020.naumann_cycle_loss(rate=rate, depth=depth), 1000.0, 0.5),
        absolute=1e-3,
        why=ROUNDED,
        keys=YEARS,
    )


@pytest.mark.parametrize(("rate", "expected"), [(0.5, 0.0011 * 0.9182 * 1000.0), (1.05, 0.0), (2.0, 0.0)])
def test_naumann_cycling_resistance(published, rate: float, expected: float) -> None:
    published.check(
        source=f"{NAUMANN_20}; form from memory, by hand; nothing above 1.05C, where it would turn negative",
        law="naumann_cycle_growth",
        asked=f"{rate:g}C, depth 50 %, 1000 full equivalent cycles [%]",
        expected=expected,
        got=1e5 * naumann_2020.naumann_cycle_growth(rate=rate, depth=0.5),
        absolute=1e-9,
        why="by hand",
        keys=RESISTANCE,
    )


@pytest.mark.parametrize(("rate", "factor"), [(0.5, 31630.0), (2.0, 21681.0), (6.0, 12934.0), (10.0, 15512.0)])
def test_wang_factor(published, rate: float, factor: float) -> None:
    published.check(
        source=WANG,
        law="wang_factor",
        asked=f"factor at {rate:g}C [1]",
        expected=factor,
        got=wang_2011.wang_factor(rate=rate),
        absolute=0.11,
        why="the cubic passes within 0.1 of the four",
        keys=("life.capacity_at_10_years_second",),
    )


def test_wang_at_sixty_degrees(published) -> None:
    factor = wang_2011.wang_factor(rate=0.5)
    got = percent(
        wang_2011.wang_cycle_loss(factor=factor, rate=0.5, temperature=333.15, kelvin=1.0), 2.2 * 0.9 * 754.0, 0.55
    )
    published.check(
        source="Wang 2011: some 20 % are lost after 754 cycles at C/2, 90 % depth and 60 °C; from memory",
        law="wang_cycle_loss",
        asked="loss after 754 cycles [%]",
        expected=20.1,
        got=got,
        absolute=2.0,
        why="a law fitted to measurements, here against one of them",
        keys=("life.capacity_at_10_years_second",),
    )


@pytest.mark.parametrize(("depth", "stress"), [(1.0, 5.882e-5), (0.8, 2.980e-5), (0.5, 1.331e-5)])
def test_xu_depth(published, depth: float, stress: float) -> None:
    published.check(
        source=XU,
        law="xu_depth_stress",
        asked=f"stress of a cycle of depth {depth:.0%} [1]",
        expected=stress,
        got=xu_2016.xu_depth_stress(depth=depth),
        rel=3e-4,
        why=ROUNDED,
    )


@pytest.mark.parametrize(("cycles", "loss"), [(1000, 11.13), (3000, 21.00)])
def test_xu_loss(published, cycles: int, loss: float) -> None:
    wear = cycles * xu_2016.xu_depth_stress(depth=1.0)
    published.check(
        source=XU,
        law="xu_loss",
        asked=f"{cycles} cycles of 100 % at 25 °C, wear of time left out [%]",
        expected=loss,
        got=100.0 * xu_2016.xu_loss(wear=wear),
        absolute=6e-3,
        why=ROUNDED,
    )


def test_xu_at_its_reference(published) -> None:
    """At half charge and 25 °C nothing is multiplied; ten years of standing there."""
    neutral = xu_2016.xu_charge_stress(charge=0.5) * xu_2016.xu_temperature_stress(
        temperature=298.15, reference=298.15, kelvin=1.0
    )
    published.check(
        source=XU,
        law="xu_temperature_stress",
        asked="stress at 25 °C and half charge, over the reference [1]",
        expected=1.0,
        got=neutral,
        rel=1e-12,
        why="exact",
    )
    published.check(
        source=XU,
        law="xu_time_stress",
        asked="wear of ten years at half charge and 25 °C [1]",
        expected=4.14e-10 * 10 * YEAR,
        got=xu_2016.xu_time_stress(time=10 * YEAR, second=1.0),
        rel=1e-12,
        why="exact",
    )


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
