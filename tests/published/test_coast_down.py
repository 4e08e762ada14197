"""Coast-down: against the table of the motorcycle rule, and cars of known coefficients integrated by scipy."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import scipy
from scipy.integrate import solve_ivp

from voltwright.physics.coast_down import (
    Coefficients,
    Run,
    coast_down_time,
    evaluate,
    force_from_slowing,
    in_reference_air,
    mass_with_wheels,
)

SCIPY = f"scipy {scipy.__version__}, integrate.solve_ivp"
TRUE = (135.0, 1.8, 0.43)  # N, N/(m/s), N/(m/s)²
MASS, EFFECTIVE, DENSITY = 1180.0, 1215.0, 1.2

# equivalent inertia mass: A [N], C [N/(km/h)²], time from 70 to 60 km/h [s]
TABLE = {100: (0.0, 0.0224, 2.95), 200: (8.69, 0.0252, 4.85), 300: (17.43, 0.0279, 6.18)}


def rolled(
    mass: float, force: Any, begin: float, end: float, step: float = 0.1, number: int = 1, out: bool = True
) -> Run:
    """A run of a car under a force of its speed, by an integrator that knows nothing of the law."""

    def slow(_time: float, speed: Any) -> Any:
        return [-force(float(speed[0])) / mass]

    def there(_time: float, speed: Any) -> float:
        return float(speed[0]) - end

    there.terminal = True  # type: ignore[attr-defined]
    found: Any = solve_ivp(slow, (0.0, 1000.0), [begin], events=there, dense_output=True, rtol=1e-9, atol=1e-10)
    seconds = np.arange(0.0, found.t[-1], step)
    return Run(number, out, tuple(seconds.tolist()), tuple(found.sol(seconds)[0].tolist()))


def car(speed: float, wind: float = 0.0, grade: float = 0.0) -> float:
    A, B, C = TRUE
    return A + B * speed + C * (speed + wind) ** 2 + MASS * 9.80665 * grade


def noisy(seed: int, pairs: int, wind: float = 0.0, grade: float = 0.0) -> list[Run]:
    """Runs at 10 Hz with a logger that is unsure by 0.1 km/h, tyres and gusts that differ from run to run."""
    chance = np.random.default_rng(seed)
    runs: list[Run] = []
    for number in range(1, pairs + 1):
        for out in (True, False):
            sign = 1.0 if out else -1.0
            gust, tyres = chance.normal(0.0, 0.3), chance.normal(0.0, 2.0)
            force = lambda v, s=sign, g=gust, t=tyres: car(v, s * wind + g, s * grade) + t  # noqa: E731
            begin = 110.0 / 3.6 + chance.normal(0.0, 0.3)
            run = rolled(EFFECTIVE, force, begin, 15.0 / 3.6, number=number, out=out)
            error = chance.normal(0.0, 0.1 / 3.6, len(run.speed))
            runs.append(Run(number, out, run.seconds, tuple((np.array(run.speed) + error).tolist())))
    return runs


@pytest.mark.parametrize("kilograms", TABLE)
def test_table_of_the_motorcycle_rule(published, kilograms: int) -> None:
    A, C, seconds = TABLE[kilograms]
    source = "40 CFR 86.529-98 figure F98-9, read"
    got = coast_down_time(
        effective_mass=float(kilograms), A=A, B=0.0, C=C * 3.6**2, before=70.0 / 3.6, after=60.0 / 3.6
    )
    published.check(
        source=source, law="coast_down_time", asked=f"{kilograms} kg, 70 to 60 km/h [s]", expected=seconds, got=got,
        rel=0.007, why="C is printed to three digits; at 60 km/h that is up to half a percent",
    )  # fmt: skip
    mean = force_from_slowing(effective_mass=float(kilograms), before=70.0 / 3.6, after=60.0 / 3.6, interval=seconds)
    published.check(
        source=source, law="force_from_slowing", asked=f"{kilograms} kg, force at 65 km/h [N]",
        expected=A + C * 65.0**2, got=mean, rel=0.01, why="the mean force over the fall is that at its middle, to 0.5 %",
    )  # fmt: skip


@pytest.mark.parametrize("kilograms", TABLE)
def test_table_of_the_motorcycle_rule_from_its_runs(published, kilograms: int) -> None:
    """Runs with the printed coefficients, evaluated: they come out, and with them the printed time."""
    A, C, seconds = TABLE[kilograms]
    runs = [
        rolled(float(kilograms), lambda v: A + C * 3.6**2 * v * v, 110.0 / 3.6, 15.0 / 3.6, number=number, out=out)
        for number in (1, 2, 3)
        for out in (True, False)
    ]
    found = evaluate(runs, float(kilograms), 1.2, 1.2, linear=False)
    source = "40 CFR 86.529-98 figure F98-9, read"
    published.check(
        source=source, law="evaluate", asked=f"{kilograms} kg, A [N]", expected=A, got=found.A, absolute=0.02,
        why="the integral is a sum of straight pieces of 0.1 s",
    )  # fmt: skip
    published.check(
        source=source, law="evaluate", asked=f"{kilograms} kg, C [N/(km/h)²]", expected=C, got=found.C / 3.6**2,
        rel=1e-4, why="the integral is a sum of straight pieces of 0.1 s",
    )  # fmt: skip
    time = coast_down_time(
        effective_mass=float(kilograms), A=found.A, B=found.B, C=found.C, before=70.0 / 3.6, after=60.0 / 3.6
    )
    published.check(
        source=source, law="evaluate, coast_down_time", asked=f"{kilograms} kg, 70 to 60 km/h [s]", expected=seconds,
        got=time, rel=0.007, why="as above",
    )  # fmt: skip


def test_time_against_an_integrator(published) -> None:
    run = rolled(EFFECTIVE, car, 30.0, 5.0, step=0.001)
    A, B, C = TRUE
    published.check(
        source=SCIPY, law="coast_down_time", asked="108 to 18 km/h [s]", expected=run.seconds[-1],
        got=coast_down_time(effective_mass=EFFECTIVE, A=A, B=B, C=C, before=30.0, after=run.speed[-1]), absolute=1e-4,
        why="the integrator's tolerance",
    )  # fmt: skip


def test_known_car_without_noise(published) -> None:
    runs = [rolled(EFFECTIVE, car, 30.0, 4.0, number=n, out=out) for n in (1, 2, 3) for out in (True, False)]
    found = evaluate(runs, EFFECTIVE, DENSITY, DENSITY)
    for name, expected, got, rel in zip("ABC", TRUE, (found.A, found.B, found.C), (1e-4, 1e-3, 1e-4), strict=True):
        published.check(
            source=SCIPY, law="evaluate", asked=f"{name} of a known car, no noise", expected=expected, got=got, rel=rel,
            why="the integral is a sum of straight pieces of 0.1 s",
        )  # fmt: skip


def test_wind_and_slope_cancel(published) -> None:
    """2 m/s of wind and 0.3 % of slope: A keeps C·w² of the wind, and nothing else is left of either."""
    runs = [
        rolled(EFFECTIVE, lambda v, s=s: car(v, 2.0 * s, 0.003 * s), 30.0, 4.0, number=number, out=s > 0)
        for number in (1, 2, 3)
        for s in (1.0, -1.0)
    ]
    found = evaluate(runs, EFFECTIVE, DENSITY, DENSITY)
    A, B, C = TRUE
    for name, expected, got, rel in (
        ("A", A + C * 2.0**2, found.A, 1e-4),
        ("B", B, found.B, 1e-3),
        ("C", C, found.C, 1e-4),
    ):
        published.check(
            source=f"{SCIPY}; the square of the wind is what a mean of both directions keeps", law="evaluate",
            asked=f"{name} with wind and slope", expected=expected, got=got, rel=rel,
            why="the integral is a sum of straight pieces of 0.1 s",
        )  # fmt: skip


def sigmas(found: Coefficients) -> list[float]:
    """How many standard uncertainties each coefficient is off; the gusts' mean square is part of the truth."""
    truth = (TRUE[0] + TRUE[2] * 0.3**2, TRUE[1], TRUE[2])
    got = (found.A, found.B, found.C)
    return [(a - b) / u for a, b, u in zip(got, truth, found.uncertainty, strict=True)]


@pytest.mark.parametrize("pairs", [3, 6])
def test_uncertainty_is_honest(published, pairs: int) -> None:
    """Over many workshops the truth must lie within one standard uncertainty in about 68 % of cases, of each coefficient."""
    workshops = 60
    off = np.array(
        [sigmas(evaluate(noisy(1000 * pairs + seed, pairs), EFFECTIVE, DENSITY, DENSITY)) for seed in range(workshops)]
    )
    for at, name in enumerate("ABC"):
        published.check(
            source="definition of a standard uncertainty (GUM, Student's t for few runs)", law="evaluate",
            asked=f"{name}: share of {workshops} sets of {pairs} pairs within one", expected=0.683,
            got=float(np.mean(np.abs(off[:, at]) < 1.0)), absolute=0.18,
            why="three binomial standard deviations of 60 sets",
        )  # fmt: skip


def test_known_car_with_noise(published) -> None:
    found = evaluate(noisy(7, 8), EFFECTIVE, DENSITY, DENSITY)
    for name, expected, got, unsure in zip("ABC", TRUE, (found.A, found.B, found.C), found.uncertainty, strict=True):
        published.check(
            source=SCIPY, law="evaluate", asked=f"{name} of a known car, eight pairs with noise", expected=expected,
            got=got, absolute=2.5 * unsure, why="two and a half of its own standard uncertainties",
        )  # fmt: skip
    force, unsure = found.force(80.0 / 3.6)
    published.check(
        source=SCIPY, law="evaluate", asked="force at 80 km/h [N]", expected=car(80.0 / 3.6), got=force,
        absolute=2.5 * unsure, why="two and a half of its own standard uncertainties",
    )  # fmt: skip
    assert unsure < 0.01 * force
    assert found.pairs == 8


def test_reference_air(published) -> None:
    """C belongs to the air: 40 CFR 1066.305 refers it to 20 °C and 98.21 kPa, 1.167 kg/m³."""
    source = "SAE J1263, correction to reference air, from memory; reference air of 40 CFR 1066.305, read"
    runs = noisy(3, 3)
    found, referred = evaluate(runs, EFFECTIVE, 1.24, 1.24), evaluate(runs, EFFECTIVE, 1.24, 1.167)
    expected = found.C * 1.167 / 1.24
    for asked, got, wanted in (
        ("C [N/(m/s)²]", referred.C, expected),
        ("its uncertainty", referred.uncertainty[2], found.uncertainty[2] * 1.167 / 1.24),
        ("A, which stays [N]", referred.A, found.A),
    ):
        published.check(source=source, law="evaluate", asked=asked, expected=wanted, got=got, rel=1e-12, why="a ratio")
    published.check(
        source=source, law="in_reference_air", asked="C [N/(m/s)²]", expected=expected,
        got=in_reference_air(C=found.C, reference_density=1.167, density=1.24), rel=1e-12, why="a ratio",
    )  # fmt: skip


def test_mass_of_turning_wheels(published) -> None:
    published.check(
        source="40 CFR 1066.310, read: 56.7 kg for each tyre on the road", law="mass_with_wheels",
        asked="7000 kg on six tyres [kg]", expected=7340.2,
        got=mass_with_wheels(mass=7000.0, wheels=6.0, wheel_mass=56.7), absolute=1e-9, why="arithmetic",
    )  # fmt: skip


def test_too_few_runs() -> None:
    with pytest.raises(ValueError, match="at least 3 pairs"):
        evaluate(noisy(1, 2), EFFECTIVE, DENSITY, DENSITY)
