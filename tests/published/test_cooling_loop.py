"""A loop of coolant: film in its channels, pumps in a row, fans behind a core, and radiators away from what they are rated for."""

from __future__ import annotations

from importlib.metadata import version
from math import sqrt
from typing import Any

import pytest
from ht import conv_internal, hx

from voltwright.physics import battery_box, exchanger, heat_paths, pipe_flow
from voltwright.quantity.table import Curve

HT = f"ht {version('ht')}"
PLATE = ("heat.cell_peak.DUTY", "heat.radiator")
RADIATOR = ("heat.radiator_fitted", "heat.radiator_standing")
PUMP = ("heat.coolant_flow_fitted", "heat.pump_head_fitted")


@pytest.mark.parametrize(("reynolds", "length"), [(400.0, 0.4), (1500.0, 0.4), (2200.0, 1.5)])
def test_thermal_entry(published, reynolds: float, length: float) -> None:
    number = pipe_flow.graetz(reynolds=reynolds, prandtl=19.0, diameter=0.0057, length=length)
    published.check(
        source=f"{HT}, laminar_entry_thermal_Hausen", law="nusselt_entry", asked=f"Re {reynolds:g}, Pr 19, {length} m of 5.7 mm",
        expected=conv_internal.laminar_entry_thermal_Hausen(Re=reynolds, Pr=19.0, L=length, Di=0.0057),
        got=pipe_flow.nusselt_entry(developed=3.66, graetz=number), rel=1e-9, why="the same equation", keys=PLATE,
    )  # fmt: skip


def test_plate(published) -> None:
    """Five channels of 10 by 4 mm below a module 200 mm wide: 140 mm of edge."""
    sizes = {"count": 5.0, "width": 0.010, "depth": 0.004}
    area, edge = pipe_flow.channels_section(**sizes), pipe_flow.channels_edge(**sizes)
    for law, asked, expected, got in (
        ("hydraulic_diameter", "bore of a channel [m]", 2 * 10e-3 * 4e-3 / 14e-3, pipe_flow.hydraulic_diameter(area=area, edge=edge)),
        ("film_of_plate", "film of 700 W/(m²·K)", 490.0, pipe_flow.film_of_plate(film=700.0, edge=edge, width=0.2)),
        ("layers_in_a_row", "that and a pad of 490", 245.0, heat_paths.layers_in_a_row(first=490.0, second=490.0)),
        (
            "cells_to_coolant", "eight modules of 20 W/K inside, 0.06 m² on 245 W/(m²·K) [W/K]", 8 / (1 / 20 + 1 / (245 * 0.06)),
            battery_box.cells_to_coolant(modules=8.0, inside=20.0, plate=245.0, length=0.3, width=0.2),
        ),
    ):  # fmt: skip
        published.check(
            source="sum of resistances and sizes, closed form", law=law, asked=asked, expected=expected, got=got, rel=1e-9,
            why="exact", keys=PLATE,
        )  # fmt: skip


def test_exhaust_gas_cooler(published) -> None:
    """Water of 1 kg/s (4197 W/K) from 35 to 125 °C by gas that cools from 300 to 100 °C, both unmixed; U 100 W/(m²·K)."""
    gas = 4197.0 * 90.0 / 200.0
    ratio = exchanger.stream_ratio(least=gas, most=4197.0)
    given = exchanger.effectiveness_of(conductance=4197.0 * 90.0 / (300.0 - 35.0), least_stream=gas)
    units = exchanger.units_of(effectiveness=given, ratio=ratio)
    printed = "Incropera and DeWitt, example 11.3, from memory: finned tubes across hot gas"
    for law, asked, expected, got, rel, why in (
        ("effectiveness_of", "effectiveness", 0.755, given, 2e-3, "printed to three figures"),
        ("units_of", "transfer units", 2.1, units, 0.05, "the book reads them from a chart"),
        ("whole_conductance", "surface at 100 W/(m²·K) [m²]", 39.7,
         exchanger.whole_conductance(units=units, least_stream=gas) / 100.0, 0.05, "the book reads them from a chart"),
    ):  # fmt: skip
        published.check(
            source=printed, law=law, asked=asked, expected=expected, got=got, rel=rel, why=why, keys=RADIATOR
        )
    # The same exchanger with gas of 1500 W/K at 250 °C: another stream than that for which it was sized.
    units = exchanger.transfer_units(conductance=40.0 * 100.0, least_stream=1500.0)
    effect = exchanger.effectiveness_crossflow(units=units, ratio=exchanger.stream_ratio(least=1500.0, most=4197.0))
    heat = exchanger.shed_by(effectiveness=effect, least_stream=1500.0) * (250.0 - 35.0)
    for law, asked, expected, got in (
        ("transfer_units", "transfer units", 2.67, units),
        ("effectiveness_crossflow", "effectiveness", 0.82, effect),
        ("shed_by", "heat [W]", 2.65e5, heat),
    ):
        published.check(
            source="Incropera and DeWitt, example 11.4, from memory: the same exchanger at another stream", law=law, asked=asked,
            expected=expected, got=got, rel=0.04, why="the book reads a chart; the equation is up to 4 % from the exact", keys=RADIATOR,
        )  # fmt: skip


@pytest.mark.parametrize(("effectiveness", "ratio"), [(0.52, 0.63), (0.3, 0.95), (0.88, 0.2)])
def test_units_of_an_exchanger(published, effectiveness: float, ratio: float) -> None:
    published.check(
        source=f"{HT}, NTU_from_effectiveness, crossflow approximate", law="units_of",
        asked=f"effectiveness {effectiveness}, ratio {ratio}",
        expected=hx.NTU_from_effectiveness(effectiveness=effectiveness, Cr=ratio, subtype="crossflow approximate"),
        got=exchanger.units_of(effectiveness=effectiveness, ratio=ratio), rel=1e-6, why="halved 26 times", keys=RADIATOR,
    )  # fmt: skip


def test_more_than_the_streams_carry_ends_somewhere() -> None:
    """A datasheet that promises more than there is gets a large exchanger, and no error."""
    assert exchanger.units_of(effectiveness=1.02, ratio=0.9) == pytest.approx(exchanger.MOST_UNITS, rel=1e-6)


def test_radiator_elsewhere(published) -> None:
    """450 W/K at 3 m/s, three quarters of the resistance at the air: a quarter of the air and half of the flow, by hand."""
    got = exchanger.conductance_elsewhere(
        rated=450.0, air_share=0.75, air_rated=3.0, air=0.75, air_power=0.5, flow_rated=2e-4, flow=1e-4, flow_power=1.0
    )
    published.check(
        source="sum of resistances, closed form", law="conductance_elsewhere", asked="air four times less, coolant twice [W/K]",
        expected=1 / ((0.75 * 2 + 0.25 * 2) / 450.0), got=got, rel=1e-12, why="exact", keys=RADIATOR,
    )  # fmt: skip


def test_two_radiators(published) -> None:
    """Coolant of 400 W/K, 30 K above the air, through 120 and then 90 W/K: 3600 W, then 90 W/K on the 21 K that are left."""
    got = exchanger.one_behind_the_other(first=120.0, second=90.0, coolant=400.0)
    published.check(
        source="heat balance, closed form", law="one_behind_the_other", asked="two radiators along the coolant [W/K]",
        expected=(120 * 30 + 90 * (30 - 120 * 30 / 400)) / 30, got=got, rel=1e-12, why="exact", keys=RADIATOR,
    )  # fmt: skip


def test_fans(published) -> None:
    """Two fans whose pressure falls straight to nothing, and wind: a quadratic equation; wind alone: a root."""
    full, shut, drop, at, push = 0.2, 150.0, 90.0, 0.4, 40.0
    curve = Curve((0.0, full), (shut, 0.0))
    for wind in (0.0, push):
        k, slope = drop / at**2, shut / full / 2
        expected = (-slope + sqrt(slope**2 + 4 * k * (shut + wind))) / (2 * k)
        got = pipe_flow.flow_of_fans(curve=curve, count=2.0, drop=drop, at_flow=at, push=wind)
        published.check(
            source="quadratic equation, closed form", law="flow_of_fans", asked=f"two fans, {wind:g} Pa of wind [m³/s]",
            expected=expected, got=got, rel=1e-8, why="halved thirty times", keys=RADIATOR,
        )  # fmt: skip
    published.check(
        source="square root, closed form", law="flow_of_fans", asked="so much wind that the fans only turn with it [m³/s]",
        expected=at * sqrt(400.0 / drop), got=pipe_flow.flow_of_fans(curve=curve, count=2.0, drop=drop, at_flow=at, push=400.0),
        rel=1e-8, why="beyond the last row a fan gives nothing", keys=RADIATOR,
    )  # fmt: skip


def test_pumps_in_a_row(published) -> None:
    """At each flow the pressures add; the one that ends first ends both."""
    large, small = Curve((0.0, 4e-4), (40e3, 0.0)), Curve((0.0, 1e-4, 2e-4), (30e3, 25e3, 5e3))
    both: Any = pipe_flow.pumps_in_a_row(first=large, second=small)
    for flow, expected in ((0.0, 70e3), (1e-4, 55e3), (1.5e-4, 40e3), (2e-4, 25e3), (2.1e-4, 0.0)):
        for law in ("pumps_in_a_row", "head_at"):
            published.check(
                source="sum of two straight lines, closed form", law=law, asked=f"{flow * 6e4:g} l/min [Pa]", expected=expected,
                got=pipe_flow.head_at(flow=flow, curve=both), rel=1e-12, why="exact", keys=PUMP,
            )  # fmt: skip


def test_alike_in_a_row(published) -> None:
    """As often joined one by one."""
    one, coolant, made = 90.0, 400.0, 90.0
    for count in range(2, 6):
        made = exchanger.one_behind_the_other(first=made, second=one, coolant=coolant)
        published.check(
            source="energy balance, radiator by radiator", law="alike_in_a_row", asked=f"{count} of 90 W/K [W/K]", expected=made,
            got=exchanger.alike_in_a_row(one=one, coolant=coolant, count=float(count)), rel=1e-12, why="exact", keys=PUMP,
        )  # fmt: skip
    lift = Curve((0.0, 4e-4), (40e3, 0.0))
    both: Any = pipe_flow.pumps_in_a_row(first=lift, second=lift)
    alike: Any = pipe_flow.pumps_alike(one=lift, count=2.0)
    published.check(
        source="sum of two straight lines, closed form", law="pumps_alike", asked="two pumps at 6 l/min [Pa]", expected=60e3,
        got=pipe_flow.head_at(flow=1e-4, curve=alike), rel=1e-12, why="exact", keys=PUMP,
    )  # fmt: skip
    assert alike.y == both.y


def test_pressure_at_another_flow(published) -> None:
    published.check(
        source="definition: the square of the flow", law="drop_at", asked="twice the flow [Pa]", expected=20e3,
        got=pipe_flow.drop_at(drop=5e3, at_flow=1e-4, flow=2e-4), rel=1e-12, why="exact", keys=("heat.pump_head",),
    )  # fmt: skip
