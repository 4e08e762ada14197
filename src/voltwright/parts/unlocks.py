"""What an optional field of a datasheet unlocks, said when a datasheet without it is imported."""

from __future__ import annotations

from voltwright.parts.base import Part

_EVERY = {"price": "no sum can be given for a build that uses it, until the build names a price"}

_OF_KIND: dict[str, dict[str, str]] = {
    "cell": {
        "resistance_ms": "the short-circuit current is estimated",
        "resistance_minutes": "heat in steady use is estimated from resistance_10s",
        "cycles_rated": "wear cannot be held against the maker's own promise",
        "cycles_rated_to": "cycles_rated counts down to an assumed 80 %",
    },
    "module": {
        "capacity": "the capacity is that of the cells in parallel",
        "voltage_nominal": "the nominal voltage is that of the cells in series",
        "current_continuous": "the limit is that of the cells alone, not of links and terminals",
        "current_peak": "the limit is that of the cells alone, not of links and terminals",
        "terminal": "the papers cannot say how the terminal is bolted",
    },
    "motor": {
        "torque_curve_peak": "torque counts as flat up to full power, as it does in this version even with it",
        "torque_curve_continuous": "continuous torque counts as flat up to full power, as it does in this version even with it",
        "efficiency_points": "losses are estimated from efficiency_best",
        "temperature_max": "the motor's own temperature limit is not checked",
    },
    "inverter": {"discharge_resistor": "the time in which the voltage falls by itself is not known"},
    "dc-dc": {"standing_power": "the loss while the car is parked is not known"},
    "radiator": {"conductance_over_flow": "the conductance is taken as the same at every flow"},
    "fan": {"pressure": "only the free flow is known, not the flow through a radiator"},
    "contactor": {"terminal_torque": "the papers cannot say how tight its bolts are"},
    "fuse": {
        "melting": "the time in which the fuse clears a fault cannot be checked",
        "terminal_torque": "the papers cannot say how tight its bolts are",
    },
    "bms": {
        "board_price": "the price is taken as that of the whole set, however many boards",
        "accuracy": "the margin at the cells' voltage limits leaves out the monitor's own error",
    },
}


def unlocks(part: Part) -> tuple[str, ...]:
    """What each empty field would unlock, one sentence each."""
    said = {**_OF_KIND.get(part.kind, {}), **_where_it_applies(part), **_EVERY}
    return tuple(f"without {field}, {loss}" for field, loss in said.items() if getattr(part, field) is None)


def _where_it_applies(part: Part) -> dict[str, str]:
    """Fields that matter only to some parts of a kind."""
    get = lambda field: getattr(part, field, None)  # noqa: E731
    said: dict[str, str] = {}
    if part.kind == "cell":
        sides = ("diameter", "length") if get("shape") == "cylindrical" else ("length", "width", "height")
        said |= dict.fromkeys(sides, "its size cannot be held against the module's")
    if part.kind == "module" and get("stock") != "new":
        said["health"] = (
            "the module counts as 80 % of new, give or take 12 %: give what the bench measured"
            if get("stock") == "salvaged"
            else "the module counts as new: give what the bench measured"
        )
    if part.kind == "motor" and get("principle") == "permanent-magnet":
        said["back_emf"] = "the voltage that the turning motor makes at overspeed cannot be checked"
        said["pole_pairs"] = "the electrical frequency cannot be held against the inverter's"
    if part.kind == "motor" and get("cooling") == "liquid":
        said["coolant_flow"] = "the coolant pump cannot be chosen"
    return said
