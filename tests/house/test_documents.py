"""Documents lead where they say, stand in the index, and their numbers are those of the code."""

import re
import tomllib
from pathlib import Path

import pytest

from voltwright.parts.tyres import read_marking
from voltwright.quantity.band import SAMPLES

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
PAGES = sorted([ROOT / "README.md", ROOT / "CHANGELOG.md", *DOCS.rglob("*.md")])
FENCED = re.compile(r"^```.*?^```$", re.M | re.S)


def links_of(page: Path) -> list[str]:
    """Targets of the links and pictures of a page that lead to files of this repository."""
    text = FENCED.sub("", page.read_text(encoding="utf-8"))
    return [link for link in re.findall(r"\]\(([^)\s]+)\)", text) if not re.match(r"https?:|mailto:|#", link)]


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.relative_to(ROOT).as_posix())
def test_links_lead_somewhere(page: Path) -> None:
    assert [link for link in links_of(page) if not (page.parent / link.partition("#")[0]).exists()] == []


def test_every_page_can_be_reached_from_the_index() -> None:
    reached: set[Path] = set()
    waiting = [DOCS / "README.md"]
    while waiting:
        page = waiting.pop()
        if page in reached or page.suffix != ".md" or not page.exists():
            continue
        reached.add(page)
        waiting += [(page.parent / link.partition("#")[0]).resolve() for link in links_of(page)]
    assert set(DOCS.rglob("*.md")) - reached == set()


def test_readme_begins_with_the_job() -> None:
    heading, job, *_ = (ROOT / "README.md").read_text(encoding="utf-8").split("\n\n")
    assert heading == "# Voltwright"
    assert "owner of a small workshop" in job
    assert "Still to come" in job


MARKINGS = re.findall(
    r"^\| `([^`]+)` \| ([\d.]+) (mm|in) \| (?:(\d+) % of the width|not marked) \| [^|]+ \| (\d+) (in|mm) "
    r"\| (?:(\d+): (\d+) kg a tyre|not marked) \| (?:(\w): (\d+) km/h|not marked) \|$",
    (DOCS / "how-to" / "read-a-tyre.md").read_text(encoding="utf-8"),
    flags=re.M,
)


def test_there_are_markings() -> None:
    assert len(MARKINGS) == (DOCS / "how-to" / "read-a-tyre.md").read_text(encoding="utf-8").count("\n| `") >= 5


@pytest.mark.parametrize("row", MARKINGS, ids=lambda row: row[0])
def test_tyre_is_read_as_the_page_says(row: tuple[str, ...]) -> None:
    text, width, unit, aspect, rim, rim_unit, index, load, symbol, speed = row
    metres = {"mm": 0.001, "in": 0.0254}
    marking = read_marking(text)
    assert marking.width == pytest.approx(float(width) * metres[unit])
    assert marking.rim == pytest.approx(int(rim) * metres[rim_unit])
    assert (f"{marking.aspect:.0%}".rstrip("%") if marking.aspect_is_marked else "") == aspect
    assert (str(marking.load_index or ""), f"{marking.load:.0f}" if marking.load else "") == (index, load)
    assert marking.speed_symbol == symbol
    assert (f"{marking.speed * 3.6:.0f}" if marking.speed else "") == speed


def test_number_of_samples_is_the_one_of_the_code() -> None:
    assert f"worked again for {SAMPLES} samples" in (DOCS / "theory" / "uncertainty.md").read_text(encoding="utf-8")


def test_every_library_has_its_line() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    wanted = [
        *project["project"]["dependencies"],
        *(each for group in project["dependency-groups"].values() for each in group),
    ]
    names = {match[0] for each in wanted if (match := re.match(r"[\w.-]+", each))}
    rows = "\n".join(
        re.findall(r"^\|.*$", (DOCS / "adr" / "0009-libraries.md").read_text(encoding="utf-8"), flags=re.M)
    )
    assert {name for name in names if not re.search(rf"\| [^|]*\b{re.escape(name)}\b", rows)} == set()
