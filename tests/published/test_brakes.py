"""Braking and holding: textbooks, UN R13-H, the US standard on light vehicles' brakes, a car parked on a slope, a long way down."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import scipy
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from voltwright.assess.brakes import BRAKES_COME_ON
from voltwright.physics import brakes as law
from voltwright.physics import road_load
from voltwright.rules.brakes import LAMPS_ALWAYS, LAMPS_NEVER

FT, LB, IN, MPH, G = 0.3048, 4.4482216152605, 0.0254, 0.44704, 9.80665
KMH = 1 / 3.6
GILLESPIE = "Gillespie 1992, ch. 3, example on a light truck that stops (from memory)"
WONG = "Wong, Theory of Ground Vehicles, ch. 3, example on which tyres lock first (from memory)"
ANNEX_5 = "UN R13-H annex 5 (from memory)"
COPY_135 = "49 CFR 571.135 S7.11, in a copy (read)"
LOCKS = ("brakes.lock_front_wet", "brakes.lock_rear_wet", "brakes.deceleration_dry")
REAR_FIRST = ("brakes.rear_first_above_empty", "brakes.rear_first_above_laden")


# A light truck of 3635 lb stops from 60 mph with a brake force of 2000 lb: 17.7 ft/s², 218 ft, 437,000 ft·lb.


def test_a_force_as_braking(published) -> None:
    braking = law.braking_of_force(force=2000 * LB, mass=3635 * LB / G, gravity=G)
    got = law.slowing(braking=braking, gravity=G) / FT
    published.check(
        source=GILLESPIE, law="braking_of_force, slowing", asked="2000 lb on a truck of 3635 lb [ft/s²]", expected=17.7, got=got,
        absolute=0.05, why="printed to 0.1", keys=("brakes.regeneration_braking",),
    )  # fmt: skip


def test_way_to_a_stop(published) -> None:
    got = law.stopping_distance(speed=60 * MPH, delay=0.0, slowing=2000 / 3635 * G) / FT
    published.check(
        source=GILLESPIE, law="stopping_distance", asked="the same truck from 60 mph [ft]", expected=218, got=got, absolute=1.0,
        why="whole feet, with a rounded deceleration", keys=("brakes.stopping_distance",),
    )  # fmt: skip


def test_energy_of_a_stop(published) -> None:
    way = law.stopping_distance(speed=60 * MPH, delay=0.0, slowing=2000 / 3635 * G)
    got = law.energy_of_descent(force=2000 * LB, length=way) / (LB * FT)
    published.check(
        source=GILLESPIE, law="energy_of_descent", asked="what its brakes turn into heat [ft·lb]", expected=437_000, got=got,
        absolute=600, why="printed to 1000", keys=("brakes.descent_energy",),
    )  # fmt: skip


# A car of 113 in wheelbase, centre of gravity 50 in behind the front axle and 20 in up; the front brakes do 60 %. The example
# counts a rolling resistance of 0.02 as braking too, which our law leaves out.
BASE, BEHIND, HIGH, FRONT = 113 * IN, 50 * IN, 20 * IN, 0.6


def loads() -> tuple[float, float, float, float]:
    along, up = {"wheelbase": BASE, "behind_front": BEHIND}, {"wheelbase": BASE, "height": HIGH}
    return law.front_load(**along), law.rear_load(**along), law.load_moved(**up), law.load_lost(**up)


@pytest.mark.parametrize(
    ("grip", "axle", "braking"), [(0.8, "front", 1.0), (0.8, "rear", 0.67), (0.2, "front", 0.219), (0.2, "rear", 0.222)]
)
def test_braking_at_which_an_axle_locks(published, grip: float, axle: str, braking: float) -> None:
    front, rear, moved, lost = loads()
    own = (
        {"load": front, "moved": moved, "share": FRONT}
        if axle == "front"
        else {"load": rear, "moved": lost, "share": 1 - FRONT}
    )
    got = law.lock_by_friction(grip=grip, **own)
    published.check(
        source=WONG, law="lock_by_friction", asked=f"{axle} tyres on a grip of {grip} [g]", expected=braking, got=got, absolute=0.03,
        why="the example counts 0.02 of rolling resistance too", keys=LOCKS,
    )  # fmt: skip


def test_which_axle_locks_first_changes_between_ice_and_concrete(published) -> None:
    """Front first on 0.2, rear first on 0.8: both use the same grip somewhere between, and there they lock together."""
    front, rear, moved, lost = loads()
    critical = law.equal_adhesion(front_share=FRONT, load=front, moved=moved)
    published.check(
        source=WONG, law="equal_adhesion", asked="between the braking on ice and that on concrete [g]", expected=(0.22 + 0.67) / 2,
        got=critical, absolute=(0.67 - 0.22) / 2, why="the example gives the two sides", keys=REAR_FIRST,
    )  # fmt: skip
    used = [
        law.adhesion_used(
            braking=part * critical, load=law.load_under_braking(load=load, braking=critical, moved=shift)
        )
        for part, load, shift in ((FRONT, front, moved), (1 - FRONT, rear, lost))
    ]
    assert used[0] == pytest.approx(used[1]) == pytest.approx(critical)


# Wheelbase 108.5 in, centre of gravity 20.5 in up, 2210 lb on the front axle and 1864 lb on the rear; front brakes of 20 in·lb
# for each psi, rear 14, tyres of 12.11 in: at 200 psi, worked by hand, 660.6 lb and 462.4 lb, 0.2756 g, 2422 lb and 1652 lb.


@pytest.mark.parametrize(("axle", "used"), [("front", 0.2727), ("rear", 0.2799)])
def test_adhesion_used(published, axle: str, used: float) -> None:
    share, braking = 20 / 34, 1123.0 / 4074
    moved = law.load_moved(height=20.5 * IN, wheelbase=108.5 * IN)
    rear = law.rear_braking(front_share=share, braking=braking)
    done = {"front": law.front_braking(braking=braking, rear=rear), "rear": rear}[axle]
    load = law.load_under_braking(
        load={"front": 2210, "rear": 1864}[axle] / 4074, braking=braking, moved=moved if axle == "front" else -moved
    )
    published.check(
        source="Gillespie 1992, ch. 3, example on proportioning: its inputs from memory, worked by hand", law="adhesion_used",
        asked=f"{axle} axle at 200 psi", expected=used, got=law.adhesion_used(braking=done, load=load), absolute=0.0002,
        why="worked to four digits",
        keys=("brakes.adhesion_front_empty", "brakes.adhesion_rear_empty", "brakes.adhesion_front_laden", "brakes.adhesion_rear_laden"),
    )  # fmt: skip


@pytest.mark.parametrize(("grip", "braking"), [(0.2, 0.10), (0.5, 0.31), (0.8, 0.52)])
def test_what_a_car_must_brake_on_a_grip(published, grip: float, braking: float) -> None:
    published.check(
        source=ANNEX_5, law="least_braking", asked=f"z at k = {grip}", expected=braking, got=law.least_braking(grip=grip),
        absolute=1e-9, why="the line z = 0.1 + 0.7 (k − 0.2)", keys=("brakes.lock_rear_wet_regen", "brakes.lock_front_wet_regen"),
    )  # fmt: skip


@pytest.mark.parametrize(("grip", "braking"), [(0.2, 0.10), (0.8, 0.52)])
def test_the_most_grip_that_a_braking_may_take(published, grip: float, braking: float) -> None:
    """At both ends of the range that the text states, the braking asked there may take the whole grip and no more."""
    published.check(
        source=ANNEX_5, law="most_adhesion", asked=f"k at z = {braking}", expected=grip, got=law.most_adhesion(braking=braking),
        absolute=1e-9, why="ends of the line z = 0.1 + 0.7 (k − 0.2)", keys=("brakes.adhesion_front_laden", "brakes.adhesion_rear_laden"),
    )  # fmt: skip


def test_no_braking_takes_more_grip_than_the_text_allows() -> None:
    """z ≥ 0.1 + 0.7 (k − 0.2) holds with the grip that we allow, and with a hundredth more it does not."""
    for braking in np.linspace(0.10, 0.52, 43):
        most = law.most_adhesion(braking=float(braking))
        assert braking >= 0.1 + 0.7 * (most - 0.2) - 1e-12
        assert braking < 0.1 + 0.7 * (most + 0.01 - 0.2)


# With a limiting valve the line of the brakes has a knee. By brute force: the lowest braking, in steps of 0.001, from which the
# rear axle uses more grip.


@pytest.mark.parametrize(
    ("share", "knee"), [(0.60, 0.10), (0.60, 0.20), (0.60, 0.50), (0.45, 0.05), (0.75, 0.30), (0.55, 0.02)]
)
def test_rear_first_behind_a_valve(published, share: float, knee: float) -> None:
    front, rear, moved, _ = loads()
    most = law.valve_limit(front_share=share, knee=knee, before=1000.0, mass=1000.0)
    z = np.arange(0.001, 3.0, 0.001)
    behind = np.minimum((1 - share) * z, most)
    more = behind * (front + moved * z) > (z - behind) * (rear - moved * z)
    expected = float(z[np.argmax(more)])
    if share < front:  # rear first from the very start
        expected = 0.0
    got = law.equal_adhesion_with_valve(front_share=share, load=front, moved=moved, most=most)
    published.check(
        source="Limpert, Brake Design and Safety, pressure limiting valves (from memory); curves stepped through",
        law="equal_adhesion_with_valve", asked=f"front share {share:.0%}, valve closes at {knee} g", expected=expected, got=float(got),
        absolute=0.0021, why="steps of 0.001", keys=REAR_FIRST,
    )  # fmt: skip


@pytest.mark.parametrize("driven", ["front", "rear"])
@pytest.mark.parametrize(("part", "most"), [(0.5, 0.05), (0.5, 0.5), (0.9, 0.12), (0.2, 0.03)])
def test_locking_with_the_motor(published, driven: str, part: float, most: float) -> None:
    """The force balance of each axle solved for the braking at which it needs the whole grip."""
    front, rear, moved, lost = loads()
    grip = 0.4
    for axle, share, load, shift in (("front", FRONT, front, moved), ("rear", 1 - FRONT, rear, lost)):
        to_axle = float(axle == driven)

        def short(
            z: float, share: float = share, load: float = load, shift: float = shift, to_axle: float = to_axle
        ) -> float:
            motor = min(part * z, most)
            return share * (z - motor) + to_axle * motor - grip * (load + shift * z)

        if short(50.0) <= 0:
            continue
        chosen = law.lock_where_motor_brakes if axle == driven else law.lock_where_motor_spares
        got = chosen(grip=grip, load=load, moved=shift, share=share, to_axle=to_axle, motor_share=part, motor_most=most)
        expected: Any = brentq(short, 0.0, 50.0, xtol=1e-12)
        published.check(
            source=f"scipy {scipy.__version__}, optimize.brentq on the forces of one axle",
            law=chosen.__name__,
            asked=f"{axle} axle, {driven} driven, motor {part:.0%} up to {most} g", expected=float(expected), got=got,
            rel=1e-6, why="a root found to 1e-9", keys=("brakes.lock_front_wet_regen", "brakes.lock_rear_wet_regen"),
        )  # fmt: skip


# The laws on stopping distances: V in km/h, S in m.


def test_stopping_with_a_dead_servo(published) -> None:
    """168 m from 100 km/h, or 0.10 V + 0.0158 V²; the deceleration of 2.44 m/s² behind it is that of UN R13-H (from memory)."""
    got = law.stopping_distance(speed=100 * KMH, delay=BRAKES_COME_ON, slowing=2.44)
    published.check(
        source=COPY_135, law="stopping_distance", asked="from 100 km/h with 2.44 m/s² [m]", expected=168, got=got, absolute=0.6,
        why="whole metres", keys=("brakes.stopping_distance",),
    )  # fmt: skip
    for v in (50, 80):
        got = law.stopping_distance(speed=v * KMH, delay=BRAKES_COME_ON, slowing=2.44)
        published.check(
            source=COPY_135, law="stopping_distance", asked=f"from {v} km/h by its equation [m]", expected=0.10 * v + 0.0158 * v * v,
            got=got, rel=0.002, why="0.0158 is rounded", keys=("brakes.stopping_distance",),
        )  # fmt: skip


@pytest.mark.parametrize("v", [50, 80, 100])
def test_stopping_with_the_service_brake(published, v: float) -> None:
    got = law.stopping_distance(speed=v * KMH, delay=BRAKES_COME_ON, slowing=6.43)
    published.check(
        source="UN R13-H annex 3: 0.10 V + 0.0060 V² and 6.43 m/s² (from memory)", law="stopping_distance", asked=f"from {v} km/h [m]",
        expected=0.10 * v + 0.0060 * v * v, got=got, rel=0.003, why="0.0060 is rounded",
        keys=("brakes.stopping_distance", "brakes.deceleration_dry"),
    )  # fmt: skip


# A parked car, facing up: loads on the axles by equations 2.45 and 2.66, and the axle slides where grip times load is the force
# of the slope (2.47, 2.62). Equation 2.68 is printed with the sign that belongs to the rear axle; 2.62 to 2.66 give l + μ h.


@pytest.mark.parametrize("axle", ["front", "rear"])
@pytest.mark.parametrize("grip", [0.3, 0.8])
def test_slope_that_a_locked_axle_holds(published, axle: str, grip: float) -> None:
    base, a1, high = 2.6, 1.2, 0.55

    def slips(angle: float) -> float:
        cos, sin = math.cos(angle), math.sin(angle)
        load = (base - a1) / base * cos - high / base * sin if axle == "front" else a1 / base * cos + high / base * sin
        return sin - grip * load

    angle: Any = brentq(slips, 0.0, 1.2, xtol=1e-12)
    expected = math.tan(angle)
    along, up = {"wheelbase": base, "behind_front": a1}, {"wheelbase": base, "height": high}
    inputs = {"grip": grip, "moved": law.load_moved(**up)}
    got = (
        law.held_by_upper_axle(load=law.front_load(**along), **inputs)
        if axle == "front"
        else law.held_by_lower_axle(load=law.rear_load(**along), **inputs)
    )
    published.check(
        source="Jazar 2008, ch. 2, equations 2.44 to 2.66, in a copy (read)", law=f"held_by_{'upper' if axle == 'front' else 'lower'}_axle",
        asked=f"{axle} wheels locked, facing up, grip {grip} [%]", expected=100 * expected, got=100 * got, rel=1e-6,
        why="a root found to 1e-9", keys=("brakes.hold_gradient",),
    )  # fmt: skip


@pytest.mark.parametrize(("share", "slope"), [(0.1961, 20.0), (0.1580, 16.0)])
def test_slope_that_a_force_holds(published, share: float, slope: float) -> None:
    got = law.held_by_force(force=share * 1000 * G, mass=1000.0, gravity=G)
    published.check(
        source="UN R13-H annex 3 and 49 CFR 571.135 S7.12: 20 %, UK periodic test: 16 % (from memory); sin(atan 0.20), sin(atan 0.16)",
        law="held_by_force", asked=f"{100 * share:.2f} % of the weight [%]", expected=slope, got=100 * got, absolute=0.02,
        why="the share has four digits", keys=("brakes.hold_gradient",),
    )  # fmt: skip


# A way down of 7 %, 3.2 km at 80 km/h, 1700 kg: "about 26 kW", 144 s.
HILL = "a public specification of a thermal model of a disc brake, 2026, scenario 3 (read)"


def test_power_of_a_descent(published) -> None:
    slope = road_load.grade_force(mass=1700.0, gravity=G, grade=0.07)
    force = law.descent_force(slope=slope, tyres=0.0, air=0.0, linear=0.0)
    got = road_load.wheel_power(force=force, speed=80 * KMH)
    published.check(
        source=HILL, law="descent_force", asked="1700 kg down 7 % at 80 km/h, nothing else holds it [kW]", expected=26, got=got / 1000,
        absolute=0.5, why="whole kilowatts", keys=("brakes.descent_power",),
    )  # fmt: skip
    assert law.descent_force(slope=slope, tyres=slope, air=slope, linear=0.0) == 0.0


def test_time_of_a_descent(published) -> None:
    published.check(
        source=HILL, law="time_of_descent", asked="3.2 km at 80 km/h [s]", expected=144,
        got=law.time_of_descent(length=3200.0, speed=80 * KMH), absolute=0.5, why="whole seconds", keys=("brakes.descent_energy",),
    )  # fmt: skip


def test_temperature_on_a_descent(published) -> None:
    """The heat balance of iron that is heated and cools, integrated by a library."""
    capacity, cools, power, air, time = 5500.0, 330.0, 7600.0, 303.15, 216.0
    made = solve_ivp(lambda t, y: power / capacity - (y - air) / cools, (0.0, time), [air], rtol=1e-10, atol=1e-8)
    got = law.brake_temperature(air=air, power=power, heat_capacity=capacity, cooling_time=cools, time=time)
    published.check(
        source=f"scipy {scipy.__version__}, integrate.solve_ivp on the lumped heat balance",
        law="brake_temperature",
        asked="7.6 kW into 11 kg of iron for 216 s [K]", expected=float(made.y[0][-1]), got=float(got), absolute=0.001,
        why="integrated to 1e-8", keys=("brakes.descent_temperature_front", "brakes.descent_temperature_rear"),
    )  # fmt: skip


def test_temperature_of_a_short_stop(published) -> None:
    """Too short to cool: all of the energy in the iron, ΔT = E / (m c)."""
    mass = 22.0
    capacity = law.heat_capacity(mass=mass, specific_heat=500.0)
    energy = 0.5 * 1800 * 25.0**2
    got = law.brake_temperature(air=0.0, power=energy / 2.5, heat_capacity=capacity, cooling_time=1e6, time=2.5)
    published.check(
        source="Limpert, single stop: ΔT = E / (m c) (from memory)", law="heat_capacity, brake_temperature",
        asked="1800 kg from 25 m/s into 22 kg of iron [K]", expected=energy / (mass * 500.0), got=float(got), rel=1e-4,
        why="hardly any cooling in 2.5 s", keys=("brakes.descent_temperature_front",),
    )  # fmt: skip


def test_the_servo_of_a_heavier_car(published) -> None:
    """Same mass, same vacuum; and with a servo that doubles the foot, a car a tenth heavier wants a fifth more vacuum."""
    for mass, expected in ((1000.0, 60.0), (1100.0, 72.0)):
        got = law.vacuum_needed(vacuum=60e3, boost=2.0, mass=mass, before=1000.0) / 1000
        published.check(
            source="common practice, no source: help in proportion to vacuum, force in proportion to mass", law="vacuum_needed",
            asked=f"{mass:.0f} kg for 1000 kg, 60 kPa, boost 2 [kPa]", expected=expected, got=got, rel=1e-9, why="plain proportion",
            keys=("brakes.vacuum_needed", "brakes.pedal_factor"),
        )  # fmt: skip
    assert law.pedal_factor(boost=2.0, mass=1100.0, before=1000.0) == pytest.approx(2.2)


@pytest.mark.parametrize(("what", "limit", "got"), [("not", 0.7, LAMPS_NEVER), ("always", 1.3, LAMPS_ALWAYS)])
def test_brake_lamps_under_regeneration(published, what: str, limit: float, got: float) -> None:
    """Foot off the accelerator: no signal up to 0.7 m/s², it may come up to 1.3 m/s², and must above."""
    published.check(
        source="UN R13-H 5.2.22.4, in a copy (read)", law="brake lamps", asked=f"from where they must {what} light [m/s²]",
        expected=limit, got=got, absolute=0.0001, why="limits as they stand", keys=("brakes.regeneration_braking",),
    )  # fmt: skip
