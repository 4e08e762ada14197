"""The question `heat`: duties, cooling that is needed, headroom, what flows, the pack heater, and the words of the verdict."""

from __future__ import annotations

import functools
import re
from typing import Any

import numpy as np
import pytest

from helpers import changed, dossier
from voltwright.assess.case import Case
from voltwright.assess.figures import QUESTIONS, answer, figure_of, left_alone
from voltwright.assess.heat_boxes import of_each_cell
from voltwright.assess.heat_curves import heat_lines
from voltwright.assess.heat_radiator import box_fans
from voltwright.assess.keys import key_of
from voltwright.assess.sheet import Sheet
from voltwright.kernels import heat
from voltwright.kernels.warmth import Stream, Warmth, steady_heat_of, warmed
from voltwright.physics.exchanger import conductance_needed
from voltwright.quantity.band import NO_SPREADS
from voltwright.quantity.entry import Expect
from voltwright.quantity.errors import BuildError
from voltwright.quantity.figure import Figure
from voltwright.quantity.units import Unit
from voltwright.rules.finding import Finding

DC = {"charging.inlet": "inlet/combined-2-125a"}
HEATER = {"comfort.pack_heater": {"part": "heater/coolant-5kw-350v", "x": "1 m", "z": "0.5 m"}}
HOT = {"duty.climate.hottest": "44 °C"}  # the pack holds an hour of the power that warms the cells to their limit
KEYS = ("heat.verdict", "heat.headroom", "heat.cell_peak.motorway", "heat.flip_power")


def sheet_of(name: str = "coupe", /, **changes: Any) -> Sheet:
    """All that heat starts from; of trips none but those of the duty."""
    built = changed(changes, name)
    sheet = Sheet(built.build.currency, only_trips=frozenset())
    answer(Case(built.build, built.shelf, built.beside), sheet, ("heat",))
    return sheet


@functools.cache
def as_it_is(name: str = "coupe") -> Sheet:
    return sheet_of(name)


def value(sheet: Sheet, key: str) -> float:
    """In the unit of the contract."""
    known = figure_of(sheet, key, NO_SPREADS).value
    assert known is not None, sheet.reasons[key]
    return known


@pytest.mark.parametrize("name", ["coupe", "roadster", "van"])
def test_heat_made_is_heat_shed_and_stored(name: str) -> None:
    """To 1e-9 on every duty of every example."""
    found = [node.value for node in as_it_is(name).nodes["heat.headroom"].walk() if isinstance(node.value, Warmth)]
    for key, node in as_it_is(name).nodes.items():
        if key.startswith("heat.cell_peak."):
            found.append(node.inputs["warmth"].value)
    assert len(found) >= 5
    for each in found:
        assert np.max(np.abs(each.made - each.shed - each.stored) / np.maximum(each.made, 1.0)) < 1e-9


def test_a_hotter_day_warms_the_cells_and_leaves_less_room() -> None:
    cool, hot = as_it_is(), sheet_of(**{"duty.climate.hottest": "42 °C"})
    assert value(hot, "heat.cell_peak.motorway") == pytest.approx(value(cool, "heat.cell_peak.motorway") + 12, abs=1.0)
    assert value(hot, "heat.headroom") < value(cool, "heat.headroom")


def test_twice_the_strings_is_a_quarter_of_the_heat_in_each_cell() -> None:
    """The rise of the cells, not of the box: on ten starts nearly nothing is shed."""
    one = sheet_of(**{"pack.parallel": 1, "pack.boxes.0.modules": 4, "pack.boxes.1.modules": 4})
    rises = [value(each, "heat.cell_peak.starts") - 30.0 for each in (one, as_it_is())]
    assert rises[0] / rises[1] == pytest.approx(4.0, rel=0.35)


@pytest.mark.parametrize(("place", "warmer"), [("garage", 0.0), ("outdoors", 3.0), ("outdoors-in-the-sun", 14.0)])
def test_the_parking_place_adds_sun(place: str, warmer: float) -> None:
    there = value(sheet_of(**{"duty.parking.place": place}), "heat.cell_peak.starts")
    assert there - value(as_it_is(), "heat.cell_peak.starts") == pytest.approx(warmer, abs=1.0)


def test_a_charge_follows_where_a_station_can() -> None:
    assert "no pins" in as_it_is().reasons["heat.cell_peak.dc-charge"]
    charged = sheet_of(**DC)
    assert value(charged, "heat.cell_peak.dc-charge") > value(charged, "heat.cell_peak.motorway")
    assert "heat.cell_peak.dc-charge" not in sheet_of(**DC, supplies=[]).nodes


def test_a_trailer_has_its_hour() -> None:
    assert "heat.cell_peak.towing" not in as_it_is().nodes
    assert value(sheet_of(**{"brief.tow": "600 kg"}), "heat.cell_peak.towing") > 31.0


@pytest.mark.parametrize("cooling", ["air", "liquid"])
def test_cooling_helps_on_the_motorway(cooling: str) -> None:
    bare = sheet_of("roadster", **{"pack.cooling": "none"})
    cooled = sheet_of("roadster", **{"pack.cooling": cooling})
    assert value(cooled, "heat.cell_peak.motorway") < value(bare, "heat.cell_peak.motorway")
    assert value(cooled, "heat.verdict") == value(bare, "heat.verdict"), (
        "what is needed does not hang on what is fitted"
    )


def test_the_answer_flips_with_the_limit() -> None:
    """None where there is room, air or liquid once there is not: never the other way."""
    answers = [
        value(sheet_of("roadster", **{"duty.climate.hottest": f"{at} °C"}), "heat.verdict") for at in (20, 40, 50)
    ]
    assert answers == sorted(answers)
    assert answers[0] == 0
    assert answers[-1] > 0


def test_what_flips_the_answer_can_be_drawn_for_an_hour() -> None:
    """No more than the pack holds, and than its continuous current."""
    for name in ("coupe", "roadster", "van"):
        assert "empty before an hour" in as_it_is(name).reasons["heat.flip_power"]
    assert 0.0 < value(sheet_of(**HOT), "heat.flip_power") <= value(as_it_is(), "pack.energy_usable")
    large = {"pack.parallel": 8, "pack.boxes.0.modules": 16, "pack.boxes.1.modules": 16}
    assert "continuous current" in sheet_of(**large).reasons["heat.flip_power"]


def test_what_flips_the_answer_begins_as_warm_as_the_worst_duty() -> None:
    """After a day in the sun, which takes 14 K of the room; so verdict and flip agree."""
    hot = sheet_of(**HOT)
    starts = [node.inputs["start"].value for node in hot.nodes["heat.flip_power"].walk() if "start" in node.inputs]
    assert starts == [pytest.approx(273.15 + 44.0 + 14.0)]
    hotter = sheet_of(**{"duty.climate.hottest": "44.5 °C"})
    assert value(hotter, "heat.flip_power") < value(hot, "heat.flip_power")
    for cooling in ("air", "liquid"):
        cooled = sheet_of(**HOT, **{"pack.cooling": cooling})
        assert value(cooled, "heat.flip_power") == pytest.approx(value(hot, "heat.flip_power"))
    as_warm = sheet_of("roadster", **{"duty.climate.hottest": "50 °C"})
    assert "at the start" in as_warm.reasons["heat.flip_power"]


def test_cooling_that_is_more_than_enough_is_judged_on_every_duty() -> None:
    def tried(sheet: Sheet) -> int:
        return len(sheet.nodes["heat.verdict"].inputs["bare"].inputs)

    peaks = [key for key in as_it_is().nodes if key.startswith("heat.cell_peak.") and not key.endswith(".cold")]
    assert tried(sheet_of(**{"pack.cooling": "liquid"})) == len(peaks)
    assert tried(sheet_of(**{"pack.cooling": "liquid", "duty.climate.hottest": "59 °C"})) == 2


def test_with_coolant_plates_the_spread_is_that_of_the_coolant() -> None:
    """The rise from the first module to the last comes to what they differ at one place."""
    spread = as_it_is("van").nodes["heat.spread"]
    rise, flow = spread.inputs["2"], as_it_is("van").nodes["heat.coolant_flow_fitted"]
    carried = rise.inputs["conductance"].inputs
    assert carried["flow"].value == pytest.approx(flow.value)
    assert rise.value * carried["density"].value * carried["specific_heat"].value * flow.value == pytest.approx(
        rise.inputs["heat"].value
    )
    assert value(as_it_is("van"), "heat.spread") > rise.value
    figures = {key: figure_of(as_it_is("van"), key, NO_SPREADS) for key in as_it_is("van").nodes}
    built = changed({}, "van")
    drawn = heat_lines(Case(built.build, built.shelf, built.beside), figures)
    assert drawn is not None, "the plot does not need it"
    assert "sun" in drawn.title


def finding(key: str, changes: dict[str, Any], name: str = "coupe", *, with_bands: bool = False) -> Finding | None:
    made = dossier(changes, name, with_bands=with_bands).findings
    return next((each for each in made if each.key == key), None)


def test_less_cooling_than_needed_says_how_warm_a_cell_becomes() -> None:
    less = finding("heat.cooling_less", {"duty.climate.hottest": "50 °C"})
    assert less is not None
    assert "reaches 65 °C on the worst duty, an hour of motorway after a hot day in the sun" in less.detail
    assert "discharged up to 60 °C" in less.detail


def test_room_that_age_uses_up_is_said() -> None:
    """Half as much again is what resistance grows by; the roadster has 42 %, and in some cases nothing."""
    little = finding("heat.headroom", {}, "roadster", with_bands=True)
    assert little is not None
    assert (little.value, little.limit) == ("42 %", "50 %")
    assert re.search(r"In \d+ of 100 likely cases a cell passes its limit already", little.detail)
    assert little.likelihood


def test_room_that_is_not_sure_is_said() -> None:
    perhaps = finding("heat.headroom_perhaps", {"duty.climate.hottest": "34.1 °C"}, "roadster", with_bands=True)
    assert perhaps is not None
    assert perhaps.value is not None
    assert perhaps.value.startswith("down to −")
    assert finding("heat.headroom_perhaps", {}, with_bands=True) is None


def test_a_hot_pack_is_not_charged_on_arrival() -> None:
    hot = finding("heat.hot_for_charging", {"duty.climate.hottest": "35 °C"})
    assert hot is not None
    assert "hot day in the sun" in hot.detail
    assert hot.limit == "45 °C"


def test_insulation_keeps_heat_in_and_a_stream_takes_it() -> None:
    foam = {f"pack.boxes.{at}.insulation": "30 mm" for at in (0, 1)}
    boot, floor = ({f"pack.boxes.{at}.surroundings": place for at in (0, 1)} for place in ("boot", "under-floor"))
    warm = {"duty.climate.coldest": "-20 °C"}
    inside, outside = sheet_of(**foam, **boot, **warm), sheet_of(**floor, **warm)
    assert value(inside, "heat.cell_peak.cold") > value(outside, "heat.cell_peak.cold") + 0.5


@pytest.mark.parametrize("wall", ["aluminium", "plastic"])
def test_the_wall_counts(wall: str) -> None:
    walls = {f"pack.boxes.{at}.wall": wall for at in (0, 1)} | {
        f"pack.boxes.{at}.wall_thickness": "6 mm" for at in (0, 1)
    }
    # More heat goes into the wall, and it is no warmer than thin steel: the cells stay colder after a cold night.
    assert value(sheet_of(**walls), "heat.cell_peak.cold") < value(as_it_is(), "heat.cell_peak.cold")


def test_box_fans_are_told_from_that_of_the_radiator() -> None:
    fans = [
        {"part": each, "x": "1 m", "z": "0.5 m"} for each in ("radiator/420x320", "fan/radiator-280mm", "fan/box-120mm")
    ]
    built = changed({"fitted": fans})
    assert [fan.id for _, fan in box_fans(Case(built.build, built.shelf, built.beside))] == ["fan/box-120mm"]


def test_pack_heater() -> None:
    """5 kW on the whole pack; by hand, nothing shed: heat capacity times rise over the 82.5 % of the power that arrive."""
    warmed = sheet_of(**HEATER)
    hours, energy = value(warmed, "heat.heater_time"), value(warmed, "heat.heater_energy")
    assert energy == pytest.approx(5.0 * hours)
    by_hand = 16 * 13.2 * 1040 * 17.0 / 3.6e6 / 0.825
    assert hours == value(warmed, "charge.time_heating_cold.home"), "one warming, told twice"
    assert energy == pytest.approx(by_hand, rel=0.05)
    assert "no pack heater" in as_it_is().reasons["heat.heater_time"]
    mild = sheet_of(**HEATER, **{"duty.climate.coldest": "11 °C"})
    assert "warm enough" in mild.reasons["heat.heater_time"]
    assert value(sheet_of(**HEATER, **{"charging.target_temperature": "15 °C"}), "heat.heater_energy") > 1.25 * energy


def test_nothing_flows_where_nothing_is_cooled_by_liquid() -> None:
    assert "liquid" in as_it_is("roadster").reasons["heat.radiator"]
    assert value(as_it_is(), "heat.coolant_flow") > 1.0
    no_pump = sheet_of(fitted=[])
    assert "pump" in no_pump.reasons["heat.coolant_flow_fitted"]


def test_without_a_drive_there_is_a_reason() -> None:
    bare = sheet_of(**{"drive.motor": None})
    for key in KEYS:
        assert bare.reasons[key]
    boxless = sheet_of(**{"pack.boxes.0.modules": 0, "pack.boxes.1.modules": 0})
    assert "holds modules" in boxless.reasons["heat.verdict"]


def test_the_verdict_is_said_in_words() -> None:
    assert key_of("heat.verdict").answer == ("none", "air", "liquid")
    said = Figure("heat.verdict", "Cooling", Unit("1"), 0, 1.0, answer=("none", "air", "liquid"))
    assert said.printed() == "air"
    wide = Figure("heat.verdict", "Cooling", Unit("1"), 0, 1.0, low=0.0, high=2.0, answer=said.answer)
    assert wide.printed_band() == "liquid or air or none"
    sure = Figure("heat.verdict", "Cooling", Unit("1"), 0, 1.0, low=1.0, high=1.0, answer=said.answer)
    assert sure.printed_band() == ""


def test_cooling_leaves_all_else_alone() -> None:
    """What `LEFT_ALONE` says of pack.cooling, with the questions that its own test leaves out."""
    alone = left_alone(["pack.cooling"])
    assert set(alone) == set(QUESTIONS) - {"heat", "life"}
    before, after = as_it_is(), sheet_of(**{"pack.cooling": "air"})
    for question in alone:
        for key in before.answers.get(question, ()):
            node = before.nodes.get(key)
            if node is not None and isinstance(node.value, float):
                assert after.nodes[key].value == node.value, key


def test_bands_hold_the_value_and_say_what_moves_it() -> None:
    figure = dossier({}, with_bands=True).figures["heat.cell_peak.sun"]
    assert figure.low is not None
    assert figure.high is not None
    assert figure.value is not None
    assert figure.low < figure.value < figure.high
    assert max(figure.shares, key=lambda each: figure.shares[each]).startswith("Warmer after a day in the sun")


def test_every_duty_of_the_brief_has_a_figure_or_a_reason() -> None:
    built = changed({"duty.trips": [{"name": "hill", "share": "100 %", "trip": "udds"}]})
    case = Case(built.build, built.shelf, built.beside)
    sheet = Sheet(built.build.currency)
    answer(case, sheet, ("heat",))
    assert {"heat.cell_peak.hill", "heat.cell_peak.hill-trip"} <= sheet.nodes.keys()


LIQUID_PACK = {"pack.cooling": "liquid", "duty.climate.hottest": "59 °C"}


def test_no_radiator_cools_what_must_be_colder_than_the_air() -> None:
    """Cells up to 60 °C whose heat needs 2 K or so to the coolant cannot be cooled by air of 59 °C."""
    hot = sheet_of(**LIQUID_PACK)
    assert "heat.radiator" not in hot.nodes
    assert "as warm as the coolant may be" in hot.reasons["heat.radiator"]
    assert "heat.coolant_flow" in hot.nodes


def test_samples_in_which_the_air_is_too_warm_need_no_radiator_that_there_is() -> None:
    given: dict[str, Any] = {"heat": np.full(4, 600.0), "difference": np.array([20.0, 1.0, 0.0, -5.0])}
    found: Any = conductance_needed(**given)
    assert list(found[:2]) == [30.0, 600.0]
    assert np.isnan(found[2:]).all()


@pytest.mark.parametrize(("cooling", "entered"), [("air", "40 °C"), ("air", "35 °C"), ("liquid", "60 °C")])
def test_a_highest_temperature_that_is_not_of_the_winding(cooling: str, entered: str) -> None:
    """Insulation as is usual takes its place, and the reason says so; a motor that warm at its rating has no other meaning."""
    built = changed({})
    motor = Case(built.build, built.shelf, built.beside).motor
    assert motor is not None
    limit = Expect("°C").read(entered)

    def of(**more: Any) -> Sheet:
        case = Case(built.build, built.shelf, built.beside)
        case.__dict__["motor"] = motor.model_copy(update={"cooling": cooling, **more})
        sheet = Sheet(built.build.currency, only_trips=frozenset())
        answer(case, sheet, ("heat",))
        return sheet

    odd, none = of(temperature_max=limit), of(temperature_max=None)
    assert value(odd, "heat.motor_sustained") == pytest.approx(value(none, "heat.motor_sustained"))
    reasons = [each.origin.reason for each in odd.nodes["heat.motor_sustained"].walk() if each.origin]
    assert any(entered in each for each in reasons)


def test_a_wall_of_foil_ends_in_time_and_keeps_the_books() -> None:
    """A body that would need a hundred million parts of a step gets fifty, and is as warm as what it touches."""
    two, no = np.array([[200.0], [20.0]]), np.zeros((1, 2, 1))
    given: Any = (np.array([0, 1]), np.array([1, 2]), two, np.array([-1, -1]), no, no)
    light, usual = np.array([[5000.0], [1e-6]]), np.array([[5000.0], [900.0]])
    assert heat.parts_of_step(*given, light, 20.0) == heat.MOST_PARTS
    assert light[1, 0] == pytest.approx(220.0 * 20.0 / heat.STABLE / heat.MOST_PARTS)
    assert heat.parts_of_step(*given, usual, 20.0) < 12
    assert usual[1, 0] == 900.0


def test_walls_are_no_thinner_than_foil() -> None:
    with pytest.raises(BuildError, match=r"0\.1"):
        changed({"pack.boxes.0.wall_thickness": "0.000001 mm"})


def test_idle_parts_of_a_duty_make_no_pump_smaller() -> None:
    """Twenty minutes at 40 A, then five hours at rest: what the loop must carry is that of the twenty minutes."""
    sheet = sheet_of(**{"pack.cooling": "liquid"})
    case = Case(*(getattr(changed({}), name) for name in ("build", "shelf", "beside")))
    boxes = sheet.nodes["heat.cell_peak.sun"].inputs["warmth"].inputs["boxes"].value
    cells = {name: node.value for name, node in of_each_cell(case, sheet).items()}

    def steady(minutes: int, rest: int) -> float:
        square = np.concatenate([np.full(3 * minutes, 1600.0), np.zeros(3 * rest)])
        stream = Stream(square, square, np.full_like(square, 0.5), np.full_like(square, 20.0), 20.0)
        return steady_heat_of(
            warmth=warmed(stream=stream, boxes=boxes, start=298.15, outside=298.15, factor=1.0, **cells)
        )

    assert steady(20, 0) > 10.0
    assert steady(20, 300) == pytest.approx(steady(20, 0))
    assert steady(5, 0) == pytest.approx(steady(20, 0), rel=0.05)
