"""Parts by their datasheets: how the modules are joined, and what of the shelf bears their voltage and the motor's current.

A first choice, which the rules then judge and mend.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cached_property

from voltwright.build.begun.answers import Wish
from voltwright.parts.base import Part
from voltwright.parts.battery import Bms
from voltwright.parts.drive import GearUnit, Inverter
from voltwright.parts.kinds import KINDS
from voltwright.parts.power import Charger, DcDc, Heater
from voltwright.parts.protection import Cable, Contactor, Fuse, IsolationMonitor, Msd
from voltwright.parts.shelf import AnyPart, Shelf
from voltwright.quantity.errors import PartError

ENGINE_SPEED = 6000.0 * math.pi / 30  # as the engines of such cars were let to turn, and so the gearbox that stays
HIGH_VOLTAGE = 60.0  # V of direct current; as the voltage classes have it
MOST_BOARDS, MOST_SENSORS, MOST_STRINGS = 200, 500, 200  # that a build file may name
Rank = tuple[float, ...]


def on_shelf(shelf: Shelf, kind: type[AnyPart]) -> Iterable[AnyPart]:
    """Every part of a kind whose datasheet is in order."""
    name = next(name for name, made in KINDS.items() if made is kind)
    for part_id in shelf.ids(name):
        try:
            yield shelf.take(part_id, kind)
        except PartError:
            continue


def pick(
    shelf: Shelf, kind: type[AnyPart], suits: Callable[[AnyPart], bool], rank: Callable[[AnyPart], Rank]
) -> AnyPart | None:
    """The part that suits and ranks lowest, then the cheapest; None where none suits."""
    return min(
        (each for each in on_shelf(shelf, kind) if suits(each)),
        key=lambda each: (*rank(each), *_price(each)),
        default=None,
    )


def _price(part: Part) -> tuple[float, str]:
    return (float(part.price.exact) if part.price else math.inf, part.id)


@dataclass(frozen=True)
class Joined:
    """Modules in series and strings in parallel, and their voltages. [V]"""

    wish: Wish
    series: int
    parallel: int

    @property
    def cells(self) -> int:
        return self.series * self.wish.module.groups_series

    @property
    def full(self) -> float:
        return self.cells * self.wish.cell.voltage_full.value

    @property
    def highest(self) -> float:
        """Full and taking regeneration."""
        return 1.05 * self.full

    @property
    def nominal(self) -> float:
        return self.cells * self.wish.cell.voltage_nominal.value

    @property
    def low(self) -> float:
        """Nearly empty and under load: a little above the cells' limit."""
        return self.cells * (self.wish.cell.voltage_empty.value + 0.1)


def joined(wish: Wish, shelf: Shelf) -> Joined:
    """Every module used, in strings of the voltage that motor, inverter, charger and DC-DC bear, nearest to the motor's own."""
    count = wish.modules
    split = [(series, count // series) for series in range(1, count + 1) if count % series == 0]
    ways = [Joined(wish, series, parallel) for series, parallel in split if parallel <= MOST_STRINGS]

    def rank(way: Joined) -> Rank:
        bears = way.highest <= wish.motor.voltage_max.value
        windows = [_can(shelf, Charger, way), _can(shelf, DcDc, way), _feeds(shelf, way)]
        return (not bears, not windows[2], -sum(windows), abs(math.log(way.nominal / wish.motor.voltage_nominal.value)))

    return min(ways, key=rank)


def _can(shelf: Shelf, kind: type[Charger] | type[DcDc], way: Joined) -> bool:
    return any(_open(each, way) for each in on_shelf(shelf, kind))


def _feeds(shelf: Shelf, way: Joined) -> bool:
    return any(_open(each, way) and each.feeds(way.wish.motor) for each in on_shelf(shelf, Inverter))


def _open(part: Charger | DcDc | Heater | Inverter, way: Joined) -> bool:
    return part.voltage_min.value <= way.low and way.highest <= part.voltage_max.value


@dataclass(frozen=True)
class Fitted:
    """The parts of the shelf for modules that are joined so; None where nothing suits."""

    shelf: Shelf
    way: Joined

    @property
    def current(self) -> float:
        """What the motor draws for long. [A]"""
        return self.way.wish.motor.power_continuous.value / 0.88 / self.way.nominal

    @property
    def peak(self) -> float:
        """What the motor draws for moments, or the modules give. [A]"""
        wish = self.way.wish
        gives = wish.cell.current_peak.value * wish.module.cells_parallel * self.way.parallel
        return min(wish.motor.power_peak.value / 0.85 / self.way.nominal, gives)

    @property
    def turning(self) -> float:
        """What a motor makes by itself at its highest speed, or at that of the old engine, between two lines at the crest. [V]"""
        wish = self.way.wish
        most = min(wish.motor.speed_max.value, ENGINE_SPEED) if wish.text.keep_gearbox else wish.motor.speed_max.value
        return math.sqrt(2.0) * wish.motor.back_emf.value * most if wish.motor.back_emf else 0.0

    def _bears_turning(self, part: Charger | DcDc | Heater | Inverter | IsolationMonitor) -> bool:
        return part.voltage_max.value >= self.turning

    @cached_property
    def inverter(self) -> Inverter | None:
        motor = self.way.wish.motor
        asks = motor.current_phase_peak.value if motor.current_phase_peak else 1.3 * self.peak
        holds = motor.current_phase_continuous.value if motor.current_phase_continuous else self.current

        def rank(part: Inverter) -> Rank:
            short = max(asks / part.current_phase_peak.value, holds / part.current_phase_continuous.value, 1.0)
            backwards = motor.principle == "series-wound" and not part.turns_back
            joins = not part.isolated and self.way.full > HIGH_VOLTAGE
            return (joins, not self._bears_turning(part), short, backwards, part.current_phase_peak.value)

        return pick(self.shelf, Inverter, lambda part: part.feeds(motor) and _open(part, self.way), rank)

    @cached_property
    def charger(self) -> Charger | None:
        """The strongest up to what one phase of a home gives."""

        def rank(part: Charger) -> Rank:
            gives = (part.power_single_phase or part.power).value
            return (not part.isolated, not self._bears_turning(part), gives > 7500.0, part.phases, abs(gives - 7000.0))

        return pick(self.shelf, Charger, lambda part: _open(part, self.way), rank)

    @cached_property
    def dc_dc(self) -> DcDc | None:
        def rank(part: DcDc) -> Rank:
            return (
                not part.isolated,
                not self._bears_turning(part),
                abs(part.voltage_out.value - 13.8) > 2.0,
                abs(part.power.value - 1000.0),
            )

        return pick(self.shelf, DcDc, lambda part: _open(part, self.way), rank)

    @cached_property
    def heater(self) -> Heater | None:
        """Air for the windscreen, as the car may have no coolant."""

        def rank(part: Heater) -> Rank:
            return (not self._bears_turning(part), part.medium != "air", abs(part.power.value - 2000.0))

        return pick(self.shelf, Heater, lambda part: _open(part, self.way), rank)

    @cached_property
    def bms(self) -> Bms | None:
        cell = self.way.wish.cell

        def suits(part: Bms) -> bool:
            watches = (
                cell.voltage_full.value <= part.cell_voltage_max.value
                and part.cell_voltage_min.value <= cell.voltage_empty.value
            )
            return watches and cell.chemistry in part.chemistries and self.way.highest <= part.voltage_max.value

        def rank(part: Bms) -> Rank:
            boards = self.boards(part)
            price = _price(part)[0] + boards * (float(part.board_price.exact) if part.board_price else 0.0)
            return (boards > part.boards_most, not part.measures_current, price)

        return pick(self.shelf, Bms, suits, rank)

    def boards(self, bms: Bms) -> int:
        """A board does not span two strings; each module's sensors need a place too."""
        sensors = math.ceil(self.way.series * self.sensors_each / bms.sensors_per_board) if bms.sensors_per_board else 0
        return min(self.way.parallel * max(math.ceil(self.way.cells / bms.channels_per_board), sensors), MOST_BOARDS)

    @property
    def sensors_each(self) -> int:
        return max(1, self.way.wish.module.temperature_sensors)

    @property
    def sensors(self) -> int:
        return min(self.way.wish.modules * self.sensors_each, MOST_SENSORS)

    @cached_property
    def fuse(self) -> Fuse | None:
        """One for each string."""
        asks = max(1.3 * self.current, 0.7 * self.peak) / self.way.parallel

        def rank(part: Fuse) -> Rank:
            return (max(asks / part.current_rated.value, 1.0), part.current_rated.value, part.voltage_max.value)

        return pick(self.shelf, Fuse, lambda part: part.voltage_max.value >= self.way.highest, rank)

    @cached_property
    def contactor(self) -> Contactor | None:
        asks = 1.2 * self.current

        def rank(part: Contactor) -> Rank:
            short = max(asks / part.current_continuous.value, self.peak / part.current_break_max.value, 1.0)
            return (short, part.polarised, part.current_continuous.value, part.voltage_max.value)

        return pick(self.shelf, Contactor, lambda part: part.voltage_max.value >= self.way.highest, rank)

    @cached_property
    def precharge_contactor(self) -> Contactor | None:
        def rank(part: Contactor) -> Rank:
            return (part.current_continuous.value, part.voltage_max.value)

        return pick(self.shelf, Contactor, lambda part: part.voltage_max.value >= self.way.highest, rank)

    @cached_property
    def msd(self) -> Msd | None:
        """One for each string."""
        asks = 1.2 * self.current / self.way.parallel

        def rank(part: Msd) -> Rank:
            return (
                max(asks / part.current_continuous.value, 1.0),
                part.fused,
                not part.interlock,
                part.voltage_max.value,
            )

        return pick(self.shelf, Msd, lambda part: part.voltage_max.value >= self.way.highest, rank)

    @cached_property
    def isolation_monitor(self) -> IsolationMonitor | None:
        if self.way.full <= HIGH_VOLTAGE:
            return None

        def rank(part: IsolationMonitor) -> Rank:
            return (not self._bears_turning(part), part.voltage_max.value)

        return pick(self.shelf, IsolationMonitor, lambda part: part.voltage_max.value >= self.way.highest, rank)

    @cached_property
    def cable(self) -> Cable | None:
        asks = self.current / 3.5e6  # common practice: 3.5 A in each mm²

        def rank(part: Cable) -> Rank:
            return (max(asks / part.cross_section.value, 1.0), not part.orange, part.cross_section.value)

        return pick(self.shelf, Cable, lambda part: part.voltage_max.value >= self.way.highest, rank)

    def gear_unit(self, shaft: float, torque: float) -> GearUnit | None:
        """A reduction ahead of the propeller shaft. `shaft`: its turning at the cruise speed [rad/s]; `torque` of the motor [N·m].

        With something in hand above the cruise speed; with nothing, where only a gear reverses.
        """
        found = self._reduction(1.3 * shaft, torque)
        if self.must_have_reverse and (found is None or not found.reverse):
            return self._reduction(shaft, torque) or found
        return found

    @property
    def must_have_reverse(self) -> bool:
        """Whether the inverter cannot turn the motor backwards."""
        return self.inverter is not None and not self.inverter.turns_back

    def _reduction(self, shaft: float, torque: float) -> GearUnit | None:
        """The lowest that lets the motor stay below its highest speed."""
        motor = self.way.wish.motor

        def suits(part: GearUnit) -> bool:
            return not part.differential and shaft * min(part.ratios) <= 0.95 * min(
                motor.speed_max.value, part.speed_in_max.value
            )

        def rank(part: GearUnit) -> Rank:
            weak = max(torque / part.torque_in_max.value, 1.0)
            return (self.must_have_reverse and not part.reverse, weak, len(part.ratios), -min(part.ratios))

        return pick(self.shelf, GearUnit, suits, rank)
