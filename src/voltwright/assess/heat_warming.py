"""Warming a cold pack: energy and time of the pack heater from the coldest day to where the cells may be charged."""

from __future__ import annotations

from voltwright.assess.case import Case
from voltwright.assess.sheet import Sheet, constant
from voltwright.parts.power import Heater
from voltwright.physics import heat_paths
from voltwright.quantity.work import Node, work

WARMING = ("heat.heater_energy", "heat.heater_time")
NEVER = 1.0 - 1e-12


def assess_warming(case: Case, sheet: Sheet) -> None:
    """Enter the figures of the pack heater."""
    target, coldest = warm_enough(case), case.leaf(case.build.duty.climate.coldest, "Coldest design day", "°C")
    heater = case.build.comfort.pack_heater
    why = ""
    if coldest.value >= target.value:
        why = "on the coldest design day the cells are warm enough to be charged"
    elif heater is None:
        why = "no pack heater is fitted (comfort.pack_heater)"
    if why or heater is None or sheet.simulated is None:
        for key in WARMING:
            sheet.lack(key, why)
        return
    part, car = case.shelf.take(heater.part, Heater), sheet.simulated.car
    rise = work(heat_paths.rise_to, "How much warmer the cells must become", start=coldest, target=target)
    power = case.leaf(part.power, f"Power of {part.title}")
    shed = car.inputs["heat_loss"]
    if power.value <= shed.value * rise.value:
        for key in WARMING:
            sheet.lack(key, "the pack sheds as much as the heater gives before the cells are warm enough")
        return
    time = work(
        heat_paths.warming_time,
        "Time",
        heat_capacity=car.inputs["heat_capacity"],
        shed=shed,
        rise=rise,
        power=power,
        never=constant(NEVER, "%", "Share of the warmth that is never reached", "of the model"),
    )
    sheet.add("heat.heater_time", time)
    sheet.add("heat.heater_energy", work(heat_paths.energy_of_power, "Energy", power=power, time=time))


def warm_enough(case: Case) -> Node:
    """The temperature from which the cells are charged: what is asked for, else the coldest that they bear."""
    wish, bears = case.build.charging.target_temperature, case.cell.temperature_charge_min
    if wish is not None and wish.value > bears.value:
        return case.leaf(wish, "Cells are brought to this temperature for charging", "°C")
    return case.leaf(bears, "Coldest cell that may be charged", "°C")
