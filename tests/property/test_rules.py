"""What holds for every rule: order does not matter, a higher limit never finds more, and a stop ends with exit status 1."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from failing import FAILING
from helpers import Run, changed, keys, runner
from voltwright.quantity.yaml_text import dump
from voltwright.rules import dossier as dossier_module
from voltwright.rules.dossier import Dossier, assess
from voltwright.rules.rule import all_rules

# Limits against which something is judged and from which nothing is worked, low enough to bind in some builds: unit, least, most.
LIMITS = {
    "donor.limits.gross": ("kg", 900, 1900),
    "donor.limits.front_axle": ("kg", 400, 900),
    "donor.limits.rear_axle": ("kg", 400, 900),
    "donor.limits.train": ("kg", 900, 2600),
    "donor.limits.trailer_braked": ("kg", 0, 900),
    "donor.limits.trailer_unbraked": ("kg", 0, 900),
    "donor.tyres.front_load_each": ("kg", 150, 600),
    "donor.tyres.rear_load_each": ("kg", 150, 600),
    "donor.drive_line.gearbox.torque_max": ("N·m", 60, 400),
    "donor.drive_line.half_shaft_torque": ("N·m", 200, 3000),
    "donor.drive_line.final_drive_torque": ("N·m", 200, 1500),
    "drive.gearing.coupling_torque": ("N·m", 60, 400),
    "drive.mounts.force_each": ("N", 500, 4000),
    "brief.price": ("EUR", 20000, 90000),
    "brief.time_0_100": ("s", 4, 30),
}
TOWING = {"brief.tow": "450 kg"}
FAILED = [{}, *(changes for _, changes, _ in FAILING)]


@settings(max_examples=40)
@given(st.sampled_from(sorted(LIMITS)), st.data())
def test_raising_a_limit_never_creates_a_finding(path: str, data: st.DataObject) -> None:
    unit, least, most = LIMITS[path]
    low, high = sorted(data.draw(st.tuples(st.integers(least, most), st.integers(least, most))))
    tight, wide = (
        assess(changed({**TOWING, path: f"{value} {unit}"}), with_bands=False, search=False) for value in (low, high)
    )
    assert _judged(wide) <= _judged(tight)


def _judged(made: Dossier) -> set[str]:
    """What was found, but for entries that contradict each other: a limit above the others on its plate is a slip of the pen."""
    return {key for key in keys(made) if not key.startswith("data.")}


def test_every_limit_of_that_property_binds_somewhere() -> None:
    """Otherwise it would hold of a limit that nobody judges."""
    for path, (unit, least, most) in LIMITS.items():
        tight, wide = (
            assess(changed({**TOWING, path: f"{value} {unit}"}), with_bands=False, search=False)
            for value in (least, most)
        )
        assert keys(tight) - keys(wide), path


@settings(max_examples=5)
@given(st.permutations([each for each in all_rules() if not each.last]), st.sampled_from(FAILED))
def test_no_finding_depends_on_the_order_of_the_rules(order: list[Any], changes: dict[str, Any]) -> None:
    built = changed(changes)
    last = [each for each in all_rules() if each.last]
    with pytest.MonkeyPatch.context() as patch:
        usual = assess(built, search=False).findings
        patch.setattr(dossier_module, "all_rules", lambda: (*order, *last))
        assert assess(built, search=False).findings == usual


STOPS = [(key, changes) for key, changes, severity in FAILING if severity == "stop"]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    return runner(capsys, tmp_path, monkeypatch)


@pytest.mark.parametrize(("key", "changes"), STOPS, ids=[key for key, _ in STOPS])
def test_every_stop_ends_with_exit_status_1(run: Run, tmp_path: Path, key: str, changes: dict[str, Any]) -> None:
    built = changed(changes)
    file = tmp_path / "car.yaml"
    file.write_text(dump(built.document.root), encoding="utf-8")
    assert run("assess", file, "--figure", "mass.kerb").code == 1, key


def test_without_a_stop_it_ends_with_0(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "car.yaml"
    file.write_text(dump(changed({}).document.root), encoding="utf-8")
    assert run("assess", file, "--figure", "mass.kerb").code == 0
