"""The question `charge`: which limit holds at each supply, what is refused and why, and what the rules say."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from helpers import changed, dossier, keys
from voltwright.assess.case import Case
from voltwright.assess.charge import assess_charge
from voltwright.assess.figures import work_out
from voltwright.assess.keys import FAMILIES, family_of, in_order, key_of
from voltwright.assess.sheet import Sheet
from voltwright.physics import charging
from voltwright.quantity.errors import BuildError
from voltwright.quantity.provenance import Origin
from voltwright.quantity.table import Curve, Grid
from voltwright.quantity.work import leaf, work

HOME = {"name": "home", "kind": "ac", "phases": 1, "voltage": "230 V", "current": "32 A"}
THREE = {"name": "home", "kind": "ac", "phases": 3, "voltage": "230 V", "current": "16 A"}
STATION = {
    "name": "home",
    "kind": "dc",
    "voltage_min": "200 V",
    "voltage_max": "500 V",
    "current": "125 A",
    "power": "50 kW",
}
COMBINED = {"charging.inlet": "inlet/combined-2-125a"}
THREE_PHASE = {"charging.charger.part": "charger/11kw-3ph-350v", "charging.inlet": "inlet/type-2-3ph-32a"}
FEW = {"pack.series": 4, "pack.boxes.0.modules": 4, "pack.boxes.1.modules": 4}


def of(changes: dict[str, Any], supply: dict[str, Any] | None = None, *, with_bands: bool = False) -> Any:
    return dossier({"supplies": [supply or HOME], **changes}, with_bands=with_bands)


def watts(made: Any) -> float:
    """From the wall at 20 % charge, supply home, kW."""
    return made.figures["charge.power_wall.home"].value


# Keys with a name at the end.


def test_a_family_is_found_by_its_longest_beginning(monkeypatch: pytest.MonkeyPatch) -> None:
    key = key_of("charge.time_full.home")
    assert (key.unit, key.label) == ("h", "Time to charge from the lowest to the highest used charge, supply 'home'")
    monkeypatch.setitem(FAMILIES, "charge.time_full.by", FAMILIES["charge.time_20_80"])
    assert family_of("charge.time_full.by.night") == "charge.time_full.by"
    assert family_of("charge.time_fullest") == ""


def test_keys_come_in_the_order_of_the_contract() -> None:
    mixed = [
        "cost.parts",
        "charge.time_20_80.b",
        "charge.time_full.z",
        "charge.time_full.a",
        "charge.dc_possible",
        "mass.kerb",
    ]
    assert in_order(mixed) == [mixed[5], mixed[4], mixed[2], mixed[3], mixed[1], mixed[0]]


# Alternating current.


@pytest.mark.parametrize(
    ("supply", "changes", "expected"),
    [
        ({}, {}, 6.6 / 0.94),  # the charger
        ({"current": "16 A"}, {}, 3.68),  # the socket
        ({"cable": "20 A"}, {}, 4.6),  # the cable as named
        ({"cable_resistor": "1500 Ω"}, {}, 2.99),  # 13 A by its coding
        ({"power": "3 kW"}, {}, 3.0),  # the supply as a whole
        ({"current": "51.5 A"}, {"charging.inlet": "inlet/type-2-3ph-32a"}, 6.6 / 0.94),
        ({"phases": 3, "current": "16 A"}, {}, 3.68),  # one phase of three
        ({}, THREE_PHASE, 10.4 / 3 / 0.95),  # a third of the charger
        ({"current": "10 A"}, THREE_PHASE, 2.3),
        ({"phases": 3, "current": "16 A"}, THREE_PHASE, 10.4 / 0.95),
        ({"phases": 3, "current": "10 A"}, THREE_PHASE, 6.9),
        ({"phases": 3, "current": "16 A"}, THREE_PHASE | {"charging.inlet": "inlet/type-2-1ph-32a"}, 10.4 / 3 / 0.95),
        ({}, {"charging.charger.count": 2}, 7.36),  # two chargers on one phase
        ({"phases": 3}, {"charging.charger.count": 2, "charging.inlet": "inlet/type-2-3ph-32a"}, 2 * 6.6 / 0.94),
    ],
)
def test_power_from_the_wall(supply: dict[str, Any], changes: dict[str, Any], expected: float) -> None:
    assert watts(of(changes, HOME | supply)) == pytest.approx(expected, rel=1e-9)


def test_a_datasheet_may_say_more_for_one_phase() -> None:
    built = changed({"supplies": [HOME], **THREE_PHASE})
    own = built.shelf.any("charger/11kw-3ph-350v")
    fields: dict[str, Any] = {name: getattr(own, name) for name in type(own).model_fields}
    case = Case(built.build, built.shelf)
    case.__dict__["charger"] = type(own).model_validate(
        fields | {"power_single_phase": "6.9 kW", "current_single_phase": "32 A"}
    )
    assert work_out(case).nodes["charge.power_wall.home"].value == pytest.approx(6900 / 0.95, rel=1e-9)


def test_wall_energy_is_what_the_pack_takes_over_efficiency() -> None:
    made = of({})
    figures = made.figures
    usable, wall = figures["pack.energy_usable"].value, figures["charge.wall_energy_full"].value
    assert usable is not None
    assert wall is not None
    assert usable / 0.94 < wall < 1.05 * usable / 0.94
    mean = figures["charge.wall_energy_full"].value / figures["charge.time_full.home"].value
    assert mean == pytest.approx(watts(made), rel=0.02)


def test_warm_cells_charge_as_the_build_says() -> None:
    cool, warm = of({"charging.target_temperature": "10 °C"}), of({})
    node = cool.figures["charge.wall_energy_full"].node
    assert node is not None
    assert any(each.label.startswith("Cells are brought") for each in node.walk())
    assert cool.figures["charge.wall_energy_full"].value > warm.figures["charge.wall_energy_full"].value


# What there is no figure for, and why.


@pytest.mark.parametrize(
    ("supply", "changes", "reason"),
    [
        ({"voltage": None}, {}, "the voltage of the supply 'home' is not known"),
        ({"power": "0 kW"}, {}, "no power comes from this supply"),
        ({}, {"charging.charger": None}, "the build names no charger"),
        ({}, {"charging.target_temperature": "-5 °C"}, "the cells must not be charged at this temperature"),
        ({}, FEW | {"charging.charger.part": "charger/11kw-3ph-350v"}, "the charger works from 240 V"),
        ({}, {"pack.voltage_limit_full": "370 V"}, "at full voltage the current has fallen to its end at"),
        (STATION, {}, "the inlet has no pins for direct current"),
        (STATION, {"charging.inlet": None}, "the build names no inlet"),
        (STATION, COMBINED | FEW, "the pack's voltage leaves what the station and the inlet bear (200 to 500 V)"),
    ],
)
def test_reason_for_no_time(supply: dict[str, Any], changes: dict[str, Any], reason: str) -> None:
    whole = {name: value for name, value in ({} if supply is STATION else HOME | supply).items() if value is not None}
    figure = of(changes, whole or STATION).figures["charge.time_full.home"]
    assert figure.value is None
    assert figure.reason.startswith(reason)


@pytest.mark.parametrize("known", [False, True])
def test_range_for_an_hour_needs_a_consumption(known: bool) -> None:
    """Given 180 Wh/km it is the energy from 20 to 80 % over that and the time."""
    built = changed({"supplies": [HOME]})
    case = Case(built.build, built.shelf)
    whole, sheet = work_out(case), Sheet("EUR")
    sheet.nodes.update({key: node for key, node in whole.nodes.items() if key.startswith("pack.")})
    if known:
        sheet.nodes["road.consumption.steady-80"] = leaf(180 * 3.6, "Wh/km", "Consumption", Origin("entered"))
    assess_charge(case, sheet)
    if not known:
        why = "the consumption of the trip 'steady 80 km/h' is not known"
        assert sheet.reasons["charge.range_per_hour.home"] == why
        return
    energy = 0.6 * whole.nodes["pack.energy_usable"].value / 0.87
    time = sheet.nodes["charge.time_20_80.home"].value
    assert sheet.nodes["charge.range_per_hour.home"].value == pytest.approx(energy / (180 * 3.6 * time), rel=0.02)


def test_a_station_gives_no_more_than_its_cable_carries() -> None:
    """The pack takes 100 A, the inlet bears 125 A."""
    amperes = [
        of(COMBINED, STATION | more).figures["charge.current_pack.home"].value
        for more in ({}, {"cable": "63 A"}, {"cable": "200 A"})
    ]
    assert amperes == pytest.approx([100.0, 63.0, 100.0])


def test_without_a_supply_only_direct_current_is_answered() -> None:
    figures = dossier({"supplies": None}).figures
    unsupplied = {"wall_energy_full", "wall_energy_full_cold", "hours_per_week", "hours_each_time"}
    asked = {key.removeprefix("charge.") for key in figures if key.startswith("charge.")}
    assert asked == unsupplied | {"dc_possible", "plug_ins_per_week"}
    for key in unsupplied:
        assert figures[f"charge.{key}"].reason == "the build names no supply of alternating current"


def test_twenty_to_eighty_needs_a_window_that_reaches_there() -> None:
    made = of({"pack.window.full": "75 %"}).figures
    assert made["charge.time_20_80.home"].reason == "the highest charge that is used is below 80 %"
    assert made["charge.time_full.home"].value
    assert made["charge.current_pack.home"].value


# Direct current.


def test_a_station_charges_within_every_limit() -> None:
    made = of(COMBINED, STATION)
    current = made.figures["charge.current_pack.home"]
    assert made.figures["charge.dc_possible"].value == 1
    assert current.value == pytest.approx(min(125, made.figures["pack.current_charge"].value), rel=1e-9)
    weak = of(COMBINED, STATION | {"power": "20 kW"})
    assert watts(weak) == pytest.approx(20.0, rel=1e-9)


@pytest.mark.parametrize(
    ("changes", "supplies", "possible"),
    [
        (COMBINED, [STATION], 1),
        (COMBINED, [STATION | {"voltage_min": "350 V"}], 0),
        (COMBINED, [STATION | {"voltage_max": "400 V"}], 0),
        (COMBINED, [STATION | {"voltage_max": "400 V"}, STATION | {"name": "other"}], 1),
        (COMBINED, [HOME], 1),  # a usual station
        (COMBINED | FEW, [HOME], 0),
        ({}, [STATION], 0),
    ],
)
def test_whether_direct_current_is_possible(changes: dict[str, Any], supplies: list[Any], possible: int) -> None:
    figure = dossier({"supplies": supplies, **changes}).figures["charge.dc_possible"]
    assert (figure.value, figure.printed()) == (possible, "yes" if possible else "no")


# Bands and laws.


def test_bands_surround_the_figures() -> None:
    made = of({"pack.window.full": "100 %"}, with_bands=True)
    for key in ("charge.time_full.home", "charge.wall_energy_full"):
        figure = made.figures[key]
        assert figure.low < figure.value < figure.high
    assert made.figures["charge.time_full.home"].value < 10


TABLE = Curve((0.0, 0.1, 1.0), (3.0, 3.4, 4.2))
GRID = Grid((0.0, 1.0), (273.15, 323.15), ((3e-3, 3e-3), (2e-3, 2e-3)))
PACK: dict[str, Any] = {
    "cells_series": 96.0, "cells_parallel": 2.0, "growth": 1.2, "links": 0.01, "temperature": 298.15,
    "table": TABLE, "resistances": GRID,
}  # fmt: skip


def of_pack(current: float, power: float, **other: Any) -> dict[str, Any]:
    limits = charging.charge_limits(current=current, power=power, voltage=403.2)
    return {"limits": limits, "pack": charging.pack_source(**(PACK | other))}


AMPERES, KILOWATTS = st.floats(1.0, 400.0), st.floats(500.0, 150e3)


@given(AMPERES, KILOWATTS, st.floats(1.0, 2.0), st.floats(0.0, 0.5), st.floats(0.5, 1.0))
@settings(max_examples=40, deadline=None)
def test_more_current_or_power_never_takes_longer(
    limit: float, power: float, more: float, start: float, target: float
) -> None:
    def time(limit: float, power: float) -> float:
        known = of_pack(limit, power)
        end = charging.charge_reached(target=target, end_current=18e3 / 3600, **known)
        assert 0.0 <= end <= target
        return charging.charging_time(start=start, end=min(end, 0.95 * target), capacity=3.6e5, **known)

    least = time(limit, power)
    assert 0.0 <= time(limit * more, power * more) <= least * (1 + 1e-9)
    assert least < charging.NEVER


def test_no_current_takes_a_year_and_no_way_takes_no_time() -> None:
    known = of_pack(0.0, 1e3)
    assert charging.charging_time(start=0.1, end=0.9, capacity=3.6e5, **known) == charging.NEVER
    assert charging.charging_time(start=0.9, end=0.1, capacity=3.6e5, **known) == 0.0


def test_samples_give_what_points_give() -> None:
    import numpy as np

    growth: Any = np.array([1.0, 1.4, 2.0])
    known = of_pack(50.0, 1e6, growth=growth)
    ends: Any = charging.charge_reached(target=1.0, end_current=5.0, **known)
    many: Any = charging.charging_time(start=0.1, end=ends, capacity=3.6e5, **known)
    for index, each in enumerate(growth):
        one = of_pack(50.0, 1e6, growth=float(each))
        assert charging.charging_time(start=0.1, end=float(ends[index]), capacity=3.6e5, **one) == pytest.approx(
            many[index], rel=1e-12
        )


# The document.


@pytest.mark.parametrize(
    ("supply", "words"),
    [
        (HOME | {"cable": "20 A", "cable_resistor": "680 Ω"}, "is told twice"),
        (STATION | {"voltage_min": "500 V"}, "is not below the greatest"),
        (HOME | {"cable_resistor": "50 Ω"}, "outside what makes sense"),
    ],
)
def test_a_supply_that_contradicts_itself_is_refused(supply: dict[str, Any], words: str) -> None:
    with pytest.raises(BuildError, match=words):
        changed({"supplies": [supply]})


# The rules.


RULES: list[tuple[str, dict[str, Any], dict[str, Any], str]] = [
    ("charge.no_inlet", HOME, {"charging.inlet": None}, "caution"),
    ("charge.dc_inlet.home", STATION, {}, "caution"),
    ("charge.station_voltage.home", STATION, COMBINED | FEW, "caution"),
    ("charge.station_voltage.home", STATION | {"voltage_max": "390 V"}, COMBINED, "caution"),
    ("charge.station_current.home", STATION | {"current": "300 A"}, COMBINED, "caution"),
    ("charge.bottleneck.home", HOME | {"cable": "13 A"}, {}, "note"),
    ("charge.bottleneck.home", HOME, THREE_PHASE, "note"),
    ("charge.bottleneck.home", HOME | {"power": "3 kW"}, {}, "note"),
    ("charge.overnight.home", HOME | {"current": "10 A"}, {}, "note"),
    ("charge.line_voltage.home", THREE | {"voltage": "400 V"}, THREE_PHASE, "caution"),
    ("charge.pilot_least.home", HOME | {"current": "5 A"}, {}, "caution"),
    ("charge.electrician", HOME, {}, "caution"),
    ("charge.electrician", THREE | {"current": "10 A"}, {}, "caution"),
    ("charge.socket.home", HOME | {"current": "13 A"}, {}, "caution"),
    ("charge.socket.home", HOME | {"current": "16 A", "cable": "10.1 A"}, {}, "caution"),
    ("charge.socket.home", HOME | {"current": "13 A"}, {"charging.charger": None}, "caution"),
]


@pytest.mark.parametrize(("key", "supply", "changes", "severity"), RULES)
def test_a_rule_speaks(key: str, supply: dict[str, Any], changes: dict[str, Any], severity: str) -> None:
    found = [each for each in of(changes, supply).findings if each.key == key]
    assert [each.severity for each in found] == [severity]
    assert found[0].remedy


@pytest.mark.parametrize("key", sorted({key for key, *_ in RULES} - {"charge.electrician"}))
def test_a_rule_is_silent(key: str) -> None:
    usual = of({}, HOME)
    station = of(COMBINED, STATION | {"current": "100 A"})
    assert key not in keys(usual) | keys(station)


@pytest.mark.parametrize(
    ("supply", "changes", "cause"),
    [
        (HOME | {"cable": "13 A"}, {}, "cable, by its coding, 13 A"),
        (HOME | {"current": "10 A"}, {}, "supply, current of each phase, 10 A"),
        (HOME | {"power": "3 kW"}, {}, "power of the supply, 3.0 kW"),
        (THREE, {}, "supply, current of each phase, 16 A; the car uses one phase of 3"),
        (HOME, THREE_PHASE, "one phase, and the charger is made for 3"),
        (HOME | {"current": "10 A"}, THREE_PHASE, "one phase instead of 3, and supply, current of each phase, 10 A"),
    ],
)
def test_what_holds_the_charger_back_is_named(supply: dict[str, Any], changes: dict[str, Any], cause: str) -> None:
    found = next(each for each in of(changes, supply).findings if each.key == "charge.bottleneck.home")
    assert found.detail.endswith(f"What holds it back: {cause}.")


def test_a_weak_socket_needs_no_electrician() -> None:
    assert "charge.electrician" not in keys(of({}, HOME | {"current": "16 A"}))


@pytest.mark.parametrize(
    "supply", [{"current": "10 A"}, {"current": "13 A", "cable": "10 A"}, {"current": "16 A", "power": "2.3 kW"}]
)
def test_ten_amperes_are_what_a_household_socket_bears(supply: dict[str, str]) -> None:
    """What counts is what is drawn: 2.3 kW at 230 V, or what the cable tells the car."""
    assert not {"charge.socket.home", "charge.electrician"} & keys(of({}, HOME | supply))


def test_a_socket_whose_charger_draws_less_is_left_alone() -> None:
    """1.8 kW at 230 V is less than 10 A, though the socket gives 13 A: the roadster."""
    assert "charge.socket.boat-house" not in keys(dossier(name="roadster"))


def test_supplies_are_asked_for_and_told_apart() -> None:
    assert "charge.no_supply" in keys(dossier({"supplies": None}))
    twice = dossier({"supplies": [HOME, HOME]})
    assert "charge.same_name" in keys(twice)
    assert not {"charge.no_supply", "charge.same_name"} & keys(of({}))


def test_remedy_for_a_station_puts_things_right() -> None:
    made = of(COMBINED | FEW, STATION)
    found = next(each for each in made.findings if each.key == "charge.station_voltage.home")
    assert found.remedy is not None
    fewest = int(found.remedy.split()[0])
    right = {"pack.series": fewest, "pack.boxes.0.modules": fewest, "pack.boxes.1.modules": fewest}
    assert of(COMBINED | right, STATION).figures["charge.dc_possible"].value == 1
    short = {"pack.series": fewest - 1, "pack.boxes.0.modules": fewest - 1, "pack.boxes.1.modules": fewest - 1}
    assert of(COMBINED | short, STATION).figures["charge.dc_possible"].value == 0


def test_a_law_of_charging_works_on_nodes() -> None:
    """The tree of a figure names the limit that holds, so that a reader sees it."""
    node = of({}, HOME | {"cable": "13 A"}).figures["charge.current_pack.home"].node
    assert node is not None
    assert "Cable, by its coding" in [each.label for each in node.walk()]
    assert (
        work(charging.power_from_wall, "again", power=node.inputs["power"], efficiency=node.inputs["power"]).value
        == 1.0
    )


def test_a_range_put_back_is_a_whole_charge() -> None:
    """A drive from the highest to the lowest used charge takes from the wall what charging all the way up again takes."""
    figures = dossier({}).figures
    whole = (figures["charge.wall_energy_full"].value or 0.0) * 1000
    for trip in ("steady-80", "udds"):
        range_km, by_way = (figures[f"road.{family}.{trip}"].value or 0.0 for family in ("range", "consumption_wall"))
        assert range_km * by_way == pytest.approx(whole, rel=5e-3)
