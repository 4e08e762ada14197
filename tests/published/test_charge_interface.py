"""Control pilot, cable coding and power of a supply: every point of the tables that copies of IEC 61851-1 print."""

from __future__ import annotations

import numpy as np
import pytest
import scipy
from scipy.optimize import brentq

from voltwright.parts.charge_coding import cable_codes, pilot_states, read_cable
from voltwright.physics import charge_interface as law

MANUAL = "IEC 61851-1 annex A, as printed in the manual of a test adapter"
PAGE = "IEC 61851-1 annex A, as copied by a page that cites it"
CONTROLLER = "IEC 61851-1 annex B, as printed in the manual of a charge controller"
KEYS = ("charge.time_full.SUPPLY",)

POINTS = {16: 9.6, 27: 16.2, 50: 30.0, 53: 31.8, 85: 51.0, 86: 55.0, 90: 65.0, 96: 80.0}
RANGES = {8: 6.0, 9: 6.0, 9.9: 6.0, 10: 6.0, 96.5: 80.0, 97: 80.0}
NOTHING = [0, 2.9, 3.5, 4.5, 5, 5.5, 6.5, 7, 7.5, 7.99, 97.5, 100]


@pytest.mark.parametrize(("percent", "ampere"), [*POINTS.items(), *RANGES.items()])
def test_current_of_a_duty(published, percent: float, ampere: float) -> None:
    published.check(
        source=MANUAL, law="pilot_current", asked=f"duty {percent:g} % [A]", expected=ampere,
        got=law.pilot_current(duty=percent / 100), absolute=1e-9, why="a table", keys=KEYS,
    )  # fmt: skip


@pytest.mark.parametrize("percent", NOTHING)
def test_duty_that_allows_no_current(published, percent: float) -> None:
    published.check(
        source=MANUAL, law="pilot_current", asked=f"duty {percent:g} %, by this wire alone [A]", expected=0.0,
        got=law.pilot_current(duty=percent / 100), absolute=0.0, why="no charging, or digital communication only",
    )  # fmt: skip


def test_step_between_the_two_ranges(published) -> None:
    """51.0 A at 85 %, 55.0 A at 86 %: 4 A for one percent, where 0.6 A or 2.5 A are usual."""
    got = law.pilot_current(duty=0.86) - law.pilot_current(duty=0.85)
    published.check(
        source=MANUAL, law="pilot_current", asked="step from 85 to 86 % [A]", expected=4.0, got=got, absolute=1e-9,
        why="the two straight lines do not meet",
    )  # fmt: skip
    just_above = law.pilot_current(duty=0.850001) - law.pilot_current(duty=0.85)
    assert just_above == pytest.approx(1.5, abs=0.01)


# computed from the two straight lines
DUTIES = {6: 10.0, 10: 16.67, 16: 26.67, 32: 53.33, 63: 89.2, 80: 96.0}


@pytest.mark.parametrize(("ampere", "percent"), DUTIES.items())
def test_duty_of_a_current(published, ampere: float, percent: float) -> None:
    published.check(
        source=f"{MANUAL}; solved for the duty", law="pilot_duty", asked=f"{ampere} A [%]", expected=percent,
        got=law.pilot_duty(current=float(ampere)) * 100, absolute=0.005, why="two decimals",
    )  # fmt: skip
    assert law.pilot_current(duty=law.pilot_duty(current=float(ampere))) == pytest.approx(ampere)


def test_no_duty_allows_more_than_the_current_that_was_meant() -> None:
    current = np.linspace(6.0, 80.0, 400)
    allowed = law.pilot_current(duty=law.pilot_duty(current=current))  # type: ignore[arg-type]
    assert np.all(allowed <= current + 1e-6)
    assert np.all(allowed >= current - 1.5 - 1e-6)


@pytest.mark.parametrize("state", ["B", "C", "D"])
def test_voltage_of_a_state(published, state: str) -> None:
    known = next(each for each in pilot_states() if each.state == state)
    assert known.ohm is not None
    got = law.pilot_voltage(source=law.PILOT_SOURCE, series=law.PILOT_SERIES, diode=law.DIODE, load=known.ohm)
    published.check(
        source=f"{PAGE}; 1 kΩ and 0.7 V from memory", law="pilot_voltage", asked=f"state {state} [V]",
        expected={"B": 9.0, "C": 6.0, "D": 3.0}[state], got=got, absolute=0.07, why="nominal voltages; a diode varies",
    )  # fmt: skip

    def current(volt: float) -> float:
        return (law.PILOT_SOURCE - volt) / law.PILOT_SERIES - (volt - law.DIODE) / (known.ohm or 1.0)

    published.check(
        source=f"scipy {scipy.__version__}, optimize.brentq on Kirchhoff's current law", law="pilot_voltage",
        asked=f"state {state} [V]", expected=float(brentq(current, 0.0, 12.0)), got=got, rel=1e-9, why="the same circuit",  # type: ignore[arg-type]
    )  # fmt: skip


def test_states_of_the_pilot(published) -> None:
    expected = {"A": 12, "B": 9, "C": 6, "D": 3, "E": 0, "F": -12}
    for state in pilot_states():
        published.check(
            source=PAGE, law="pilot states", asked=f"state {state.state} [V]", expected=expected[state.state],
            got=state.volt, absolute=0.0, why="a table",
        )  # fmt: skip


def test_resistors_of_the_car(published) -> None:
    """2.74 kΩ is always there; 1.3 kΩ beside it makes state C, 882 Ω."""
    published.check(
        source=PAGE, law="in_parallel", asked="2.74 kΩ and 1.3 kΩ [Ω]", expected=882.0,
        got=law.in_parallel(first=2740.0, second=1300.0), absolute=0.5, why="printed to the ohm",
    )  # fmt: skip


# nominal Ω: A with three phases, A with one
CODES = {1500: (13, 13), 680: (20, 20), 220: (32, 32), 100: (63, 70)}
WINDOWS = {2200: 13, 1001: 13, 999: 20, 331: 20, 329: 32, 151: 32, 149: 63, 75: 63}


@pytest.mark.parametrize("ohm", CODES)
def test_coding_of_a_cable(published, ohm: int) -> None:
    code = read_cable(float(ohm))
    assert code is not None
    assert code.ohm == ohm
    for phases, expected in zip((3, 1), CODES[ohm], strict=True):
        published.check(
            source=CONTROLLER, law="cable coding", asked=f"{ohm} Ω, {phases}-phase [A]", expected=expected,
            got=code.current(phases), absolute=0.0, why="a table", keys=KEYS,
        )  # fmt: skip


@pytest.mark.parametrize("ohm", WINDOWS)
def test_window_of_a_coding(published, ohm: int) -> None:
    code = read_cable(float(ohm))
    published.check(
        source=CONTROLLER, law="cable coding", asked=f"{ohm} Ω [A]", expected=WINDOWS[ohm],
        got=code.ampere if code else 0.0, absolute=0.0, why="a table",
    )  # fmt: skip


def test_windows_leave_no_gap() -> None:
    codes = cable_codes()
    assert [code.most for code in codes[:-1]] == [code.least for code in codes[1:]]
    assert all(code.least < code.ohm < code.most for code in codes)


# phases, V, A: kW as commonly printed on charging points
SUPPLIES = [(1.0, 230.0, 16.0, 3.68), (1.0, 230.0, 32.0, 7.36), (3.0, 230.0, 16.0, 11.04), (3.0, 230.0, 32.0, 22.08)]


@pytest.mark.parametrize(("phases", "volt", "ampere", "kilowatt"), SUPPLIES)
def test_power_of_a_supply(published, phases: float, volt: float, ampere: float, kilowatt: float) -> None:
    """Three phases against the line-to-line form, √3 U I, of any circuit text."""
    got = law.supply_power(phases=phases, voltage=volt, current=ampere)
    published.check(
        source="powers printed on charging points (3.7, 7.4, 11 and 22 kW), common practice", law="supply_power",
        asked=f"{phases:g} × {volt:g} V, {ampere:g} A [kW]", expected=kilowatt, got=got / 1000, rel=1e-9, why="arithmetic",
        keys=KEYS,
    )  # fmt: skip
    if phases == 3.0:
        line = volt * np.sqrt(3.0)
        published.check(
            source="three-phase power √3 U I, any circuit text", law="supply_power", asked=f"{line:.0f} V [W]",
            expected=float(np.sqrt(3.0) * line * ampere), got=got, rel=1e-12, why="the same power",
        )  # fmt: skip
