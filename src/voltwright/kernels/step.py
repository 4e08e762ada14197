"""One step of one car: what the road asks, what drive and pack can give, and how far the car comes when that is not enough.

The gear is chosen at the start of a step and held; forces and speeds are those of its middle, so that force times way is
the gain of kinetic energy and every loss, to the last digit.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from voltwright.kernels import laws
from voltwright.kernels.car import CHARGE_STEPS, COLUMN_LOW, COLUMN_STEP, COLUMN_STEPS, ROW_STEPS
from voltwright.kernels.compiled import inner
from voltwright.physics.cell_dynamics import REGEN_RAMP

# What a car may be held back by.
BY_PACK_CURRENT, BY_PACK_VOLTAGE, BY_MOTOR, BY_MOTOR_HEAT, BY_GRIP, BY_MOTOR_SPEED = range(6)
LIMITS = ("pack current", "pack voltage", "motor torque or power", "motor heat", "grip", "motor speed")

WORTH_SHIFTING = 1.05  # a change of gear takes time: for less push than that nobody makes one
SLOWEST = 1e-3  # rad/s: a motor that stands, kept off the division by its speed
NEVER = 1e3  # a share of the voltage that no motor gets


class Demand(NamedTuple):
    """What a step asks of the drive."""

    force: float  # N at the wheels
    torque: float  # N·m of the motor
    turning: float  # rad/s
    power: float  # W of the pack
    heat: float  # 1: of the windings


@inner
def ratio_at(car, speed):
    """The first gear in which the motor need not turn faster than where the driver shifts."""
    reach = car.shift_turning * car.radius
    ratio = car.ratio_6
    ratio = car.ratio_5 if speed * car.ratio_5 <= reach else ratio
    ratio = car.ratio_4 if speed * car.ratio_4 <= reach else ratio
    ratio = car.ratio_3 if speed * car.ratio_3 <= reach else ratio
    ratio = car.ratio_2 if speed * car.ratio_2 <= reach else ratio
    return car.ratio_1 if speed * car.ratio_1 <= reach else ratio


@inner
def moving_mass(car, ratio):
    """The laden car with what turns. [kg]"""
    return laws.effective_mass(car.mass, laws.mass_factor(car.wheel_share, car.shaft_share, ratio))


@inner
def resistance(car, speed, grade, head):
    """Tyres, bearings, air and slope. [N]"""
    air = laws.aerodynamic_drag(car.density, car.drag_area, laws.air_speed(speed, laws.head_wind(car.wind, head)))
    slope = laws.grade_force(car.mass, car.gravity, grade)
    return air + rolling(car, speed, grade) + slope


@inner
def rolling(car, speed, grade):
    """Tyres, and what grows with the speed alone. [N]"""
    tyres = laws.rolling_resistance(car.rolling, car.mass, car.gravity, grade)
    return tyres + laws.linear_resistance(car.linear, speed)


@inner
def wheel_force(car, before, after, grade, head, step, ratio):
    """What the wheels must push; nothing while the car stands on its brakes. [N]"""
    speed = 0.5 * (before + after)
    gain = moving_mass(car, ratio) * (after - before) / step
    force = gain + resistance(car, speed, grade, head)
    return force if speed > 0.0 else 0.0


@inner
def turning_at(car, speed, ratio):
    """How fast the motor turns. [rad/s]"""
    return np.maximum(laws.motor_speed(speed, ratio, car.radius), SLOWEST)


@inner
def pack_power(car, torque, turning):
    """What the pack gives for a torque of the motor, accessories included. [W]"""
    idle = laws.idle_loss(car.iron, car.windage, car.constant, turning)
    electric = laws.motor_input(torque, turning, car.copper, idle)
    return laws.inverter_input(electric, car.inverter_efficiency, car.inverter_idle) + car.auxiliary


@inner
def demand(car, before, after, grade, head, step):
    """What it takes to come from one speed to the next, as if the pack could give and take anything."""
    ratio = ratio_at(car, before)
    force = wheel_force(car, before, after, grade, head, step, ratio)
    speed = 0.5 * (before + after)
    turning = turning_at(car, speed, ratio)
    most_braked = np.maximum(force * car.regen_share, -car.regen_grip_force)
    braked = most_braked if speed > car.regen_speed else 0.0
    asked = force if force > 0.0 else braked
    torque = laws.torque_for_force(asked, car.radius, ratio, car.gear_efficiency)
    most = laws.torque_limit(car.torque_peak, car.power_peak, car.pull_out, 1.0, turning)
    torque = np.maximum(torque, -np.minimum(most, car.regen_torque))
    power = pack_power(car, torque, turning)
    heat = laws.winding_heat(torque, turning, car.torque_continuous, car.power_continuous)
    return Demand(force, torque, turning, power, heat)


@inner
def voltage_needed(car, asked):
    """The share of its voltage at which the motor gives what is asked: `laws.torque_limit` solved for it. [1]"""
    driving = np.maximum(asked.torque, 0.0)
    by_power = driving * asked.turning / car.power_peak
    by_pull_out = asked.turning * np.sqrt(driving / car.pull_out)
    share = np.maximum(by_power, by_pull_out)
    # A share above 1 is never had: more voltage than the datasheet's gives no more power.
    possible = (share <= 1.0) & (driving <= car.torque_peak) & (asked.force <= car.grip_force)
    return share if possible else NEVER


@inner
def within_motor(car, asked, share, warmth):
    """Whether motor and tyres give what is asked: as `voltage_needed`, without a division."""
    work = np.maximum(asked.torque, 0.0) * asked.turning
    able = (work <= car.power_peak * share) & (work * asked.turning <= car.pull_out * share * share)
    holds = (asked.torque <= car.torque_peak) & (asked.force <= car.grip_force)
    return able & holds & ((warmth < 1.0) | (asked.heat <= 1.0))


@inner
def motor_limit(car, turning, share, cold):
    """The most torque of the motor; windings that are not `cold` bear only the continuous rating, whatever the voltage. [N·m]"""
    peak = laws.torque_limit(car.torque_peak, car.power_peak, car.pull_out, share, turning)
    steady = laws.torque_limit(car.torque_continuous, car.power_continuous, car.pull_out, 1.0, turning)
    return peak if cold else np.minimum(peak, steady)


class Offer(NamedTuple):
    """What pack and motor have for a step at full power."""

    current: float  # A, the most
    power: float  # W for the inverter
    share: float  # 1: the motor's voltage as a share of its datasheet's
    cold: bool  # whether the windings bear more than the continuous rating


@inner
def offer(car, behind, resists, voltage, warmth):
    """The most that the pack gives behind its resistance; the motor's voltage is that of the step before."""
    current = laws.greatest_current(car.current_max, behind, car.voltage_min, resists)
    power = laws.power_at_current(behind, resists, current) - car.auxiliary
    return Offer(current, power, laws.voltage_share(voltage, car.voltage_motor), warmth < 1.0)


@inner
def greatest_force(car, speed, ratio, given, throttle):
    """The most that drive and tyres push at a speed. [N]"""
    turning = turning_at(car, speed, ratio)
    idle = laws.idle_loss(car.iron, car.windage, car.constant, turning)
    electric = laws.inverter_output(given.power, car.inverter_efficiency, car.inverter_idle)
    by_pack = laws.torque_for_power(electric, turning, car.copper, idle)
    by_motor = motor_limit(car, turning, given.share, given.cold)
    given = np.maximum(0.0, np.minimum(by_pack, by_motor * throttle))
    return np.minimum(laws.force_for_torque(given, car.radius, ratio, car.gear_efficiency), car.grip_force)


@inner
def held_back(car, given, before, wanted, grade, head, throttle, step):
    """The speed that the car reaches at full power, at most what is wanted. [m/s]

    First from the force at the speed of the start, which is too much; with the speed of that step's middle, or of the start
    where the car loses speed, the force is never more than can be given at the speed that is then driven.
    """
    ratio = ratio_at(car, before)
    slowness = step / moving_mass(car, ratio)
    most = greatest_force(car, before, ratio, given, throttle)
    first = before + (most - resistance(car, before, grade, head)) * slowness
    middle = 0.5 * (before + np.maximum(before, np.minimum(first, wanted)))
    force = greatest_force(car, middle, ratio, given, throttle)
    after = before + (force - resistance(car, middle, grade, head)) * slowness
    return np.minimum(after, wanted)


@inner
def look_up(rest, ohm, charge, temperature):
    """Open-circuit voltage of a cell, and its resistances at once and lagging, from the raster. [V, Ω, Ω]"""
    x = np.minimum(np.maximum(charge, 0.0), 0.999999)
    fine = x * CHARGE_STEPS
    i = int(fine)
    volt = rest[2 * i] + rest[2 * i + 1] * (fine - i)
    row = x * ROW_STEPS
    column = np.minimum(np.maximum((temperature - COLUMN_LOW) * (1.0 / COLUMN_STEP), 0.0), COLUMN_STEPS - 1e-6)
    r = int(row)
    c = int(column)
    x = row - r
    y = column - c
    at = 8 * (r * COLUMN_STEPS + c)
    sooner = ohm[at] + ohm[at + 1] * x + ohm[at + 2] * y + ohm[at + 3] * x * y
    later = ohm[at + 4] + ohm[at + 5] * x + ohm[at + 6] * y + ohm[at + 7] * x * y
    return volt, sooner, later


@inner
def regen_room(car, charge, temperature):
    """The current that the cells take back: none when full, less when cold. [A]"""
    cold = laws.cold_share(temperature, car.regen_coldest, REGEN_RAMP)
    return car.current_regen * cold if charge < 1.0 else 0.0


@inner
def pack_bears(car, behind, resists, power, room):
    """Whether the pack gives or takes a power within its currents and voltages."""
    current = laws.current_for_power(behind, resists, power)
    under = laws.terminal_voltage(behind, resists, current)
    gives = (behind * behind >= 4.0 * resists * power) & (current <= car.current_max) & (under >= car.voltage_min)
    return gives & (current >= -room) & ((under <= car.voltage_max) | (current >= 0.0))


@inner
def regen_limit(car, behind, resists, room):
    """The current that the pack takes back, by its cells and by the highest voltage. [A]"""
    by_voltage = (car.voltage_max - behind) / resists
    return np.maximum(0.0, np.minimum(room, by_voltage))


@inner
def regen_torque(car, torque, turning, floor):
    """The torque of a braking motor when the pack takes no more than `floor` [W, negative]. [N·m]"""
    electric = laws.inverter_output(floor - car.auxiliary, car.inverter_efficiency, car.inverter_idle)
    idle = laws.idle_loss(car.iron, car.windage, car.constant, turning)
    return np.maximum(torque, np.minimum(0.0, laws.torque_for_power(electric, turning, car.copper, idle)))


class Limited(NamedTuple):
    """A step within every limit."""

    after: float  # m/s
    torque: float  # N·m
    power: float  # W of the pack
    heat: float  # 1: of the windings
    stuck: bool  # the car does not move on
    flat: bool  # the pack cannot give even what stands still takes


@inner
def within_limits(car, given, behind, resists, room, speed, wanted, grade, head, throttle, step):
    """How far the car comes when something holds it back, and what braking gives back when not all of it is taken."""
    wanted = np.minimum(wanted, car.speed_top)
    after = held_back(car, given, speed, wanted, grade, head, throttle, step)
    stuck = (after <= 0.0) & (wanted > 0.0) & (throttle >= 1.0)
    after = np.maximum(after, 0.0)
    asked = demand(car, speed, after, grade, head, step)
    floor = -laws.power_at_current(behind, -resists, regen_limit(car, behind, resists, room))
    less = regen_torque(car, asked.torque, asked.turning, floor)
    too_much = asked.power < floor
    torque = less if too_much else asked.torque
    power = pack_power(car, less, asked.turning) if too_much else asked.power
    flat = behind * behind < 4.0 * resists * power
    return Limited(after, torque, power, asked.heat, stuck, flat)


@inner
def binding(car, before, after, given, throttle):
    """Which limit held the car back in a step that ended at a speed below the wanted one."""
    ratio = ratio_at(car, before)
    turning = turning_at(car, 0.5 * (before + after), ratio)
    idle = laws.idle_loss(car.iron, car.windage, car.constant, turning)
    electric = laws.inverter_output(given.power, car.inverter_efficiency, car.inverter_idle)
    by_pack = laws.torque_for_power(electric, turning, car.copper, idle)
    by_motor = throttle * motor_limit(car, turning, given.share, given.cold)
    pushed = laws.force_for_torque(np.minimum(by_pack, by_motor), car.radius, ratio, car.gear_efficiency)
    if after >= car.speed_top:
        return BY_MOTOR_SPEED
    if pushed > car.grip_force:
        return BY_GRIP
    if by_motor <= by_pack:
        return BY_MOTOR if given.cold else BY_MOTOR_HEAT
    return BY_PACK_CURRENT if given.current >= car.current_max else BY_PACK_VOLTAGE


@inner
def stronger(car, ratio, other, speed, given, throttle):
    """The gear, or another one above it that pushes clearly harder, or must be taken as the motor would turn too fast."""
    push = greatest_force(car, speed, ratio, given, throttle)
    others = greatest_force(car, speed, other, given, throttle)
    too_fast = speed * ratio > car.shift_turning * car.radius
    return other if (other < ratio) & (too_fast | (others > WORTH_SHIFTING * push)) else ratio


@inner
def ratio_at_full_power(car, ratio, speed, given, throttle):
    """The gear in which the car pushes hardest, from the present one upwards: nobody changes down in a sprint."""
    ratio = stronger(car, ratio, car.ratio_2, speed, given, throttle)
    ratio = stronger(car, ratio, car.ratio_3, speed, given, throttle)
    ratio = stronger(car, ratio, car.ratio_4, speed, given, throttle)
    ratio = stronger(car, ratio, car.ratio_5, speed, given, throttle)
    return stronger(car, ratio, car.ratio_6, speed, given, throttle)
