"""Of each figure whether more is better, less is better, or neither by itself; every key and family stands in one of the three."""

from __future__ import annotations

MORE_IS_BETTER = frozenset({
    "mass.payload_left", "mass.tyre_reserve_front", "mass.tyre_reserve_rear", "mass.bump_travel_front", "mass.bump_travel_rear",
    "pack.energy_gross", "pack.energy_usable", "pack.capacity",
    "pack.energy_usable_strings", "pack.join_voltage_difference", "pack.current_continuous", "pack.current_peak",
    "pack.current_charge", "pack.current_regen", "pack.power_peak", "pack.power_empty_cold",
    "drive.power_peak", "drive.power_continuous", "drive.wheel_torque_peak", "drive.regen_power", "drive.regen_power_cold",
    "drive.peak_time", "drive.grip_torque_dry", "drive.grip_torque_wet",
    "road.top_speed", "road.top_speed_sustained", "road.gradient_start", "road.gradient_start_wet", "road.gradient_at_50",
    "road.top_speed_towing", "road.gradient_sustained", "road.range_cold", "road.gradient_start_towing",
    "road.gradient_at_50_towing", "road.range", "road.arrival_charge",
    "brakes.rear_first_above_empty", "brakes.rear_first_above_laden", "brakes.deceleration_dry", "brakes.lock_front_wet",
    "brakes.lock_rear_wet", "brakes.lock_front_wet_regen", "brakes.lock_rear_wet_regen", "brakes.hold_gradient",
    "charge.dc_possible", "charge.range_per_hour",
    "wiring.dcdc_reserve", "wiring.battery_time", "wiring.standing_days", "wiring.standing_days_half",
    "wiring.standing_days_pack", "works.identity_points",
})  # fmt: skip
LESS_IS_BETTER = frozenset({
    "mass.kerb", "mass.laden", "mass.added", "pack.mass", "pack.resistance", "pack.full_power_lost_below",
    "drive.gearbox_torque_used", "drive.final_drive_torque_used", "drive.half_shaft_torque_used", "drive.coupling_torque_used",
    "drive.coast_torque_used", "drive.coast_torque_used_reverse", "drive.gearbox_torque_used_braking", "drive.gearbox_torque_used_reverse",
    "drive.mount_torque_used", "drive.mount_force",
    "road.time_0_50", "road.time_0_100", "road.time_80_120", "road.consumption", "road.consumption_wall",
    "road.cell_warmest",
    "brakes.stopping_distance", "brakes.descent_power", "brakes.descent_energy", "brakes.descent_temperature_front",
    "pack.string_share", "pack.string_share_drawn", "pack.string_charge_apart", "pack.join_current", "pack.join_heat",
    "pack.join_hidden_charge", "pack.join_hidden_current", "brakes.descent_temperature_rear", "brakes.pedal_factor", "brakes.vacuum_needed",
    "charge.time_full", "charge.time_20_80", "charge.wall_energy_full", "charge.time_full_cold", "charge.time_heating_cold",
    "charge.wall_energy_full_cold", "charge.plug_ins_per_week", "charge.hours_per_week", "charge.hours_each_time",
    "wiring.feed_drop", "wiring.standing_current", "wiring.dcdc_from_battery",
    "works.holes", "works.cuts", "works.welds", "works.load_bearing",
    "cost.parts", "cost.labour", "cost.total", "cost.price", "cost.price_with_tax",
})  # fmt: skip
# Where the mass lies, at which voltage, what comes out of the donor, where the energy goes, what is asked of others.
NEITHER = frozenset({
    "mass.removed", "mass.front_axle", "mass.rear_axle", "mass.front_axle_before", "mass.rear_axle_before",
    "mass.front_axle_laden", "mass.rear_axle_laden", "mass.cg_x", "mass.cg_y", "mass.cg_height", "mass.cg_x_laden",
    "mass.cg_y_laden", "mass.cg_height_laden", "mass.cg_x_before", "mass.cg_height_before", "mass.ride_height_front",
    "mass.ride_height_rear", "mass.spring_factor_front", "mass.spring_factor_rear",
    "pack.cells_series", "pack.cells_parallel", "pack.cell_count", "pack.module_count", "pack.voltage_nominal",
    "pack.voltage_full", "pack.voltage_empty", "pack.voltage_ac", "pack.current_motor_continuous", "pack.voltage_peak_power",
    "pack.voltage_empty_cold", "pack.join_time", "pack.replaced_unused", "pack.replaced_resistance",
    "drive.motor_speed_max_used", "drive.frequency_max", "drive.back_emf_peak", "drive.reverse_speed",
    "drive.final_drive_torque", "drive.half_shaft_torque", "drive.grip_used_dry", "drive.grip_used_wet", "drive.mount_torque",
    "drive.speed_in_gear",
    "road.energy.air", "road.energy.tyres", "road.energy.climb", "road.energy.brakes", "road.energy.gears",
    "road.energy.motor", "road.energy.inverter", "road.energy.accessories", "road.energy.cells",
    "road.climb", "road.climb_removed",
    "brakes.front_share", "brakes.balance_shift", "brakes.balance_shift_laden", "brakes.rear_first_above_before",
    "brakes.adhesion_front_empty", "brakes.adhesion_rear_empty", "brakes.adhesion_front_laden", "brakes.adhesion_rear_laden",
    "brakes.regeneration_braking",
    "charge.power_wall", "charge.current_pack",
    "wiring.dcdc_power", "wiring.dcdc_power_mean", "wiring.dcdc_power_charging", "wiring.dcdc_power_all", "wiring.dcdc_current",
    "wiring.battery_capacity", "wiring.battery_needed",
    "works.power_share", "works.power_share_peak", "works.mass_share",
})  # fmt: skip
