"""Rule packs of countries: whole and honest data, what they judge, and how old they may be."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from pydantic import ValidationError

from helpers import Run, changed, dossier, example, keys, runner
from voltwright.assess.works import components_judged
from voltwright.parts.countries import Law, Pack, pack_of, packs
from voltwright.quantity.errors import SettingError
from voltwright.quantity.yaml_text import dump
from voltwright.rules.countries import SHELF_LIFE, clause_of
from voltwright.rules.dossier import assess
from voltwright.services.day import today

LAWS = [(code, law) for code, pack in packs().items() for law in pack.laws]
SEEN_ON = date(2026, 11, 27)


def test_packs_of_many_countries() -> None:
    assert set(packs()) >= {"AU", "CH", "DE", "FR", "GB", "IE", "NZ", "US"}
    assert pack_of(None) is None
    assert pack_of("PT") is None


@pytest.mark.parametrize(("code", "law"), LAWS, ids=[f"{code}-{law.id}" for code, law in LAWS])
def test_each_rule_says_what_it_asks_and_how_far_it_was_seen(code: str, law: Law) -> None:
    assert all((law.title, law.says, law.law, law.edition, law.remedy)), code
    assert (law.seen_on is None) == (law.seen == "memory")
    assert law.seen_on is None or law.seen_on <= SEEN_ON
    assert law.address is None or law.address.startswith("http")
    assert law.edition in str(clause_of(law))
    assert clause_of(law).ground == law.seen


def test_names_are_of_one_rule_each() -> None:
    for pack in packs().values():
        assert len({each.id for each in pack.laws}) == len(pack.laws)


def test_a_text_from_memory_has_no_day() -> None:
    raw = packs()["IE"].model_dump(mode="json")
    for day, seen in ((None, "copy"), ("2026-11-27", "memory")):
        raw["laws"][0] |= {"seen_on": day, "seen": seen}
        with pytest.raises(ValidationError, match="a text that was seen has a day"):
            Pack.model_validate(json.loads(json.dumps(raw)))


POINTS = [
    ({}, 13, "engine"),
    ({"works.4.kind": "cut"}, 8, "engine, chassis or body shell"),
    ({"works.4.kind": "weld", "drive.gearing": {"way": "direct"}}, 6, "engine, chassis or body shell, transmission"),
    ({"drive.gearing": {"way": "axle-drive"}}, 9, "engine, axles, both, transmission"),
    ({"works.4": {"name": "new links", "kind": "removed", "where": "suspension"}}, 11, "engine, suspension, front and back"),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "points", "lost"), POINTS)
def test_points_of_a_british_car(changes: dict[str, Any], points: int, lost: str) -> None:
    made = dossier({"country": "GB", **changes})
    assert made.figures["works.identity_points"].value == points
    gone = {each.component.name for each in components_judged(made.build) if each.lost_by}
    assert gone == {name for name in (each.component.name for each in components_judged(made.build)) if name in lost}
    assert ("country.gb.points" in keys(made)) == (points < 8 or "shell" in lost)


def test_eight_points_without_the_shell_are_not_enough() -> None:
    """Five of the eight must be those of the shell: 13 less 5 is 8, and still too few."""
    made = dossier({"country": "GB", "works.4.kind": "cut"})
    found = next(each for each in made.findings if each.key == "country.gb.points")
    assert found.value == "8 points"
    assert "chassis or body shell" in found.title


def test_without_a_list_of_works_nobody_counts_points() -> None:
    made = dossier({"country": "GB", "works": None})
    assert made.figures["works.identity_points"].value is None
    assert "country.gb.points" not in keys(made)


@pytest.mark.parametrize(("kilowatt", "fails"), [("45 kW", False), ("37.5 kW", False), ("37.4 kW", True)])
def test_power_on_both_sides_of_120_percent(kilowatt: str, fails: bool) -> None:
    """A continuous power of 45 kW over 37.5 kW is 120 %."""
    made = dossier({"country": "AU", "donor.drive_line.engine_power": kilowatt})
    assert made.case.motor is not None
    assert made.case.motor.power_continuous.value == pytest.approx(45000)
    assert ("country.au.power" in keys(made)) == fails


@pytest.mark.parametrize(
    ("kilowatt", "says"), [("90 kW", ""), ("89 kW", "at most 100 %"), ("138 kW", ""), ("139 kW", "at least 65 %")]
)
def test_power_within_a_range(kilowatt: str, says: str) -> None:
    """90 kW of peak power: 65 % of 138.46 kW."""
    made = dossier({"country": "FR", "donor.drive_line.engine_power": kilowatt})
    assert [each.limit for each in made.findings if each.key == "country.fr.power"] == ([says] if says else [])


def test_a_pack_below_60_volts_is_still_high_voltage_by_its_alternating_side() -> None:
    made = dossier({"country": "US"}, "roadster")
    direct, alternating = (made.figures[key].value for key in ("pack.voltage_full", "pack.voltage_ac"))
    assert direct is not None and direct < 60  # noqa: PT018
    assert alternating is not None and alternating > 30  # noqa: PT018
    assert "country.us.voltage" in keys(made)


def test_historic_status_begins_with_the_year() -> None:
    for year, day, told in (
        (1996, date(2026, 1, 1), True),
        (1997, date(2026, 1, 1), False),
        (1997, date(2027, 1, 1), True),
    ):
        built = changed({"country": "DE", "donor.year": year})
        assert ("country.de.historic" in keys(assess(built, with_bands=False, search=False, today=day))) == told


@pytest.mark.parametrize(("later", "old"), [(0, False), (SHELF_LIFE.days, False), (SHELF_LIFE.days + 1, True)])
def test_data_grow_old_after_twelve_months(later: int, old: bool) -> None:
    made = assess(example(), with_bands=False, search=False, today=SEEN_ON + timedelta(days=later))
    assert ("country.data_old" in keys(made)) == old
    if old:
        found = next(each for each in made.findings if each.key == "country.data_old")
        assert found.severity == "caution"
        assert found.title == "Rule data were seen on 2026-11-27"


def test_without_a_day_nothing_is_said_of_age() -> None:
    assert "country.data_old" not in keys(assess(example(), with_bands=False, search=False))


def test_which_day_it_is(monkeypatch: pytest.MonkeyPatch) -> None:
    assert today() == SEEN_ON  # as tests/conftest.py has it
    assert today(date(2030, 5, 1)) == date(2030, 5, 1)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "86399")
    assert today() == date(1970, 1, 1)
    monkeypatch.delenv("SOURCE_DATE_EPOCH")
    assert abs(today() - date.today()) <= timedelta(days=1)
    for wrong in ("soon", "9" * 30):
        monkeypatch.setenv("SOURCE_DATE_EPOCH", wrong)
        with pytest.raises(SettingError, match="SOURCE_DATE_EPOCH"):
            today()


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    return runner(capsys, tmp_path, monkeypatch)


def test_the_command_judges_as_of_a_day(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "car.yaml"
    file.write_text(dump(changed({}).document.root), encoding="utf-8")
    assert "Rule data were seen" not in run("assess", file, "--no-bands").out
    assert "Rule data were seen on 2026-11-27" in run("assess", file, "--no-bands", "--today", "2028-01-01").out
    assert run("assess", file, "--today", "tomorrow").code == 2


def test_the_clock_is_heeded_by_mend_and_compare(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    root = changed({}).document.root
    root["variants"] = {"abroad": {"changes": {"country": "PT"}}}
    file = tmp_path / "car.yaml"
    file.write_text(dump(root), encoding="utf-8")
    assert run("mend", file, "country.data_old").code == 2  # no such finding in 2026
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1900000000")  # March 2030
    assert "Rule data were seen on 2026-11-27" in run("mend", file, "country.data_old").out
    assert "Rule data were seen on 2026-11-27" in run("compare", file, "--no-bands").out
