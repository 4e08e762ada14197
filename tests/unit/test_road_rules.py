"""Range, trips and towing: each check is passed by one build and failed by another, and its remedy helps."""

from __future__ import annotations

import copy
import math
import re
from typing import Any

import pytest

from helpers import dossier, example, keys
from voltwright.parts.shelf import Shelf
from voltwright.rules.dossier import NOT_JUDGED, Dossier
from voltwright.rules.finding import Finding

ONE_STRING = {"pack.parallel": 1, "pack.boxes.0.modules": 4, "pack.boxes.1.modules": 4}


def gear_unit(part: str) -> dict[str, Any]:
    unit = {"part": part, "x": "0.7 m", "z": "0.4 m"}
    return {"drive.gearing": {"way": "gear-unit", "reverse": "motor", "gear_unit": unit}}


def own(part_id: str, **fields: Any) -> Shelf:
    """The shelf with other fields in one datasheet; None takes a field out."""
    shelf = example().shelf
    raw = copy.deepcopy(dict(shelf._raw[part_id])) | fields  # type: ignore[reportPrivateUsage]
    return shelf.with_own({part_id: {name: value for name, value in raw.items() if value is not None}})


def found(made: Dossier, key: str) -> Finding:
    one = next((each for each in made.findings if each.key == key), None)
    assert one is not None, keys(made)
    return one


# finding, what makes it appear, in which example, severity; none of them stands in the plain coupé
FAILING: list[tuple[str, dict[str, Any], str, str]] = [
    ("data.trip_unknown", {"brief.range_trip": "stedy-80"}, "coupe", "caution"),
    ("data.trip_unknown", {"duty.trips.1.trip": "wltc3b"}, "coupe", "caution"),
    ("brief.range", {"brief.range": "400 km"}, "coupe", "caution"),
    ("brief.range", {"brief.range": "60 km", "brief.range_trip": "us06"}, "van", "caution"),
    ("road.trip.us06", {"brief.range_trip": "us06"}, "van", "caution"),
    ("road.held_back.nedc", {"brief.range_trip": "nedc"}, "van", "caution"),
    ("road.held_back.udds", {"brief.range_trip": "udds"}, "van", "note"),
    ("road.journey.rounds", {"duty.trips.0.distance": "400 km"}, "coupe", "caution"),
    ("road.regeneration_full", {"pack.window.full": "100 %"}, "coupe", "note"),
    ("road.pack_current", {"brief.cruise_speed": "118 km/h", "pack.protection.msds": 1, **ONE_STRING,
                           "pack.module": "module/nmc111-12s-30ah"}, "coupe", "caution"),
    ("drive.gear_unit_speed", {**gear_unit("gear-unit/two-speed-3.2-1.7"), "drive.gearing.fixed_gear": 1}, "coupe", "caution"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("key", "changes", "name", "severity"), FAILING, ids=[f"{key}-{at}" for at, (key, *_) in enumerate(FAILING)]
)
def test_a_build_that_fails(key: str, changes: dict[str, Any], name: str, severity: str) -> None:
    assert key not in keys(dossier())
    one = found(dossier(changes, name), key)
    assert one.severity == severity
    assert one.title
    assert one.detail
    assert one.remedy


def test_the_nearest_trip_is_named() -> None:
    one = found(dossier({"brief.range_trip": "stedy-80"}), "data.trip_unknown")
    assert "steady-80" in (one.remedy or "")
    assert "brief.range_trip" in one.detail
    assert "duty.trips.1.trip" in found(dossier({"duty.trips.1.trip": "wltc3b"}), "data.trip_unknown").detail


def test_a_journey_of_the_duty_may_be_the_trip_of_the_brief() -> None:
    assert "data.trip_unknown" not in keys(dossier({"brief.range_trip": "rounds"}))
    assert "brief.range" in keys(dossier({"brief.range_trip": "rounds", "brief.range": "400 km"}))


def test_the_band_is_told_beside_the_wish() -> None:
    plain = dossier(with_bands=True)
    assert not keys(plain) & {"brief.range", "brief.range_perhaps"}
    figure = plain.figures["road.range.steady-80"]
    assert figure.value is not None
    assert figure.low is not None
    assert figure.high is not None
    perhaps = found(
        dossier({"brief.range": f"{(figure.low + figure.value) / 2:.0f} km"}, with_bands=True), "brief.range_perhaps"
    )
    assert "Only the low end" in perhaps.detail
    short = found(
        dossier({"brief.range": f"{(figure.value + figure.high) / 2:.0f} km"}, with_bands=True), "brief.range"
    )
    assert "Only the high end" in short.detail
    far = found(dossier({"brief.range": f"{figure.high + 20:.0f} km"}, with_bands=True), "brief.range")
    assert "Even the high end" in far.detail


def test_remedies_of_the_range_lead_there() -> None:
    """A slower speed as named reaches it, the next faster does not; so do the share of the charge and the strings."""
    wish = 240.0
    made = dossier({"brief.range": f"{wish} km"})
    remedy = found(made, "brief.range").remedy or ""
    speed = int(re.search(r"steady (\d+) km/h", remedy).group(1))  # type: ignore[union-attr]
    assert (made.figures[f"road.range.steady-{speed}"].value or 0) >= wish
    assert (made.figures[f"road.range.steady-{speed + 10}"].value or 0) < wish
    share = float(re.search(r"about (\d+)% of the charge", remedy).group(1))  # type: ignore[union-attr]
    assert "brief.range" not in keys(
        dossier({"brief.range": f"{wish} km", "pack.window.full": "99 %", "pack.window.empty": f"{98.5 - share} %"})
    )
    strings = int(re.search(r"\((\d+) in all", remedy).group(1))  # type: ignore[union-attr]
    more = {"pack.parallel": strings, "pack.boxes.0.modules": 8 * strings - 8}
    assert "brief.range" not in keys(dossier({"brief.range": f"{wish} km", **more}))


def test_what_holds_the_car_back_is_named_with_its_seconds() -> None:
    one = found(dossier({"brief.range_trip": "nedc"}, "van"), "road.held_back.nedc")
    assert re.search(r"motor heat for \d+ s", one.detail)
    cannot = found(dossier({"brief.range_trip": "us06"}, "van"), "road.trip.us06")
    assert "motor heat" in cannot.detail
    assert "continuous power" in (cannot.remedy or "")


def test_trips_that_nobody_asks_are_not_judged() -> None:
    assert not [key for key in keys(dossier(name="van")) if key.startswith("road.trip.")]


def test_a_journey_within_the_band_may_be_too_long() -> None:
    figure = dossier(with_bands=True).figures["road.range.steady-80"]
    assert figure.low is not None
    assert figure.value is not None
    near = {"duty.trips.0.distance": f"{(figure.low + figure.value) / 2:.0f} km"}
    assert "may be longer" in found(dossier(near, with_bands=True), "road.journey.rounds").title
    assert "road.journey.rounds" not in keys(
        dossier({"duty.trips.0.distance": f"{figure.low - 2:.0f} km"}, with_bands=True)
    )


def test_as_many_strings_as_named_bear_the_cruise() -> None:
    changes = next(each for key, each, *_ in FAILING if key == "road.pack_current")
    one = found(dossier(changes), "road.pack_current")
    strings = int(re.search(r"About (\d+) strings", one.remedy or "").group(1))  # type: ignore[union-attr]
    more = {"pack.parallel": strings, "pack.protection.msds": strings, "pack.boxes.0.modules": 8 * strings - 4}
    assert "road.pack_current" not in keys(dossier({**changes, **more}))


def test_cruise_lies_between_its_neighbours() -> None:
    from voltwright.assess.figures import PointFigures, work_out
    from voltwright.rules.finding import Assessed
    from voltwright.rules.road import _current_at, _mean_current  # type: ignore[reportPrivateUsage]

    case = dossier().case
    sheet = work_out(case)
    seen = Assessed(case, sheet, PointFigures(sheet))
    slow, fast = _mean_current(seen, "steady-100"), _mean_current(seen, "steady-110")
    assert _current_at(seen, 105 / 3.6) == pytest.approx((slow + fast) / 2)
    assert _current_at(seen, 200 / 3.6) is None


# The motor's data, and towing.


def test_efficiencies_that_fit_no_motor() -> None:
    points = {
        "rpm": [1000, 3000, 6000, 1000, 3000, 6000],
        "newton_metre": [50, 50, 50, 120, 120, 120],
        "percent": [95, 60, 95, 60, 95, 60],
    }
    made = dossier(shelf=own("motor/pm-90kw-350v", efficiency_points=points))
    assert found(made, "data.motor_losses").severity == "note"
    assert "data.motor_losses" not in keys(dossier())


def test_a_curve_that_the_envelope_does_not_follow() -> None:
    curve = {"rpm": [0, 2000, 3000, 6000, 10500], "newton_metre": [260, 260, 120, 130, 78]}
    made = dossier(shelf=own("motor/pm-90kw-350v", torque_curve_peak=curve))
    assert found(made, "data.motor_curve").severity == "note"
    assert "data.motor_curve" not in keys(dossier())


def test_towing_on_driven_wheels() -> None:
    neutral = found(dossier(), "drive.towing")
    assert "neutral" in neutral.title
    crest = float(re.search(r"voltage whenever it turns: ([\d.]+) V \(crest\) at 80 km/h", neutral.detail).group(1))  # type: ignore[union-attr]
    # By hand: tyres 165/80R14 roll at 0.97 of their free radius; fourth gear 1.0, final drive 3.9.
    radius = 0.97 * (14 * 0.0254 + 2 * 0.8 * 0.165) / 2
    rpm = 80 / 3.6 * 3.9 / radius * 30 / math.pi
    emf = example().shelf._raw["motor/pm-90kw-350v"]["back_emf"]  # type: ignore[reportPrivateUsage]
    assert crest == pytest.approx(math.sqrt(2) * float(emf.removesuffix(" V/krpm")) * rpm / 1000, abs=0.1)
    locked = found(dossier({"drive.gearing.fixed_gear": 4, "drive.gearing.reverse": "motor"}), "drive.towing")
    assert locked.severity == "note"
    assert "Do not tow" in locked.title
    low = found(dossier({"drive.gearing.fixed_gear": 1, "drive.gearing.reverse": "motor"}), "drive.towing")
    assert low.severity == "caution"
    assert "drive.towing" not in keys(dossier(name="van"))  # an induction motor makes no voltage of its own


def test_magnets_without_back_emf() -> None:
    made = dossier(shelf=own("motor/pm-90kw-350v", back_emf=None))
    assert found(made, "drive.back_emf_unknown").severity == "caution"
    assert "drive.back_emf_unknown" not in keys(dossier()) | keys(dossier(name="van"))


def test_gear_unit_within_its_speed() -> None:
    assert "drive.gear_unit_speed" not in keys(dossier(gear_unit("gear-unit/single-speed-2.1")))


def test_what_is_judged_is_not_among_what_is_not() -> None:
    assert not any("range" in each for each in NOT_JUDGED)
