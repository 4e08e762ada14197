"""The laws of `physics` as the loops use them: the same functions, compiled."""

from voltwright.kernels.compiled import law
from voltwright.physics import cell, cell_dynamics, motor, road_load

aerodynamic_drag = law(road_load.aerodynamic_drag)
air_speed = law(road_load.air_speed)
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
