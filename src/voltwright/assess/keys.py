"""The public contract: for each key its unit, decimals, and label in plain words."""

from __future__ import annotations

import functools
from collections.abc import Iterable
from dataclasses import dataclass, replace

from voltwright.parts.trips import trip_title

YES_OR_NO = ("no", "yes")


@dataclass(frozen=True)
class Key:
    """What a figure is called, and how it is printed. `currency` stands for the currency of the build.

    `share`: a part of a whole, which people read in per cent. `answer`: what 0, 1 and so on stand for. `limited`: the
    least of several limits, and its label goes on with the one that binds.

    A family has `of`: what stands at the end of its keys, such as SUPPLY; `{name}` in its label is that name.
    """

    unit: str
    decimals: int
    label: str
    of: str = ""
    share: bool = False
    answer: tuple[str, ...] = ()
    limited: bool = False


QUESTIONS: dict[str, str] = {
    "mass": "What does it weigh, and where?",
    "pack": "What is the battery?",
    "drive": "Does the drive suit?",
    "road": "How fast, and how far?",
    "heat": "Does it need cooling?",
    "charge": "How long does charging take?",
    "life": "How long will the battery last?",
    "brakes": "Does it stop and hold?",
    "wiring": "Does the low-voltage side carry its loads?",  # all of "is it safe?" that is answered so far
    "works": "What is done to the car?",
    "cost": "What does it cost?",
}

KEYS: dict[str, Key] = {
    "mass.kerb": Key("kg", 0, "Kerb mass: ready to drive, without driver"),
    "mass.laden": Key("kg", 0, "Laden mass: with the seats and load of the brief"),
    "mass.removed": Key("kg", 0, "What comes out"),
    "mass.added": Key("kg", 0, "What goes in"),
    "mass.payload_left": Key("kg", 0, "Payload left: permitted gross mass less kerb mass"),
    "mass.front_axle": Key("kg", 0, "Front axle, kerb"),
    "mass.rear_axle": Key("kg", 0, "Rear axle, kerb"),
    "mass.front_axle_before": Key("kg", 0, "Front axle of the donor, kerb"),
    "mass.rear_axle_before": Key("kg", 0, "Rear axle of the donor, kerb"),
    "mass.front_axle_laden": Key("kg", 0, "Front axle, laden"),
    "mass.rear_axle_laden": Key("kg", 0, "Rear axle, laden"),
    "mass.cg_x": Key("m", 3, "Centre of gravity behind the front axle, kerb"),
    "mass.cg_y": Key("m", 3, "Centre of gravity left of the middle, kerb"),
    "mass.cg_height": Key("m", 3, "Centre of gravity above the ground, kerb"),
    "mass.cg_x_laden": Key("m", 3, "Centre of gravity behind the front axle, laden"),
    "mass.cg_y_laden": Key("m", 3, "Centre of gravity left of the middle, laden"),
    "mass.cg_height_laden": Key("m", 3, "Centre of gravity above the ground, laden"),
    "mass.cg_x_before": Key("m", 3, "Centre of gravity of the donor behind the front axle"),
    "mass.cg_height_before": Key("m", 3, "Centre of gravity of the donor above the ground"),
    "mass.ride_height_front": Key("mm", 0, "Ride height at the front on the old springs: plus rises, minus sinks"),
    "mass.ride_height_rear": Key("mm", 0, "Ride height at the rear on the old springs: plus rises, minus sinks"),
    "mass.spring_factor_front": Key(
        "1", 2, "Front springs: stiffness that restores the height, as a multiple of the old"
    ),
    "mass.spring_factor_rear": Key(
        "1", 2, "Rear springs: stiffness that restores the height, as a multiple of the old"
    ),
    "mass.bump_travel_front": Key("mm", 0, "Front bump travel that is left on the old springs, laden"),
    "mass.bump_travel_rear": Key("mm", 0, "Rear bump travel that is left on the old springs, laden"),
    "mass.tyre_reserve_front": Key("%", 0, "Front tyres: share of the load rating that is left, laden"),
    "mass.tyre_reserve_rear": Key("%", 0, "Rear tyres: share of the load rating that is left, laden"),
    "pack.cells_series": Key("1", 0, "Cell groups in series"),
    "pack.cells_parallel": Key("1", 0, "Cells in parallel"),
    "pack.cell_count": Key("1", 0, "Cells in all"),
    "pack.module_count": Key("1", 0, "Modules in all"),
    "pack.string_share": Key("%", 0, "Largest share of the pack's current that one string carries"),
    "pack.voltage_nominal": Key("V", 1, "Nominal voltage"),
    "pack.voltage_full": Key("V", 1, "Voltage at full charge, at rest"),
    "pack.voltage_empty": Key("V", 1, "Voltage at the cells' lower limit, at rest"),
    "pack.voltage_ac": Key("V", 1, "Greatest alternating voltage at the motor, line to line (rms), at full charge"),
    "pack.capacity": Key("Ah", 1, "Capacity, at the present health"),
    "pack.energy_gross": Key("kWh", 2, "Energy: nominal voltage times present capacity"),
    "pack.energy_usable": Key("kWh", 2, "Energy inside the usable window, drawn slowly"),
    "pack.resistance": Key("mΩ", 1, "Resistance: 10 s, 25 °C, 50 % charge"),
    "pack.current_continuous": Key("A", 0, "Continuous discharge current"),
    "pack.current_peak": Key("A", 0, "Discharge current for 10 s"),
    "pack.current_motor_continuous": Key("A", 0, "Current for the motor's continuous power at 50 % charge and 25 °C"),
    "pack.current_charge": Key("A", 0, "Continuous charging current"),
    "pack.current_regen": Key("A", 0, "Regeneration current for 10 s"),
    "pack.power_peak": Key("kW", 1, "Pack power for 10 s at 80 % charge and 25 °C"),
    "pack.voltage_peak_power": Key("V", 1, "Voltage under that power"),
    "pack.power_empty_cold": Key("kW", 1, "Pack power for 10 s at 10 % charge on the coldest design day"),
    "pack.voltage_empty_cold": Key("V", 1, "Voltage under that power, empty and cold"),
    "pack.full_power_lost_below": Key(
        "1",
        2,
        "Charge at 25 °C below which the motor's full power is lost, as a fraction of full",
        share=True,
    ),
    "pack.energy_usable_strings": Key(
        "kWh", 2, "Energy inside the usable window until the first string is empty, drawn in 2 h"
    ),
    "pack.string_charge_apart": Key("%", 1, "How far apart in charge the strings are when the first is empty"),
    "pack.string_share_drawn": Key("%", 0, "Largest share of the current that one string carries on the way down"),
    "pack.join_voltage_difference": Key(
        "V", 1, "Most difference of voltage at which a string may be joined", limited=True
    ),
    "pack.join_current": Key("A", 0, "Current in the first moment were a full string joined to empty ones"),
    "pack.join_heat": Key("kWh", 2, "Heat were a full string joined to empty ones"),
    "pack.join_time": Key("min", 0, "Time until strings joined at the most difference agree"),
    "pack.join_hidden_charge": Key("%", 0, "Hidden charge: how far strings may differ that read the same voltage"),
    "pack.join_hidden_current": Key("A", 0, "Current that a hidden charge can drive between joined strings later"),
    "pack.replaced_unused": Key("%", 0, "Share of a replaced module that its worn string never uses"),
    "pack.replaced_resistance": Key("%", 1, "Part of a string's resistance that goes with one replaced module"),
    "pack.mass": Key("kg", 0, "Pack with its boxes"),
    "drive.power_peak": Key("kW", 1, "Peak power at the wheels, pack at 80 % charge and 25 °C"),
    "drive.power_continuous": Key("kW", 1, "Continuous power at the wheels, pack at 80 % charge and 25 °C"),
    "drive.wheel_torque_peak": Key("N·m", 0, "Peak torque at the driven wheels together, lowest gear"),
    "drive.motor_speed_max_used": Key("rpm", 0, "Highest motor speed, in any gear"),
    "drive.frequency_max": Key("Hz", 0, "Frequency of the motor's current at its highest speed"),
    "drive.gearbox_torque_used": Key(
        "1", 2, "Motor torque into the gearbox, as a fraction of what it bears", share=True
    ),
    "drive.back_emf_peak": Key("V", 0, "Crest of the back-EMF, line to line, at the motor's highest speed"),
    "drive.reverse_speed": Key("km/h", 0, "Fastest backwards: as motor, gears and the setting of the inverter allow"),
    "drive.final_drive_torque": Key("N·m", 0, "Peak torque into the final drive, lowest gear"),
    "drive.final_drive_torque_used": Key("1", 2, "Final drive: peak torque as a fraction of what it bears", share=True),
    "drive.half_shaft_torque": Key("N·m", 0, "Peak torque of each half shaft, lowest gear"),
    "drive.half_shaft_torque_used": Key("1", 2, "Half shaft: peak torque as a fraction of what it bears", share=True),
    "drive.coupling_torque_used": Key(
        "1", 2, "Coupling: the motor's peak torque as a fraction of what it bears", share=True
    ),
    "drive.coast_torque_used": Key(
        "1", 2, "Coast side: torque of the braking motor as a fraction of what it bears", share=True
    ),
    "drive.coast_torque_used_reverse": Key(
        "1",
        2,
        "Coast side: torque of the reversing motor as a fraction of what it bears",
        share=True,
    ),
    "drive.gearbox_torque_used_braking": Key(
        "1",
        2,
        "Old gearbox: torque of the braking motor as a fraction of what it bears",
        share=True,
    ),
    "drive.gearbox_torque_used_reverse": Key(
        "1",
        2,
        "Old gearbox: torque of the reversing motor as a fraction of what it bears",
        share=True,
    ),
    "drive.grip_torque_dry": Key("N·m", 0, "Torque at the driven wheels at which they spin on a dry road, laden"),
    "drive.grip_torque_wet": Key("N·m", 0, "Torque at the driven wheels at which they spin on a wet road, laden"),
    "drive.grip_used_dry": Key(
        "1", 2, "Peak torque as a fraction of what spins the driven wheels on a dry road", share=True
    ),
    "drive.grip_used_wet": Key(
        "1", 2, "Peak torque as a fraction of what spins the driven wheels on a wet road", share=True
    ),
    "drive.mount_torque": Key("N·m", 0, "Peak torque that the mounts of motor and gears must hold"),
    "drive.mount_torque_used": Key(
        "1", 2, "Mounts: that torque as a fraction of what the old engine gave them", share=True
    ),
    "drive.mount_force": Key("N", 0, "Force on each mount by that torque, the weight left out"),
    "drive.regen_power": Key("kW", 1, "Regeneration: power that the pack takes back at 80 % charge and 25 °C"),
    "drive.regen_power_cold": Key("kW", 1, "Regeneration: power that the pack takes back on the coldest design day"),
    "drive.peak_time": Key("s", 0, "Time that the motor's peak power lasts after a drive at half its continuous power"),
    "road.time_0_50": Key("s", 1, "Pace: 0 to 50 km/h, laden"),
    "road.time_0_100": Key("s", 1, "Pace: 0 to 100 km/h, laden"),
    "road.time_80_120": Key("s", 1, "Pace: 80 to 120 km/h, laden"),
    "road.top_speed": Key("km/h", 0, "Top speed on the level, laden"),
    "road.top_speed_sustained": Key("km/h", 0, "Top speed that the continuous rating sustains, laden"),
    "road.gradient_start": Key("%", 0, "Slope on which the laden car starts"),
    "road.gradient_start_wet": Key("%", 0, "Slope on which the laden car starts on a wet road"),
    "road.gradient_at_50": Key("%", 0, "Slope that the laden car climbs at 50 km/h"),
    "road.top_speed_towing": Key("km/h", 0, "Top speed on the level, laden, with the trailer of the brief"),
    "road.gradient_sustained": Key("%", 0, "Slope that the laden car climbs continuously, crawling in its lowest gear"),
    "road.range_cold": Key("km", 0, "Range on the customer's trip on the coldest design day, cabin heater as fitted"),
    "road.gradient_start_towing": Key("%", 0, "Slope on which the laden car starts with the trailer"),
    "road.gradient_at_50_towing": Key("%", 0, "Slope that the laden car climbs at 50 km/h with the trailer"),
    "road.energy.air": Key("Wh/km", 1, "Where the energy of the customer's trip went: air"),
    "road.energy.tyres": Key("Wh/km", 1, "Where it went: tyres and what else rolls"),
    "road.energy.climb": Key("Wh/km", 1, "Where it went: height won"),
    "road.energy.brakes": Key("Wh/km", 1, "Where it went: friction brakes"),
    "road.energy.gears": Key("Wh/km", 1, "Where it went: gears"),
    "road.energy.motor": Key("Wh/km", 1, "Where it went: motor"),
    "road.energy.inverter": Key("Wh/km", 1, "Where it went: inverter"),
    "road.energy.accessories": Key("Wh/km", 1, "Where it went: accessories"),
    "road.energy.cells": Key("Wh/km", 1, "Where it went: cells"),
    "heat.verdict": Key("1", 0, "Least cooling that is enough on the hottest day", answer=("none", "air", "liquid")),
    "heat.headroom": Key(
        "1", 2, "More heat that the cells bear on the worst duty, as a fraction of it, as cooled", share=True
    ),
    "heat.spread": Key("K", 1, "Hottest cell less coldest cell, on the worst duty, with the cooling that is fitted"),
    "heat.flip_power": Key("kW", 1, "Battery power held for an hour above which the uncooled pack is too warm"),
    "heat.motor_sustained": Key("kW", 1, "Shaft power for an hour on the hottest day", limited=True),
    "heat.coolant_flow": Key("l/min", 1, "Flow of coolant that is needed"),
    "heat.pump_head": Key("kPa", 1, "Pressure of the pump that is needed, at the flow that is needed"),
    "heat.radiator": Key("W/K", 0, "Radiator that is needed, by coolant and air where they come in"),
    "heat.coolant_flow_fitted": Key("l/min", 1, "Flow of coolant where pump and loop agree"),
    "heat.pump_head_fitted": Key("kPa", 1, "Pressure of the pumps that are fitted, at the flow that is needed"),
    "heat.radiator_fitted": Key("W/K", 0, "Radiator that is fitted, at the flow of the loop, on the hill"),
    "heat.radiator_standing": Key("W/K", 0, "Radiator that is fitted, at the flow of the loop, while the car stands"),
    "heat.air_flow": Key("m³/h", 0, "Air through the boxes that cooling by air needs on the worst duty"),
    "heat.air_flow_fitted": Key("m³/h", 0, "Air through the boxes that their fans blow"),
    "heat.heater_energy": Key("kWh", 2, "Energy to warm the pack on the coldest day until it charges at full current"),
    "heat.heater_time": Key("h", 1, "Time to warm the pack on the coldest day until it charges at full current"),
    "charge.wall_energy_full": Key("kWh", 1, "Energy from the wall for a charge from the lowest to the highest used"),
    "charge.wall_energy_full_cold": Key(
        "kWh", 1, "Energy from the wall for a whole charge on the coldest design day, with heating"
    ),
    "charge.plug_ins_per_week": Key("1", 1, "Charges a week that the yearly distance needs"),
    "charge.hours_per_week": Key("h", 1, "Hours on the plug that a week needs, at the first supply"),
    "charge.hours_each_time": Key("h", 1, "Hours on the plug each time, as often as the customer plugs in"),
    "charge.dc_possible": Key("1", 0, "Charging by direct current is possible", answer=YES_OR_NO),
    "life.years_to_80": Key("year", 1, "Years until 80 % of the rated capacity are left"),
    "life.distance_to_80": Key("km", 0, "Distance until 80 % of the rated capacity are left"),
    "life.capacity_at_10_years": Key("1", 2, "Capacity after ten years, as a fraction of rated", share=True),
    "life.capacity_at_10_years_second": Key(
        "1", 2, "Capacity after ten years by a second law of cycling, as a fraction of rated", share=True
    ),
    "life.calendar_share": Key(
        "1", 2, "Calendar ageing: what comes by standing, as a fraction of the loss of ten years", share=True
    ),
    "life.cycles_per_year": Key("1", 1, "Equivalent full cycles in a year"),
    "life.resistance_at_10_years": Key("1", 2, "Resistance after ten years, as a multiple of new"),
    "life.range_at_10_years": Key("km", 0, "Range on the customer's trip after ten years"),
    "life.power_at_10_years": Key("kW", 1, "Pack power for 10 s at 80 % charge and 25 °C, after ten years"),
    "life.time_0_50_at_10_years": Key("s", 1, "Pace: 0 to 50 km/h after ten years, laden"),
    "life.time_0_100_at_10_years": Key("s", 1, "Pace: 0 to 100 km/h after ten years, laden"),
    "life.years_to_brief_range": Key("year", 1, "Years until the range falls below that of the brief"),
    "life.rule_of_thumb_distance": Key("km", 0, "Rule of thumb: rated cycles times the range of one charge"),
    "life.rule_of_thumb_years": Key("year", 1, "Rule of thumb: that distance at the yearly distance"),
    "life.replacement_cost_per_year": Key("currency", 2, "Replacement: price of the modules by the year until 80 %"),
    "life.replacement_cost_per_km": Key("currency", 3, "Replacement: price of the modules by the kilometre until 80 %"),
    "life.lay_up_days_pack": Key("d", 0, "Days laid up until the pack is at its lowest used charge"),
    "brakes.front_share": Key("%", 0, "Brake balance: what the front brakes do of a gentle braking"),
    "brakes.balance_shift": Key("%", 1, "Shift of the brake balance that suits, driver alone: plus to the front"),
    "brakes.balance_shift_laden": Key("%", 1, "Shift of the brake balance that suits, laden: plus to the front"),
    "brakes.rear_first_above_before": Key(
        "1", 2, "Braking (share of gravity) from which the rear locks first: donor, driver alone"
    ),
    "brakes.rear_first_above_empty": Key(
        "1", 2, "Braking (share of gravity) from which the rear locks first: driver alone"
    ),
    "brakes.rear_first_above_laden": Key("1", 2, "Braking (share of gravity) from which the rear locks first: laden"),
    "brakes.adhesion_front_empty": Key("1", 2, "Adhesion used by the front tyres in a hard stop (0.5 g), driver alone"),
    "brakes.adhesion_rear_empty": Key("1", 2, "Adhesion used by the rear tyres in a hard stop (0.5 g), driver alone"),
    "brakes.adhesion_front_laden": Key("1", 2, "Adhesion used by the front tyres in a hard stop (0.5 g), laden"),
    "brakes.adhesion_rear_laden": Key("1", 2, "Adhesion used by the rear tyres in a hard stop (0.5 g), laden"),
    "brakes.deceleration_dry": Key("m/s²", 1, "Deceleration on a dry road before an axle locks, laden"),
    "brakes.stopping_distance": Key("m", 0, "Stopping distance from 50 km/h on a dry road before an axle locks, laden"),
    "brakes.lock_front_wet": Key(
        "1", 2, "Braking (share of gravity) at which the front locks in the wet, driver alone"
    ),
    "brakes.lock_rear_wet": Key("1", 2, "Braking (share of gravity) at which the rear locks in the wet, driver alone"),
    "brakes.lock_front_wet_regen": Key(
        "1", 2, "Braking at which the front locks in the wet with regeneration, low gear, 50 km/h"
    ),
    "brakes.lock_rear_wet_regen": Key(
        "1", 2, "Braking at which the rear locks in the wet with regeneration, low gear, 50 km/h"
    ),
    "brakes.regeneration_braking": Key(
        "m/s²", 2, "Deceleration by regeneration alone, lowest gear, 50 km/h, dry road, driver alone", limited=True
    ),
    "brakes.descent_power": Key("kW", 1, "Heat of the friction brakes on the descent, laden, without regeneration"),
    "brakes.descent_energy": Key("kWh", 2, "Energy that the brakes take on the descent, laden, without regeneration"),
    "brakes.descent_temperature_front": Key(
        "°C", 0, "Front discs or drums at the foot of the descent, laden, without regeneration"
    ),
    "brakes.descent_temperature_rear": Key(
        "°C", 0, "Rear discs or drums at the foot of the descent, laden, without regeneration"
    ),
    "brakes.pedal_factor": Key("1", 1, "Pedal force with a dead servo, as a multiple of the donor's for the same stop"),
    "brakes.vacuum_needed": Key("kPa", 0, "Vacuum with which the laden car stops as the donor did under the same foot"),
    "brakes.hold_gradient": Key("%", 0, "Slope on which the parking brake holds the laden car, facing up or down"),
    "wiring.dcdc_power": Key("W", 0, "What the DC-DC must give for hours, on a wet night or on the plug"),
    "wiring.dcdc_power_mean": Key("W", 0, "Low-voltage loads by their use, as they are over a year of driving"),
    "wiring.dcdc_power_charging": Key("W", 0, "What the DC-DC must give while the car charges"),
    "wiring.dcdc_power_all": Key("W", 0, "What the low-voltage side draws with everything on at once"),
    "wiring.dcdc_reserve": Key("%", 0, "Reserve of the DC-DC: share of its rating that is left for hours"),
    "wiring.dcdc_from_battery": Key("W", 0, "What the low-voltage battery must give with everything on at once"),
    "wiring.dcdc_current": Key("A", 0, "Current in the output cable of the DC-DC at its full power"),
    "wiring.feed_drop": Key("V", 2, "Voltage lost in the output cable of the DC-DC at its full power"),
    "wiring.battery_capacity": Key("Ah", 0, "Capacity of the low-voltage battery as it ages"),
    "wiring.battery_needed": Key("Ah", 0, "Low-voltage battery: capacity for hazard lamps and waking the car"),
    "wiring.battery_time": Key("h", 1, "Time for which the low-voltage battery alone carries a wet night"),
    "wiring.standing_current": Key("mA", 0, "Standing current: what the parked car draws"),
    "wiring.standing_days": Key("d", 0, "Days parked until the low-voltage battery no longer wakes the car"),
    "wiring.standing_days_half": Key("d", 0, "Days parked until the low-voltage battery is half empty"),
    "wiring.standing_days_pack": Key("d", 0, "Days parked until the DC-DC has drained the pack"),
    "works.holes": Key("1", 0, "Holes made in the car"),
    "works.cuts": Key("1", 0, "Cuts made in the car"),
    "works.welds": Key("1", 0, "Welds made on the car"),
    "works.load_bearing": Key("1", 0, "Holes, cuts and welds in load-bearing metal"),
    "works.identity_points": Key("1", 0, "Identity points: what is left of the original components"),
    "works.power_share": Key("%", 0, "Power share: continuous power of the motor over the power of the old engine"),
    "works.power_share_peak": Key("%", 0, "Power share: peak power of the motor over the power of the old engine"),
    "works.mass_share": Key("%", 0, "Mass share: kerb mass over that of the donor"),
    "cost.parts": Key("currency", 2, "Parts, at cost"),
    "cost.labour": Key("currency", 2, "Labour, at cost"),
    "cost.total": Key("currency", 2, "Parts and labour, at cost"),
    "cost.price": Key("currency", 2, "Price without tax"),
    "cost.price_with_tax": Key("currency", 2, "Price with tax"),
}

# What heats the cells, beside the trips of the duty.
DUTIES = {
    "motorway": "an hour of motorway on the hottest day",
    "hill": "10 km up a slope of 8 %, on the hottest day",
    "starts": "ten starts at full power in a row, on the hottest day",
    "towing": "an hour with the trailer, on the hottest day",
    "dc-charge": "a fast charge after an hour of motorway",
    "sun": "an hour of motorway after a hot day in the sun",
    "cold": "an hour of motorway after a night on the coldest day",
}

# Keys with a name at the end: `charge.time_full.home` is of the family `charge.time_full`.
FAMILIES: dict[str, Key] = {
    "drive.speed_in_gear": Key(
        "km/h", 0, "Road speed at which motor and gears turn as fast as they may, gear {name}", "GEAR"
    ),
    "road.consumption": Key("Wh/km", 0, "Consumption at the battery, trip '{name}'", "TRIP"),
    "road.consumption_wall": Key("Wh/km", 0, "Consumption at the wall, trip '{name}'", "TRIP"),
    "road.range": Key("km", 0, "Range, trip '{name}'", "TRIP"),
    "road.arrival_charge": Key(
        "%", 0, "Charge left at the end of one drive from the highest used charge, '{name}'", "TRIP"
    ),
    "road.cell_warmest": Key("°C", 0, "Warmest cell on one drive, '{name}'", "TRIP"),
    "road.climb": Key("m", 0, "Climb of the route, '{name}'", "TRIP"),
    "road.climb_removed": Key("m", 0, "Climb taken out of the route as noise of its heights, '{name}'", "TRIP"),
    "heat.cell_peak": Key("°C", 0, "Hottest cell: {name}", "DUTY"),
    "charge.time_full": Key(
        "h", 1, "Time to charge from the lowest to the highest used charge, supply '{name}'", "SUPPLY"
    ),
    "charge.time_20_80": Key("h", 1, "Time to charge from 20 to 80 %, supply '{name}'", "SUPPLY"),
    "charge.time_full_cold": Key("h", 1, "Time of a whole charge on the coldest design day, supply '{name}'", "SUPPLY"),
    "charge.time_heating_cold": Key("h", 1, "Time of heating before it, coldest design day, supply '{name}'", "SUPPLY"),
    "charge.range_per_hour": Key(
        "km/h", 0, "Range gained for each hour on the plug, 20 to 80 %, supply '{name}'", "SUPPLY"
    ),
    "charge.power_wall": Key("kW", 1, "Power drawn at 20 % charge, supply '{name}'", "SUPPLY"),
    "charge.current_pack": Key("A", 0, "Current into the pack at 20 % charge, supply '{name}'", "SUPPLY"),
}


@functools.lru_cache(1024)
def question_of(key: str) -> str:
    return key.split(".")[0]


def family_of(key: str) -> str:
    """The longest prefix of FAMILIES to which a key belongs; nothing where there is none."""
    return max((each for each in FAMILIES if key.startswith(f"{each}.")), key=len, default="")


@functools.lru_cache(1024)
def key_of(key: str) -> Key:
    """What is known of a key. Raises KeyError for one of neither KEYS nor a family."""
    if key in KEYS:
        return KEYS[key]
    family = family_of(key)
    known = FAMILIES[family]
    name = key.removeprefix(f"{family}.")
    return replace(known, label=known.label.format(name=_title(known.of, name)))


def _title(of: str, name: str) -> str:
    """What people call a trip or a duty; all else by the name that the workshop gave it."""
    if of == "DUTY":
        return DUTIES.get(name, f"the trip '{name}', on the hottest day")
    return trip_title(name) if of == "TRIP" else name


def in_order(keys: Iterable[str]) -> list[str]:
    """Keys in the order of the contract: by question, fixed ones as in KEYS, then each family in the order of entry."""
    questions, fixed, families = list(QUESTIONS), list(KEYS), list(FAMILIES)

    def place(key: str) -> tuple[int, int]:
        known = fixed.index(key) if key in KEYS else len(fixed) + families.index(family_of(key))
        return questions.index(question_of(key)), known

    return sorted(keys, key=place)
