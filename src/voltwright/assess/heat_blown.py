"""Cooling by air: what must go through the boxes, and what their fans blow."""

from __future__ import annotations

import math

from voltwright.assess.case import Case
from voltwright.assess.heat_boxes import Boxes, air_past_modules, modules_of
from voltwright.assess.heat_duties import Duty
from voltwright.assess.heat_radiator import box_fans
from voltwright.assess.sheet import Sheet
from voltwright.kernels import blown
from voltwright.physics import battery_box
from voltwright.quantity.work import Node, work

AIR = ("heat.air_flow", "heat.air_flow_fitted")
NO_AIR = "the pack needs no forced air, and none is planned (pack.cooling)"
NOT_ENOUGH = (
    f"not even {blown.MOST_AIR * 3600:.0f} m³/h of outside air past each module keep the cells below their limit"
)


def assess_air(case: Case, sheet: Sheet, duty: Duty, cells: dict[str, Node], packs: Boxes) -> None:
    """The air that the boxes need on the duty that is worst with air, and what the fans of the boxes blow."""
    fitted = case.build.pack.cooling == "air"
    if not fitted and round(sheet.nodes["heat.verdict"].value) != 1:
        for key in AIR:
            sheet.lack(key, NO_AIR)
        return
    each = work(
        blown.air_needed, f"Air past each module: {duty.title}", stream=duty.stream, frames=packs.frames(), start=duty.start,
        outside=duty.outside, limit=duty.limit, **cells,
    )  # fmt: skip
    if math.isnan(each.value):
        sheet.lack("heat.air_flow", NOT_ENOUGH)
    else:
        sheet.add("heat.air_flow", work(battery_box.flow_of_modules, "Air", each=each, modules=modules_of(case)))
    if not fitted:
        sheet.lack("heat.air_flow_fitted", NO_AIR)
    elif not box_fans(case):
        sheet.lack("heat.air_flow_fitted", "no fan of a box is fitted (fitted)")
    else:
        blows = work(
            battery_box.flow_of_modules, "Air of the fans", each=air_past_modules(case), modules=modules_of(case)
        )
        sheet.add("heat.air_flow_fitted", blows)
