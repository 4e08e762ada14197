"""Warming a cold pack: energy and time of the pack heater from the coldest day to where the cells may be charged."""

from __future__ import annotations

from voltwright.assess.case import Case
from voltwright.assess.charge_cold import coldest_night, heated, pack_heater, warm_enough
from voltwright.assess.sheet import Sheet
from voltwright.physics import charging_cold as law
from voltwright.quantity.work import work

WARMING = ("heat.heater_energy", "heat.heater_time")


def assess_warming(case: Case, sheet: Sheet) -> None:
    """Enter the figures of the pack heater: the same warming as before a charge, at a supply that gives all that it takes."""
    warmth, heater = coldest_night(case), pack_heater(case)
    target = warm_enough(case, warmth)
    if warmth.start.value >= target.value:
        _lack(sheet, "on the coldest design day the cells are warm enough to be charged")
    elif heater is None:
        _lack(sheet, "no pack heater is fitted (comfort.pack_heater)")
    else:
        power, share = heater
        _, time = heated(warmth, power, share, target)
        if isinstance(time, str):
            _lack(sheet, time)
            return
        sheet.add("heat.heater_time", time)
        sheet.add("heat.heater_energy", work(law.heating_energy, "Energy", power=power, time=time))


def _lack(sheet: Sheet, why: str) -> None:
    for key in WARMING:
        sheet.lack(key, why)
