"""Which parts fit a build: the same as the whole assessment says, in the order of the price, and in words where there is no answer."""

from __future__ import annotations

import json
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from failing import FAST
from helpers import EXAMPLES, Run, changed, keys, runner
from voltwright.parts.kinds import KINDS
from voltwright.quantity.errors import PartError
from voltwright.quantity.yaml_text import dump
from voltwright.rules.dossier import assess
from voltwright.rules.finding import Finding
from voltwright.services.fitting import BARE, NAMED_FIRST, WORDS, Fit, Place, fitting, fitting_of, told

COUPE, VAN, ROADSTER = (EXAMPLES / f"{name}.yaml" for name in ("coupe", "van", "roadster"))


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    return runner(capsys, tmp_path, monkeypatch)


def written(folder: Path, changes: dict[str, Any], name: str = "coupe") -> Path:
    file = folder / "car.yaml"
    file.write_text(dump(changed(changes, name).document.root), encoding="utf-8")
    return file


def only(places: tuple[Place, ...]) -> Place:
    (place,) = places
    return place


@pytest.mark.parametrize("kind", ["dc-dc", "inverter", "fuse", "battery-12v"])
def test_the_verdict_is_that_of_the_whole_assessment(kind: str) -> None:
    """Each part put into the document by hand and assessed whole: no new stop or caution if it fits, each reason found if not."""
    place = only(fitting(COUPE, kind))
    now = {each.key for each in assess(changed({}), with_bands=False, search=False).findings if each.severity != "note"}
    for fit in place.fits:
        whole = assess(changed({place.path: fit.id}), with_bands=False, search=False)
        loud = {each.key for each in whole.findings if each.severity != "note"}
        assert {each.key for each in fit.reasons} <= loud, fit.id
        if fit.suits == "fits":
            assert loud <= now, fit.id
            assert not whole.has_stop


def test_every_part_of_the_kind_is_told_once_and_by_price() -> None:
    place = only(fitting(COUPE, "fuse"))
    assert {each.id for each in place.fits} == set(changed({}).shelf.ids("fuse"))
    assert len(place.fits) == len({each.id for each in place.fits})
    for wanted in WORDS:
        prices = [each.price for each in place.fits if each.suits == wanted]
        known = [each for each in prices if each is not None]
        assert prices[: len(known)] == sorted(known)
    ranks = [list(WORDS).index(each.suits) for each in place.fits]
    assert ranks == sorted(ranks)
    assert [each.id for each in place.fits if each.now] == ["fuse/500v-200a"]


def test_what_stands_in_the_build_now_fits_unless_it_is_a_stop_itself(tmp_path: Path) -> None:
    assert all(each.fits for each in only(fitting(COUPE, "motor")).fits if each.now)
    wrong = written(tmp_path, {"drive.motor.part": "motor/pm-25kw-96v"})
    (now,) = (each for each in only(fitting(wrong, "motor")).fits if each.now)
    assert not now.fits
    assert now.reasons[0].key == "pack.voltage_limit.motor"


def test_a_stop_that_no_part_is_to_blame_for_is_told_once(tmp_path: Path) -> None:
    earthed = written(tmp_path, {"donor.electrics.earth": "positive"})
    for kind in ("fuse", "module"):
        place = only(fitting(earthed, kind))
        assert [each.key for each in place.whatever] == ["electrics.earth"]
        assert "electrics.earth" not in {reason.key for each in place.fits for reason in each.reasons}
        assert any(each.fits for each in place.fits)


FIVE_IN_SERIES = {"pack.series": 5, "pack.boxes.0.modules": 5, "pack.boxes.1.modules": 5}


@pytest.mark.parametrize(
    ("kind", "changes", "part_id", "key"),
    [
        # The 350 V class bears the full pack, but not what the motor makes at 10 000 rpm.
        ("charger", FAST, "charger/6.6kw-1ph-350v", "drive.back_emf_device.charger"),
        ("charger", FAST, "charger/3.3kw-1ph-350v", "drive.back_emf_device.charger"),
        (
            "charger",
            FIVE_IN_SERIES | {"charging.charger.part": "charger/11kw-3ph-350v"},
            "charger/22kw-3ph-350v",
            "charge.charger_empty",
        ),
        ("dc-dc", FAST, "dc-dc/1.5kw-350v", "drive.back_emf_device.dc-dc"),
        ("dc-dc", {"donor.electrics.earth": "positive"}, "dc-dc/1.5kw-350v", "electrics.earth"),  # it names the DC-DC
        ("module", {"donor.limits.rear_axle": "600 kg"}, "module/nmc-12s-50ah", "mass.rear_axle_limit"),
    ],
)
def test_a_stop_of_its_own_speaks_against_a_part_though_it_stands_now(
    tmp_path: Path, kind: str, changes: dict[str, Any], part_id: str, key: str
) -> None:
    fits = {each.id: each for each in only(fitting(written(tmp_path, changes), kind)).fits}
    assert key in keys(assess(changed(changes), with_bands=False, search=False))
    assert fits[part_id].suits == ("burdens" if key.startswith("mass.") else "not")
    assert key in {each.key for each in fits[part_id].reasons if each.severity == "stop"}


def test_a_stop_that_has_nothing_to_do_with_a_part_leaves_it_fitting(tmp_path: Path) -> None:
    """An axle that is overloaded without a pump too; a motor that is too fast for other devices than the one that is tried."""
    heavy = only(fitting(written(tmp_path, {"donor.limits.rear_axle": "600 kg"}), "pump"))
    assert [each.key for each in heavy.whatever] == ["mass.rear_axle_limit"]
    assert all(each.fits for each in heavy.fits)
    unwatched = only(fitting(written(tmp_path, {"pack.protection.fuse": None}), "bms"))
    assert "protection.missing" in {each.key for each in unwatched.whatever}
    assert any(each.fits for each in unwatched.fits)


def test_contactors_have_two_places_and_an_empty_place_is_tried(tmp_path: Path) -> None:
    assert [each.path for each in fitting(COUPE, "contactor")] == [
        "pack.protection.contactor", "pack.protection.precharge_contactor",
    ]  # fmt: skip
    empty = written(tmp_path, {"pack.protection.isolation_monitor": None})
    place = only(fitting(empty, "isolation-monitor"))
    assert not any(each.now for each in place.fits)
    assert "isolation-monitor/500v" in {each.id for each in place.fits if each.fits}
    assert "isolation-monitor/200v" not in {each.id for each in place.fits if each.fits}


def test_boards_and_sensors_follow_another_module() -> None:
    fits = {each.id: each for each in only(fitting(COUPE, "module")).fits}
    assert fits["module/nmc-10s-50ah"].also == {"pack.bms.boards": 14}  # 8 · 10 groups, 12 channels: 7 boards a string
    assert not fits["module/nmc-12s-50ah"].also


def test_driving_speaks_too() -> None:
    """A motor of less power fits by its ratings and misses what the brief asks of the road."""
    weak = {each.id: each for each in only(fitting(COUPE, "motor")).fits}["motor/pm-30kw-350v"]
    assert {each.key for each in weak.reasons} & {"brief.cruise_speed", "brief.time_0_100"}
    van = only(fitting(VAN, "inverter"))
    assert any(each.fits for each in van.fits)


def test_what_fits_and_speaks_against_it_all_the_same_is_called_otherwise() -> None:
    """A wish of the brief, or a load of the car, is no matter of voltage, current, space or mechanics; one that is weighs most."""
    reasons = tuple(
        Finding(key, "caution", key, "") for key in ("brief.price", "mass.gross_limit", "pack.voltage_limit.motor")
    )
    fit = Fit("motor/a", "A", None, now=False)
    said = [replace(fit, reasons=reasons[:number]) for number in range(4)]
    assert [each.suits for each in said] == ["fits", "misses", "burdens", "not"]
    assert [each.fits for each in said] == [True, True, True, False]
    assert replace(fit, broken="no datasheet").suits == "not"
    lines = list(told((Place("drive.motor.part", "motor", "EUR", tuple(said), ()),)))
    heads = [each for each in lines if each.endswith(":")]
    assert lines[0].startswith("drive.motor.part: 1 of 4 suit")
    assert heads == [f"{WORDS[each]}:" for each in WORDS if each != "fits"]


def test_a_datasheet_that_is_not_in_order_is_said(tmp_path: Path) -> None:
    (tmp_path / "parts").mkdir()
    (tmp_path / "parts" / "own.json").write_text('{"id": "fuse/own-200a", "kind": "fuse", "title": "Own fuse"}')
    place = only(fitting(written(tmp_path, {}), "fuse"))
    (own,) = (each for each in place.fits if each.id == "fuse/own-200a")
    assert not own.fits
    assert "missing" in own.broken


@pytest.mark.parametrize(
    ("kind", "file", "says"),
    [
        ("motr", COUPE, "no kind of part 'motr'"),
        ("cell", COUPE, "no place of its own"),
        ("gear-unit", COUPE, "names no gear-unit"),
        ("battery-12v", ROADSTER, "names no battery-12v"),
    ],
)
def test_what_cannot_be_answered_is_said(kind: str, file: Path, says: str) -> None:
    with pytest.raises(PartError) as caught:
        fitting(file, kind)
    (problem,) = caught.value.problems
    assert says in problem.what
    assert problem.mend


def test_an_empty_shelf_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    from voltwright.parts.shelf import Shelf

    monkeypatch.setattr(Shelf, "ids", lambda self, kind=None: ())
    with pytest.raises(PartError) as caught:
        fitting(COUPE, "fuse")
    assert "holds no part" in caught.value.problems[0].what


def test_every_kind_has_a_place_or_a_word_for_it() -> None:
    assert {*BARE.values(), *NAMED_FIRST, "module", "cell"} == set(KINDS)


def test_the_command_tells_and_prints_json(run: Run) -> None:
    told = run("parts", "list", "dc-dc", "--fits", COUPE)
    assert told.code == 0
    first, second, *_ = told.out.splitlines()
    assert first.startswith("low_voltage.dc_dc.part: 1 of 10 suit")
    assert "dc-dc/1.5kw-350v" in second
    assert "(in the build now)" in second
    assert "STOP  The DC-DC overcharges the low-voltage battery" in told.out
    data = json.loads(run("parts", "list", "dc-dc", "--fits", COUPE, "--json").out)
    parts = data["low_voltage.dc_dc.part"]["parts"]
    assert [each["id"] for each in parts if each["fits"]] == ["dc-dc/1.5kw-350v"]
    assert all(each["reasons"] for each in parts if not each["fits"])


@pytest.mark.parametrize(
    "words",
    [("--fits", COUPE), ("fuse", "--json"), ("fuse", "--fits", COUPE, "--build", COUPE), ("motr", "--fits", COUPE)],
)
def test_options_that_do_not_go_together_are_refused(run: Run, words: tuple[Any, ...]) -> None:
    assert run("parts", "list", *words).code == 2


def test_it_is_quick() -> None:
    """No part of a kind that is not driven costs more than a fraction of a second, other work on the machine left out."""
    fitting(COUPE, "msd")
    before = time.process_time()
    tried = len(only(fitting(COUPE, "fuse")).fits)
    assert (time.process_time() - before) / tried < 0.2


def test_keys_of_the_build_now_are_not_held_against_others() -> None:
    assert "protection.data" in keys(assess(changed({}), with_bands=False, search=False))
    assert any(each.fits and not each.now for each in only(fitting(COUPE, "fuse")).fits)


def test_a_part_that_takes_a_stop_away_is_not_refused_for_a_caution() -> None:
    small = changed({"pack.protection.contactor": "contactor/450v-100a"})
    place = next(each for each in fitting_of(small, "contactor") if each.path == "pack.protection.contactor")
    fits = {each.id for each in place.fits if each.fits}
    assert "contactor/450v-250a" in fits
    assert "contactor/450v-100a" not in fits
