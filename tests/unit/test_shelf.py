"""The shelf: parts by id, and what it says when one is unknown, of the wrong kind, or wrong in itself."""

import copy
import json
from pathlib import Path
from typing import Any

import pytest

from voltwright.parts.drive import Motor
from voltwright.parts.protection import Fuse
from voltwright.parts.shelf import Shelf, catalogue, make_part, shelf_beside, shelf_with
from voltwright.quantity.errors import PartError, Problem


def fuse(**changes: Any) -> dict[str, Any]:
    """A whole datasheet of a fuse with changes; a change to None takes the field away."""
    raw: dict[str, Any] = {
        "id": "fuse/own-100a", "title": "Own fuse", "source": "own-datasheet", "grade": "datasheet",
        "voltage_max": "500 V", "time_constant": "2 ms", "current_rated": "100 A", "current_break_max": "20 kA",
        "current_break_min": "160 A", "utilisation": "full-range",
    }  # fmt: skip
    return {name: value for name, value in (raw | changes).items() if value is not None}


def complaints(raw: dict[str, Any]) -> dict[str, Problem]:
    """What is wrong with a datasheet, by field."""
    with pytest.raises(PartError) as caught:
        make_part(raw)
    return {problem.path.partition(": ")[2] or problem.path: problem for problem in caught.value.problems}


def test_take_gives_the_part_of_that_kind() -> None:
    part = catalogue().take("motor/pm-90kw-350v", Motor)
    assert part.power_peak.value == 90_000
    assert part.power_peak.text == "90 kW"
    assert part.torque_curve_peak is not None
    assert part.torque_curve_peak.newton_metre[0] == 260


def test_a_value_knows_its_part_field_source_and_grade() -> None:
    origin = catalogue().take("motor/pm-90kw-350v", Motor).power_peak.origin
    assert (origin.how, origin.where, origin.grade) == ("datasheet", "motor/pm-90kw-350v: power_peak", "invented")
    assert origin.source is not None
    assert origin.source.key == "typical-practice"


def test_unknown_id_names_the_nearest() -> None:
    with pytest.raises(PartError, match=r"No part has the id 'motor/pm-90kw-350'.*motor/pm-90kw-350v"):
        catalogue().take("motor/pm-90kw-350", Motor)


def test_an_id_like_no_other_is_answered_with_some_of_its_kind() -> None:
    with pytest.raises(PartError, match="motor/"):
        catalogue().take("qqqqqqqq", Motor)


def test_wrong_kind_says_what_it_is_and_what_would_fit() -> None:
    with pytest.raises(PartError, match=r"motor/pm-90kw-350v is a motor, not a fuse.*fuse/"):
        catalogue().take("motor/pm-90kw-350v", Fuse)


def test_a_whole_datasheet_is_accepted() -> None:
    part = make_part(fuse())
    assert isinstance(part, Fuse)
    assert part.time_constant.value == pytest.approx(0.002)
    assert part.price is None


def test_null_means_absent() -> None:
    assert make_part(fuse() | {"mass": None, "price": None}).mass is None


def test_all_that_is_wrong_is_said_at_once() -> None:
    found = complaints(
        fuse(current_rated=None, voltage_max="500 kg", curent_rated="100 A", grade="good", source="nobody")
    )
    assert {"current_rated", "voltage_max", "curent_rated", "grade", "source"} <= set(found)
    assert found["current_rated"].what == "is missing from the datasheet"
    assert "A" in found["current_rated"].allowed
    assert "kg" in found["voltage_max"].what
    assert found["curent_rated"].mend == "write current_rated"
    assert "invented" in found["grade"].allowed


def test_unknown_column_of_a_table_names_the_nearest() -> None:
    table = {"ampere": [200, 400], "seconds": [10, 1]}
    found = complaints(fuse(melting=table))
    assert found["melting.seconds"].mend == "write second"
    assert "melting.second" in found


@pytest.mark.parametrize(
    ("changes", "field", "word"),
    [
        ({"id": "motor/own-100a", "kind": "fuse"}, "id", "fuse/"),
        ({"id": "fuse/../100a"}, "id", ""),
        ({"id": "fuse/Own"}, "id", ""),
        ({"fields": {"voltage": {"source": "own-datasheet", "grade": "datasheet"}}}, "fields", "'voltage'"),
        ({"fields": {"mass": {"source": "nobody", "grade": "datasheet"}}}, "fields.mass.source", "nobody"),
        ({"fields": {"voltage_max": "nobody"}}, "fields.voltage_max", "nobody"),
        ({"voltage_max": {"value": "500 V", "grade": "fine"}}, "voltage_max.grade", "fine"),
        ({"voltage_max": {"value": "500 V", "source": "nobody"}}, "voltage_max.source", "nobody"),
        ({"voltage_max": {"volt": 500}}, "voltage_max", "volt"),
        ({"voltage_max": ["500 V"]}, "voltage_max", "500 V"),
        ({"voltage_max": "-500 V"}, "voltage_max", "outside"),
        ({"melting": {"ampere": [200, 400], "second": [1, 10]}}, "melting", "fall"),
        ({"melting": {"ampere": [200, float("nan")], "second": [10, 1]}}, "melting.ampere.1", "nan"),
        ({"melting": "fast"}, "melting", "fast"),
        ({"utilisation": "some-range"}, "utilisation", "some-range"),
        ({"title": ""}, "title", ""),
    ],
)  # fmt: skip
def test_a_wrong_datasheet_is_refused_where_it_is_wrong(changes: dict[str, Any], field: str, word: str) -> None:
    found = complaints(fuse(**changes))
    assert field in found
    assert word in str(found[field])


def test_a_contradiction_is_said_even_while_a_field_is_missing() -> None:
    raw = {"id": "dc-dc/own", "title": "Own", "source": "own-datasheet", "grade": "datasheet"}
    found = complaints(raw | {"voltage_min": "400 V", "voltage_max": "200 V"})
    assert found["voltage_max"].what == "must be above voltage_min"
    assert "efficiency" in found


def test_a_field_may_have_a_source_and_grade_of_its_own() -> None:
    part = make_part(fuse(fields={"voltage_max": {"source": "typical-practice", "grade": "estimated"}}))
    origins = {name: entry.origin for name, entry in part.entries()}
    assert origins["voltage_max"].grade == part.grade_of("voltage_max") == "estimated"
    assert origins["current_rated"].grade == part.grade_of("current_rated") == "datasheet"


def test_a_value_may_say_how_it_is_known() -> None:
    part = make_part(fuse(voltage_max={"value": "480 V", "how": "measured", "note": "bench"}))
    origin = next(entry.origin for name, entry in part.entries() if name == "voltage_max")
    assert (origin.how, origin.grade, origin.reason) == ("measured", "measured", "bench")
    assert origin.source is not None
    assert origin.source.key == "own-datasheet"


def test_no_known_kind() -> None:
    assert "fuse" in complaints({"id": "fuze/own"})["kind"].allowed


def test_parts_beside_a_build_stand_in_front_of_the_catalogue(tmp_path: Path) -> None:
    own = fuse(id="fuse/500v-200a", title="The workshop's own")
    (tmp_path / "parts").mkdir()
    (tmp_path / "parts" / "fuse--500v-200a.json").write_text(json.dumps(own), encoding="utf-8")
    shelf = shelf_beside(tmp_path / "build.yaml")
    assert shelf.any("fuse/500v-200a").title == "The workshop's own"
    assert shelf.ids("motor") == catalogue().ids("motor")
    assert catalogue().any("fuse/500v-200a").title != "The workshop's own"


@pytest.mark.parametrize("content", ["{", "[1]", "3", "[" * 5000])
def test_a_broken_own_part_is_named(tmp_path: Path, content: str) -> None:
    (tmp_path / "parts").mkdir()
    (tmp_path / "parts" / "fuse--x.json").write_text(content, encoding="utf-8")
    with pytest.raises(PartError, match=r"fuse--x\.json"):
        shelf_beside(tmp_path / "build.yaml")


def test_fingerprint_follows_the_datasheet() -> None:
    one = Shelf({"fuse/own-100a": fuse()})
    same = Shelf({"fuse/own-100a": fuse(), "fuse/other": fuse(id="fuse/other")})
    other = Shelf({"fuse/own-100a": fuse(voltage_max="450 V")})
    assert one.fingerprint(["fuse/own-100a"]) == same.fingerprint(["fuse/own-100a", "fuse/own-100a"])
    assert one.fingerprint(["fuse/own-100a"]) != other.fingerprint(["fuse/own-100a"])


@pytest.mark.parametrize("content", ['{"kind": "fuse"}', '{"id": "other"}', '{"id": 7}'])
def test_own_datasheet_without_an_id_is_said(tmp_path: Path, content: str) -> None:
    (tmp_path / "fuse--mine.json").write_text(content, encoding="utf-8")
    with pytest.raises(PartError, match="names no part"):
        shelf_with(tmp_path)


@pytest.mark.parametrize("title", ["\\u001b[2J", "\\u009b1m", "\\ud800"])
def test_own_datasheet_that_would_steer_a_terminal_is_refused(tmp_path: Path, title: str) -> None:
    (tmp_path / "fuse--mine.json").write_text(f'{{"id": "fuse/mine", "title": "{title}"}}', encoding="utf-8")
    with pytest.raises(PartError, match="control character"):
        shelf_with(tmp_path)


def test_the_catalogue_cannot_be_changed_in_place() -> None:
    part = catalogue().any("cable/copper-50mm2")
    with pytest.raises(TypeError):
        part.fields["mass"] = part.fields["resistance"]


def test_a_part_that_cannot_be_changed_is_still_copied_and_written() -> None:
    part = next(each for each in map(catalogue().any, catalogue().ids()) if each.fields)
    assert copy.deepcopy(part) == part
    assert json.loads(part.model_dump_json())["fields"] == part.model_dump(mode="json")["fields"]
    assert set(part.model_dump()["fields"]) == set(part.fields)
