"""What stands at the terminals of the pack at a charge and a temperature; and what the drive draws and gives back there."""

from __future__ import annotations

import math
from dataclasses import dataclass

from voltwright.assess.case import celsius
from voltwright.physics import cell as law
from voltwright.physics.charging import charging_current
from voltwright.rules.finding import Assessed

MILD = celsius(25)
HALF = 0.5
NO_LIMIT = 1e9  # V or A; a law takes no infinity


@dataclass(frozen=True)
class Terminals:
    """A source behind a resistance: voltage at rest (V) and the resistance of ten seconds (Ω)."""

    rest: float
    ohm: float

    def under(self, current: float) -> float:
        """Voltage while a current is drawn. [V]"""
        return self.rest - self.ohm * current

    def charged_with(self, current: float) -> float:
        """Voltage while a current flows in. [V]"""
        return self.rest + self.ohm * current

    def current_for(self, power: float) -> float | None:
        """Current that gives a power, or None where no current gives it. [A]"""
        if power > law.matched_power(rest_voltage=self.rest, resistance=self.ohm):
            return None
        return float(law.current_for_power(rest_voltage=self.rest, resistance=self.ohm, power=power))


def terminals(seen: Assessed, charge: float, kelvin: float = MILD, *, short: bool = False) -> Terminals:
    """The pack at a charge and a temperature of its cells. `short`: the resistance of milliseconds where it is known."""
    known = {name: float(node.value) for name, node in seen.sheet.nodes["pack.resistance"].inputs.items()}
    at_once = seen.case.cell.resistance_ms if short else None
    grid = at_once.grid("resistance of a cell at once") if at_once else seen.case.resistance_10s.value
    each = law.open_circuit_voltage(charge=charge, table=seen.case.open_circuit.value)
    known["cell_ohm"] = float(law.cell_resistance(charge=charge, temperature=kelvin, table=grid))
    return Terminals(float(each) * known["cells_series"], float(law.pack_resistance(**known)))


def drive_power(seen: Assessed, *, peak: bool = False) -> float | None:
    """What the motor's continuous or peak power asks of the pack; None without motor or inverter. [W]"""
    motor, inverter = seen.case.motor, seen.case.inverter
    if motor is None or inverter is None:
        return None
    return law.power_from_pack(
        shaft_power=(motor.power_peak if peak else motor.power_continuous).value,
        motor_efficiency=motor.efficiency_best.value,
        inverter_efficiency=inverter.efficiency.value,
    )


def peak_draw(seen: Assessed) -> float | None:
    """What the drive may draw for ten seconds, half full and mild: by its power, the inverter, or what the BMS is set to. [A]"""
    power, inverter = drive_power(seen, peak=True), seen.case.inverter
    if power is None or inverter is None:
        return None
    by_power, limit = terminals(seen, HALF).current_for(power), seen.case.build.pack.bms.current_limit
    return min(by_power or math.inf, inverter.current_dc_peak.value, limit.value if limit else math.inf)


def power_given_back(seen: Assessed) -> float | None:
    """The most that the braking motor gives back; None where it does not brake. [W]"""
    node = seen.sheet.nodes.get("drive.regen_power")
    if node is None or seen.case.build.drive.regeneration.share.value <= 0.0:
        return None
    return float(node.inputs["current"].inputs["power"].value)


def current_given_back(pack: Terminals, power: float, limit: float) -> float:
    """What flows into the pack, with no limit of voltage. [A]"""
    return float(
        charging_current(limit=limit, power=power, most_voltage=NO_LIMIT, rest_voltage=pack.rest, resistance=pack.ohm)
    )
