"""Ageing: points of the papers' laws."""

from __future__ import annotations

import pytest

from ageing_said import NAUMANN_18, RESISTANCE, SCHMALSTIEG, YEAR, YEARS, celsius, percent
from voltwright.physics import naumann_2018, naumann_2020, schmalstieg_2014, wang_2011, xu_2016

NAUMANN_20 = "Naumann 2020, J. Power Sources 451; constants as in two copies, in percent from memory, points computed"
WANG = "Wang 2011, J. Power Sources 196, 3942; factors 31630, 21681, 12934, 15512 from memory but for 21681"
XU = "Xu 2016, IEEE Trans. Smart Grid 9, 1131; three constants as in a copy, the rest from memory, points computed"
ROUNDED = "as rounded in the source"
DAY = 86400.0


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
