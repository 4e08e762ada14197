"""What the plots show, as numbers: axle loads, traction, power of the pack, a trip, range, charging, where the energy went."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from voltwright.assess.case import Case, celsius
from voltwright.assess.drive import Gears, gears_of
from voltwright.assess.motor_model import fastest_turning, motor_model
from voltwright.assess.pack import arrangement, least_voltage, resistance_at, rest_voltage_at
from voltwright.assess.resistance import Resistance, resistance_of
from voltwright.assess.road import grip_force
from voltwright.assess.sheet import CONDITION, Sheet, constant
from voltwright.physics import cell, motor, pace, road_load
from voltwright.quantity.figure import Figure
from voltwright.quantity.plot import Axis, Bars, Heat, Lines, Mark, Number, Panel, Series
from voltwright.quantity.units import Unit
from voltwright.quantity.work import Node, evaluate_all, least, total, work

GRADES = (0.0, 0.05, 0.10, 0.20, 0.30)
CHARGES = tuple(step / 100 for step in range(101))
CELSIUS = tuple(float(each) for each in range(-20, 46))
_STEPS: Any = np.arange(161) / 160
_STANDING = 0.1  # m/s; a power has no force at standstill

SPEED = Axis("Road speed", Unit("km/h"))
FORCE = Axis("Force at the wheels", Unit("kN"), 1)
CHARGE = Axis("Charge", Unit("%"))
POWER = Axis("Power", Unit("kW"), 1)


@dataclass(frozen=True)
class Gear:
    """One gear that is used: its name, and turns of the motor for one of the wheels."""

    name: str
    ratio: Node


def gears_used(case: Case, gears: Gears) -> tuple[Gear, ...]:
    """Every gear that is used, the lowest first, as a gearbox numbers them."""
    fixed = case.build.drive.gearing.fixed_gear
    if len(gears.every) == 1:
        return (Gear(f"gear {fixed}" if fixed else "the one gear", gears.highest),)
    return tuple(Gear(f"gear {number}", ratio) for number, ratio in enumerate(gears.every, 1))


def wheel_force_at(case: Case, sheet: Sheet, gear: Gear, speeds: Any) -> Any:
    """The most that the drive pushes in a gear at road speeds [m/s], as an array. [N]

    The motor's envelope at its own voltage, and no more than the peak power at the wheels that the pack lets through.
    """
    held, (gears, _) = resistance_of(case, sheet), gears_of(case)
    assert held is not None
    assert gears is not None
    assert case.motor is not None
    assert case.inverter is not None
    model = motor_model(case, case.motor, case.inverter)
    speed = constant(1.0, "km/h", "Speed", CONDITION)
    turning = work(motor.motor_speed, "Motor speed", speed=speed, ratio=gear.ratio, wheel_radius=held.radius)
    torque = work(
        motor.torque_limit,
        "Most torque",
        torque=model["torque_peak"],
        power=model["power_peak"],
        pull_out=model["pull_out"],
        voltage_share=constant(1.0, "1", "Voltage as a share of the motor's", CONDITION),
        speed=turning,
    )
    ways = {"wheel_radius": held.radius, "ratio": gear.ratio, "efficiency": gears.efficiency}
    by_motor = work(motor.force_for_torque, "Force of the torque", torque=torque, **ways)
    by_power = work(pace.force_of_power, "Force of the power", power=sheet.nodes["drive.power_peak"], speed=speed)
    return _over(least("Force", [by_motor, by_power]), {id(speed): np.maximum(speeds, _STANDING)})


def road_load_at(held: Resistance, grade: float, speeds: Any) -> Any:
    """What holds the laden car back on a slope at road speeds [m/s], as an array. [N]"""
    speed, slope = constant(1.0, "km/h", "Speed", CONDITION), constant(grade, "%", "Slope", CONDITION)
    through = work(road_load.air_speed, "Speed through the air", speed=speed, wind=held.wind)
    weight = {"mass": held.mass, "gravity": held.gravity, "grade": slope}
    air = {"density": held.density, "drag_area": held.drag_area, "air_speed": through}
    terms = [
        work(road_load.rolling_resistance, "Tyres", coefficient=held.rolling, **weight),
        work(road_load.grade_force, "Slope", **weight),
        work(road_load.linear_resistance, "Bearings", linear=held.linear, speed=speed),
        work(road_load.aerodynamic_drag, "Air", **air),
    ]
    return _over(total("Road load", terms), {id(speed): speeds})


def traction_plot(case: Case, sheet: Sheet) -> Lines | None:
    """Force at the wheels in each gear against what the road asks; None where the sheet has no top speed."""
    held, (gears, _), top = resistance_of(case, sheet), gears_of(case), sheet.nodes.get("road.top_speed")
    if held is None or gears is None or case.motor is None or top is None:
        return None
    end = math.ceil(1.15 * top.value * 3.6 / 10) * 10 / 3.6
    speeds = end * _STEPS
    turning = fastest_turning(case, case.motor)
    lines: list[Series] = []
    for gear in gears_used(case, gears):
        fastest = work(motor.road_speed, "Speed", turning=turning, ratio=gear.ratio, wheel_radius=held.radius).value
        force, inside = wheel_force_at(case, sheet, gear, speeds), speeds <= fastest
        lines.append(Series(gear.name, _many(speeds * 3.6), _some(force / 1000, inside), named_at="start"))
    for grade in GRADES:
        words = f"{grade:.0%} slope".replace("%", " %") if grade else "level road"
        load = _many(road_load_at(held, grade, speeds) / 1000)
        lines.append(Series(words, _many(speeds * 3.6), load, role="reference"))
    marks = (
        Mark("y", grip_force(case, sheet, held).value / 1000, "what the tyres hold:"),
        Mark("x", top.value * 3.6, "top speed"),
    )
    return Lines(
        "Force at the wheels against the road",
        "The most force at the wheels over road speed in each gear, level until power limits it and falling beyond, against "
        "what the laden car needs on slopes of 0, 5, 10, 20 and 30 % and what the driven tyres hold.",
        SPEED,
        (Panel(FORCE, tuple(lines), marks, low=0.0),),
    )


def power_at(case: Case, sheet: Sheet, charge: Any, kelvin: Any) -> Any:
    """Power of the pack for 10 s within every limit, over arrays of charge [1] and cell temperature [K]. [W]"""
    made = arrangement(case)
    at, warm = constant(0.5, "%", "Charge", CONDITION), constant(celsius(25), "°C", "Cell temperature", CONDITION)
    source = {"rest_voltage": rest_voltage_at(case, made, at), "resistance": resistance_at(case, made, at, warm)}
    limits = {"limit": sheet.nodes["pack.current_peak"], "least_voltage": least_voltage(case, sheet)}
    current = work(cell.greatest_current, "Current within every limit", **limits, **source)
    power = work(cell.power_at_current, "Power", current=current, **source)
    return _over(power, {id(at): charge, id(warm): kelvin})


def power_map(case: Case, sheet: Sheet) -> Heat:
    """Power of the pack for 10 s over charge and temperature."""
    shape = (len(CELSIUS), len(CHARGES))
    charge: Any = np.broadcast_to(np.array(CHARGES), shape)
    kelvin: Any = np.broadcast_to(np.array([celsius(each) for each in CELSIUS])[:, None], shape)
    power: Any = power_at(case, sheet, charge.ravel(), kelvin.ravel()).reshape(shape)
    lowest, highest = case.cell.temperature_discharge_min.value, case.cell.temperature_discharge_max.value
    allowed = [lowest - 1e-9 <= celsius(each) <= highest + 1e-9 for each in CELSIUS]
    window = case.build.pack.window
    return Heat(
        "Power of the pack for 10 s",
        "A map of the power that the pack gives for 10 s, which falls towards an empty and towards a cold pack, with lines of "
        "equal power and the ends of the charge that is used.",
        CHARGE,
        Axis("Temperature of the cells", Unit("°C")),
        POWER,
        tuple(100 * each for each in CHARGES),
        CELSIUS,
        tuple(
            tuple(float(each) / 1000 if may else None for each in row) for row, may in zip(power, allowed, strict=True)
        ),
        _full_power_lost(sheet, allowed),
        (Mark("x", 100 * window.empty.value, "used from"), Mark("x", 100 * window.full.value, "used to")),
        gap="the cells may not be discharged at this temperature",
    )


def _full_power_lost(sheet: Sheet, allowed: Sequence[bool]) -> tuple[Series, ...]:
    """The figure of the charge below which the motor's full power is lost, reworked at each temperature.

    Along the right edge it is never there, along the left edge never lost.
    """
    node = sheet.nodes.get("pack.full_power_lost_below")
    warm = node.inputs.get("temperature") if node else None
    if node is None or warm is None:
        return ()
    charges: Any = _over(node, {id(warm): np.array([celsius(each) for each in CELSIUS])})
    points = [
        (100 * float(charge), height) for charge, height, may in zip(charges, CELSIUS, allowed, strict=True) if may
    ]
    words = "left of it the motor’s full power is lost"
    return (Series(words, tuple(x for x, _ in points), tuple(y for _, y in points), role="limit"),) if points else ()


def _over(node: Node, draws: dict[int, Any]) -> Any:
    """The tree reworked over arrays for some of its leaves (by id)."""
    return evaluate_all({"": node}, draws)[""]


def _many(values: Sequence[Number] | Any) -> tuple[Number, ...]:
    return tuple(None if each is None else float(each) for each in values)


def _some(values: Any, inside: Any) -> tuple[Number, ...]:
    return tuple(float(each) if here else None for each, here in zip(values, inside, strict=True))


def trip_plot(
    seconds: Sequence[float],
    target_kmh: Sequence[Number],
    speed_kmh: Sequence[Number],
    power_kw: Sequence[Number],
    charge: Sequence[Number],
    *,
    name: str = "",
) -> Lines:
    """A trip over time: speed asked and driven [km/h], power from the pack [kW], charge [1]."""
    time = _many(np.asarray(seconds, dtype=float) / 60)
    share = tuple(None if each is None else 100 * float(each) for each in charge)
    speeds = (
        Series("asked", time, _many(target_kmh), role="compare", named_at="above"),
        Series("driven", time, _many(speed_kmh), named_at="above"),
    )
    return Lines(
        f"A trip: {name}" if name else "A trip",
        "Three lines over the time of one trip: road speed as asked and as driven, power from the pack, and charge.",
        Axis("Time", Unit("min")),
        (
            Panel(SPEED, speeds, low=0.0),
            Panel(Axis("Power from the pack", Unit("kW"), 1), (Series("power", time, _many(power_kw)),)),
            Panel(CHARGE, (Series("charge", time, share),), low=0.0, high=100.0),
        ),
    )


def range_plot(
    speeds: Sequence[float], km: Sequence[Number], low: Sequence[Number] = (), high: Sequence[Number] = ()
) -> Lines:
    """Range [km] at steady speeds [km/h], with its band from 5 to 95 % where it is known."""
    line = Series("range", _many(speeds), _many(km), _many(low), _many(high))
    return Lines(
        "Range at a steady speed",
        f"Range over steady road speed, shorter the faster one drives{', with its likely band' if line.low else ''}.",
        SPEED,
        (Panel(Axis("Range", Unit("km")), (line,), low=0.0),),
    )


def charging_plot(
    hours: Sequence[float], power_kw: Sequence[Number], charge: Sequence[Number], *, name: str = ""
) -> Lines:
    """A charge over time: power into the pack [kW] and charge [1]."""
    return _charging(f"Charging: {name}" if name else "Charging", {"": (hours, power_kw, charge)})


def charges_plot(courses: Mapping[str, tuple[Sequence[float], Sequence[Number], Sequence[Number]]]) -> Lines:
    """Charges beside each other, by the names of their supplies: hours, power into the pack [kW] and charge [1] of each."""
    return _charging("Charging at each supply", courses)


def _charging(title: str, courses: Mapping[str, tuple[Sequence[float], Sequence[Number], Sequence[Number]]]) -> Lines:
    power, full = list[Series](), list[Series]()
    for name, (hours, kilowatts, charge) in courses.items():
        time, share = _many(hours), tuple(None if each is None else 100 * float(each) for each in charge)
        power.append(Series(name or "power", time, _many(kilowatts)))
        full.append(Series(name or "charge", time, share))
    lines = "Two lines" if len(courses) == 1 else f"Two panels with {len(courses)} lines each, one for each supply,"
    return Lines(
        title,
        f"{lines} over the time of charging: power into the pack, and charge.",
        Axis("Time", Unit("h"), 1),
        (
            Panel(Axis("Power into the pack", Unit("kW"), 1), tuple(power), low=0.0),
            Panel(CHARGE, tuple(full), low=0.0, high=100.0),
        ),
    )


def energy_plot(names: Sequence[str], kwh: Sequence[float], *, name: str = "") -> Bars:
    """Where the energy went [kWh]: parts that add up to what left the pack."""
    return Bars(
        f"Where the energy went: {name}" if name else "Where the energy went",
        f"One bar for each of the {len(names)} parts of the energy that left the pack, with its share.",
        Axis("Energy", Unit("kWh"), 2),
        tuple(names),
        tuple(float(each) for each in kwh),
    )


_STATES = {"_before": "donor", "": "converted", "_laden": "laden"}


def axle_bars(case: Case, figures: Mapping[str, Figure]) -> Bars | None:
    """What each axle carries: the donor, the converted car, and laden, against its limit; None where nothing is left of the car."""
    limits = case.build.donor.limits
    permitted = {"front": limits.front_axle, "rear": limits.rear_axle}
    found = [
        (f"{axle} axle, {state}", figure, limit.value if limit else None)
        for axle, limit in permitted.items()
        for suffix, state in _STATES.items()
        for figure in (figures[f"mass.{axle}_axle{suffix}"],)
    ]
    values = [figure.value for _, figure, _ in found if figure.value is not None]
    if len(values) < len(found):
        return None
    sure = all(figure.low is None for _, figure, _ in found)
    return Bars(
        "What the axles carry",
        "Three bars for each axle, of the donor, of the converted car and of the laden car, against what the axle may carry.",
        Axis("Axle load", Unit("kg")),
        tuple(name for name, _, _ in found),
        tuple(values),
        () if sure else tuple(figure.low for _, figure, _ in found),
        () if sure else tuple(figure.high for _, figure, _ in found),
        tuple(limit for _, _, limit in found) if any(permitted.values()) else (),
        is_whole=False,
    )


def mass_bars(case: Case, figures: Mapping[str, Figure]) -> Bars | None:
    """The weight before and after: the donor, what comes out and goes in, the converted car, and laden against what is permitted.

    None where nothing is left of the car.
    """
    donor = [figures[f"mass.{axle}_axle_before"].value for axle in ("front", "rear")]
    gross = case.build.donor.limits.gross
    names = ("comes out", "goes in", "converted", "laden")
    found = [figures[f"mass.{each}"] for each in ("removed", "added", "kerb", "laden")]
    values = [each.value for each in found if each.value is not None]
    weighed = [each for each in donor if each is not None]
    if len(values) < len(found) or len(weighed) < len(donor):
        return None
    sure = all(each.low is None for each in found)
    return Bars(
        "Weight before and after",
        "One bar each for the donor, for what comes out of it and what goes in, for the converted car, and for the laden car "
        "against what it may weigh.",
        Axis("Mass", Unit("kg")),
        ("donor", *names),
        (sum(weighed), *values),
        () if sure else (None, *(each.low for each in found)),
        () if sure else (None, *(each.high for each in found)),
        (None, None, None, None, gross.value) if gross else (),
        is_whole=False,
    )
