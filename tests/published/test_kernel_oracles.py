"""A driven car against general libraries: the same equations in continuous time by scipy, the same current by pybamm."""

from __future__ import annotations

import functools
from typing import Any

import numpy as np
import pytest
import scipy
from scipy.integrate import solve_ivp
from scipy.interpolate import RegularGridInterpolator

from kernel_cars import AT_ONCE, CHARGE, COUPE, KELVIN, RELAXATION, TEN_SECONDS, VOLT, cells, hilly, known
from voltwright.kernels.car import CHARGE_STEPS, Car
from voltwright.kernels.journey import Journey, drive_once, finer, journey
from voltwright.physics import motor, road_load

LAG = (TEN_SECONDS - AT_ONCE) / (1.0 - np.exp(-10.0 / RELAXATION))
FINE = np.linspace(0.0, 1.0, CHARGE_STEPS + 1)
REST = np.interp(FINE, CHARGE, VOLT)  # the raster of the simulation
ENERGY = ("road.consumption.TRIP", "road.range.TRIP")
# One gear, nothing in the way of a limit, no speed below which regeneration ends: the equations have no jumps.
SMOOTH = COUPE._replace(
    **{f"ratio_{n}": 6.0 for n in range(1, 7)}, shift_turning=1e6, regen_speed=-1.0, torque_peak=500.0, power_peak=200e3,
    pull_out=2e8,
)  # fmt: skip
ASKED = {"wltc-3b": known("wltc-3b"), "udds": known("udds"), "us06": known("us06"), "hilly": hilly()}


def power_of(car: Car, speed: float, gain: float, grade: float) -> float:
    """What the pack gives at a speed and an acceleration, from the laws called one after the other. [W]"""
    factor = road_load.mass_factor(wheel_share=car.wheel_share, shaft_share=car.shaft_share, ratio=car.ratio_1)
    force = (
        road_load.effective_mass(mass=car.mass, factor=factor) * gain
        + road_load.aerodynamic_drag(density=car.density, drag_area=car.drag_area, air_speed=speed + car.wind)
        + road_load.rolling_resistance(coefficient=car.rolling, mass=car.mass, gravity=car.gravity, grade=grade)
        + road_load.linear_resistance(linear=car.linear, speed=speed)
        + road_load.grade_force(mass=car.mass, gravity=car.gravity, grade=grade)
    )
    asked = (force if force > 0.0 else force * car.regen_share) if speed > 0.0 else 0.0
    turning = motor.motor_speed(speed=speed, ratio=car.ratio_1, wheel_radius=car.radius)
    torque = motor.torque_for_force(
        force=asked, wheel_radius=car.radius, ratio=car.ratio_1, efficiency=car.gear_efficiency
    )
    idle = motor.idle_loss(iron=car.iron, windage=car.windage, constant=car.constant, speed=turning)
    electric = motor.motor_input(torque=torque, speed=turning, copper=car.copper, idle=idle)
    inverter = motor.inverter_input(power=electric, efficiency=car.inverter_efficiency, idle=car.inverter_idle)
    return inverter + car.auxiliary


def by_scipy(car: Car, asked: Journey) -> tuple[float, float, float, float]:
    """Energy from the pack, charge, lag and temperature at the end; each second is solved by itself, for its speed bends there."""
    at_once, lagging = (RegularGridInterpolator((CHARGE, KELVIN), each) for each in (AT_ONCE, LAG))

    def change(time: float, y: Any, index: int, gain: float) -> list[float]:
        _, charge, lag, temperature = y
        speed = asked.speed[index] + gain * time
        power = power_of(car, speed, gain, asked.grade[index])
        behind = car.cells_series * np.interp(charge, FINE, REST) - lag
        ohm = car.cell_factor * float(at_once((charge, temperature))) + car.links
        current = (behind - np.sqrt(behind**2 - 4.0 * ohm * power)) / (2.0 * ohm)
        heat = (ohm * current + lag) * current
        slow = car.cell_factor * float(lagging((charge, temperature)))
        shed = car.heat_loss * (temperature - car.surroundings)
        return [
            power, -current / car.capacity, (slow * current - lag) / car.relaxation, (heat - shed) / car.heat_capacity,
        ]  # fmt: skip

    y = np.array([0.0, car.charge, 0.0, car.temperature])
    for index in range(len(asked.grade)):
        gain = (asked.speed[index + 1] - asked.speed[index]) / asked.step
        solved = solve_ivp(change, (0.0, asked.step), y, args=(index, gain), method="RK45", rtol=1e-6, atol=1e-9)
        y = solved.y[:, -1]
    return float(y[0]), float(y[1]), float(y[2]), float(y[3])


def cut(asked: Journey, begin: int, end: int) -> Journey:
    return journey(asked.name, asked.title, asked.speed[begin : end + 1], asked.grade[begin:end], asked.step)


@pytest.mark.parametrize(("name", "begin", "end"), [("udds", 0, 300), ("us06", 0, 200), ("hilly", 1500, 1750)])
def test_continuous_time(published, name: str, begin: int, end: int) -> None:
    asked = cut(ASKED[name], begin, end)
    energy, charge, _, temperature = by_scipy(SMOOTH, asked)
    driven = drive_once(car=SMOOTH, cells=cells(), asked=finer(asked, 20))
    assert not driven.held
    assert driven.course is not None
    source = f"scipy {scipy.__version__}, integrate.solve_ivp on the same laws in continuous time"
    why = "steps of 0.05 s against an error of 1e-6"
    for what, expected, got, width in (
        ("energy at the battery [J]", energy, driven.pack, {"rel": 1e-4}),
        ("charge taken [1]", SMOOTH.charge - charge, SMOOTH.charge - driven.course.charge[-1], {"rel": 1e-4}),
        ("temperature gained [K]", temperature - 298.15, driven.course.temperature[-1] - 298.15, {"rel": 1e-3}),
    ):
        published.check(
            source=source, law="drive_once", asked=f"{name}, {begin} to {end} s: {what}", expected=expected, got=got,
            why=why, keys=ENERGY, **width,
        )  # fmt: skip


@pytest.mark.parametrize("name", ["wltc-3b", "udds", "us06", "steady-100"])
def test_half_the_step(published, name: str) -> None:
    whole = drive_once(car=COUPE, cells=cells(), asked=known(name))
    half = drive_once(car=COUPE, cells=cells(), asked=finer(known(name), 2))
    published.check(
        source="the usual check of a solver: half the step; common practice, no source", law="drive_once",
        asked=f"{name}: consumption [Wh/km]", expected=half.pack / half.way / 3.6, got=whole.pack / whole.way / 3.6,
        rel=1e-3, why="promised by the design", keys=ENERGY,
    )  # fmt: skip


@functools.cache
def by_pybamm(time: tuple[float, ...], current: tuple[float, ...]) -> tuple[Any, Any, str]:
    """Voltage and temperature of one cell by pybamm's circuit of source, resistance and one RC element."""
    import pybamm  # pyright: ignore[reportMissingTypeStubs]

    lib: Any = pybamm
    model = lib.equivalent_circuit.Thevenin(options={"number of rc elements": 1})
    values = model.default_parameter_values

    def table(z: Any) -> Any:
        return lambda kelvin, amperes, soc: lib.Interpolant((CHARGE, KELVIN), z, [soc, kelvin + 273.15], name="table")

    mass = COUPE.heat_capacity / 192.0
    values.update(
        {
            "Open-circuit voltage [V]": lambda soc: lib.Interpolant(FINE, REST, soc, name="rest"),
            "R0 [Ohm]": table(AT_ONCE), "R1 [Ohm]": table(LAG),
            "C1 [F]": lambda kelvin, amperes, soc: RELAXATION / table(LAG)(kelvin, amperes, soc),
            "Cell capacity [A.h]": COUPE.capacity / 2.0 / 3600.0,
            "Nominal cell capacity [A.h]": COUPE.capacity / 2.0 / 3600.0,
            "Initial SoC": COUPE.charge, "Initial temperature [K]": 298.15, "Ambient temperature [K]": 298.15,
            "Upper voltage cut-off [V]": 4.5, "Lower voltage cut-off [V]": 2.0,
            "Cell thermal mass [J/K]": mass, "Jig thermal mass [J/K]": 1e12,
            "Cell-jig heat transfer coefficient [W/K]": COUPE.heat_loss / 192.0,
            "Jig-air heat transfer coefficient [W/K]": 1e3,
            "Entropic change [V/K]": lambda volt, kelvin: 0.0 * volt,
            "Current function [A]": lambda t: lib.Interpolant(
                np.array(time), np.array(current), t, name="current", interpolator="linear"
            ),
        },
        check_already_exists=False,
    )  # fmt: skip
    at = np.arange(0.0, time[-1]) + 0.5
    solved = lib.Simulation(model, parameter_values=values).solve(t_eval=[0.0, time[-1]], t_interp=at)
    return at, (solved["Voltage [V]"](at), solved["Cell temperature [K]"](at)), f"pybamm {lib.__version__}"


def test_cells_of_a_driven_car(published) -> None:
    """96 in series, 2 in parallel, no links: each cell carries half the current and shows a 96th of the voltage."""
    driven = drive_once(car=COUPE._replace(links=0.0), cells=cells(), asked=known("wltc-3b"))
    assert driven.course is not None
    current = driven.course.current / 2.0
    # Steps of current, their edges a hundredth of a second wide.
    edges = np.arange(1, len(current))
    time = np.sort(np.concatenate([[0.0], edges - 0.005, edges + 0.005, [float(len(current))]]))
    _, (volts, kelvin), library = by_pybamm(tuple(time), tuple(np.repeat(current, 2)))
    # The kernel's voltage is the mean of a step, pybamm's that of its middle.
    error = driven.course.voltage / COUPE.cells_series - volts
    source = f"{library}, equivalent_circuit.Thevenin with one RC element, the same tables and current"
    published.check(
        source=source, law="drive_once", asked="wltc-3b: voltage of a cell, rms of the difference [V]", expected=0.0,
        got=float(np.sqrt(np.mean(error**2))), absolute=5e-3, why="promised by the design", keys=ENERGY,
    )  # fmt: skip
    published.check(
        source=source, law="drive_once", asked="wltc-3b: voltage of a cell, greatest difference [V]", expected=0.0,
        got=float(np.abs(error).max()), absolute=5e-3, why="tables are read a step late", keys=ENERGY,
    )  # fmt: skip
    published.check(
        source=source, law="drive_once", asked="wltc-3b: warmth gained by a cell [K]", expected=kelvin[-1] - 298.15,
        got=driven.course.temperature[-2] - 298.15, rel=0.01, why="half a second apart", keys=ENERGY,
    )  # fmt: skip
    with_lag = np.std(volts)
    assert with_lag > 0.02, "a load that moves the voltage, or the comparison would say nothing"
