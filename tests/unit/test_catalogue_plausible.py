"""There is a choice of every kind of part, and each shipped figure lies in the range in which the trade finds such parts.

The parts are invented; the ranges are not. A range without a source is common practice of the trade. They are narrow enough to
catch a slip of the pen by a decimal, and wide enough for a good and a bad maker.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pytest

from voltwright.parts.battery import Cell, Module
from voltwright.parts.low_voltage_cable import low_voltage_cables
from voltwright.parts.power import Radiator
from voltwright.parts.protection import Cable, Fuse
from voltwright.parts.shelf import catalogue
from voltwright.rules.ratings import DENSITY

SHELF = catalogue()
PRACTICE = "common practice, no source"
COPPER = 8960.0  # kg/m³; density of copper, from memory

LEAST = {
    "module": 20, "motor": 14, "inverter": 14, "gear-unit": 8, "charger": 8, "dc-dc": 6, "heater": 6, "contactor": 8, "fuse": 20,
    "cable": 12, "bms": 6, "isolation-monitor": 4, "battery-12v": 6, "inlet": 4, "msd": 4, "pump": 3, "radiator": 3, "fan": 3,
}  # fmt: skip


@pytest.mark.parametrize("kind", LEAST)
def test_there_is_a_choice(kind: str) -> None:
    assert len(SHELF.ids(kind)) >= LEAST[kind]


def cell_of(part: Module) -> Cell:
    return SHELF.take(part.cell, Cell)


def kilowatt_hours(part: Module) -> float:
    cell = cell_of(part)
    capacity = part.capacity.value if part.capacity else part.cells_parallel * cell.capacity.value
    voltage = part.voltage_nominal.value if part.voltage_nominal else part.groups_series * cell.voltage_nominal.value
    return capacity * voltage / 3.6e6


def litres(part: Any) -> float:
    """Of a box, or of a motor's cylinder."""
    if hasattr(part, "diameter"):
        return 1000 * part.length.value * math.pi / 4 * part.diameter.value**2
    third = part.length.value if hasattr(part, "length") else part.depth.value
    return 1000 * part.width.value * part.height.value * third


def price(part: Any) -> float | None:
    return float(part.price.exact) if part.price else None


def price_per(part: Any, amount: float) -> float | None:
    asked = price(part)
    return None if asked is None else asked / amount


def chemistry(*names: str) -> Callable[[Any], bool]:
    return lambda part: cell_of(part).chemistry in names


def stock(name: str) -> Callable[[Any], bool]:
    return lambda part: part.stock == name


def principle(*names: str, geared: bool = False) -> Callable[[Any], bool]:
    return lambda part: part.principle in names and (part.built_in_ratio is not None) is geared


def always(part: Any) -> bool:
    return True


@dataclass(frozen=True)
class Range:
    """What a value of a kind of part may be, of those to which it applies."""

    kind: str
    what: str
    of: Callable[[Any], float | None]
    low: float
    high: float
    where: Callable[[Any], bool] = always
    source: str = PRACTICE

    def __str__(self) -> str:
        return f"{self.kind}-{self.what}-{self.low:g}"


PM, FIELD = ("permanent-magnet",), ("induction", "reluctance")
RANGES = (
    # modules by chemistry; a cylindrical LFP power cell alone holds little over 200 Wh/l
    Range("module", "Wh/kg", lambda p: 1000 * kilowatt_hours(p) / p.mass.value, 85, 145, chemistry("lfp")),
    Range("module", "Wh/kg", lambda p: 1000 * kilowatt_hours(p) / p.mass.value, 115, 215, chemistry("nmc", "nca")),
    Range("module", "Wh/l", lambda p: 1000 * kilowatt_hours(p) / litres(p), 120, 300, chemistry("lfp")),
    Range("module", "Wh/l", lambda p: 1000 * kilowatt_hours(p) / litres(p), 190, 360, chemistry("nmc", "nca")),
    Range("module", "EUR/kWh", lambda p: price_per(p, kilowatt_hours(p)), 150, 350, stock("new")),
    Range("module", "EUR/kWh", lambda p: price_per(p, kilowatt_hours(p)), 120, 250, stock("surplus")),
    Range("module", "EUR/kWh", lambda p: price_per(p, kilowatt_hours(p)), 80, 150, stock("salvaged")),
    Range("module", "kg/l", lambda p: p.mass.value / litres(p), 1.2, 2.4),
    # motors; a reduction with differential in the same housing halves what a kilogram gives
    Range("motor", "kW/kg", lambda p: p.power_peak.value / p.mass.value / 1000, 1.0, 3.2, principle(*PM)),
    Range("motor", "kW/kg", lambda p: p.power_peak.value / p.mass.value / 1000, 0.45, 1.8, principle(*FIELD)),
    Range("motor", "kW/kg", lambda p: p.power_peak.value / p.mass.value / 1000, 0.4, 0.9, principle("series-wound")),
    Range("motor", "kW/kg", lambda p: p.power_peak.value / p.mass.value / 1000, 0.6, 1.6, lambda p: p.built_in_ratio is not None),
    Range("motor", "N·m/kg", lambda p: p.torque_peak.value / p.mass.value, 3.0, 6.5, principle(*PM)),
    Range("motor", "N·m/kg", lambda p: p.torque_peak.value / p.mass.value, 1.8, 4.5, principle(*FIELD, "series-wound")),
    Range("motor", "continuous over peak power", lambda p: p.power_continuous.value / p.power_peak.value, 0.3, 0.7),
    Range("motor", "best efficiency", lambda p: p.efficiency_best.value, 0.84, 0.98),
    Range("motor", "EUR/kW", lambda p: price_per(p, p.power_peak.value / 1000), 12, 65),
    Range("motor", "kg/l", lambda p: p.mass.value / litres(p), 1.6, 4.2),
    # inverters, by their direct current at the highest voltage
    Range("inverter", "kW/kg", lambda p: dc_kilowatts(p) / p.mass.value, 5, 28),
    Range("inverter", "EUR/kW", lambda p: price_per(p, dc_kilowatts(p)), 11, 32),
    Range("inverter", "efficiency", lambda p: p.efficiency.value, 0.93, 0.99),
    Range("inverter", "phase over direct current", lambda p: p.current_phase_peak.value / p.current_dc_peak.value, 1.0, 1.6),
    Range("inverter", "capacitance times voltage and current, ms",
          lambda p: 1000 * p.capacitance.value * p.voltage_max.value / p.current_dc_peak.value, 0.3, 2.0),
    Range("gear-unit", "N·m out/kg", lambda p: p.torque_in_max.value * max(p.ratios) / p.mass.value, 20, 95),
    Range("gear-unit", "efficiency", lambda p: p.efficiency.value, 0.94, 0.985),
    Range("charger", "W/kg", lambda p: p.power.value / p.mass.value, 400, 1600),
    Range("charger", "EUR/kW", lambda p: price_per(p, p.power.value / 1000), 90, 220),
    Range("charger", "efficiency", lambda p: p.efficiency.value, 0.88, 0.97),
    Range("dc-dc", "W/kg", lambda p: p.power.value / p.mass.value, 250, 800),
    Range("dc-dc", "EUR/kW", lambda p: price_per(p, p.power.value / 1000), 180, 600),
    Range("dc-dc", "efficiency", lambda p: p.efficiency.value, 0.85, 0.96),
    Range("dc-dc", "standing over rated power", lambda p: p.standing_power.value / p.power.value, 0.001, 0.008),
    Range("heater", "W/kg", lambda p: p.power.value / p.mass.value, 700, 2200),
    Range("heater", "EUR/kW", lambda p: price_per(p, p.power.value / 1000), 60, 180),
    Range("battery-12v", "Wh/kg", lambda p: watt_hours(p) / p.mass.value, 30, 50, lambda p: p.technology.startswith("lead")),
    Range("battery-12v", "Wh/kg", lambda p: watt_hours(p) / p.mass.value, 65, 120, lambda p: p.technology == "lfp"),
    Range("battery-12v", "EUR/Wh", lambda p: price_per(p, watt_hours(p)), 0.10, 0.90),
    # protection
    Range("contactor", "coil, W", lambda p: p.coil_power.value, 2, 13),
    Range("contactor", "g/A", lambda p: 1000 * p.mass.value / p.current_continuous.value, 1.2, 6.0),
    Range("contactor", "breaking over continuous current", lambda p: p.current_break_max.value / p.current_continuous.value, 4, 12),
    Range("contactor", "making over continuous current", lambda p: p.current_make_max.value / p.current_continuous.value, 1.5, 5),
    Range("msd", "g/A", lambda p: 1000 * p.mass.value / p.current_continuous.value, 1.0, 6.5),
    Range("isolation-monitor", "threshold, Ω/V", lambda p: p.threshold.value / p.voltage_max.value, 100, 900,
          source="UN R100 and ISO 6469-3: 100 Ω/V for direct and 500 Ω/V for alternating current (from memory)"),
    Range("isolation-monitor", "response, s", lambda p: p.response_time.value, 1.5, 12),
    Range("bms", "W, awake", lambda p: p.supply_power.value, 1.2, 10),
    Range("bms", "balancing, mA", lambda p: 1000 * p.balancing_current.value, 50, 450),
    # cables by the metre
    Range("cable", "Ω·mm²/m", lambda p: 1e6 * p.resistance.value * p.cross_section.value, 0.0185, 0.0205,
          source="IEC 60228, class 5 (from memory); copper alone has 0.0172 Ω·mm²/m"),
    Range("cable", "mass over its copper", lambda p: p.mass.value / (COPPER * p.cross_section.value), 1.15, 2.0),
    Range("cable", "copper over its round area", lambda p: p.cross_section.value / (math.pi / 4 * p.diameter.value**2), 0.12, 0.45),
    Range("cable", "EUR/mm²", lambda p: price_per(p, 1e6 * p.cross_section.value), 0.2, 1.0),
    # cooling
    Range("pump", "best hydraulic over electric power", lambda p: hydraulic_watts(p) / p.power.value, 0.15, 0.5),
    Range("radiator", "kg/l", lambda p: p.mass.value / litres(p), 0.4, 1.0),
    Range("radiator", "W/K for a square metre of face", lambda p: p.conductance.value / (p.width.value * p.height.value), 1200, 3500),
    Range("fan", "m³/h per W, blowing freely", lambda p: 3600 * p.flow_free.value / p.power.value, 8, 30),
)  # fmt: skip


def dc_kilowatts(part: Any) -> float:
    return part.current_dc_peak.value * part.voltage_max.value / 1000


def watt_hours(part: Any) -> float:
    return part.capacity.value * part.voltage_nominal.value / 3600


def hydraulic_watts(part: Any) -> float:
    """The most that the pump puts into the water."""
    points = zip(part.pressure.litre_per_minute, part.pressure.value, strict=True)
    return max(flow / 60000 * pressure * 1000 for flow, pressure in points)


def parts_of(each: Range) -> list[Any]:
    return [part for part in (SHELF.any(part_id) for part_id in SHELF.ids(each.kind)) if each.where(part)]


@pytest.mark.parametrize("part", list(SHELF.ids("radiator")))
def test_no_radiator_sheds_more_than_its_streams_carry(part: str) -> None:
    """By both streams: 3 m/s of air at 1.15 kg/m³, coolant of half glycol; 92 % is as good as crossflow of two rows becomes."""
    made = SHELF.take(part, Radiator)
    table = made.conductance_over_flow
    assert table is not None or made.conductance.value > 0.0
    blown = 1.15 * 1006.0 * 3.0 * made.width.value * made.height.value
    assert made.conductance.value < 0.92 * blown
    for flow, sheds in () if table is None else zip(table.litre_per_minute, table.value, strict=True):
        assert sheds < 0.95 * min(blown, flow / 6e4 * 1067.0 * 3400.0)


@pytest.mark.parametrize("each", RANGES, ids=str)
def test_parts_are_such_as_the_trade_finds(each: Range) -> None:
    parts = parts_of(each)
    assert parts, "nothing is judged by this range"
    values = {part.id: each.of(part) for part in parts}
    outside = {
        name: value for name, value in values.items() if value is not None and not each.low <= value <= each.high
    }
    assert outside == {}, f"{each.what} from {each.low:g} to {each.high:g}: {each.source}"


@pytest.mark.parametrize("each", RANGES, ids=str)
def test_a_decimal_in_the_wrong_place_is_seen(each: Range) -> None:
    """No value of the catalogue stays in its range when it is ten times as large or as small."""
    assert each.high / each.low < 10
    for part in parts_of(each):
        value = each.of(part)
        if value is not None:
            assert not each.low <= 10 * value <= each.high
            assert not each.low <= value / 10 <= each.high


@pytest.mark.parametrize("kind", ["module", "motor"])
def test_every_such_part_is_judged(kind: str) -> None:
    """By chemistry, stock and principle: no part slips between two ranges."""
    for what in {each.what for each in RANGES if each.kind == kind}:
        judged = {part.id for each in RANGES if each.kind == kind and each.what == what for part in parts_of(each)}
        spared = {each for each in SHELF.ids(kind) if what == "N·m/kg" and SHELF.any(each).built_in_ratio}  # type: ignore[attr-defined]
        assert judged | spared == set(SHELF.ids(kind)), what


PAIRS = {
    "motor": ("power", "torque", "current_phase"),
    "inverter": ("current_dc", "current_phase"),
    "module": ("current",),
    "cell": ("current",),
}


@pytest.mark.parametrize(("kind", "name"), [(kind, name) for kind, names in PAIRS.items() for name in names])
def test_peak_is_at_least_continuous(kind: str, name: str) -> None:
    for part_id in SHELF.ids(kind):
        part = SHELF.any(part_id)
        peak, lasting = getattr(part, f"{name}_peak"), getattr(part, f"{name}_continuous")
        assert peak is None or lasting is None or peak.value >= lasting.value, part_id


def fuses() -> dict[str, list[Fuse]]:
    """The families of fuses by their voltage, each by its rating."""
    families: dict[str, list[Fuse]] = {}
    for part_id in SHELF.ids("fuse"):
        families.setdefault(part_id.split("/")[1].split("-")[0], []).append(SHELF.take(part_id, Fuse))
    return {name: sorted(family, key=lambda each: each.current_rated.value) for name, family in families.items()}


def energy_let_through(fuse: Fuse) -> float:
    """I²t at the shortest time of the curve. [A²·s]"""
    assert fuse.melting is not None
    return fuse.melting.ampere[-1] ** 2 * fuse.melting.second[-1]


@pytest.mark.parametrize("family", fuses())
def test_a_larger_fuse_lets_more_energy_through_and_is_dearer(family: str) -> None:
    """As I²t goes with the square of a link's cross-section, it rises more quickly than the rating."""
    row = fuses()[family]
    assert len(row) >= 3
    for small, large in itertools.pairwise(row):
        ratio = large.current_rated.value / small.current_rated.value
        assert ratio < energy_let_through(large) / energy_let_through(small) < ratio**3
        assert (price(small) or 0) < (price(large) or 0)
        assert small.mass is None or large.mass is None or small.mass.value < large.mass.value


def test_every_curve_of_a_fuse_is_marked_invented_and_falls() -> None:
    for fuse in itertools.chain.from_iterable(fuses().values()):
        assert fuse.grade_of("melting") == "invented"
        assert fuse.melting is not None
        assert list(fuse.melting.second) == sorted(fuse.melting.second, reverse=True)
        assert list(fuse.melting.ampere) == sorted(fuse.melting.ampere)


def test_cables_rise_together() -> None:
    """Cross-section, mass, diameter and price, among those with a screen and among those without."""
    cables = [SHELF.take(part_id, Cable) for part_id in SHELF.ids("cable")]
    for shielded in (True, False):
        row = sorted(
            (each for each in cables if each.shielded is shielded and each.orange),
            key=lambda each: each.cross_section.value,
        )
        assert len(row) >= 5
        for thin, thick in itertools.pairwise(row):
            assert thin.diameter.value < thick.diameter.value, thick.id
            assert (thin.mass.value if thin.mass else 0) < (thick.mass.value if thick.mass else 0), thick.id
            assert thin.resistance.value > thick.resistance.value, thick.id


def test_four_amperes_a_square_millimetre_is_what_a_middle_cable_bears() -> None:
    """The rule of thumb against the table of currents: by it a thin cable has a margin, and one above 25 mm² in hot air has none."""
    per_area = {round(1e6 * each.area, 1): each.ampere_50 / each.area for each in low_voltage_cables()}
    assert list(per_area.values()) == sorted(per_area.values(), reverse=True)
    assert per_area[16.0] > DENSITY > per_area[25.0]
    assert all(2e6 <= each <= 14e6 for each in per_area.values())


def test_a_contactor_of_more_current_takes_no_weaker_coil() -> None:
    families: dict[str, list[tuple[float, float]]] = {}
    for part_id in SHELF.ids("contactor"):
        part: Any = SHELF.any(part_id)
        families.setdefault(part_id.split("/")[1].split("-")[0], []).append(
            (part.current_continuous.value, part.coil_power.value)
        )
    for family, pairs in families.items():
        coils = [coil for _, coil in sorted(pairs)]
        assert coils == sorted(coils), family
