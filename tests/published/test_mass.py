"""Axle loads, centre of gravity, springs, tyres: against textbooks, tables and plain statics."""

from __future__ import annotations

from itertools import pairwise
from math import cos, pi, radians, sin, sqrt

import pytest

from voltwright.parts.tyres import index_for, read_marking
from voltwright.physics import mass as law

JAZAR = "Jazar, Vehicle Dynamics (2008), ch. 2 exercise 1: m 1765 kg, l 2.84 m, a1 1.22 m, a2 1.62 m; read as printed"
GRAVITY = 9.81  # the exercise reckons with this


def test_axle_loads_of_a_parked_car(published) -> None:
    front = law.front_axle_load(mass=1765.0, behind_front=1.22, wheelbase=2.84) * GRAVITY
    rear = law.rear_axle_load(mass=1765.0, behind_front=1.22, wheelbase=2.84) * GRAVITY
    why = "printed inputs; the two forces follow from them to five digits"
    published.check(
        source=JAZAR,
        law="front_axle_load",
        asked="force on the front axle [N]",
        expected=9876.7,
        got=front,
        absolute=0.1,
        why=why,
        keys=("mass.front_axle", "mass.front_axle_laden"),
    )
    published.check(
        source=JAZAR,
        law="rear_axle_load",
        asked="force on the rear axle [N]",
        expected=7438.0,
        got=rear,
        absolute=0.1,
        why=why,
        keys=("mass.rear_axle", "mass.rear_axle_laden"),
    )


def test_centre_of_gravity_from_the_axles(published) -> None:
    got = law.centre_from_axles(wheelbase=2.84, front=9876.7 / GRAVITY, rear=7438.0 / GRAVITY)
    published.check(
        source=JAZAR,
        law="centre_from_axles",
        asked="a1 from the two forces [m]",
        expected=1.22,
        got=got,
        absolute=1e-4,
        why="forces are printed to 0.1 N",
        keys=("mass.cg_x",),
    )
    share = law.centre_from_share(wheelbase=2.84, front_share=9876.7 / (9876.7 + 7438.0))
    published.check(
        source=JAZAR,
        law="centre_from_share",
        asked="a1 from the front share [m]",
        expected=1.22,
        got=share,
        absolute=1e-4,
        why="forces are printed to 0.1 N",
    )


def test_adding_a_mass_shifts_the_axles_by_its_lever(published) -> None:
    """Statics of a beam on two supports: dm at x adds dm (l - x) / l to the front (standard texts, from memory)."""
    body, centre, wheelbase, added, place = 1000.0, 1.10, 2.40, 120.0, 2.70
    moment = law.moment_after(
        before=law.moment(mass=body, arm=centre), taken=0.0, added=law.moment(mass=added, arm=place)
    )
    mass = law.mass_after(before=body, taken=0.0, added=added)
    after = law.front_axle_load(mass=mass, behind_front=law.centre(moment=moment, mass=mass), wheelbase=wheelbase)
    before = law.front_axle_load(mass=body, behind_front=centre, wheelbase=wheelbase)
    published.check(
        source="statics of a beam on two supports, standard texts, from memory",
        law="moment_after, centre, front_axle_load",
        asked="change of the front axle by 120 kg behind the rear axle [kg]",
        expected=added * (wheelbase - place) / wheelbase,
        got=after - before,
        absolute=1e-9,
        why="exact arithmetic",
        keys=("mass.front_axle", "mass.kerb", "mass.laden"),
    )


@pytest.mark.parametrize(("height", "degrees"), [(0.50, 12.0), (0.62, 20.0)])
def test_height_by_lifting_an_axle(published, height: float, degrees: float) -> None:
    """A rigid car turned about its front wheels, weighed by statics worked here from the geometry alone."""
    mass, wheelbase, behind, radius, lift = 1100.0, 2.5, 1.15, 0.30, radians(degrees)
    rear_wheel = (wheelbase * cos(lift), wheelbase * sin(lift))
    # the centre of gravity in axes of the car is (behind, height - radius) from the front hub
    centre = (behind * cos(lift) - (height - radius) * sin(lift), behind * sin(lift) + (height - radius) * cos(lift))
    front = mass * (rear_wheel[0] - centre[0]) / rear_wheel[0]
    gain = front - mass * (wheelbase - behind) / wheelbase
    got = law.centre_height_from_lift(
        wheel_radius=radius, wheelbase=wheelbase, level_load_gain=gain, mass=mass, lift=lift
    )
    published.check(
        source="rigid-body statics, worked in the test; the form is in Gillespie ch. 1, from memory",
        law="centre_height_from_lift",
        asked=f"height of the centre of gravity, lifted {degrees:g}° [m]",
        expected=height,
        got=got,
        absolute=1e-9,
        why="the same geometry, other way round",
        keys=("mass.cg_height",),
    )


@pytest.mark.parametrize(("inches", "hertz"), [(10.0, 0.99), (5.0, 1.40), (1.0, 3.13)])
def test_static_deflection_and_bounce(published, inches: float, hertz: float) -> None:
    """Gillespie ch. 5: 10 inches of static deflection bounce at 1 Hz, 5 inches at 1.4 Hz, 1 inch at 3.13 Hz (from memory)."""
    sprung = 400.0
    rate = law.wheel_rate_from_bounce(bounce=hertz, sprung=sprung)
    sinks = -law.ride_height_change(before=0.0, after=sprung, gravity=9.80665, wheel_rate=rate)
    published.check(
        source="Gillespie, Fundamentals of Vehicle Dynamics (1992), ch. 5, from memory",
        law="wheel_rate_from_bounce, ride_height_change",
        asked=f"static deflection at {hertz} Hz [in]",
        expected=inches,
        got=sinks / 0.0254,
        rel=0.02,
        why="the book rounds the frequencies",
        keys=("mass.ride_height_front", "mass.ride_height_rear"),
    )


def test_stiffer_springs_restore_the_height(published) -> None:
    """Hooke: with the factor, the new load sags the new spring as far as the old load sagged the old one."""
    old, new, rate = 380.0, 455.0, 21000.0
    factor = law.spring_factor(before=old, after=new)
    sag_old, sag_new = old * 9.80665 / (2 * rate), new * 9.80665 / (2 * rate * factor)
    published.check(
        source="Hooke's law; free length unchanged",
        law="spring_factor",
        asked="sag of new springs under the new load [m]",
        expected=sag_old,
        got=sag_new,
        rel=1e-12,
        why="exact",
        keys=("mass.spring_factor_front", "mass.spring_factor_rear"),
    )


LOADS = {70: 335, 75: 387, 80: 450, 81: 462, 82: 475, 85: 515, 88: 560, 91: 615, 95: 690, 100: 800}


@pytest.mark.parametrize(("index", "kilograms"), LOADS.items())
def test_load_index(published, index: int, kilograms: int) -> None:
    marking = read_marking(f"165/80R14 {index}S")
    published.check(
        source="tyre load index table (ISO 4000-1, UN R30), as copied on two tyre dealers' pages",
        law="load index",
        asked=f"load of index {index} [kg]",
        expected=kilograms,
        got=marking.load or 0.0,
        absolute=0.0,
        why="a table",
        keys=("mass.tyre_reserve_front", "mass.tyre_reserve_rear"),
    )
    published.check(
        source="fit 45 · 10^(LI/80) kg, formula from memory",
        law="load index",
        asked=f"load of index {index} against the fit [kg]",
        expected=45 * 10 ** (index / 80),
        got=marking.load or 0.0,
        rel=0.013,
        why="the table rounds to whole steps",
    )
    assert index_for(kilograms) == index
    assert index_for(kilograms + 0.5) == index + 1


# From memory; a dealer's copy agrees save for two slips of its own (53: 205, 62: 165).
LOADS_FROM_MEMORY = {
    40: 140, 45: 165, 50: 190, 53: 206, 56: 224, 59: 243, 62: 265, 64: 280, 67: 307, 69: 325,
    101: 825, 104: 900, 107: 975, 109: 1030, 111: 1090, 113: 1150, 115: 1215, 117: 1285, 119: 1360, 121: 1450, 125: 1650, 130: 1900,
}  # fmt: skip


@pytest.mark.parametrize(("index", "kilograms"), LOADS_FROM_MEMORY.items())
def test_load_index_beyond_cars(published, index: int, kilograms: int) -> None:
    marking = read_marking(f"7.00 R 16 C {index}L")
    published.check(
        source="tyre load index table (ISO 4000-1, UN R30, UN R54), from memory",
        law="load index",
        asked=f"load of index {index} [kg]",
        expected=kilograms,
        got=marking.load or 0.0,
        absolute=0.0,
        why="a table",
        keys=("mass.tyre_reserve_front", "mass.tyre_reserve_rear"),
    )
    coarse = index == 40 or 117 <= index <= 120
    published.check(
        source="fit 45 · 10^(LI/80) kg, formula from memory",
        law="load index",
        asked=f"load of index {index} against the fit [kg]",
        expected=45 * 10 ** (index / 80),
        got=marking.load or 0.0,
        rel=0.018 if coarse else 0.015,
        why="the table rounds to steps of 5 kg" + (", and here strays farthest" if coarse else ""),
    )
    assert index_for(kilograms) == index
    assert index_for(kilograms + 0.5) == (None if index == 130 else index + 1)


def test_every_load_index_follows_the_fit_and_grows() -> None:
    """Neighbours of the series lie 2.9 % apart, so a slip of one row would show in the steps."""
    loads = [read_marking(f"165R14 {index}S").load or 0.0 for index in range(40, 131)]
    assert loads == pytest.approx([45 * 10 ** (index / 80) for index in range(40, 131)], rel=0.018)
    assert all(1.015 < after / before < 1.042 for before, after in pairwise(loads))


@pytest.mark.parametrize(
    ("symbol", "speed"),
    [("B", 50), ("C", 60), ("D", 65), ("E", 70), ("F", 80), ("G", 90), ("J", 100), ("K", 110)],
)
def test_slow_speed_symbol(published, symbol: str, speed: int) -> None:
    got = read_marking(f"7.00 R 16 C 117/116 {symbol}").speed
    published.check(
        source="speed symbol table (ISO 4000-1, UN R30, UN R54), from memory",
        law="speed symbol",
        asked=f"speed of {symbol} [km/h]",
        expected=speed,
        got=(got or 0.0) * 3.6,
        absolute=1e-9,
        why="a table",
    )


@pytest.mark.parametrize(("symbol", "speed"), [("P", 150), ("Q", 160), ("S", 180), ("T", 190), ("H", 210), ("V", 240)])
def test_speed_symbol(published, symbol: str, speed: int) -> None:
    got = read_marking(f"165/80R14 85{symbol}").speed
    published.check(
        source="speed symbol table (ISO 4000-1, UN R30), as copied on two tyre dealers' pages",
        law="speed symbol",
        asked=f"speed of {symbol} [km/h]",
        expected=speed,
        got=(got or 0.0) * 3.6,
        absolute=1e-9,
        why="a table",
    )


@pytest.mark.parametrize(
    ("marking", "millimetres", "rel", "whence"),
    [
        ("165/80R14 85S", 25.4 * 14 + 2 * 165 * 0.80, 1e-9, "ISO 4000-1: diameter is rim and twice the section height"),
        ("165 R 14", 626, 0.01, "ETRTO handbook, radial without a series number, from memory"),
        ("5.60-13", 600, 0.01, "ETRTO handbook, cross-ply, from memory"),
        ("6.00-16", 711, 0.03, "cross-ply of the balloon kind, from memory"),
    ],
)
def test_tyre_diameter(published, marking: str, millimetres: float, rel: float, whence: str) -> None:
    published.check(
        source=whence,
        law="tyre diameter",
        asked=f"free diameter of {marking} [mm]",
        expected=millimetres,
        got=read_marking(marking).diameter * 1000,
        rel=rel,
        why="old markings leave the section height to convention",
    )


def test_natural_frequency_identity() -> None:
    """f = sqrt(k/m) / 2π for both wheels together, the definition in any vibration text."""
    rate = law.wheel_rate_from_bounce(bounce=1.3, sprung=420.0)
    assert sqrt(2 * rate / 420.0) / (2 * pi) == pytest.approx(1.3)
