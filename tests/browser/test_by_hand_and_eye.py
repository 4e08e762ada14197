"""The pages on a phone, by the keyboard alone, in other units, by night: each as somebody at the bench uses them."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import BrowserContext, Page, ViewportSize, expect

from browser_sight import Sight, entry, open_build
from serving import Served
from voltwright.web.pages.chart_ink import DARK, LIGHT
from voltwright.web.pages.leaves import contents

Shot = Callable[[str], None]
PAGES = [leaf.name for _, leaves in contents() for leaf in leaves]
PHONE = ViewportSize(width=390, height=844)
WIDER = """() => [...document.querySelectorAll('body *')]
    .filter((each) => !each.closest('.wide, .drawing') && each.getBoundingClientRect().right > innerWidth + 1)
    .map((each) => each.outerHTML.slice(0, 120))"""


@pytest.mark.parametrize("name", PAGES)
def test_a_page_fits_a_phone(local: Sight, name: str, shot: Shot) -> None:
    local.page.set_viewport_size(PHONE)
    page = open_build(local, f"/builds/1/{name}", whole=False)
    shot(f"phone-{name}")
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
    assert page.evaluate(WIDER) == []


def test_a_field_is_edited_on_a_phone(local: Sight) -> None:
    local.page.set_viewport_size(PHONE)
    page = open_build(local, "/builds/2/donor", whole=False)
    mass = entry(page, "Kerb mass")
    mass.click()
    mass.fill("780 kg")
    mass.press("Enter")
    page.locator("tr.moved").first.wait_for()
    page.get_by_role("button", name="Undo").click()
    expect(mass).not_to_have_value("780 kg")


def outlined(page: Page) -> bool:
    """Whether one sees where the keyboard is."""
    style = "getComputedStyle(document.activeElement)"
    return page.evaluate(f"{style}.outlineStyle !== 'none' && parseFloat({style}.outlineWidth) >= 2")


def tab_to(page: Page, selector: str, most: int = 400) -> None:
    for _ in range(most):
        page.keyboard.press("Tab")
        if page.evaluate("selector => document.activeElement.matches(selector)", selector):
            return
    raise AssertionError(f"the keyboard does not reach {selector}")


def test_the_keyboard_alone_edits_mends_and_takes_back(local: Sight, shot: Shot) -> None:
    page = open_build(local, "/builds/2/donor", whole=False)
    mass = entry(page, "Kerb mass")
    before = mass.input_value()
    tab_to(page, "[data-path='donor.mass_kerb']")
    assert outlined(page)
    page.keyboard.press("Control+a")
    page.keyboard.type("790 kg")
    page.keyboard.press("Enter")
    page.locator("tr.moved").first.wait_for()
    assert page.evaluate("document.activeElement.dataset.path") == "donor.mass_kerb", "the place is kept"
    shot("keyboard")
    page.keyboard.press("Tab")
    assert outlined(page)
    open_build(local, "/builds/2/findings")
    number = edit_of(page)
    tab_to(page, ".remedy button")
    assert outlined(page)
    page.keyboard.press("Enter")
    page.get_by_text(re.compile(f"^Edit {number + 1},")).wait_for()
    for each in (2, 3):
        page.keyboard.press("Control+Home")
        page.evaluate("document.activeElement.blur()")
        tab_to(page, ".controls button:first-child")
        assert outlined(page)
        page.keyboard.press("Space")
        page.get_by_text(re.compile(f"^Edit {number + each},")).wait_for()
    open_build(local, "/builds/2/donor", whole=False)
    expect(mass).to_have_value(before)


def edit_of(page: Page) -> int:
    found = re.search(r"Edit (\d+),", page.locator(".controls").inner_text())
    assert found
    return int(found[1])


def dossier(sight: Sight, build: int) -> str:
    return sight.page.request.get(f"{sight.address}/api/builds/{build}/dossier.json").text()


def test_other_units_are_shown_and_change_nothing(local: Sight, shot: Shot) -> None:
    page = open_build(local, "/builds/1/donor")
    before = dossier(local, 1)
    page.get_by_role("link", name="US", exact=True).click()
    page.wait_for_url("**/donor?units=us")
    page.locator(".count").wait_for()
    assert page.get_by_role("row", name=re.compile("^Kerb")).inner_text().count(" lb") == 1
    mass = entry(page, "Kerb mass").locator("xpath=..").locator(".beside")
    expect(mass).to_contain_text(" lb")
    shot("units-us")
    page.get_by_role("link", name="Weight", exact=True).click()
    page.locator(".picture svg text", has_text=re.compile(r"\(lb\)| lb")).first.wait_for()
    assert dossier(local, 1) == before


def test_a_new_value_is_not_known_as_the_old_one_was(local: Sight) -> None:
    made = local.page.request.post(
        f"{local.address}/api/examples/coupe", data={"name": "Weighed"}, headers={"X-Voltwright": "test"}
    )
    build = made.json()["id"]
    page = open_build(local, f"/builds/{build}/donor", whole=False)
    row = page.locator(".written .field", has=page.locator('[data-path="donor.mass_kerb"]'))
    expect(row.locator(".state")).to_have_text("measured")
    row.locator("input").first.fill("1100 kg")
    row.locator("input").first.press("Tab")
    page.locator("tr.moved").first.wait_for()
    expect(row.locator(".state")).to_be_empty()
    text = page.request.get(f"{local.address}/api/builds/{build}/build.yaml").text()
    assert re.search(r"mass_kerb: 1100 kg *$", text, re.MULTILINE), "the weighbridge has not seen it"


def test_plots_follow_a_dark_screen_also_when_it_turns(local: Sight, context: BrowserContext, shot: Shot) -> None:
    page = local.page
    page.emulate_media(color_scheme="dark")
    open_build(local, "/builds/1/road", whole=False)
    words = page.locator(".picture svg text")
    dark, light = (words.and_(page.locator(f"[fill='{ink.ink}']")) for ink in (DARK, LIGHT))
    dark.first.wait_for()
    expect(light).to_have_count(0)
    shot("dark-road")
    page.emulate_media(color_scheme="light")
    light.first.wait_for()
    expect(dark).to_have_count(0)


def test_what_is_typed_stays_while_the_page_is_drawn_anew(local: Sight) -> None:
    page = open_build(local, "/builds/2/donor", whole=False)
    entry(page, "Kerb mass").fill("785 kg")
    entry(page, "Kerb mass").press("Tab")
    entry(page, "Wheelbase").focus()
    page.keyboard.press("Control+a")
    page.keyboard.type("2.")
    page.locator("tr.moved").first.wait_for()
    page.locator(".waiting").first.wait_for(state="detached")
    assert entry(page, "Wheelbase").input_value() == "2."


@pytest.mark.parametrize("name", ["summary", "mass", "pack", "road", "charge", "findings", "revisions"])
def test_pages_are_kept_to_be_looked_at(local: Sight, local_site: Served, shot: Shot, name: str) -> None:
    page = open_build(local, f"/builds/1/{name}")
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        page.wait_for_timeout(300)
        shot(f"{scheme}-{name}")
    assert local.complaints == []
