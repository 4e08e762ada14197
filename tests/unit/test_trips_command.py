"""`voltwright trips`: what is listed, what is shown, and what the rows of a trip add up to."""

from __future__ import annotations

import csv
import io
import itertools
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from helpers import EXAMPLES, Run, dossier, runner
from voltwright.parts.trips import trip, trip_names
from voltwright.services import trips

ROOT = Path(__file__).parents[2]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    for each in EXAMPLES.iterdir():
        shutil.copy(each, tmp_path)
    return runner(capsys, tmp_path, monkeypatch)


def rows_of(text: str) -> list[dict[str, float]]:
    return [{name: float(value) for name, value in row.items()} for row in csv.DictReader(io.StringIO(text))]


def test_every_trip_is_listed(run: Run) -> None:
    ended = run("trips", "list")
    assert (ended.code, ended.err) == (0, "")
    assert [line.split()[0] for line in ended.out.splitlines() if not line.startswith(" ")] == list(trip_names())
    assert "wltc-3b      WLTC class 3b: 1800 s, 23.27 km, up to 131 km/h" in ended.out
    for name in trip_names():
        assert trip(name).source in ended.out


def test_a_trip_is_shown_with_the_figures_of_the_dossier(run: Run) -> None:
    ended = run("trips", "show", "coupe.yaml", "wltc-3b")
    assert (ended.code, ended.err) == (0, "")
    made = dossier(with_bands=True)
    for family in ("road.consumption", "road.consumption_wall", "road.range"):
        figure = made.figures[f"{family}.wltc-3b"]
        assert re.search(rf"{re.escape(figure.label)} +{figure.printed()}  \({figure.printed_band()}\)", ended.out)
    shares = [float(each) for each in re.findall(r"([−\d.]+)%$", ended.out.replace("−", "-"), flags=re.M)]
    assert shares[-1] == 100.0
    assert sum(shares[:-1]) == pytest.approx(100.0, abs=0.06 * len(shares))


def test_a_journey_goes_by_its_own_name(run: Run) -> None:
    assert run("trips", "show", "coupe.yaml", "rounds").out.startswith("steady-80: steady 80 km/h")
    assert run("trips", "show", "van.yaml", "town").out.startswith("town: speed trace bakery-round.csv")


def test_what_holds_the_car_back_is_told(run: Run) -> None:
    ended = run("trips", "show", "van.yaml", "us06")
    assert ended.code == 0
    assert "no figure" in ended.out
    assert re.search(r"Held back by motor heat for \d+ s\.", ended.out)
    assert re.search(r"Behind the trip by [\d.]+ km\.", ended.out)


def test_a_car_that_is_not_known(run: Run) -> None:
    text = (EXAMPLES / "coupe.yaml").read_text(encoding="utf-8").replace("      ratios: [3.34, 2.14, 1.38, 1.0]\n", "")
    Path("half.yaml").write_text(text, encoding="utf-8")
    ended = run("trips", "show", "half.yaml", "udds")
    assert ended.code == 0
    assert "The ratios of the gearbox are not known" in ended.out
    assert "Driven once" not in ended.out
    ended = run("trips", "show", "half.yaml", "udds", "--csv", "course.csv")
    assert ended.code == 2
    assert "the ratios of the gearbox are not known" in ended.err
    assert not Path("course.csv").exists()


@pytest.mark.parametrize(
    ("typed", "near"), [("wltc3b", "wltc-3b"), ("round", "rounds"), ("stedy-80", "steady-80"), ("", "trips list")]
)
def test_an_unknown_trip_is_refused_with_the_nearest(run: Run, typed: str, near: str) -> None:
    ended = run("trips", "show", "coupe.yaml", typed)
    assert (ended.code, ended.out) == (2, "")
    assert near in ended.err.split("To mend it:")[1]


def test_a_journey_of_no_known_trip(run: Run) -> None:
    text = (EXAMPLES / "coupe.yaml").read_text(encoding="utf-8").replace("trip: steady-80", "trip: stedy-80")
    Path("odd.yaml").write_text(text, encoding="utf-8")
    ended = run("trips", "show", "odd.yaml", "rounds")
    assert ended.code == 2
    assert "The journey 'rounds' names no known trip" in ended.err


def test_a_file_that_is_not_there(run: Run) -> None:
    assert run("trips", "show", "nothing.yaml", "udds").code == 2


# Second by second.


def test_rows_add_up_to_the_trip(run: Run) -> None:
    """Way and energy of the rows are those that are told above them; time, charge and speed go on as they must."""
    ended = run("trips", "show", "coupe.yaml", "udds", "--csv", "course.csv")
    assert ended.code == 0
    assert "Second by second: course.csv" in ended.out
    text = Path("course.csv").read_text(encoding="utf-8")
    assert text.startswith(trips.HEAD + "\n")
    rows = rows_of(text)
    assert [row["second"] for row in rows] == [float(each) for each in range(1, len(trip("udds").speed))]
    found = trips.on_trip(Path("coupe.yaml"), "udds")
    assert found.once is not None
    speeds = [0.0, *(row["km_per_hour"] / 3.6 for row in rows)]
    assert sum((a + b) / 2 for a, b in itertools.pairwise(speeds)) == pytest.approx(found.once.way, rel=1e-3)
    assert sum(row["kilowatt"] for row in rows) * 1000 == pytest.approx(found.once.pack, rel=1e-4)
    for row in rows:
        asked = trip("udds").speed[int(row["second"])] * 3.6  # the coupé keeps up
        assert row["km_per_hour_wanted"] == pytest.approx(asked, abs=0.006)
        assert row["km_per_hour"] == pytest.approx(asked, abs=0.006)
        assert row["kilowatt"] * 1000 == pytest.approx(row["ampere"] * row["volt"], abs=8)
    drawn = sum(row["ampere"] for row in rows)
    whole = found.once.drawn
    assert drawn == pytest.approx(whole, rel=1e-3)
    assert rows[0]["charge_percent"] == pytest.approx(95, abs=0.01)
    assert rows[-1]["charge_percent"] < rows[0]["charge_percent"]
    assert all(20 < row["celsius"] < 40 for row in rows)


def test_steady_speeds_are_second_by_second_too(run: Run) -> None:
    rows = rows_of(run("trips", "show", "coupe.yaml", "steady-80", "--csv", "-").out)
    assert len(rows) == 600
    assert {row["km_per_hour"] for row in rows} == {80.0}


def test_with_a_hyphen_only_the_rows_are_printed(run: Run) -> None:
    ended = run("trips", "show", "coupe.yaml", "udds", "--csv", "-")
    assert (ended.code, ended.err) == (0, "")
    assert ended.out.startswith(trips.HEAD + "\n")
    assert len(ended.out.splitlines()) == len(trip("udds").speed)


def test_every_cell_is_a_number(run: Run) -> None:
    """So that nothing of a build file, such as the name of a journey, can act in a spreadsheet."""
    text = (EXAMPLES / "van.yaml").read_text(encoding="utf-8")
    Path("odd.yaml").write_text(re.sub(r"^title: .*$", 'title: "=1+1"', text, flags=re.M), encoding="utf-8")
    out = run("trips", "show", "odd.yaml", "town", "--csv", "-").out
    assert re.fullmatch(r"(-?\d+(\.\d+)?(,|$))+", out.splitlines()[1])
    assert all(re.fullmatch(r"[-\d.,]+", line) for line in out.splitlines()[1:])


def test_a_place_where_nothing_can_be_written(run: Run) -> None:
    Path("there").write_text("a file", encoding="utf-8")
    ended = run("trips", "show", "coupe.yaml", "udds", "--csv", "there/course.csv")
    assert ended.code == 2
    assert "cannot be written" in ended.err


# The page.


def test_the_page_of_trips_is_up_to_date(tmp_path: Path) -> None:
    tool = ROOT / "tools" / "make_trips_page.py"
    done: Any = subprocess.run(
        [sys.executable, tool, "--check"], capture_output=True, text=True, check=False, timeout=60
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_page_names_every_trip() -> None:
    page = (ROOT / "docs" / "reference" / "trips.md").read_text(encoding="utf-8")
    assert [name for name in trip_names() if f"| `{name}` |" not in page] == []


def test_a_file_that_exists_is_not_written_over(run: Run) -> None:
    """Least of all the build file itself."""
    before = Path("coupe.yaml").read_bytes()
    ended = run("trips", "show", "coupe.yaml", "steady-80", "--csv", "coupe.yaml")
    assert ended.code == 2
    assert "There is a file coupe.yaml already" in ended.err
    assert Path("coupe.yaml").read_bytes() == before
