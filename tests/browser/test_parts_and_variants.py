"""Journeys of choosing: an own part from a datasheet, a part compared and put in, a variant made and compared."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Locator, Page, expect

from browser_sight import Sight
from voltwright.parts.shelf import catalogue

Shot = Callable[[str], None]
expect.set_options(timeout=60_000)  # each motor of the shelf is tried in the build

# An invented motor, in the units in which its maker prints it.
TYPED = {
    "Title": "Motor from the barn", "Mass": "90 lb", "Length": "13 in", "Diameter": "250 mm", "Nominal voltage": "350 V",
    "Highest voltage": "450 V", "Peak power": "80 hp", "Time at peak power": "30 s", "Continuous power": "30 kW",
    "Peak torque": "150 N·m", "Continuous torque": "80 N·m", "Highest speed": "10000 rpm", "Best efficiency": "94 %",
}  # fmt: skip
CHOSEN = {"Principle": "permanent-magnet", "Cooling": "liquid"}


def fatal(page: Page) -> list[str]:
    found = Axe().run(page).response["violations"]
    return [f"{each['id']}: {node['html'][:120]}" for each in found for node in each["nodes"]]


def opened(sight: Sight, path: str) -> Page:
    sight.page.goto(f"{sight.address}{path}")
    sight.page.locator(".count").wait_for()
    return sight.page


def field(page: Page, label: str) -> Locator:
    return page.get_by_label(label, exact=True)


def typed(page: Page, label: str, text: str) -> None:
    field(page, label).fill(text)
    field(page, label).press("Tab")


def log_of(sight: Sight) -> list[dict[str, str]]:
    return sight.page.request.get(f"{sight.address}/api/builds/1/log").json()


def test_an_own_part_is_entered_from_a_datasheet_and_used(mine: Sight, shot: Shot) -> None:
    page = opened(mine, "/builds/1/drive")
    page.get_by_role("link", name="Choose from the shelf: Motor").click()
    page.locator("table.parts").wait_for()
    page.get_by_role("link", name="Enter a part from a datasheet").click()
    page.get_by_role("button", name="Put it on the shelf").wait_for()
    for label, text in TYPED.items():
        typed(page, label, text)
    typed(page, "Highest voltage", "lots")
    wrong = field(page, "Highest voltage").locator("xpath=..").locator(".wrong")
    expect(wrong).to_contain_text("is not a number with a unit")
    assert field(page, "Highest voltage").input_value() == "lots"
    page.get_by_role("button", name="Put it on the shelf").click()
    expect(field(page, "Principle").locator("xpath=..").locator(".wrong")).to_contain_text("missing")
    shot("own-part-refused")
    assert fatal(page) == []
    typed(page, "Highest voltage", "450 V")
    expect(wrong).to_have_text("")
    for label, text in CHOSEN.items():
        field(page, label).select_option(text)
    expect(page.get_by_text("It is whole.")).to_be_visible()
    expect(field(page, "Mass").locator("xpath=..").locator(".beside")).to_have_text("= 40.82 kg")  # 90 * 0.45359237
    shot("own-part-whole")
    page.get_by_role("button", name="Put it on the shelf").click()
    page.get_by_role("heading", name="Where it stands").wait_for()
    assert page.get_by_text("These data are invented").count() == 0
    shot("own-part-datasheet")
    assert fatal(page) == []
    page.get_by_role("link", name="Back to the parts shelf of the build").click()
    page.locator(".verdict-of-fit").first.wait_for()
    page.get_by_role("button", name="Try Motor from the barn in the build").click()
    page.get_by_role("button", name="Put it in").click()
    page.get_by_text(re.compile(r"^Edit 2,")).wait_for()
    expect(page.get_by_role("row", name=re.compile("Motor from the barn"))).to_contain_text("is in the build")
    page.get_by_role("link", name="Back to Drive").click()
    expect(field(page, "Motor").first).to_have_value("motor/own-motor-from-the-barn")
    assert log_of(mine)[-1]["path"] == "drive.motor.part"
    assert mine.elsewhere == mine.complaints == []


def test_what_was_written_of_a_datasheet_is_there_after_a_reload(mine: Sight) -> None:
    page = mine.page
    page.goto(f"{mine.address}/parts/write?kind=motor")
    page.get_by_text("14 figures are still needed").or_(page.get_by_text("15 figures are still needed")).wait_for()
    typed(page, "Title", "Half a motor")
    typed(page, "Mass", "heavy")
    expect(field(page, "Mass").locator("xpath=..").locator(".wrong")).to_contain_text("is not a number")
    page.reload()
    page.get_by_text("What you typed before is here again.").wait_for()
    expect(field(page, "Title")).to_have_value("Half a motor")
    expect(field(page, "Mass")).to_have_value("heavy")


def test_a_datasheet_comes_from_a_file(mine: Sight, tmp_path: Path, shot: Shot) -> None:
    page = mine.page
    page.goto(f"{mine.address}/parts/write")
    chooser = page.get_by_label("File with a datasheet")
    chooser.wait_for()
    page.wait_for_function("window.voltwright")
    broken = tmp_path / "sheet.pdf"
    broken.write_bytes(b"%PDF-1.7")
    chooser.set_input_files(broken)
    expect(page.locator(".alert")).to_contain_text("neither YAML, JSON nor CSV")
    large = tmp_path / "large.yaml"
    large.write_bytes(b"x" * 600_000)
    chooser.set_input_files(large)
    expect(page.locator(".alert")).to_contain_text("larger than 500 kB")
    good = tmp_path / "fuse.yaml"
    good.write_text(
        "id: fuse/own-160a\ntitle: <img src=x onerror=alert(1)>\nvoltage_max: 500 kg\ntime_constant: 2 ms\n"
        "current_rated: 160 A\ncurrent_break_max: 20 kA\ncurrent_break_min: 320 A\nutilisation: full-range\n"
    )
    chooser.set_input_files(good)
    wrong = field(page, "Highest voltage").locator("xpath=..").locator(".wrong")
    expect(wrong).to_contain_text("500 kg")
    shot("datasheet-from-a-file")
    typed(page, "Highest voltage", "500 V")
    page.get_by_role("button", name="Put it on the shelf").click()
    page.get_by_role("heading", name="Where it stands").wait_for()
    assert page.locator("h1").inner_text() == "<img src=x onerror=alert(1)>"
    page.get_by_role("button", name="Put it away").click()
    page.get_by_role("button", name=re.compile("^Bring back")).click()
    page.get_by_role("link", name=re.compile("^Change")).wait_for()
    assert mine.elsewhere == mine.complaints == []


def test_parts_are_compared_and_one_is_put_in_and_taken_out(mine: Sight, shot: Shot) -> None:
    page = opened(mine, "/builds/1/shelf?place=drive.motor.part")
    page.locator(".verdict-of-fit").first.wait_for()
    rows = page.locator("table.parts tbody tr")
    every = rows.count()
    page.locator(".filters > summary").click()
    typed(page, "Peak power, at least", "120 hp")  # 89.5 kW
    expect(rows).not_to_have_count(every)
    typed(page, "Mass, at most", "heavy")
    expect(page.locator(".wrong:not(:empty)")).to_contain_text("is not a number with a unit")
    typed(page, "Mass, at most", "")
    expect(page.locator(".wrong:not(:empty)")).to_have_count(0)
    page.get_by_role("button", name="Sort by Mass").click()
    expect(page.locator("th[aria-sort=ascending]")).to_contain_text("Mass")
    masses = [float(re.sub(r" kg$", "", each)) for each in page.locator("tbody td:nth-child(7)").all_inner_texts()]
    assert masses == sorted(masses)
    assert len(masses) > 3
    against = page.locator(".why").first
    against.locator("summary").click()
    expect(against.locator("strong").first).to_have_text(re.compile("stop|caution"))
    for number in range(4):
        page.get_by_role("checkbox", name=re.compile("^Compare")).nth(number).check()
        expect(page.locator("table.beside-parts thead a")).to_have_count(number + 1 if number else 0)
    beside = page.locator("table.beside-parts")
    expect(beside.locator("tr.differs").first).to_contain_text("≠ differs")
    expect(beside.get_by_text("= the same").first).to_be_visible()
    shot("parts-compared")
    assert fatal(page) == []
    before = log_of(mine)
    page.get_by_role("button", name=re.compile("^Try .* in the build")).first.click()
    page.get_by_role("heading", name=re.compile("^What would change with")).wait_for()
    expect(page.locator(".trial .verdict").first).to_have_text(re.compile("better|worse|changed"))
    shot("part-tried")
    assert fatal(page) == []
    assert log_of(mine) == before, "trying changes nothing"
    page.get_by_role("button", name="Put it in").click()
    page.get_by_text(re.compile(r"^Edit 2,")).wait_for()
    now = page.get_by_role("row", name=re.compile("is in the build"))
    expect(now).not_to_contain_text("motor/pm-90kw-350v")
    page.get_by_role("button", name="Undo").click()
    page.get_by_text(re.compile(r"^Edit 3,")).wait_for()
    expect(page.locator("table.parts tr", has_text="is in the build")).to_contain_text("motor/pm-90kw-350v")
    assert mine.elsewhere == mine.complaints == []


def test_a_variant_is_made_and_compared(mine: Sight, shot: Shot) -> None:
    page = opened(mine, "/builds/1/variants")
    page.get_by_text("Add: variant").click()
    adding = page.locator("details.adding[open]")
    adding.get_by_label("Name").fill("Bad Name")
    adding.get_by_label("Name").press("Tab")
    adding.get_by_role("button", name="Add").click()
    expect(page.locator(".told .alert")).to_contain_text("bad-name")
    adding.get_by_label("Name").fill("light-motor")
    adding.get_by_label("What it is for").fill("what a smaller motor would do")
    adding.get_by_label("What it is for").press("Tab")
    adding.get_by_role("button", name="Add").click()
    page.get_by_text(re.compile(r"^Edit 2,")).wait_for()
    page.get_by_role("button", name="Change values in light-motor").click()
    page.get_by_label("Page whose values change").select_option("drive")
    motor = page.locator("[id='v-variants.light-motor.changes.drive.motor.part']")
    expect(motor.locator("option:checked")).to_have_text(re.compile("^Permanent-magnet motor, 90 kW"))
    torque = page.locator("[id='v-variants.light-motor.changes.drive.torque_limit']")
    torque.fill("much")
    torque.press("Tab")
    expect(torque.locator("xpath=..").locator(".wrong")).to_contain_text("much")
    motor.select_option("motor/pm-30kw-350v")
    page.get_by_text(re.compile(r"^Edit 3,")).wait_for()
    expect(motor.locator("xpath=..").locator(".state")).to_have_text("changed by the variant")
    page.get_by_role("button", name="Compare light-motor with the build").click()
    page.locator(".comparison table").first.wait_for()
    expect(page.locator(".comparison .verdict").first).to_have_text(re.compile("better|worse|changed"))
    expect(page.locator(".comparison")).to_contain_text(re.compile(r"\d+ figures are better, \d+ are worse"))
    shot("variant-compared")
    assert fatal(page) == []
    page.get_by_role("button", name="Paper of the comparison").click()
    link = page.get_by_role("link", name="Comparison (PDF)")
    link.wait_for()
    assert page.request.get(f"{mine.address}{link.get_attribute('href')}").body().startswith(b"%PDF-")
    expect(page.locator(".changes").last).to_contain_text("Motor: Small permanent-magnet motor, 30 kW")
    motor.select_option("")
    page.get_by_text(re.compile(r"^Edit 4,")).wait_for()
    expect(motor).to_have_value("motor/pm-90kw-350v")
    page.get_by_role("button", name="Undo").click()
    page.get_by_text(re.compile(r"^Edit 5,")).wait_for()
    expect(motor).to_have_value("motor/pm-30kw-350v")
    assert mine.elsewhere == mine.complaints == []


def test_a_second_pack_is_added_by_a_button_and_compared(mine: Sight, shot: Shot) -> None:
    page = opened(mine, "/builds/1/variants")
    page.get_by_role("button", name="Add a second pack in the load space").click()
    page.get_by_text(re.compile(r"^Edit 2,")).wait_for()
    expect(page.locator("article.item h3").last).to_have_text("second-pack")
    page.get_by_role("button", name="Compare second-pack with the build").click()
    page.locator(".comparison table").first.wait_for()
    expect(page.locator(".comparison")).to_contain_text("Price with tax")
    expect(page.locator(".changes").last).to_contain_text("Strings in parallel: 3")
    shot("second-pack-compared")
    assert fatal(page) == []
    assert mine.elsewhere == mine.complaints == []


def test_variants_in_a_circle_are_refused_in_words_and_one_is_taken_out(mine: Sight) -> None:
    page = opened(mine, "/builds/1/variants")
    page.locator("summary", has_text="one-string").first.click()
    base = page.locator("select[data-path='variants.one-string.of']")
    base.select_option("stronger-motor")
    page.get_by_text(re.compile(r"^Edit 2,")).wait_for()
    page.locator("summary", has_text="stronger-motor").first.click()
    page.locator("select[data-path='variants.stronger-motor.of']").select_option("one-string")
    expect(page.locator(".wrong:not(:empty)").first).to_contain_text("go round in a circle")
    page.get_by_role("button", name="Take out one-string", exact=True).click()
    page.get_by_text(re.compile(r"^Edit 3,")).wait_for()
    expect(page.locator("article.item h3")).to_have_text(["stronger-motor"])


def test_a_datasheet_that_somebody_else_saved_first_is_told_and_nothing_is_lost(mine: Sight, shot: Shot) -> None:
    hers, his = mine.page, mine.page.context.new_page()
    own = dict(catalogue()._raw[catalogue().ids("fuse")[0]]) | {"id": "fuse/own"}
    answer = hers.request.put(f"{mine.address}/api/parts", data=own, headers={"X-Voltwright": "test"})
    assert answer.ok, answer.text()
    pages = (hers, his)
    for page, mass in zip(pages, ("501 g", "502 g"), strict=True):
        page.goto(f"{mine.address}/parts/write?part=fuse/own")
        typed(page, "Mass", mass)
        page.get_by_text("It is whole.").wait_for()
    hers.get_by_role("button", name="Put it on the shelf").click()
    hers.wait_for_url(re.compile("/parts/sheet"))
    his.get_by_role("button", name="Put it on the shelf").click()
    expect(his.locator(".told .alert")).to_contain_text("Somebody else saved this datasheet first")
    expect(his.locator(".told .difference").first).to_contain_text("501 g")
    expect(his.locator(".told .difference").last).to_contain_text("502 g")
    shot("part-saved-second")
    assert field(his, "Mass").input_value() == "502 g"
    log = f"{mine.address}/api/parts/fuse/own/log"
    assert [each["document"]["mass"] for each in his.request.get(log).json()][1:] == ["501 g"]
    his.reload()
    expect(his.get_by_text("Somebody else saved this datasheet since")).to_be_visible()
    expect(field(his, "Mass")).to_have_value("502 g")
    his.get_by_role("button", name="Put it on the shelf").click()
    his.get_by_role("button", name="Save mine on top of it").click()
    his.wait_for_url(re.compile("/parts/sheet"))
    assert [each["document"]["mass"] for each in his.request.get(log).json()][1:] == ["501 g", "502 g"]
