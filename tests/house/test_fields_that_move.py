"""Every quantity of every datasheet moves a figure, or is judged, or stands in the list of those that move nothing yet.

A field is changed in an example build that uses such a part, and the build worked anew. So nobody enters a number from a
datasheet in the belief that it counts where it does not.
"""

from __future__ import annotations

import copy
import functools
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import pytest

from helpers import changed
from voltwright.assess.case import Case
from voltwright.build.reader import BuildFile
from voltwright.parts.fields import expected, table_of
from voltwright.parts.kinds import KINDS
from voltwright.quantity.entry import Entry
from voltwright.rules.dossier import assess

IN_BOX = "the box of the pack is entered with all that is in it"
WIRING = "fuses, cables and precharge are not worked out yet"
SIZE = "where parts go is entered by hand"

MOVES_NOTHING: dict[str, dict[str, str]] = {
    "cell": {
        "price": "the module is bought, not its cells",
        "diameter": "the module has a size of its own",
    },
    "bms": {
        "mass": IN_BOX,
        "board_mass": IN_BOX,
        "balancing_current": "balancing is not worked out yet",
    },
    "motor": {"length": SIZE, "diameter": SIZE},
    "inverter": {"capacitance": WIRING, "discharge_resistor": WIRING},
    "inlet": {"mass": "an inlet has no place in the build"},
    "fan": {"temperature_max": "where fans sit is not asked"},
    "contactor": {
        "mass": IN_BOX,
        "current_break_max": WIRING,
        "current_make_max": WIRING,
        "terminal_torque": "the list of bolts is not made yet",
    },
    "fuse": {
        "mass": IN_BOX,
        **dict.fromkeys(("time_constant", "current_rated", "current_break_max", "current_break_min", "melting"), WIRING),
        "terminal_torque": "the list of bolts is not made yet",
    },
    "cable": {
        "mass": "what a run weighs is entered among the extras",
        **dict.fromkeys(("cross_section", "resistance", "temperature_max", "diameter"), WIRING),
    },
    "isolation-monitor": {"mass": IN_BOX, "threshold": WIRING, "response_time": WIRING},
    "msd": {"mass": IN_BOX},
}  # fmt: skip

# Limits alone: no figure moves, but the check of each does. With the step that reaches the limit.
JUDGED_ONLY: dict[str, dict[str, float]] = {
    "bms": {"cell_voltage_min": 1.5, "cell_voltage_max": 0.9, "voltage_max": 0.5},
    "motor": {"voltage_max": 0.85},
    "charger": {"voltage_min": 1.5},
    "dc-dc": {"voltage_min": 1.5, "voltage_max": 0.7},
    "heater": {"voltage_min": 1.5, "voltage_max": 0.7},
    "contactor": {"voltage_max": 0.5},
    "fuse": {"voltage_max": 0.5},
    "cable": {"voltage_max": 0.3},
    "isolation-monitor": {"voltage_max": 0.5},
    "msd": {"voltage_max": 0.5},
}

# Builds that use what the coupé does not, and which kinds or fields are looked at there.
PHASES = {"charging.charger.part": "charger/11kw-3ph-350v", "charging.inlet": "inlet/combined-2-125a"}
BUILDS: dict[str, tuple[str, dict[str, Any]]] = {
    "coupe": ("coupe", {}),
    "van": ("van", {}),
    "no torque limit": ("coupe", {"drive.torque_limit": None}),
    "reluctance": ("coupe", {"drive.motor.part": "motor/reluctance-70kw-350v"}),
    "no points": ("coupe", {"drive.motor.part": "motor/pm-65kw-350v-geared", "drive.gearing": {"way": "axle-drive"}}),
    "gear unit": ("coupe", {
        "drive.gearing": {"way": "gear-unit", "gear_unit": {"part": "gear-unit/single-speed-2.1", "x": "0.7 m", "z": "0.4 m"}}
    }),
    "direct current": ("coupe", PHASES),
    "blown": ("coupe", {
        "pack.cooling": "air",
        "fitted": [
            {"part": "radiator/420x320", "x": "-0.5 m", "z": "0.5 m"}, {"part": "fan/radiator-280mm", "x": "-0.5 m", "z": "0.5 m"},
            {"part": "fan/box-120mm", "x": "2.7 m", "z": "0.5 m"}, {"part": "pump/coolant-20l", "x": "-0.45 m", "z": "0.42 m"},
        ],
    }),
    "no table": ("coupe", {"fitted.1.part": "radiator/300x240"}),
    "parked on the DC-DC": ("coupe", {"low_voltage.parked": "dc-dc"}),
    "unmeasured": ("van", {"pack.condition": None}),
    "pack heater": ("coupe", {"comfort.pack_heater": {"part": "heater/coolant-5kw-350v", "x": "1 m", "z": "0.4 m"}}),
}  # fmt: skip
LOOKED_AT = {
    "fan": "blown", "fan.pressure": "coupe", "radiator.conductance": "no table", "cell.temperature_charge_max": "direct current",
    "dc-dc.standing_power": "parked on the DC-DC", "heater.power": "pack heater", "motor.current_phase_peak": "no torque limit",
    "inverter.current_phase_peak": "no torque limit",
    "gear-unit": "gear unit", "motor.efficiency_map": "reluctance", "motor.built_in_ratio": "no points",
    "motor.efficiency_best": "no points", "inlet": "direct current", "charger.power_single_phase": "direct current",
    "charger.current_single_phase": "direct current", "module.health": "unmeasured", "module.capacity": "van",
    "module.voltage_nominal": "van", "cell.diameter": "van", "motor.speed_max": "no points", "contactor.current_continuous": "van",
    "motor.torque_continuous": "van", "motor.current_phase_continuous": "van", "inverter.current_phase_continuous": "van",
    "inverter.current_dc_continuous": "van", "module.current_continuous": "van", "module.current_peak": "van",
}  # fmt: skip
# Where a small step reaches no limit: the step that does. Temperatures are moved by so many kelvins.
STEPS: dict[str, float] = {
    "cell.temperature_charge_min": -12.0, "cell.temperature_discharge_min": 20.0, "module.current_continuous": 0.7,
    "motor.torque_continuous": 0.95, "motor.torque_curve_continuous": 0.95, "motor.efficiency_map": 0.95,
    "motor.current_phase_continuous": 1.6, "inverter.voltage_min": 1.5, "inverter.voltage_max": 0.7,
    "inverter.current_dc_continuous": 0.95, "inverter.current_phase_peak": 0.95, "inverter.current_phase_continuous": 0.7,
    "inverter.efficiency": 0.95, "gear-unit.efficiency": 0.95, "gear-unit.speed_in_max": 0.7, "motor.speed_max": 0.95,
    "charger.voltage_max": 0.7,
    "charger.power_single_phase": 0.95, "charger.current_ac_max": 0.95, "charger.current_dc_max": 0.7,
    "inlet.current_ac_max": 0.4, "inlet.current_dc_max": 0.7, "inlet.voltage_dc_max": 0.4, "contactor.current_continuous": 0.95,
    "msd.current_continuous": 0.1, "heater.power": 0.3, "motor.coolant_flow": 4.0,
}  # fmt: skip
# What no part of the catalogue has.
ADDED = {
    "cell.price": "4 EUR", "charger.power_single_phase": "3.6 kW", "charger.current_single_phase": "15 A",
    "radiator.conductance_over_flow": {"litre_per_minute": [2, 20], "value": [150, 300]},
    "bms.accuracy": "1 %", "bms.standing_power": "0.2 W", "heater.ideal_share": "40 %",
}  # fmt: skip
SMALL, KELVINS = 1.05, 5.0


@functools.cache
def base(build: str) -> BuildFile:
    name, changes = BUILDS[build]
    return changed(changes, name)


def fields_of(kind: str) -> list[str]:
    """The quantities and tables of a kind of part."""
    return [name for name, info in KINDS[kind].model_fields.items() if expected(info) or table_of(info)]


def part_of(build: str, kind: str, field: str) -> tuple[str, dict[str, Any]]:
    """A part of that kind in the build whose datasheet holds the field, and the datasheet."""
    made = base(build)
    for part_id in Case(made.build, made.shelf, made.beside).part_ids:
        if part_id.startswith(f"{kind}/"):
            raw = dict(made.shelf._raw[part_id])  # type: ignore[reportPrivateUsage]
            raw.setdefault(field, ADDED.get(f"{kind}.{field}"))
            if raw[field] is not None:
                return part_id, raw
    raise AssertionError(f"no {kind} with {field} in the build '{build}'")


def stepped(kind: str, raw: Mapping[str, Any], field: str, step: float) -> Any:
    """The field with its value, or the last column of its table, times the step; a temperature plus so many kelvins."""
    if table_of(KINDS[kind].model_fields[field]):
        table = copy.deepcopy(raw[field])
        last = list(table)[-1]
        table[last] = [[each * step for each in row] if isinstance(row, list) else row * step for row in table[last]]
        return table
    entry: Entry = getattr(base("coupe").shelf.with_own({"it": raw}).any("it"), field)
    value = entry.unit.from_si(entry.value)
    value = value + step if entry.unit.spelling == "°C" else value * step
    return f"{value:.10g} {entry.unit.spelling}".removesuffix(" 1")


Outcome = tuple[dict[str, Any], list[Any]]


def outcome(build: str, own: Mapping[str, Mapping[str, Any]] | None = None) -> Outcome:
    made = base(build)
    shelf = made.shelf.with_own(own) if own else made.shelf
    found = assess(replace(made, shelf=shelf), with_bands=False, search=False)
    return {key: figure.value for key, figure in found.figures.items()}, [each.as_data() for each in found.findings]


@functools.cache
def before(build: str, kind: str, added: str = "") -> Outcome:
    """Figures and findings as they are; with an added field, once it stands there."""
    if not added:
        return outcome(build)
    part_id, raw = part_of(build, kind, added)
    return outcome(build, {part_id: raw})


def moved(kind: str, field: str, step: float) -> tuple[bool, bool]:
    """Whether figures and findings move with one field."""
    build = LOOKED_AT.get(f"{kind}.{field}") or LOOKED_AT.get(kind, "coupe")
    part_id, raw = part_of(build, kind, field)
    added = field if f"{kind}.{field}" in ADDED else ""
    old = before(build, kind, added)
    new = outcome(build, {part_id: {**raw, field: stepped(kind, raw, field, step)}})
    return new[0] != old[0], new[1] != old[1]


def is_temperature(kind: str, field: str) -> bool:
    known = expected(KINDS[kind].model_fields[field])
    return known is not None and known.unit == "°C"


UNLISTED = [
    (kind, field)
    for kind in KINDS
    for field in fields_of(kind)
    if field not in MOVES_NOTHING.get(kind, {}) and field not in JUDGED_ONLY.get(kind, {})
]


@pytest.mark.parametrize(("kind", "field"), UNLISTED, ids=lambda each: each)
def test_field_moves_a_figure(kind: str, field: str) -> None:
    step = STEPS.get(f"{kind}.{field}") or (KELVINS if is_temperature(kind, field) else SMALL)
    assert moved(kind, field, step)[0]


JUDGED = [(kind, field) for kind, fields in JUDGED_ONLY.items() for field in fields]


@pytest.mark.parametrize(("kind", "field"), JUDGED, ids=lambda each: each)
def test_limit_is_judged_and_moves_no_figure(kind: str, field: str) -> None:
    assert moved(kind, field, JUDGED_ONLY[kind][field]) == (False, True)


@pytest.mark.parametrize("kind", MOVES_NOTHING)
@pytest.mark.parametrize("more", [True, False], ids=["more", "less"])
def test_listed_fields_move_nothing(kind: str, more: bool) -> None:
    """All fields of a kind at once; if this fails, look for the one that moves and take it off the list."""
    by_build: dict[str, list[str]] = {}
    for field in MOVES_NOTHING[kind]:
        build = LOOKED_AT.get(f"{kind}.{field}") or LOOKED_AT.get(kind, "coupe")
        by_build.setdefault(build, []).append(field)
    for build, fields in by_build.items():
        own: dict[str, dict[str, Any]] = {}
        for field in fields:
            part_id, raw = part_of(build, kind, field)
            step = KELVINS if is_temperature(kind, field) else SMALL
            value = stepped(kind, raw, field, step if more else -step if step == KELVINS else 1 / step)
            own[part_id] = {**(own.get(part_id) or raw), field: value}
        assert outcome(build, own) == before(build, kind), fields


def test_lists_are_of_real_fields_and_say_why() -> None:
    for kind, fields in MOVES_NOTHING.items():
        assert set(fields) <= set(fields_of(kind)), kind
        assert all(fields.values())
        assert not set(fields) & set(JUDGED_ONLY.get(kind, {}))
    for kind, limits in JUDGED_ONLY.items():
        assert set(limits) <= set(fields_of(kind)), kind
    named = {f"{kind}.{field}" for kind in KINDS for field in fields_of(kind)} | set(KINDS)
    assert {*STEPS, *LOOKED_AT, *ADDED} <= named


@pytest.mark.parametrize(("kind", "field", "value"), [("motor", "pole_pairs", 6), ("gear-unit", "ratios", [2.3])])
def test_plain_numbers_of_the_drive_move_too(kind: str, field: str, value: Any) -> None:
    build = LOOKED_AT.get(kind, "coupe")
    part_id, raw = part_of(build, kind, field)
    new, old = outcome(build, {part_id: {**raw, field: value}}), before(build, kind)
    assert new[0] != old[0]
    if field == "pole_pairs":  # by hand: as many turns of the current as pole pairs, for each turn of the shaft
        assert new[0]["drive.frequency_max"] == pytest.approx(value * new[0]["drive.motor_speed_max_used"] / 60)
