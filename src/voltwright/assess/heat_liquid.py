"""Motor, inverter and what flows: what they sustain, which flow of coolant and which radiator they need, and what is fitted."""

from __future__ import annotations

from voltwright.assess.case import Case
from voltwright.assess.heat_boxes import radiators_of
from voltwright.assess.motor_model import continuous_power, continuous_torque, motor_model
from voltwright.assess.sheet import CONDITION, Sheet, assumed, assumed_between, constant
from voltwright.kernels import warmth
from voltwright.parts.drive import Inverter, Motor
from voltwright.parts.power import Pump
from voltwright.physics import air, charging, coolant, exchanger, forced_flow, heat_paths, motor, pipe_flow
from voltwright.quantity.provenance import Origin
from voltwright.quantity.source import Source
from voltwright.quantity.table import Curve
from voltwright.quantity.work import Node, greatest, leaf, least, total, work

LIQUID = ("heat.coolant_flow", "heat.radiator", "heat.coolant_flow_fitted", "heat.radiator_fitted")
HOUR = 3600.0
LITRE_PER_MINUTE = 1e-3 / 60
AT_FLOW = 10 * LITRE_PER_MINUTE  # m³/s: flow at which what the loop takes is reckoned
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
        power=work(
            motor.power_at_voltage,
            "What the motor can at the pack's voltage",
            power=continuous_power(case, drive),
            voltage=sheet.nodes["pack.voltage_nominal"],
            voltage_nominal=case.leaf(drive.voltage_nominal, "Nominal voltage of the motor"),
        ),
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


def cooled_by_liquid(case: Case) -> bool:
    return any(part is not None and part.cooling == "liquid" for part in (case.motor, case.inverter, case.build.pack))


def assess_liquid(case: Case, sheet: Sheet, worst: Node) -> None:
    """Flow and radiator that are needed, and those that are fitted."""
    if not cooled_by_liquid(case):
        for key in LIQUID:
            sheet.lack(key, NOTHING_FLOWS)
        return
    heat = _heat(case, worst)
    warm = constant(313.15, "°C", "Coolant", CONDITION, "T")
    mix = _mix(warm)
    rise = assumed_between("Coolant becomes warmer by", "K", "usual: 5 to 10 K from inlet to outlet", 5.0, 10.0)
    flow = work(
        heat_paths.flow_for_heat, "Flow for the heat", heat=heat, density=mix["density"],
        specific_heat=mix["specific_heat"], rise=rise,
    )  # fmt: skip
    asked = case.motor.coolant_flow if case.motor is not None else None
    flows = [flow] if asked is None else [flow, case.leaf(asked, "Flow that the motor's datasheet asks for")]
    sheet.add("heat.coolant_flow", flow if asked is None else greatest("Flow that is needed", flows, "l/min"))
    hottest = case.leaf(case.build.duty.climate.hottest, "Hottest design day", "°C")
    room = work(heat_paths.room_left, "Coolant above the air", limit=_warmest_coolant(case), peak=hottest)
    if room.value > 0.0:
        sheet.add("heat.radiator", work(exchanger.conductance_needed, "Radiator", heat=heat, difference=room))
    else:
        sheet.lack("heat.radiator", NO_ROOM)
    _fitted(case, sheet, mix)


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
        terms.append(
            work(warmth.steady_heat_of, "Heat of the cells in the hardest ten minutes of the worst duty", warmth=worst)
        )
    return total("Heat into the coolant", terms, "W")


def _warmest_coolant(case: Case) -> Node:
    """How warm the coolant may be where it leaves the last of what it cools."""
    limits: list[Node] = []
    if any(part is not None and part.cooling == "liquid" for part in (case.motor, case.inverter)):
        reason = "usual limit of inverters at their inlet, and some kelvin more behind them; read the datasheet"
        limits.append(assumed_between("Warmest coolant of motor and inverter", "°C", reason, 333.15, 343.15))
    if case.build.pack.cooling == "liquid":
        reason = "the plate is that much colder than the cells at their limit"
        below = assumed_between("Coolant below the cells", "K", reason, 8.0, 20.0)
        cell = case.leaf(case.cell.temperature_discharge_max, "Warmest cell that may be discharged", "°C")
        limits.append(work(heat_paths.less_warm, "Warmest coolant of the pack", temperature=cell, less=below))
    return least("Warmest coolant", limits, "°C")


def _mix(warm: Node) -> dict[str, Node]:
    """Coolant of half glycol at a temperature."""
    half = constant(0.5, "%", "Glycol by mass", "usual of cars: safe to -35 °C", "w")
    given = {"glycol": half, "temperature": warm}
    return {
        "density": work(coolant.mix_density, "Density of the coolant", **given),
        "specific_heat": work(coolant.mix_specific_heat, "Specific heat of the coolant", **given),
        "viscosity": work(coolant.mix_viscosity, "Viscosity of the coolant", **given),
    }


def _fitted(case: Case, sheet: Sheet, mix: dict[str, Node]) -> None:
    """Where the pump and the loop agree, and what the radiators shed at that flow."""
    pumps = [part for each in case.build.fitted for part in [case.shelf.any(each.part)] if isinstance(part, Pump)]
    if not pumps:
        for key in LIQUID[2:]:
            sheet.lack(key, "no coolant pump is fitted (fitted)")
        return
    pump = pumps[0]
    lifts = Curve(
        tuple(each * LITRE_PER_MINUTE for each in pump.pressure.litre_per_minute),
        tuple(each * 1000.0 for each in pump.pressure.value),
        f"pressure of {pump.title} over its flow",
    )
    origin = Origin(
        "datasheet", where=f"{pump.id}: pressure", source=Source(pump.source), grade=pump.grade_of("pressure")
    )
    flow = work(
        pipe_flow.flow_of_pump, "Flow", curve=leaf(lifts, "kPa", str(lifts), origin), drop=_loop(mix),
        at_flow=constant(AT_FLOW, "l/min", "Flow at which the loop is reckoned", CONDITION),
    )  # fmt: skip
    made = sheet.add("heat.coolant_flow_fitted", flow)
    radiators = radiators_of(case)
    if not radiators:
        sheet.lack("heat.radiator_fitted", "no radiator is fitted (fitted)")
        return
    sheds: list[Node] = []
    for each in radiators:
        table = each.conductance_over_flow
        if table is None:
            sheds.append(case.leaf(each.conductance, each.title))
            continue
        curve = Curve(
            tuple(at * LITRE_PER_MINUTE for at in table.litre_per_minute),
            tuple(table.value),
            f"{each.title} over the flow",
        )
        place = Origin(
            "datasheet", where=f"{each.id}: conductance_over_flow", source=Source(each.source),
            grade=each.grade_of("conductance_over_flow"),
        )  # fmt: skip
        sheds.append(work(exchanger.radiator_at, each.title, flow=made, curve=leaf(curve, "W/K", str(curve), place)))
    sheet.add("heat.radiator_fitted", total("Radiators", sheds, "W/K"))


def _loop(mix: dict[str, Node]) -> Node:
    """Pressure that hoses and devices take at 10 l/min."""
    area = constant(3.14159265 / 4 * 0.016**2, "mm²", "Section of a 16 mm hose", "usual size")
    flow = constant(AT_FLOW, "l/min", "Flow at which the loop is reckoned", CONDITION)
    bore = constant(0.016, "mm", "Bore of the hose", "usual size", "D")
    speed = work(pipe_flow.speed_in, "Speed in the hose", flow=flow, area=area)
    thick = work(
        air.kinematic_viscosity,
        "Kinematic viscosity of the coolant",
        viscosity=mix["viscosity"],
        density=mix["density"],
    )
    number = work(forced_flow.reynolds, "Reynolds number in the hose", speed=speed, length=bore, viscosity=thick)
    share = work(pipe_flow.turbulent_share, "Turbulent share", reynolds=number)
    friction = work(pipe_flow.darcy_friction, "Friction", reynolds=number, turbulent=share)
    hose = work(
        pipe_flow.pressure_drop, "Pressure that the hoses take", friction=friction, diameter=bore, density=mix["density"],
        speed=speed, length=assumed("Length of all hoses", "m", "from the nose to the drive and back", 6.0, 2.0),
        fittings=assumed("Bends and connectors", "1", "ten of them, about 1 each", 10.0, 4.0),
    )  # fmt: skip
    reason = "motor, inverter and radiator in a row at 10 l/min: 3 to 8 kPa each; read their datasheets"
    return total(
        "Pressure of the loop", [hose, assumed_between("Pressure that devices take", "kPa", reason, 9e3, 24e3)], "kPa"
    )
