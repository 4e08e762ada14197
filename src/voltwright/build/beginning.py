"""A new car in five answers: the text of a whole build file, in which only what was answered stands as entered.

Everything else is common practice with no source. It is marked as assumed with its reason: a quantity beside its value,
a word, a count or the id of a part in a comment behind it.
"""

from __future__ import annotations

import math
from typing import Any

from voltwright.build.begun.answers import Answers, Wish, read_answers
from voltwright.build.begun.boxes import boxes_of
from voltwright.build.begun.car import Car, donor_of, habit_of
from voltwright.build.begun.money import costing_of
from voltwright.build.begun.parts import Fitted, joined, pick
from voltwright.build.begun.writing import Assumed, Chosen, about, set_out
from voltwright.parts.base import Part
from voltwright.parts.power import Battery12V, Fan, Inlet, Pump, Radiator
from voltwright.parts.shelf import Shelf
from voltwright.parts.trips import STEADY

__all__ = ["Answers", "begin"]

HEAD = """# Begun with five answers. Whatever says 'assumed' is common practice and not this car: measure it, ask, or choose another.
# The parts are a first choice by their datasheets.
"""
KNOWN = "chosen by its datasheet; look for what else fits"
WHERE = "where such cars have room; measure it"


def begin(answers: Answers, shelf: Shelf, *, reduced: bool = True) -> str:
    """The text of a build file. Raises BuildError with every answer that is wrong, each by its name.

    `reduced`: a reduction takes the place of a gearbox that does not stay; else the motor drives the propeller shaft.
    """
    wish = read_answers(answers, shelf)
    car, fitted = Car(wish, habit_of(wish.text.body)), Fitted(shelf, joined(wish, shelf))
    tree: dict[str, Any] = {
        "title": wish.text.title,
        "currency": wish.text.currency,
        "country": wish.text.country,
        "brief": _brief(wish),
        "donor": donor_of(car),
        "drive": _drive(car, fitted, reduced),
        "pack": _pack(car, fitted),
        "braking": {
            "lamps": Chosen("regeneration", "so that whoever follows sees the motor brake"),
            "lamps_from": Assumed("1.0 m/s²", "as rules on brake lamps have it for regeneration; ask the inspector"),
        },
        "charging": _charging(car, fitted),
        "supplies": [_supply(wish)],
        "low_voltage": _low_voltage(car, fitted),
        "comfort": {"cabin_heater": _placed(fitted.heater, car, car.engine_x + 0.35, 0.62)},
        "loads_12v": _loads(),
        "fitted": _cooling(car, fitted),
        "extras": _extras(car),
        "duty": _duty(wish),
        "costing": costing_of(wish.text.currency, wish.text.country),
    }
    return f"voltwright: 1\n\n{HEAD}\n{set_out(tree)}"


def _brief(wish: Wish) -> dict[str, Any]:
    nearest = min(STEADY, key=lambda speed: abs(speed / 3.6 - wish.cruise))
    return {
        "range": wish.text.range,
        "range_trip": Chosen(f"steady-{nearest}", "the steady trip nearest to the cruise speed"),
        "cruise_speed": wish.text.cruise_speed,
        "seats": wish.seats,
        "keep": ("the old gearbox",) if wish.text.keep_gearbox else (),
    }


def _drive(car: Car, fitted: Fitted, reduced: bool) -> dict[str, Any]:
    wish = car.wish
    x = car.engine_x + (0.12 if wish.text.keep_gearbox else 0.35)
    return {
        "motor": {"part": wish.motor.id, **_at(car, x, 0.42)},
        "inverter": _placed(fitted.inverter, car, car.engine_x, 0.68),
        "torque_limit": _torque_limit(car),
        "gearing": _gearing(car, fitted, reduced),
        "regeneration": {"torque": _braking_torque(car)},
    }


def _torque_limit(car: Car) -> Assumed | None:
    """The old gearbox bears less than many a motor gives."""
    least = 0.8 * car.gearbox_torque
    if not car.wish.text.keep_gearbox or car.wish.motor.torque_peak.value <= least:
        return None
    return Assumed(
        f"{max(1, math.floor(least))} N·m", "what a usual gearbox of such a car bears at least; set it in the inverter"
    )


def _braking_torque(car: Car) -> Assumed:
    """Gentle: by the rear wheels alone, on a wet road, and against the side of the gears that is not made for it."""
    torque = min(0.3 * car.gearbox_torque, 0.3 * car.wish.motor.torque_peak.value)
    return Assumed(
        f"{max(1, math.floor(torque))} N·m",
        "gentle, as one axle brakes; set it in the inverter and try it on a wet empty place",
    )


def _gearing(car: Car, fitted: Fitted, reduced: bool) -> dict[str, Any]:
    """How the motor reaches the wheels: as was answered, or by a reduction that lets the car cruise at less than full speed."""
    motor, turns_back = car.wish.motor, not fitted.must_have_reverse
    backwards: dict[str, Any] = {}
    if turns_back:
        backwards = {
            "reverse": Chosen("motor", "no gear is left that does it; set the inverter so"),
            "reverse_speed": Assumed("15 km/h ± 3 km/h", "a usual setting; set it in the inverter"),
        }
    if car.wish.text.keep_gearbox:
        bears = 1.2 * car.gearbox_torque
        note = "a clutch or coupling is usually made for a fifth more than the gearbox; ask who makes it"
        return {"way": "gearbox-kept", "coupling_torque": Assumed(about(bears, "N·m", 0.1 * bears), note)}
    if motor.built_in_ratio is not None:
        return {"way": Chosen("axle-drive", "the motor has a reduction and a differential of its own"), **backwards}
    shaft = car.wish.cruise / (car.tyre.diameter / 2) * car.habit.final_drive
    unit = fitted.gear_unit(shaft, motor.torque_peak.value) if reduced else None
    if unit is None:
        return {
            "way": Chosen("direct", "the motor would turn too fast with a reduction that is on the shelf"),
            **backwards,
        }
    note = "no gearbox was asked for, and a reduction spares the motor"
    if unit.reverse:
        backwards = {"reverse": Chosen("gear", "the unit has a gear for it")}
    return {"way": Chosen("gear-unit", note), "gear_unit": _placed(unit, car, car.gearbox_x, 0.40), **backwards}


def _pack(car: Car, fitted: Fitted) -> dict[str, Any]:
    way, bms = fitted.way, fitted.bms
    note = "so that motor and parts get a voltage that they bear"
    used = "known from its datasheet alone; test each module on the bench"
    health = way.wish.module.health
    return {
        "module": way.wish.module.id,
        "series": Chosen(way.series, f"{way.wish.modules} modules, {note}"),
        "parallel": Chosen(way.parallel, f"{way.wish.modules} modules, {note}"),
        "condition": {"health": Assumed(health.text, used)} if health else None,
        "boxes": list(boxes_of(car, way.series, way.parallel)),
        "bms": bms and {
            "part": Chosen(bms.id, KNOWN),
            "boards": Chosen(fitted.boards(bms), "a channel for every group of cells; count again when modules change"),
            "sensors": Chosen(fitted.sensors, "those of each module, or one"),
        },
        "protection": _protection(car, fitted),
    }  # fmt: skip


def _protection(car: Car, fitted: Fitted) -> dict[str, Any]:
    strings = fitted.way.parallel
    each = Chosen(strings, "one for each string") if strings > 1 else None
    # The first current through the resistor is at most the precharge contactor's, and a few ampere are enough.
    first = min(10.0, 0.5 * fitted.precharge_contactor.current_make_max.value) if fitted.precharge_contactor else 10.0
    return {
        "fuse": _id(fitted.fuse),
        "fuses": each,
        "contactor": _id(fitted.contactor),
        "contactors": Chosen(2, "one in each pole"),
        "precharge_contactor": _id(fitted.precharge_contactor),
        "precharge_resistor": Assumed(f"{max(1, math.ceil(fitted.way.full / first))} Ω", f"limits the first current to {first:.3g} A"),
        "main_cable": _cable(car, fitted),
        "msd": _id(fitted.msd),
        "msds": each,
        "isolation_monitor": _id(fitted.isolation_monitor),
    }  # fmt: skip


def _cable(car: Car, fitted: Fitted) -> dict[str, Any] | None:
    length = min(1.6 * car.wish.wheelbase, 14.0)
    note = "by the wheelbase, there and back; lay a string where it will run"
    return fitted.cable and {
        "part": Chosen(fitted.cable.id, KNOWN),
        "length": Assumed(about(length, "m", 0.2 * length), note),
    }


def _charging(car: Car, fitted: Fitted) -> dict[str, Any]:
    plug = "iec-62196-type-1" if car.wish.text.country in ONE_PHASE_PLUG else "iec-62196-type-2"
    phases = fitted.charger.phases if fitted.charger else 1

    def rank(part: Inlet) -> tuple[float, ...]:
        return (part.phases < phases, part.phases)

    inlet = pick(fitted.shelf, Inlet, lambda part: part.standard == plug, rank)
    return {"charger": _placed(fitted.charger, car, car.tail - 0.45, 0.55), "inlet": _id(inlet)}


ONE_PHASE_PLUG = ("CA", "JP", "KR", "MX", "TW", "US")  # common practice: plugs of type 1 stand there
SPLIT_PHASE = ("CA", "MX", "US")


def _supply(wish: Wish) -> dict[str, Any]:
    volt = 240 if wish.text.country in SPLIT_PHASE else 200 if wish.text.country == "JP" else 230
    note = "a usual wall box of one phase; ask what the house gives"
    return {
        "name": "home",
        "kind": Chosen("ac", note),
        "phases": Chosen(1, note),
        "voltage": Assumed(f"{volt} V", note),
        "current": Assumed("32 A", note),
    }


def _low_voltage(car: Car, fitted: Fitted) -> dict[str, Any]:
    def rank(part: Battery12V) -> tuple[float, ...]:
        return (part.technology != "lead-agm", abs(part.capacity.value / 3600.0 - 45.0))

    battery = pick(fitted.shelf, Battery12V, lambda part: 11.5 <= part.voltage_nominal.value <= 13.5, rank)
    feed = "a usual cable for such a DC-DC; choose it by its current"
    return {
        "dc_dc": _placed(fitted.dc_dc, car, car.engine_x - 0.1, 0.70),
        "battery": _placed(battery, car, car.engine_x + 0.1, 0.62),
        "feed": {"cross_section": Assumed("50 mm²", feed), "length": Assumed("1.2 m ± 0.4 m", feed), "fuse_rating": Assumed("125 A", feed)},
        "fed_anew": Chosen(["charge lamp"], "a lamp that tells when the DC-DC fails is usual"),
    }  # fmt: skip


def _loads() -> list[dict[str, Any]]:
    note = "usual for such a car; read the bulbs and measure"
    known = (("head and tail lamps", "140 W ± 20 W", "20 % ± 10 %"), ("wipers", "60 W ± 15 W", "10 % ± 5 %"))
    return [{"name": name, "power": Assumed(power, note), "use": Assumed(use, note)} for name, power, use in known]


def _cooling(car: Car, fitted: Fitted) -> list[dict[str, Any]]:
    """Pump, radiator and fan where motor, inverter or charger is cooled by liquid."""
    motor = car.wish.motor
    if not any(part and part.cooling == "liquid" for part in (motor, fitted.inverter, fitted.charger)):
        return []
    heat = 0.1 * motor.power_continuous.value
    pump = pick(fitted.shelf, Pump, lambda part: True, lambda part: (abs(part.power.value - 30.0),))
    radiator = pick(
        fitted.shelf,
        Radiator,
        lambda part: True,
        lambda part: (part.conductance.value * 25.0 < heat, part.conductance.value),
    )
    fan = pick(fitted.shelf, Fan, lambda part: part.flow_free.value > 0.1, lambda part: (abs(part.power.value - 90.0),))
    front = car.nose + 0.18
    found = (
        _placed(pump, car, front + 0.05, 0.42),
        _placed(radiator, car, front, 0.48),
        _placed(fan, car, front + 0.04, 0.48),
    )
    return [each for each in found if each is not None]


def _extras(car: Car) -> list[dict[str, Any]]:
    weigh = "as such things usually weigh; weigh it"
    known = [
        ("motor mounts and brackets", 9.0, car.engine_x + 0.2, 0.38),
        ("traction cables and conduits", 12.0, 0.55 * car.wish.wheelbase, 0.25),
    ]
    if car.wish.text.keep_gearbox:
        known.append(("adaptor plate and coupling", 11.0, car.engine_x + 0.3, 0.42))
    return [
        {"name": name, "mass": Assumed(about(mass, "kg", 0.3 * mass), weigh), **_at(car, x, z)}
        for name, mass, x, z in known
    ]


def _duty(wish: Wish) -> dict[str, Any]:
    """A usual week: errands in town and a drive at the cruise speed."""
    nearest = min(STEADY, key=lambda speed: abs(speed / 3.6 - wish.cruise))
    week = (
        ("town", "40 % ± 15 %", "wltc-2", "12 km ± 4 km"),
        ("weekend", "60 % ± 15 %", f"steady-{nearest}", "45 km ± 15 km"),
    )
    ask = "a usual week of such a car; ask the customer"
    return {
        "distance": Assumed(
            "3000 .. 8000 km/year", "usual for a classic that is driven for pleasure; ask the customer"
        ),
        "trips": [
            {"name": name, "share": Assumed(share, ask), "trip": Chosen(trip, ask), "distance": Assumed(far, ask)}
            for name, share, trip, far in week
        ],
    }


def _placed(part: Part | None, car: Car, x: float, z: float) -> dict[str, Any] | None:
    return None if part is None else {"part": Chosen(part.id, KNOWN), **_at(car, x, z)}


def _at(car: Car, x: float, z: float) -> dict[str, Any]:
    return {"x": Assumed(about(round(car.inside(x), 2), "m", 0.1), WHERE), "z": Assumed(about(z, "m", 0.06), WHERE)}


def _id(part: Part | None) -> Chosen | None:
    return None if part is None else Chosen(part.id, KNOWN)
