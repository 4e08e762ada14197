"""What a pack is put through: an hour of motorway, a long hill, ten starts, a trailer, a charge, sun, cold, and the car's own trips."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from voltwright.assess.case import Case
from voltwright.assess.keys import DUTIES
from voltwright.assess.resistance import resistance_of, with_trailer
from voltwright.assess.sheet import CONDITION, Sheet, assumed, assumed_between, constant, counted
from voltwright.assess.simulated_car import Simulated, car_in_the_cold, loaded_car
from voltwright.assess.trips import journeys
from voltwright.kernels import gather, warmth
from voltwright.kernels import journey as run
from voltwright.physics import heat_paths
from voltwright.quantity.provenance import Origin
from voltwright.quantity.work import Node, leaf, total, work

HOUR, HILL_GRADE, HILL_WAY, HILL_SPEED = 3600.0, 0.08, 10e3, 80 / 3.6
HILL_SECONDS = 1800.0  # s: then a car that crawls is stopped
SLOWEST = 1.0  # m/s: a slower car does not climb at all
SUSTAINED = 0.99  # of what the car sustains, so that it keeps up
TOWING_SPEED = 80 / 3.6
STARTS, BRAKING, REST = 10, 3.0, 10.0  # m/s², s between two starts
LONGEST = 3 * HOUR  # of a trip of the duty that is driven again and again
USUAL_CRUISE = 100 / 3.6
CHARGED = 0.8


@dataclass(frozen=True)
class Duty:
    """One duty: its stream of current, how warm the cells are at its start, the air outside, and the limit that holds."""

    name: str
    title: str
    stream: Node
    start: Node
    outside: Node
    limit: Node


def duties_of(case: Case, sheet: Sheet, made: Simulated) -> Iterator[Duty | tuple[str, str]]:
    """Every duty, or its name and why there is none."""
    hottest = case.leaf(case.build.duty.climate.hottest, "Hottest design day", "°C")
    base = total("Cells at the start", [hottest, *_parked(case)], "°C")
    limit = case.leaf(case.cell.temperature_discharge_max, "Warmest cell that may be discharged", "°C")
    speed = cruise(case, sheet)
    hour = _drive(case, sheet, made.car, _steady("motorway", speed, HOUR), made)

    def duty(name: str, stream: Node, start: Node = base, outside: Node = hottest, most: Node = limit) -> Duty:
        return Duty(name, DUTIES.get(name, f"trip '{name}', on the hottest day"), stream, start, outside, most)

    yield duty("motorway", hour)
    yield duty("hill", stream_of_hill(case, sheet, made))
    yield from _starts(case, sheet, made, duty)
    yield from _towing(case, sheet, made, speed, duty)
    yield from _charge(case, sheet, hour, base, hottest)
    sunny = total("Cells after a day in the sun", [hottest, _sun()], "°C")
    yield duty("sun", hour, sunny)
    cold = case.leaf(case.build.duty.climate.coldest, "Coldest design day", "°C")
    yield duty("cold", _drive(case, sheet, car_in_the_cold(case, made), _steady("cold", speed, HOUR), made), cold, cold)
    for name, trip in own_trips(case, sheet):
        yield duty(name, stream_of_trip(case, sheet, made, trip))


def cruise(case: Case, sheet: Sheet) -> float:
    """Speed of the motorway: that of the brief, or what the car sustains if that is less. [m/s]"""
    wish = case.build.brief.cruise_speed
    asked = wish.value if wish else USUAL_CRUISE
    known = sheet.nodes.get("road.top_speed_sustained")
    return asked if known is None else min(asked, SUSTAINED * known.value)


def _sun() -> Node:
    reason = "a closed car that stood in the sun: boxes become warmer than the air by so much; log one on a hot day"
    return assumed_between("Warmer after a day in the sun", "K", reason, 8.0, 20.0)


def _parked(case: Case) -> list[Node]:
    """What the parking place adds to the warmth of the cells."""
    place = case.build.duty.parking.place
    if place == "outdoors-in-the-sun":
        return [_sun()]
    if place == "outdoors":
        return [assumed("Warmer where it stands outdoors", "K", "some sun finds it", 3.0, 3.0)]
    return []


def _drive(case: Case, sheet: Sheet, car: Node, asked: run.Journey, made: Simulated) -> Node:
    origin = Origin("by definition", where=f"duty {asked.name}", reason="described in docs/theory/heat.md")
    return work(
        warmth.stream_of_drive,
        f"Current of a cell: {asked.title}",
        car=car,
        cells=made.cells,
        asked=leaf(asked, "1", asked.title, origin),
        share=share_of_cell(case, sheet),
    )


def stream_of_trip(case: Case, sheet: Sheet, made: Simulated, asked: run.Journey) -> Node:
    """The current of a cell on a trip, with the payload and the wind of that journey; driven once for all questions."""
    key = ("stream", asked.name, asked.title, len(asked.grade))  # a title tells how often it is driven
    if key not in made.kept:
        made.kept[key] = _drive(case, sheet, loaded_car(case, made, asked.name), asked, made)
    return made.kept[key]


def stream_of_hill(case: Case, sheet: Sheet, made: Simulated) -> Node:
    """The current of a cell up the hill, which is driven once for all questions."""
    if "hill" not in made.kept:
        made.kept["hill"] = _drive(case, sheet, made.car, _hill(sheet, made), made)
    return made.kept["hill"]


def _steady(name: str, speed: float, seconds: float, step: float = 10.0) -> run.Journey:
    count = round(seconds / step) + 1
    return run.journey(name, f"{seconds / 60:.0f} min at {speed * 3.6:.0f} km/h", np.full(count, speed), step=step)


def _hill(sheet: Sheet, made: Simulated) -> run.Journey:
    """10 km up the hill at 80 km/h, or at what the car can; the time is what it then takes."""
    step = 2.0

    def climb(seconds: float) -> run.Journey:
        count = round(seconds / step)
        title = f"{HILL_WAY / 1000:.0f} km up {100 * HILL_GRADE:.0f} % at up to {HILL_SPEED * 3.6:.0f} km/h"
        return run.journey("hill", title, np.full(count + 1, HILL_SPEED), np.full(count, HILL_GRADE), step)

    known = sheet.nodes.get("road.top_speed")
    if known is not None and known.value < HILL_SPEED:
        return climb(min(HILL_SECONDS, HILL_WAY / max(known.value, SLOWEST)))
    asked = climb(HILL_WAY / HILL_SPEED)
    course = run.course_of(made.car.value, made.cells.value, asked)
    way = float(np.sum(course.speed[1:]) * step)
    return (
        asked
        if way >= SUSTAINED * HILL_WAY or way <= 0.0
        else climb(min(HILL_SECONDS, asked.step * len(asked.grade) * HILL_WAY / way))
    )


MakeDuty = Callable[..., Duty]


def _starts(case: Case, sheet: Sheet, made: Simulated, duty: MakeDuty) -> Iterator[Duty | tuple[str, str]]:
    for key, fast in (("road.time_0_100", 100 / 3.6), ("road.time_0_50", 50 / 3.6)):
        time = sheet.nodes.get(key)
        if time is not None:
            yield duty("starts", _drive(case, sheet, made.car, _start_trace(fast, time.value), made))
            return
    yield "starts", "the car does not reach 50 km/h"


def _start_trace(fast: float, seconds: float) -> run.Journey:
    """Full power up to a speed, braking, a rest; ten times, at 1 s."""
    pushes, brakes = round(1.1 * seconds) + 1, round(fast / BRAKING)
    slowing: Any = np.linspace(fast, 0.0, brakes + 1)[1:]
    once: Any = np.concatenate([np.full(pushes, fast), slowing, np.zeros(round(REST))])
    title = f"{STARTS} starts to {fast * 3.6:.0f} km/h at full power"
    return run.journey("starts", title, np.concatenate([[0.0], np.tile(once, STARTS)]))


def _towing(
    case: Case, sheet: Sheet, made: Simulated, speed: float, duty: MakeDuty
) -> Iterator[Duty | tuple[str, str]]:
    held = resistance_of(case, sheet)
    together = with_trailer(case, held) if held else None
    if together is None:
        return
    top = sheet.nodes.get("road.top_speed_towing")
    if top is None:
        yield "towing", sheet.reasons.get("road.top_speed_towing", "the car does not move the trailer")
        return
    pulled = min(speed, TOWING_SPEED, 0.95 * top.value)
    heavy = {**made.car.inputs, "mass": together.mass, "drag_area": together.drag_area}
    car = work(gather.car_of, "The car with its trailer", **heavy)
    yield duty("towing", _drive(case, sheet, car, _steady("towing", pulled, HOUR), made))


def _charge(case: Case, sheet: Sheet, hour: Node, start: Node, outside: Node) -> Iterator[Duty | tuple[str, str]]:
    """A charge by direct current right after the motorway, where a station of the build can do it."""
    stations = [each for each in case.build.supplies if each.kind == "dc"]
    if not stations:
        return
    found = next(
        (
            sheet.nodes[key]
            for each in stations
            for key in (f"charge.time_20_80.{each.name}", f"charge.time_full.{each.name}")
            if key in sheet.nodes
        ),
        None,
    )
    if found is None:
        yield "dc-charge", sheet.reasons.get(f"charge.time_full.{stations[0].name}", "no station can charge the pack")
        return
    highest = min(CHARGED, case.build.pack.window.full.value)
    stream = work(
        warmth.then_charged,
        "Current of a cell: the hour, then a fast charge",
        drive=hour,
        target=constant(highest, "%", "Charge at the end", CONDITION, "s"),
        capacity=found.inputs["capacity"],
        limits=found.inputs["limits"],
        pack=found.inputs["pack"],
        share=share_of_cell(case, sheet),
        longest=constant(HOUR, "s", "Longest charge", CONDITION),
    )
    limit = case.leaf(case.cell.temperature_charge_max, "Warmest cell that may be charged", "°C")
    yield Duty("dc-charge", DUTIES["dc-charge"], stream, start, outside, limit)


def own_trips(case: Case, sheet: Sheet) -> Iterator[tuple[str, run.Journey]]:
    """Each trip of the duty, driven as often as its distance asks."""
    wanted = frozenset(each.driven_as for each in case.build.duty.trips)
    known = journeys(case, wanted)
    seen = set(DUTIES)
    for each in case.build.duty.trips:
        name = each.name if each.name not in seen else f"{each.name}-trip"
        asked = known.get(each.driven_as)
        if asked is None or name in seen:
            continue
        seen.add(name)
        yield name, repeated(asked, (each.distance.value if each.distance else asked.way) / max(asked.way, 1.0))


def repeated(asked: run.Journey, times: float) -> run.Journey:
    """A trip driven again and again, as often as is nearest to `times`; for three hours at most."""
    lasts = len(asked.grade) * asked.step
    times = max(1, min(round(times), int(LONGEST // lasts)))
    speeds: Any = np.concatenate([np.tile(asked.speed[:-1], times), asked.speed[-1:]])
    title = asked.title if times == 1 else f"{asked.title}, {times} times"
    grades, heads = np.tile(asked.grade, times), np.tile(asked.head, times)
    return run.journey(asked.name, title, speeds, grades, asked.step, heads)


def share_of_cell(case: Case, sheet: Sheet) -> Node:
    """Share of the pack's current that the most loaded cell carries."""
    parallel = counted(case.module.cells_parallel, "Cells in parallel in a module", f"{case.module.id}: cells_parallel")
    return work(
        heat_paths.share_of_cell,
        "Share of the current in the most loaded cell",
        string_share=sheet.nodes["pack.string_share"],
        cells_parallel=parallel,
    )
