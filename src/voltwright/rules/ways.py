"""Ladders: what a workshop can change, one thing at a time, in steps that can be bought or set, the smallest first."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from voltwright.assess.cost import price_of
from voltwright.assess.reversing import has_reverse_gear
from voltwright.build.fitted import Pack
from voltwright.build.reader import kind_at
from voltwright.parts.base import Part
from voltwright.parts.battery import Bms, Module
from voltwright.parts.tyres import TyreMarking, indices_above, marking_or_none, symbols_above
from voltwright.quantity.errors import PartError
from voltwright.rules.finding import SAME, Assessed, Ladder, Rung, exceeds, whole_down
from voltwright.rules.rule import DC_LIMIT

MOST_RUNGS = 400
FARTHEST = 0.50  # m; a box that must move farther is another box
CENTIMETRE = 0.01


def settings(
    path: str, what: str, values: Sequence[float], unit: str, decimals: int = 0, near: float | None = None
) -> Ladder:
    """A value that is set or agreed on: "Set the torque limit of the inverter to 180 N·m (drive.torque_limit)".

    `near`: the value from which on the finding should be gone, where that can be told.
    """

    def rungs() -> tuple[Rung, ...]:
        texts = (f"{value:.{decimals}f} {unit}".strip() for value in values)
        return tuple(Rung(f"{what} {text} ({path})", {path: text}) for text in texts)

    falling = len(values) > 1 and values[0] > values[-1]
    before = 0 if near is None else sum((each > near) if falling else (each < near) for each in values)
    return Ladder(rungs, near=before, narrow=True, falls=falling if len(values) > 1 else None)


def downwards(start: float, step: float, least: float = 0.0) -> list[float]:
    """Whole steps below a value, down to `least`."""
    first = math.ceil(start / step * (1 - SAME)) - 1
    last = math.ceil(least / step * (1 - SAME))
    return [number * step for number in range(first, max(last, first - MOST_RUNGS) - 1, -1)]


def upwards(start: float, step: float, most: float) -> list[float]:
    """Whole steps above a value, up to `most`."""
    first = math.floor(start / step * (1 + SAME)) + 1
    last = math.floor(most / step * (1 + SAME))
    return [number * step for number in range(first, min(last, first + MOST_RUNGS) + 1)]


def another_part(
    seen: Assessed,
    path: str,
    what: str,
    suits: Callable[[Any], bool] = lambda part: True,
    order: Callable[[Any], float] | None = None,
) -> Ladder:
    """Each other part of the shelf that may stand at a path, in the order of a rating where one is named, then of the price.

    `suits` leaves out by the datasheet what cannot do.
    """

    def rank(part: Part) -> tuple[float, float, str]:
        return (order(part) if order else 0.0, _price(seen, part), part.id)

    def rungs() -> tuple[Rung, ...]:
        parts = sorted(_others(seen, path, suits), key=rank)
        return tuple(Rung(f"Fit another {what}: {part.title}, {part.id} ({path})", {path: part.id}) for part in parts)

    return Ladder(rungs, rising=False)


def _others(seen: Assessed, path: str, suits: Callable[[Any], bool]) -> Iterator[Part]:
    named = dict(seen.case.build.part_ids()).get(path)
    for part_id in seen.case.shelf.ids(kind_at(path)):
        try:
            part = seen.case.shelf.any(part_id)
            if part_id != named and suits(part):
                yield part
        except PartError:  # a datasheet of the workshop that is not in order is no remedy
            continue


def _price(seen: Assessed, part: Part) -> float:
    """What the workshop pays for one, in the currency of the build; what has no price there comes last."""
    price = price_of(seen.case, part.id)
    return math.inf if price is None else float(price.value)


def fewer_in_series(seen: Assessed) -> Ladder:
    """Modules fewer in each string, one at a time."""
    return Ladder(lambda: tuple(_series(seen, count) for count in range(seen.case.build.pack.series - 1, 0, -1)))


def more_in_series(seen: Assessed) -> Ladder:
    """Modules more in each string, one at a time, up to twice as many; a pack that is not high voltage stays so."""
    series = seen.case.build.pack.series
    each = seen.case.module.groups_series * seen.case.cell.voltage_full.value
    low = not exceeds(series * each, DC_LIMIT)
    most = whole_down(DC_LIMIT / each) if low else 2 * series + 2
    return Ladder(lambda: tuple(_series(seen, count) for count in range(series + 1, most + 1)))


def fewer_strings(seen: Assessed) -> Ladder:
    """Strings fewer, one at a time."""
    return Ladder(lambda: tuple(_strings(seen, count) for count in range(seen.case.build.pack.parallel - 1, 0, -1)))


def more_strings(seen: Assessed) -> Ladder:
    """Strings more, one at a time, up to six more."""
    parallel = seen.case.build.pack.parallel
    return Ladder(lambda: tuple(_strings(seen, count) for count in range(parallel + 1, parallel + 7)))


def _series(seen: Assessed, count: int) -> Rung:
    pack = seen.case.build.pack
    words = f"Fit {count} modules in series instead of {pack.series}"
    return Rung(f"{words} ({count * pack.parallel} in all)", arranged(seen, count, pack.parallel))


def _strings(seen: Assessed, count: int) -> Rung:
    pack = seen.case.build.pack
    words = f"Fit {count} strings in parallel" if count > 1 else "Fit one string"
    return Rung(
        f"{words} instead of {pack.parallel} ({count * pack.series} modules in all)", arranged(seen, pack.series, count)
    )


def arranged(seen: Assessed, series: int, parallel: int) -> dict[str, Any]:
    """The changes for another number of modules: the boxes hold them in the same proportion, and monitors, fuses and
    disconnects follow where there are enough of them now."""
    pack = seen.case.build.pack
    changes: dict[str, Any] = {}
    if series != pack.series:
        changes["pack.series"] = series
    if parallel != pack.parallel:
        changes["pack.parallel"] = parallel
    held = _shared_out([box.modules for box in pack.boxes], series * parallel)
    for at, (box, modules) in enumerate(zip(pack.boxes, held, strict=True)):
        if modules != box.modules:
            changes[f"pack.boxes.{at}.modules"] = modules
    return changes | _monitors(seen, series, parallel) | of_each_string(pack, parallel) | _best_strings(pack, parallel)


def _best_strings(pack: Pack, parallel: int) -> dict[str, Any]:
    """Of strings that the bench found unequal, those that stay when there are fewer: of the pack's own modules first,
    then of least resistance."""
    found = pack.condition.strings if pack.condition else ()
    if parallel >= len(found):
        return {}
    worst_last = sorted(
        range(len(found)), key=lambda at: (found[at].module not in (None, pack.module), found[at].resistance_growth, at)
    )
    stays = [found[at] for at in sorted(worst_last[:parallel])]
    written = (
        {"health": each.health.text, "resistance_growth": each.resistance_growth}
        | ({"module": each.module} if each.module else {})
        | {
            name: kept.text
            for name, kept in (("temperature", each.temperature), ("cable", each.cable))
            if kept is not None
        }
        for each in stays
    )
    return {"pack.condition.strings": list(written)}


def _shared_out(held: list[int], total: int) -> list[int]:
    """A number of modules over the boxes in proportion to what they hold; the largest remainders get one more."""
    whole = sum(held)
    if not whole:
        return held
    exact = [each * total / whole for each in held]
    floors = [math.floor(each * (1 + SAME)) for each in exact]
    by_rest = sorted(range(len(held)), key=lambda at: (floors[at] - exact[at], at))
    for at in by_rest[: total - sum(floors)]:
        floors[at] += 1
    return floors


@dataclass(frozen=True)
class Watched:
    """What monitors are counted by: an arrangement of modules, and the BMS that watches it."""

    series: int
    parallel: int
    module: Module
    bms: Bms | None

    @property
    def boards(self) -> int | None:
        """As many boards as it takes; None without a BMS."""
        groups = self.series * self.module.groups_series
        return None if self.bms is None else boards_for(groups, self.parallel, self.bms.channels_per_board)

    @property
    def sensors(self) -> int:
        """One in each module at least, or as many as it has."""
        return self.series * self.parallel * max(1, self.module.temperature_sensors)


def monitors_for(pack: Pack, was: Watched, now: Watched) -> dict[str, Any]:
    """Boards and sensors that follow a change, where the pack has as many of them as it took before."""
    changes: dict[str, Any] = {}
    if now.boards is not None and pack.bms.boards == was.boards != now.boards:
        changes["pack.bms.boards"] = now.boards
    if pack.bms.sensors == was.sensors != now.sensors:
        changes["pack.bms.sensors"] = now.sensors
    return changes


def _monitors(seen: Assessed, series: int, parallel: int) -> dict[str, Any]:
    pack, module, bms = seen.case.build.pack, seen.case.module, seen.case.bms
    was, now = (Watched(*each, module, bms) for each in ((pack.series, pack.parallel), (series, parallel)))
    return monitors_for(pack, was, now)


def boards_for(groups: int, strings: int, channels: int) -> int:
    """Monitor boards for strings of so many cell groups each. A board does not span two strings."""
    return strings * math.ceil(groups / channels)


def of_each_string(pack: Pack, parallel: int) -> dict[str, Any]:
    """Fuses and service disconnects for another number of strings, where each string has its own now."""
    numbers = {"fuses": pack.protection.fuses, "msds": pack.protection.msds}
    if parallel == pack.parallel:
        return {}
    one_each = {name: number for name, number in numbers.items() if number >= pack.parallel}
    now = {name: parallel if number == pack.parallel else max(number, parallel) for name, number in one_each.items()}
    return {f"pack.protection.{name}": number for name, number in now.items() if number != numbers[name]}


def moved_boxes(seen: Assessed, rearwards: bool) -> list[Ladder]:
    """Each box moved by centimetres, the one nearest to the end that it leaves first."""
    boxes = list(enumerate(seen.case.build.pack.boxes))
    boxes.sort(key=lambda pair: pair[1].x.value, reverse=not rearwards)
    return [_moved(seen, at, rearwards) for at, box in boxes if box.modules]


def _moved(seen: Assessed, at: int, rearwards: bool) -> Ladder:
    box, size = seen.case.build.pack.boxes[at], seen.case.build.donor.size
    way, sign, half = ("rearwards", 1, box.length.value / 2) if rearwards else ("forwards", -1, box.length.value / 2)
    nose, tail = -size.front_overhang.value + half, size.length.value - size.front_overhang.value - half

    def rungs() -> tuple[Rung, ...]:
        made: list[Rung] = []
        for step in range(1, round(FARTHEST / CENTIMETRE) + 1):
            x = box.x.value + sign * step * CENTIMETRE
            if not nose <= x <= tail:
                break
            says = f"Move box {box.name} {way} by {step} cm, if there is room"
            made.append(Rung(says, {f"pack.boxes.{at}.x": f"{x:.3f} m"}))
        return tuple(made)

    return Ladder(rungs)


def higher_empty(seen: Assessed) -> Ladder:
    """A higher lowest charge, by 1 %."""
    window = seen.case.build.pack.window
    values = upwards(window.empty.value * 100, 1.0, window.full.value * 100 - 10)
    return settings("pack.window.empty", "Use the charge only down to", values, "%")


def less_load(seen: Assessed) -> Ladder:
    """Less load in the brief, in steps of 5 kg."""
    load = seen.case.build.brief.load.value
    return settings("brief.load", "Agree on a load of", downwards(load, 5.0), "kg")


def fewer_seats(seen: Assessed) -> Ladder:
    """Fewer people in the brief."""
    seats = seen.case.build.brief.seats
    counts = range(seats - 1, 0, -1)
    return Ladder(
        lambda: tuple(
            Rung(f"Agree on {n} seat{'s' if n > 1 else ''} (brief.seats)", {"brief.seats": n}) for n in counts
        )
    )


def tyres_for_load(seen: Assessed, axle: str) -> Ladder:
    """Tyres of the same size and the next load indices."""
    marking = _marking(seen, axle)
    known = marking is not None and marking.load_index is not None
    return Ladder(
        lambda: (
            tuple(_tyres(axle, marking.with_index(index)) for index in indices_above(marking.load_index))
            if known and marking and marking.load_index
            else ()
        )
    )


def tyres_for_speed(seen: Assessed, axle: str) -> Ladder:
    """Tyres of the same size and load, and the next speed symbols."""
    marking = _marking(seen, axle)
    known = marking is not None and marking.load_index is not None and marking.speed_symbol
    return Ladder(
        lambda: (
            tuple(_tyres(axle, marking.with_symbol(letter)) for letter in symbols_above(marking.speed_symbol))
            if known and marking
            else ()
        )
    )


def _marking(seen: Assessed, axle: str) -> TyreMarking | None:
    return marking_or_none(getattr(seen.case.build.donor.tyres, axle))


def _tyres(axle: str, text: str) -> Rung:
    return Rung(f"Fit {axle} tyres '{text}' (donor.tyres.{axle})", {f"donor.tyres.{axle}": text})


def one_gear(seen: Assessed) -> Ladder:
    """Without the lowest gear, then without the two lowest, by locking the gearbox in one: the lowest first."""
    gears = len(seen.case.build.donor.drive_line.gearbox.ratios)
    if seen.case.build.drive.gearing.way != "gearbox-kept":
        return Ladder(lambda: ())
    now = seen.case.build.drive.gearing.fixed_gear or 1
    made = tuple(locked_in(seen, gear) for gear in range(now + 1, gears + 1))
    return Ladder(lambda: made)


def locked_in(seen: Assessed, gear: int) -> Rung:
    """The old gearbox locked in one gear. That leaves no reverse gear, so the motor turns backwards."""
    changes: dict[str, Any] = {"drive.gearing.fixed_gear": gear}
    if seen.case.build.drive.gearing.reverse == "motor":
        return Rung(f"Drive in gear {gear} alone (drive.gearing.fixed_gear)", changes)
    says = f"Drive in gear {gear} alone and reverse by the motor (drive.gearing.fixed_gear, drive.gearing.reverse)"
    return Rung(says, changes | {"drive.gearing.reverse": "motor"})


def one_step(says: str, changes: Mapping[str, Any]) -> Ladder:
    """A ladder of a single rung: something that is fitted or decided, or not."""
    return Ladder(lambda: (Rung(says, changes),))


def counts(path: str, what: str, start: int, most: int) -> Ladder:
    """A number of things, one more at a time: "Fit 16 monitor boards (pack.bms.boards)"."""
    return Ladder(
        lambda: tuple(
            Rung(f"{what.format(number=number)} ({path})", {path: number}) for number in range(start, most + 1)
        )
    )


def less_torque(seen: Assessed, share: float) -> Ladder:
    """A lower limit of torque in the inverter, by 5 N·m; `share`: that of the torque of now which should do."""
    inverter_limit, motor = seen.case.build.drive.torque_limit, seen.case.motor
    most = motor.torque_peak.value if motor else 0.0
    known = min(most, inverter_limit.value) if inverter_limit else most
    what = "Set the torque limit of the inverter to"
    return settings("drive.torque_limit", what, downwards(known, 5.0, 5.0), "N·m", near=share * known)


def less_braking(seen: Assessed, share: float = 1.0) -> Ladder:
    """A lower limit of braking torque in the inverter, by 5 N·m; `share`: that of the torque of now which should do."""
    motor, set_now = seen.case.motor, seen.case.build.drive.regeneration.torque
    most = motor.torque_peak.value if motor else 0.0
    torque = min(most, set_now.value) if set_now else most
    what = "Set the braking torque of the inverter to"
    return settings("drive.regeneration.torque", what, downwards(torque, 5.0, 5.0), "N·m", near=share * torque)


def less_backwards(seen: Assessed, share: float) -> Ladder:
    """A lower torque backwards that is set in the inverter, by 5 N·m; `share`: that of the torque of now which should do."""
    motor, set_now = seen.case.motor, seen.case.build.drive.gearing.reverse_torque
    most = motor.torque_peak.value if motor else 0.0
    torque = min(most, set_now.value) if set_now else most
    what = "Set the torque backwards of the inverter to"
    return settings("drive.gearing.reverse_torque", what, downwards(torque, 5.0, 5.0), "N·m", near=share * torque)


def reverse_by_gear(seen: Assessed) -> Ladder:
    """The reverse gear in place of a motor that turns backwards, where a gear that is used reverses."""
    if not has_reverse_gear(seen.case):
        return Ladder(lambda: ())
    return one_step("Reverse by the gear (drive.gearing.reverse: gear)", {"drive.gearing.reverse": "gear"})
