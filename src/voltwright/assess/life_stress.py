"""What a year of the duty asks of the cells: temperatures month by month, trips, charges, throughput and rates."""

from __future__ import annotations

from dataclasses import dataclass

from voltwright.assess.case import Case
from voltwright.assess.habit import Part, mix_of
from voltwright.assess.sheet import Sheet, assumed_between, constant, of_several
from voltwright.assess.trips import journey_of
from voltwright.build.brief import DutyTrip
from voltwright.kernels import lives
from voltwright.physics import ageing as law
from voltwright.physics import cell as cell_law
from voltwright.quantity.provenance import Origin
from voltwright.quantity.spread import EXACT
from voltwright.quantity.work import Node, leaf, total, work

YEAR = 365.25 * 86400.0  # s
HOUR = 3600.0  # s
MONTHS = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november",
    "december",
)  # fmt: skip
NOT_HEATED = 200.0  # K; colder than any night
USUAL_LENGTH = (15e3, 45e3)  # m
WAY = 1e6  # m; over which trips of several kinds are counted


@dataclass(frozen=True)
class Place:
    """Where a car stands: how much warmer than the air its cells are, each anything between two values [K], and what is kept."""

    warmer: tuple[float, float]
    why: str
    least: tuple[float, float] | None = None


PLACES = {
    "heated-garage": Place((0.0, 2.0), "usual in a heated garage; leave a thermometer there for a year", (283.15, 289.15)),
    "garage": Place((1.0, 4.0), "usual in a garage at a house; leave a thermometer there for a year"),
    "outdoors": Place((0.0, 2.0), "usual in the shade; leave a thermometer in the box for a year"),
    "outdoors-in-the-sun": Place(
        (3.0, 8.0), "usual of a car in the sun by day; leave a thermometer in the box for a year"
    ),
}  # fmt: skip


@dataclass(frozen=True)
class Kind:
    """One kind of trip: how long it is, what it lasts, and how many of them 1,000 km of the duty hold."""

    part: Part
    length: Node
    lasts: Node
    trips: Node


@dataclass(frozen=True)
class Use:
    """Mean consumption, length and speed of the trips, as distance over number and time; the trips of each kind and of all."""

    consumption: Node
    length: Node
    speed: Node
    kinds: tuple[Kind, ...]
    trips: Node


def months_of(case: Case) -> Node:
    """Temperature of the parked cells in each month."""
    place = PLACES[case.build.duty.parking.place]
    where, label = "duty.parking.place", "Temperature that the place keeps"
    least = constant(NOT_HEATED, "°C", label, "nothing heats it, so it may be as cold as anywhere", "T_p")
    if place.least is not None:
        least = assumed_between(label, "°C", "usual for a heated garage; read its thermostat", *place.least, where)
    warmer = assumed_between("How much warmer than the air the parked cells are", "K", place.why, *place.warmer, where)
    return _months(case, "Parked cells through the year", warmer, least)


def air_of_year(case: Case) -> Node:
    """Mean temperature of the air outdoors."""
    none = constant(0.0, "K", "How much warmer than the air", "the air itself", "ΔT")
    least = constant(NOT_HEATED, "°C", "Temperature that is kept", "nothing heats it", "T_p")
    return work(lives.mean_of_months, "Air, on the mean of the year", months=_months(case, "Air", none, least))


def _months(case: Case, title: str, warmer: Node, least: Node) -> Node:
    climate, stands = case.build.duty.climate, {"warmer": warmer, "least": least}
    if climate.monthly:
        air = {
            name: case.leaf(each, f"Air in {name.capitalize()}", "°C")
            for name, each in zip(MONTHS, climate.monthly, strict=True)
        }
        return work(lives.months_entered, title, **air, **stands)
    mean = case.leaf(climate.mean, "Mean temperature of the year", "°C")
    return work(lives.months_of_season, title, mean=mean, swing=_swing(case), **stands)


def _swing(case: Case) -> Node:
    climate = case.build.duty.climate
    reason = "months are milder than design days; enter the twelve means (duty.climate.monthly)"
    share = assumed_between(
        "Swing of the months as a share of that of the design days", "%", reason, 0.25, 0.45, "duty.climate.monthly"
    )
    return work(
        law.swing_of_months,
        "How far the warmest month lies above the mean",
        share=share,
        hottest=case.leaf(climate.hottest, "Hottest design day", "°C"),
        coldest=case.leaf(climate.coldest, "Coldest design day", "°C"),
    )


def use_of(case: Case, sheet: Sheet) -> Use | str:
    """What the trips of the duty take, or why that is not known."""
    mix = mix_of(case, sheet)
    if isinstance(mix, str):
        return mix
    unknown = None if all(_has_length(case, each.journey) for each in mix.parts) else _usual_length()
    way = constant(WAY, "km", "Distance over which trips are counted", "so that kinds of trips can be added", "d")
    kinds, times = list[Kind](), list[Node]()
    for each in mix.parts:
        part = {"share": each.share, "shares": mix.shares, "way": way}
        driven = sheet.nodes[f"road.range.{each.name}"].inputs["driven"]
        pace = work(lives.mean_speed_of, f"Mean speed, trip '{each.name}'", driven=driven)
        length = _length(case, each.journey) or unknown
        assert length is not None
        trips = work(law.trips_in, f"Trips '{each.name}' in 1,000 km", length=length, **part)
        lasts = work(law.lasts, f"How long the trip '{each.name}' lasts", length=length, speed=pace)
        kinds.append(Kind(each, length, lasts, trips))
        times.append(work(law.time_in, f"Time of trips '{each.name}' in 1,000 km", speed=pace, **part))
    trips = total("Trips in 1,000 km", [each.trips for each in kinds])
    length = work(law.mean_length, "Mean length of a trip", way=way, trips=trips)
    speed = work(law.mean_speed, "Mean speed", way=way, time=total("Time of driving in 1,000 km", times))
    return Use(mix.consumption, length, speed, tuple(kinds), trips)


def _has_length(case: Case, each: DutyTrip | None) -> bool:
    return each is not None and (each.distance is not None or each.name in case.traces)


def _length(case: Case, each: DutyTrip | None) -> Node | None:
    if each is not None and each.distance is not None:
        return case.leaf(each.distance, f"Length of the trip '{each.name}'", "km")
    if each is not None and each.name in case.traces:
        way = journey_of(case.traces[each.name], each.name).way
        return leaf(
            way, "km", f"Length of the trip '{each.name}'", Origin("entered", where=f"trace of {each.name}"), EXACT
        )
    return None


def _usual_length() -> Node:
    reason = "the duty names no length of its trips; ask the customer (duty.trips, distance)"
    return assumed_between("Length of a trip", "km", reason, *USUAL_LENGTH, "duty.trips")


@dataclass(frozen=True)
class Turnover:
    """How the charge goes through: distance on the whole rated capacity, what goes through again, and at which C-rate."""

    way_full: Node
    again: Node
    rate: Node


def turnover_of(case: Case, sheet: Sheet, use: Use, health: Node) -> Turnover:
    """Throughput and rates of the pack as if its cells were new."""
    capacity = sheet.nodes["pack.capacity"]
    rated = work(law.rated_capacity, "Rated capacity", capacity=capacity, health=health)
    voltage = sheet.nodes["pack.voltage_nominal"]
    energy = work(cell_law.nominal_energy, "Energy of the rated capacity", voltage=voltage, capacity=rated)
    way = work(
        law.way_of_full_charge,
        "Distance on the whole rated capacity",
        voltage=voltage,
        capacity=rated,
        consumption=use.consumption,
    )
    hour = constant(HOUR, "h", "An hour", "a C-rate is told by the hour", "t")
    power = work(law.power_of_driving, "Mean power of driving", consumption=use.consumption, speed=use.speed)
    first = work(law.rate_of_power, "C-rate of driving", power=power, energy=energy, hour=hour)
    quick = work(
        law.rate_of_current,
        "C-rate of fast charging",
        current=sheet.nodes["pack.current_charge"],
        capacity=rated,
        hour=hour,
    )
    rate = work(
        law.mean_rate,
        "Mean C-rate of driving and charging",
        first=first,
        slow=_slow(case, energy, hour),
        quick=quick,
        fast=case.leaf(case.build.duty.habit.fast_share, "Share charged fast", "%"),
    )
    return Turnover(way, _again(case), rate)


def _slow(case: Case, energy: Node, hour: Node) -> Node:
    charger, placed = case.charger, case.build.charging.charger
    if charger is None or placed is None:
        reason = "the build names no charger; a night fills such packs"
        return assumed_between("C-rate of slow charging", "1", reason, 0.08, 0.3)
    each = case.leaf(charger.power, f"Power of the charger, {charger.title}")
    power = of_several(placed.count, each, "charging.charger.count")
    return work(law.rate_of_power, "C-rate of slow charging", power=power, energy=energy, hour=hour)


def _again(case: Case) -> Node:
    label = "What regeneration passes through the cells once more"
    if not case.build.drive.regeneration.share.value:
        return constant(0.0, "%", label, "the build regenerates nothing", "s")
    reason = "usual of hilly and of town roads, at a share of the distance's charge; log current both ways for a week"
    return assumed_between(label, "%", reason, 0.05, 0.20)
