"""Does the drive suit: what reaches the wheels, how fast the motor turns, what the old gearbox must bear?"""

from __future__ import annotations

from dataclasses import dataclass

from voltwright.assess.case import Case, celsius
from voltwright.assess.mass import marking_of
from voltwright.assess.motor_model import (
    braking_torque,
    continuous_power,
    continuous_torque,
    fastest_turning,
    idle_power,
    losses,
    peak_power,
    peak_torque,
)
from voltwright.assess.pack import (
    FOUR_FIFTHS,
    Arrangement,
    arrangement,
    drive_current,
    highest_voltage,
    least_voltage,
    resistance_at,
    rest_voltage_at,
)
from voltwright.assess.sheet import CONDITION, Sheet, assumed_between, constant
from voltwright.parts.drive import GearUnit, Inverter, Motor
from voltwright.physics import cell, charging, motor_fit
from voltwright.physics import cell_dynamics as dynamics
from voltwright.physics import motor as law
from voltwright.physics.cell_dynamics import REGEN_RAMP
from voltwright.quantity.provenance import Origin
from voltwright.quantity.work import Node, leaf, least, work

KEYS = (
    "drive.power_peak",
    "drive.power_continuous",
    "drive.wheel_torque_peak",
    "drive.gearbox_torque_used",
    "drive.regen_power",
    "drive.regen_power_cold",
    "drive.peak_time",
)


@dataclass(frozen=True)
class Gears:
    """Motor turns for one of the wheels in the lowest, the highest and every gear that is used, and what the gears leave."""

    lowest: Node
    highest: Node
    efficiency: Node
    every: tuple[Node, ...] = ()


def assess_drive(case: Case, sheet: Sheet) -> None:
    """Enter every figure of the question `drive` that needs no road."""
    motor, inverter = case.motor, case.inverter
    gears, why = gears_of(case)
    if motor is None or inverter is None:
        why = "the build names no motor" if motor is None else "the build names no inverter"
    if motor is None or inverter is None or gears is None:
        for key in KEYS:
            sheet.lack(key, why)
        return
    made = arrangement(case)
    shaft = shaft_powers(case, sheet, made, motor, inverter)
    for name in ("peak", "continuous"):
        wheels = work(
            law.power_at_wheels, f"{name} power at the wheels", power=shaft[name], efficiency=gears.efficiency
        )
        sheet.add(f"drive.power_{name}", wheels)
    torque = peak_torque(case, motor, inverter)
    made_torque = work(law.wheel_torque, "Torque", torque=torque, ratio=gears.lowest, efficiency=gears.efficiency)
    sheet.add("drive.wheel_torque_peak", made_torque)
    _gearbox(case, sheet, torque)
    _regeneration(case, sheet, made, motor, inverter)
    _peak_time(case, sheet, motor)


def gears_of(case: Case) -> tuple[Gears | None, str]:
    """The gears that are used, or why they are not known."""
    gearing, line = case.build.drive.gearing, case.build.donor.drive_line
    efficiency = case.leaf(gearing.efficiency, "Efficiency of the gears", "%")
    final = line.final_drive
    if gearing.way == "axle-drive":
        ratio = case.motor.built_in_ratio if case.motor else None
        if ratio is None:
            return None, "the motor's datasheet names no built-in ratio"
        node = case.leaf(ratio, "Built-in reduction")
        return Gears(node, node, efficiency, (node,)), ""
    if gearing.way == "gear-unit":
        if gearing.gear_unit is None:
            return None, "the build names no gear unit (drive.gearing.gear_unit)"
        unit = case.shelf.take(gearing.gear_unit.part, GearUnit)
        ratios, where = unit.ratios, f"{unit.id}: ratios"
        efficiency = case.leaf(unit.efficiency, "Efficiency of the gear unit", "%")
        final = 1.0 if unit.differential else final
    elif gearing.way == "gearbox-kept":
        ratios, where = line.gearbox.ratios, "donor.drive_line.gearbox.ratios"
        if not ratios:
            return None, "the ratios of the gearbox are not known (donor.drive_line.gearbox.ratios)"
    else:
        ratios, where = (1.0,), "drive.gearing.way: direct"
    if final is None:
        return None, "the final drive is not known (donor.drive_line.final_drive)"
    if gearing.fixed_gear is not None:
        if gearing.fixed_gear > len(ratios):
            return None, f"the gearbox has {len(ratios)} gears; drive.gearing.fixed_gear is {gearing.fixed_gear}"
        ratios = (ratios[gearing.fixed_gear - 1],)
    last = leaf(final, "1", "Final drive", Origin("entered", where="donor.drive_line.final_drive"), symbol="i_f")
    every = tuple(_total(value, where, last) for value in sorted(ratios, reverse=True))
    return Gears(every[0], every[-1], efficiency, every), ""


def _total(ratio: float, where: str, final: Node) -> Node:
    gear = leaf(ratio, "1", "Ratio of the gear", Origin("entered", where=where), symbol="i_g")
    return work(law.total_ratio, "Turns of the motor for one of the wheels", gear=gear, final=final)


def shaft_powers(case: Case, sheet: Sheet, made: Arrangement, motor: Motor, inverter: Inverter) -> dict[str, Node]:
    """Peak and continuous power at the motor's shaft, from a pack at 80 % charge and 25 °C."""
    mild = constant(celsius(25), "°C", "Cell temperature", CONDITION, "T")
    at = constant(FOUR_FIFTHS, "%", "Charge", CONDITION, "s")
    rest, resistance = rest_voltage_at(case, made, at), resistance_at(case, made, at, mild)
    limits = {
        "peak": drive_current(case, sheet, inverter),
        "continuous": least(
            "Current that the drive may draw continuously",
            [
                sheet.nodes["pack.current_continuous"],
                case.leaf(inverter.current_dc_continuous, "Inverter, direct current, continuous"),
            ],
        ),
    }
    rated = {"peak": (peak_power(case, motor), peak_torque(case, motor, inverter)),
             "continuous": (continuous_power(case, motor), continuous_torque(case, motor, inverter))}  # fmt: skip
    nominal = case.leaf(motor.voltage_nominal, "Nominal voltage of the motor")
    loss = losses(case, motor)
    powers: dict[str, Node] = {}
    for name, limit in limits.items():
        power, torque = rated[name]
        inputs = {"rest_voltage": rest, "resistance": resistance}
        floor = least_voltage(case, sheet)
        current = work(cell.greatest_current, "Current within every limit", limit=limit, least_voltage=floor, **inputs)
        direct = work(cell.power_at_current, "Power from the pack", current=current, **inputs)
        voltage = work(cell.terminal_voltage, "Voltage under that power", current=current, **inputs)
        shaft = _shaft_power(
            case, inverter, direct, work(law.base_speed, "Base speed", power=power, torque=torque), loss
        )
        can = work(law.power_at_voltage, "What the motor can", power=power, voltage=voltage, voltage_nominal=nominal)
        powers[name] = least(f"{name} power at the shaft", [shaft, can])
    return powers


def _shaft_power(case: Case, inverter: Inverter, direct: Node, speed: Node, loss: dict[str, Node]) -> Node:
    """What inverter and motor leave of the pack's power, at the speed up to which the motor gives its whole torque."""
    electric = work(
        law.inverter_output,
        "Power of the inverter",
        power=direct,
        efficiency=case.leaf(inverter.efficiency, "Efficiency of the inverter", "%"),
        idle=idle_power(case, inverter),
    )
    without = {name: loss[name] for name in ("iron", "windage", "constant")}
    idle = work(law.idle_loss, "What the motor loses without load", speed=speed, **without)
    torque = work(
        law.torque_for_power, "Torque of that power", power=electric, speed=speed, copper=loss["copper"], idle=idle
    )
    return work(law.power_of_torque, "What the pack gives", torque=torque, speed=speed)


def _regeneration(case: Case, sheet: Sheet, made: Arrangement, motor: Motor, inverter: Inverter) -> None:
    """What the pack takes back: mild at 80 % charge, and on the coldest design day."""
    at = constant(FOUR_FIFTHS, "%", "Charge", CONDITION, "s")
    mild = constant(celsius(25), "°C", "Cell temperature", CONDITION, "T")
    cold = case.leaf(case.build.duty.climate.coldest, "Coldest design day", "°C")
    coldest = case.leaf(case.cell.temperature_charge_min, "Coldest cell that may be charged", "°C")
    ramp = constant(REGEN_RAMP, "K", "Rise over which a cold pack comes to take its whole current", "of the model")
    most = highest_voltage(case, sheet, inverter)
    power = _power_given_back(case, motor, inverter)
    for key, kelvin in (("drive.regen_power", mild), ("drive.regen_power_cold", cold)):
        share = work(dynamics.cold_share, "Share that the cells take", temperature=kelvin, coldest=coldest, ramp=ramp)
        takes = work(
            law.part_of_current, "Current that the cells take", share=share, current=sheet.nodes["pack.current_regen"]
        )
        source = {
            "rest_voltage": rest_voltage_at(case, made, at),
            "resistance": resistance_at(case, made, at, kelvin),
        }
        current = work(
            charging.charging_current, "Current into the pack", limit=takes, power=power, most_voltage=most, **source
        )
        sheet.add(key, work(charging.charging_power, "Power into the pack", current=current, **source))


def _power_given_back(case: Case, motor: Motor, inverter: Inverter) -> Node:
    """What the braking motor gives where its torque ends and its power begins, less what motor and inverter keep."""
    torque = braking_torque(case, motor, inverter)
    base = work(law.base_speed, "Base speed", power=peak_power(case, motor), torque=torque)
    speed = least("Speed at which the motor brakes", [base, fastest_turning(case, motor)])
    backwards = constant(-1.0, "1", "Against the turning", "the motor brakes")
    braking = work(law.part_of_torque, "Braking torque", share=backwards, torque=torque)
    loss = losses(case, motor)
    idle = work(
        law.idle_loss, "What the motor loses without load", speed=speed,
        **{name: loss[name] for name in ("iron", "windage", "constant")},
    )  # fmt: skip
    electric = work(
        law.motor_input, "Power of the motor", torque=braking, speed=speed, copper=loss["copper"], idle=idle
    )
    direct = work(
        law.inverter_input,
        "Power of the inverter",
        power=electric,
        efficiency=case.leaf(inverter.efficiency, "Efficiency of the inverter", "%"),
        idle=idle_power(case, inverter),
    )
    return work(law.power_given_back, "Power given back", power=direct)


def _peak_time(case: Case, sheet: Sheet, motor: Motor) -> None:
    """For how long peak power lasts after a long drive at half the continuous power."""
    peak, steady = peak_power(case, motor), continuous_power(case, motor)
    if steady.value >= peak.value:
        sheet.lack("drive.peak_time", "the motor bears its peak power continuously")
        return
    share = work(law.share_of_power, "Continuous power as a share of peak", power=steady, rated=peak)
    lasts = case.leaf(motor.power_peak_time, "Time for which the motor bears its peak power from cold")
    heating = work(motor_fit.heating_time, "Time constant of the windings", peak_time=lasts, share=share)
    half = constant(0.5, "1", "Load before, as a share of the continuous power", CONDITION)
    sheet.add("drive.peak_time", work(law.time_at_peak, "Time", heating=heating, share=share, before=half))


def _gearbox(case: Case, sheet: Sheet, torque: Node) -> None:
    gearing = case.build.drive.gearing
    key = "drive.gearbox_torque_used"
    if gearing.way == "gearbox-kept":
        rated = case.build.donor.drive_line.gearbox.torque_max
        if rated is None:
            sheet.lack(key, "the torque that the gearbox bears is not known (donor.drive_line.gearbox.torque_max)")
            return
        bears = case.leaf(rated, "Torque that the gearbox bears")
    elif gearing.way == "gear-unit" and gearing.gear_unit is not None:
        bears = case.leaf(
            case.shelf.take(gearing.gear_unit.part, GearUnit).torque_in_max, "Torque that the gear unit bears"
        )
    else:
        sheet.lack(key, "no gearbox is between motor and axle")
        return
    sheet.add(key, work(law.share_of_rating, "Torque used", torque=torque, rated=bears))


def wheel_radius(case: Case) -> Node | None:
    """Radius at which the driven tyres roll, or None where their marking says no size."""
    axle = "front" if case.build.donor.drive_line.driven_axle == "front" else "rear"
    marking = marking_of(case, axle)
    if marking is None:
        return None
    free = leaf(
        marking.diameter,
        "m",
        f"Free diameter of '{marking.text}'",
        Origin("entered", where=f"donor.tyres.{axle}"),
        symbol="d",
    )
    share = assumed_between(
        "Rolling radius as a share of the free radius",
        "1",
        "usual for a loaded tyre; roll the car ten turns",
        0.96,
        0.98,
    )
    return work(law.rolling_radius, "Rolling radius", share=share, diameter=free)
