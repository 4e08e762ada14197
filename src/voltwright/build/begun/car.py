"""The donor as such cars usually are: common practice with no source, scaled by the length and the mass that were answered."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from importlib.resources import files
from typing import Any

from voltwright.build.begun.answers import Wish
from voltwright.build.begun.writing import Assumed, Chosen, about
from voltwright.parts.tyres import TyreMarking, read_marking


@dataclass(frozen=True)
class Habit:
    """How a body is usually made. Shares are of the whole mass, of both overhangs together, and of the wheelbase."""

    front_share: float
    front_overhang: float
    engine: float
    first_row: float
    rear_places: int
    load: float
    final_drive: float
    ground_clearance: float
    boxes: Mapping[str, float]


def habit_of(body: str) -> Habit:
    raw = json.loads(files("voltwright.build.begun").joinpath("habits.json").read_text(encoding="utf-8"))
    return Habit(**raw[body])


@dataclass(frozen=True)
class Car:
    """The outline of the donor. Lengths in m, x rearwards from the front axle."""

    wish: Wish
    habit: Habit

    @property
    def nose(self) -> float:
        return -self.habit.front_overhang * (self.wish.length - self.wish.wheelbase)

    @property
    def tail(self) -> float:
        return self.wish.length + self.nose

    @property
    def width(self) -> float:
        return min(max(0.75 + 0.205 * self.wish.length, 1.2), 2.1)

    @property
    def track(self) -> float:
        return self.width - 0.29

    @property
    def engine_torque(self) -> float:
        """[N·m]"""
        return 0.13 * self.wish.mass

    @property
    def gearbox_torque(self) -> float:
        """[N·m]"""
        return 1.3 * self.engine_torque

    @property
    def engine_x(self) -> float:
        return self.habit.engine * self.wish.wheelbase

    @property
    def gearbox_x(self) -> float:
        return self.engine_x + 0.25 * self.wish.wheelbase

    @property
    def tank_x(self) -> float:
        return (self.wish.wheelbase + self.tail) / 2

    @cached_property
    def tyre(self) -> TyreMarking:
        """The smallest usual tyre that carries a quarter more than its share of the laden donor."""
        laden = self.wish.mass + 85.0 * self.wish.seats + 50.0
        needs = 1.25 * laden * 0.56 / 2
        known = [read_marking(each) for each in TYRES]
        return next((each for each in known if (each.load or 0.0) >= needs), known[-1])

    def inside(self, x: float) -> float:
        """A place moved so that it lies within the car."""
        return min(max(x, self.nose + 0.05), self.tail - 0.05)


# Usual sizes of classic cars and vans in order of what they carry; common practice, no source.
TYRES = (
    "145/80R12 74S", "155/80R13 79S", "165/80R14 85S", "175/80R14 88S", "185/80R15 93S", "195/80R15 96S", "205/80R16 104S",
    "195/80R14 106R", "225/75R16 118R", "225/75R16 125R",
)  # fmt: skip


def donor_of(car: Car) -> dict[str, Any]:
    """The section `donor`: what was answered as it was typed, the rest assumed."""
    wish, habit, mass = car.wish, car.habit, car.wish.mass
    share = (
        f"{100 * habit.front_share:.0f} % of the donor's mass on its front axle, usual for that body; weigh one axle"
    )
    springs = "a share of the donor's mass as usual; weigh one wheel with its brake and double it"
    tyre = Chosen(car.tyre.text, "a usual size that carries such a car; read the side wall")
    return {
        "title": wish.text.donor,
        "year": wish.year,
        "body": wish.text.body,
        "mass_kerb": wish.text.mass_kerb,
        "axles": {"front": Assumed(about(habit.front_share * mass, "kg", 0.04 * mass), share)},
        "size": _size(car),
        "tyres": {"front": tyre, "rear": tyre},
        "suspension": {
            "front": {"unsprung_mass": Assumed(about(0.065 * mass, "kg", 0.015 * mass), springs)},
            "rear": {"unsprung_mass": Assumed(about(0.095 * mass, "kg", 0.025 * mass), springs)},
        },
        "drive_line": _drive_line(car),
        "brakes": {
            "front": Chosen("disc" if wish.year >= 1966 else "drum", "usual for that year; look behind the wheel"),
            "rear": Chosen("drum", "usual for such cars; look behind the wheel"),
            "servo": Chosen("none", "many such cars have none; look for a vacuum pot behind the pedal"),
            "parking": Chosen("rear-cable", "usual for such cars; pull it and look which wheels hold"),
        },
        "electrics": {
            "voltage": Assumed("12 V", "usual from the fifties on; read it from the battery"),
            "earth": Chosen(
                "negative", "usual from the late sixties on; look which pole of the battery goes to the body"
            ),
            "generator": Chosen("dynamo" if wish.year < 1970 else "alternator", "usual for that year; look at it"),
        },
        "seats": _seats(car),
        "load_space": {
            "name": "load space",
            "x": Assumed(
                about(car.inside(habit.load * wish.wheelbase), "m", 0.15), "usual for that body; measure to its middle"
            ),
            "z": Assumed("0.60 m ± 0.10 m", "usual for that body; measure to the middle of the load"),
        },
        "removed": _removed(car),
        "stays": [_thing("gearbox", car, 0.033, car.gearbox_x, 0.40)] if wish.text.keep_gearbox else [],
    }


def _size(car: Car) -> dict[str, Any]:
    wish, tape = car.wish, "usual for a car of that length; measure it"
    between = "a share of length less wheelbase as usual for that body; measure from the bumper to a plumb line through the axle"
    spread = min(0.10, -0.4 * car.nose)
    return {
        "length": wish.text.length,
        "wheelbase": wish.text.wheelbase,
        "width": Assumed(about(car.width, "m", 0.08), tape),
        "front_overhang": Assumed(about(-car.nose, "m", spread), between),
        "track_front": Assumed(about(car.track, "m", 0.06), tape),
        "track_rear": Assumed(about(car.track, "m", 0.06), tape),
        "ground_clearance": Assumed(
            about(1000 * car.habit.ground_clearance, "mm", 20),
            "usual for that body; measure the lowest point between the axles",
        ),
    }


def _drive_line(car: Car) -> dict[str, Any]:
    engine = "as engines of such cars gave for their mass; look it up in the donor's handbook"
    return {
        "driven_axle": Chosen("rear", "usual for such cars; look which wheels have shafts"),
        "gearbox": {
            "ratios": Chosen(
                [3.6, 2.15, 1.4, 1.0], "a usual box of four gears; turn the input and count, or read the handbook"
            ),
            "reverse_ratio": Chosen(3.6, "usually about that of first gear; turn the input and count"),
            "torque_max": Assumed(
                about(car.gearbox_torque, "N·m", 0.2 * car.gearbox_torque),
                "a third more than such an engine gave; ask who rebuilds such boxes",
            ),
            "speed_max": Assumed("6000 rpm ± 500 rpm", "as such engines were let to turn; read the donor's handbook"),
        },
        "final_drive": Chosen(car.habit.final_drive, "usual for that body; turn a wheel and count turns of the shaft"),
        "engine_torque": Assumed(about(car.engine_torque, "N·m", 0.2 * car.engine_torque), engine),
        "engine_power": Assumed(about(0.055 * car.wish.mass, "kW", 0.013 * car.wish.mass), engine),
    }


def _seats(car: Car) -> list[dict[str, Any]]:
    """Rows of seats for all who ride, and the rear bench that such a body has."""
    wish, habit = car.wish, car.habit
    rows, left = [max(min(wish.seats, 2), 1 if wish.seats == 1 else 2)], wish.seats - 2
    if habit.rear_places:
        rows.append(max(habit.rear_places, min(left, 3)))
        left -= rows[-1]
    while left > 0:
        rows.append(min(left, 3))
        left -= 3
    note = "where such cars have them; measure to the middle of the cushion"
    return [
        {
            "name": ("front seats", "rear bench")[at] if at < 2 else f"row {at + 1}",
            "places": Chosen(places, "as such a body has, for all who ride; count them"),
            "x": Assumed(about(car.inside((habit.first_row + 0.32 * at) * wish.wheelbase), "m", 0.08), note),
            "z": Assumed("0.52 m ± 0.06 m", note),
        }
        for at, places in enumerate(rows)
    ]


def _removed(car: Car) -> list[dict[str, Any]]:
    """What comes out: masses as shares of the donor's, as usual."""
    out = [
        _thing("engine with ancillaries", car, 0.145, car.engine_x, 0.55),
        _thing("radiator and coolant", car, 0.014, car.nose + 0.25, 0.48),
        _thing("fuel tank with fuel", car, 0.042, car.tank_x, 0.42),
        _thing("exhaust", car, 0.017, 0.65 * car.wish.wheelbase, 0.24),
        _thing("starter battery", car, 0.015, car.engine_x + 0.1, 0.62),
    ]
    if not car.wish.text.keep_gearbox:
        out.append(_thing("gearbox", car, 0.033, car.gearbox_x, 0.40))
    return out


def _thing(name: str, car: Car, share: float, x: float, z: float) -> dict[str, Any]:
    mass = share * car.wish.mass
    place = "where such cars have it; measure its middle"
    return {
        "name": name,
        "mass": Assumed(about(mass, "kg", 0.25 * mass), f"{100 * share:.3g} % of the donor's mass, as usual; weigh it"),
        "x": Assumed(about(round(car.inside(x), 2), "m", 0.10), place),
        "z": Assumed(about(z, "m", 0.06), place),
    }
