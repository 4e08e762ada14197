"""Many cars over one trip, side by side: the same step as for one car, written without branches so that the processor
does several cars at once. Each car has a lane; its numbers and its state stand in flat rows of LANES.
"""

from __future__ import annotations

import numpy as np

from voltwright.kernels import laws
from voltwright.kernels.car import Car
from voltwright.kernels.compiled import inner, loop
from voltwright.kernels.step import (
    SLOWEST,
    Demand,
    look_up,
    moving_mass,
    offer,
    pack_bears,
    ratio_at,
    ratio_at_full_power,
    regen_room,
    resistance,
    within_limits,
    within_motor,
)

LANES = 32
NUMBERS = 54  # fields of a Car
FIRST_RATIO, CHARGED = Car._fields.index("ratio_1"), Car._fields.index("charge")
GEARS = 6

# Rows of the state.
(SPEED, CHARGE, TEMPERATURE, LAG, VOLTAGE, WARMTH, REST, SOONER, LATER, NEXT_REST, NEXT_SOONER, NEXT_LATER, ALIVE,
 KEPT, MEAN, COOL, WAY, TIME, DRAWN, PACK, CHEMISTRY, AFTER, POWER, HEAT, CURRENT, PER_CAPACITY, EMPTIED,
 SHIFTS) = range(28)  # fmt: skip
# And what each car is divided by, divided once.
(PER_STEP, PER_RADIUS, GEAR_DRIVES, GEAR_BRAKES, INVERTER_GIVES, INVERTER_TAKES, PER_TORQUE, PER_TURNING, PER_VOLTAGE,
 PER_HEAT, ARM_1, ARM_2, ARM_3, ARM_4, ARM_5, ARM_6) = range(28, 44)  # fmt: skip
ROWS = 44
RESULTS = (WAY, TIME, DRAWN, PACK, CHEMISTRY, EMPTIED)


@inner
def car_at(numbers, at):
    """The car of a lane."""
    return Car(
        numbers[at], numbers[1 * LANES + at], numbers[2 * LANES + at], numbers[3 * LANES + at],
        numbers[4 * LANES + at], numbers[5 * LANES + at], numbers[6 * LANES + at], numbers[7 * LANES + at],
        numbers[8 * LANES + at], numbers[9 * LANES + at], numbers[10 * LANES + at], numbers[11 * LANES + at],
        numbers[12 * LANES + at], numbers[13 * LANES + at], numbers[14 * LANES + at], numbers[15 * LANES + at],
        numbers[16 * LANES + at], numbers[17 * LANES + at], numbers[18 * LANES + at], numbers[19 * LANES + at],
        numbers[20 * LANES + at], numbers[21 * LANES + at], numbers[22 * LANES + at], numbers[23 * LANES + at],
        numbers[24 * LANES + at], numbers[25 * LANES + at], numbers[26 * LANES + at], numbers[27 * LANES + at],
        numbers[28 * LANES + at], numbers[29 * LANES + at], numbers[30 * LANES + at], numbers[31 * LANES + at],
        numbers[32 * LANES + at], numbers[33 * LANES + at], numbers[34 * LANES + at], numbers[35 * LANES + at],
        numbers[36 * LANES + at], numbers[37 * LANES + at], numbers[38 * LANES + at], numbers[39 * LANES + at],
        numbers[40 * LANES + at], numbers[41 * LANES + at], numbers[42 * LANES + at], numbers[43 * LANES + at],
        numbers[44 * LANES + at], numbers[45 * LANES + at], numbers[46 * LANES + at], numbers[47 * LANES + at],
        numbers[48 * LANES + at], numbers[49 * LANES + at], numbers[50 * LANES + at], numbers[51 * LANES + at],
        numbers[52 * LANES + at], numbers[53 * LANES + at],
    )  # fmt: skip


@inner
def behind_of(car, s, at):
    """Voltage behind the pack's resistance, and that resistance, as this step sees them. [V, Ω]"""
    mean = s[MEAN * LANES + at]
    behind = laws.voltage_behind(car.cells_series, s[REST * LANES + at], s[LAG * LANES + at], mean)
    return behind, laws.resistance_of_step(
        car.cell_factor, s[SOONER * LANES + at], s[LATER * LANES + at], mean, car.links
    )


@inner
def arm_at(car, s, at, speed):
    """Torque of the motor for a newton at the wheels, in the gear of `step.ratio_at`, gears without loss. [N·m/N]"""
    reach = car.shift_turning * car.radius
    # Read before it is chosen: a read on a condition would keep the processor from doing several cars at once.
    arm_1, arm_2, arm_3 = s[ARM_1 * LANES + at], s[ARM_2 * LANES + at], s[ARM_3 * LANES + at]
    arm_4, arm_5, arm = s[ARM_4 * LANES + at], s[ARM_5 * LANES + at], s[ARM_6 * LANES + at]
    arm = arm_5 if speed * car.ratio_5 <= reach else arm
    arm = arm_4 if speed * car.ratio_4 <= reach else arm
    arm = arm_3 if speed * car.ratio_3 <= reach else arm
    arm = arm_2 if speed * car.ratio_2 <= reach else arm
    return arm_1 if speed * car.ratio_1 <= reach else arm


@inner
def demand_of_lane(car, s, at, before, after, grade, head):
    """As `step.demand`, but what each step would divide by is divided once for each car: see `units_of_lane`."""
    ratio, arm = ratio_at(car, before), arm_at(car, s, at, before)
    speed = 0.5 * (before + after)
    gain = moving_mass(car, ratio) * (after - before) * s[PER_STEP * LANES + at]
    force = gain + resistance(car, speed, grade, head)
    force = force if speed > 0.0 else 0.0
    turning = np.maximum(speed * ratio * s[PER_RADIUS * LANES + at], SLOWEST)
    most_braked = np.maximum(force * car.regen_share, -car.regen_grip_force)
    braked = most_braked if speed > car.regen_speed else 0.0
    asked = force if force > 0.0 else braked
    torque = np.maximum(asked * s[GEAR_DRIVES * LANES + at], asked * s[GEAR_BRAKES * LANES + at]) * arm
    most = laws.torque_limit(car.torque_peak, car.power_peak, car.pull_out, 1.0, turning)
    torque = np.maximum(torque, -np.minimum(most, car.regen_torque))
    idle = laws.idle_loss(car.iron, car.windage, car.constant, turning)
    electric = laws.motor_input(torque, turning, car.copper, idle)
    direct = np.maximum(electric * s[INVERTER_GIVES * LANES + at], electric * s[INVERTER_TAKES * LANES + at])
    heat = laws.winding_heat(torque * s[PER_TORQUE * LANES + at], turning * s[PER_TURNING * LANES + at], 1.0, 1.0)
    return Demand(force, torque, turning, direct + car.inverter_idle + car.auxiliary, heat)


@inner
def wish_of_lane(numbers, s, at, after, grade, head, step):
    """Try the step as if nothing held the car back. Returns 1 where something does."""
    car = car_at(numbers, at)
    behind, resists = behind_of(car, s, at)
    asked = demand_of_lane(car, s, at, s[SPEED * LANES + at], after, grade, head)
    share = laws.voltage_share(s[VOLTAGE * LANES + at] * s[PER_VOLTAGE * LANES + at], 1.0)
    able = within_motor(car, asked, share, s[WARMTH * LANES + at]) & (after <= car.speed_top)
    room = regen_room(car, s[CHARGE * LANES + at], s[TEMPERATURE * LANES + at])
    s[AFTER * LANES + at] = after
    s[POWER * LANES + at] = asked.power
    s[HEAT * LANES + at] = asked.heat
    s[CURRENT * LANES + at] = laws.current_for_power(behind, resists, asked.power)
    return 0.0 if able & pack_bears(car, behind, resists, asked.power, room) else s[ALIVE * LANES + at]


@inner
def offer_of_lane(car, s, at):
    """What the lane's pack and motor have for this step: voltage behind the pack's resistance, resistance, offer."""
    behind, resists = behind_of(car, s, at)
    return behind, resists, offer(car, behind, resists, s[VOLTAGE * LANES + at], s[WARMTH * LANES + at])


@inner
def limits_of_lane(numbers, s, at, wanted, grade, head, throttle, step):
    """The step within every limit: as in `trip.follow`, but every case is worked out and one is taken."""
    car = car_at(numbers, at)
    behind, resists, given = offer_of_lane(car, s, at)
    room = regen_room(car, s[CHARGE * LANES + at], s[TEMPERATURE * LANES + at])
    now = within_limits(car, given, behind, resists, room, s[SPEED * LANES + at], wanted, grade, head, throttle, step)
    s[ALIVE * LANES + at] = 0.0 if now.stuck | now.flat else s[ALIVE * LANES + at]
    s[AFTER * LANES + at] = now.after
    s[POWER * LANES + at] = now.power
    s[HEAT * LANES + at] = now.heat
    s[CURRENT * LANES + at] = laws.current_for_power(behind, resists, now.power)


@inner
def take_best_gear(numbers, geared, s, at, throttle):
    """Give the lane's car of `geared` no gear but that in which it pushes hardest now; count the changes."""
    car = car_at(numbers, at)
    _, _, given = offer_of_lane(car, s, at)
    before = geared[FIRST_RATIO * LANES + at]
    ratio = ratio_at_full_power(car, before, s[SPEED * LANES + at], given, throttle)
    s[SHIFTS * LANES + at] += 0.0 if ratio == before else 1.0
    for gear in range(GEARS):
        geared[(FIRST_RATIO + gear) * LANES + at] = ratio


@inner
def take_step(numbers, s, at, step):
    """Enter the step that was worked out: what it adds to the sums, and the state after it."""
    car = car_at(numbers, at)
    behind, resists = behind_of(car, s, at)
    speed, charge, temperature = s[SPEED * LANES + at], s[CHARGE * LANES + at], s[TEMPERATURE * LANES + at]
    after, power, current = s[AFTER * LANES + at], s[POWER * LANES + at], s[CURRENT * LANES + at]
    lag, goes = s[LAG * LANES + at], s[ALIVE * LANES + at]
    loss = laws.cell_loss(resists, current, lag, s[MEAN * LANES + at])
    drawn = laws.charge_after(charge, current * s[PER_CAPACITY * LANES + at], step, 1.0)
    empties = drawn < car.charge_empty
    part = (charge - car.charge_empty) / (charge - drawn) if empties else 1.0
    weight = goes * np.minimum(1.0, np.maximum(0.0, part)) * step
    s[ALIVE * LANES + at] = 0.0 if empties else goes
    s[EMPTIED * LANES + at] = np.maximum(s[EMPTIED * LANES + at], goes if empties else 0.0)
    s[WAY * LANES + at] += weight * 0.5 * (speed + after)
    s[TIME * LANES + at] += weight
    s[DRAWN * LANES + at] += weight * current
    s[PACK * LANES + at] += weight * power
    s[CHEMISTRY * LANES + at] += weight * car.cells_series * s[REST * LANES + at] * current
    s[SPEED * LANES + at] = after
    s[CHARGE * LANES + at] = drawn
    per_heat = s[PER_HEAT * LANES + at]
    s[TEMPERATURE * LANES + at] = laws.temperature_after(
        temperature, loss * per_heat, car.heat_loss * per_heat, car.surroundings, step, 1.0
    )
    s[LAG * LANES + at] = laws.lag_after(lag, car.cell_factor * s[LATER * LANES + at], current, s[KEPT * LANES + at])
    s[VOLTAGE * LANES + at] = laws.terminal_voltage(behind, resists, current)
    s[WARMTH * LANES + at] = laws.warmth_after(s[WARMTH * LANES + at], s[HEAT * LANES + at], s[COOL * LANES + at])
    s[REST * LANES + at] = s[NEXT_REST * LANES + at]
    s[SOONER * LANES + at] = s[NEXT_SOONER * LANES + at]
    s[LATER * LANES + at] = s[NEXT_LATER * LANES + at]


@inner
def look_up_now(s, at, rest, ohm):
    """The tables at the state of the lane, for the first step of a trip."""
    volt, sooner, later = look_up(rest, ohm, s[CHARGE * LANES + at], s[TEMPERATURE * LANES + at])
    s[REST * LANES + at], s[SOONER * LANES + at], s[LATER * LANES + at] = volt, sooner, later


@inner
def look_up_next(s, rest, ohm, cars):
    """The tables of the first lanes for the next step, with this step's start: apart, so that it does not keep the rest from vectors."""
    for at in range(cars):
        volt, sooner, later = look_up(rest, ohm, s[CHARGE * LANES + at], s[TEMPERATURE * LANES + at])
        s[NEXT_REST * LANES + at] = volt
        s[NEXT_SOONER * LANES + at] = sooner
        s[NEXT_LATER * LANES + at] = later


@inner
def units_of_lane(car, s, at, step):
    """What the laws give at an input of one, once for each car: a division takes the processor as long as ten products."""
    s[PER_STEP * LANES + at] = 1.0 / step
    s[PER_RADIUS * LANES + at] = laws.motor_speed(1.0, 1.0, car.radius)
    s[GEAR_DRIVES * LANES + at] = laws.torque_for_force(1.0, 1.0, 1.0, car.gear_efficiency)
    s[GEAR_BRAKES * LANES + at] = -laws.torque_for_force(-1.0, 1.0, 1.0, car.gear_efficiency)
    s[INVERTER_GIVES * LANES + at] = laws.inverter_input(1.0, car.inverter_efficiency, 0.0)
    s[INVERTER_TAKES * LANES + at] = -laws.inverter_input(-1.0, car.inverter_efficiency, 0.0)
    s[PER_TORQUE * LANES + at] = 1.0 / car.torque_continuous
    s[PER_TURNING * LANES + at] = car.torque_continuous / car.power_continuous
    s[PER_VOLTAGE * LANES + at] = 1.0 / car.voltage_motor
    s[PER_HEAT * LANES + at] = 1.0 / car.heat_capacity
    s[ARM_1 * LANES + at] = laws.torque_for_force(1.0, car.radius, car.ratio_1, 1.0)
    s[ARM_2 * LANES + at] = laws.torque_for_force(1.0, car.radius, car.ratio_2, 1.0)
    s[ARM_3 * LANES + at] = laws.torque_for_force(1.0, car.radius, car.ratio_3, 1.0)
    s[ARM_4 * LANES + at] = laws.torque_for_force(1.0, car.radius, car.ratio_4, 1.0)
    s[ARM_5 * LANES + at] = laws.torque_for_force(1.0, car.radius, car.ratio_5, 1.0)
    s[ARM_6 * LANES + at] = laws.torque_for_force(1.0, car.radius, car.ratio_6, 1.0)


@inner
def start_of_lane(numbers, s, at, rest, ohm, speed, step):
    """A rested pack and a cold motor, at the speed at which the trip begins."""
    car = car_at(numbers, at)
    s[SPEED * LANES + at] = np.minimum(speed, car.speed_top)
    s[CHARGE * LANES + at] = car.charge
    s[TEMPERATURE * LANES + at] = car.temperature
    look_up_now(s, at, rest, ohm)
    s[VOLTAGE * LANES + at] = car.cells_series * s[REST * LANES + at]
    s[ALIVE * LANES + at] = 1.0
    s[PER_CAPACITY * LANES + at] = 1.0 / car.capacity
    s[KEPT * LANES + at] = laws.kept_share(step, car.relaxation)
    s[MEAN * LANES + at] = laws.mean_share(step, car.relaxation)
    s[COOL * LANES + at] = laws.kept_share(step, car.heating)
    units_of_lane(car, s, at, step)


@loop
def drive_lanes(numbers, rest, ohm, trace, grade, head, throttle, step, way, least, most_trips, results):
    """Drive LANES cars over the trip, again and again until each is empty or falls short of `least` of the `way`.

    `numbers` holds the fields of the cars in rows of LANES; `results` gets the rows of RESULTS.
    """
    s = np.zeros(ROWS * LANES)
    begun, full = np.zeros(LANES), np.zeros(LANES)
    for at in range(LANES):
        full[at] = numbers[CHARGED * LANES + at]
    for at in range(LANES):
        start_of_lane(numbers, s, at, rest, ohm, trace[0], step)
    trips, alive = 0, 1.0
    while alive > 0.0 and trips < most_trips:
        for at in range(LANES):
            look_up_now(s, at, rest, ohm)
        for k in range(len(grade)):
            look_up_next(s, rest, ohm, LANES)
            held = 0.0
            for at in range(LANES):
                held += wish_of_lane(numbers, s, at, trace[k + 1], grade[k], head[k], step)
            if held > 0.0:
                for at in range(LANES):
                    limits_of_lane(numbers, s, at, trace[k + 1], grade[k], head[k], throttle[k], step)
            for at in range(LANES):
                take_step(numbers, s, at, step)
        trips += 1
        alive = 0.0
        for at in range(LANES):
            gains = s[CHARGE * LANES + at] >= full[at]
            if s[WAY * LANES + at] - begun[at] < least * way or gains:
                s[ALIVE * LANES + at] = 0.0
            full[at] = s[CHARGE * LANES + at]
            begun[at] = s[WAY * LANES + at]
            alive += s[ALIVE * LANES + at]
    for row in range(len(RESULTS)):
        for at in range(LANES):
            results[row * LANES + at] = s[RESULTS[row] * LANES + at]


@inner
def drive_off(numbers, rest, ohm, step, count, wanted, rise, marks, times, shifts, top, cars):
    """The same for a number of cars that the compiler knows: it makes vectors only of such."""
    s, geared = np.zeros(ROWS * LANES), numbers.copy()
    for at in range(cars):
        start_of_lane(numbers, s, at, rest, ohm, 0.0, step)
    for k in range(count):
        look_up_next(s, rest, ohm, cars)
        for at in range(cars):
            throttle = np.minimum(1.0, (k + 0.5) * step / np.maximum(rise[at], 1e-9))
            take_best_gear(numbers, geared, s, at, throttle)
            limits_of_lane(geared, s, at, wanted, 0.0, 1.0, throttle, step)
        for mark in range(len(marks)):
            for at in range(cars):
                before, after = s[SPEED * LANES + at], s[AFTER * LANES + at]
                if before < marks[mark] <= after and s[ALIVE * LANES + at] > 0.0:
                    times[mark * LANES + at] = (k + (marks[mark] - before) / (after - before)) * step
                    shifts[mark * LANES + at] = s[SHIFTS * LANES + at]
        for at in range(cars):
            top[at] = np.maximum(top[at], s[AFTER * LANES + at])
            take_step(numbers, s, at, step)


@loop
def full_power(numbers, rest, ohm, step, count, wanted, rise, marks, times, shifts, top, cars):
    """Drive LANES cars, or the first alone, off at full power; note when each passes each of the speeds `marks` [s], after how
    many changes of gear.

    `rise` is the time in which each inverter lets the whole torque through; a speed that is not reached keeps its time.
    `top` gets the highest speed of each. [m/s]
    """
    if cars == 1:
        drive_off(numbers, rest, ohm, step, count, wanted, rise, marks, times, shifts, top, 1)
    else:
        drive_off(numbers, rest, ohm, step, count, wanted, rise, marks, times, shifts, top, LANES)
