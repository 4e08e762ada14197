"""Heat in battery boxes: a network of bodies for each box, many boxes and cars side by side, over a whole duty.

Bodies with a heat capacity step forward; those without one (air, coolant) are at each moment as warm as their neighbours make
them. What goes out of one body comes into another, so that energy closes to the last digits. Each step is cut into as many
parts as keep it stable; the cost is that of bodies, times ways between them, times steps.
"""

from __future__ import annotations

import numpy as np

from voltwright.kernels import laws
from voltwright.kernels.car import COLUMN_LOW, COLUMN_STEP, COLUMN_STEPS, ROW_STEPS
from voltwright.kernels.compiled import inner, loop
from voltwright.physics.battery_box import DIFFERENCE_STEP, POINTS, SPEED_STEP

GENERATED, SHED = range(2)
STABLE = 0.45  # of its heat that a body gives away in a part of a step, at most
MOST_PARTS = 50  # of a step: a body that would need more counts as one that just does not, within a second as warm as what it touches
LAST = POINTS - 1 - 1e-9


@inner
def read_even(table, row, place, at):
    """A table at even steps, straight between them; `place` in steps."""
    here = np.minimum(place, LAST)
    low = int(here)
    share = here - low
    return table[row, low, at] * (1.0 - share) + table[row, low + 1, at] * share


@inner
def heat_of_cell(ohm, charge, temperature, square, slow):
    """Heat of one cell: ten seconds' resistance on the square of the current, the rest on that times its slow part. [W]"""
    row = np.minimum(np.maximum(charge, 0.0), 0.999999) * ROW_STEPS
    column = np.minimum(np.maximum((temperature - COLUMN_LOW) * (1.0 / COLUMN_STEP), 0.0), COLUMN_STEPS - 1e-6)
    r = int(row)
    c = int(column)
    x = row - r
    y = column - c
    k = 8 * (r * COLUMN_STEPS + c)
    sooner = ohm[k] + ohm[k + 1] * x + ohm[k + 2] * y + ohm[k + 3] * x * y
    later = ohm[k + 4] + ohm[k + 5] * x + ohm[k + 6] * y + ohm[k + 7] * x * y
    return laws.heat_of_current(sooner, 1.0) * square + laws.heat_of_current(later, 1.0) * slow


@loop
def times_its_lag(current, step):
    """A current times what follows it with a lag, on the mean of each step [A²]; `step` in time constants."""
    follows = 1.0 - np.exp(-step)
    result = np.zeros_like(current)
    now = 0.0
    for k in range(len(current)):
        before = now
        now += follows * (current[k] - before)
        result[k] = current[k] * 0.5 * (now + before)
    return result


@loop
def parts_of_step(source, target, fixed, table, still, moving, capacity, step):
    """Into how many parts a step is cut so that every body of every network is stable.

    Of bodies that would need more than MOST_PARTS the heat capacity is raised, in place, to where so many are enough.
    """
    ways, lanes = fixed.shape
    bodies = capacity.shape[0]
    most = 0.0
    for at in range(lanes):
        given = np.zeros(bodies)
        for way in range(ways):
            most_way = fixed[way, at]
            if table[way] >= 0:
                most_way += np.maximum(still[table[way], POINTS - 1, at], moving[table[way], POINTS - 1, at])
            given[source[way]] += most_way
            if target[way] < bodies:
                given[target[way]] += most_way
        for body in range(bodies):
            if capacity[body, at] > 0.0:
                capacity[body, at] = np.maximum(capacity[body, at], given[body] * step / (STABLE * MOST_PARTS))
                most = np.maximum(most, given[body] / capacity[body, at])
    return np.minimum(np.maximum(1.0, np.ceil(most * step / STABLE)), MOST_PARTS)


@loop
def soak(
    source, target, fixed, table, still, moving, capacity, cells, growth, links, extra, ohm, of, square, slow, charge,
    speed, step, parts, outside, state, hot, cold, by_step, book,
):  # fmt: skip
    """Follow every network over a duty.

    Ways go from body `source` to body `target`, or from the number of bodies on to one of the surroundings, the rows of
    `outside`; `fixed` [W/K] is what each lets through in each lane, and where `table` names a row, the greater of `still` over
    the difference and `moving` over the road speed is added. `of` names the sample of a lane, by which `square`, `slow` [A²],
    `charge` and `speed` are read. `state` [K] goes in and comes out; `hot` and `cold` [K] get the hottest and the coldest core
    after each step, `by_step` [J] the heat made in each, `book` [J] heat made and heat shed. What is a body without heat
    capacity, or one with cells, is so in every lane.
    """
    ways, lanes = fixed.shape
    bodies = capacity.shape[0]
    count = square.shape[0]
    lets = fixed.copy()
    net, given = np.zeros((bodies, lanes)), np.zeros((bodies, lanes))
    short = step / parts
    for k in range(count):
        for at in range(lanes):
            by_step[k, at] = 0.0
        for way in range(ways):
            if table[way] >= 0:
                let_through(way, source, target, table[way], fixed, still, moving, outside, state, speed[k], of, lets)
        for _ in range(int(parts)):
            settle(source, target, lets, capacity, extra, outside, state, net, given)
            for body in range(bodies):
                for at in range(lanes):
                    net[body, at] = extra[body, at]
                if cells[body, 0] > 0.0:
                    for at in range(lanes):
                        sample = of[at]
                        one_cell = heat_of_cell(
                            ohm, charge[k, sample], state[body, at], square[k, sample], slow[k, sample]
                        )
                        net[body, at] += cells[body, at] * (growth[at] * one_cell + links[at] * square[k, sample])
                for at in range(lanes):
                    book[GENERATED, at] += net[body, at] * short
                    by_step[k, at] += net[body, at] * short
            for way in range(ways):
                one, other = source[way], target[way]
                if other < bodies:
                    for at in range(lanes):
                        flow = lets[way, at] * (state[one, at] - state[other, at])
                        net[one, at] -= flow
                        net[other, at] += flow
                else:
                    for at in range(lanes):
                        flow = lets[way, at] * (state[one, at] - outside[other - bodies, at])
                        net[one, at] -= flow
                        book[SHED, at] += flow * short
            for body in range(bodies):
                if capacity[body, 0] > 0.0:
                    for at in range(lanes):
                        state[body, at] += net[body, at] * short / capacity[body, at]
        for at in range(lanes):
            hot[k, at], cold[k, at] = 0.0, 1e9
        for body in range(bodies):
            if cells[body, 0] > 0.0:
                for at in range(lanes):
                    hot[k, at] = np.maximum(hot[k, at], state[body, at])
                    cold[k, at] = np.minimum(cold[k, at], state[body, at])


@inner
def let_through(way, source, target, row, fixed, still, moving, outside, state, speed, of, lets):
    """What a way lets through that changes with the difference and the road speed."""
    one, other = source[way], target[way]
    bodies = state.shape[0]
    for at in range(state.shape[1]):
        there = state[other, at] if other < bodies else outside[other - bodies, at]
        free = read_even(still, row, np.abs(state[one, at] - there) * (1.0 / DIFFERENCE_STEP), at)
        swept = read_even(moving, row, speed[of[at]] * (1.0 / SPEED_STEP), at)
        lets[way, at] = fixed[way, at] + np.maximum(free, swept)


@inner
def settle(source, target, lets, capacity, extra, outside, state, net, given):
    """Bodies without heat capacity become as warm as their neighbours make them."""
    ways, lanes = lets.shape
    bodies = capacity.shape[0]
    for body in range(bodies):
        if capacity[body, 0] > 0.0:
            continue
        for at in range(lanes):
            net[body, at], given[body, at] = extra[body, at], 0.0
        for way in range(ways):
            one, other = source[way], target[way]
            if one == body and other < bodies:
                for at in range(lanes):
                    net[body, at] += lets[way, at] * state[other, at]
                    given[body, at] += lets[way, at]
            elif one == body:
                for at in range(lanes):
                    net[body, at] += lets[way, at] * outside[other - bodies, at]
                    given[body, at] += lets[way, at]
            elif other == body:
                for at in range(lanes):
                    net[body, at] += lets[way, at] * state[one, at]
                    given[body, at] += lets[way, at]
        for at in range(lanes):
            state[body, at] = net[body, at] / given[body, at]
