"""Years of life of one pack or many: standing and cycling month by month, until the capacity is gone or the years are over.

Each month adds its wear to what was there before: laws go on from the present state. What the week's driving takes out between two
charges is found anew each year, for a worn pack is emptied further.
"""

from __future__ import annotations

import numpy as np

from voltwright.kernels import laws
from voltwright.kernels.compiled import inner, loop
from voltwright.kernels.rainflow import counted, turned
from voltwright.physics import naumann_2018, naumann_2020, schmalstieg_2014, wang_2011

# Which laws hold: the first of a pair for standing, the second for cycling.
SCHMALSTIEG, NAUMANN, WANG = range(3)
STANDING_EXPONENT = (
    schmalstieg_2014.CALENDAR_EXPONENT,
    naumann_2018.CALENDAR_EXPONENT,
    naumann_2018.CALENDAR_EXPONENT,
)
CYCLING_EXPONENT = (schmalstieg_2014.CYCLE_EXPONENT, naumann_2020.CYCLE_EXPONENT, wang_2011.CYCLE_EXPONENT)
GROWTH_EXPONENT = (schmalstieg_2014.CALENDAR_EXPONENT, 1.0, 1.0)

# Rows of the numbers of a life; then twelve of the temperature of the parked cells, January first. [K]
(WAY_FULL, SPEED, AGAIN, TRIP, CHARGES, LIMIT, EMPTY, PARKED, LAID_UP, MONTHS, WARM, RISE, RATE, HEALTH, PAST, GROWTH,
 STANDING_FACTOR, CYCLING_FACTOR, NEEDED) = range(19)  # fmt: skip
FIRST_MONTH = 19
ROWS = FIRST_MONTH + 12

YEARS = 30  # of which each is kept
LONGEST = 60  # years until which capacity is followed for the times at which it passes a mark
RATED_END = 0.8  # of the rated capacity: where life is said to end
YEAR = 365.25 * 86400.0  # s
MONTH = YEAR / 12.0
DAY = 86400.0
WEEKS = 4  # of habit that are counted
POINTS = 1024  # turning points of these weeks, at most
MOST_TRIPS = 100  # a day
NOT_YET = -1.0  # s: no time yet; the loops are compiled as if there were no nan

# Results: years to the two marks [s], then capacity, what of its loss is by standing, and resistance, for each year from 0 on.
TO_END, TO_NEEDED = 0, 1
CAPACITY = 2
STOOD = CAPACITY + YEARS + 1
RESISTANCE = STOOD + YEARS + 1
RESULTS = RESISTANCE + YEARS + 1


@inner
def volt_at(volts, charge):
    """Open-circuit voltage from a raster over charge. [V]"""
    steps = len(volts) - 1
    x = np.minimum(np.maximum(charge, 0.0), 1.0) * steps
    i = min(int(x), steps - 1)
    return volts[i] + (volts[i + 1] - volts[i]) * (x - i)


@inner
def quadratic_mean(squares, low, high):
    """Quadratic mean of the voltage between two charges, from the raster of the integral of its square. [V]"""
    width = np.maximum(high - low, 1e-6)
    return np.sqrt((volt_at(squares, low + width) - volt_at(squares, low)) / width)


@inner
def standing_loss(model, volts, charge, temperature):
    """Rate of capacity by standing, over days or seconds to the law's exponent."""
    if model == SCHMALSTIEG:
        return laws.schmalstieg_calendar_loss(volt_at(volts, charge), temperature, 1.0, 1.0)
    return laws.naumann_calendar_loss(charge, temperature, 1.0)


@inner
def standing_growth(model, volts, charge, temperature):
    """Rate of resistance by standing, over days or seconds."""
    if model == SCHMALSTIEG:
        return laws.schmalstieg_calendar_growth(volt_at(volts, charge), temperature, 1.0, 1.0)
    return laws.naumann_calendar_growth(charge, temperature, 1.0)


@inner
def cycling_loss(model, squares, mean, depth, rate, temperature):
    """Rate of capacity by cycles of a depth about a mean charge, over throughput to the law's exponent."""
    if model == SCHMALSTIEG:
        volt = quadratic_mean(squares, mean - 0.5 * depth, mean + 0.5 * depth)
        return laws.schmalstieg_cycle_loss(volt, depth, 1.0)
    if model == WANG:
        return laws.wang_cycle_loss(laws.wang_factor(rate), rate, temperature, 1.0)
    return laws.naumann_cycle_loss(rate, depth)


@inner
def cycling_growth(model, squares, mean, depth, rate):
    """Rate of resistance by cycles, over throughput."""
    if model == SCHMALSTIEG:
        volt = quadratic_mean(squares, mean - 0.5 * depth, mean + 0.5 * depth)
        return laws.schmalstieg_cycle_growth(volt, depth, 1.0)
    return laws.naumann_cycle_growth(rate, depth)


@inner
def throughput(model, cycles):
    """Equivalent full cycles as the law counts throughput."""
    if model == SCHMALSTIEG:
        return laws.schmalstieg_throughput(2.0 * cycles, 1.0)  # charge and discharge both
    return wang_2011.TEST_CAPACITY * cycles if model == WANG else cycles


@inner
def weeks_of_habit(limit, empty, drop, trips_a_day, charges_a_day, points):
    """Turning points of the charge over some weeks: trips by day, charges by night, one more where the pack would not last.

    Returns how many there are.
    """
    charge, count = limit, turned(points, 0, limit)
    drop = np.minimum(drop, limit - empty)
    trips_due = charges_due = 0.0
    for _ in range(7 * WEEKS):
        trips_due = np.minimum(trips_due + trips_a_day, MOST_TRIPS)
        while trips_due >= 1.0:
            trips_due -= 1.0
            if charge - drop < empty - 1e-9:
                charge = limit
                count = turned(points, count, charge)
            charge -= drop
            count = turned(points, count, charge)
        charges_due += charges_a_day
        if charges_due >= 1.0:
            charges_due -= np.floor(charges_due)
            charge = limit
            count = turned(points, count, charge)
        if count > POINTS - 2 * MOST_TRIPS - 4:
            break
    return turned(points, count, limit)


@inner
def months_driven(numbers, at, driven):
    """The share of each month in which the car is used: it is laid up in the coldest."""
    for month in range(12):
        driven[month] = 1.0
    left = numbers[MONTHS, at]
    while left > 0.0:
        coldest = -1
        for month in range(12):
            kelvin = numbers[FIRST_MONTH + month, at]
            if driven[month] == 1.0 and (coldest < 0 or kelvin < numbers[FIRST_MONTH + coldest, at]):
                coldest = month
        if coldest < 0:
            break
        driven[coldest] = np.maximum(0.0, 1.0 - left)
        left -= 1.0


@inner
def stress_of_habit(model, squares, numbers, at, capacity, season, warm, rows):
    """Rates of loss and growth by cycling for a pack of a capacity: the mean over the cycles of the weeks, by their throughput."""
    points, stack, ranges, means, counts = rows[0], rows[1], rows[2], rows[3], rows[4]
    drop = numbers[TRIP, at] / (numbers[WAY_FULL, at] * capacity)
    a_day = numbers[SPEED, at] * DAY / (numbers[TRIP, at] * season)
    limit, empty = numbers[LIMIT, at], np.minimum(numbers[EMPTY, at], numbers[LIMIT, at] - 0.01)
    count = weeks_of_habit(limit, empty, drop, a_day, numbers[CHARGES, at] / 7.0, points)
    found = counted(points, count, stack, ranges, means, counts)
    loss = growth = weight = 0.0
    rate = numbers[RATE, at]
    for k in range(found):
        through = ranges[k] * counts[k]
        weight += through
        loss += through * cycling_loss(model, squares, means[k], ranges[k], rate, warm)
        growth += through * cycling_growth(model, squares, means[k], ranges[k], rate)
    return (loss / weight, growth / weight) if weight > 0.0 else (0.0, 0.0)


@inner
def months_of_standing(model, volts, numbers, at, driven, wear, growth):
    """Wear by standing of each month of the year: parked, warm from driving, and laid up. Returns the mean temperature when driven."""
    lost, grown = STANDING_EXPONENT[model], GROWTH_EXPONENT[model]
    unit = DAY if model == SCHMALSTIEG else 1.0
    season = warm_sum = 0.0
    for month in range(12):
        season += driven[month] / 12.0
    for month in range(12):
        cool = numbers[FIRST_MONTH + month, at]
        hot = cool + numbers[RISE, at]
        used = driven[month]
        warm = 0.0
        if season > 0.0:
            trips = numbers[SPEED, at] * MONTH * used / season / numbers[TRIP, at]
            warm = np.minimum(used, trips * numbers[WARM, at] / MONTH)
            warm_sum += hot * used / season / 12.0
        worn = more = 0.0
        for part in range(3):
            share = used - warm if part == 0 else warm if part == 1 else 1.0 - used
            charge = numbers[LAID_UP, at] if part == 2 else numbers[PARKED, at]
            kelvin = hot if part == 1 else cool
            amount = share * MONTH / unit
            rate = numbers[STANDING_FACTOR, at] * standing_loss(model, volts, charge, kelvin)
            worn = laws.wear_after(worn, rate, amount, lost)
            rate = numbers[STANDING_FACTOR, at] * standing_growth(model, volts, charge, kelvin)
            more = laws.wear_after(more, rate, amount, grown)
        wear[month], growth[month] = worn, more
    return season, warm_sum


@inner
def passed(mark, before, after, month):
    """When the capacity passed a mark within a month. [s]"""
    return (month + (before - mark) / (before - after)) * MONTH


@loop
def live(model, volts, squares, numbers, out):
    """Each column of `numbers` (ROWS, packs) is one pack; its results go into the same column of `out` (RESULTS, packs).

    `volts` and `squares` are rasters over charge from 0 to 1: voltage at rest, and the integral of its square.
    """
    rows, driven = np.empty((5, POINTS)), np.empty(12)
    standing, growing = np.empty(12), np.empty(12)
    lost, cycled, grown = STANDING_EXPONENT[model], CYCLING_EXPONENT[model], GROWTH_EXPONENT[model]
    for at in range(numbers.shape[1]):
        months_driven(numbers, at, driven)
        season, warm = months_of_standing(model, volts, numbers, at, driven, standing, growing)
        whole = np.maximum(1.0, numbers[HEALTH, at])  # new cells often hold a little more than they are rated for
        before = whole - numbers[HEALTH, at]
        gained = np.maximum(0.0, numbers[GROWTH, at] - 1.0)
        past = numbers[PAST, at]
        stood = laws.wear_of_loss(before * past, lost)
        ran = laws.wear_of_loss(before * (1.0 - past), cycled)
        grew = laws.wear_of_loss(gained * past, grown)
        added = numbers[GROWTH, at] - gained * past
        capacity = numbers[HEALTH, at]
        to_end, to_needed = NOT_YET, NOT_YET
        if capacity <= RATED_END:
            to_end = 0.0
        if capacity <= numbers[NEEDED, at]:
            to_needed = 0.0
        cycles = numbers[SPEED, at] * MONTH * (1.0 + numbers[AGAIN, at]) / numbers[WAY_FULL, at]
        for year in range(LONGEST + 1):
            if year <= YEARS:
                out[CAPACITY + year, at] = capacity
                out[STOOD + year, at] = laws.loss_of_wear(stood, lost)
                out[RESISTANCE + year, at] = added + laws.loss_of_wear(grew, grown)
            elif to_end >= 0.0 and to_needed >= 0.0:
                break
            if year == LONGEST:
                break
            loss = growth = 0.0
            if season > 0.0 and capacity > 0.05:
                loss, growth = stress_of_habit(model, squares, numbers, at, capacity, season, warm, rows)
            for month in range(12):
                amount = throughput(model, cycles * driven[month] / season) if season > 0.0 else 0.0
                stood += standing[month]
                ran = laws.wear_after(ran, numbers[CYCLING_FACTOR, at] * loss, amount, cycled)
                grew += growing[month]
                added += growth * numbers[CYCLING_FACTOR, at] * amount
                after = np.maximum(0.0, whole - laws.loss_of_wear(stood, lost) - laws.loss_of_wear(ran, cycled))
                if to_end < 0.0 and after <= RATED_END:
                    to_end = passed(RATED_END, capacity, after, 12 * year + month)
                if to_needed < 0.0 and after <= numbers[NEEDED, at]:
                    to_needed = passed(numbers[NEEDED, at], capacity, after, 12 * year + month)
                capacity = after
        out[TO_END, at], out[TO_NEEDED, at] = to_end, to_needed
