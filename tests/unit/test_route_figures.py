"""Routes and traces of the duty as figures: what is left at the end, how warm the cells became, what was climbed."""

from __future__ import annotations

import copy
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from helpers import changed, example
from route_files import drive, driven, hill, track
from voltwright.assess.routes import OF_A_ROUTE
from voltwright.build.reader import from_document
from voltwright.build.writer import put
from voltwright.quantity.errors import BuildError
from voltwright.rules.dossier import Dossier, assess


def value(made: Dossier, family: str, name: str = "hill") -> float:
    found = made.figures[f"road.{family}.{name}"].value
    assert found is not None
    return found


def test_figures_of_a_route(tmp_path: Path) -> None:
    made = driven(tmp_path, with_bands=True)
    assert (
        made.figures["heat.cell_peak.hill"].value != made.figures["heat.cell_peak.hill-trip"].value
    )  # a duty, and this trip
    assert {key for key in made.figures if key.startswith("road.") and key.endswith(".hill")} == {
        *(f"{family}.hill" for family in OF_A_ROUTE), "road.range.hill", "road.consumption.hill", "road.consumption_wall.hill",
    }  # fmt: skip
    full = 100 * made.build.pack.window.full.value
    way, far = made.case.traces["hill"].distance / 1000, value(made, "range")
    used = full - 100 * made.build.pack.window.empty.value
    assert value(made, "arrival_charge") == pytest.approx(full - used * way / far, abs=0.3)
    assert 25.0 <= value(made, "cell_warmest") < 30.0
    assert value(made, "climb") == pytest.approx(79.0, abs=3.0)
    assert 0.0 <= value(made, "climb_removed") < 3.0
    for family in ("arrival_charge", "cell_warmest", "range"):
        figure = made.figures[f"road.{family}.hill"]
        assert figure.low is not None
        assert figure.high is not None
        assert figure.low <= value(made, family) <= figure.high


def test_hills_cost_and_the_way_back_gives_back(tmp_path: Path) -> None:
    up = value(driven(tmp_path), "arrival_charge")
    both = value(driven(tmp_path, round_trip=True), "arrival_charge")
    full = 100 * example().build.pack.window.full.value
    assert full - both == pytest.approx(2 * (full - up), rel=0.02), "the hill begins and ends at one height"
    faster = value(driven(tmp_path, speed="100 km/h"), "consumption")
    assert faster > 1.2 * value(driven(tmp_path), "consumption")


def test_longer_than_the_pack(tmp_path: Path) -> None:
    (tmp_path / "far.gpx").write_text(track(drive(14_000, lambda t: 25.0 if 10 < t < 13_990 else 0.0, hill)))
    made = driven(tmp_path, route="far.gpx")
    arrival = made.figures["road.arrival_charge.hill"]
    assert arrival.value is None
    assert "the pack is empty after" in arrival.reason
    assert value(made, "range") < made.case.traces["hill"].distance / 1000
    assert value(made, "cell_warmest") > 25.0
    assert [each.key for each in made.findings if each.key == "road.journey.hill"]


def test_a_trace_climbs_nothing() -> None:
    made = assess(example("van"), with_bands=False, search=False)
    (name,) = made.case.traces
    assert value(made, "arrival_charge", name) > 0
    assert f"road.climb.{name}" not in made.figures


def test_without_heights_the_climb_is_unknown(tmp_path: Path) -> None:
    (tmp_path / "flat.gpx").write_text(track(drive(900, lambda t: 20.0)))
    made = driven(tmp_path, route="flat.gpx")
    assert made.figures["road.climb.hill"].value is None
    assert "no heights" in made.figures["road.climb.hill"].reason


def test_a_winter_drive_takes_more(tmp_path: Path) -> None:
    mild, cold = driven(tmp_path), driven(tmp_path, temperature="-5 °C")
    assert value(cold, "consumption") > 1.15 * value(mild, "consumption")
    assert value(cold, "range") < value(mild, "range")
    assert value(cold, "arrival_charge") < value(mild, "arrival_charge")
    assert -5.0 < value(cold, "cell_warmest") < 5.0
    for key in ("road.range.udds", "road.range_cold"):
        assert cold.figures[key].value == mild.figures[key].value, "that of the others is as it was"


def test_colder_than_the_cells_bear(tmp_path: Path) -> None:
    made = driven(tmp_path, temperature="-39 °C")
    for family in ("range", "consumption", "consumption_wall", "arrival_charge", "cell_warmest"):
        figure = made.figures[f"road.{family}.hill"]
        assert figure.value is None
        assert figure.reason


def test_a_temperature_needs_a_drive_of_its_own() -> None:
    with pytest.raises(BuildError, match="has a temperature, and drives a trip that is known"):
        changed({"duty.trips.1.temperature": "3 °C"})
    with pytest.raises(BuildError, match="has a speed, and no route"):
        changed({"duty.trips.1.speed": "50 km/h"})
    with pytest.raises(BuildError, match="has a round_trip, and no route"):
        changed({"duty.trips.1.round_trip": True})


# The cabin.


def cold(folder: Path, changes: dict[str, Any], shelf_changes: dict[str, Any] | None = None) -> float:
    base = example()
    root = copy.deepcopy(base.document.root)
    root.pop("variants", None)
    for path, each in changes.items():
        put(root, path, each)
    shelf = base.shelf
    if shelf_changes is not None:
        raw = shelf._raw["heater/coolant-5kw-350v"]  # type: ignore[reportPrivateUsage]
        shelf = shelf.with_own({"heater/coolant-5kw-350v": {**raw, **shelf_changes}})
    made = assess(from_document(replace(base.document, root=root), shelf, base.folder), with_bands=False, search=False)
    found = made.figures["road.range_cold"].value
    assert found is not None
    return found


def test_the_heater_draws_more_the_colder_it_is_up_to_its_power(tmp_path: Path) -> None:
    as_it_is, mild = cold(tmp_path, {}), cold(tmp_path, {"duty.climate.coldest": "14 °C"})
    assert mild > 1.15 * as_it_is
    weak = cold(tmp_path, {}, {"power": "1 kW"})
    assert weak > 1.05 * as_it_is
    strong = cold(tmp_path, {}, {"power": "9 kW"})
    assert strong == pytest.approx(as_it_is, rel=1e-6), "the cabin asks no more"


def test_a_heat_pump_goes_farther(tmp_path: Path) -> None:
    assert cold(tmp_path, {}, {"ideal_share": "40 %"}) > 1.05 * cold(tmp_path, {})
