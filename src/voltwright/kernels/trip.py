"""One car over a trip: what each step asks, what then happens, and where the energy went.

Three passes. `plan` works out what a car asks that follows the trace; it has no memory, so that the processor does several
steps at once. `follow` carries speed, charge, lag, temperature and warmth along and leaves the plan only where a limit
binds. `ledger` adds up what was done.
"""

from __future__ import annotations

import numpy as np

from voltwright.kernels import laws
from voltwright.kernels.compiled import loop
from voltwright.kernels.step import (
    binding,
    demand,
    look_up,
    moving_mass,
    offer,
    pack_bears,
    ratio_at,
    regen_room,
    rolling,
    turning_at,
    voltage_needed,
    wheel_force,
    within_limits,
)

# How a trip ends.
WHOLE, EMPTY, STUCK, FLAT, BEHIND, GAINS = range(6)

# Rows of the ledger [J, but for the first three]. What leaves the pack's chemistry is the sum of all from `cells` on.
TIME, WAY, DRAWN, CHEMISTRY, CELLS, ACCESSORIES, INVERTER, MOTOR, GEARS, BRAKES, AIR, TYRES, CLIMB, KINETIC = range(14)
LEDGER = 14

# What is carried from step to step.
SPEED, CHARGE, TEMPERATURE, LAG, VOLTAGE, WARMTH = range(6)
STATE = 6


@loop
def start(car, rest, ohm, speed, state):
    """A rested pack and a cold motor, at the speed at which the trip begins."""
    volt, _, _ = look_up(rest, ohm, car.charge, car.temperature)
    state[SPEED] = np.minimum(speed, car.speed_top)
    state[CHARGE] = car.charge
    state[TEMPERATURE] = car.temperature
    state[LAG] = 0.0
    state[VOLTAGE] = car.cells_series * volt
    state[WARMTH] = 0.0


@loop
def plan(car, trace, grade, head, step, torque, power, needed, heat):
    """What each step asks of a car that follows the trace."""
    for k in range(len(torque)):
        asked = demand(car, trace[k], trace[k + 1], grade[k], head[k], step)
        torque[k] = asked.torque
        power[k] = asked.power
        needed[k] = voltage_needed(car, asked) * car.voltage_motor
        heat[k] = asked.heat


@loop
def follow(car, rest, ohm, trace, grade, head, throttle, step, state, planned, done, held, energy):
    """Drive the trace. Returns how it ended and how many steps were driven.

    `planned` holds torque, power, voltage needed and heat of each step; `done` gets speed (one more than steps), torque,
    power, current, charge, temperature and voltage.
    `held` counts seconds by limit; `energy` gets what left the chemistry and what the cells kept, in all and in the last step.
    """
    plan_torque, plan_power, plan_needed, plan_heat = planned
    done_speed, done_torque, done_power, done_current, done_charge, done_temperature, done_voltage = done
    speed, charge, temperature, lag, voltage, warmth = state[0], state[1], state[2], state[3], state[4], state[5]
    kept, mean = laws.kept_share(step, car.relaxation), laws.mean_share(step, car.relaxation)
    cool, per_capacity = laws.kept_share(step, car.heating), 1.0 / car.capacity
    volt, sooner, later = look_up(rest, ohm, charge, temperature)
    chemistry = cells = last_chemistry = last_cells = 0.0
    status, count = WHOLE, len(plan_torque)
    done_speed[0] = speed
    for k in range(count):
        behind = laws.voltage_behind(car.cells_series, volt, lag, mean)
        resists = laws.resistance_of_step(car.cell_factor, sooner, later, mean, car.links)
        rested, sags = car.cells_series * volt, car.cell_factor * later
        room = regen_room(car, charge, temperature)
        # Looked up for the next step with this step's start: off the chain from state to state.
        volt, sooner, later = look_up(rest, ohm, charge, temperature)
        torque, power, heat, after = plan_torque[k], plan_power[k], plan_heat[k], trace[k + 1]
        able = (voltage >= plan_needed[k]) & ((warmth < 1.0) | (heat <= 1.0))
        keeps_up = (speed == trace[k]) & (after <= car.speed_top)
        if not (keeps_up & able & pack_bears(car, behind, resists, power, room)):
            given = offer(car, behind, resists, voltage, warmth)
            now = within_limits(car, given, behind, resists, room, speed, after, grade[k], head[k], throttle[k], step)
            if now.stuck | now.flat:
                status, count = STUCK if now.stuck else FLAT, k
                break
            if now.after < trace[k + 1]:
                held[binding(car, speed, now.after, given, throttle[k])] += step
            torque, power, heat, after = now.torque, now.power, now.heat, now.after
        current = laws.current_for_power(behind, resists, power)
        last_chemistry, last_cells = rested * current, laws.cell_loss(resists, current, lag, mean)
        chemistry += last_chemistry
        cells += last_cells
        charge = laws.charge_after(charge, current * per_capacity, step, 1.0)
        temperature = laws.temperature_after(
            temperature, last_cells, car.heat_loss, car.surroundings, step, car.heat_capacity
        )
        lag, warmth = laws.lag_after(lag, sags, current, kept), laws.warmth_after(warmth, heat, cool)
        voltage, speed = laws.terminal_voltage(behind, resists, current), after
        done_speed[k + 1], done_torque[k], done_power[k], done_current[k] = speed, torque, power, current
        done_charge[k], done_temperature[k], done_voltage[k] = charge, temperature, voltage
        if charge < car.charge_empty:
            status, count = EMPTY, k + 1
            break
    energy[0], energy[1] = chemistry * step, cells * step
    energy[2], energy[3] = last_chemistry * step, last_cells * step
    state[0], state[1], state[2], state[3], state[4], state[5] = speed, charge, temperature, lag, voltage, warmth
    return status, count


@loop
def ledger(car, grade, head, step, done, first, last, weight, book):
    """Add the steps from `first` up to `last` to the book, each times `weight`."""
    speeds, torques, powers, currents = done[0], done[1], done[2], done[3]
    way = drawn = pack = inverter = motor = gears = brakes = air = tyres = climb = kinetic = 0.0
    for k in range(first, last):
        before, after, torque = speeds[k], speeds[k + 1], torques[k]
        speed = 0.5 * (before + after)
        ratio = ratio_at(car, before)
        turning = turning_at(car, speed, ratio)
        pushed = laws.force_for_torque(torque, car.radius, ratio, car.gear_efficiency)
        needed = wheel_force(car, before, after, grade[k], head[k], step, ratio)
        idle = laws.idle_loss(car.iron, car.windage, car.constant, turning)
        electric = laws.motor_input(torque, turning, car.copper, idle)
        shaft = torque * turning
        way += speed
        drawn += currents[k]
        pack += powers[k]
        inverter += laws.inverter_input(electric, car.inverter_efficiency, car.inverter_idle) - electric
        motor += electric - shaft
        gears += shaft - pushed * speed
        brakes += (pushed - needed) * speed
        air += (
            laws.aerodynamic_drag(car.density, car.drag_area, laws.air_speed(speed, laws.head_wind(car.wind, head[k])))
            * speed
        )
        tyres += rolling(car, speed, grade[k]) * speed
        climb += laws.grade_force(car.mass, car.gravity, grade[k]) * speed
        kinetic += moving_mass(car, ratio) * (after - before) * speed
    steps = weight * step
    book[TIME] += (last - first) * steps
    book[WAY] += way * steps
    book[DRAWN] += drawn * steps
    book[ACCESSORIES] += car.auxiliary * (last - first) * steps
    book[INVERTER] += inverter * steps
    book[MOTOR] += motor * steps
    book[GEARS] += gears * steps
    book[BRAKES] += brakes * steps
    book[AIR] += air * steps
    book[TYRES] += tyres * steps
    book[CLIMB] += climb * steps
    book[KINETIC] += kinetic * weight
    return pack * steps


@loop
def whole_trip(car, rest, ohm, trace, grade, head, throttle, step, state, planned, done, held, book):
    """Plan, follow and book one trip from `state` on. Returns how it ended, steps driven, and energy from the pack. [J]"""
    energy = np.zeros(4)
    plan(car, trace, grade, head, step, planned[0], planned[1], planned[2], planned[3])
    status, count, pack = once(
        car, rest, ohm, trace, grade, head, throttle, step, state, planned, done, held, energy, book
    )
    return status, count, pack


@loop
def once(car, rest, ohm, trace, grade, head, throttle, step, state, planned, done, held, energy, book):
    """Follow and book a planned trip; of the step that empties the pack only the part until it is empty counts."""
    before = state[CHARGE]
    status, count = follow(car, rest, ohm, trace, grade, head, throttle, step, state, planned, done, held, energy)
    whole = count - 1 if status == EMPTY else count
    pack = ledger(car, grade, head, step, done, 0, whole, 1.0, book)
    share = 0.0
    if status == EMPTY:
        charges = done[4]
        before = charges[count - 2] if count > 1 else before
        share = min(1.0, max(0.0, (before - car.charge_empty) / (before - charges[count - 1])))
        pack += ledger(car, grade, head, step, done, whole, count, share, book)
        share -= 1.0
    book[CHEMISTRY] += energy[0] + share * energy[2]
    book[CELLS] += energy[1] + share * energy[3]
    return status, count, pack


@loop
def until_empty(
    car, rest, ohm, trace, grade, head, throttle, step, way, least, most_trips, state, planned, done, held, book
):
    """Drive a trip again and again until the pack is empty, or falls short of `least` of the trip's `way`. [m]

    Returns how it ended, trips begun, and energy from the pack. [J]
    """
    energy = np.zeros(4)
    plan(car, trace, grade, head, step, planned[0], planned[1], planned[2], planned[3])
    pack, status, trips = 0.0, WHOLE, 0
    while status == WHOLE and trips < most_trips:
        begun, charge = book[WAY], state[CHARGE]
        status, _, given = once(
            car, rest, ohm, trace, grade, head, throttle, step, state, planned, done, held, energy, book
        )
        pack += given
        trips += 1
        if status == WHOLE and book[WAY] - begun < least * way:
            status = BEHIND
        elif status == WHOLE and state[CHARGE] >= charge:
            status = GAINS  # downhill all the way: it would go on for ever
    return status, trips, pack
