"""What a supply lets into the pack: the least of socket, pilot, cable, inlet and charger, or of station and inlet."""

from __future__ import annotations

import functools
from dataclasses import dataclass

from voltwright.assess.case import Case
from voltwright.assess.pack import full_voltages
from voltwright.assess.sheet import Sheet, assumed, constant, counted
from voltwright.build.brief import Supply
from voltwright.parts.charge_coding import read_cable
from voltwright.parts.power import Charger, Inlet
from voltwright.physics import cell as cell_law
from voltwright.physics import charge_interface, charging
from voltwright.quantity.provenance import Origin
from voltwright.quantity.work import Node, leaf, least, work

STATION_LEAST, STATION_MOST = 200.0, 500.0  # V; common practice, no source
USUAL = "usual for a station; common practice, no source"


@dataclass(frozen=True)
class Limits:
    """Current and power into the pack, and the voltage that is held at the end; the last two only of a charger."""

    current: Node
    power: Node
    voltage: Node
    efficiency: Node | None = None
    charger_starts: Node | None = None

    @functools.cached_property
    def record(self) -> Node:
        return work(
            charging.charge_limits,
            "Limits of current, power and voltage",
            current=self.current,
            power=self.power,
            voltage=self.voltage,
        )


def inlet_of(case: Case) -> Inlet | None:
    named = case.build.charging.inlet
    return case.shelf.take(named, Inlet) if named else None


def has_dc_pins(inlet: Inlet | None) -> bool:
    return inlet is not None and inlet.standard.startswith("iec-62196-combined")


def limits_of(case: Case, sheet: Sheet, supply: Supply, index: int) -> Limits | str:
    """The limits of a supply, or the reason why nothing can be charged there."""
    return _direct(case, sheet, supply) if supply.kind == "dc" else _alternating(case, sheet, supply, index)


def _alternating(case: Case, sheet: Sheet, supply: Supply, index: int) -> Limits | str:
    charger, placed = case.charger, case.build.charging.charger
    if charger is None or placed is None:
        return "the build names no charger"
    if supply.voltage is None:
        return f"the voltage of the supply '{supply.name}' is not known (supplies.{index}.voltage)"
    count = counted(placed.count, "Chargers", "charging.charger.count")
    phases_each = least("Phases that each charger uses", _phases(case, supply, index, charger))
    drawn = _wall(case, supply, index, _line(case, supply, index, charger, count, phases_each))
    efficiency = case.leaf(charger.efficiency, "Efficiency of the charger", "%")
    behind = work(
        charging.power_behind_charger,
        "What the supply lets through to the pack",
        wall_power=drawn,
        efficiency=efficiency,
    )
    direct = work(
        cell_law.current_in_parallel,
        "Chargers, direct current",
        cells_parallel=count,
        cell_current=case.leaf(charger.current_dc_max, "Charger, direct current"),
    )
    return Limits(
        least("Most current into the pack", [direct, *_pack_currents(sheet)]),
        least("Most power into the pack", [_of_chargers(case, charger, count, phases_each), behind]),
        least(
            "Full voltage",
            [*full_voltages(case, sheet), case.leaf(charger.voltage_max, "Highest voltage of the charger")],
        ),
        efficiency,
        case.leaf(charger.voltage_min, "Lowest voltage of the charger"),
    )


def _phases(case: Case, supply: Supply, index: int, charger: Charger) -> list[Node]:
    inlet = inlet_of(case)
    known = [
        counted(supply.phases, "Phases of the supply", f"supplies.{index}.phases"),
        counted(charger.phases, "Phases of the charger", f"{charger.id}: phases"),
    ]
    return known + ([counted(inlet.phases, "Phases of the inlet", f"{inlet.id}: phases")] if inlet else [])


def _line(
    case: Case, supply: Supply, index: int, charger: Charger, count: Node, phases_each: Node
) -> tuple[Node, Node]:
    """Phases that all chargers use together, and the current of each."""
    inlet = inlet_of(case)
    together = work(
        cell_law.product,
        "Phases that the chargers could use",
        first=count,
        second=_phases(case, supply, index, charger)[1],
    )
    offered = [each for each in _phases(case, supply, index, charger) if each.label != "Phases of the charger"]
    phases = least("Phases that are used", [together, *offered])
    single = charger.current_single_phase if supply_is_single(phases_each, charger) else None
    own = case.leaf(single or charger.current_ac_max, "Charger, current from each phase")
    socket = case.leaf(supply.current, "Supply, current of each phase")
    limits = [socket, _pilot(socket), *_cable(case, supply, index)]
    limits += [case.leaf(inlet.current_ac_max, "Inlet, current of each phase")] if inlet else []
    limits.append(
        work(
            charging.line_current,
            "Chargers, current from each phase",
            count=count,
            phases_each=phases_each,
            current=own,
            phases=phases,
        )
    )
    return phases, least("Current from each phase", limits)


def supply_is_single(phases_each: Node, charger: Charger) -> bool:
    """Whether a charger for several phases gets only one."""
    return phases_each.value == 1 < charger.phases


def _pilot(socket: Node) -> Node:
    duty = work(charge_interface.pilot_duty, "Duty of the control pilot", current=socket)
    return work(charge_interface.pilot_current, "Offered by the control pilot", duty=duty)


def _cable(case: Case, supply: Supply, index: int) -> list[Node]:
    label = "Cable, by its coding"
    if supply.cable is not None:
        return [case.leaf(supply.cable, label)]
    code = read_cable(supply.cable_resistor.value) if supply.cable_resistor else None
    if code is None:
        return []
    origin = Origin("entered", f"supplies.{index}.cable_resistor", f"the coding of {code.ohm:g} Ω", code.source)
    return [leaf(code.current(supply.phases), "A", label, origin, symbol="I")]


def _wall(case: Case, supply: Supply, index: int, line: tuple[Node, Node]) -> Node:
    assert supply.voltage is not None
    voltage = case.leaf(supply.voltage, "Voltage of the supply, line to neutral")
    drawn = work(
        charge_interface.supply_power,
        "Power of the current that may be drawn",
        "kW",
        phases=line[0],
        voltage=voltage,
        current=line[1],
    )
    named = [case.leaf(supply.power, "Power of the supply", "kW")] if supply.power else []
    return least("Most power from the wall", [drawn, *named])


def _of_chargers(case: Case, charger: Charger, count: Node, phases_each: Node) -> Node:
    single = charger.power_single_phase if supply_is_single(phases_each, charger) else None
    own = counted(charger.phases, "Phases of the charger", f"{charger.id}: phases")
    return work(
        charging.power_of_chargers,
        "Chargers, power to the pack",
        count=count,
        power=case.leaf(single or charger.power, "Power of a charger"),
        phases_each=phases_each,
        phases_own=phases_each if single else own,
    )


def _pack_currents(sheet: Sheet) -> list[Node]:
    return [sheet.nodes["pack.current_charge"], sheet.nodes["pack.current_continuous"]]


def _direct(case: Case, sheet: Sheet, supply: Supply) -> Limits | str:
    inlet = inlet_of(case)
    why = why_no_pins(inlet)
    if why or inlet is None or inlet.current_dc_max is None:
        return why
    voltage = least("Full voltage", full_voltages(case, sheet))
    station = case.leaf(supply.current, "Station, direct current")
    pins = case.leaf(inlet.current_dc_max, "Inlet, direct current")
    power = (
        case.leaf(supply.power, "Power of the station")
        if supply.power
        else work(
            charging.power_of_station, "Station of which only the current is known", voltage=voltage, current=station
        )
    )
    cable = [case.leaf(supply.cable, "Cable of the station")] if supply.cable else []
    return Limits(least("Most current into the pack", [station, *cable, pins, *_pack_currents(sheet)]), power, voltage)


def why_no_pins(inlet: Inlet | None) -> str:
    """Why no direct current can come in from outside; empty where it can."""
    if inlet is None:
        return "the build names no inlet"
    if not has_dc_pins(inlet):
        return "the inlet has no pins for direct current"
    if inlet.current_dc_max is None or inlet.voltage_dc_max is None:
        return "the inlet's datasheet does not say what its pins for direct current bear"
    return ""


def fits_station(case: Case, sheet: Sheet, supply: Supply | None, rest_empty: Node) -> Node:
    """1 where a station can charge the pack by voltage, else 0; a usual station where none is named."""
    inlet = inlet_of(case)
    if why_no_pins(inlet) or inlet is None or inlet.voltage_dc_max is None:
        return constant(0.0, "1", "Direct-current charging", why_no_pins(inlet))
    lowest, highest = station_window(case, supply)
    pins = case.leaf(inlet.voltage_dc_max, "Highest direct voltage of the inlet")
    return work(
        charging.voltage_fits,
        f"Direct-current charging at the supply '{supply.name}'"
        if supply
        else "Direct-current charging at a usual station",
        empty_voltage=rest_empty,
        full_voltage=sheet.nodes["pack.voltage_full"],
        least_voltage=lowest,
        most_voltage=least("Highest direct voltage", [highest, pins]),
    )


def station_window(case: Case, supply: Supply | None) -> tuple[Node, Node]:
    """Lowest and highest voltage of a station, as entered or as usual."""
    least_entry, most_entry = (supply.voltage_min, supply.voltage_max) if supply else (None, None)
    low, high = "Lowest voltage of the station", "Highest voltage of the station"
    return (
        case.leaf(least_entry, low) if least_entry else assumed(low, "V", USUAL, STATION_LEAST),
        case.leaf(most_entry, high) if most_entry else assumed(high, "V", USUAL, STATION_MOST),
    )


def binding(node: Node) -> Node:
    """Which of several limits holds, followed down to the last."""
    while node.total == "least":
        node = min(node.inputs.values(), key=lambda each: each.value)
    return node
