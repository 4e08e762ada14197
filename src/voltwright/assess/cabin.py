"""What the cabin heater draws on a cold day: the heat balance of the cabin, as far as the heater goes."""

from __future__ import annotations

from voltwright.assess.case import Case, celsius
from voltwright.assess.sheet import assumed, assumed_between, constant, of_several
from voltwright.parts.power import Heater
from voltwright.physics import cabin
from voltwright.quantity.work import Node, total, work


def heater_power(case: Case, outside: Node, density: Node) -> Node | None:
    """Power of the cabin heater once the cabin is warm, in air of that temperature and density; None without a heater."""
    placed = case.build.comfort.cabin_heater
    if placed is None:
        return None
    part = case.shelf.take(placed.part, Heater)
    reason = "usual with coats on; ask the customer"
    inside = assumed("Temperature of the heated cabin", "°C", reason, celsius(18.0), 4.0)
    return work(
        cabin.heater_power,
        "Cabin heater",
        loss=_loss(inside, outside, density),
        gain=_gain(case),
        performance=_performance(part, case, outside),
        power=of_several(
            placed.count, case.leaf(part.power, "Power of the cabin heater"), "comfort.cabin_heater.count"
        ),
    )


def _loss(inside: Node, outside: Node, density: Node) -> Node:
    thin = (
        "usual for single glass and a skin with little felt, more at speed; log heater and temperatures on a cold drive"
    )
    skin = work(
        cabin.heat_through_skin,
        "Heat through the skin of the cabin",
        conductance=assumed("Heat that the cabin's skin loses for each kelvin", "W/K", thin, 60.0, 25.0),
        inside=inside,
        outside=outside,
    )
    clear = "usual for a blower that keeps the windows clear and for the gaps of an old body; hold a flow hood on its outlets"
    fresh = work(
        cabin.heat_with_air,
        "Heat that fresh air takes",
        density=density,
        flow=assumed_between("Fresh air through the cabin", "m³/h", clear, 80 / 3600, 200 / 3600),
        specific_heat=constant(cabin.AIR_HEAT, "J/(kg·K)", "Specific heat of dry air", "of dry air from -30 to 40 °C"),
        inside=inside,
        outside=outside,
    )
    return total("Heat that the cabin loses", [skin, fresh], "W")


def _gain(case: Case) -> Node:
    seats = constant(float(case.build.brief.seats), "1", "People in the car", "the seats of the brief", "n")
    sitting = "usual for people who sit, common practice, no source"
    each = assumed("Heat of one person", "W", sitting, 100.0, 20.0)
    sun = "from none at night to that of a low sun through the windscreen; nothing can be measured beforehand"
    return total(
        "Heat from people and sun",
        [
            work(cabin.heat_of_people, "People", count=seats, each=each),
            assumed_between("Sun into the cabin", "W", sun, 0.0, 150.0),
        ],
        "W",
    )


def _performance(part: Heater, case: Case, outside: Node) -> Node:
    if part.ideal_share is None:
        return constant(1.0, "1", "Heat by electricity", "of a heater with a resistor", "ε")
    reason = "usual for what blows into a cabin or flows into its heater core; read it off the datasheet"
    return work(
        cabin.heat_pump_performance,
        "Heat by electricity of the heat pump",
        share=case.leaf(part.ideal_share, "Share of the ideal that the heat pump reaches", "%"),
        warm=assumed("Temperature at which the heat pump gives its heat", "°C", reason, celsius(45.0), 7.0),
        cold=outside,
        least_lift=constant(cabin.LEAST_LIFT, "K", "Least difference that counts", "of the model", "ΔT"),
    )
