"""A car from its first answer to the printed paper, from a file and back, and the list in which it stands."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from browser_sight import Sight, fatal, open_build

EXAMPLES = Path(__file__).parents[2] / "examples"
Shot = Callable[[str], None]
ANSWERS = {
    "The donor": "Two-door saloon", "Year of the donor": "1966", "Length over all": "4.02 m", "Wheelbase": "93 in",
    "Kerb mass, full tank, nobody in it": "1900 lb", "Range that is wished": "100 km", "Cruise speed that is wished": "55 mph",
    "People who ride": "4", "How many modules": "12", "Name of the build": "Saloon for the lighthouse",
    "Country in which the car is registered": "IE",
}  # fmt: skip
CHOSEN = {
    "Body": "saloon", "Does the old gearbox stay?": "true", "Motor": "motor/pm-90kw-350v",
    "Battery module": "module/nmc-12s-50ah", "Currency": "EUR",
}  # fmt: skip


def open_start(sight: Sight) -> Page:
    sight.page.goto(f"{sight.address}/start")
    sight.page.wait_for_function("window.voltwright && window.voltwright.kept")
    return sight.page


def field(page: Page | Locator, label: str) -> Locator:
    return page.get_by_label(label, exact=True)


def answer(page: Page, **other: str) -> None:
    for label, text in {**ANSWERS, **other}.items():
        field(page, label).fill(text)
    for label, value in CHOSEN.items():
        field(page, label).select_option(value)


def start(page: Page) -> None:
    page.get_by_role("button", name="Start with these answers").click()


def figures_of(sight: Sight, build: str) -> Any:
    answer = sight.page.request.get(f"{sight.address}/api/builds/{build}/dossier.json")
    assert answer.ok, answer.text()
    return answer.json()["figures"]


def test_five_answers_lead_to_a_paper(local: Sight, shot: Shot) -> None:
    page = local.page
    page.goto(local.address)
    page.get_by_role("link", name="Start a car").click()
    page.wait_for_function("window.voltwright && window.voltwright.kept")
    shot("start-empty")
    answer(page)
    field(page, "Customer").fill("The keeper")
    expect(page.locator("#q-motor ~ .beside")).to_contain_text("90 kW at its peak")
    shot("start-answered")
    page.get_by_role("button", name="Start with these answers").click()
    busy = page.get_by_role("button", name="Being worked out")
    expect(busy).to_be_disabled()
    expect(busy).to_have_attribute("aria-busy", "true")
    page.wait_for_url(re.compile(r"/builds/\d+/summary"))
    page.locator(".waiting").first.wait_for(state="detached")
    expect(page.locator("h1")).to_have_text("Saloon for the lighthouse (The keeper): Summary")
    expect(page.locator(".assumed-list dt a").first).to_be_visible()
    shot("start-assumed")
    build = page.url.split("/")[-2]
    open_build(local, f"/builds/{build}/donor")
    assert page.locator(".field.assumed").count() > 5, "what was not answered is marked"
    assert field(page.locator(".written"), "Wheelbase").input_value() == "93 in"
    shot("start-donor")
    page.get_by_role("link", name="Papers").click()
    page.get_by_role("button", name="Make the papers").click()
    link = page.get_by_role("link", name="Design paper (PDF)")
    link.wait_for()
    shot("start-papers")
    paper = page.request.get(f"{local.address}{link.get_attribute('href')}")
    assert paper.body().startswith(b"%PDF-")
    page.goto(local.address)
    row = page.get_by_role("row", name=re.compile("Saloon for the lighthouse"))
    assert "The keeper" in row.first.inner_text()
    assert local.elsewhere == local.complaints == []


def test_a_refused_answer_is_told_beside_its_field_and_nothing_typed_is_lost(local: Sight, shot: Shot) -> None:
    page = open_start(local)
    answer(page, **{"Wheelbase": "a horse", "Year of the donor": ""})
    start(page)
    page.get_by_text("2 answers need another look").wait_for()
    for label, told in (
        ("Wheelbase", "'a horse' is not a number with a unit"),
        ("Year of the donor", "Nothing is answered"),
    ):
        entry = field(page, label)
        expect(entry.locator("xpath=..").locator(".wrong")).to_contain_text(told)
        assert entry.get_attribute("aria-invalid") == "true"
    assert field(page, "Wheelbase").input_value() == "a horse"
    assert field(page, "Motor").input_value() == CHOSEN["Motor"]
    expect(field(page, "Year of the donor")).to_be_focused()
    assert fatal(page) == []
    shot("start-refused")
    page.reload()
    page.wait_for_function("window.voltwright && window.voltwright.kept")
    assert field(page, "Wheelbase").input_value() == "a horse"
    field(page, "Wheelbase").fill("93 in")
    field(page, "Year of the donor").fill("1966")
    start(page)
    page.wait_for_url(re.compile(r"/builds/\d+/summary"))
    open_start(local)
    assert field(page, "Wheelbase").input_value() == "", "what was taken is not kept any longer"


def press_slowly(page: Page, away: float) -> None:
    """On the button, just after typing in the last field: what comes in beside that field moves the button below the pointer."""
    field(page, "Country in which the car is registered").press_sequentially("IE")
    button = page.get_by_role("button", name="Start with these answers")
    button.scroll_into_view_if_needed()
    box = button.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + 3
    page.mouse.move(x, y)
    page.mouse.down()
    expect(page.locator("#q-country ~ .beside")).to_have_text("Ireland")
    moved = button.bounding_box()
    assert moved is not None
    assert not moved["y"] < y < moved["y"] + moved["height"], "the button has left the pointer"
    page.mouse.move(x + away, y)
    page.mouse.up()


def test_a_press_is_not_lost_when_the_page_moves_below_it(local: Sight) -> None:
    page = open_start(local)
    answer(page, **{"Country in which the car is registered": ""})
    press_slowly(page, away=0.0)
    expect(page).to_have_url(re.compile(r"/builds/\d+/summary"))


def test_a_press_that_is_drawn_off_its_button_does_nothing(local: Sight) -> None:
    page = open_start(local)
    answer(page, **{"Country in which the car is registered": ""})
    press_slowly(page, away=300.0)
    page.wait_for_timeout(500)
    expect(page.get_by_role("button", name="Start with these answers")).to_be_enabled()
    assert page.url.endswith("/start")


def test_a_second_click_starts_no_second_car(local: Sight) -> None:
    before = len(local.page.request.get(f"{local.address}/api/cars").json())
    page = open_start(local)
    answer(page)
    field(page, "Country in which the car is registered").blur()
    page.evaluate(
        "for (const each of document.querySelectorAll('button.first')) { each.click(); each.click(); each.click(); }"
    )
    page.wait_for_url(re.compile(r"/builds/\d+/summary"))
    assert len(page.request.get(f"{local.address}/api/cars").json()) == before + 1


def test_examples_and_answers_are_in_the_units_of_the_reader(local: Sight) -> None:
    page = local.page
    for units, length in (("metric", "such as 4 m"), ("us", "such as 150 in")):
        page.goto(f"{local.address}/start?units={units}")
        assert field(page, "Length over all").get_attribute("placeholder") == length


def test_a_build_that_was_exported_comes_back_with_the_same_figures(local: Sight, shot: Shot, tmp_path: Path) -> None:
    page = open_build(local, "/builds/1/text", whole=False)
    with page.expect_download() as loading:
        page.get_by_role("link", name="Download the build file").click()
    file = tmp_path / loading.value.suggested_filename
    loading.value.save_as(file)
    assert file.name == "build.yaml"
    open_start(local)
    field(page, "Name of the car").fill("Come back")
    field(page, "Files").set_input_files(file)
    page.get_by_role("button", name="Take these files in").click()
    page.wait_for_url(re.compile(r"/builds/\d+/summary"))
    build = page.url.split("/")[-2]
    assert build != "1"
    page.locator(".waiting").first.wait_for(state="detached")
    shot("start-imported")
    was, now = figures_of(local, "1"), figures_of(local, build)
    assert len(was) > 100
    assert now == was


def test_files_are_refused_with_the_place_and_come_with_what_they_name(
    local: Sight, shot: Shot, tmp_path: Path
) -> None:
    page = open_start(local)
    broken = tmp_path / "car.yaml.yaml"
    broken.write_text((EXAMPLES / "coupe.yaml").read_text(encoding="utf-8").replace("kg", "feet", 1), encoding="utf-8")
    files, take = field(page, "Files"), page.get_by_role("button", name="Take these files in")
    files.set_input_files(broken)
    take.click()
    page.get_by_text("Nothing was kept.").wait_for()
    expect(page.locator(".told li").first).to_contain_text(re.compile(r"car\.yaml\.yaml:\d+"))
    shot("start-file-refused")
    files.set_input_files(EXAMPLES / "van.yaml")
    take.click()
    expect(page.locator(".told li").first).to_contain_text("bakery-round.csv")
    note = tmp_path / "note.docx"
    note.write_bytes(b"PK")
    files.set_input_files([EXAMPLES / "van.yaml", EXAMPLES / "bakery-round.csv", EXAMPLES / "coast-down.csv", note])
    take.click()
    page.get_by_text("Not taken in").wait_for()
    expect(page.locator(".told").filter(has_text="note.docx")).to_have_count(1)
    page.locator(".told").get_by_role("link", name="van").click()
    page.wait_for_url(re.compile(r"/builds/\d+/summary"))
    assert len(local.complaints) == 2, "the browser itself notes the two refusals, and nothing else"
    assert all("422" in each for each in local.complaints)


def test_more_than_is_taken_is_not_even_sent(local: Sight, tmp_path: Path) -> None:
    page = open_start(local)
    sent: list[str] = []
    page.on("request", lambda request: sent.append(request.url))
    large = tmp_path / "large.yaml"
    with large.open("wb") as file:
        file.truncate(41_000_000)
    field(page, "Files").set_input_files(large)
    page.get_by_role("button", name="Take these files in").click()
    page.get_by_text("The files have 41 MB together; up to 40 MB are taken.").wait_for()
    assert [each for each in sent if "/api/" in each] == []


@pytest.mark.parametrize("dark", ["light", "dark"])
@pytest.mark.parametrize("width", [1280, 390])
def test_start_and_list_keep_nobody_out(local: Sight, shot: Shot, width: int, dark: str) -> None:
    page = local.page
    page.emulate_media(color_scheme=dark)  # pyright: ignore[reportArgumentType]
    page.set_viewport_size({"width": width, "height": 800})
    open_start(local)
    page.locator("summary", has_text="Motor: all that are on the shelf").click()
    assert fatal(page) == []
    shot(f"start-{width}-{dark}")
    page.goto(local.address)
    page.get_by_role("button", name=re.compile("^Change ")).first.click()
    page.get_by_role("button", name="Save the names").wait_for()
    assert fatal(page) == []
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    shot(f"cars-{width}-{dark}")


def test_a_car_is_renamed_put_away_and_taken_back(local: Sight, shot: Shot) -> None:
    page = open_start(local)
    field(page, "Name of the car").fill("Green van")
    page.get_by_role("button", name="Roadster of 1962").click()
    page.wait_for_url(re.compile(r"/builds/\d+/summary"))
    page.goto(local.address)
    page.get_by_role("button", name="Change Green van").click()
    for label, text in (
        ("Name of the car", "Yellow van"),
        ("Customer", "The post"),
        ("Name of the build", "as ordered"),
    ):
        field(page, label).fill(text)
    page.get_by_role("button", name="Save the names").click()
    page.get_by_text("The names are saved.").wait_for()
    row = page.get_by_role("row", name=re.compile("^Yellow van The post as ordered"))
    expect(row).to_have_count(1)
    page.get_by_role("button", name="Change Yellow van").click()
    field(page, "Name of the car").fill("  ")
    page.get_by_role("button", name="Save the names").click()
    expect(page.locator(".renaming .alert")).to_contain_text("is empty or not one line")
    shot("cars-rename-refused")
    page.get_by_role("button", name="Put the car away").click()
    page.get_by_text("Put away: Yellow van").wait_for()
    expect(row).to_have_count(0)
    page.get_by_role("link", name="Cars put away").click()
    page.get_by_role("button", name="Change Yellow van").click()
    shot("cars-away")
    page.get_by_role("button", name="Take the car back").click()
    page.get_by_text("Taken back: Yellow van").wait_for()
    page.get_by_role("button", name="Undo").click()
    expect(row).to_have_count(1)
    page.get_by_role("button", name="Change Yellow van").click()
    page.get_by_role("button", name="Take the car back").click()
    page.get_by_text("Taken back: Yellow van").wait_for()
    page.goto(local.address)
    expect(row).to_have_count(1)
    assert local.elsewhere == local.complaints == []


def test_a_car_is_found_by_words_of_its_names(local: Sight, shot: Shot) -> None:
    page = local.page
    headers = {"X-Voltwright": "test"}
    for number in range(60):
        made = page.request.post(
            f"{local.address}/api/cars", data={"name": f"Shell {number:02}", "customer": "Yard"}, headers=headers
        )
        assert made.ok
    page.goto(local.address)
    expect(page.get_by_text(re.compile(r"^Page 1 of 2, \d+ cars$"))).to_have_count(1)
    page.get_by_role("link", name="Next page").click()
    page.get_by_text("Page 2 of 2").wait_for()
    page.get_by_label("Name of car or customer").fill("yard 17")
    page.get_by_role("button", name="Search").click()
    page.get_by_text("1 found.").wait_for()
    expect(page.get_by_role("button", name=re.compile("^Change "))).to_have_count(1)
    shot("cars-found")
    page.get_by_label("Name of car or customer").fill("nobody at all")
    page.get_by_role("button", name="Search").click()
    page.get_by_text("No car and no customer has this in its name").wait_for()
    shot("cars-none")
    for car in page.request.get(f"{local.address}/api/cars").json():
        if car["customer"] == "Yard":
            page.request.patch(f"{local.address}/api/cars/{car['id']}", data={"away": True}, headers=headers)


def test_a_viewer_sees_no_button_that_he_may_not_use(lan: Sight, shot: Shot) -> None:
    lan.sign_in("Cat")
    page = lan.page
    page.get_by_role("row", name=re.compile("Blue coupé")).wait_for()
    assert {each.inner_text() for each in page.get_by_role("button").all()} <= {"Sign out", "Search"}
    shot("cars-viewer")
    page.goto(f"{lan.address}/start")
    page.get_by_text("To start a car, ask an owner").wait_for()
    assert {each.inner_text() for each in page.get_by_role("button").all()} == {"Sign out"}
    expect(page.locator("input, select")).to_have_count(0)
    assert fatal(page) == []
