"""How warm driving makes the cells, and for how long: each trip of the duty through the network of heat, in the mean air of the year."""

from __future__ import annotations

import math
from dataclasses import dataclass

from voltwright.assess.case import Case
from voltwright.assess.heat import why_not
from voltwright.assess.heat_boxes import boxes_of, of_each_cell
from voltwright.assess.heat_duties import repeated, stream_of_trip
from voltwright.assess.life_stress import Kind, Use, air_of_year
from voltwright.assess.sheet import CONDITION, Sheet, assumed_between, constant
from voltwright.assess.trips import journeys
from voltwright.kernels import lives, warm_hours, warmth
from voltwright.physics import ageing as law
from voltwright.quantity.work import Node, greatest, total, work

ROUND = 0.05  # of a trip: so much more than a whole number of times is not driven once more
FARTHEST = 1e7  # m
USUAL_RISE, USUAL_COOLING = (3.0, 10.0), (7200.0, 14400.0)  # K, s; where the network of heat lacks what it needs


@dataclass(frozen=True)
class Warm:
    """How long a trip keeps the cells warm, and by how much on the mean of that time."""

    time: Node
    rise: Node


def warmth_of_driving(case: Case, sheet: Sheet, use: Use, parked: Node) -> Warm:
    """Worked out by the network of heat where boxes and car are known, assumed where they are not; `parked`: cells by month."""
    if why_not(case, sheet):
        return _assumed(use)
    outside, start = air_of_year(case), work(lives.mean_of_months, "Parked cells, mean of the year", months=parked)
    boxes, cells = boxes_of(case, sheet).cooled(case.build.pack.cooling), of_each_cell(case, sheet)
    one = constant(1.0, "1", "Factor on the heat", CONDITION)
    given = {"boxes": boxes, "start": start, "outside": outside, "factor": one, **cells}
    found = [_rise(case, sheet, each, given) for each in use.kinds]
    ends = [
        work(warm_hours.end_of, f"At the end of the trip '{each.part.name}'", rise=rise)
        for each, rise in zip(use.kinds, found, strict=True)
    ]
    slow = work(
        warm_hours.cooling_constant, "Time in which the parked cells cool to 37 %", "h", boxes=boxes,
        end=greatest("Most at the end of a trip", ends),
    )  # fmt: skip
    block = work(law.cooling_block, "Time after a trip for which half of the rise stands", constant=slow)
    times, rises = list[Node](), list[Node]()
    for each, rise, end in zip(use.kinds, found, ends, strict=True):
        name = each.part.name
        warm = work(law.warm_time, f"How long the trip '{name}' keeps the cells warm", lasts=each.lasts, cooling=block)
        times.append(work(law.warm_time_in, f"Warm time of trips '{name}' in 1,000 km", trips=each.trips, warm=warm))
        driven = work(warm_hours.driven_of, f"On the mean of the trip '{name}'", rise=rise)
        label = f"Warmer by the trip '{name}', on the mean of the warm time"
        rises.append(work(law.rise_of_trip, label, driven=driven, end=end, lasts=each.lasts, cooling=block))
    whole = total("Warm time in 1,000 km", times)
    parts = [
        work(law.part_of_rise, f"Part of trip '{each.part.name}'", time=time, times=whole, rise=rise)
        for each, time, rise in zip(use.kinds, times, rises, strict=True)
    ]
    time = work(law.warm_time_each, "How long a trip keeps the cells warm", time=whole, trips=use.trips)
    return Warm(time, total("How much warmer driving makes the cells", parts))


def _rise(case: Case, sheet: Sheet, kind: Kind, given: dict[str, Node]) -> Node:
    """How much warmer one kind of trip makes the cells."""
    name = kind.part.name
    warm = work(warmth.warmed, f"Cells on the trip '{name}'", stream=_stream(case, sheet, kind), **given)
    label = f"How much warmer the trip '{name}' makes the cells"
    rest = {"boxes": given["boxes"], "start": given["start"], "lasts": kind.lasts}
    return work(warm_hours.rise_on_trip, label, warmth=warm, **rest)


def _stream(case: Case, sheet: Sheet, kind: Kind) -> Node:
    """The current of a cell on a trip that is driven as far as it is long, or as it may be where that is not known."""
    assert sheet.simulated is not None
    name = kind.part.name
    far = kind.length.value if kind.length.spread.is_exact else max(kind.length.value, kind.length.spread.high)
    kept = sheet.simulated.kept
    if ("trip", name, far) not in kept:
        asked = journeys(case, frozenset((name,)))[name]
        times = math.ceil(min(far, FARTHEST) / max(asked.way, 1.0) - ROUND)
        kept["trip", name, far] = stream_of_trip(case, sheet, sheet.simulated, repeated(asked, times))
    return kept["trip", name, far]


def _assumed(use: Use) -> Warm:
    cooling = assumed_between(
        "How long the cells stay warm after a trip", "h", "usual for a closed box; log it", *USUAL_COOLING
    )
    lasts = work(law.lasts, "How long a trip lasts", length=use.length, speed=use.speed)
    time = work(law.warm_time, "How long a trip keeps the cells warm", lasts=lasts, cooling=cooling)
    reason = "a driven pack is a little warmer for hours; enter its boxes (pack.boxes), or log its temperature"
    return Warm(time, assumed_between("How much warmer driving makes the cells", "K", reason, *USUAL_RISE))
