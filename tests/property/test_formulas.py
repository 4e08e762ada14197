"""A law is written once: each function equals its equation, and its units are right."""

from __future__ import annotations

import importlib
import pkgutil
from decimal import Decimal
from typing import Any

import numpy as np
import pytest
import sympy
from hypothesis import given
from hypothesis import strategies as st
from sympy.parsing.sympy_parser import parse_expr

import voltwright.kernels
import voltwright.physics
from voltwright.quantity.formula import Formula, all_formulas, pretty, unpretty
from voltwright.quantity.units import Unit, registry

HOMES = ("voltwright.physics", "voltwright.kernels")
for package in (voltwright.physics, voltwright.kernels):
    for module in pkgutil.iter_modules(package.__path__):
        importlib.import_module(f"{package.__name__}.{module.name}")

FORMULAS = [each for each in all_formulas() if each.function.__module__.startswith(HOMES)]
EQUATIONS = [each for each in FORMULAS if not each.is_procedure]
# Each procedure has a published check of its own, named here.
PROCEDURES = {
    "equal_adhesion_with_valve": "tests/published/test_brakes.py",
    "charge_limits": "tests/published/test_charging_times.py",
    "pack_source": "tests/published/test_charging_times.py",
    "voltage_fits": "tests/published/test_charging_times.py",
    "charging_energy": "tests/published/test_charging_times.py",
    "charging_time": "tests/published/test_charging_times.py",
    "charge_reached": "tests/published/test_charging_times.py",
    "speed_for_power": "tests/published/test_pace.py",
    "open_circuit_voltage": "tests/published/test_tables.py",
    "cell_resistance": "tests/published/test_tables.py",
    "mean_open_circuit_voltage": "tests/published/test_tables.py",
    "charge_where_power_fails": "tests/published/test_power.py",
    "to_the_cent": "tests/published/test_money.py",
    "pilot_current": "tests/published/test_charge_interface.py",
    "pilot_duty": "tests/published/test_charge_interface.py",
    "coast_down_time": "tests/published/test_coast_down.py",
    "rounded_economy": "tests/published/test_label.py",
    "copper_of_points": "tests/published/test_motor_fit.py",
    "iron_of_points": "tests/published/test_motor_fit.py",
    "windage_of_points": "tests/published/test_motor_fit.py",
    "constant_of_points": "tests/published/test_motor_fit.py",
    "misfit_of_points": "tests/published/test_motor_fit.py",
    "power_of_curve": "tests/published/test_motor_fit.py",
    "pull_out_of_curve": "tests/published/test_motor_fit.py",
    "misfit_of_curve": "tests/published/test_motor_fit.py",
    "tables_of": "tests/published/test_kernel_road.py",
    "car_of": "tests/published/test_kernel_road.py",
    "at_full_power": "tests/published/test_kernel_road.py",
    "drive_until_empty": "tests/published/test_kernel_road.py",
    "drive_once": "tests/published/test_kernel_oracles.py",
    "energy_of": "tests/published/test_kernel_road.py",
    "chemistry_of": "tests/published/test_kernel_road.py",
    "way_of": "tests/published/test_kernel_road.py",
    "part_of": "tests/published/test_kernel_road.py",
    "sprint": "tests/published/test_kernel_road.py",
    "time_between_of": "tests/published/test_kernel_road.py",
    "top_of": "tests/published/test_kernel_road.py",
    "shifts_between_of": "tests/published/test_kernel_road.py",
    "in_the_cold": "tests/published/test_kernel_road.py",
    "charge_left_of": "tests/published/test_routes.py",
    "warmest_of": "tests/published/test_routes.py",
    "charge_while_warming": "tests/published/test_charging_cold.py",
    "time_of_charge": "tests/published/test_charging_cold.py",
    "energy_of_charge": "tests/published/test_charging_cold.py",
    "heat_of_charge": "tests/published/test_charging_cold.py",
    "one_string": "tests/published/test_strings.py",
    "beside": "tests/published/test_strings.py",
    "share_at_once": "tests/published/test_strings.py",
    "draw_until_first_empty": "tests/published/test_strings.py",
    "energy_of_strings": "tests/published/test_strings.py",
    "charge_apart": "tests/published/test_strings.py",
    "share_drawn": "tests/published/test_strings.py",
    "slope_at": "tests/published/test_strings.py",
    "hidden_charge": "tests/published/test_strings.py",
    "difference_later": "tests/published/test_strings.py",
    "rainflow_cycles": "tests/published/test_ageing.py",
    "mean_speed_of": "tests/published/test_ageing.py",
    "months_entered": "tests/published/test_ageing.py",
    "months_of_season": "tests/published/test_ageing.py",
    "lived": "tests/published/test_ageing.py",
    "years_to_end": "tests/published/test_ageing.py",
    "years_to_needed": "tests/published/test_ageing.py",
    "capacity_after": "tests/published/test_ageing.py",
    "resistance_after": "tests/published/test_ageing.py",
    "standing_share": "tests/published/test_ageing.py",
    "mean_of_months": "tests/published/test_warm_hours.py",
    "rise_on_trip": "tests/published/test_warm_hours.py",
    "driven_of": "tests/published/test_warm_hours.py",
    "end_of": "tests/published/test_warm_hours.py",
    "cooling_constant": "tests/published/test_warm_hours.py",
    "with_worn_cells": "tests/published/test_warm_hours.py",
    "stuff_of": "tests/published/test_warmth.py",
    "shell_of": "tests/published/test_warmth.py",
    "cooling_of": "tests/published/test_warmth.py",
    "box_of": "tests/published/test_warmth.py",
    "heat_tables": "tests/published/test_warmth.py",
    "stream_of_drive": "tests/published/test_warmth.py",
    "then_charged": "tests/published/test_warmth.py",
    "steady_stream": "tests/published/test_warmth.py",
    "first_box": "tests/published/test_warmth.py",
    "one_box_more": "tests/published/test_warmth.py",
    "warmed": "tests/published/test_warmth.py",
    "peak_of": "tests/published/test_warmth.py",
    "spread_of": "tests/published/test_warmth.py",
    "factor_at_limit": "tests/published/test_warmth.py",
    "steady_heat_of": "tests/published/test_warmth.py",
    "speed_of": "tests/published/test_warmth.py",
    "frame_of": "tests/published/test_warmth.py",
    "first_frame": "tests/published/test_warmth.py",
    "one_frame_more": "tests/published/test_warmth.py",
    "air_needed": "tests/published/test_warmth.py",
    "units_of": "tests/published/test_cooling_loop.py",
    "pumps_alike": "tests/published/test_cooling_loop.py",
    "pumps_in_a_row": "tests/published/test_cooling_loop.py",
    "head_at": "tests/published/test_cooling_loop.py",
    "flow_of_fans": "tests/published/test_cooling_loop.py",
    "radiator_at": "tests/published/test_heat.py",
    "least_cooling": "tests/published/test_heat.py",
    "flow_of_pump": "tests/published/test_heat.py",
    "mix_density": "tests/published/test_heat.py",
    "mix_specific_heat": "tests/published/test_heat.py",
    "mix_conductivity": "tests/published/test_heat.py",
    "mix_viscosity": "tests/published/test_heat.py",
}
FUNCTIONS = {
    name: getattr(sympy, name)
    for name in (
        "sqrt",
        "exp",
        "log",
        "tan",
        "asin",
        "atan",
        "atan2",
        "Abs",
        "sin",
        "cos",
        "Min",
        "Max",
        "Abs",
        "pi",
        "Integer",
        "Float",
    )
}


def parsed(law: Formula, text: str | None = None) -> Any:
    """The equation as SymPy reads it, with the parameters' own names as symbols."""
    names = {each.name: sympy.Symbol(each.name) for each in law.parameters}
    return parse_expr(text or law.equation, local_dict=names, global_dict=dict(FUNCTIONS))


def test_every_procedure_is_listed_with_its_check() -> None:
    assert {each.name for each in FORMULAS if each.is_procedure} == set(PROCEDURES)


@pytest.mark.parametrize("law", EQUATIONS, ids=lambda law: law.name)
def test_the_equation_uses_each_parameter(law: Formula) -> None:
    assert {str(each) for each in parsed(law).free_symbols} == {each.name for each in law.parameters}


@pytest.mark.parametrize("law", EQUATIONS, ids=lambda law: law.name)
@given(data=st.data())
def test_the_function_equals_its_equation(law: Formula, data: st.DataObject) -> None:
    values = {each.name: data.draw(st.floats(0.05, 1.4), label=each.name) for each in law.parameters}
    given_values = {name: Decimal(repr(value)) for name, value in values.items()} if law.exact else values
    with np.errstate(invalid="ignore"):
        expected = float(sympy.lambdify(list(values), parsed(law), "numpy")(**values))
        got = float(law.function(**given_values))
    assert got == pytest.approx(expected, rel=1e-12, abs=1e-15, nan_ok=True)


@pytest.mark.parametrize("law", EQUATIONS, ids=lambda law: law.name)
def test_the_units_are_right(law: Formula) -> None:
    made = registry()
    values = {each.name: made.Quantity(0.3, _base(each.unit)) for each in law.parameters}
    with np.errstate(invalid="ignore"):
        result = law.function(**values)
    assert made.get_dimensionality(getattr(result, "units", made.dimensionless)) == made.get_dimensionality(
        _base(law.unit)
    )


def _base(unit: Unit | None) -> Any:
    assert unit is not None
    if unit.dimension == "dimensionless":
        return registry().dimensionless
    return registry().get_base_units("kelvin" if unit.is_temperature_point else unit.pint_name)[1]


@pytest.mark.parametrize("law", EQUATIONS, ids=lambda law: law.name)
def test_the_printed_equation_can_be_typed_back(law: Formula) -> None:
    assert parsed(law, unpretty(pretty(law.equation))) == parsed(law)


@pytest.mark.parametrize("law", EQUATIONS, ids=lambda law: law.name)
def test_a_law_works_on_samples_as_on_a_point(law: Formula) -> None:
    points = {each.name: np.array([0.3, 0.7]) for each in law.parameters}
    with np.errstate(invalid="ignore"):
        both = np.asarray(law.function(**points), dtype=float)
        one = [float(law.function(**{name: float(value[index]) for name, value in points.items()})) for index in (0, 1)]
    assert both == pytest.approx(np.array(one), nan_ok=True)
