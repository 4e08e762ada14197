"""The laws of `physics` as the loops use them: the same functions, compiled."""

from voltwright.kernels.compiled import law
from voltwright.physics import (
    ageing,
    cell,
    cell_dynamics,
    heat_paths,
    motor,
    naumann_2018,
    naumann_2020,
    road_load,
    schmalstieg_2014,
    wang_2011,
)

aerodynamic_drag = law(road_load.aerodynamic_drag)
air_speed = law(road_load.air_speed)
head_wind = law(road_load.head_wind)
rolling_resistance = law(road_load.rolling_resistance)
linear_resistance = law(road_load.linear_resistance)
grade_force = law(road_load.grade_force)
mass_factor = law(road_load.mass_factor)
effective_mass = law(road_load.effective_mass)

motor_speed = law(motor.motor_speed)
torque_for_force = law(motor.torque_for_force)
force_for_torque = law(motor.force_for_torque)
voltage_share = law(motor.voltage_share)
torque_limit = law(motor.torque_limit)
idle_loss = law(motor.idle_loss)
motor_input = law(motor.motor_input)
torque_for_power = law(motor.torque_for_power)
inverter_input = law(motor.inverter_input)
inverter_output = law(motor.inverter_output)
winding_heat = law(motor.winding_heat)
warmth_after = law(motor.warmth_after)

greatest_current = law(cell.greatest_current)
current_for_power = law(cell.current_for_power)
power_at_current = law(cell.power_at_current)
terminal_voltage = law(cell.terminal_voltage)
kept_share = law(cell_dynamics.kept_share)
mean_share = law(cell_dynamics.mean_share)
lag_after = law(cell_dynamics.lag_after)
voltage_behind = law(cell_dynamics.voltage_behind)
resistance_of_step = law(cell_dynamics.resistance_of_step)
charge_after = law(cell_dynamics.charge_after)
cell_loss = law(cell_dynamics.cell_loss)
temperature_after = law(cell_dynamics.temperature_after)
cold_share = law(cell_dynamics.cold_share)

wear_after = law(ageing.wear_after)
loss_of_wear = law(ageing.loss_of_wear)
wear_of_loss = law(ageing.wear_of_loss)
schmalstieg_calendar_loss = law(schmalstieg_2014.schmalstieg_calendar_loss)
schmalstieg_calendar_growth = law(schmalstieg_2014.schmalstieg_calendar_growth)
schmalstieg_cycle_loss = law(schmalstieg_2014.schmalstieg_cycle_loss)
schmalstieg_cycle_growth = law(schmalstieg_2014.schmalstieg_cycle_growth)
schmalstieg_throughput = law(schmalstieg_2014.schmalstieg_throughput)
naumann_calendar_loss = law(naumann_2018.naumann_calendar_loss)
naumann_calendar_growth = law(naumann_2018.naumann_calendar_growth)
naumann_cycle_loss = law(naumann_2020.naumann_cycle_loss)
naumann_cycle_growth = law(naumann_2020.naumann_cycle_growth)
wang_factor = law(wang_2011.wang_factor)
wang_cycle_loss = law(wang_2011.wang_cycle_loss)
heat_of_current = law(heat_paths.heat_of_current)
