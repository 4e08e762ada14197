"""Bad input of the road: motors that move nothing, spreads wider than physics, traces without end. Words, or null with a reason."""

from __future__ import annotations

import math
import time
import warnings
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from helpers import EXAMPLES, changed, dossier, example, keys
from voltwright.build.reader import loads
from voltwright.parts.shelf import Shelf
from voltwright.quantity.band import spreads
from voltwright.quantity.entry import NEAREST
from voltwright.quantity.errors import VoltwrightError
from voltwright.quantity.work import Node, total
from voltwright.rules.dossier import Dossier, assess

MOTOR = "motor/pm-90kw-350v"


def with_motor(**fields: str) -> Shelf:
    """The coupé's motor with other numbers and without its curves, which would contradict them."""
    shelf = example().shelf
    raw = {name: each for name, each in shelf._raw[MOTOR].items() if not name.startswith("torque_curve")}  # type: ignore[reportPrivateUsage]
    return shelf.with_own({MOTOR: {**raw, **fields}})


def refused(changes: dict[str, Any], shelf: Shelf | None = None) -> str:
    with pytest.raises(VoltwrightError) as caught:
        changed(changes, shelf=shelf)
    (problem,) = caught.value.problems
    assert problem.allowed
    assert problem.mend
    return str(problem)


def unsound(made: Dossier) -> list[str]:
    """Figures with a number that is none, with one below zero that cannot be, or without a value and without a reason."""
    faults: list[str] = []
    for key, figure in made.figures.items():
        numbers = [each for each in (figure.value, figure.low, figure.high) if each is not None]
        above_zero = key.startswith(("road.range", "road.consumption", "road.time", "road.top"))
        if not all(math.isfinite(each) and (each > 0 or not above_zero) for each in numbers):
            faults.append(f"{key}: {numbers}")
        if figure.value is None and not figure.reason:
            faults.append(f"{key}: no value and no reason")
    return faults


# Motors.


def test_a_motor_that_does_not_move_the_car() -> None:
    weak = with_motor(
        torque_peak="0.5 N·m", torque_continuous="0.2 N·m", power_peak="0.4 kW", power_continuous="0.1 kW"
    )
    made = dossier(shelf=weak, with_bands=True)
    assert unsound(made) == []
    stop = next(each for each in made.findings if each.key == "road.cannot_move")
    assert stop.severity == "stop"
    for key in ("road.top_speed", "road.gradient_start", "road.time_0_50", "road.range.steady-50"):
        assert made.figures[key].value is None
    assert "does not move" in made.figures["road.top_speed"].reason
    assert "standstill" in made.figures["road.range.steady-50"].reason
    assert "road.cannot_move" not in keys(dossier())


def test_a_weak_motor_moves_it_slowly() -> None:
    weak = with_motor(torque_peak="15 N·m", torque_continuous="10 N·m", power_peak="12 kW", power_continuous="9 kW")
    made = dossier(shelf=weak)
    assert unsound(made) == []
    assert "road.cannot_move" not in keys(made)
    assert 50 < (made.figures["road.top_speed"].value or 0) < 120


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"power_peak": "0 kW", "power_continuous": "0 kW"}, "power_"),
        ({"power_continuous": "0 kW"}, "above 0 kW"),
        ({"torque_peak": "0 N·m"}, "above 0 N·m"),
        (
            {"torque_peak": "0.5 N·m", "torque_continuous": "0.2 N·m"},
            "0.5 N·m at 10500 rpm make 0.55 kW, less than power_peak, 90 kW",
        ),
        ({"speed_max": "1 rpm"}, "less than power_peak"),
        ({"torque_continuous": "20 N·m"}, "less than power_continuous, 45 kW"),
    ],
    ids=lambda each: str(each)[:40],
)
def test_motors_that_contradict_themselves_are_refused(fields: dict[str, str], words: str) -> None:
    with pytest.raises(VoltwrightError) as caught:
        changed({}, shelf=with_motor(**fields))
    assert words in str(caught.value.problems[0])


@pytest.mark.parametrize("gears", [[0.0, 1.0], [-1.0], [float("nan")], [1e9]])
def test_gears_of_nothing_are_refused(gears: list[float]) -> None:
    assert "ratios" in refused({"donor.drive_line.gearbox.ratios": gears})


# Spreads wider than physics.


@pytest.mark.parametrize(
    ("path", "text"),
    [
        ("donor.tyres.rolling_resistance", "0.01 ± 0.02"),
        ("donor.air.drag_coefficient", "0.4 ± 100 %"),
        ("drive.gearing.efficiency", "92 .. 105 %"),
        ("drive.gearing.efficiency", "92 % ± 9 %"),
        ("pack.window.empty", "2 % ± 3 %"),
    ],
)
def test_spreads_that_leave_the_field_are_refused(path: str, text: str) -> None:
    assert "reaches outside" in refused({path: text})


@pytest.mark.parametrize(
    "changes",
    [
        {"donor.tyres.rolling_resistance": "0.01 ± 0.0099"},
        {"donor.air.drag_coefficient": "0.4 ± 99 %"},
        {"drive.gearing.efficiency": "92 % ± 8 %"},
        {"donor.mass_kerb": "1012 kg ± 1000 kg"},
        {"pack.window.full": "20 % ± 3 %", "pack.window.empty": "14 % ± 2.5 %"},
        {"pack.window.full": "14.1 %", "pack.window.empty": "14 %"},
        {"duty.wind": "140 km/h"},
        {"brief.load": "3000 kg", "donor.mass_kerb": "9000 kg"},
    ],
    ids=lambda each: next(iter(each)),
)
def test_spreads_at_the_edge_keep_the_figures_sound(changes: dict[str, Any]) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert unsound(assess(changed(changes), with_bands=True)) == []


def samples_of(path: str, text: str) -> Any:
    """What a band draws for an entry."""
    built = changed({path: text}).build
    entry: Any = built
    for name in path.split("."):
        entry = getattr(entry, name)
    seen: list[Any] = []
    leaf: Node = entry.node("It")

    from voltwright.quantity import band

    real = band.evaluate_all
    try:
        band.evaluate_all = lambda nodes, draws: seen.extend(draws.values()) or real(nodes, draws)  # type: ignore[assignment]
        spreads({"it": total("It", [leaf])})
    finally:
        band.evaluate_all = real  # type: ignore[assignment]
    (drawn,) = seen
    return np.asarray(drawn)


def test_tails_end_at_the_limits_of_the_field() -> None:
    efficiency = samples_of("drive.gearing.efficiency", "92 % ± 8 %")
    assert efficiency.max() == 1.0
    rolling = samples_of("donor.tyres.rolling_resistance", "0.01 ± 0.0099")
    assert rolling.min() == pytest.approx(NEAREST * 0.0001)
    free = samples_of("donor.tyres.rolling_resistance", "0.012 ± 0.001")
    assert free.std() == pytest.approx(0.001 / 1.645, rel=0.02)


# Traces.


def with_trace(folder: Path, rows: str) -> Dossier:
    (folder / "round.csv").write_text(rows, encoding="utf-8")
    text = (EXAMPLES / "coupe.yaml").read_text(encoding="utf-8")
    journey = "    - {name: town, share: 30 %, trip: wltc-3b, distance: 23 km}"
    assert journey in text
    made = text.replace(journey, "    - {name: town, share: 30 %, trace: round.csv}")
    return assess(loads(made, "car.yaml", folder=folder), with_bands=True)


def test_a_trace_longer_than_the_battery(tmp_path: Path) -> None:
    """Ten hours at 72 km/h: it ends where the pack is empty, and the journey is found too long."""
    rows = "second,km_per_hour\n" + "".join(f"{second},{min(second, 20) * 3.6:g}\n" for second in range(0, 36000, 10))
    begun = time.perf_counter()
    made = with_trace(tmp_path, rows)
    assert time.perf_counter() - begun < 20
    assert unsound(made) == []
    far = made.figures["road.range.town"].value or 0
    near = made.figures["road.range.steady-70"].value or 0
    assert far == pytest.approx(near, rel=0.05)
    assert "road.journey.town" in keys(made)


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ("0,0\n1,0\n100,0\n", "gap of 99 s"),
        ("0,0\n1,90\n2,0\n", "jumps by 90 km/h"),
        ("0,0\n2,0\n1,0\n", "the time goes from 2 s to 1 s"),
        ("".join(f"{second},0\n" for second in range(0, 300_000, 50)), "the trip lasts 83 hours"),
        ("".join(f"{second},0\n" for second in range(1_000_000)), "larger than 2 MB"),
        ("".join(f"{second},0\n" for second in range(0, 3600, 30)), "the car stands from the first row"),
        ("0,nan\n1,0\n", "nan"),
        ("0,-5\n1,0\n", "-5"),
    ],
    ids=["gap", "jump", "order", "long", "a million rows", "standing", "no number", "backwards"],
)
def test_traces_that_nobody_drove_are_refused(tmp_path: Path, rows: str, words: str) -> None:
    with pytest.raises(VoltwrightError) as caught:
        with_trace(tmp_path, "second,km_per_hour\n" + rows)
    assert words in str(caught.value.problems[0])
