"""A step says what it brings, before and after it is taken; the list of revisions follows; nothing moves below a line that waits."""

from __future__ import annotations

import re
from collections.abc import Callable

from playwright.sync_api import Page, expect

from browser_sight import Sight, open_build

Shot = Callable[[str], None]
HEAD = {"X-Voltwright": "test"}


def changed(sight: Sight, build: int, **changes: str) -> None:
    """As a colleague does it elsewhere."""
    api = f"{sight.address}/api/builds/{build}"
    since = sight.page.request.get(api).json()["number"]
    body = {"since": since, "changes": changes}
    assert sight.page.request.patch(api, data=body, headers=HEAD).ok


def titles(page: Page, api: str, key: str) -> dict[str, list[str]]:
    """Titles of what each step of a finding would bring, by what the step says."""
    found = page.request.get(f"{api}/findings/{key}/effects").json()
    return {each["remedy"]["says"]: [one["title"] for one in each["other"]["appears"]] for each in found}


def test_a_step_says_what_it_would_bring_and_what_it_brought(mine: Sight, shot: Shot) -> None:
    changed(mine, 1, **{"donor.limits.rear_axle": "600 kg"})
    page, api = open_build(mine), f"{mine.address}/api/builds/1"
    card = page.locator("article.finding", has=page.locator(".step")).first
    key = card.get_attribute("data-key") or ""
    card.get_by_role("button", name="What else would these steps change?").click()
    card.locator(".elsewhere p").first.wait_for()
    would = titles(page, api, key)
    for step in card.locator(".step").all():
        said = step.locator(".brings").inner_text()
        new = would[step.locator(".remedy span").first.inner_text()]
        assert all(title in said for title in new), said
        assert ("no new finding" in said) == (not new)
    shot("steps-elsewhere")
    before = {each["title"] for each in page.request.get(f"{api}/dossier?bands=false&search=false").json()["findings"]}
    card.get_by_role("button", name=re.compile("^Take this step")).first.click()
    told = page.locator(".told", has_text="Went with it:")
    expect(told).to_be_visible()
    after = {each["title"] for each in page.request.get(f"{api}/dossier?bands=false&search=false").json()["findings"]}
    went = told.locator("p", has_text="Went with it:").inner_text()
    assert before - after
    assert all(title in went for title in before - after)
    came = told.locator("p", has_text="Came with it:").inner_text()
    assert all(title in came for title in after - before)
    shot("step-taken")
    told.get_by_role("button", name="Undo this step").click()
    expect(told).to_have_count(0)
    assert {
        each["title"] for each in page.request.get(f"{api}/dossier?bands=false&search=false").json()["findings"]
    } == before


def test_the_list_of_revisions_follows_what_others_do(local: Sight) -> None:
    page = open_build(local, "/builds/2/revisions", whole=False)
    page.get_by_text("None was saved yet.").wait_for()
    api = f"{local.address}/api/builds/2"
    since = page.request.get(api).json()["number"]
    saved = page.request.post(f"{api}/revisions", data={"since": since, "name": "Of a colleague"}, headers=HEAD)
    assert saved.ok, saved.text()
    page.locator("summary", has_text="Of a colleague").wait_for()
    rows = page.locator(".own tbody tr")
    before = rows.count()
    changed(local, 2, **{"brief.top_speed": "141 km/h"})
    page.get_by_role("button", name="Show it").click()
    expect(rows).to_have_count(before + 1)
    expect(rows.first).to_contain_text("141 km/h")


def test_other_units_keep_place_and_variant(local: Sight) -> None:
    page = open_build(local, "/builds/1/shelf?place=drive.motor.part", whole=False)
    page.get_by_role("link", name="US", exact=True).click()
    page.wait_for_url(re.compile("units=us"))
    assert "place=drive.motor.part" in page.url
    page.goto(f"{local.address}/builds/1/variants?variant=x%26y")
    page.get_by_role("link", name="US", exact=True).click()
    page.wait_for_url(re.compile("units=us"))
    assert "variant=x%26y" in page.url


def test_nothing_moves_when_the_remedies_are_there(local: Sight) -> None:
    changed(local, 1, **{"brief.load": "63 kg"})
    page = local.page
    for width in (1280, 390):
        page.set_viewport_size({"width": width, "height": 800})
        changed(local, 1, **{"brief.load": f"{width / 20} kg"})
        open_build(local, "/builds/1/donor", whole=False)
        page.locator(".state-of .waiting").wait_for()
        field = page.locator("[data-path='donor.mass_kerb']")
        before = field.bounding_box()
        page.locator(".state-of .waiting").wait_for(state="detached")
        page.get_by_text("Bands and remedies are worked out.").wait_for()
        assert field.bounding_box() == before


def test_a_car_that_was_begun_says_what_was_assumed(local: Sight, shot: Shot) -> None:
    page = local.page
    made = page.request.get(f"{local.address}/api/builds/1").json()
    assert made["number"]
    page.goto(f"{local.address}/builds/1/summary?begun=true&units=metric")
    listed = page.locator(".assumed-list dt a")
    listed.first.wait_for()
    ranked = page.request.get(f"{local.address}/api/builds/1/dossier").json()["assumptions"]
    assert listed.all_inner_texts() == [each["label"] for each in ranked[:8]]
    expect(page.get_by_text(f"{len(ranked)} values were taken")).to_be_visible()
    shot("assumed")
    page.get_by_role("link", name="All assumptions").click()
    page.wait_for_url(re.compile("/builds/1/assumptions"))
    open_build(local, "/builds/1/summary", whole=False)
    expect(page.get_by_text("What was assumed")).to_have_count(0)


def test_what_opens_looks_as_if_it_opens(local: Sight) -> None:
    """A sign of its own, not colour alone, on every page alike."""
    page = open_build(local, "/builds/1/cost", whole=False)
    sign = "(it) => getComputedStyle(it, '::before').content.slice(0, 3)"
    closed = page.locator("details:not(.more):not([open]) > summary")
    assert closed.count() > 5
    assert {each.evaluate(sign) for each in closed.all()} == {'"+"'}
    closed.first.click()
    assert page.locator("details[open]:not(.more) > summary").first.evaluate(sign) == '"−"'


def test_undoing_a_step_never_takes_back_what_others_saved_after_it(mine: Sight) -> None:
    changed(mine, 1, **{"donor.limits.rear_axle": "600 kg"})
    page, api = open_build(mine), f"{mine.address}/api/builds/1"
    page.get_by_role("button", name=re.compile("^Take this step")).first.click()
    back = page.get_by_role("button", name="Undo this step")
    back.wait_for()
    changed(mine, 1, **{"brief.top_speed": "141 km/h"})
    page.get_by_role("button", name="Show it").click()
    expect(page.get_by_role("button", name="Show it")).to_have_count(0)
    back.click()
    expect(page.locator(".told .alert")).to_contain_text("Somebody else saved first")
    assert "top_speed: 141 km/h" in page.request.get(f"{api}/build.yaml").text()
