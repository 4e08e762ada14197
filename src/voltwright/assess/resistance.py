"""What holds the laden car back: tyres, air, wind and what else a coast-down finds; and what its tyres hold."""

from __future__ import annotations

from dataclasses import dataclass, replace

from voltwright.assess.case import Case, celsius
from voltwright.assess.drive import wheel_radius
from voltwright.assess.grip import dry_grip
from voltwright.assess.sheet import CONDITION, Sheet, assumed, constant
from voltwright.physics import air, coast_down, pace, road_load
from voltwright.physics.mass import STANDARD_GRAVITY
from voltwright.quantity.provenance import Origin
from voltwright.quantity.source import Source
from voltwright.quantity.work import Node, leaf, total, work


def standard_gravity() -> Node:
    return constant(
        STANDARD_GRAVITY, "m/s²", "Standard gravity", "3rd General Conference on Weights and Measures, 1901", "g"
    )


@dataclass(frozen=True)
class Resistance:
    """The inputs of the road load, in SI.

    `linear` is the B of a coast-down, `wind` blows against the car, `wheel_share` is the share of the turning wheels in
    the moving mass, `radius` that at which the driven tyres roll.
    """

    mass: Node
    gravity: Node
    rolling: Node
    linear: Node
    density: Node
    drag_area: Node
    wind: Node
    grip: Node
    wheel_share: Node
    radius: Node

    @property
    def level(self) -> dict[str, Node]:
        """What the laws of a level road ask for, by their parameters' names."""
        names = ("mass", "gravity", "rolling", "linear", "density", "drag_area", "wind")
        return {name: getattr(self, name) for name in names}


def why_none(case: Case, sheet: Sheet) -> str:
    """Why there is no road load; empty where there is one."""
    if "mass.laden" not in sheet.nodes:
        return "nothing is left of the car"
    if wheel_radius(case) is None:
        return "the marking of the driven tyres says no size"
    return ""


def resistance_of(case: Case, sheet: Sheet) -> Resistance | None:
    """The road load of the laden car, or None (why_none says why). Worked once, so that every figure shares its leaves."""
    if case.resistance is None and not why_none(case, sheet):
        case.worked["resistance"] = _resistance(case, sheet)
    return case.resistance


def _resistance(case: Case, sheet: Sheet) -> Resistance:
    radius = wheel_radius(case)
    assert radius is not None
    gravity = standard_gravity()
    rolling, linear, drag_area = _coefficients(case, gravity)
    shares = "a usual share; weigh a wheel and let it swing on a rope"
    return Resistance(
        sheet.nodes["mass.laden"],
        gravity,
        rolling,
        linear,
        _density(case),
        drag_area,
        _wind(case),
        dry_grip(),
        assumed(
            "Share of the wheels in the moving mass", "1", shares, road_load.WHEEL_SHARE, road_load.WHEEL_SHARE_HALF
        ),
        radius,
    )


def _coefficients(case: Case, gravity: Node) -> tuple[Node, Node, Node]:
    """Rolling coefficient, linear part and drag area: of the coast-down where there is one, or from the tables."""
    donor, load = case.build.donor, case.road_load
    if load is None:
        coefficient = case.leaf(donor.air.drag_coefficient, "Drag coefficient")
        area = case.leaf(donor.air.frontal_area, "Frontal area", "m²")
        return (
            case.leaf(donor.tyres.rolling_resistance, "Rolling resistance of the tyres"),
            constant(0.0, "N/(m/s)", "Resistance that grows with the speed alone", "no coast-down is entered", "B"),
            work(pace.drag_area, "Drag area", coefficient=coefficient, area=area),
        )
    rolling = work(
        road_load.rolling_from_coast_down,
        "Rolling resistance by the coast-down",
        A=case.leaf(load.a, "A of the coast-down", "N"),
        mass=_mass_at_test(case),
        gravity=gravity,
    )
    linear = (
        case.leaf(load.b, "B of the coast-down", "N/(m/s)")
        if load.b
        else constant(0.0, "N/(m/s)", "B of the coast-down", "left out: the coast-down gives A and C", "B")
    )
    drag_area = work(
        road_load.drag_area_from_coast_down,
        "Drag area by the coast-down",
        C=case.leaf(load.c, "C of the coast-down, in reference air", "N/(m/s)²"),
        density=_reference_density(),
    )
    return rolling, linear, drag_area


def _mass_at_test(case: Case) -> Node:
    donor = case.build.donor
    assert donor.coast_down is not None
    if donor.coast_down.mass is not None:
        return case.leaf(donor.coast_down.mass, "Mass at the coast-down")
    label = "Mass at the coast-down: none is named, so the donor with one person"
    people = case.leaf(case.build.person_mass, "One person")
    return total(label, [case.leaf(donor.mass_kerb, "Kerb mass of the donor"), people])


def _reference_density() -> Node:
    rule = Origin("by definition", reason="reference air of a coast-down", source=Source("cfr-40-1066", "1066.305(a)"))
    return work(
        air.air_density,
        "Density of the reference air",
        pressure=leaf(coast_down.REFERENCE_PRESSURE, "kPa", "Pressure of the reference air", rule, symbol="p_a"),
        temperature=leaf(
            coast_down.REFERENCE_TEMPERATURE, "°C", "Temperature of the reference air", rule, symbol="T_a"
        ),
        gas_constant=_gas_constant(),
    )


def _gas_constant() -> Node:
    return leaf(air.GAS_CONSTANT, "J/(kg·K)", "Gas constant of dry air", _atmosphere(), symbol="R_a")


def _atmosphere() -> Origin:
    return Origin("by definition", reason="standard atmosphere", source=Source("iso-2533"))


def _density(case: Case) -> Node:
    """Dry air of 20 °C at the height where the car lives."""
    altitude = case.build.duty.climate.altitude
    pressure = work(
        air.air_pressure,
        "Pressure of the air",
        altitude=case.leaf(altitude, "Altitude", "m")
        if altitude
        else constant(0.0, "m", "Altitude", "none is named: sea level"),
        sea_pressure=leaf(air.SEA_PRESSURE, "kPa", "Pressure at sea level", _atmosphere()),
        lapse_height=leaf(air.LAPSE_HEIGHT, "m", "Height at which the cooling would end", _atmosphere()),
        exponent=leaf(air.PRESSURE_EXPONENT, "1", "Exponent of the pressure", _atmosphere()),
    )
    return work(
        air.air_density,
        "Density of the air",
        pressure=pressure,
        temperature=constant(celsius(20), "°C", "Temperature of the air", CONDITION, "T"),
        gas_constant=_gas_constant(),
    )


def _wind(case: Case) -> Node:
    wind = case.build.duty.wind
    if wind is not None:
        return case.leaf(wind, "Head wind")
    return constant(0.0, "km/h", "Head wind", "none is named: still air", "w")


def with_trailer(case: Case, alone: Resistance) -> Resistance | None:
    """The same with the trailer of the brief; None where it names none. Grip stays that of the tow car's tyres."""
    tow = case.build.brief.tow
    if tow is None or not tow.value:
        return None
    body = assumed(
        "Drag area that the trailer adds", "m²", "usual for a small box trailer, no source; measure its front", 1.0, 0.5
    )
    return replace(
        alone,
        mass=total("Car and trailer", [alone.mass, case.leaf(tow, "Trailer of the brief")], "kg"),
        drag_area=total("Drag area with the trailer", [alone.drag_area, body], "m²"),
    )
