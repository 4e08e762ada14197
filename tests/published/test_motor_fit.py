"""Fits of a motor: against a textbook's constants, scipy's solvers, and the equivalent circuit of an induction motor."""

from __future__ import annotations

import math

import numpy as np
import pytest
import scipy
from scipy.integrate import solve_ivp
from scipy.optimize import minimize_scalar, nnls

from voltwright.parts.drive import Motor
from voltwright.parts.shelf import catalogue
from voltwright.physics import motor_fit as law
from voltwright.physics.motor_fit import LossPoints
from voltwright.quantity.table import Curve

SCIPY = f"scipy {scipy.__version__}"
BOOK = "Larminie, Lowry (2012), ch. 8, constants of the example car's motor (from memory; copies of its script agree)"
CONSTANTS = {"copper": 0.3, "iron": 0.01, "windage": 5e-6, "constant": 600.0}
FITS = {
    "copper": law.copper_of_points,
    "iron": law.iron_of_points,
    "windage": law.windage_of_points,
    "constant": law.constant_of_points,
}
MEASURED = [part_id for part_id in catalogue().ids("motor") if catalogue().take(part_id, Motor).losses]


def book_loss(torque: float, speed: float) -> float:
    return 0.3 * torque**2 + 0.01 * speed + 5e-6 * speed**3 + 600.0


def book_efficiency(torque: float, speed: float) -> float:
    return torque * speed / (torque * speed + book_loss(torque, speed))


@pytest.fixture(scope="module")
def book_points() -> LossPoints:
    points = [(w, t, book_efficiency(t, w)) for w in (100.0, 300.0, 500.0, 700.0, 900.0) for t in (20.0, 60.0, 140.0)]
    speed, torque, efficiency = zip(*points, strict=True)
    return LossPoints(speed, torque, efficiency)


@pytest.mark.parametrize("loss", FITS)
def test_constants_of_the_textbook_come_back(published, book_points: LossPoints, loss: str) -> None:
    published.check(
        source=BOOK,
        law=FITS[loss].__name__,
        asked=f"{loss} loss from 15 points of efficiency by the book's constants",
        expected=CONSTANTS[loss],
        got=FITS[loss](points=book_points),
        rel=1e-6,
        why="the points hold nothing but the model",
    )


@pytest.mark.parametrize("part_id", MEASURED)
def test_fit_is_that_of_scipy(published, part_id: str) -> None:
    points = catalogue().take(part_id, Motor).losses
    assert points is not None
    expected = by_scipy(points)
    for wanted, fit in zip(expected, FITS.values(), strict=True):
        published.check(
            source=f"{SCIPY}, optimize.nnls",
            law=fit.__name__,
            asked=f"{part_id}, rows divided by the power that goes in",
            expected=wanted,
            got=fit(points=points),
            rel=1e-7,
            absolute=1e-12,
            why="one least value, found in two ways",
        )
    speed, torque, efficiency = points.speed, points.torque, points.efficiency
    squares = [(modelled(expected, t, w) - e) ** 2 for w, t, e in zip(speed, torque, efficiency, strict=True)]
    published.check(
        source=f"{SCIPY}, optimize.nnls",
        law="misfit_of_points",
        asked=f"{part_id}, rms of efficiency",
        expected=math.sqrt(sum(squares) / len(squares)),
        got=law.misfit_of_points(points=points),
        rel=1e-6,
        why="one least value, found in two ways",
    )


@pytest.mark.parametrize("seed", range(40))
def test_fit_is_that_of_scipy_where_terms_must_go(seed: int) -> None:
    """Points without any sense: most of the terms are at zero."""
    random = np.random.default_rng(seed)
    rows = [tuple(float(each) for each in row) for row in random.uniform((50, 5, 0.3), (900, 200, 0.98), (12, 3))]
    speed, torque, efficiency = zip(*rows, strict=True)
    points = LossPoints(speed, torque, efficiency)
    assert law.loss_coefficients(points) == pytest.approx(by_scipy(points), rel=1e-6, abs=1e-12)


def by_scipy(points: LossPoints) -> list[float]:
    rows, wanted = [], []
    for w, t, e in zip(points.speed, points.torque, points.efficiency, strict=True):
        power_in = t * w / e
        rows.append([t * t / power_in, w / power_in, w**3 / power_in, 1 / power_in])
        wanted.append(1 - e)
    size = np.linalg.norm(rows, axis=0)
    return list(nnls(np.array(rows) / size, np.array(wanted))[0] / size)


def modelled(coefficients: list[float], torque: float, speed: float) -> float:
    copper, iron, windage, constant = coefficients
    return torque * speed / (torque * speed + copper * torque**2 + iron * speed + windage * speed**3 + constant)


@pytest.mark.parametrize("speed", [200.0, 500.0, 900.0])
def test_half_of_the_loss_is_copper_at_the_best_torque(published, speed: float) -> None:
    """The best torque is searched by scipy on the book's efficiency; the four laws give the book's constants back."""
    torque = minimize_scalar(
        lambda t: -book_efficiency(t, speed), bounds=(1, 400), method="bounded", options={"xatol": 1e-9}
    ).x
    whole, best = book_loss(torque, speed), {"efficiency": book_efficiency(torque, speed), "torque": torque}
    share = {"iron": 0.01 * speed / whole, "windage": 5e-6 * speed**3 / whole, "constant": 600 / whole}
    got = {
        "copper": law.copper_from_best(**best, speed=speed),
        "iron": law.iron_from_best(**best, share=share["iron"]),
        "windage": law.windage_from_best(**best, speed=speed, share=share["windage"]),
        "constant": law.constant_from_best(**best, speed=speed, share=share["constant"]),
    }
    assert sum(share.values()) == pytest.approx(0.5, abs=1e-6)
    for loss, value in got.items():
        published.check(
            source=f"{BOOK}; {SCIPY}, optimize.minimize_scalar",
            law=f"{loss}_from_best",
            asked=f"{loss} loss from the best point at {speed:g} rad/s",
            expected=CONSTANTS[loss],
            got=value,
            rel=1e-5,
            why="the search stops near the best torque, where the efficiency hardly changes",
        )


# An induction motor on its equivalent circuit, per phase; common sizes, no source.
PHASE_VOLTAGE, PAIRS, STATOR, ROTOR, LEAKAGE = 130.0, 2, 0.004, 0.01, 0.28e-3  # V, pole pairs, Ω, Ω, H (both leakages)
CONSTANT_POWER = 80e3


def pull_out(frequency: float) -> tuple[float, float]:
    """Speed [rad/s] and greatest torque at an electrical frequency [rad/s], searched over the slip."""

    def torque(slip: float) -> float:
        impedance = (STATOR + ROTOR / slip) ** 2 + (frequency * LEAKAGE) ** 2
        return 3 * PHASE_VOLTAGE**2 * (ROTOR / slip) / impedance * PAIRS / frequency

    found = minimize_scalar(lambda s: -torque(s), bounds=(1e-4, 0.5), method="bounded", options={"xatol": 1e-10}).x
    return (1 - found) * frequency / PAIRS, torque(found)


@pytest.fixture(scope="module")
def circuit() -> Curve:
    """The torque that the circuit gives, where neither the current (220 N·m) nor the power limits it."""
    points = [(0.0, 220.0)]
    for frequency in np.linspace(400, 2600, 12):
        speed, torque = pull_out(float(frequency))
        points.append((speed, min(220.0, CONSTANT_POWER / speed, torque)))
    speed, torque = zip(*points, strict=True)
    return Curve(speed, torque)


MOHAN = "Mohan, Undeland, Robbins (2003), ch. 14, equivalent circuit of an induction motor (from memory)"


def test_pull_out_falls_with_the_square_of_speed(published, circuit: Curve) -> None:
    assert sum(t * w < 0.98 * CONSTANT_POWER for w, t in zip(circuit.x[-4:], circuit.y[-4:], strict=True)) == 4
    published.check(
        source=MOHAN,
        law="pull_out_of_curve",
        asked="torque times speed squared of 3/2 · V² / (pole pairs · leakage inductance)",
        expected=1.5 * PHASE_VOLTAGE**2 / (PAIRS * LEAKAGE),
        got=float(law.pull_out_of_curve(curve=circuit, power=CONSTANT_POWER)),
        rel=0.06,
        why="it leaves out the resistance of the stator and twice the slip: 1 and 4 % of it, in the mean",
    )
    published.check(
        source=MOHAN,
        law="misfit_of_curve",
        asked="envelope against the torque of the circuit",
        expected=0.0,
        got=float(law.misfit_of_curve(curve=circuit, power=CONSTANT_POWER)),
        absolute=0.05,
        why="the slip at pull-out changes with the frequency",
    )


def test_power_of_a_curve(published, circuit: Curve) -> None:
    published.check(
        source="Ehsani et al. (2018), ch. 4, constant power above base speed (from memory)",
        law="power_of_curve",
        asked="constant power of a curve that holds it from 4000 to 9000 rpm",
        expected=CONSTANT_POWER,
        got=float(law.power_of_curve(curve=circuit, power=85e3)),
        rel=1e-9,
        why="points of the curve lie on the hyperbola",
    )


@pytest.mark.parametrize(("peak_time", "share"), [(30.0, 0.5), (60.0, 0.45), (20.0, 0.9)])
def test_winding_reaches_its_limit_after_the_peak_time(published, peak_time: float, share: float) -> None:
    """Temperature rise as a share of that allowed for ever, with the heat of the peak put in from cold."""
    tau = float(law.heating_time(peak_time=peak_time, share=share))
    run = solve_ivp(lambda _, rise: (1 / share**2 - rise) / tau, (0, peak_time), [0.0], rtol=1e-10, atol=1e-12)
    published.check(
        source=f"{SCIPY}, integrate.solve_ivp; IEC 60034-1, duty S2 (from memory)",
        law="heating_time",
        asked=f"rise after {peak_time:g} s of peak at a continuous share of {share:g}",
        expected=1.0,
        got=float(run.y[0, -1]),
        rel=1e-8,
        why="the same equation, stepped",
    )


def test_torque_of_three_sine_phases(published) -> None:
    """Mean of the three products of voltage and current over a turn, divided by the speed."""
    emf, current, speed = 0.38, 250.0, 120.0  # V·s/rad rms line to line, A rms, rad/s
    angle = np.linspace(0, 2 * np.pi, 3600, endpoint=False)
    phases = [angle - k * 2 * np.pi / 3 for k in range(3)]
    voltage = emf * speed / math.sqrt(3) * math.sqrt(2)
    power = sum(voltage * np.sin(p) * math.sqrt(2) * current * np.sin(p) for p in phases)
    constant = float(law.torque_constant(emf_constant=emf))
    published.check(
        source=f"numpy {np.__version__}, power of three phases added up",
        law="torque_constant, torque_of_current",
        asked="torque of 250 A at 0.38 V·s/rad",
        expected=float(np.mean(power)) / speed,
        got=law.torque_of_current(torque_constant=constant, current=current),
        rel=1e-12,
        why="both exact",
    )
