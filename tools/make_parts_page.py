"""Writes docs/reference/parts.md from the schemas of the parts; `--check` only says whether the page is up to date."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Literal, get_args, get_origin

from pydantic.fields import FieldInfo

from voltwright.parts.base import Part
from voltwright.parts.fields import bare, expected, is_list, own_fields, table_of
from voltwright.parts.kinds import KINDS, PROTECTIVE

PAGE = Path(__file__).parents[1] / "docs" / "reference" / "parts.md"

# The meaning of each field; `kind.field` where it differs from the plain field.
MEANING = {
    "id": "kind, slash, plain description in small letters, such as `module/nmc-13s-50ah`",
    "kind": "may be left out: the id begins with it",
    "title": "what people read",
    "source": "a key of the references; `own-datasheet` for the workshop's own copy of the maker's datasheet",
    "grade": "how far every value that `fields` does not name can be trusted",
    "remarks": "anything worth saying",
    "fields": "for each field that differs from the whole: its `source` and `grade`",
    "mass": "mass, bare of brackets and cables",
    "price": "price without tax, with an ISO 4217 code",
    "chemistry": "of the positive electrode",
    "shape": "of the cell",
    "diameter": "outer diameter",
    "length": "length",
    "width": "width",
    "height": "height",
    "capacity": "rated capacity when new",
    "module.capacity": "when new, as stated by the maker; else cells in parallel times the cell's",
    "voltage_nominal": "nominal voltage",
    "module.voltage_nominal": "as stated by the maker; else groups in series times the cell's",
    "motor.voltage_nominal": "direct voltage at which the power is given",
    "voltage_full": "at which charging ends",
    "voltage_empty": "at which discharge ends",
    "current_continuous": "as long as you like",
    "cell.current_continuous": "discharge, as long as it stays within its temperatures",
    "module.current_continuous": "limit of links and terminals, where it is below that of the cells",
    "current_peak": "discharge for ten seconds",
    "module.current_peak": "ten-second limit of links and terminals, where it is below that of the cells",
    "current_charge": "greatest on the charger",
    "current_regen": "greatest for ten seconds while braking",
    "temperature_charge_min": "coldest at which it may be charged",
    "temperature_charge_max": "hottest at which it may be charged",
    "temperature_discharge_min": "coldest at which it may be discharged",
    "temperature_discharge_max": "hottest at which it may be discharged",
    "heat_capacity": "specific heat capacity",
    "cycles_rated": "full cycles down to `cycles_rated_to`",
    "cycles_rated_to": "share of the rated capacity that is left then",
    "open_circuit_voltage": "voltage at rest over charge, from 0 to 100 %",
    "resistance_ms": "within milliseconds, for a short circuit; a row for each charge, a column for each temperature",
    "resistance_10s": "within ten seconds, for acceleration; a row for each charge, a column for each temperature",
    "resistance_minutes": "within minutes, for heat; a row for each charge, a column for each temperature",
    "cell": "id of its cell",
    "groups_series": "groups in series",
    "cells_parallel": "cells in each group",
    "resistance_links": "of all links and terminals inside, from terminal to terminal",
    "stock": "new, surplus (never used) or salvaged (used)",
    "health": "measured share of the capacity when new that is left",
    "coolant_channels": "whether coolant can flow through it",
    "upright_only": "whether its height must stay vertical",
    "temperature_sensors": "sensors that it needs or has",
    "terminal": "how it is bolted, in words",
    "channels_per_board": "cell groups that one board watches",
    "board_mass": "mass of one board",
    "board_price": "price of one board; left out where `price` is that of the whole set",
    "boards_most": "greatest number of boards",
    "sensors_per_board": "temperature sensors on one board",
    "chemistries": "chemistries that its settings allow",
    "cell_voltage_min": "lowest cell voltage that it reads",
    "cell_voltage_max": "highest cell voltage that it reads",
    "voltage_max": "greatest direct voltage",
    "balancing_current": "of one channel",
    "supply_power": "taken from the low-voltage side",
    "measures_current": "whether it has a current sensor",
    "accuracy": "greatest error of a cell voltage, as a share of it",
    "principle": "how it makes torque",
    "power_peak": "mechanical, for `power_peak_time`",
    "power_peak_time": "how long the peak is allowed, begun at the temperature of coolant or surroundings",
    "power_continuous": "mechanical, as long as you like",
    "torque_peak": "at the motor's own shaft, ahead of a built-in reduction",
    "torque_continuous": "at the motor's own shaft, ahead of a built-in reduction",
    "speed_max": "of the motor's own shaft",
    "efficiency_best": "at its best point",
    "torque_curve_peak": "peak torque over speed at `voltage_nominal`",
    "torque_curve_continuous": "continuous torque over speed at `voltage_nominal`",
    "efficiency_points": "efficiency of the motor alone at points of speed and torque, in any order",
    "efficiency_map": "in place of `efficiency_points`, a full grid: a row for each speed, a column for each torque",
    "motor.current_phase_peak": "rms, at which the peak torque is reached",
    "motor.current_phase_continuous": "rms, at which the continuous torque is reached",
    "rotor_inertia": "moment of inertia of all that turns in the motor",
    "back_emf": "V rms, line to line, for each 1000 rpm",
    "pole_pairs": "pairs of poles",
    "built_in_ratio": "motor speed over output speed, where a reduction is built in",
    "cooling": "how its heat is carried off",
    "coolant_flow": "flow at which the continuous figures hold",
    "temperature_max": "hottest surroundings",
    "motor.temperature_max": "hottest winding",
    "cable.temperature_max": "hottest conductor",
    "voltage_min": "lowest direct voltage at which it works",
    "current_dc_peak": "greatest from the pack",
    "current_dc_continuous": "from the pack, as long as you like",
    "charger.current_dc_max": "greatest to the pack",
    "inlet.current_dc_max": "greatest through the direct-current pins",
    "current_phase_peak": "rms, greatest in one phase",
    "current_phase_continuous": "rms in one phase, as long as you like",
    "efficiency": "typical over a journey",
    "gear-unit.efficiency": "at a middling torque, warm",
    "charger.efficiency": "from wall to pack at full power",
    "dc-dc.efficiency": "from pack to low voltage at half power",
    "capacitance": "across its direct-current terminals",
    "discharge_resistor": "built in across its direct-current terminals",
    "idle_power": "from the pack, while it is on and the motor makes no torque",
    "torque_rise": "from no torque to full torque",
    "isolated": "whether traction and low voltage are apart inside",
    "charger.isolated": "whether mains and pack are apart inside",
    "reverses": "whether it turns the motor backwards; where this is not said, one of alternating current does and a chopper does not",
    "motor_current": "what it gives the motor: three phases, or direct current for a series-wound motor",
    "ratios": "speed in over speed out, lowest gear first, at most 6",
    "torque_in_max": "greatest at its input",
    "speed_in_max": "greatest at its input",
    "reverse": "whether it has a reverse gear",
    "differential": "whether it drives two half shafts",
    "power": "electrical power taken",
    "charger.power": "greatest power to the pack",
    "dc-dc.power": "greatest power to the low-voltage side",
    "heater.power": "greatest heat",
    "phases": "phases of the mains",
    "current_ac_max": "rms, greatest in one phase of the mains",
    "power_single_phase": "greatest power to the pack on one phase, if not its part of the whole",
    "current_single_phase": "rms, greatest from the mains on one phase, if not that of each phase",
    "standard": "pattern of IEC 62196",
    "voltage_dc_max": "greatest between the direct-current pins",
    "voltage_out": "on the low-voltage side",
    "standing_power": "taken from the pack while the car is parked",
    "bms.standing_power": "taken from the low-voltage side while the car is parked",
    "medium": "what it warms",
    "technology": "how it is made",
    "pump.pressure": "`value` in kPa over flow",
    "fan.pressure": "`value` in Pa over flow",
    "depth": "of the core",
    "conductance": "heat shed for each kelvin between coolant and air, at 3 m/s of air",
    "conductance_over_flow": "`value` in W/K over coolant flow, at 3 m/s of air",
    "flow_free": "without anything in its way",
    "current_break_max": "greatest that it breaks",
    "current_make_max": "greatest onto which it may close",
    "coil_power": "while it holds",
    "polarised": "whether it breaks in one direction only",
    "auxiliary_contact": "whether it reports its position",
    "terminal_torque": "to which its bolts are tightened; only ever from the maker",
    "time_constant": "L/R of the circuit at which it breaks `voltage_max`",
    "current_rated": "rated current",
    "current_break_min": "smallest that it breaks",
    "melting": "time to melt over current, from cold",
    "utilisation": "full range breaks every current that melts it; partial range only short circuits",
    "cross_section": "of the conductor",
    "cable.mass": "of one metre",
    "cable.price": "of one metre, without tax, with an ISO 4217 code",
    "resistance": "of one metre at 20 °C",
    "conductor": "of what it is made",
    "shielded": "whether it has a shield",
    "orange": "whether its covering is orange",
    "threshold": "resistance below which it warns",
    "response_time": "until it warns",
    "fused": "whether it holds a fuse",
    "interlock": "whether it breaks the interlock loop first",
}

HEAD = """\
# Parts and their fields

Each part has one datasheet in this form, in the shipped catalogue and in the workshop's own folder `parts` alike.
Every quantity is written with its unit; other units of the same kind are read too. The shipped parts are invented:
their values are typical of the trade and belong to no maker. This page is made by `tools/make_parts_page.py`.

A quantity may also be written with how it is known, such as `{value: 46 Ah, how: measured, note: bench test}`.
Tables are lists of the same length under the names of their columns; a resistance table has a row for each charge.
"""


def meaning(kind: str, field: str) -> str:
    return MEANING.get(f"{kind}.{field}") or MEANING[field]


def written_as(info: FieldInfo) -> str:
    """Unit, choices or columns of a field."""
    quantity, columns, kind = expected(info), table_of(info), bare(info)[0]
    if quantity:
        return {"1": "plain number", "currency": "money"}.get(quantity.unit, quantity.unit)
    if columns:
        return "table of " + ", ".join(f"`{column}`" for column in columns.model_fields)
    if is_list(info):
        item = get_args(kind)[0]
        return "list of " + ", ".join(f"`{each}`" for each in get_args(item)) if _is_choice(item) else "list of numbers"
    if _is_choice(kind):
        return " or ".join(f"`{each}`" for each in get_args(kind))
    plain = {bool: "`true` or `false`", int: "whole number", float: "number", str: "text"}
    return plain.get(kind, "mapping")


def _is_choice(kind: object) -> bool:
    return get_origin(kind) is Literal


def rows(kind: str, fields: dict[str, FieldInfo]) -> list[str]:
    table = ["| field | written as | needed | meaning |", "| --- | --- | --- | --- |"]
    for name, info in fields.items():
        table.append(f"| `{name}` | {written_as(info)} | {needed(info)} | {meaning(kind, name)} |")
    return table


def needed(info: FieldInfo) -> str:
    """Whether a field must be there, or what it is where it is left out."""
    if info.is_required():
        return "yes"
    default = str(info.default).lower() if isinstance(info.default, bool) else info.default
    return f"else `{default}`" if default else ""


def page() -> str:
    """The whole page."""
    every = {name: info for name, info in Part.model_fields.items() if name not in ("mass", "kind")}
    lines = [HEAD, "## Every part", "", *rows("part", every), ""]
    for kind, schema in KINDS.items():
        fields = own_fields(schema)
        words = (schema.__doc__ or "").strip().splitlines()[0]
        lines += [f"## {kind}", "", words, ""]
        if kind in PROTECTIVE:
            lines += ["It protects people: an invented or estimated rating marks every paper NOT FOR BUILDING.", ""]
        lines += [*rows(kind, {"mass": schema.model_fields["mass"], **fields}), ""]
    return "\n".join(lines).rstrip() + "\n"


def main() -> int:
    made = page()
    if "--check" in sys.argv[1:]:
        current = PAGE.exists() and PAGE.read_text(encoding="utf-8") == made
        print("docs/reference/parts.md is up to date" if current else "run tools/make_parts_page.py")
        return 0 if current else 1
    PAGE.parent.mkdir(parents=True, exist_ok=True)
    PAGE.write_text(made, encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
