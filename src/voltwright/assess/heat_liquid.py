"""Motor, inverter and what flows: what they sustain, which flow of coolant and which radiator they need, and what is fitted."""

from __future__ import annotations

from voltwright.assess.case import Case
from voltwright.assess.heat_boxes import Boxes, modules_of
from voltwright.assess.heat_loop import Loop, cooled_by_liquid, drive_by_liquid
from voltwright.assess.heat_radiator import Radiators, radiators_of
from voltwright.assess.motor_model import continuous_here, continuous_power, continuous_torque, motor_model
from voltwright.assess.sheet import CONDITION, Sheet, assumed_between, constant
from voltwright.kernels import warmth
from voltwright.parts.drive import Inverter, Motor
from voltwright.physics import battery_box, charging, exchanger, heat_paths, motor, pipe_flow
from voltwright.quantity.work import Node, greatest, least, total, work

RADIATORS = ("heat.radiator_fitted", "heat.radiator_standing")
FITTED_PARTS = ("heat.coolant_flow_fitted", "heat.pump_head_fitted", *RADIATORS)
LIQUID = ("heat.coolant_flow", "heat.pump_head", "heat.radiator", *FITTED_PARTS)
HOUR = 3600.0
NOTHING_FLOWS = "nothing of motor, inverter and pack is cooled by liquid"
NO_ROOM = "the hottest design day is as warm as the coolant may be: no radiator cools it"
LEAST_ROOM = 20.0  # K: a winding that bears less above what its rating is for was not meant by the datasheet


def assess_motor(case: Case, sheet: Sheet) -> None:
    """Power of the shaft that motor and inverter give for an hour on the hottest day."""
    key, drive, inverter = "heat.motor_sustained", case.motor, case.inverter
    if drive is None or inverter is None:
        sheet.lack(key, sheet.reasons.get("drive.power_peak", "the build names no motor or no inverter"))
        return
    hottest = case.leaf(case.build.duty.climate.hottest, "Hottest design day", "°C")
    around, rated = hottest, constant(313.15, "°C", "Air for which the motor is rated", "usual of ratings", "T")
    if drive.cooling == "liquid":
        reason = "coolant of a drive above the air; log it"
        around = total(
            "Coolant at the motor", [hottest, assumed_between("Coolant above the air", "K", reason, 10.0, 25.0)]
        )
        rated = assumed_between("Coolant for which the motor is rated", "°C", "usual of datasheets", 323.15, 343.15)
    limit = _warmest_winding(case, drive, rated)
    time = constant(HOUR, "s", "Time", CONDITION, "t")
    by_motor = work(
        heat_paths.power_for_time,
        "by the motor",
        power=continuous_here(case, sheet, drive),
        room=work(heat_paths.room_left, "Room above coolant or air", limit=limit, peak=around),
        rated_room=work(heat_paths.room_left, "Room for which it is rated", limit=limit, peak=rated),
        time=time,
        heating=motor_model(case, drive, inverter)["heating"],
    )
    sheet.add(key, least("Shaft power for an hour", [by_motor, _by_inverter(case, sheet, drive, inverter)], "kW"))


def _warmest_winding(case: Case, drive: Motor, rated: Node) -> Node:
    """That of the datasheet, unless it cannot be the winding's: no rating goes with so little room."""
    label, reason = "Warmest winding that the motor bears", "insulation of class F or H; read the datasheet"
    if drive.temperature_max is not None:
        entered = case.leaf(drive.temperature_max, label, "°C")
        if entered.value > rated.value + LEAST_ROOM:
            return entered
        reason = (
            f"insulation of class F or H; the {drive.temperature_max.text} of the datasheet are less than 20 K above what the motor "
            "is rated for, and so not the winding's"
        )
    return assumed_between(label, "°C", reason, 413.15, 453.15)


def _by_inverter(case: Case, sheet: Sheet, drive: Motor, inverter: Inverter) -> Node:
    """What the inverter's continuous current makes of the shaft's power."""
    current = case.leaf(inverter.current_dc_continuous, "Continuous current of the inverter")
    power = work(
        charging.power_of_station, "Into the inverter", voltage=sheet.nodes["pack.voltage_nominal"], current=current
    )
    best = case.leaf(drive.efficiency_best, "Best efficiency of the motor", "%")
    through = work(
        charging.power_behind_charger, "Out of the inverter", wall_power=power,
        efficiency=case.leaf(inverter.efficiency, "Efficiency of the inverter", "%"),
    )  # fmt: skip
    return work(charging.power_behind_charger, "by the inverter", wall_power=through, efficiency=best)


def assess_liquid(case: Case, sheet: Sheet, worst: Node, packs: Boxes) -> None:
    """Flow, pressure and radiator that are needed, and those that are fitted."""
    if not cooled_by_liquid(case):
        for key in LIQUID:
            sheet.lack(key, NOTHING_FLOWS)
        return
    loop, heat = packs.radiators.loop, _heat(case, worst)
    rise = assumed_between("Coolant becomes warmer by", "K", "usual: 5 to 10 K from inlet to outlet", 5.0, 10.0)
    flow = work(
        heat_paths.flow_for_heat, "Flow for the heat", heat=heat, density=loop.mix["density"],
        specific_heat=loop.mix["specific_heat"], rise=rise,
    )  # fmt: skip
    asked = case.motor.coolant_flow if case.motor is not None else None
    flows = [flow] if asked is None else [flow, case.leaf(asked, "Flow that the motor's datasheet asks for")]
    needed = sheet.add("heat.coolant_flow", flow if asked is None else greatest("Flow that is needed", flows, "l/min"))
    sheet.add("heat.pump_head", loop.drop(needed))
    hottest = case.leaf(case.build.duty.climate.hottest, "Hottest design day", "°C")
    warmest = _warmest_coolant(case, needed, worst, packs, loop)
    room = work(heat_paths.room_left, "Coolant above the air", limit=warmest, peak=hottest)
    if room.value > 0.0:
        sheet.add("heat.radiator", work(exchanger.conductance_needed, "Radiator", heat=heat, difference=room))
    else:
        sheet.lack("heat.radiator", NO_ROOM)
    _fitted(sheet, needed, packs.radiators)


def _heat(case: Case, worst: Node) -> Node:
    """What motor, inverter and pack give to the coolant: the drive at its continuous rating, the pack on its worst duty."""
    terms: list[Node] = []
    drive, inverter = case.motor, case.inverter
    if drive is not None and inverter is not None:
        model = motor_model(case, drive, inverter)
        power, torque = continuous_power(case, drive), continuous_torque(case, drive, inverter)
        turning = work(motor.base_speed, "Speed at the rating", power=power, torque=torque)
        idle = work(
            motor.idle_loss, "Loss of the turning motor", iron=model["iron"], windage=model["windage"],
            constant=model["constant"], speed=turning,
        )  # fmt: skip
        electric = work(
            motor.motor_input, "Into the motor", torque=torque, speed=turning, copper=model["copper"], idle=idle
        )
        taken = work(
            motor.inverter_input, "Into the inverter", power=electric, efficiency=model["inverter_efficiency"],
            idle=model["inverter_idle"],
        )  # fmt: skip
        if drive.cooling == "liquid":
            terms.append(
                work(heat_paths.heat_left, "Heat of the motor at its continuous rating", taken=electric, given=power)
            )
        if inverter.cooling == "liquid":
            terms.append(work(heat_paths.heat_left, "Heat of the inverter then", taken=taken, given=electric))
    if case.build.pack.cooling == "liquid":
        terms.append(_heat_of_cells(worst))
    return total("Heat into the coolant", terms, "W")


def _heat_of_cells(worst: Node) -> Node:
    return work(warmth.steady_heat_of, "Heat of the cells in the hardest ten minutes of the worst duty", warmth=worst)


def _warmest_coolant(case: Case, flow: Node, worst: Node, packs: Boxes, loop: Loop) -> Node:
    """How warm the coolant may be where it leaves the last of what it cools, at a flow."""
    limits: list[Node] = []
    if drive_by_liquid(case):
        reason = "usual limit of inverters at their inlet, and some kelvin more behind them; read the datasheet"
        limits.append(assumed_between("Warmest coolant of motor and inverter", "°C", reason, 333.15, 343.15))
    if case.build.pack.cooling == "liquid":
        through = work(
            battery_box.cells_to_coolant, "From the cells through their plates to the coolant", modules=modules_of(case),
            inside=packs.inside, plate=loop.plate(flow), length=case.leaf(case.module.length, "Length of a module"),
            width=case.leaf(case.module.width, "Width of a module"),
        )  # fmt: skip
        below = work(
            heat_paths.step_of_heat, "Coolant below the cells", heat=_heat_of_cells(worst), conductance=through
        )
        limit = case.leaf(case.cell.temperature_discharge_max, "Warmest cell that may be discharged", "°C")
        limits.append(work(heat_paths.less_warm, "Warmest coolant of the pack", temperature=limit, less=below))
    return least("Warmest coolant", limits, "°C")


def spread_by_coolant(worst: Node, loop: Loop) -> Node:
    """How far apart cells on plates become: those of one box, and the first and the last along the coolant."""
    rise = work(
        heat_paths.step_of_heat, "Rise of the coolant along the pack", heat=_heat_of_cells(worst),
        conductance=loop.stream(loop.running_flow),
    )  # fmt: skip
    return total("Spread", [work(warmth.spread_of, "Spread at one place of the coolant", warmth=worst), rise], "K")


def _fitted(sheet: Sheet, needed: Node, radiators: Radiators) -> None:
    """Where the pumps and the loop agree, what they lift at the flow that is needed, and what the radiators shed."""
    loop = radiators.loop
    if loop.pumps is None or loop.fitted_flow is None:
        for key in FITTED_PARTS:
            sheet.lack(key, "no coolant pump is fitted (fitted)")
        return
    sheet.add("heat.coolant_flow_fitted", loop.fitted_flow)
    sheet.add("heat.pump_head_fitted", work(pipe_flow.head_at, "Pressure of the pumps", flow=needed, curve=loop.pumps))
    if not radiators_of(radiators.case):
        for key in RADIATORS:
            sheet.lack(key, "no radiator is fitted (fitted)")
        return
    sheet.add("heat.radiator_fitted", radiators.climbing)
    sheet.add("heat.radiator_standing", radiators.standing)
