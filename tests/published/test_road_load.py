"""Forces on the road: a printed set of exercises, weight transfer by statics, cycle energy and acceleration formulas of textbooks."""

from __future__ import annotations

from math import atan, cos, radians, sin, sqrt, tan
from typing import Any

import numpy as np
import pytest
import scipy
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

from voltwright.parts.trips import trip
from voltwright.physics import road_load as law

COURSE = "Indian national e-learning course, fundamentals of electric vehicles, week 2 question 2.1, as stored"
SCIPY = f"scipy {scipy.__version__}"
G = 9.81  # the exercises reckon with this
SLOPE = tan(radians(8.0))

# mass, drag coefficient, frontal area: drag at 30 and 80 km/h, force of 8°, of the tyres with 0.015; on which grade
EXERCISES = {
    "600 kg car": (600.0, 0.45, 1.6, 30.0, 213.33, 819.17, 87.43, SLOPE),
    "200 kg scooter": (200.0, 0.9, 0.6, 22.5, 160.0, 273.0, 29.4, 0.0),
}


@pytest.mark.parametrize(("celsius", "expected"), [(23.0, 0.9742), (14.0, 1.0516), (5.0, 1.129)])
def test_rolling_by_the_temperature_of_the_test_track(published, celsius: float, expected: float) -> None:
    published.check(
        source="UN GTR 15, annex 4: K0 = 8.6e-3 for each kelvin from 20 °C; the number from memory", law="rolling_at",
        asked=f"rolling at {celsius:g} °C over that at 20 °C", expected=expected,
        got=law.rolling_at(coefficient=0.012, temperature=celsius + 273.15, growth=law.ROLLING_GROWTH, reference=293.15) / 0.012, rel=1e-6,
        why="worked by hand with its number", keys=("road.range_cold",),
    )  # fmt: skip


@pytest.mark.parametrize("name", EXERCISES)
def test_exercises(published, name: str) -> None:
    mass, drag, area, slow, fast, climb, roll, grade = EXERCISES[name]
    for speed, expected in ((30.0, slow), (80.0, fast)):
        got = law.aerodynamic_drag(density=1.2, drag_area=drag * area, air_speed=speed / 3.6)
        published.check(
            source=COURSE, law="aerodynamic_drag", asked=f"{name}, {speed:g} km/h [N]", expected=expected, got=got,
            absolute=0.005, why="printed to 0.01 N", keys=("road.top_speed",),
        )  # fmt: skip
    got = law.grade_force(mass=mass, gravity=G, grade=SLOPE)
    published.check(
        source=COURSE, law="grade_force", asked=f"{name}, 8° [N]", expected=climb, got=got,
        absolute=0.006 if name == "600 kg car" else 0.1, why="as printed", keys=("road.gradient_start",),
    )  # fmt: skip
    why = "as printed" if grade else "the course leaves the slope out here, so it is taken as level"
    published.check(
        source=COURSE, law="rolling_resistance", asked=f"{name} [N]", expected=roll,
        got=law.rolling_resistance(coefficient=0.015, mass=mass, gravity=G, grade=grade),
        absolute=0.006 if grade else 0.05, why=why,
    )  # fmt: skip


@pytest.mark.parametrize("name", EXERCISES)
def test_exercises_the_other_way_round(published, name: str) -> None:
    """The printed forces as if a coast-down had found them: A is that of the tyres, C that of the air over v²."""
    mass, drag, area, _, fast, _, roll, grade = EXERCISES[name]
    published.check(
        source=COURSE, law="drag_area_from_coast_down", asked=f"{name}: from {fast:g} N at 80 km/h [m²]",
        expected=drag * area, got=law.drag_area_from_coast_down(C=fast / (80 / 3.6) ** 2, density=1.2), rel=1e-4,
        why="the forces are printed to 0.01 N", keys=("road.top_speed",),
    )  # fmt: skip
    published.check(
        source=COURSE, law="rolling_from_coast_down", asked=f"{name}: from {roll:g} N [1]", expected=0.015,
        got=law.rolling_from_coast_down(A=roll * sqrt(1 + grade**2), mass=mass, gravity=G), rel=2e-3,
        why="the course takes g as 9.8 here", keys=("road.top_speed",),
    )  # fmt: skip


def test_what_grows_with_the_speed_alone(published) -> None:
    published.check(
        source="40 CFR 1066.210: the term B v, read", law="linear_resistance", asked="1.5 N/(m/s) at 79.2 km/h [N]",
        expected=33.0, got=law.linear_resistance(linear=1.5, speed=22.0), rel=1e-12, why="one product",
    )  # fmt: skip
    published.check(
        source="by hand: 60 km/h against 20 km/h of wind meets 80 km/h of air", law="air_speed", asked="[km/h]",
        expected=80.0, got=law.air_speed(speed=60 / 3.6, wind=20 / 3.6) * 3.6, rel=1e-12, why="one sum",
    )  # fmt: skip


def test_tail_wind_pushes() -> None:
    """The sign of the air: Newton's law of drag points against the wind that the car meets."""
    drag = law.aerodynamic_drag(density=1.2, drag_area=0.8, air_speed=-5.0)
    assert drag == pytest.approx(-law.aerodynamic_drag(density=1.2, drag_area=0.8, air_speed=5.0)) == -12.0


def statics(
    mass: float, gravity: float, grade: float, behind: float, height: float, wheelbase: float, acceleration: float
) -> Any:
    """Forces of front and rear tyres from balance across the road, along it, and of moments about the centre of gravity."""
    angle = atan(grade)
    along = mass * (acceleration + gravity * sin(angle))
    matrix = np.array([[1.0, 1.0], [-behind, wheelbase - behind]])
    return np.linalg.solve(matrix, [mass * gravity * cos(angle), along * height])


CARS = [(1765.0, 0.0, 1.22, 0.9, 2.84, 0.0), (1100.0, 0.12, 1.15, 0.52, 2.4, 2.1), (1500.0, -0.08, 1.4, 0.6, 2.7, -5.0)]


@pytest.mark.parametrize(("mass", "grade", "behind", "height", "wheelbase", "acceleration"), CARS)
def test_axle_loads_on_a_slope_under_acceleration(
    published, mass: float, grade: float, behind: float, height: float, wheelbase: float, acceleration: float
) -> None:
    front, rear = statics(mass, G, grade, behind, height, wheelbase, acceleration)
    inputs = {
        "mass": mass, "gravity": G, "grade": grade, "behind_front": behind, "height": height, "wheelbase": wheelbase,
        "acceleration": acceleration,
    }  # fmt: skip
    for name, expected in (("front_axle_force", front), ("rear_axle_force", rear)):
        published.check(
            source="rigid-body statics, solved in the test; the form is in Gillespie ch. 1 and Jazar ch. 2, from memory",
            law=name, asked=f"{mass:g} kg, grade {grade:g}, {acceleration:g} m/s² [N]", expected=float(expected),
            got=getattr(law, name)(**inputs), rel=1e-12, why="the same balance",
        )  # fmt: skip


def test_axle_loads_at_rest(published) -> None:
    source = "Jazar, Vehicle Dynamics (2008), ch. 2 exercise 1: m 1765 kg, l 2.84 m, a1 1.22 m; read as printed"
    inputs = {
        "mass": 1765.0, "gravity": G, "grade": 0.0, "behind_front": 1.22, "height": 0.9, "wheelbase": 2.84,
        "acceleration": 0.0,
    }  # fmt: skip
    for name, expected in (("front_axle_force", 9876.7), ("rear_axle_force", 7438.0)):
        published.check(
            source=source, law=name, asked="parked on the level [N]", expected=expected,
            got=getattr(law, name)(**inputs), absolute=0.1, why="the inputs are printed",
        )  # fmt: skip


@pytest.mark.parametrize(("grip", "grade"), [(0.8, 0.0), (0.35, 0.15), (1.0, 0.25)])
def test_grip_limits(published, grip: float, grade: float) -> None:
    """The force at which the driven tyres' share of it just equals grip times what presses on them, found by search."""
    mass, behind, height, wheelbase = 1100.0, 1.15, 0.52, 2.4
    slope = mass * G * sin(atan(grade))
    inputs = {"grip": grip, "mass": mass, "gravity": G, "grade": grade}
    places = {"behind_front": behind, "height": height, "wheelbase": wheelbase}
    laws: dict[str, Any] = {
        "traction_limit_front": lambda axles: axles[0],
        "traction_limit_rear": lambda axles: axles[1],
        "traction_limit_all": lambda axles: axles[0] + axles[1],
    }
    for name, driven in laws.items():

        def spare(force: float, driven: Any = driven) -> float:
            axles = statics(mass, G, grade, behind, height, wheelbase, (force - slope) / mass)
            return float(grip * driven(axles) - force)

        known = inputs if name == "traction_limit_all" else inputs | places
        published.check(
            source=f"{SCIPY}, optimize.brentq on rigid-body statics; the closed form is in Gillespie ch. 2, from memory",
            law=name, asked=f"grip {grip:g}, grade {grade:g} [N]", expected=float(brentq(spare, 0.0, 1e5)),  # type: ignore[arg-type]
            got=float(getattr(law, name)(**known)), rel=1e-9, why="root to 1e-12",
            keys=("road.gradient_start", "road.time_0_50", "road.time_0_100"),
        )  # fmt: skip


def test_road_load_of_a_dynamometer(published) -> None:
    """40 CFR 1066.210: FR = A cos(atan G) + B v + C v² + Me dv/dt + M ag sin(atan G); terms read, equation from memory."""
    A, B, C, speed, grade, mass, effective, slowing = 120.0, 1.5, 0.42, 22.0, 0.06, 1250.0, 1290.0, 0.7
    expected = A * cos(atan(grade)) + B * speed + C * speed**2 + effective * slowing + mass * 9.80665 * sin(atan(grade))
    coasting = law.coast_down_force(A=A / sqrt(1 + grade**2), B=B, C=C, speed=speed)
    climbing = law.grade_force(mass=mass, gravity=9.80665, grade=grade)
    resistance = coasting + climbing
    got = resistance + law.effective_mass(mass=mass, factor=effective / mass) * slowing
    source = "40 CFR 1066.210: terms read, equation from memory"
    published.check(
        source=source, law="coast_down_force, grade_force, effective_mass", asked="force at the rolls [N]",
        expected=expected, got=got, rel=1e-12, why="the same terms",
    )  # fmt: skip
    published.check(
        source=source, law="acceleration", asked="what that force gives [m/s²]", expected=slowing,
        got=law.acceleration(traction=expected, resistance=resistance, effective_mass=effective), rel=1e-12,
        why="solved for dv/dt",
    )  # fmt: skip


# reference mass: power [kW] and force [N] at 80 km/h, a [N], b [N/(km/h)²]
ROLLS = {
    "1080 to 1190 kg": (6.3, 284, 6.4, 0.0433),
    "1190 to 1305 kg": (6.7, 302, 6.8, 0.0460),
    "1305 to 1420 kg": (7.0, 315, 7.1, 0.0481),
    "1420 to 1530 kg": (7.3, 329, 7.4, 0.0502),
    "1530 to 1640 kg": (7.5, 338, 7.6, 0.0515),
    "1640 to 1760 kg": (7.8, 351, 7.9, 0.0536),
}


@pytest.mark.parametrize("masses", ROLLS)
def test_setting_of_a_dynamometer(published, masses: str) -> None:
    """An arithmetic check only: these settings are no road load, for hardly any of a car's tyre drag is in them."""
    kilowatts, newtons, a, b = ROLLS[masses]
    force = law.coast_down_force(A=a, B=0.0, C=b * 3.6**2, speed=80.0 / 3.6)
    source = "table of dynamometer settings on a slide, of UN R83 from memory"
    published.check(
        source=source, law="coast_down_force", asked=f"{masses}, 80 km/h [N]", expected=newtons, got=force, absolute=1.0,
        why="printed to the newton",
    )  # fmt: skip
    published.check(
        source=source, law="wheel_power", asked=f"{masses}, 80 km/h [kW]", expected=kilowatts,
        got=law.wheel_power(force=force, speed=80.0 / 3.6) / 1000, absolute=0.05, why="printed to 0.1 kW",
    )  # fmt: skip


def cycle_energy(drag_area: float, coefficient: float, mass: float) -> tuple[float, float]:
    """MJ for 100 km of the European cycle: what traction takes, and what is lost for good if braking gives all back."""
    speed = np.array(trip("nedc").speed)
    within = (np.arange(20) + 0.5) / 20
    v = speed[:-1, None] + np.diff(speed)[:, None] * within
    change = np.repeat(np.diff(speed)[:, None], 20, axis=1)
    air = law.aerodynamic_drag(density=1.2, drag_area=drag_area, air_speed=v)  # type: ignore[arg-type]
    tyres = law.rolling_resistance(coefficient=coefficient, mass=mass, gravity=9.81, grade=0.0) * (v > 0)
    driving = np.maximum(air + tyres + law.effective_mass(mass=mass, factor=1.0) * change, 0.0)
    power = [law.wheel_power(force=force, speed=v).sum() / 20 for force in (driving, air + tyres)]  # type: ignore[arg-type]
    return power[0] / trip("nedc").distance / 10, power[1] / trip("nedc").distance / 10


CYCLE_CARS = {"full-size car": (0.7, 0.012, 1500.0), "light car": (0.4, 0.008, 750.0)}


@pytest.mark.parametrize("car", CYCLE_CARS)
def test_mean_energy_of_the_european_cycle(published, car: str) -> None:
    drag_area, coefficient, mass = CYCLE_CARS[car]
    driving, lost = cycle_energy(drag_area, coefficient, mass)
    laws = "aerodynamic_drag, rolling_resistance, effective_mass over the trip nedc"
    source = "Guzzella, Sciarretta, Vehicle Propulsion Systems, ch. 2, from memory"
    published.check(
        source=source, law=laws, asked=f"{car}, nothing given back [MJ/100 km]",
        expected=(1.9e4 * drag_area + 8.4e2 * mass * coefficient + 10 * mass) / 1000, got=driving, rel=0.045,
        why="the book's term for acceleration, 0.101, is a tenth below that of the ramps, 0.111",
        keys=("road.consumption.nedc",),
    )  # fmt: skip
    published.check(
        source=source, law=laws, asked=f"{car}, all given back [MJ/100 km]",
        expected=(2.2e4 * drag_area + 9.81e2 * mass * coefficient) / 1000, got=lost, rel=0.01,
        why="the book rounds to two digits",
    )  # fmt: skip


@pytest.mark.parametrize(("power", "base", "final"), [(60e3, 12.0, 27.78), (45e3, 8.0, 22.22)])
def test_time_to_accelerate(published, power: float, base: float, final: float) -> None:
    """Constant force up to a base speed, constant power above, no losses: t = δ M (Vf² + Vb²) / 2 P."""
    mass = 1250.0
    factor = law.mass_factor(wheel_share=0.04, shaft_share=0.0025, ratio=3.9)
    effective = law.effective_mass(mass=mass, factor=factor)
    expected = (1 + 0.04 + 0.0025 * 3.9**2) * mass * (final**2 + base**2) / (2 * power)

    def slope(_time: float, speed: Any) -> Any:
        force = min(power / base, power / max(float(speed[0]), 1e-9))
        return [law.acceleration(traction=force, resistance=0.0, effective_mass=effective)]

    def there(_time: float, speed: Any) -> float:
        return float(speed[0]) - final

    there.terminal = True  # type: ignore[attr-defined]
    run: Any = solve_ivp(slope, (0.0, 60.0), [0.0], events=there, rtol=1e-9, atol=1e-9, max_step=0.05)
    published.check(
        source="Ehsani et al., Modern Electric, Hybrid Electric, and Fuel Cell Vehicles, ch. 2, from memory",
        law="acceleration, effective_mass, mass_factor", asked=f"{power / 1e3:g} kW to {final * 3.6:.0f} km/h [s]",
        expected=expected, got=float(run.t_events[0][0]), rel=1e-5, why="integrated by solve_ivp",
        keys=("road.time_0_50", "road.time_0_100"),
    )  # fmt: skip


KNOWLEDGE = "pilot's knowledge test, wind component chart, question and answer as printed at redhorseaviation.com, read"
PLANNER = "printed example of a wind component page, e6b.noseapp.ca, read"
METPY = "MetPy documentation, example of metpy.calc.wind_components, read"


@pytest.mark.parametrize(
    ("source", "wind", "blows_from", "heading", "expected", "absolute", "why"),
    [
        (KNOWLEDGE, 30.0, 220.0, 180.0, 23.0, 0.5, "read off a chart to a knot"),
        (PLANNER, 15.0, 330.0, 350.0, 14.0, 0.5, "printed to a knot"),
        (METPY, 10.0, 225.0, 0.0, -7.07106781, 5e-9, "to the north with what blows to the north; printed to 8 digits"),
        (METPY, 10.0, 225.0, 90.0, -7.07106781, 5e-9, "to the east with what blows to the east; printed to 8 digits"),
    ],
)
def test_head_wind(
    published, source: str, wind: float, blows_from: float, heading: float, expected: float, absolute: float, why: str
) -> None:
    share = law.head_share(wind_from=radians(blows_from), heading=radians(heading))
    published.check(
        source=source, law="head_share, head_wind", asked=f"{wind:g} from {blows_from:g}° on the way to {heading:g}°",
        expected=expected, got=law.head_wind(wind=wind, share=share), absolute=absolute, why=why,
        keys=("road.consumption.TRIP", "road.range.TRIP"),
    )  # fmt: skip


def test_climbing_costs_the_height(published) -> None:
    """Work against a slope is weight times height, however the road bends: energy conservation."""
    grades = lambda x: 0.08 * sin(x / 300.0) + 0.03  # noqa: E731
    road = quad(
        lambda x: law.grade_force(mass=1200.0, gravity=9.80665, grade=grades(x)) * sqrt(1 + grades(x) ** 2), 0, 2000
    )
    height = quad(grades, 0, 2000)
    published.check(
        source=f"energy conservation, with {SCIPY}, integrate.quad", law="grade_force", asked="work over 2 km of hills [J]",
        expected=1200.0 * 9.80665 * float(height[0]), got=float(road[0]), rel=1e-9, why="the same integral",
    )  # fmt: skip
