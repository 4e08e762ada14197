"""Does it need cooling? How warm the cells become on every duty, what cooling is needed, and how far it is from another answer."""

from __future__ import annotations

from dataclasses import dataclass

from voltwright.assess.case import Case
from voltwright.assess.heat_blown import AIR, assess_air
from voltwright.assess.heat_boxes import COOLINGS, Boxes, boxes_of, heated_boxes, of_each_cell
from voltwright.assess.heat_duties import HOUR, Duty, cruise, duties_of, share_of_cell
from voltwright.assess.heat_liquid import LIQUID, assess_liquid, assess_motor, spread_by_coolant
from voltwright.assess.heat_warming import WARMING, assess_warming
from voltwright.assess.pack import HALF, arrangement, rest_voltage_at
from voltwright.assess.sheet import CONDITION, Sheet, constant
from voltwright.kernels import warmth
from voltwright.physics import heat_paths
from voltwright.quantity.work import Node, least, work

FITTED = ("heat.verdict", "heat.headroom", "heat.spread", "heat.flip_power")
WORST = 2  # duties on which other ways of cooling are tried, unless less than what is fitted turns out to be enough
ALIKE = "what surrounds each box is not entered (pack.boxes: surroundings), and taken alike it would set nothing apart"


@dataclass(frozen=True)
class Soaked:
    """A duty, how warm the cells became on it, the hottest of them, and how far below the limit that is."""

    duty: Duty
    warmth: Node
    peak: Node
    room: Node


def assess_heat(case: Case, sheet: Sheet) -> None:
    """Enter every figure of the question `heat`."""
    assess_motor(case, sheet)
    why = why_not(case, sheet)
    if why:
        for key in (*FITTED, *LIQUID, *AIR, *WARMING, "heat.cell_peak.motorway"):
            sheet.lack(key, why)
        return
    assert sheet.simulated is not None
    cells = of_each_cell(case, sheet)
    packs = boxes_of(case, sheet)
    boxes = packs.cooled(case.build.pack.cooling)
    found: list[Soaked] = []
    for each in duties_of(case, sheet, sheet.simulated):
        if isinstance(each, tuple):
            sheet.lack(f"heat.cell_peak.{each[0]}", each[1])
            continue
        made = soaked(each, boxes, cells)
        sheet.add(f"heat.cell_peak.{each.name}", made.peak)
        found.append(made)
    # The cold duty is no test of heat.
    worst = sorted((each for each in found if each.duty.name != "cold"), key=lambda each: each.room.value)
    blown = _verdict(case, sheet, worst, cells, packs)
    assess_air(case, sheet, blown, cells, packs)
    _headroom(sheet, worst[0], cells, boxes)
    if case.build.pack.cooling == "liquid":
        sheet.add("heat.spread", spread_by_coolant(worst[0].warmth, packs.radiators.loop))
    elif len(heated_boxes(case)) > 1 and any(each.surroundings is None for each in heated_boxes(case)):
        sheet.lack("heat.spread", ALIKE)
    else:
        sheet.add("heat.spread", work(warmth.spread_of, "Spread", warmth=worst[0].warmth))
    _flip(case, sheet, worst[0].duty.start, cells, packs)
    assess_liquid(case, sheet, worst[0].warmth, packs)
    assess_warming(case, sheet)


def why_not(case: Case, sheet: Sheet) -> str:
    """Why nothing can be said of the cells; empty where it can."""
    if sheet.simulated is None:
        return sheet.reasons.get("road.top_speed") or sheet.reasons.get("drive.power_peak", "the car is not known")
    if "road.top_speed" in sheet.reasons:
        return sheet.reasons["road.top_speed"]
    if not heated_boxes(case):
        return "no box of the pack holds modules (pack.boxes)"
    return ""


def soaked(duty: Duty, boxes: Node, cells: dict[str, Node]) -> Soaked:
    """How warm the cells become on a duty."""
    one = constant(1.0, "1", "Factor on the heat", CONDITION)
    given = {"stream": duty.stream, "boxes": boxes, "start": duty.start, "outside": duty.outside, **cells}
    warm = work(warmth.warmed, f"Cells on the duty: {duty.title}", factor=one, **given)
    peak = work(warmth.peak_of, "Hottest cell", warmth=warm)
    return Soaked(duty, warm, peak, work(heat_paths.room_left, "Room below the limit", limit=duty.limit, peak=peak))


def _verdict(case: Case, sheet: Sheet, worst: list[Soaked], cells: dict[str, Node], packs: Boxes) -> Duty:
    """The least cooling that is enough; `worst` are all duties that test heat, the worst as the car is built first.

    Where less is enough on the worst few than is fitted, it is tried on all: another duty may be the worst without that cooling.
    The duty comes back that leaves least room with air.
    """
    fitted = case.build.pack.cooling
    answer, blown = _least_cooling(fitted, worst[:WORST], cells, packs)
    if round(answer.value) < COOLINGS.index(fitted) and len(worst) > WORST:
        answer, blown = _least_cooling(fitted, worst, cells, packs)
    sheet.add("heat.verdict", answer)
    return blown


def _least_cooling(fitted: str, on: list[Soaked], cells: dict[str, Node], packs: Boxes) -> tuple[Node, Duty]:
    rooms: dict[str, Node] = {}
    tried = on
    for cooling in ("none", "air"):
        other = packs.cooled(cooling)
        tried = on if cooling == fitted else [soaked(each.duty, other, cells) for each in on]
        rooms[cooling] = least(f"Room below the limit with cooling: {cooling}", [each.room for each in tried])
    answer = work(heat_paths.least_cooling, "Cooling", bare=rooms["none"], air=rooms["air"])
    return answer, min(tried, key=lambda each: each.room.value).duty


def _headroom(sheet: Sheet, worst: Soaked, cells: dict[str, Node], boxes: Node) -> None:
    duty = worst.duty
    factor = work(
        warmth.factor_at_limit,
        f"Factor on the heat of the worst duty, {duty.title}",
        stream=duty.stream,
        boxes=boxes,
        start=duty.start,
        outside=duty.outside,
        limit=duty.limit,
        **cells,
    )
    sheet.add("heat.headroom", work(heat_paths.headroom_of, "Headroom", factor=factor))


def _flip(case: Case, sheet: Sheet, start: Node, cells: dict[str, Node], packs: Boxes) -> None:
    """Power for an hour at which a pack without cooling would just reach its limit, as warm at the start as on the worst duty."""
    key, climate = "heat.flip_power", case.build.duty.climate
    hottest = case.leaf(climate.hottest, "Hottest design day", "°C")
    limit = case.leaf(case.cell.temperature_discharge_max, "Warmest cell that may be discharged", "°C")
    if start.value >= limit.value:
        sheet.lack(
            key, "at the start of the worst duty the cells are as warm as the warmest cell that may be discharged"
        )
        return
    half = constant(HALF, "%", "Charge", CONDITION, "s")
    current = sheet.nodes["pack.current_continuous"]
    each = work(heat_paths.current_of_cell, "Current of a cell", current=current, share=share_of_cell(case, sheet))
    stream = work(
        warmth.steady_stream,
        "An hour at the pack's continuous current",
        current=each,
        charge=half,
        speed=constant(cruise(case, sheet), "km/h", "Road speed", CONDITION, "v"),
        time=constant(HOUR, "s", "Time", CONDITION, "t"),
    )
    factor = work(
        warmth.factor_at_limit, "Factor on its heat at the limit", stream=stream, boxes=packs.cooled("none"), start=start,
        outside=hottest, limit=limit, **cells,
    )  # fmt: skip
    rest, resistance = rest_voltage_at(case, arrangement(case), half), sheet.nodes["pack.resistance"]
    given = {"rest_voltage": rest, "resistance": resistance, "current": current}
    # What of it the pack gives for as long as you like: no more than its continuous current.
    numbers = {name: float(node.value) for name, node in given.items()}
    kept_up = heat_paths.power_at_factor(**numbers, factor=min(1.0, factor.value))
    if kept_up * HOUR > sheet.nodes["pack.energy_usable"].value:
        sheet.lack(key, "the pack is empty before an hour of it warms the cells to their limit")
    elif factor.value > 1.0:
        sheet.lack(key, "the pack reaches its continuous current before an hour of it warms the cells to their limit")
    else:
        sheet.add(key, work(heat_paths.power_at_factor, "Power", factor=factor, **given))
