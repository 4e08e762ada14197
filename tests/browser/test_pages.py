"""The first pages in a real browser: what they show, what they ask for, and who may press what."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from browser_sight import Sight, entry, fatal, open_build


def test_from_the_list_to_the_paper(local: Sight) -> None:
    page = local.page
    page.goto(local.address)
    page.get_by_role("link", name="coupe").first.click()
    page.locator("table.figures").first.wait_for()
    page.locator(".waiting").first.wait_for(state="detached")
    assert page.title() == "Blue coupé: Summary - Voltwright"
    row = page.get_by_role("row", name=re.compile("^Kerb"))
    assert re.search(r"Kerb\s+[\d ,]+ kg\s+[\d ,]+ to [\d ,]+", row.inner_text())
    assert page.get_by_role("heading", name="Not for building").is_visible()
    assert page.locator(".finding.caution .stamp").count() > 3
    page.get_by_role("link", name="Papers").click()
    page.get_by_role("button", name="Make the papers").click()
    link = page.get_by_role("link", name="Design paper (PDF)")
    link.wait_for()
    paper = page.request.get(f"{local.address}{link.get_attribute('href')}")
    assert paper.body().startswith(b"%PDF-")
    assert local.elsewhere == []
    assert local.complaints == []


def test_nobody_is_kept_out(local: Sight) -> None:
    local.page.goto(local.address)
    local.page.get_by_role("heading", name="Cars").wait_for()
    assert fatal(local.page) == []
    assert fatal(open_build(local)) == []


def test_sign_in_keeps_nobody_out(lan: Sight) -> None:
    lan.page.goto(lan.address)
    assert lan.page.url == f"{lan.address}/sign-in"
    assert fatal(lan.page) == []
    assert lan.page.locator("script").count() == 0


def test_units_are_those_of_the_reader(local: Sight) -> None:
    page = open_build(local, "/builds/1/summary?units=us", whole=False)
    assert " lb" in page.get_by_role("row", name=re.compile("^Kerb")).inner_text()


def test_an_edit_is_taken_and_taken_back(local: Sight) -> None:
    page = open_build(local)
    page.get_by_text(re.compile(r"^Edit 1,")).wait_for()
    expect(page.get_by_role("button", name="Undo", exact=True)).to_be_disabled()
    page.get_by_role("button", name=re.compile("Take this step")).first.click()
    page.get_by_text(re.compile(r"^Edit 2,")).wait_for()
    page.get_by_role("button", name="Undo", exact=True).click()
    page.get_by_text(re.compile(r"^Edit 3,")).wait_for()
    page.get_by_role("button", name="Redo").click()
    page.get_by_text(re.compile(r"^Edit 4,")).wait_for()
    expect(page.get_by_role("button", name="Redo")).to_be_disabled()
    expect(page.get_by_role("button", name="Undo", exact=True)).to_be_enabled()


def test_a_viewer_sees_nothing_to_edit_with(lan: Sight) -> None:
    lan.sign_in("Cat")
    assert "Cat, viewer" in lan.page.locator(".head").inner_text()
    assert lan.page.get_by_role("link", name="Start a car").count() == 0
    page = open_build(lan)
    buttons = {each.inner_text() for each in page.get_by_role("button").all()}
    assert buttons == {"Sign out", "What else would these steps change?"}
    assert page.locator(".remedy").count() > 0, "he may read what would mend it"
    page = open_build(lan, "/builds/1/donor", whole=False)
    assert page.locator(".written input:enabled, .written select:enabled").count() == 0
    assert page.locator(".written input").count() > 50
    assert lan.elsewhere == lan.complaints == []


def test_a_technician_does(lan: Sight) -> None:
    lan.sign_in("Ben")
    assert lan.page.get_by_role("link", name="Start a car").count() == 1
    buttons = {each.inner_text() for each in open_build(lan).get_by_role("button").all()}
    assert {"Undo", "Redo", "Take this step"} <= buttons


def log_of(sight: Sight) -> list[str]:
    """The kinds of all edits of the build, as the records have them."""
    answer = sight.page.request.get(f"{sight.address}/api/builds/1/log")
    assert answer.ok, answer.text()
    return [each["kind"] for each in answer.json()]


def test_who_signed_out_elsewhere_is_out_here(lan: Sight) -> None:
    lan.sign_in("Ben")
    page = open_build(lan)
    edits = len(log_of(lan))
    page.get_by_role("button", name=re.compile("Take this step")).first.click()
    page.get_by_text(re.compile(f"^Edit {edits + 1},")).wait_for()
    before = log_of(lan)
    assert before[-1] == "edit", "there is something to undo"
    # Signed out as by another window, and pressed at once: a moment later the page turns to the sign-in by itself.
    page.evaluate("""async () => {
        await fetch("/sign-out", { method: "POST" });
        const undo = [...document.querySelectorAll("button")].find((each) => each.innerText === "Undo");
        setTimeout(() => undo.click());
    }""")
    page.get_by_role("button", name="Sign in").wait_for()
    assert page.url == f"{lan.address}/sign-in"
    assert page.get_by_label("Password").is_visible()
    assert page.locator("table.figures").count() == 0, "nothing of the build is left to see"
    lan.sign_in("Ann")
    assert log_of(lan) == before, "what was pressed was not done"


@pytest.mark.parametrize("path", ["/nothing", "/builds/999999", "/builds/x"])
def test_a_wrong_address_is_told_in_words(local: Sight, path: str) -> None:
    answer = local.page.goto(f"{local.address}{path}")
    assert answer is not None
    assert answer.status == 404
    assert local.page.locator("main h1").inner_text()
    assert "{" not in local.page.locator("body").inner_text()
    assert local.elsewhere == []


def test_every_page_of_a_build_opens(local: Sight) -> None:
    page = open_build(local, "/builds/1/summary")
    links = [each.get_attribute("href") or "" for each in page.locator(".contents a").all()]
    assert len(links) == 22
    for each in links:
        open_build(local, each, whole=False)
        assert page.locator("[aria-current=page]").count() == 1
        assert page.locator(".alert").count() == 0, each
        assert fatal(page) == [], each
    assert local.elsewhere == local.complaints == []


def test_a_field_is_saved_as_it_is_left_and_figures_follow(local: Sight) -> None:
    page = open_build(local, "/builds/1/donor")
    mass = entry(page, "Kerb mass")
    before = mass.input_value()
    mass.fill("2400 lb")
    mass.press("Tab")
    page.locator("tr.moved").first.wait_for()
    assert mass.locator("xpath=..").locator(".beside").inner_text() == "= 1089 kg"
    assert page.get_by_role("heading", name="What the last change did").is_visible()
    page.get_by_role("button", name="Undo", exact=True).click()
    expect(mass).to_have_value(before)


def test_what_somebody_is_typing_stays_when_the_page_is_drawn_anew(local: Sight) -> None:
    """As when bands come, which they do after some seconds; here a working unfolds, and nobody leaves the field for it."""
    page = open_build(local, "/builds/1/donor", whole=False)
    maker = entry(page, "Make-up of the donor")
    before = maker.input_value()
    maker.fill("half a se")
    page.locator(".figure-name").first.evaluate("each => each.click()")
    page.locator(".working > *").first.wait_for()
    assert maker.input_value() == "half a se"
    maker.fill(before)


def test_what_is_assumed_where_nothing_is_chosen_is_seen(local: Sight) -> None:
    page = open_build(local, "/builds/1/pack", whole=False)
    cooling = page.locator('select[data-path="pack.cooling"]')
    expect(cooling).to_have_value("")
    expect(cooling.locator("option:checked")).to_have_text("none")


def test_what_cannot_be_is_told_beside_the_field_and_nothing_is_lost(local: Sight) -> None:
    page = open_build(local, "/builds/1/donor")
    mass = entry(page, "Kerb mass")
    mass.fill("twelve hundred")
    mass.press("Enter")
    wrong = mass.locator("xpath=..").locator(".wrong")
    expect(wrong).to_contain_text("is not a number with a unit")
    assert mass.input_value() == "twelve hundred"
    assert mass.get_attribute("aria-invalid") == "true"


def test_a_figure_opens_its_working(local: Sight) -> None:
    page = open_build(local, "/builds/1/mass", whole=False)
    page.get_by_role("button", name=re.compile("^Kerb mass")).click()
    page.locator(".tree").wait_for()
    assert "donor.mass_kerb" in page.locator(".tree").inner_text()


def test_no_bar_comes_in_when_a_script_fetches_something(local: Sight) -> None:
    """The web library shows one, without a name, over the page; axe-core itself fetches style sheets."""
    page = open_build(local, "/builds/1/donor", whole=False)
    page.route("**/held", lambda route: None)
    page.evaluate("() => { const held = new XMLHttpRequest(); held.open('GET', '/held'); held.send() }")
    page.wait_for_timeout(600)  # the bar waits for a moment too
    assert page.locator(".q-loading-bar:not([aria-hidden=true])").count() == 0
    assert fatal(page) == []
