"""Routes and traces of the duty as figures: what is left at the end, how warm the cells became, what was climbed."""

from __future__ import annotations

import copy
import re
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


def north(folder: Path, changes: dict[str, Any] | None = None, **journey: Any) -> Dossier:
    """The coupé straight to the north over hills."""
    (folder / "north.gpx").write_text(track(drive(600, lambda t: 15.0, hill)))
    return driven(folder, changes, **{"route": "north.gpx", **journey})


def test_the_wind_counts_by_where_it_blows_from(tmp_path: Path) -> None:
    """To the north over hills: a wind from the north is a head wind, one from the east is none."""
    still = value(north(tmp_path), "consumption")
    plain = value(north(tmp_path, wind="25 km/h"), "consumption")
    against = value(north(tmp_path, wind="25 km/h", wind_from="north"), "consumption")
    behind = value(north(tmp_path, wind="25 km/h", wind_from="180°"), "consumption")
    across = value(north(tmp_path, wind="25 km/h", wind_from="east"), "consumption")
    assert against == pytest.approx(plain, rel=1e-4)
    assert behind < 0.95 * still < 1.05 * still < against
    assert across == pytest.approx(still, rel=1e-4)
    both = value(north(tmp_path, wind="25 km/h", wind_from="north", round_trip=True), "consumption")
    other = value(north(tmp_path, wind="25 km/h", wind_from="south", round_trip=True), "consumption")
    calm = value(north(tmp_path, round_trip=True), "consumption")
    assert both == pytest.approx(other, rel=0.03), "there against it and back with it, or the other way round"
    assert calm < both < (against + calm) / 2, "the way back gives a part of it back"
    for made in (north(tmp_path, wind="25 km/h ± 5 km/h", wind_from="north", with_bands=True),):
        figure = made.figures["road.consumption.hill"]
        assert figure.low is not None
        assert figure.high is not None
        assert figure.low < against < figure.high


def test_the_cells_feel_the_wind_and_the_payload_of_a_journey(tmp_path: Path) -> None:
    def hottest(**journey: Any) -> float:
        found = north(tmp_path, {"pack.parallel": 1}, **journey).figures["heat.cell_peak.hill-trip"].value
        assert found is not None
        return found

    calm = hottest(payload="80 kg")
    assert hottest(payload="400 kg") > calm + 0.01
    assert hottest(payload="80 kg", wind="60 km/h", wind_from="north") > calm + 0.1
    assert hottest(payload="80 kg", wind="60 km/h", wind_from="south") < calm - 0.1


def test_each_journey_over_a_route_is_its_own(tmp_path: Path) -> None:
    """The same route with other limits: the hottest cell of either does not hang on what else is driven."""
    (tmp_path / "north.gpx").write_text(track(drive(600, lambda t: 15.0, hill)))
    fast: Any = {"name": "fast", "route": "north.gpx", "share": "50 %", "limits": [
        {"at": "0 km", "speed": "30 km/h"}, {"at": "3 km", "speed": "105 km/h"}]}  # fmt: skip
    slow: Any = {"name": "slow", "route": "north.gpx", "share": "50 %", "limits": [
        {"at": "0 km", "speed": "60 km/h"}, {"at": "3 km", "speed": "55 km/h"}]}  # fmt: skip

    def hottest(trips: list[Any], name: str) -> float:
        made = driven(tmp_path, {"pack.parallel": 1, "duty.trips": trips})
        found = made.figures[f"heat.cell_peak.{name}"].value
        assert found is not None
        return found

    assert hottest([fast, slow], "fast") == hottest([slow, fast], "fast") > hottest([fast, slow], "slow") + 0.1
    assert hottest([fast, slow], "slow") == hottest([slow, fast], "slow")


def test_the_wind_of_a_journey_takes_the_place_of_that_of_the_duty(tmp_path: Path) -> None:
    of_all, still = {"duty.wind": "30 km/h"}, value(north(tmp_path), "range")
    assert value(north(tmp_path, of_all), "range") < 0.95 * still
    assert value(north(tmp_path, of_all, wind="0 km/h"), "range") == pytest.approx(still, rel=1e-6)
    assert value(north(tmp_path, of_all, wind="30 km/h", wind_from="west"), "range") == pytest.approx(still, rel=1e-3)


def test_who_comes_along_counts(tmp_path: Path) -> None:
    design, alone = driven(tmp_path), driven(tmp_path, payload="80 kg")
    assert value(alone, "consumption") < value(design, "consumption")
    assert alone.figures["road.consumption.udds"].value == design.figures["road.consumption.udds"].value
    laden, kerb = (design.figures[f"mass.{each}"].value for each in ("laden", "kerb"))
    assert laden is not None
    assert kerb is not None
    same = value(driven(tmp_path, payload=f"{laden - kerb:.6f} kg"), "consumption")
    assert same == pytest.approx(value(design, "consumption"), rel=1e-5)
    together = driven(tmp_path, payload="80 kg", temperature="-5 °C", wind="20 km/h", wind_from="north")
    assert value(together, "consumption") > 1.15 * value(alone, "consumption")


def test_the_range_in_the_cold_is_that_of_the_journey(tmp_path: Path) -> None:
    mine = {"brief.range_trip": "hill"}
    usual, windy = driven(tmp_path, mine), driven(tmp_path, mine, wind="40 km/h", wind_from="north")
    cold, in_wind = (made.figures["road.range_cold"].value for made in (usual, windy))
    assert cold is not None
    assert in_wind is not None
    assert in_wind < 0.95 * cold


def test_limits_by_section(tmp_path: Path) -> None:
    sections = [{"at": "0 km", "speed": "40 km/h"}, {"at": "1.5 km", "speed": "80 km/h"}]
    made = driven(tmp_path, speed=None, limits=sections).case.traces["hill"]
    way, slow, fast = 0.0, 0.0, 0.0
    for before, after in zip(made.speed[:-1], made.speed[1:], strict=True):
        way += (before + after) / 2
        if way < 1400.0:
            slow = max(slow, after)
        else:
            fast = max(fast, after)
    assert 39.0 < 3.6 * slow < 41.5
    assert 79.0 < 3.6 * fast < 81.0
    assert "40 to 80 km/h by section" in made.source
    assert made.profile is not None
    assert not made.profile.has_times
    one = driven(tmp_path, speed=None, limits=[{"at": "0 km", "speed": "70 km/h"}]).case.traces["hill"]
    assert one.speed == driven(tmp_path).case.traces["hill"].speed
    later = driven(tmp_path, speed="40 km/h", limits=sections[1:]).case.traces["hill"]
    assert later.speed == made.speed


WRONG: list[tuple[dict[str, Any], str]] = [
    ({"limits": [{"at": "1 km", "speed": "50 km/h"}], "speed": None}, "the first limit of the journey 'hill' begins"),
    ({"limits": [{"at": "0 km", "speed": "50 km/h"}]}, "has a speed, and a limit from its start on"),
    ({"limits": [{"at": "2 km", "speed": "50 km/h"}, {"at": "1 km", "speed": "60 km/h"}]}, "begins no farther than"),
    ({"limits": [{"at": "900 km", "speed": "50 km/h"}]}, "a limit begins where the route has ended"),
    ({"wind_from": "north"}, "where the wind blows from, and not how fast"),
    ({"wind": "-20 km/h", "wind_from": "north"}, "is negative and has a direction"),
    ({"wind": "20 km/h", "wind_from": "left"}, "'left' is no point of the compass"),
    ({"wind": "20 km/h", "wind_from": "400°"}, "'400°' is no point of the compass"),
    ({"wind": "20 km/h", "wind_from": True}, "no point of the compass"),
]


@pytest.mark.parametrize(("journey", "what"), WRONG, ids=[what for _, what in WRONG])
def test_wrong_wind_and_limits_are_refused(tmp_path: Path, journey: dict[str, Any], what: str) -> None:
    with pytest.raises(BuildError, match=re.escape(what)) as caught:
        driven(tmp_path, **journey)
    (problem,) = caught.value.problems
    assert problem.allowed
    assert problem.mend
    assert problem.path.startswith("duty.trips.1")


def test_a_temperature_needs_a_drive_of_its_own() -> None:
    for key, each in (("payload", "90 kg"), ("wind", "20 km/h")):
        with pytest.raises(BuildError, match=f"has a {key}, and drives a trip that is known"):
            changed({f"duty.trips.1.{key}": each})
    with pytest.raises(BuildError, match="has a wind_from, and no route"):
        changed({"duty.trips.1.wind": "20 km/h", "duty.trips.1.wind_from": "north"})
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
